"""How far liquid runs goes back into the search of a day: where it is too far, pours are shorter, if that helps."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.findings import Verdict
from pourwright.intake import job_from_shell
from pourwright.lifts import judged
from pourwright.plan import Case, history_of, skin_of
from pourwright.plan.dividing import Divider
from pourwright.plan.judge import excess
from pourwright.plan.refine import Tools, refine

KEYS = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "12 mm", "heat.rise": "100 K", "structure.computed": False,
    "structure.gains": False, "shop.parts": "18 degC", "shop.air": "18 degC", "shop.skin": "18 degC",
    "shop.mix": "25 s", "shop.largest_batch": "2 L", "day.search": True,
}  # fmt: skip
FAR = 1.2


def too_far(plan):
    """The division with the liquid of its tallest pour running 1.2 times as far as it may."""
    tallest = max((p for lift in plan.lifts for p in lift.pours), key=lambda p: p.rise_m)

    def pour_of(pour):
        if pour.name != tallest.name:
            return pour
        checks = (
            replace(c, value=FAR * c.limit, verdict=Verdict.OVER) if c.name == judged.FLOW_DISTANCE else c
            for c in pour.checks
        )
        return replace(pour, checks=tuple(checks))

    lifts = tuple(replace(lift, pours=tuple(pour_of(p) for p in lift.pours)) for lift in plan.lifts)
    return replace(plan, lifts=lifts), tallest


@pytest.mark.parametrize("helps", [True, False])
def test_a_pour_whose_liquid_would_run_too_far_is_asked_to_be_shorter_and_that_is_kept_if_it_helps(tmp_path, helps):
    path = tmp_path / "box.stl"
    trimesh.creation.box(bounds=[[0, 0, 0], [0.2, 0.2, 0.5]]).export(path)
    job = job_from_shell(path, KEYS)
    job = replace(job, heat=replace(job.heat, computed=False))
    skin, history = skin_of(job), history_of(job)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(skin, frame, cell_m=job.cell_m)
    graph = build_levels(cavity)
    case = Case(job, Space(skin, cavity, graph), history)
    divider = Divider(case)
    asked = []

    def divide(tighter, panels, **more):
        plan = divider(tighter, panels, **more)
        asked.append(tighter)
        return too_far(plan)[0] if len(asked) == 1 or not helps else plan

    tallest = too_far(divider((), False))[1]
    refined = refine(case, Tools(divide))
    (one,) = asked[1]
    assert one.name == judged.FLOW_DISTANCE
    assert one.bottom_m == tallest.bottom_m
    assert 0.6 * tallest.rise_m <= one.thickness_m < tallest.rise_m / FAR
    pours = [pour for lift in refined.plan.lifts for pour in lift.pours]
    if helps:
        assert max(pour.rise_m for pour in pours) <= one.thickness_m + 1e-9
    else:
        assert len(asked) == 2
        assert any("flow distance" in words and "did not help" in words for words in refined.computed.words)


def test_every_check_that_is_over_counts_in_what_a_division_is_over_by():
    def check(name, value, said="over"):
        return SimpleNamespace(name=name, value=value, limit=1.0, verdict=said)

    pour = SimpleNamespace(
        checks=(check("a", 1.5), check("b", 1.25), check("c", 9.0, "ok"), check("d", 9.0, "unknown"))
    )
    lifts = (SimpleNamespace(pours=(pour, pour)), SimpleNamespace(pours=(pour,)))
    assert excess(lifts) == pytest.approx(3 * 0.75)
    assert excess(lifts, ("a", "c")) == pytest.approx(3 * 0.5)
