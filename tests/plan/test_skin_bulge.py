"""Finite elements judge the pressure on the skin: lifts, limits, shores, and the plan for what is left."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from tests.reference.seen import lifts_seen

from pourwright.document.plan_json import plan_json
from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.lifts import judged
from pourwright.plan import make_plan
from pourwright.report.markdown import plan_markdown
from pourwright.report.piece_page import piece_html
from pourwright.report.sheet import sheet_html
from pourwright.wording.findings import sentences

FEW = {"structure.triangles": 900, "heat.cells": 2000, "grid.cell": "8 mm", "piece.unit": "m"}


@pytest.fixture(scope="module")
def box_of(tmp_path_factory):
    folder = tmp_path_factory.mktemp("boxes")
    kept = {}

    def make(sides, **asked):
        key = repr((sides, sorted(asked.items())))
        if key not in kept:
            path = folder / f"box_{'_'.join(f'{1e3 * side:.0f}' for side in sides)}.stl"
            trimesh.creation.box(sides).export(path)
            kept[key] = make_plan(job_from_shell(path, {**FEW, **asked}))
        return kept[key]

    return make


PLASTIC = {"piece.material": "polyethylene", "wall.thickness": "8 mm", "foam.grade": "rigid-2"}
WIDE = (0.5, 0.4, 0.3)


def _pressures(plan):
    return [check for lift in lifts_seen(plan) for pour in lift.pours for check in pour.checks if
            check.name == judged.PRESSURE]  # fmt: skip


def test_a_stiff_box_passes_and_its_closed_form_stands_beside(box_of):
    plan = box_of((0.2, 0.2, 0.3), **{"piece.material": "grp", "wall.thickness": "8 mm", "foam.grade": "rigid-3"})
    for lift in lifts_seen(plan):
        assert lift.bulge.verdict == "ok"
        assert 0 < lift.bulge.used < 1
        assert lift.bulge.outward_m < lift.bulge.allowed_m
        assert lift.bulge.closed_limit_pa > 0
        assert "flat" in lift.bulge.closed_words or "panel" in lift.bulge.closed_words
        assert lift.bulge.stands_pa == pytest.approx(
            lift.bulge.pressure_pa / lift.bulge.used
        )  # small bulge: in proportion
    assert {check.verdict for check in _pressures(plan)} == {"ok"}
    assert all("finite elements" in check.source for check in _pressures(plan))
    assert any("finite elements" in line for line in plan.computed.words)
    told = json.loads(plan_json(plan))["lifts"][0]["bulge"]
    assert told["stands_pa"] > told["pressure_pa"]
    assert "formula, as a cross-check" in plan_markdown(plan)


def test_flat_plastic_that_bulges_gets_shores_with_places_and_forces(box_of):
    plan = box_of(WIDE, **PLASTIC, **{"structure.rounds": 0})
    shored = [lift for lift in lifts_seen(plan) if lift.bulge.shores]
    assert shored
    for lift in shored:
        bulge = lift.bulge
        assert bulge.verdict == "ok with shores"
        assert bulge.used > 1
        assert bulge.large  # a flat side of plastic bulges by more than half its wall
        assert bulge.propped_m < bulge.allowed_m
        assert bulge.propped_pa <= bulge.stress_limit_pa
        assert bulge.stands_pa < bulge.pressure_pa
        names = [shore.name for shore in bulge.shores]
        assert names == [f"S{lift.number}.{k}" for k in range(1, len(names) + 1)]
        for shore in bulge.shores:
            # on the outside, square to a side, and it holds no more than the pressure has to give
            local = np.abs(shore.point_m) - np.array(WIDE) / 2
            assert np.abs(local).min() < 0.02
            assert np.linalg.norm(shore.normal) == pytest.approx(1)
            assert 0 < shore.force_n < bulge.pressure_pa * 2 * (0.5 * 0.4 + 0.5 * 0.3 + 0.4 * 0.3)
    assert not any(check.verdict == "over" for check in _pressures(plan))
    said = plan_markdown(plan)
    assert f"SET UP BEFORE THIS LIFT: shore {shored[0].bulge.shores[0].name}" in said.replace("\n  ", " ")
    assert shored[0].bulge.shores[0].name in sheet_html(plan)
    assert any(found.code == Code.SET_SHORES and found.subject == (str(shored[0].number),) for found in plan.warnings)


def test_limits_where_the_bulge_is_not_in_proportion_are_found_on_the_curve(box_of):
    """A power law through two trials gives the pressure at which the skin is at its limit; solved there, it is."""
    from pourwright.panels import panels
    from pourwright.plan.structural import structure_of
    from pourwright.structure import PressedLift, lift_bulge, skin_mesh, under_of

    plan = box_of(WIDE, **PLASTIC, **{"structure.rounds": 0})
    lift = next(lift for lift in lifts_seen(plan) if lift.bulge.large and lift.bulge.used > 1.3)
    asked = structure_of(plan.job, plan.skin, plan.cavity, plan.foam, plan.lift_plan.lifts)
    under = under_of(asked, skin_mesh(plan.skin, plan.frame, 900), panels(plan.skin, 16))
    closes = any(pour.closes for pour in lift.pours)
    there = PressedLift(lift.number, lift.bottom_m, lift.top_m, lift.bulge.stands_pa, closes)
    assert lift_bulge(under, there, thinner=False, props=False).used == pytest.approx(1.0, rel=0.05)
    # in proportion it would have been told to stand far more than it does
    assert lift.bulge.stands_pa < 0.9 * lift.bulge.pressure_pa / lift.bulge.used


def test_thinner_lifts_are_tried_before_shores(box_of):
    glass = {"piece.material": "grp", "wall.thickness": "3 mm", "foam.grade": "rigid-2", "structure.triangles": 500}
    one, more = (box_of((0.6, 0.5, 0.6), **glass, **{"structure.rounds": rounds}) for rounds in (0, 1))
    worst = max(lift.bulge.used for lift in lifts_seen(one))
    assert worst > 1
    assert len(more.lift_plan.lifts) > len(one.lift_plan.lifts)
    assert sum(len(lift.bulge.shores) for lift in lifts_seen(more)) < sum(
        len(lift.bulge.shores) for lift in lifts_seen(one)
    )
    assert any("shorter lifts" in line and "taken" in line for line in more.computed.words)


def test_held_skins_and_quick_plans_are_not_computed_and_say_so(box_of):
    held = box_of(WIDE, **PLASTIC, **{"piece.support": "held"})
    assert all(lift.bulge is None for lift in lifts_seen(held))
    assert any("held from outside" in line for line in held.computed.words)
    closed = box_of(WIDE, **PLASTIC, **{"structure.computed": False})
    assert all(lift.bulge is None for lift in lifts_seen(closed))
    assert all("finite elements" not in check.source for check in _pressures(closed))
    assert any(check.verdict == "over" for check in _pressures(closed))


def test_a_flat_plastic_box_packed_hard_is_held_by_boards_over_its_sides(box_of):
    plan = box_of((0.6, 0.4, 0.3), **{**PLASTIC, "wall.thickness": "4 mm", "foam.packing": 1.5})
    (lift,) = [lift for lift in lifts_seen(plan) if lift.bulge.used > 5]
    assert lift.bulge.verdict == "ok with shores"
    boards = [shore for shore in lift.bulge.shores if shore.board_m is not None]
    assert len(boards) == len(lift.bulge.shores) == 5  # all but the side it stands on
    for board in boards:
        across = np.delete(np.array([0.6, 0.4, 0.3]), np.argmax(np.abs(board.normal)))
        assert sorted(board.board_m) == pytest.approx(sorted(across), rel=0.05)
        assert board.force_n == pytest.approx(lift.bulge.pressure_pa * across.prod(), rel=0.35)
    assert "over the whole flat side" in plan_markdown(plan).replace("\n  ", " ")
    # its floor, 10 kN of pressure on it, would belly and lift a piece of 9 kg
    assert lift.bulge.hold_down_n == pytest.approx(lift.bulge.pressure_pa * 0.6 * 0.4, rel=0.15)
    for text in (plan_markdown(plan), sheet_html(plan), piece_html(plan), " ".join(sentences(plan.warnings))):
        assert "old the piece down on flat ground" in " ".join(text.split())


def test_gains_by_finite_elements_come_before_the_closed_forms_when_asked_for(box_of):
    glass = {"piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3"}
    plain = box_of((0.2, 0.2, 0.3), **glass)
    asked = box_of((0.2, 0.2, 0.3), **glass, **{"structure.gains": True, "structure.gain_triangles": 1000})
    assert {gain.method for gain in plain.outcome.stiffness} == {"formula"}
    found = [gain for gain in asked.outcome.stiffness if gain.method == "finite elements"]
    assert asked.outcome.stiffness[: len(found)] == tuple(found)
    # one answer to one question: of the closed forms those stay that the elements do not answer
    answered = {"whole body, bending", "flattest panel, hand push at a point"}
    left = [gain.name for gain in plain.outcome.stiffness if gain.name not in answered]
    assert [gain.name for gain in asked.outcome.stiffness[len(found) :]] == left
    names = " ".join(gain.name for gain in found)
    for what in ("own weight", "side pressure", "whole piece", "hand push"):
        assert what in names
    (push,) = [gain for gain in found if gain.name == "hand push"]
    assert 1 < push.unbonded <= push.bonded == push.counted  # a flat side of thin glass on foam
    told = json.loads(plan_json(asked))["outcome"]["stiffness"]
    assert {gain["method"] for gain in told} == {"formula", "finite elements"}
    assert "by finite elements" in plan_markdown(asked)


def test_a_gain_names_the_load_it_holds_up_to_in_both_systems():
    from pourwright import units
    from pourwright.plan.structural import up_to
    from pourwright.structure import Gain

    three = (1.5, 5.0, 1.5)
    side = Gain("side pressure", "m", "on its front", math.nan, 1.0, 1.0, 1.0, three, 0.326, "it ends", 0.01)
    said = units.in_both(up_to(replace(side, amount=8e3, amount_unit="Pa")))
    assert said == "For up to 2.61 kPa (0.379 psi) on its front: under 8 kPa (1.16 psi) it ends."
    assert up_to(replace(side, share=1.0)) == ""
    assert (
        up_to(replace(side, load="its own weight")) == "For up to 0.33 times its own weight: under all of it it ends."
    )
