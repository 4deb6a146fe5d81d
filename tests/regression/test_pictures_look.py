"""Regression, not validation: the pictures look as they did when they were last looked at.

After a wanted change: ``POURWRIGHT_NEW_PICTURES=1 pytest tests/regression/test_pictures_look.py``, then open them.
"""

import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pourwright.paper.pictures import draw_plan

KEPT = Path(__file__).parent / "pictures"
SMALL = (320, 320)


@pytest.fixture(scope="module")
def drawn(stool_plan, tmp_path_factory):
    return {file.stem: file for file in draw_plan(stool_plan, tmp_path_factory.mktemp("look"))}


@pytest.mark.parametrize("name", ["overview", "cavity", "lift_02"])
def test_picture_looks_as_kept(drawn, name):
    image = Image.open(drawn[name]).convert("RGB")
    image.thumbnail(SMALL, Image.Resampling.BOX)
    kept = KEPT / f"stool_{name}.png"
    if os.environ.get("POURWRIGHT_NEW_PICTURES"):
        image.save(kept)
    old, new = (np.asarray(picture, float) for picture in (Image.open(kept).convert("RGB"), image))
    assert new.shape == old.shape
    # Letters and compilers differ a little between versions; a lift of another colour or a moved label does not pass.
    away = np.abs(new - old)
    assert away.mean() < 0.8
    assert (away.max(axis=-1) > 40).mean() < 0.004
