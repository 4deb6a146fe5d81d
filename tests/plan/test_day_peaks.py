"""The hottest a pour gets in the search: liquid on a warm face starts warmer, and the stop temperature is kept.

The plan's staged heat (other cells, other time steps, Runge-Kutta-Legendre) is what the search is held against.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.day import choose_day
from pourwright.day.body import Body
from pourwright.intake import job_from_shell
from pourwright.lifts import lifts_of_day
from pourwright.plan import Case, history_of, make_plan, skin_of
from pourwright.plan.day import hottest_k, question_of
from pourwright.plan.heating import heating_of

PLAIN = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "8 mm", "heat.rise": "147 K", "heat.cells": 100_000,
    "shop.air": "18 degC", "shop.parts": "21 degC", "shop.skin": "18 degC", "shop.mix": "25 s",
    "shop.largest_batch": "2 L", "structure.computed": False,
}  # fmt: skip


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """``job(side, height, **keys)``: a box of GRP."""
    folder = tmp_path_factory.mktemp("towers")

    def make(side, height, **keys):
        path = folder / "tower.stl"
        trimesh.creation.box(bounds=[[0, 0, 0], [side, side, height]]).export(path)
        return job_from_shell(path, {**PLAIN, **keys})

    return make


def test_the_search_finds_the_peaks_faces_and_times_of_the_staged_heat_also_on_wide_flat_cells(job):
    asked = job(0.3, 0.5)
    skin, history = skin_of(asked), history_of(asked)
    frame = pour_frame(skin.vertices_m, np.asarray(asked.up), np.asarray(asked.front))
    cavity = build_cavity(skin, frame, cell_m=asked.cell_m)
    graph = build_levels(cavity)
    question = question_of(Case(asked, Space(skin, cavity, graph), history), ())
    hot = replace(question, allowed=replace(question.allowed, dose_h=1.2, high_h=1.2, peak_k=np.inf, face_k=np.inf))
    found = choose_day(hot, quick=True)
    day = found.day
    assert len(day.stretches) >= 2
    body = Body(cavity, graph, found.slabs, question.source, question.skin, question.air, (1, 1))
    dose = body.dose(day.slab_start_s)
    wide = Body(cavity, graph, found.slabs, question.source, question.skin, question.air, (3, 3)).dose(day.slab_start_s)
    case = Case(asked, Space(skin, cavity, graph), history)
    heat = heating_of(case, lifts_of_day(case.space, history.foam, asked.limits, found)).pours
    pours = list(heat.values())
    alone = question.source.start_k + 147.0
    warmer = 0.0
    for number, stretch in enumerate(day.stretches):
        mine = slice(stretch.low, stretch.high)
        assert dose.peak_k[mine].max() == pytest.approx(pours[number].peak_k.nominal, abs=0.15)
        if number:
            assert dose.face_k[mine].max() == pytest.approx(pours[number - 1].face_k, abs=1.0)
        # packed foam of the last pour holds more heat, and stays hot longer
        assert dose.hours[mine].max() == pytest.approx(pours[number].hot_s[0][1] / 3600.0, rel=0.04)
        assert wide.hours[mine].max() == pytest.approx(dose.hours[mine].max(), rel=0.05)
        assert wide.peak_k[mine].max() == pytest.approx(dose.peak_k[mine].max(), abs=0.05)
        warmer = max(warmer, dose.peak_k[mine].max() - alone)
    assert warmer > 0.5  # there is something to find


def test_the_stop_temperature_counts_as_soon_as_there_is_room_under_it(job):
    foam = history_of(job(0.3, 0.5)).foam
    assert foam.conditions.parts_k + 147.0 == pytest.approx(foam.grade.stop_k - 2.0)
    assert foam.conditions.parts_k + 147.0 < hottest_k(foam) < foam.grade.stop_k
    over = history_of(job(0.3, 0.5, **{"heat.rise": "160 K"})).foam  # over the one by itself: the other still counts
    assert foam.grade.stop_k < over.conditions.parts_k + 160.0 < hottest_k(over) < foam.grade.emergency_k
    assert np.isinf(hottest_k(history_of(job(0.3, 0.5, **{"heat.rise": "180 K"})).foam))  # no wait would help there


@pytest.mark.slow
@pytest.mark.default_day
def test_a_day_that_heat_alone_would_make_too_hot_by_a_few_tenths_of_a_kelvin_is_still_found(job):
    plan = make_plan(job(0.36, 0.66, **{"day.search": True}))
    assert plan.lift_plan.searched
    assert plan.lift_plan.day.day.keeps
    assert not plan.over_limit
    hottest = max(heat.peak_k.nominal for heat in plan.lift_plan.heats.values())
    assert plan.foam.conditions.parts_k + 147.5 < hottest <= plan.foam.grade.stop_k
