"""Findings: every code has a sentence, and every sentence a test that makes a plan say it."""

import math
import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from pourwright.day import Hinder
from pourwright.findings import Code, Finding, Verdict, finding, note, with_names
from pourwright.lifts import EvenBands, ShopLimits, judged, warn
from pourwright.plan import review
from pourwright.shell import MeshFinding
from pourwright.wording.findings import SENTENCES, gathered, sentence, sentences

HERE = Path(__file__).parent


def test_every_code_has_a_sentence():
    assert set(SENTENCES) == set(Code)


def test_every_code_is_raised_in_some_test():
    """Its name stands in a test; a name that stands nowhere has nobody who looks whether it is ever found."""
    named = {name for path in HERE.rglob("test_*.py") for name in re.findall(r"\bCode\.([A-Z_]+)", path.read_text())}
    assert {code.name for code in Code} - named == set()


def _pour(name="1a", **more):
    push = SimpleNamespace(name=judged.PRESSURE, verdict=more.pop("push", Verdict.OK), limit=1000.0, source="no panel")
    hands = SimpleNamespace(name=judged.HANDS, verdict=Verdict.OK, value=more.pop("mixes", 1.0))
    own = {
        "name": name, "lift": 1, "checks": (push, hands), "closes": False, "wait_s": 600.0, "landings": (1,),
        "together": (), "after": (), "volume_m3": 0.01, "foam_kg": SimpleNamespace(nominal=0.5),
        "peak_pressure_pa": SimpleNamespace(high=more.pop("high_pa", 0.0)),
    }  # fmt: skip
    return SimpleNamespace(**{**own, **more})


def _scene(rigid_at):
    conditions = SimpleNamespace(air_k=330.15)
    return SimpleNamespace(foam=SimpleNamespace(conditions=conditions), limits=None, at=rigid_at)


def test_pressure_by_panels(monkeypatch):
    monkeypatch.setattr(warn, "closing_pressure", lambda foam: SimpleNamespace(high=5000.0))
    pours = [_pour("1a", closes=True, high_pa=2000.0), _pour("1b", high_pa=6000.0), _pour("1c", push=Verdict.UNKNOWN)]
    found = warn._pressure(_scene(None), pours)
    assert found == [
        finding(Code.HEATS_AFTER_SETTING, "1a"),
        finding(Code.POCKET_MAY_CLOSE, "1b"),
        finding(Code.PANEL_UNKNOWN, "1c", why="no panel"),
    ]


def test_no_wait_cools_in_a_shop_that_is_too_warm(monkeypatch):
    monkeypatch.setattr(warn, "surface_under_limit_k", lambda foam, limits: 320.0)
    assert warn._heat(_scene(None), [_pour()]) == []
    (found,) = warn._heat(_scene(None), [_pour(wait_s=math.inf)])
    assert found.code == Code.NO_WAIT_COOLS
    assert sentences([found])[0].startswith("The shop's air at 57 °C (135 °F)")


def test_several_mixes_at_a_time(monkeypatch):
    monkeypatch.setattr(warn, "batch_cap", lambda foam, limits: SimpleNamespace(in_time_m3=1.0))
    assert warn._shop(_scene(None), [_pour("1a", mixes=3.0), _pour("1b")]) == [
        finding(Code.SEVERAL_MIXES, "1a", most=3.0)
    ]


def test_a_thin_lift_between_others():
    lifts = [
        SimpleNamespace(number=k, bottom_m=a, top_m=b) for k, a, b in ((1, 0.0, 0.2), (2, 0.2, 0.22), (3, 0.22, 0.4))
    ]
    scene = SimpleNamespace(limits=SimpleNamespace(sliver_share=0.35))
    assert warn._division(scene, lifts, SimpleNamespace(slivers=1)) == [finding(Code.THIN_LIFT, "2")]
    assert warn._division(scene, lifts, SimpleNamespace(slivers=0)) == []


def test_holes_on_steep_skin_and_in_what_closes_a_port():
    at = SimpleNamespace
    vent = at(name="V1", way="drilled", point_m=0.0, hole_m=0.01)
    port = at(name="P1", way="drilled", point_m=0.02, hole_m=0.03, sideways=False)
    scene = at(openings=at(others=()), limits=ShopLimits())
    found = warn._holes(scene, at(upward={"P1": 0.1, "V1": 0.9}, vents=[vent], ports=[port]))
    assert found == [finding(Code.STEEP_SKIN, "P1"), finding(Code.VENT_IN_BOARD, "V1", port="P1")]


def _plan(pours, **more):
    lift = SimpleNamespace(number=2, pours=pours)
    return SimpleNamespace(**{"lifts": [lift], "day": EvenBands(), "heats": {}, "rises": {}, "bulges": {}, **more})


def _bulge(**more):
    own = {"thinner_m": math.nan, "words": "it bulges 9 mm", "shores": (), "hold_down_n": 0.0}
    return SimpleNamespace(**{**own, **more})


