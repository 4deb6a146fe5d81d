"""Hostile and odd files: nothing outside the folder is read, nothing grows without bound, one clear sentence."""

import base64
import json
import os
import socket
import struct
import tracemalloc

import numpy as np
import pytest
import trimesh
from shell_files import CUBE, NS, gltf, model, put, zipped

from pourwright.errors import PourwrightError, ShellError, UsageError
from pourwright.shell import shell_report
from pourwright.shell.read import read_shell


@pytest.fixture(autouse=True)
def no_network(monkeypatch):
    def refuse(*args, **kwargs):
        raise AssertionError("a shell file opened a connection")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)


def refused(path, *words, error=ShellError, most=50_000_000):
    """Refused in words, without taking much memory on the way."""
    tracemalloc.start()
    try:
        with pytest.raises(error) as caught:
            read_shell(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    text = str(caught.value)
    assert peak < most + 4 * os.path.getsize(path)
    assert "\n" not in text
    assert len(text) < 500
    for word in words:
        assert word in text, text


def test_zip_bomb(tmp_path, monkeypatch):
    monkeypatch.setattr("pourwright.sanitising.threemf.UNPACKED_LIMIT_BYTES", 20_000_000)
    data = zipped({"3D/3dmodel.model": model(), **{f"3D/{k}.model": b" " * 9_000_000 for k in range(6)}})
    assert len(data) < 100_000
    refused(put(tmp_path, "a.3mf", data), "unpacks to more than 20 MB")


def test_zip_bomb_that_lies_about_its_size(tmp_path):
    data = bytearray(zipped({"3D/3dmodel.model": b" " * 60_000_000}))
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        spot = data.find(mark)
        struct.pack_into("<I", data, spot + at, 1000)
    refused(put(tmp_path, "a.3mf", bytes(data)), "a.3mf")


def test_zip_of_many_parts(tmp_path):
    refused(put(tmp_path, "a.3mf", zipped({f"{k}.txt": "" for k in range(3000)})), "3,000 parts")


def test_zip_without_a_model(tmp_path):
    refused(put(tmp_path, "a.3mf", zipped({"readme.txt": "hello"})), "no part 3D/3dmodel.model")


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE m [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>',
        '<!DOCTYPE m [<!ENTITY a SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE m SYSTEM "http://example.invalid/x.dtd">',
    ],
)
def test_xml_entities(tmp_path, head):
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": model(head=head)})), "XML entities")


def test_xml_in_another_encoding(tmp_path):
    text = model(head='<!DOCTYPE m [<!ENTITY a "a">]>').replace("UTF-8", "UTF-16").encode("utf-16")
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": text})), "another encoding")


def test_3mf_objects_in_a_circle(tmp_path):
    objects = "".join(
        f'<object id="{a}"><components><component objectid="{b}"/></components></object>' for a, b in ((2, 3), (3, 2))
    )
    text = model(objects=objects, build='<item objectid="2"/>')
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": text})), "in a circle")


def test_3mf_objects_that_double_at_every_level(tmp_path):
    objects = "".join(
        f'<object id="{k}"><components><component objectid="{k - 1}"/><component objectid="{k - 1}"/></components>'
        "</object>"
        for k in range(2, 30)
    )
    text = model(objects=objects, build='<item objectid="29"/>')
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": text})), "bodies; at most 2,000")


def test_3mf_deep_xml(tmp_path):
    text = f'<model {NS} unit="meter">' + "<a>" * 200_000 + "</a>" * 200_000 + "</model>"
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": text})), "a.3mf")


def test_3mf_unknown_unit(tmp_path):
    refused(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": model('unit="league"')})), "league")


@pytest.mark.parametrize(
    "uri",
    [
        "../secret.bin",
        "/etc/hostname",
        "file:///etc/hostname",
        "http://example.invalid/a.bin",
        "a/../../secret.bin",
        "%2e%2e/secret.bin",
        "link.bin",
        "link/secret.bin",
        "gone.bin",
        "a\0b.bin",
        "x" * 5000,
    ],
)
def test_gltf_references_stay_in_the_folder(tmp_path, uri):
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "secret.bin").write_bytes(b"\0" * 168)
    (home / "link.bin").symlink_to(tmp_path / "secret.bin")
    (home / "link").symlink_to(tmp_path)
    tree = gltf(buffers=[{"byteLength": 168, "uri": uri}])
    refused(put(home, "a.gltf", json.dumps(tree)), "a.gltf")


