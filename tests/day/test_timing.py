"""Starts of given pours: what the hands and the order allow, and the shortest that keep a dose."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.day.model import Allowed, Dose, Stretch
from pourwright.day.timing import Timing, listed, slab_starts


def one_a_limb(piles):
    return tuple(Stretch(k, int(a), int(b)) for k, (a, b) in enumerate(itertools.pairwise(piles.first.tolist())))


def keeps(piles, stretches, work, gap, start):
    """What every schedule has to keep."""
    for k, below in enumerate(piles.under(stretches)):
        for b in below:
            assert start[k] >= start[b] + gap[k] - 1e-6
    order = np.argsort(start, kind="stable")
    for first, later in zip(order, order[work.hands :], strict=False):
        assert start[later] >= start[first] + work.busy_s(piles.foam_m3(stretches[first])) - 1e-6


trees = st.integers(1, 7).flatmap(
    lambda n: st.tuples(*[st.sets(st.integers(0, k - 1), max_size=2) if k else st.just(set()) for k in range(n)])
)


@settings(max_examples=80, deadline=None)
@given(trees, st.integers(1, 3), st.integers(0, 2**32 - 1))
def test_lists_keep_order_gaps_and_hands(piles, work, below, hands, seed):
    shape = piles([1] * len(below), below)
    stretches = one_a_limb(shape)
    gap = np.random.default_rng(seed).integers(0, 40, len(below)) * 60.0
    start = listed(shape, stretches, work(hands=hands), gap)
    keeps(shape, stretches, work(hands=hands), gap, start)
    assert start.min() == 0
    assert (start % 60 == 0).all()


def best_by_enumeration(piles, stretches, work, gap):
    """Makespan of the best order of starts, every order tried: one machine, delays, a tree of precedence."""
    under = piles.under(stretches)
    busy = [np.ceil(work.busy_s(piles.foam_m3(s)) / 60) * 60 for s in stretches]
    best = np.inf
    for order in itertools.permutations(range(len(stretches))):
        start, free = {}, 0.0
        for k in order:
            if any(b not in start for b in under[k]):
                break
            start[k] = max(free, max((start[b] + gap[k] for b in under[k]), default=0.0))
            free = start[k] + busy[k]
        else:
            best = min(best, max(start.values()))
    return best


@settings(max_examples=25, deadline=None)
@given(trees.filter(lambda t: len(t) <= 6), st.integers(0, 2**32 - 1))
def test_lists_are_never_shorter_than_the_best_order_and_hardly_longer(piles, work, below, seed):
    shape = piles([1] * len(below), below)
    stretches = one_a_limb(shape)
    gap = np.random.default_rng(seed).integers(0, 40, len(below)) * 60.0
    found = float(listed(shape, stretches, work(), gap).max())
    best = best_by_enumeration(shape, stretches, work(), gap)
    longest = max(np.ceil(work().busy_s(shape.foam_m3(s)) / 60) * 60 for s in stretches)
    assert best - 1e-6 <= found <= best + 2 * longest  # a list is not the optimum: what it loses is a mix or two


def test_what_nothing_waits_for_is_poured_while_others_cool(piles, work):
    """Two pours of a body with half an hour between, and an arm beside: the arm costs no time."""
    shape = piles([2, 1, 1], [(), (), (0, 1)])
    stretches = (Stretch(0, 0, 1), Stretch(0, 1, 2), Stretch(1, 2, 3), Stretch(2, 3, 4))
    start = listed(shape, stretches, work(), np.full(4, 1800.0))
    assert start[1] == 1800.0
    assert start[3] == 3600.0
    assert 0 < start[2] <= 1800.0


def toy(shape, thick=1.0):
    """Dose (slabs,) of a made-up cooling law: a slab shares the heat of its pour, and of those close in time."""

    def dose_of(starts):
        out = []
        for start in starts:
            near = np.exp(-np.abs(start[:, None] - start[None, :]) / 1500.0)
            apart = np.abs(np.arange(len(start))[:, None] - np.arange(len(start))[None, :])
            hours = 0.25 * thick * (near * np.exp(-apart / 2.0)).sum(axis=1)
            out.append(Dose(hours, np.zeros(len(start))))
        return out

    return dose_of


def test_the_shortest_starts_of_two_and_three_lifts_against_every_pair_of_waits(piles, work):
    shape = piles([6], [()])
    allowed = Allowed(1.0, share=0.8, short_s=0.0)
    dose_of = toy(shape)
    for cuts in ((0, 3, 6), (0, 2, 4, 6)):
        stretches = tuple(Stretch(0, a, b) for a, b in itertools.pairwise(cuts))
        timed = Timing(shape, work(), allowed, dose_of).find(stretches, rounds=40)
        best = np.inf
        for gaps in itertools.product(range(10, 120), repeat=len(stretches) - 1):
            start = 60.0 * np.concatenate([[0], np.cumsum(gaps)])
            if start[-1] < best and dose_of([slab_starts(stretches, start, 6)])[0].worst_h <= 0.8 * 1.005:
                best = start[-1]
        assert timed.excess_h <= 0.005
        assert timed.start_s.max() == pytest.approx(best, abs=120.0)
