"""Shell files made by hand: small cubes in every format, right or spoiled."""

import base64
import io
import zipfile

import numpy as np
import trimesh

CUBE = trimesh.creation.box((1, 1, 1))
NS = 'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"'


def put(tmp_path, name, data):
    path = tmp_path / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def model(unit='unit="millimeter"', objects="", build='<item objectid="1"/>', head=""):
    corners = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in CUBE.vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in CUBE.faces)
    cube = f'<object id="1"><mesh><vertices>{corners}</vertices><triangles>{faces}</triangles></mesh></object>'
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{head}<model {NS} {unit}><resources>{cube}{objects}</resources>'
        f"<build>{build}</build></model>"
    )


def zipped(parts, compression=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", compression) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return out.getvalue()


def gltf(**changes):
    body = np.asarray(CUBE.vertices, "<f4").tobytes() + np.asarray(CUBE.faces, "<u2").tobytes()
    tree = {
        "asset": {"version": "2.0"},
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": 36, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": 96},
            {"buffer": 0, "byteOffset": 96, "byteLength": 72},
        ],
        "buffers": [{"byteLength": len(body), "uri": "data:;base64," + base64.b64encode(body).decode()}],
    }
    tree.update(changes)
    return tree
