"""Which mix is too big for the temperature, and which temperature would do; a cup test in the job."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from pourwright.errors import JobError
from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.physics import kinetics
from pourwright.plan import history_of, largest_in_time_m3, parts_temperature_for
from pourwright.plan.temperature import batch_too_large
from pourwright.report.cup_page import cup_lines
from pourwright.wording.findings import sentence


def _job(tmp_path, **asked):
    return job_from_shell(tmp_path / "none.stl", {"wall.thickness": "4 mm", "foam.grade": "rigid-3", **asked})


def test_the_temperature_that_would_do_just_does(tmp_path):
    job = _job(tmp_path, **{"shop.air": "32 degC"})
    history = history_of(job)
    fits = largest_in_time_m3(job, history.foam.cream_s)
    assert fits < job.limits.largest_batch_m3
    would = parts_temperature_for(job, history, 1.2 * fits)
    assert would < job.conditions.parts_k
    cream = history.foam.cream_s * kinetics.time_factor(job.grade.cream_activation_j_mol, would, job.conditions.parts_k)
    assert job.limits.mix_s + 1.2 * fits / job.limits.pour_rate_m3_s == pytest.approx(cream, rel=1e-6)
    # and the foam itself, followed in a cup at that temperature, agrees
    cooler = history_of(_job(tmp_path, **{"shop.air": f"{would - 273.15} degC"}))
    assert largest_in_time_m3(job, cooler.foam.cream_s) == pytest.approx(1.2 * fits, rel=0.05)


def test_sentences(tmp_path):
    mild = _job(tmp_path, **{"shop.largest_batch": "2 L"})
    assert batch_too_large(mild, history_of(mild)) == []
    hot = _job(tmp_path, **{"shop.air": "32 degC", "shop.largest_batch": "5 L"})
    (found,) = batch_too_large(hot, history_of(hot))
    assert found.code == Code.BATCH_TOO_LARGE
    line = sentence(found)
    assert "would do for that" in line
    huge = _job(tmp_path, **{"shop.air": "32 degC", "shop.largest_batch": "40 L"})
    line = sentence(*batch_too_large(huge, history_of(huge)))
    assert "No temperature" in line


@pytest.mark.parametrize("air", [20.4, 21.6, 22.0, 22.3, 22.49, 25.5, 29.0])
@pytest.mark.parametrize("share", [1.0005, 1.004, 1.03, 1.2])
def test_the_words_never_say_that_what_is_so_would_do(tmp_path, air, share):
    start = _job(tmp_path, **{"shop.air": f"{air} degC"})
    litres = 1e3 * share * largest_in_time_m3(start, history_of(start).foam.cream_s)
    job = _job(tmp_path, **{"shop.air": f"{air} degC", "shop.largest_batch": f"{litres:.9f} L"})
    line = sentence(*batch_too_large(job, history_of(job)))
    most, asked = re.search(r"no more than ([\d.]+) L .* not the ([\d.]+) L", line).groups()
    assert float(most) < float(asked)
    (cup,) = [words for words in cup_lines(job, history_of(job), history_of(job).cup) if "no more than" in words]
    assert len(set(re.findall(r"[\d.]+ (?:L|US gal)", cup))) == 4
    now = re.search(r"With liquids at (\d+) °C", line)[1]
    would = re.search(r"Liquids at (\d+) °C would do", line)
    if would is None:
        assert "No temperature" in line
        return
    assert int(would[1]) < int(now)
    fahrenheit = re.search(r"(\d+) °F\) would do", cup)[1]
    for degrees in (int(would[1]), (int(fahrenheit) - 32) / 1.8):
        factor = kinetics.time_factor(job.grade.cream_activation_j_mol, degrees + 273.15, job.conditions.parts_k)
        assert largest_in_time_m3(job, history_of(job).foam.cream_s * factor) >= 0.9999 * litres / 1e3


def test_a_cup_test_replaces_times_and_density(tmp_path):
    cup = {
        "cup.parts": "24 degC",
        "cup.cream": "30 s",
        "cup.gel": "100 s",
        "cup.tack_free": "200 s",
        "cup.rise_end": "220 s",
        "cup.density": "52 kg/m^3",
        "cup.reference": "batch 7",
        "shop.air": "24 degC",
    }
    job = _job(tmp_path, **cup)
    history = history_of(job)
    for name, value in (("cream_s", 30), ("gel_s", 100), ("tack_free_s", 200), ("rise_end_s", 220)):
        assert getattr(history.cup.times, name) == pytest.approx(value, rel=0.02)
    assert history.cup.final_density_kg_m3 == pytest.approx(52, rel=0.01)
    assert history.foam.free_rise_density_kg_m3.nominal == pytest.approx(52, rel=1e-6)
    assert job.grade.cited["cream_s"].source == "batch 7"


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        ({"cup.parts": "24 degC"}, "cup"),
        ({"cup.parts": "24 degC", "cup.height": "0.3 m"}, "cup.height"),
        ({"cup.parts": "24 degC", "cup.cream": "200 s", "cup.gel": "100 s"}, "cup.cream"),
        ({"cup.parts": "24 degC", "cup.weight": "1 kg", "cup.height": "3 m", "cup.section": "1 m^2"}, "cup.height"),
        ({"cup.cream": "30 s"}, "cup.parts"),
        ({"cup.parts": "24 degC", "cup.cream": "30"}, "cup.cream"),
        ({"heat.cells": 10}, "heat.cells"),
        ({"heat.scorch": "10"}, "heat.scorch"),
    ],
)
def test_refusals_name_the_key(tmp_path, asked, key):
    with pytest.raises(JobError) as caught:
        _job(tmp_path, **asked)
    assert caught.value.key == key


def test_times_no_reaction_shows_are_still_planned(tmp_path):
    job = _job(tmp_path)
    odd = replace(job, grade=replace(job.grade, cream_s=39.0, gel_s=40.0, tack_free_s=41.0, rise_end_s=41.0))
    history = history_of(odd)
    assert history.cup is None
    (found,) = history.notes
    assert found.code == Code.NO_REACTION
    assert "Make a cup test" in sentence(found)
    assert history.heat.share[-1] == pytest.approx(1.0)
    assert history.rising.free_density_kg_m3 == pytest.approx(history.foam.open_density_kg_m3.nominal)
