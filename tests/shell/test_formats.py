"""Shell files of every format and habit are read: units, axes, placed parts, quads, notes after the end."""

import base64
import json
import socket
import struct

import numpy as np
import pytest
import trimesh
from shell_files import CUBE, gltf, model, put, zipped

from pourwright.shell import shell_report
from pourwright.shell.read import read_shell


@pytest.fixture(autouse=True)
def no_network(monkeypatch):
    def refuse(*args, **kwargs):
        raise AssertionError("a shell file opened a connection")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)


@pytest.mark.parametrize(
    ("unit", "want"),
    [("micron", "um"), ("millimeter", "mm"), ("centimeter", "cm"), ("inch", "in"), ("foot", "ft"), ("meter", "m")],
)
def test_3mf_units(tmp_path, unit, want):
    raw = read_shell(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": model(f'unit="{unit}"')})))
    assert raw.unit == want
    assert len(raw.faces) == 12


def test_3mf_without_a_unit_is_in_millimetres_by_its_specification(tmp_path):
    assert read_shell(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": model("")}))).unit == "mm"


def test_3mf_components_are_placed(tmp_path):
    objects = (
        '<object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>'
        '<component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>'
    )
    text = model(objects=objects, build='<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 0"/>')
    raw = read_shell(put(tmp_path, "a.3mf", zipped({"3D/3dmodel.model": text})))
    assert len(raw.faces) == 24
    assert np.ptp(raw.vertices[:, 0]) == pytest.approx(12.0)
    m = trimesh.Trimesh(raw.vertices, raw.faces, process=False)
    assert m.volume == pytest.approx(16.0)  # the mirrored one keeps its outside outside


def test_gltf_is_in_metres_and_keeps_its_axes(tmp_path):
    tree = gltf(nodes=[{"mesh": 0, "translation": [0, 3, 0], "scale": [1, 2, 1]}])
    raw = read_shell(put(tmp_path, "a.gltf", json.dumps(tree)))
    assert raw.unit == "m"
    assert raw.vertices[:, 1].min() == pytest.approx(2.0)
    report = shell_report(tmp_path / "a.gltf")
    assert any(f.name == "axes" for f in report.findings)
    assert report.enclosed_m3 == pytest.approx(2.0)


def test_gltf_buffer_beside_it(tmp_path):
    tree = gltf()
    body = base64.b64decode(tree["buffers"][0]["uri"].split(",")[1])
    tree["buffers"][0]["uri"] = "my%20cube.bin"
    (tmp_path / "my cube.bin").write_bytes(body)
    assert len(read_shell(put(tmp_path, "a.gltf", json.dumps(tree))).faces) == 12


def test_gltf_with_strided_points(tmp_path):
    points = np.zeros(8, np.dtype([("p", "<f4", 3), ("n", "<f4", 3)]))
    points["p"] = CUBE.vertices
    body = points.tobytes() + np.asarray(CUBE.faces, "<u2").tobytes()
    tree = gltf(
        bufferViews=[
            {"buffer": 0, "byteOffset": 0, "byteLength": 192, "byteStride": 24},
            {"buffer": 0, "byteOffset": 192, "byteLength": 72},
        ],
        buffers=[{"byteLength": len(body), "uri": "data:;base64," + base64.b64encode(body).decode()}],
    )
    raw = read_shell(put(tmp_path, "a.gltf", json.dumps(tree)))
    assert trimesh.Trimesh(raw.vertices, raw.faces).volume == pytest.approx(1.0)


def test_obj_counted_back_quads_and_lines_that_go_on(tmp_path):
    text = ""
    for face in ([0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]):
        for k in face:
            x, y, z = k >> 2, (k >> 1) & 1, k & 1
            text += f"v {x} {y} {z}\n"
        text += "f -4/1/1 -3/2/2 \\\n -2//3 -1\n"
    raw = read_shell(put(tmp_path, "a.obj", "mtllib ../../secret.mtl\nusemtl x\ng a b\n" + text))
    assert len(raw.faces) == 12
    assert abs(trimesh.Trimesh(raw.vertices, raw.faces).volume) == pytest.approx(1.0)


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("mixed", [False, True])
def test_binary_ply_of_quads_and_triangles(tmp_path, order, mixed):
    quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    faces = quads if not mixed else [quads[0][:3], [quads[0][0], *quads[0][2:]], *quads[1:]]
    points = np.array([[k >> 2, (k >> 1) & 1, k & 1] for k in range(8)], order + "f4")
    body = points.tobytes()
    for f in faces:
        body += struct.pack(f"{order}B{len(f)}i", len(f), *f) + struct.pack(order + "f", 0.5)
    name = "little" if order == "<" else "big"
    head = (
        f"ply\nformat binary_{name}_endian 1.0\ncomment TextureFile ../../secret.png\nelement vertex 8\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_index\nproperty float quality\nend_header\n"
    )
    raw = read_shell(put(tmp_path, "a.ply", head.encode() + body))
    assert len(raw.faces) == 12
    assert abs(trimesh.Trimesh(raw.vertices, raw.faces).volume) == pytest.approx(1.0)


def test_text_ply_of_mixed_faces_and_an_element_before_them(tmp_path):
    text = (
        "ply\r\nformat ascii 1.0\r\nelement vertex 4\r\nproperty float x\r\nproperty float y\r\nproperty float z\r\n"
        "property uchar red\r\nelement edge 1\r\nproperty int vertex1\r\nproperty int vertex2\r\n"
        "element face 3\r\nproperty list uchar int vertex_indices\r\nend_header\r\n"
        "0 0 0 9\r\n1 0 0 9\r\n1 1 0 9\r\n0 0 1 9\r\n0 1\r\n3 0 1 2\r\n4 0 1 2 3\r\n3 0 1 3\r\n"
    )
    raw = read_shell(put(tmp_path, "a.ply", text))
    assert len(raw.faces) == 4


def test_binary_stl_with_notes_after_its_end(tmp_path):
    data = CUBE.export(file_type="stl")
    assert len(read_shell(put(tmp_path, "a.stl", data + b"made by a friendly exporter")).faces) == 12


def test_binary_stl_that_begins_with_solid(tmp_path):
    data = CUBE.export(file_type="stl")
    assert len(read_shell(put(tmp_path, "a.stl", b"solid heron".ljust(80) + data[80:])).faces) == 12


def test_text_stl_of_several_solids_in_capitals(tmp_path):
    text = CUBE.export(file_type="stl_ascii").upper()
    assert len(read_shell(put(tmp_path, "a.stl", text + text)).faces) == 24
