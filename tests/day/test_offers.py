"""What would help where no day keeps the limits: told with the limb, and each searched."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pourwright.day import Allowed, Heat, Question, Source, Weighs, choose_day, confirm_day, offers_for
from pourwright.heat import HeatCurve, SkinLayer, Surroundings

CURVE = HeatCurve(np.array([0.0, 40.0, 300.0]), np.array([0.0, 0.0, 1.0]))


@pytest.fixture(scope="module")
def hot(cells, work):
    """A wide column in one pour of two at most, too hot whatever the wait: adiabatic middle for hours."""
    cavity, graph = cells(np.ones((12, 12, 16), bool), 0.02, 0.02)
    return Question(
        cavity=cavity,
        graph=graph,
        source=Source(Heat(133.0, 133.0), 294.15, 49.7, 1750.0, 0.030, CURVE, 423.15),
        skin=SkinLayer(0.005, 1800.0, 1000.0, 0.2, 291.15),
        air=Surroundings(291.15, 8.0, 2.0),
        work=work(shortest_wait_s=36_000.0),
        allowed=Allowed(0.02),
        least_m3=0.0,
        stray_m3=0.0,
        spill_m=0.0,
        thin_m=0.2,
        weighs=Weighs(50.0, 55.0, 0.08),
        tall_m=np.full(len(graph.node_level), np.inf),
    )


def test_a_day_over_its_limits_names_its_limb_and_by_how_much(hot):
    found = confirm_day(hot, choose_day(hot, quick=True), held=True)
    assert not found.day.keeps
    assert "limb L1" in found.words[-1]
    assert "times what may be used" in found.words[-1]


def test_cooler_liquids_that_stay_under_the_limit_are_offered(hot):
    """Adiabatic from 21 °C: 154 °C; from 16 °C: 149 °C, which is never above the limit of 150 °C."""
    offers = offers_for(hot, choose_day(hot, quick=True))
    assert not offers.kept
    assert "liquids 5 K cooler" in [offer.change for offer in offers.worth]
    assert np.isfinite(offers.keeps_to_k)
    assert offers.keeps_to_k < 133.0
    assert all(offer.kept for offer in offers.worth)  # what does not serve is of no worth, however short its day
    kept = replace(hot, allowed=Allowed(50.0, peak_k=np.inf))
    assert not [o for o in offers_for(kept, choose_day(kept, quick=True)).worth if "cooler" in o.change]


def test_changes_are_held_against_the_day_that_is_taken_and_not_against_what_coarse_cells_make_of_it(hot):
    """The chosen day keeps its limits on fine cells; coarse ones say that it is over: it is still the one to beat."""
    asked = replace(hot, allowed=Allowed(6.0), work=replace(hot.work, shortest_wait_s=600.0), thin_m=0.04)
    chosen = confirm_day(asked, choose_day(asked, quick=True), held=True)
    assert chosen.day.keeps
    sharp = replace(asked, allowed=Allowed(0.8 * chosen.day.worst_h))  # as if the fine cells had found less
    offers = offers_for(sharp, chosen)
    assert offers.kept
    assert (offers.hours, offers.pours) == (pytest.approx(chosen.day.hours), len(chosen.day.stretches))
    assert all(offer.hours < chosen.day.hours for offer in offers.worth if offer.pours == offers.pours)


def test_no_pour_is_asked_to_be_thinner_than_what_mixes_well(hot):
    """Slabs of 1.15 L, each of which a limit asks to be a pour of its own: an arm was cut into eight cups of 7 mL."""
    cool = replace(hot, allowed=Allowed(50.0), tall_m=np.full_like(hot.tall_m, 0.02))

    def pours(least_m3):
        return [s.high - s.low for s in choose_day(replace(cool, least_m3=least_m3), fewest=True).day.stretches]

    assert set(pours(0.0)) == {1}
    assert len(pours(0.003)) == 6  # threes, evened with the one slab that is left over
    assert pours(1.0) == [16]


def test_a_limb_is_cut_for_what_is_asked_of_it_and_not_for_the_one_beside_it(hot, cells):
    """Two legs under a body: a thickness asked of one leg, or of where a pour in it starts, leaves the other."""
    solid = np.zeros((12, 4, 16), bool)
    solid[:4, :, :8] = solid[8:, :, :8] = solid[:, :, 8:] = True
    cavity, graph = cells(solid, 0.02, 0.02)
    tall = np.full(len(graph.node_level), np.inf)
    asked = replace(hot, cavity=cavity, graph=graph, tall_m=tall, allowed=Allowed(50.0), thin_m=0.02)
    one = np.flatnonzero((graph.node_level < 8) & (graph.node_centroid_m[:, 0] < graph.node_centroid_m[:, 0].mean()))

    def legs(question):
        found = choose_day(question, fewest=True)
        level = [found.slabs.cut_level[s.low] for s in found.day.stretches]
        limbs = [s.limb for s, low in zip(found.day.stretches, level, strict=True) if low < 8]
        of_one = int(found.limbs.of_node[one[0]])
        return limbs.count(of_one), len(limbs) - limbs.count(of_one)

    assert legs(asked) == (1, 1)
    thin = tall.copy()
    thin[one] = 0.04
    assert legs(replace(asked, tall_m=thin)) == (4, 1)
    assert legs(replace(asked, apart=((4, 6, tuple(one.tolist())),))) == (2, 1)
    assert legs(replace(asked, apart=((4, 6, ()),))) == (2, 2)
