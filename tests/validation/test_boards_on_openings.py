"""Boards on openings that look down: pressure times area by hand, sides of the opening as the box was drawn."""

from __future__ import annotations

import pytest
import trimesh

from pourwright import make_plan
from pourwright.document.plan_json import plan_document
from pourwright.intake import job_from_shell
from pourwright.report.sheet import sheet_html
from pourwright.wording.closing import board_lines, boards_on


def test_an_open_bottom_is_boarded_before_the_first_pour_against_pressure_times_area(tmp_path):
    """A box of 0.4 by 0.3 m without its bottom: only a warning had spoken of a board, and no card."""
    box = trimesh.creation.box(bounds=[[0, 0, 0], [0.4, 0.3, 0.5]])
    box.update_faces(box.face_normals[:, 2] > -0.5)
    box.export(tmp_path / "box.stl")
    plan = make_plan(
        job_from_shell(
            tmp_path / "box.stl",
            {
                "piece.unit": "m", "wall.thickness": "4 mm", "foam.grade": "rigid-3", "grid.cell": "8 mm",
                "day.search": False, "heat.computed": False, "structure.computed": False,
            },
        )
    )  # fmt: skip
    (board,) = boards_on(plan)
    first = plan.lift_plan.lifts[0].pours[0]
    assert board.before == first.name
    assert board.size_m == pytest.approx((0.4, 0.3), abs=0.002)
    assert board.force_n.high == pytest.approx(first.peak_pressure_pa.high * 0.12, rel=0.05)
    ((word, said),) = board_lines(plan, first)
    assert word == "close first"
    assert said.startswith(f"{board.opening} with a board, sealed at the rim")
    assert said.endswith("; it stays on as long as the piece stands on it")  # nobody gets at it
    assert all(not board_lines(plan, pour) for lift in plan.lift_plan.lifts[1:] for pour in lift.pours)
    assert [one.opening for one in plan_document(plan).boards] == [board.opening]
    text = sheet_html(plan)
    assert "To close openings, 1 board with sealant" in text
    assert "looks sideways or down" not in text
