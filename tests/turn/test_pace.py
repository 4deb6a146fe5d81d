"""Hours and pours of ways up: those of a quick plan; the coarse estimate, and where heat asks for cuts at all."""

from __future__ import annotations

import importlib
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.integrate import solve_ivp

from pourwright.cavity import Space, build_cavity, build_levels, coarse_sweep, pour_frame
from pourwright.day import too_hot_at_once
from pourwright.intake import job_from_shell
from pourwright.plan import Case, history_of, make_plan, question_of, skin_of
from pourwright.turn import find_ways
from pourwright.turn.pace import Pace

search = importlib.import_module("pourwright.turn.search")


def block(*sides):
    return trimesh.creation.box(bounds=[(0, 0, 0), sides])


def legs():
    parts = [
        trimesh.creation.box(bounds=np.array(corners, float))
        for corners in (
            [(0, 0, 0), (0.12, 0.12, 0.5)],
            [(0.38, 0, 0), (0.5, 0.12, 0.5)],
            [(0, 0, 0.45), (0.5, 0.3, 0.75)],
        )
    ]
    return trimesh.boolean.union(parts, engine="manifold")


@pytest.fixture
def job_of(tmp_path):
    def make(mesh, **keys):
        path = tmp_path / "piece.stl"
        mesh.export(path)
        asked = {"piece.unit": "m", "wall.thickness": "5 mm", "foam.grade": "rigid-3", "grid.cell": "10 mm"}
        return job_from_shell(path, {**asked, "day.search": True, **keys})

    return make


def test_a_way_seen_in_full_has_the_pours_and_hours_that_a_quick_plan_then_gives(job_of):
    job = job_of(legs())
    found = find_ways(job, confirm=1)
    for one in found.best:
        quick = replace(job, up=tuple(one.way.up), heat=replace(job.heat, computed=False))
        plan = make_plan(quick)
        begun = [step.start_s for step in plan.computed.steps if step.kind == "mix" and step.batch == 1]
        assert one.way.pours == sum(len(lift.pours) for lift in plan.lift_plan.lifts)
        assert one.way.last_h == pytest.approx(max(begun) / 3600.0, abs=1e-9)
        assert one.ports == sum(port.way == "drilled" for port in plan.lift_plan.ports)
        assert one.vents == sum(vent.way == "drilled" for vent in plan.lift_plan.vents)
        assert one.kept == plan.lift_plan.day.day.keeps
    work = [one.way.work_h for one in found.best if not one.over]
    assert work == sorted(work)


def test_the_coarse_look_gives_the_way_that_set_it_back(job_of):
    job = job_of(block(0.5, 0.3, 0.9))
    skin = skin_of(job)
    made = search.scene_of(job, skin)
    up = np.array([job.up], float)
    (seen,) = search.glanced(made, up)
    made = replace(made, pace=made.pace.set_by(seen, 7, 5.0))
    (way,) = search.look(made, up)
    assert (way.pours, way.last_h) == (7, pytest.approx(5.0))
    (flat,) = search.look(made, np.array([[0.0, 1.0, 0.0]]))
    assert 1 < flat.pours < 7
    assert flat.last_h < 3.0


def test_hot_height_is_that_of_the_hot_part_alone():
    # two lumps of 0.1 m, 0.3 m apart, on cells of 10 mm
    z = np.r_[np.arange(0.005, 0.1, 0.01), np.arange(0.305, 0.4, 0.01)]
    spots = np.array([(x, 0.0, h) for x in (0.005, 0.015) for h in z])
    pace = Pace(0.2, spots, 0.01, pours_per_m=10.0, hours_per_m=4.0)
    assert pace.hot_height_m(np.array([0.0, 0.0, 1.0])) == pytest.approx(0.2)
    assert pace.hot_height_m(np.array([1.0, 0.0, 0.0])) == pytest.approx(0.02)
    box = block(0.1, 0.1, 0.4)
    seen = coarse_sweep(
        box.vertices, box.faces, np.array([0, 0, 1.0]), cell_m=0.01, ripple_m=0.03, lift_m=np.inf, pour_m3=1.0
    )
    assert (seen.lifts, pace.pours(seen)) == (1, 3)
    assert pace.hours(seen) == pytest.approx(0.8)


def hot_half_width(asked, thick_m):
    """Half width of what is above the caution temperature too long in a wide slab: scipy's own integrator, 1-D."""
    source, skin, air, allowed = asked.source, asked.skin, asked.air, asked.allowed
    n, k = 120, source.conductivity_w_mk
    dx = 0.5 * thick_m / n
    per = source.density_kg_m3 * source.specific_heat_j_kgk
    layer = float(np.mean(skin.thickness_m))
    through = 1 / (0.5 * dx / k + layer / skin.conductivity_w_mk + 1 / air.outside_film_w_m2k)
    rate = np.gradient(source.curve.share, source.curve.time_s)

    def slope(t, u):
        flow = np.diff(u) * k / dx
        out = np.empty(n)
        out[:-1] = flow
        out[-1] = through * (air.air_k - u[-1])
        out[1:] -= flow
        return out / (dx * per) + source.heat.rise_k * np.interp(t, source.curve.time_s, rate, right=0.0)

    times = np.arange(0.0, 24 * 3600.0, 30.0)
    begin = source.start_k + source.heat.rise_k * source.curve.share[0]  # what is out when it lies in its place
    u = solve_ivp(slope, (0, times[-1]), np.full(n, begin), "BDF", times, rtol=1e-6, max_step=600).y
    base = min(source.start_k, air.air_k, skin.start_k)
    lower = base + (source.limit_k - base) * source.heat.rise_k / source.heat.high_k
    likely = (u > source.limit_k).sum(axis=1) * 30 / 3600 / (allowed.share * allowed.dose_h)
    high = (u > lower).sum(axis=1) * 30 / 3600 / allowed.high_h
    return dx * np.count_nonzero(np.maximum(likely, high) > 1.0)


@pytest.mark.parametrize("thick", [0.16, 0.24])
def test_where_a_wide_slab_is_too_hot_at_once_is_where_an_independent_solution_says(job_of, thick):
    job = job_of(block(thick + 0.01, 0.9, 0.9), **{"grid.cell": "8 mm"})
    skin = skin_of(job)
    frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    cavity = build_cavity(skin, frame, cell_m=job.cell_m, memory_bytes=job.memory_bytes)
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m)
    asked = question_of(Case(job, Space(skin, cavity, graph), history_of(job)), ())
    spots, cell = too_hot_at_once(cavity, graph, asked.source, asked.skin, asked.air, asked.allowed)
    middle = 0.5 * frame.size_m
    near = np.abs(spots[:, 1:] - middle[1:]).max(axis=1) < 0.15  # far from the slab's own edges
    half = np.abs(spots[near, 0] - middle[0]).max(initial=-0.5 * cell) + 0.5 * cell
    assert half == pytest.approx(hot_half_width(asked, thick), abs=1.1 * cell)


def test_a_thin_piece_asks_for_no_cut_by_heat(job_of):
    job = job_of(block(0.06, 0.5, 0.6), **{"grid.cell": "5 mm"})
    made = search.scene_of(job, skin_of(job))
    assert len(made.pace.hot_m) == 0
    assert made.pace.hot_height_m(np.array([0.0, 0.0, 1.0])) == 0.0
