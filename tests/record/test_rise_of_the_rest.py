"""What is left after a record rises as it did in the plan: in the space that is left, with the air that stays in it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from pourwright.cli.sheet_pours import sheet_holes, sheet_pours
from pourwright.document.model import PlanDocument
from pourwright.document.plan_json import plan_document
from pourwright.evaluation import Evaluation
from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.lifts import HoleRules, KeepOut, Measures, ShopLimits, Vent
from pourwright.physics import orifice
from pourwright.plan import make_plan
from pourwright.record import Entry, Hole, Record, ground_of, replan, rising
from pourwright.record.holes import MORE_AIR, Drilled, settled

SETTINGS = {
    "piece.unit": "m", "piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3",
    "grid.cell": "15 mm", "heat.cells": 2000, "heat.rounds": 1, "limits.lift": "170 mm",
    "limits.lift_reference": "sheet of the test", "structure.computed": False, "day.search": False,
}  # fmt: skip


class Piece:
    """A shell planned with its rise, and the plan after its first lift."""

    def __init__(self, folder, mesh, holes=None):
        mesh.export(folder / "piece.stl")
        self.job = job_from_shell(folder / "piece.stl", SETTINGS)
        if holes is not None:
            self.job = replace(self.job, limits=replace(self.job.limits, holes=holes))
        self.first = make_plan(self.job)
        self.document = plan_document(self.first)
        self.ground = ground_of(self.job, self.first.skin.sha256)

    def after_the_first(self, short=0.0, document=None):
        document = self.document if document is None else document
        sheet, entries = sheet_pours(document), []
        for one in (pour for pour in sheet if pour.planned.lift == 1):
            planned = one.planned
            reached = planned.bottom_m + (1 - short) * (planned.top_m - planned.bottom_m)
            entries.append(
                Entry(
                    number=len(entries) + 1, kind="pour", issue=1, pour=one.name, part_a_kg=planned.part_a_kg,
                    part_b_kg=planned.part_b_kg, reached_m=reached, planned=planned,
                )
            )  # fmt: skip
        record = Record(schema="pourwright.record/1", shell_sha256=self.first.skin.sha256, entries=tuple(entries))
        record = record.model_copy(update={"holes": sheet_holes(document, ())})
        return replan(self.job, record, sheet=sheet, ground=self.ground).plan


@pytest.fixture(scope="module")
def tank(tmp_path_factory):
    """A tank with a level lid."""
    folder = tmp_path_factory.mktemp("tank")
    return Piece(folder, trimesh.creation.box((0.3, 0.24, 0.5)))


def test_a_first_lift_poured_as_planned_changes_nothing_of_how_the_others_rise(tank):
    before, after = tank.first.lift_plan.rises, tank.after_the_first().lift_plan.rises
    left = [pour.name for lift in tank.first.lift_plan.lifts[1:] for pour in lift.pours]
    assert left
    assert set(after) == set(left)
    for name in left:
        assert after[name].void_m3 == pytest.approx(before[name].void_m3, abs=1e-6)
        assert {void.reason for void in after[name].voids} == {void.reason for void in before[name].voids}
        assert after[name].front_m[-1] == pytest.approx(before[name].front_m[-1], abs=1e-3)


def test_a_first_lift_poured_as_planned_changes_no_vent(tank):
    """Air that the rise had made more of on the first sheet was made more of again: more holes were asked for."""
    before = {vent.name: vent for vent in tank.first.lift_plan.vents}
    after = {vent.name: vent for vent in tank.after_the_first().lift_plan.vents}
    assert before.keys() == after.keys()
    assert any(abs(vent.air_m3_s / vent.closed_air_m3_s - 1.0) > 0.05 for vent in before.values())  # the rise told more
    for name, vent in after.items():
        assert vent.air_m3_s == pytest.approx(before[name].air_m3_s, rel=0.05)
        assert vent.closed_air_m3_s == pytest.approx(before[name].closed_air_m3_s, rel=1e-6)
        assert (vent.hole_m, vent.holes) == (before[name].hole_m, before[name].holes)


def test_a_lift_poured_short_is_made_good_by_the_next_and_its_foam_begins_as_much_lower(tank):
    before = tank.first.lift_plan
    after = tank.after_the_first(short=0.1).lift_plan
    name = before.lifts[1].pours[0].name
    gap = 0.1 * before.lifts[0].pours[0].rise_m
    assert before.rises[name].front_m[0] - after.rises[name].front_m[0] == pytest.approx(gap, abs=0.02)
    assert after.rises[name].void_m3 < 0.005 * after.lifts[1].pours[0].volume_m3
    assert "short fill" in {check.name for check in after.lifts[1].pours[0].checks}


def test_air_that_the_plan_says_stays_is_told_after_a_record_too(tmp_path):
    """It was told before the first pour and forgotten after it."""
    half = KeepOut(box_m=((0.0, -0.2, 0.2), (0.2, 0.2, 0.3)))  # no vent over half of its lid
    piece = Piece(tmp_path, trimesh.creation.box((0.3, 0.24, 0.5)), HoleRules(keep_out=(half,)))
    told = [found for found in piece.first.warnings if found.code == Code.LEAVES_EMPTY]
    assert told
    again = [found for found in piece.after_the_first().warnings if found.code == Code.LEAVES_EMPTY]
    assert [found.subject for found in again] == [found.subject for found in told]
    volumes = [dict(found.values)["volume_m3"] for found in (*told, *again)]
    np.testing.assert_allclose(volumes[len(told) :], volumes[: len(told)], rtol=0.05)


def test_a_sheet_that_does_not_say_where_air_gathers_is_told_of_as_by_formulas(tank):
    said = tank.document.model_dump()
    for vent in [v for lift in said["lifts"] for pour in lift["pours"] for v in pour["vents"]]:
        del vent["node"]
    document = PlanDocument.model_validate(said)
    plan = tank.after_the_first(document=document)
    codes = {found.code for found in plan.warnings}
    assert Code.REST_BY_FORMULAS in codes
    assert Code.REST_BY_FORMULAS not in {found.code for found in tank.after_the_first().warnings}
    assert not any("were not computed" in words for words in plan.computed.words)


def test_a_few_per_cent_more_air_drill_no_second_vent_into_a_piece_that_is_begun(tank):
    """Liquids one degree warmer asked for one more hole beside the crown's; the rise counts its back-pressure.

    Where no rise is computed nothing counts it, and the hole is drilled.
    """
    limits = ShopLimits()
    hole = Hole(name="V1", point_m=(0.0, 0.0, 0.5), way="drilled", hole_m=0.008)
    frame = SimpleNamespace(to_standing=lambda point: point)
    passes = float(orifice.orifice_flow(0.008, limits.vent_pressure_pa, 1.2))
    division = tank.first.lift_plan
    made = []
    for more in (0.9, 1.05, 1.5):
        at = np.array(hole.point_m)
        vent = Vent("V7", "drilled", "", at, Measures(0.5, 0.0, 0.0), 0.01, 1, more * passes, 0.02, 3)
        asked = replace(division, lifts=(), ports=(), vents=(vent,), warnings=())
        for air in (MORE_AIR, 1.0):
            (now,) = settled(asked, Drilled((hole,), frame, 0.01, limits), air)[0].vents
            assert (now.name, now.hole_m) == ("V1", 0.008)
            made.append(now.holes)
    assert made == [1, 1, 1, 2, 2, 2]


def test_the_rest_rises_through_the_holes_that_are_there_where_they_are_not_those_asked_for(tank, monkeypatch):
    """Vents asked for have no hole yet; where those that are drilled differ, the rise is computed anew."""
    division = tank.first.lift_plan
    drilled = replace(division, lifts=tuple(_with_vents_of(lift, 0.020) for lift in division.lifts))
    evaluation = Evaluation(rises={"by the vents asked for": None})
    refined = SimpleNamespace(plan=SimpleNamespace(evaluation=evaluation), division=division)
    monkeypatch.setattr(rising, "rises_of", lambda now, case: {"by what is drilled": now})
    assert rising.risen_through(division, refined, None) is evaluation
    assert rising.risen_through(drilled, refined, None).rises == {"by what is drilled": drilled}


def _with_vents_of(lift, hole_m):
    pours = (replace(p, vents=tuple(replace(v, hole_m=hole_m) for v in p.vents)) for p in lift.pours)
    return replace(lift, pours=tuple(pours))
