"""A stiffness that is not known comes last, and is never an answer."""

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from pourwright.lining import Rules
from pourwright.ways import choose, compare
from pourwright.ways.bench import Way


def way(name, kg, gain, hours, over=()):
    return Way(name, Rules(), kg, kg, kg, gain, gain, hours, 0.0, kg, math.nan, 1.0, 0.0, over, (), beaten=False)


def beaten(*ways):
    return {one.name: one.beaten for one in compare._with_beaten(list(ways))}


def test_a_way_whose_stiffness_is_not_known_beats_none_and_is_beaten_by_what_is_no_heavier_and_no_slower():
    assert beaten(way("known", 10.0, 1.2, 3.0), way("not", 10.0, math.nan, 3.0)) == {"known": False, "not": True}
    assert beaten(way("soft", 10.0, -0.1, 3.0), way("not", 9.0, math.nan, 2.0)) == {"soft": False, "not": False}
    assert beaten(way("heavy", 11.0, math.nan, 3.0), way("light", 10.0, math.nan, 3.0)) == {
        "heavy": True,
        "light": False,
    }


class Bench:
    """Ways that are planned without a piece."""

    def __init__(self, *gains):
        self.ways = [way(str(k), 10.0 + k, gain, 1.0) for k, gain in enumerate(gains)]
        self.ways = [replace(one, rules=Rules("lining", 0.01 * (k + 1))) for k, one in enumerate(self.ways)]

    def way(self, rules):
        return next((one for one in self.ways if one.rules == rules), None)

    def planned(self, rules):
        return SimpleNamespace(outcome=SimpleNamespace(total_kg=SimpleNamespace(high=1.0)), over_limit=())


def asked_of(monkeypatch, bench):
    def gain(_, rules):
        return math.nan if bench.way(rules) is None else bench.way(rules).gain

    def answered(_, rules, asked, __):
        return choose.Answer(asked, bench.planned(rules), gain(None, rules), str(rules))

    monkeypatch.setattr(choose, "Bench", lambda *_: bench)
    monkeypatch.setattr(choose, "_candidates", lambda _: [one.rules for one in bench.ways])
    monkeypatch.setattr(choose, "_gain", gain)
    monkeypatch.setattr(choose, "_answer", answered)


def test_the_stiffest_of_ways_that_are_not_known_is_no_answer(monkeypatch):
    asked_of(monkeypatch, Bench(math.nan, math.nan))
    for answer in (choose.stiffest(None, 50.0), choose.least_weight(None, 1.5)):
        assert answer.plan is None
        assert "not known" in answer.words


@pytest.mark.parametrize(("gains", "first"), [((math.nan, 2.0, 1.0), 1), ((1.0, math.nan, 2.0), 2)])
def test_a_way_that_is_not_known_does_not_stand_before_the_stiffest(monkeypatch, gains, first):
    bench = Bench(*gains)
    asked_of(monkeypatch, bench)
    assert choose.stiffest(None, 50.0).words == str(bench.ways[first].rules)
