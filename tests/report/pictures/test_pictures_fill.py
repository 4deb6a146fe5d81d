"""The film of the fill."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from pourwright.draw.fill import draw_fill
from pourwright.errors import FileError


def warm(frame):
    """Pixels in the colour of the lift that is being poured."""
    pixels = np.asarray(frame.convert("RGB")).astype(int)
    return (pixels[..., 0] > 150) & (pixels[..., 0] - pixels[..., 2] > 90)


@pytest.mark.slow
def test_numbers_of_lifts_may_have_gaps_in_the_film_too(stool_plan, tmp_path):
    lifts = tuple(replace(lift, number=2 * k + 1) for k, lift in enumerate(stool_plan.lift_plan.lifts))
    gaps = replace(stool_plan, lift_plan=replace(stool_plan.lift_plan, lifts=lifts))
    film = Image.open(draw_fill(gaps, tmp_path / "fill.gif", width=200))
    film.seek(film.n_frames - 1)
    assert warm(film).any()


@pytest.mark.slow
def test_foam_climbs_and_the_film_ends_full(stool_plan, tmp_path):
    told = []
    path = draw_fill(stool_plan, tmp_path / "fill.gif", width=400, progress=lambda step, done: told.append(done))
    film = Image.open(path)
    assert film.format == "GIF"
    assert film.info["loop"] == 0
    assert film.width == 400
    tops, rests = [], 0
    for k in range(film.n_frames):
        film.seek(k)
        tops.append(int(np.flatnonzero(warm(film).any(axis=1)).min()))
        rests += film.info["duration"] > 300
    assert all(later <= earlier + 1 for earlier, later in itertools.pairwise(tops))  # never sinks
    assert tops[-1] < tops[0] - 100
    assert rests == len(stool_plan.lift_plan.lifts)
    assert told[-1] == 1.0
    assert told == sorted(told)
    assert [entry.name for entry in tmp_path.iterdir()] == ["fill.gif"]


def test_a_film_that_cannot_be_written_is_refused_in_one_sentence(stool_plan, tmp_path):
    with pytest.raises(FileError, match="cannot be written"):
        draw_fill(stool_plan, tmp_path / "missing" / "fill.gif", width=100)