def test_a_shell_file_that_is_a_link_out_of_its_folder(tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    put(tmp_path, "b.stl", CUBE.export(file_type="stl"))
    (home / "a.stl").symlink_to(tmp_path / "b.stl")
    refused(home / "a.stl", "link to another folder", error=UsageError)
    (tmp_path / "c.stl").symlink_to(tmp_path / "b.stl")
    assert len(read_shell(tmp_path / "c.stl").faces) == 12


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"accessors": [{"componentType": 5126, "count": 2_000_000_000, "type": "VEC3"}] * 2}, "sparse"),
        (
            {"accessors": [{"bufferView": 0, "componentType": 5126, "count": 2_000_000_000, "type": "VEC3"}] * 2},
            "beyond its buffer",
        ),
        ({"accessors": [{"bufferView": 0, "componentType": 5126, "count": -5, "type": "VEC3"}] * 2}, "a.gltf"),
        ({"accessors": [{"bufferView": 0, "componentType": 5123, "count": 8, "type": "VEC3"}] * 2}, "packed"),
        ({"bufferViews": [{"buffer": 0, "byteOffset": -96, "byteLength": 96}] * 2}, "a.gltf"),
        ({"bufferViews": [{"buffer": 7, "byteOffset": 0, "byteLength": 96}] * 2}, "a.gltf"),
        ({"nodes": [{"mesh": 0, "children": [0]}]}, "no tree"),
        ({"nodes": [{"mesh": 0, "children": [1, 1]}, {"mesh": 0}]}, "no tree"),
        ({"nodes": [{"mesh": 99}]}, "a.gltf"),
        ({"nodes": [{"mesh": 0}, {"children": [0]}] + [{"children": [k]} for k in range(1, 400)]}, "a.gltf"),
        ({"extensionsRequired": ["KHR_draco_mesh_compression"]}, "without compression"),
        ({"asset": {"version": "1.0"}}, "not glTF 2"),
        ({"meshes": "x"}, "a.gltf"),
        ({"buffers": [{"byteLength": 168, "uri": "data:;base64,!!!!"}]}, "decoded"),
        ({"nodes": [{"mesh": 0, "matrix": [1] * 15}]}, "a.gltf"),
        ({"nodes": [{"mesh": 0, "scale": [1, 2]}]}, "a.gltf"),
    ],
)
def test_gltf_tables_that_do_not_fit(tmp_path, changes, words):
    if "nodes" in changes and len(changes["nodes"]) > 300:
        changes = {**changes, "scenes": [{"nodes": [len(changes["nodes"]) - 1]}]}
    refused(put(tmp_path, "a.gltf", json.dumps(gltf(**changes))), words)


def test_gltf_nested_without_end(tmp_path):
    refused(put(tmp_path, "a.gltf", '{"asset":' * 100_000), "a.gltf")
    refused(put(tmp_path, "b.gltf", "[" * 5_000_000), "b.gltf")


@pytest.mark.parametrize(
    ("count", "words"), [(90_000, "90,000 objects"), (9_000, "9,000 bodies"), (1_900, "38,912,000 triangles")]
)
def test_gltf_one_mesh_placed_many_times(tmp_path, count, words):
    points = trimesh.creation.icosphere(5)
    body = np.asarray(points.vertices, "<f4").tobytes() + np.asarray(points.faces, "<u4").tobytes()
    tree = gltf(
        nodes=[{"mesh": 0}] * count,
        scenes=[{"nodes": list(range(count))}],
        accessors=[
            {"bufferView": 0, "componentType": 5126, "count": len(points.vertices), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5125, "count": points.faces.size, "type": "SCALAR"},
        ],
        bufferViews=[
            {"buffer": 0, "byteOffset": 0, "byteLength": 12 * len(points.vertices)},
            {"buffer": 0, "byteOffset": 12 * len(points.vertices), "byteLength": 4 * points.faces.size},
        ],
        buffers=[{"byteLength": len(body), "uri": "data:;base64," + base64.b64encode(body).decode()}],
    )
    refused(put(tmp_path, "a.gltf", json.dumps(tree)), words, most=150_000_000)


def test_glb_with_wrong_lengths(tmp_path):
    data = bytearray(trimesh.Scene(CUBE).export(file_type="glb"))
    for at, value in ((8, 2**32 - 1), (12, 2**32 - 1), (12, 3), (4, 1)):
        broken = bytearray(data)
        struct.pack_into("<I", broken, at, value)
        refused(put(tmp_path, "a.glb", bytes(broken)), "a.glb")


@pytest.mark.parametrize("count", [13, 2**31, 2**32 - 1])
def test_stl_that_claims_more_than_it_holds(tmp_path, count):
    data = bytearray(CUBE.export(file_type="stl"))
    struct.pack_into("<I", data, 80, count)
    refused(put(tmp_path, "a.stl", bytes(data)), f"{count:,} triangles", "holds 12")


