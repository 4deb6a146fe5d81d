"""A lining is offered where no division of a solid fill keeps the limits, and only one that keeps all of its own."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from pourwright.day import Offers
from pourwright.errors import PourwrightError
from pourwright.lining import Rules
from pourwright.plan import make_plan
from pourwright.ways import instead, with_lining
from pourwright.ways.bench import Bench
from pourwright.wording.day import offer_lines

NONE = Offers(3.0, 5, False, (), (), (), float("nan"))


@pytest.fixture(scope="module")
def too_hot(stool_plan):
    """A quick plan of a stool as if its day kept not all limits."""
    job = stool_plan.job
    made = make_plan(replace(job, day=replace(job.day, search=True), heat=replace(job.heat, computed=False)))
    choice = made.lift_plan.day
    front = tuple(replace(day, keeps=False) for day in choice.front)
    return replace(made, lift_plan=replace(made.lift_plan, day=replace(choice, front=front, offers=NONE)))


@pytest.mark.slow
def test_the_thickest_lining_that_keeps_its_limits_is_offered(too_hot):
    made = with_lining(too_hot)
    (offer,) = made.lift_plan.day.offers.worth
    bench = Bench(too_hot.job)
    kept = [t for t in bench.thicknesses() if (p := planned(bench, t)) and not p.over_limit and not p.not_known]
    assert offer.change.startswith(f"a lining of {1e3 * max(kept):.0f} mm, turned by hand")
    lined = planned(bench, max(kept))
    assert (offer.pours, offer.kept) == (len(lined.lining.coats), True)
    assert offer.hours == pytest.approx(lined.lining.hours, rel=0.05)  # another lining before it gives other rolls
    assert any("in place of filling it solid" in line and "to the last" in line for line in offer_lines(made))


def planned(bench, thick):
    try:
        return bench.planned(Rules("lining", thick, "hand"))
    except PourwrightError:  # its coats meet nearly everywhere
        return None


def test_none_is_offered_where_each_is_over_or_not_known(too_hot, monkeypatch):
    over, unknown = SimpleNamespace(over_limit=(1,), not_known=()), SimpleNamespace(over_limit=(), not_known=(1,))
    bench = SimpleNamespace(
        thicknesses=lambda: [0.01, 0.02], planned=lambda r: over if r.thickness_m > 0.015 else unknown
    )
    monkeypatch.setattr(instead, "Bench", lambda *_: bench)
    offers = with_lining(too_hot).lift_plan.day.offers
    assert (offers.worth, offers.nothing) == ((), (instead.NOTHING,))


def test_a_day_that_keeps_its_limits_is_left_as_it_is(stool_plan, too_hot):
    assert with_lining(stool_plan) is stool_plan
    choice = too_hot.lift_plan.day
    kept = replace(choice, front=tuple(replace(day, keeps=True) for day in choice.front))
    made = replace(too_hot, lift_plan=replace(too_hot.lift_plan, day=kept))
    assert with_lining(made) is made
