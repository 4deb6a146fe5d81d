"""Mesh makers and a writer of shell files."""

from __future__ import annotations

import importlib.util
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from pourwright.shell import WallBand, load_skin, skin_material


@pytest.fixture(scope="session")
def odd():
    """The module ``tests/meshes/odd.py``."""
    path = Path(__file__).parents[1] / "meshes" / "odd.py"
    spec = importlib.util.spec_from_file_location("pourwright_odd_meshes", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def write(tmp_path):
    """``write(mesh, name)`` -> path; the ending picks the format, .stl is binary, .txt.stl is text."""

    def make(mesh, name="piece.stl"):
        vertices, faces = mesh
        path = tmp_path / name
        if name.endswith(".bin.stl"):
            data = np.zeros(len(faces), np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]))
            data["v"] = np.asarray(vertices)[faces]
            path.write_bytes(b"\0" * 80 + struct.pack("<I", len(faces)) + data.tobytes())
            return path
        m = trimesh.Trimesh(vertices, faces, process=False)
        m.export(path, file_type="stl_ascii" if name.endswith(".txt.stl") else None)
        return path

    return make


@pytest.fixture
def skin_of(write):
    """``skin_of(mesh, wall_m, **load options)`` -> Skin, written as a PLY in metres."""

    def make(mesh, wall=0.005, name="piece.ply", unit="m", material="grp", **options):
        bands = options.pop("bands", (WallBand("", 0.0, np.inf, wall),) if wall else ())
        return load_skin(write(mesh, name), unit=unit, material=skin_material(material), bands=bands, **options)

    return make
