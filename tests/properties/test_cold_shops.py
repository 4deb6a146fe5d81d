"""A colder shop leaves more time before the foam creams: pours that this limits get no smaller, and no more of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.day import choose_day
from pourwright.intake import job_from_shell
from pourwright.lifts import batch_cap
from pourwright.plan import Case, history_of, skin_of
from pourwright.plan.day import question_of

KEYS = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "12 mm", "shop.largest_batch": "40 L", "shop.mix": "25 s",
    "shop.air": "18 degC", "shop.skin": "18 degC", "structure.computed": False,
}  # fmt: skip


@pytest.fixture(scope="module")
def fewest(tmp_path_factory):
    """``fewest(celsius)``: liquid and foam of a mix that is in before cream, and the fewest pours of a box."""
    path = tmp_path_factory.mktemp("box") / "box.stl"
    trimesh.creation.box(bounds=[[0, 0, 0], [0.5, 0.4, 0.6]]).export(path)
    job = job_from_shell(path, {**KEYS, "shop.parts": "20 degC"})
    skin = skin_of(job)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(skin, frame, cell_m=job.cell_m)
    graph = build_levels(cavity)

    def of(celsius):
        warm = replace(job, conditions=replace(job.conditions, parts_k=celsius + 273.15))
        history = history_of(warm)
        cap = batch_cap(history.foam, warm.limits)
        assert cap.in_time_m3 < cap.largest_m3  # cream limits it
        found = choose_day(question_of(Case(warm, Space(skin, cavity, graph), history), ()), fewest=True)
        foam_m3 = cap.volume_m3 * history.foam.liquid_density_kg_m3 / history.foam.open_density_kg_m3.nominal
        return cap.volume_m3, foam_m3, len(found.day.stretches)

    return of


@settings(max_examples=8, deadline=None)
@given(st.floats(16.0, 26.0), st.floats(0.0, 8.0))
def test_a_colder_shop_never_shortens_pours_that_the_cream_time_limits(fewest, celsius, colder):
    warm, cold = fewest(celsius), fewest(max(15.0, celsius - colder))
    assert cold[0] >= warm[0] * (1 - 1e-9)  # liquid of one mix
    assert cold[1] >= warm[1] * (1 - 1e-9)  # foam that comes of it: what a pour is tall by
    assert cold[2] <= warm[2]
