"""Small files that ask for much: every one is made here, none is kept.

``FILES`` names them; each function returns (ending, bytes). Sizes are arguments, so that the same file can be tried
small and as it was found.
"""

from __future__ import annotations

import base64
import io
import json
import struct
import zipfile

import numpy as np
import trimesh

NS = 'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"'
TRIANGLE = "v 0 0 0\nv 500 0 0\nv 0 500 0\nf 1 2 3\n"


# numbers and words


def obj_long_number(digits=200_000):
    return "obj", f"v {'1' * digits} 0 0\n{TRIANGLE}".encode()


def obj_long_broken_number(digits=200_000):
    return "obj", f"v {'1' * digits}x 0 0\n{TRIANGLE}".encode()


def obj_long_fraction(digits=200_000):
    return "obj", f"v 0.{'3' * digits} 0 0\n{TRIANGLE}".encode()


def obj_long_corner(digits=200_000):
    return "obj", f"{TRIANGLE}f {'1' * digits} 2 3\n".encode()


def obj_many_long_numbers(size=4_900_000):
    line = f"v {'7' * 2000}e {'7' * 2000}e {'7' * 2000}e\n"
    return "obj", (TRIANGLE + line * (size // len(line))).encode()


def obj_blanks(size=4_900_000):
    return "obj", (TRIANGLE + "v 1" + " " * size + "x\n").encode()


def obj_one_polygon(size=4_900_000):
    return "obj", (TRIANGLE + "f" + " 1" * (size // 2)).encode()


def obj_shortest_lines(size=4_900_000):
    return "obj", (TRIANGLE + "v\n" * (size // 2)).encode()


def off_long_number(digits=200_000):
    return "off", f"OFF\n3 1 0\n{'1' * digits} 0 0\n1 0 0\n0 1 0\n3 0 1 2\n".encode()


def off_long_count(digits=200_000):
    return "off", f"OFF\n{'1' * digits} 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n".encode()


def off_one_polygon(size=4_900_000):
    return "off", f"OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n{size // 2} {'0 ' * (size // 2)}\n".encode()


def stl_long_number(digits=200_000):
    corner = "vertex 0 0 0\nvertex 1 0 0\n"
    return "stl", f"solid x\nfacet normal 0 0 1\nouter loop\n{corner}vertex {'1' * digits} 1 0\nendsolid x\n".encode()


def stl_blanks(size=4_900_000):
    return "stl", f"solid x\nfacet\nvertex 1 {' ' * size}\nvertex\nendsolid x\n".encode()


def stl_words(size=4_900_000):
    return "stl", b"solid x\nfacet\n" + b"vertex" * (size // 6) + b"\nendsolid x\n"


def ply_long_number(digits=200_000):
    return "ply", _ply("ascii", 3, 1) + f"{'1' * digits} 0 0\n1 0 0\n0 1 0\n3 0 1 2\n".encode()


# 3MF


def _zip(model, name="3D/3dmodel.model"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, model)
    return out.getvalue()


def _model(inside="", objects="", build='<item objectid="1"/>', mesh=""):
    box = trimesh.creation.box((400, 400, 400))
    corners = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in box.vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in box.faces)
    cube = f'<object id="1"><mesh><vertices>{corners}</vertices><triangles>{faces}{mesh}</triangles></mesh></object>'
    return f'<model {NS} unit="millimeter">{inside}<resources>{cube}{objects}</resources><build>{build}</build></model>'


def threemf_empty_elements(count=15_000_000):
    return "3mf", _zip(_model("<a/>" * count))


def threemf_small_texts(count=25_000_000):
    return "3mf", _zip(_model("<m>" + "&#65;<b/>" * (count // 2) + "</m>"))


def threemf_one_text(size=95_000_000):
    return "3mf", _zip(_model("<m>" + "x" * size + "</m>"))


def threemf_attributes(count=1_900_000):
    return "3mf", _zip(_model("<m " + " ".join(f'a{k}=""' for k in range(count)) + "/>"))


def threemf_triangles(count=1_900_000):
    return "3mf", _zip(_model(mesh='<triangle v1="0" v2="1" v3="2"/>' * count))


def threemf_nested(depth=4_000_000):
    return "3mf", _zip(_model("<a>" * depth + "</a>" * depth))


def threemf_items(count=500_000):
    return "3mf", _zip(_model(build='<item objectid="1"/>' * count))


def threemf_empty_objects_that_double(depth=30):
    objects = '<object id="2"/>' + "".join(
        f'<object id="{k}"><components><component objectid="{k - 1}"/><component objectid="{k - 1}"/></components>'
        "</object>"
        for k in range(3, depth)
    )
    return "3mf", _zip(_model(objects=objects, build=f'<item objectid="{depth - 1}"/>'))


def threemf_long_number(digits=200_000):
    return "3mf", _zip(_model().replace('x="-200.0"', f'x="{"1" * digits}"', 1))


def threemf_long_move(numbers=5_000_000):
    return "3mf", _zip(_model(build=f'<item objectid="1" transform="{"1 " * numbers}"/>'))


# glTF


def _gltf(nodes=None, roots=None, meshes=None, **more):
    box = trimesh.creation.box((0.4, 0.4, 0.4))
    body = np.asarray(box.vertices, "<f4").tobytes() + np.asarray(box.faces, "<u2").tobytes()
    nodes = [{"mesh": 0}] if nodes is None else nodes
    tree = {
        "asset": {"version": "2.0"},
        "scenes": [{"nodes": list(range(len(nodes))) if roots is None else roots}],
        "nodes": nodes,
        "meshes": meshes or [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": 36, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": 96},
            {"buffer": 0, "byteOffset": 96, "byteLength": 72},
        ],
        "buffers": [{"byteLength": len(body), "uri": "data:;base64," + base64.b64encode(body).decode()}],
        **more,
    }
    return "gltf", json.dumps(tree, separators=(",", ":")).encode()


def glb_instances(count=60_000):
    box = trimesh.creation.box((0.4, 0.4, 0.4))
    data = bytearray(trimesh.Scene(box).export(file_type="glb"))
    size = struct.unpack_from("<I", data, 12)[0]
    tree, rest = json.loads(data[20 : 20 + size]), data[20 + size :]
    mesh = next(node["mesh"] for node in tree["nodes"] if "mesh" in node)
    tree["nodes"] = [{"mesh": mesh, "translation": [k % 245, k // 245, 0]} for k in range(count)]
    tree["scenes"], tree["scene"] = [{"nodes": list(range(count))}], 0
    text = json.dumps(tree, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    head = struct.pack("<III", 0x46546C67, 2, 20 + len(text) + len(rest)) + struct.pack("<II", len(text), 0x4E4F534A)
    return "glb", head + text + bytes(rest)


def gltf_empty_nodes(count=1_600_000):
    return _gltf([{}] * count, roots=[0])


def gltf_one_mesh_of_many_parts(count=50_000):
    return _gltf(meshes=[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}] * count}])


def gltf_one_table_for_many_meshes(corners=300_000, count=2_000):
    body = np.zeros(corners * 3, "<f4").tobytes()
    mesh = {"primitives": [{"attributes": {"POSITION": 0}}]}
    return _gltf(
        [{"mesh": k} for k in range(count)],
        meshes=[mesh] * count,
        accessors=[{"bufferView": 0, "componentType": 5126, "count": corners, "type": "VEC3"}],
        bufferViews=[{"buffer": 0, "byteLength": len(body)}],
        buffers=[{"byteLength": len(body), "uri": "data:;base64," + base64.b64encode(body).decode()}],
    )


def gltf_brackets(count=1_600_000):
    return _gltf(extras=[[]] * count)


# PLY


def _ply(form, points, faces, other="", first=False):
    point = f"element vertex {points}\nproperty float x\nproperty float y\nproperty float z\n"
    face = f"element face {faces}\nproperty list uchar int vertex_indices\n"
    between = f"{other}{point}" if first else f"{point}{other}"
    return f"ply\nformat {form} 1.0\n{between}{face}end_header\n".encode()


_TRIANGLE = np.array([[0, 0, 0], [500, 0, 0], [0, 500, 0]], "<f4").tobytes()
_FACE = struct.pack("<B3i", 3, 0, 1, 2)


def ply_rows_of_lists(rows=20_000_000):
    other = f"element strip {rows}\nproperty list uchar uchar entry\n"
    return "ply", _ply("binary_little_endian", 3, 1, other) + _TRIANGLE + b"\0" * rows + _FACE


def ply_text_rows_of_lists(rows=2_400_000):
    other = f"element strip {rows}\nproperty list uchar uchar entry\n"
    return "ply", _ply("ascii", 3, 1, other) + b"0 0 0\n1 0 0\n0 1 0\n" + b"0\n" * rows + b"3 0 1 2\n"


def ply_empty_faces(rows=19_000_000):
    return "ply", _ply("binary_little_endian", 3, rows + 1) + _TRIANGLE + _FACE + b"\0" * rows


def ply_text_empty_faces(rows=2_400_000):
    return "ply", _ply("ascii", 3, rows + 1) + b"0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n" + b"0\n" * rows


def ply_short_faces(count=1_200_000):
    head = _ply("binary_little_endian", 3, count).replace(b"uchar int", b"uchar uchar")
    return "ply", head + _TRIANGLE + b"\3\0\1\2" * count


def ply_mixed_faces(count=1_000_000):
    head = _ply("binary_little_endian", 3, count).replace(b"uchar int", b"uchar uchar")
    return "ply", head + _TRIANGLE + b"\3\0\1\2\4\0\1\2\1" * (count // 2)


def ply_one_fan(corners=4_800_000):
    head = _ply("binary_little_endian", 3, 1).replace(b"uchar int", b"uint uchar")
    return "ply", head + _TRIANGLE + struct.pack("<I", corners) + b"\0\1\2" * (corners // 3)


def ply_points(count=1_600_000):
    head = _ply("binary_little_endian", count, 1).replace(b"float", b"char")
    return "ply", head + b"\1\2\3" * count + _FACE


FILES = {
    name: function
    for name, function in list(globals().items())
    if not name.startswith("_") and getattr(function, "__module__", "") == __name__
}
LARGE = {"ply_rows_of_lists", "ply_empty_faces"}
"""More than 5 MB: answered too, but within twice as much."""