def test_the_skin_by_finite_elements_speaks_in_place_of_the_panels():
    pours = [
        _pour("2a", push=Verdict.OVER), _pour("2b", push=Verdict.UNKNOWN), _pour("2c", closes=True, high_pa=2000.0),
    ]  # fmt: skip
    by_panels = (
        finding(Code.OVER_LIMIT, "2a", check=judged.PRESSURE, remedy=""), finding(Code.PANEL_UNKNOWN, "2b", why=""),
        finding(Code.HEATS_AFTER_SETTING, "2c"), finding(Code.OVER_LIMIT, "2a", check="hands", remedy="help"),
    )  # fmt: skip
    plan = _plan(pours, warnings=by_panels, bulges={2: _bulge(hold_down_n=900.0)})
    found = review.skin_warnings(plan)
    assert [one.code for one in found] == [
        Code.OVER_LIMIT, Code.BULGES, Code.HOLD_DOWN, Code.SKIN_UNKNOWN, Code.SKIN_HEATS_AFTER_SETTING,
    ]  # fmt: skip
    assert found[0]["check"] == "hands"
    assert "it bulges 9 mm" in sentence(found[1])


def _heat(**more):
    return SimpleNamespace(**{"wait_met": False, **more})


def test_what_is_still_hot_ends_short_or_wants_more():
    assert review._heat_found(_plan([_pour()], heats={"1a": _heat()})) == [finding(Code.STILL_HOT, "1")]
    rise = SimpleNamespace(voids=(), below_m3=0.002, above_kg=0.05, packing=1.0, packing_needed=1.2)
    found = review._rise_found(_plan([_pour(closes=True)], rises={"1a": rise}))
    assert found == [
        finding(Code.ENDS_SHORT, "1a", below_m3=0.002, missing_kg=0.1, over=0.5),
        finding(Code.PACK_MORE, "1a", needed=1.2, packing=1.0),
    ]
    assert "rises over it elsewhere" in sentence(found[0])


def test_foam_that_sets_before_it_has_risen_is_not_said_to_rise_elsewhere():
    """A heron's legs ended 0.54 L short with nothing over their level: they were told to rise over it elsewhere."""
    rise = SimpleNamespace(voids=(), below_m3=0.002, above_kg=0.0, packing=1.0, packing_needed=1.0)
    (found,) = review._rise_found(_plan([_pour(closes=True)], rises={"1a": rise}))
    assert found["over"] == 0.0
    assert "needs about 100 g more" in sentence(found)


def test_a_day_over_its_margins_says_where_unless_what_is_over_says_so():
    """A figure's chest used 1.07 times what the margins of heat allow: its plan said "planned" and nothing else."""
    day = SimpleNamespace(hinders=Hinder("L3", 1.19, 1.37, 1.07))
    (found,) = review._heat_found(_plan([_pour()], day=day))
    assert found == finding(Code.MARGIN_NOT_KEPT, "L3", low_m=1.19, high_m=1.37, used=1.07)
    assert "limb L3, between 1.19 m" in sentence(found)
    hot = SimpleNamespace(name=judged.SCORCH, verdict=Verdict.OVER)
    assert review._heat_found(_plan([SimpleNamespace(name="1a", checks=(hot,))], day=day)) == []
    assert review._heat_found(_plan([_pour()], day=SimpleNamespace(hinders=None))) == []


def test_the_whole_list_holds_shell_cavity_and_reach(monkeypatch):
    monkeypatch.setattr(review, "batch_too_large", lambda job, history: [])
    monkeypatch.setattr(review, "probe_required", lambda foam, plan, rules: [])
    at = SimpleNamespace
    bodies = finding(Code.SEVERAL_BODIES, count=2.0)
    said = [MeshFinding(note(Code.OPEN_SEAMS, points=3.0)), MeshFinding(bodies)]
    found = review.whole_warnings(
        at(heat=at(computed=False), machine=None),
        at(findings=said),
        at(volume_uncertainty_m3=0.2, volume_m3=1.0),
        at(notes=()),
        at(lifts=[], day=EvenBands(), warnings=(), unreached_m3=0.1, bulges={}, heats={}, rises={}),
        at(history=at(notes=(finding(Code.NO_REACTION, why="gel before cream"),))),
    )
    assert found == (
        bodies,
        finding(Code.CAVITY_LOOSELY_KNOWN, share=0.2),
        finding(Code.NO_REACTION, why="gel before cream"),
        finding(Code.UNREACHED, share=0.1),
    )
    assert "20%" in sentence(found[1])
    assert "10.0%" in sentence(found[3])


def test_a_finding_follows_the_names_of_its_pours_and_keeps_its_words():
    found = finding(Code.VENT_IN_BOARD, "V1", port="P2")
    assert with_names(found, {"V1": "V3", "P2": "P4"}) == finding(Code.VENT_IN_BOARD, "V3", port="P4")
    kept = finding(Code.OVER_LIMIT, "1a", check="hands", remedy="1a")
    assert with_names(kept, {"1a": "2a"}) == finding(Code.OVER_LIMIT, "2a", check="hands", remedy="1a")


def test_the_same_of_several_pours_is_said_once_and_other_figures_are_not_mixed():
    same = [finding(Code.PANEL_UNKNOWN, name, why="no panel") for name in ("1a", "1b")]
    other = finding(Code.PANEL_UNKNOWN, "2a", why="no figure")
    assert [one.subject for one in gathered([same[0], other, same[1]])] == [("1a", "1b"), ("2a",)]


def test_a_value_that_was_not_given_is_a_fault():
    with pytest.raises(KeyError):
        finding(Code.THIN_LIFT, "2")["volume_m3"]
    with pytest.raises(TypeError):
        sentence(Finding(Code.CAVITY_LOOSELY_KNOWN))
