"""What is left is judged by the same finite elements as the plan was, and its shores are named on."""

from __future__ import annotations

import trimesh
from tests.reference.seen import lifts_seen

from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.lifts import judged
from pourwright.plan import make_plan
from pourwright.record import Entry, Planned, Record, replan


def test_what_is_left_keeps_finite_elements_and_new_names_of_shores(tmp_path):
    shell = tmp_path / "crate.stl"
    trimesh.creation.box((0.6, 0.5, 0.6)).export(shell)
    job = job_from_shell(
        shell,
        {
            "piece.unit": "m", "piece.material": "grp", "wall.thickness": "3 mm", "foam.grade": "rigid-2",
            "grid.cell": "10 mm", "heat.cells": 3000, "structure.triangles": 500, "structure.rounds": 0,
        },
    )  # fmt: skip
    plan = make_plan(job)
    first = plan.lift_plan.lifts[0]
    assert len(plan.lift_plan.lifts) > 1
    assert plan.lift_plan.bulges[2].shores
    (pour,) = first.pours
    parts = pour.parts.a_kg, pour.parts.b_kg
    planned = Planned(
        lift=1, bottom_m=first.bottom_m, top_m=first.top_m, closes=False, part_a_kg=parts[0], part_b_kg=parts[1],
        seed_m=tuple(pour.landings[0].point_m), others_m=(),
    )  # fmt: skip
    entry = Entry(
        number=1, kind="pour", issue=1, pour=pour.name, part_a_kg=parts[0], part_b_kg=parts[1],
        reached_m=first.top_m - 0.02, planned=planned,
    )  # fmt: skip
    again = replan(job, Record(schema="pourwright.record/1", shell_sha256=plan.skin.sha256, entries=(entry,)))
    poured, *left = lifts_seen(again.plan)
    assert poured.bulge is None
    assert left
    assert any(lift.bulge.shores for lift in left)
    for lift in left:
        assert lift.bulge.verdict in ("ok", "ok with shores")
        assert [shore.name for shore in lift.bulge.shores] == [
            f"S{lift.number}.{k + 1}" for k in range(len(lift.bulge.shores))
        ]
        for one in lift.pours:
            (push,) = [check for check in one.checks if check.name == judged.PRESSURE]
            assert "finite elements" in push.source
    shored = next(lift for lift in left if lift.bulge.shores)
    assert any(
        found.code == Code.SET_SHORES
        and found.subject == (str(shored.number),)
        and found["shores"][0] == f"S{shored.number}.1"
        for found in again.plan.warnings
    )