@pytest.mark.parametrize("count", [10**6, 10**9, 10**15])
@pytest.mark.parametrize("form", ["ascii", "binary_little_endian"])
@pytest.mark.parametrize("element", ["vertex", "face"])
def test_ply_that_claims_more_than_it_holds(tmp_path, form, count, element):
    counts = {"vertex": 8, "face": 12, element: count}
    head = (
        f"ply\nformat {form} 1.0\nelement vertex {counts['vertex']}\nproperty float x\nproperty float y\n"
        f"property float z\nelement face {counts['face']}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    refused(put(tmp_path, "a.ply", head + "0 0 0\n" * 20), "a.ply")


@pytest.mark.parametrize(
    "line",
    [
        "property list uint int vertex_indices",
        "property list double double vertex_indices",
        "property list uchar uchar vertex_indices",
        "property quaternion vertex_indices",
        "property list uchar int",
        "element face 12",
        "element face -3",
        "element face 1e9",
        "nonsense",
    ],
)
def test_ply_headers_that_make_no_sense(tmp_path, line):
    head = (
        "ply\nformat binary_little_endian 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face 1\n{line}\nend_header\n"
    )
    refused(put(tmp_path, "a.ply", head.encode() + b"\xff" * 60), "a.ply")


def test_ply_header_without_end(tmp_path):
    refused(put(tmp_path, "a.ply", "ply\nformat ascii 1.0\n" + "comment x\n" * 500_000), "no PLY header")


@pytest.mark.parametrize("counts", ["1000000000 12 0", "8 1000000000 0", "-8 12 0", "8", "x y z", "8.5 12 0"])
def test_off_counts(tmp_path, counts):
    lines = CUBE.export(file_type="off").splitlines()
    refused(put(tmp_path, "a.off", "\n".join([lines[0], counts, *lines[2:]])), "a.off")


@pytest.mark.parametrize("line", ["f 1 2 99999999999", "f 0 1 2", "f 1 2 -9", "f a b c", "f 1.5 2 3", "v 1 2 x", "v 1"])
def test_obj_lines_that_make_no_sense(tmp_path, line):
    refused(put(tmp_path, "a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n" + line + "\n"), "a.obj")


def test_obj_of_a_hundred_thousand_materials_takes_no_time(tmp_path):
    lines = [f"v {k} {k % 7} {k % 5}" for k in range(20_000)]
    lines += [f"usemtl m{k}\no o{k}\ng g{k}\nf {k + 1} {k + 2} {k + 3}" for k in range(19_000)]
    assert len(read_shell(put(tmp_path, "a.obj", "\n".join(lines))).faces) == 19_000


def test_ten_gigabyte_file_is_not_read(tmp_path):
    path = tmp_path / "a.stl"
    with path.open("wb") as file:
        file.truncate(10_000_000_000)  # a hole in the disc, no bytes
    refused(path, "10.0 GB", most=10_000_000 - 4 * 10_000_000_000)


@pytest.mark.parametrize("ending", ["stl", "obj", "ply", "off"])
def test_text_that_takes_too_much_memory_is_asked_for_in_binary(tmp_path, ending):
    options = {"encoding": "ascii"} if ending == "ply" else {}
    data = CUBE.export(file_type="stl_ascii" if ending == "stl" else ending, **options)
    path = put(tmp_path, f"a.{ending}", data)
    with pytest.raises(ShellError, match=r"of memory to read and tidy; .* binary format"):
        read_shell(path, memory_bytes=2 * path.stat().st_size)
    assert len(read_shell(path).faces) == 12


@pytest.mark.parametrize("ending", ["stl", "ply", "obj", "3mf", "glb"])
def test_a_mesh_that_takes_too_much_memory_to_tidy_is_refused_before(tmp_path, ending):
    ball = trimesh.creation.icosphere(5)
    path = put(tmp_path, f"a.{ending}", (trimesh.Scene(ball) if ending == "glb" else ball).export(file_type=ending))
    with pytest.raises(ShellError, match=r"20,480 triangles, which take about .* allow more"):
        read_shell(path, memory_bytes=16_000_000 + path.stat().st_size // 2)
    assert len(read_shell(path, memory_bytes=80_000_000).faces) == 20_480
    with pytest.raises(ShellError, match="allow more"):
        shell_report(path, "m", memory_bytes=16_000_000 + path.stat().st_size // 2)


def test_binary_noise_with_every_ending(tmp_path):
    rng = np.random.default_rng(0)
    for ending in ("stl", "obj", "ply", "glb", "gltf", "3mf", "off"):
        for size in (1, 83, 84, 85, 5000):
            path = put(tmp_path, f"a.{ending}", rng.bytes(size))
            with pytest.raises(PourwrightError):
                read_shell(path)
