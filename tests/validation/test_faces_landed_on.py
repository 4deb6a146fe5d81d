"""What faces give to liquid that stands on them, against H. S. Carslaw & J. C. Jaeger, Conduction of Heat in Solids,
2nd ed. 1959, section 2.4 (a half-space whose face is held cold, from memory), with the faces' area by hand.
"""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from trimesh.boolean import union

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.day import choose_day
from pourwright.day.body import Body
from pourwright.intake import job_from_shell
from pourwright.lifts import lifts_of_day
from pourwright.plan import Case, history_of, skin_of
from pourwright.plan.day import question_of
from pourwright.plan.heat_cells import faces_under
from pourwright.plan.heating import problem_of

KEYS = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "8 mm", "heat.cells": 60_000, "heat.rise": "147 K",
    "structure.computed": False, "shop.parts": "20 degC", "shop.air": "20 degC", "shop.skin": "20 degC",
    "shop.mix": "25 s", "shop.largest_batch": "2 L",
}  # fmt: skip
LEG, BODY, HEIGHT, TALL = 0.1, 0.3, 0.4, 0.12


def test_a_body_on_two_legs_takes_up_what_the_tops_of_those_legs_give(tmp_path):
    """By hand: effusivity e and cream time t give 2 e sqrt(t/pi) a square metre and kelvin of the legs' tops."""
    legs = [trimesh.creation.box(bounds=[[x, 0, 0], [x + LEG, LEG, HEIGHT]]) for x in (-0.08, 0.08)]
    body = trimesh.creation.box(bounds=[[-0.1, -0.1, HEIGHT - 1e-4], [-0.1 + BODY, -0.1 + BODY, HEIGHT + TALL]])
    path = tmp_path / "table.stl"
    union([*legs, body]).export(path)
    job = job_from_shell(path, KEYS)
    skin, history = skin_of(job), history_of(job)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(skin, frame, cell_m=job.cell_m)
    graph = build_levels(cavity)
    case = Case(job, Space(skin, cavity, graph), history)
    asked = question_of(case, ())
    found = choose_day(asked, fewest=True)
    assert len(found.day.stretches) >= 2
    plan = lifts_of_day(case.space, history.foam, job.limits, found)
    problem = problem_of(case, plan, 60_000)
    inner = LEG - 0.008
    area = faces_under(problem.grid, len(problem.pours))
    first = next(k for k, pour in enumerate(problem.pours) if area[k] > 0)
    assert area[first] == pytest.approx(2 * inner**2, rel=0.15)  # the cavities of the legs, on cells of 8 mm
    foam, grade = history.foam, history.foam.grade
    effusivity = np.sqrt(grade.conductivity_hot_w_mk * foam.open_density_kg_m3.nominal * grade.specific_heat_j_kgk)
    pours = {pour.name: pour for lift in plan.lifts for pour in lift.pours}
    kg = pours[problem.pours[first].name].foam_kg.nominal
    gives = 2 * effusivity * np.sqrt(foam.cream_s / np.pi) * 2 * inner**2  # J for a kelvin
    assert problem.pours[first].warming == pytest.approx(gives / (kg * grade.specific_heat_j_kgk), rel=0.15)
    bodies = Body(cavity, graph, found.slabs, asked.source, asked.skin, asked.air, (1, 1))
    on_body = bodies.warming(found.day.slab_start_s)
    low = {s.low: k for k, s in enumerate(found.day.stretches)}
    lands = min(i for i in low if bodies.face_m2[i] > 0)
    assert on_body[lands] == pytest.approx(problem.pours[first].warming, rel=0.15)
