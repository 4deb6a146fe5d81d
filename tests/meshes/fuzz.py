"""Damaged shell files without end: small good files of every format, and the ways to break them."""

from __future__ import annotations

import base64
import io
import json
import struct
import zipfile

import numpy as np
import trimesh

NUMBERS = [b"0", b"-1", b"1e9", b"1e308", b"-1e-308", b"nan", b"inf", b"4294967295", b"2147483648", b"9" * 20, b""]
INTEGERS = [0, 1, 0x7F, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0xFFFFFFFF, 0x80000000]
FLOATS = [0.0, np.nan, np.inf, -np.inf, 1e38, -1e-38, 1e30, 1e-30]


def seeds() -> list[tuple[str, bytes]]:
    """(ending, bytes) of small good files; the body is 1 m or so, closed, open, or a shell in a shell."""
    ball = trimesh.creation.icosphere(2, radius=0.5)
    bowl = ball.slice_plane([0, 0, 0.1], [0, 0, -1])
    double = ball + trimesh.creation.icosphere(1, radius=0.3)
    out: list[tuple[str, bytes]] = []
    for m in (ball, bowl, double):
        out += [("stl", m.export(file_type="stl")), ("stl", m.export(file_type="stl_ascii").encode())]
        out += [("obj", m.export(file_type="obj").encode()), ("off", m.export(file_type="off").encode())]
        out += [("ply", m.export(file_type="ply")), ("ply", m.export(file_type="ply", encoding="ascii"))]
        out += [("glb", trimesh.Scene(m).export(file_type="glb")), ("3mf", m.export(file_type="3mf"))]
        out.append(("gltf", _gltf(m)))
    return out


def _gltf(m) -> bytes:
    points, faces = np.asarray(m.vertices, "<f4").tobytes(), np.asarray(m.faces, "<u4").tobytes()
    body = base64.b64encode(points + faces).decode()
    tree = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "children": [1]}, {"mesh": 0, "translation": [3, 0, 0]}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(m.vertices), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5125, "count": m.faces.size, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": len(points)},
            {"buffer": 0, "byteOffset": len(points), "byteLength": len(faces)},
        ],
        "buffers": [{"byteLength": len(points + faces), "uri": "data:;base64," + body}],
    }
    return json.dumps(tree).encode()


def mutate(rng: np.random.Generator, ending: str, data: bytes) -> tuple[str, bytes]:
    """One to four kinds of damage, mostly one, chosen by ``rng``."""
    if ending == "3mf" and rng.random() < 0.7:
        data = _inside_zip(rng, data)
    for _ in range(int(rng.choice([1, 1, 1, 2, 4]))):
        data = _damage(rng, data)
    if rng.random() < 0.05:
        ending = str(rng.choice(["stl", "obj", "ply", "off", "glb", "gltf", "3mf"]))
    return ending, data


def _inside_zip(rng: np.random.Generator, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            body = old.read(name)
            new.writestr(name, _damage(rng, body) if name.endswith("model") else body)
    return out.getvalue()


def _damage(rng: np.random.Generator, data: bytes) -> bytes:
    if not data:
        return data
    kind = int(rng.integers(0, 11))
    body = bytearray(data)
    at = int(rng.integers(0, len(body)))
    # half of the damage goes to the head of the file, where the counts are
    if rng.random() < 0.5:
        at = int(rng.integers(0, min(len(body), 300)))
    end = min(len(body), at + int(rng.integers(1, 200)))
    if kind == 0:
        body[at] ^= 1 << int(rng.integers(0, 8))
    elif kind == 1:
        body[at:end] = rng.bytes(end - at)
    elif kind == 2:
        del body[at:]
    elif kind == 3:
        del body[at:end]
    elif kind == 4:
        body[at:at] = body[at:end] * int(rng.integers(1, 20))
    elif kind == 5 and len(body) >= 4:
        struct.pack_into("<I", body, min(at, len(body) - 4), INTEGERS[int(rng.integers(len(INTEGERS)))])
    elif kind == 6 and len(body) >= 4:
        struct.pack_into("<f", body, min(at, len(body) - 4), FLOATS[int(rng.integers(len(FLOATS)))])
    elif kind == 7:
        body = bytearray(_other_number(rng, bytes(body), at))
    elif kind == 8:
        words = bytes(body).split(b"\n")
        rng.shuffle(words)
        body = bytearray(b"\n".join(words))
    elif kind == 9:
        body[at:at] = [b"\0", b"\n", b" ", b"<", b"{", b"[", b'"', b"-", b"\xff", b"e"][int(rng.integers(10))]
    else:
        words = bytes(body).split(b"\n")
        k = int(rng.integers(len(words)))
        body = bytearray(b"\n".join(words[:k] + [words[k]] * int(rng.integers(2, 50)) + words[k + 1 :]))
    return bytes(body)


def _other_number(rng: np.random.Generator, data: bytes, at: int) -> bytes:
    """The number at or after ``at`` becomes another."""
    digits = b"0123456789.+-eE"
    while at < len(data) and data[at : at + 1] not in [bytes([d]) for d in b"0123456789"]:
        at += 1
    end = at
    while end < len(data) and data[end] in digits:
        end += 1
    return data[:at] + NUMBERS[int(rng.integers(len(NUMBERS)))] + data[end:]
