"""Readings in the foam: what rise and what diffusivity they stand for, and which of them count for nothing."""

from __future__ import annotations

import math

import pytest

from pourwright.foam import OWN_SD, SHARED_SD, load_grade, updated_rise
from pourwright.record import Entry, Expected, Planned, probed, with_probes
from pourwright.record.probes import readings_doubt

GRADE = load_grade("rigid-3")
RISE, SD = GRADE.heat_j_kg / GRADE.specific_heat_j_kgk, GRADE.rise_sd_k
PARTS, AIR = 295.15, 291.15
DUE = Expected(
    rise_k=RISE, parts_k=PARTS, air_k=AIR, peak_k=PARTS + RISE, later_k=AIR + 0.7 * (PARTS + RISE - AIR),
    top_k=PARTS + 0.5 * RISE, top_per_k=0.5,
)  # fmt: skip


def entry(expected=DUE, **given):
    planned = Planned(
        lift=1, bottom_m=0.0, top_m=0.2, closes=False, part_a_kg=1.0, part_b_kg=1.0, seed_m=None, expected=expected
    )
    return Entry(number=1, kind="pour", issue=1, pour="1a", part_a_kg=1.0, part_b_kg=1.0, planned=planned, **given)


def test_nothing_read_changes_nothing():
    found = probed(GRADE, [entry()])
    assert not found.told
    assert (found.after_k, found.after_sd_k, found.diffusivity) == (RISE, SD, 1.0)
    assert with_probes(GRADE, found) is GRADE


def test_a_probe_is_a_reading_of_the_rise_and_narrows_both_ways():
    for off in (-20.0, 20.0):
        found = probed(GRADE, [entry(probe_k=DUE.peak_k + off)])
        middle, sd = updated_rise(RISE, SD, [RISE + off], OWN_SD["probe"].value, SHARED_SD.value)
        assert (found.after_k, found.after_sd_k) == (pytest.approx(middle), pytest.approx(sd))
        assert abs(found.after_k - (RISE + off)) < 3.0
        assert found.after_sd_k < 0.4 * SD


def test_warmer_liquids_are_not_taken_for_a_hotter_foam():
    same = probed(GRADE, [entry(probe_k=DUE.peak_k + 8.0, parts_k=PARTS + 8.0)])
    assert same.after_k == pytest.approx(RISE)


def test_a_core_that_loses_heat_stands_for_a_larger_rise():
    """A thin limb that gets 0.8 of the rise: 10 K too little at the probe are 12.5 K of rise, and less sure."""
    thin = DUE.model_copy(update={"peak_k": PARTS + 0.8 * RISE, "peak_per_k": 0.8})
    found = probed(GRADE, [entry(thin, probe_k=thin.peak_k - 10.0)])
    own, shared = OWN_SD["probe"].value / 0.8, SHARED_SD.value / 0.8
    assert found.after_k == pytest.approx(updated_rise(RISE, SD, [RISE - 12.5], own, shared)[0])


def test_a_surface_read_by_infrared_tells_less_than_a_probe():
    core, surface = (
        probed(GRADE, [entry(**given)]) for given in ({"probe_k": DUE.peak_k - 15.0}, {"infrared_k": DUE.top_k - 7.5})
    )
    assert RISE > surface.after_k > core.after_k
    assert SD > surface.after_sd_k > 2 * core.after_sd_k


def test_several_pours_narrow_more_than_one():
    one = probed(GRADE, [entry(probe_k=DUE.peak_k - 12.0)])
    three = probed(GRADE, [entry(probe_k=DUE.peak_k - 12.0 + off) for off in (-2.0, 0.0, 2.0)])
    assert three.after_sd_k < one.after_sd_k
    assert three.probes == 3


def test_an_hour_later_tells_the_diffusivity():
    def later(share):
        core = DUE.peak_k
        return probed(GRADE, [entry(probe_k=core, probe_later_k=AIR + share * (core - AIR))])

    assert later(0.7).diffusivity == pytest.approx(1.0, abs=0.02)
    assert later(0.62).diffusivity > 1.08
    assert later(0.78).diffusivity < 0.93
    assert later(0.7).diffusivity_sd < 0.12
    changed = with_probes(GRADE, later(0.62))
    assert changed.conductivity_hot_w_mk == pytest.approx(later(0.62).diffusivity * GRADE.conductivity_hot_w_mk)
    assert "an hour after" in changed.cited["conductivity_hot_w_mk"].source


def test_a_core_too_thick_to_cool_in_an_hour_tells_next_to_nothing():
    thick = DUE.model_copy(update={"later_k": AIR + 0.995 * (DUE.peak_k - AIR)})
    found = probed(GRADE, [entry(thick, probe_k=DUE.peak_k, probe_later_k=DUE.peak_k - 1.0)])
    assert (found.diffusivity, found.diffusivity_sd) == (1.0, 0.15)


def test_no_limit_is_moved():
    changed = with_probes(GRADE, probed(GRADE, [entry(probe_k=DUE.peak_k - 25.0)]))
    for name in ("max_lift_m", "caution_k", "stop_k", "emergency_k"):
        assert getattr(changed, name) == getattr(GRADE, name)
    assert changed.heat_j_kg < GRADE.heat_j_kg


def test_a_rise_that_the_job_fixes_stays():
    from dataclasses import replace

    fixed = replace(GRADE, rise_sd_k=0.0)
    assert probed(fixed, [entry(probe_k=DUE.peak_k + 2.0)]).after_k == RISE


def test_an_unlikely_low_reading_is_doubted_and_counts_for_nothing():
    low = entry(probe_k=DUE.peak_k - 80.0)
    assert "under the 168 °C that pour 1a was to reach" in readings_doubt(low, GRADE)
    assert probed(GRADE, [low]).after_k == RISE
    assert not probed(GRADE, [low]).told


def test_an_unlikely_high_reading_is_doubted_and_counts():
    high = entry(probe_k=DUE.peak_k + 80.0)
    assert "over the 168 °C" in readings_doubt(high, GRADE)
    assert probed(GRADE, [high]).after_k > RISE + 60.0


def test_cooling_that_no_diffusivity_explains_is_doubted_and_counts_for_nothing():
    odd = entry(probe_k=DUE.peak_k, probe_later_k=AIR + 0.2 * (DUE.peak_k - AIR))
    assert "20% of its excess" in readings_doubt(odd, GRADE)
    assert probed(GRADE, [odd]).diffusivity == 1.0


@pytest.mark.parametrize("off", [-30.0, 0.0, 30.0])
def test_likely_readings_are_not_doubted(off):
    assert readings_doubt(entry(probe_k=DUE.peak_k + off), GRADE) == ""


def test_from_a_sheet_that_kept_nothing_the_core_is_taken_to_keep_its_heat():
    found = probed(GRADE, [entry(None, probe_k=PARTS + RISE - 10.0, parts_k=PARTS)])
    whole = probed(GRADE, [entry(probe_k=DUE.peak_k - 10.0)])
    assert found.after_k == pytest.approx(whole.after_k)
    assert math.isclose(found.after_sd_k, whole.after_sd_k)
