"""Regression, not validation: the pictures look as they did when they were last looked at.

After a wanted change: ``POURWRIGHT_NEW_PICTURES=1 pytest tests/regression/test_pictures_look.py``, then open them.
"""

import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pourwright.draw.charts import draw_charts
from pourwright.draw.lifts import draw_plan
from pourwright.plan import Alternative
from pourwright.ranges import Range
from pourwright.report.compare_page import draw_compare
from pourwright.report.piece_page import piece_html
from pourwright.report.sheet import sheet_html

KEPT = Path(__file__).parent / "pictures"
SMALL = (320, 320)


@pytest.fixture(scope="module")
def drawn(stool_plan, tmp_path_factory):
    return {file.stem: file for file in draw_plan(stool_plan, tmp_path_factory.mktemp("look"))}


def look(file, name, mean=0.8, share=0.004):
    """The picture, small, is as it was kept."""
    image = Image.open(file).convert("RGB")
    image.thumbnail(SMALL, Image.Resampling.BOX)
    kept = KEPT / f"{name}.png"
    if os.environ.get("POURWRIGHT_NEW_PICTURES"):
        image.save(kept, optimize=True)
    old, new = (np.asarray(picture, float) for picture in (Image.open(kept).convert("RGB"), image))
    assert new.shape == old.shape
    # Letters and compilers differ a little between versions; a lift of another colour or a moved label does not pass.
    away = np.abs(new - old)
    assert away.mean() < mean
    assert (away.max(axis=-1) > 40).mean() < share


@pytest.mark.parametrize("name", ["overview", "cavity", "lift_02"])
def test_picture_looks_as_kept(drawn, name):
    look(drawn[name], f"stool_{name}")


@pytest.mark.parametrize("name", ["timeline", "heat", "strip"])
def test_the_day_looks_as_kept(stool_plan, tmp_path, name):
    files = {file.stem: file for file in draw_charts(stool_plan, tmp_path)}
    look(files[name], f"stool_{name}")


def test_the_chart_of_a_comparison_looks_as_kept(tmp_path):
    def one(name, kg, gain, lifts, **more):
        own = {
            "pours": lifts + 1,
            "last_h": 0.7 * lifts,
            "hours": 6.0 * lifts,
            "dose_h": 0.1 * lifts,
            "dose_high_h": 0.3 * lifts,
            "counted_h": 0.9 * lifts,
            "work_hours": lifts,
            "cost": 20.0 * kg,
            "over": (),
            "unknown": (),
        }
        mass = Range(0.9 * kg, kg, 1.1 * kg)
        return Alternative(name, mass, mass, gain, 2 * gain, lifts, **{**own, **more})

    ways = [
        one("as it is", 8.0, 1.4, 5, best=True),
        one("rigid-2", 5.5, 1.2, 4),
        one("rigid-6, a cold day and a long name for it", 14.0, 2.2, 7, unknown=("skin bulge",)),
        one("-y up", 8.4, 1.3, 6, beaten_by="as it is"),
        one("lift 400 mm", 8.1, 1.4, 3, over=("peak temperature",)),
    ]
    look(draw_compare(ways, "Stool", tmp_path / "compare.png"), "compare")


@pytest.mark.slow
@pytest.mark.parametrize(("name", "wide", "high"), [("page", 960, 640), ("page_phone", 390, 780)])
def test_the_page_looks_as_kept(stool_plan, browser, tmp_path, name, wide, high):
    page = tmp_path / "piece.html"
    page.write_text(piece_html(stool_plan), encoding="utf-8")
    browser.open(page, wide, high)
    browser.run(
        "for (const [id, value] of [['colour', 'temperature'], ['cut', 50], ['step', 2]]) "
        "document.getElementById(id).value = value;"
        "document.getElementById('controls').dispatchEvent(new Event('input'));"
        "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )
    # Another machine has other letters for the words around the picture.
    look(browser.picture(tmp_path / "page.png"), f"stool_{name}", mean=2.0, share=0.03)


@pytest.mark.slow
def test_the_top_of_the_sheet_looks_as_kept(stool_plan, drawn, browser, tmp_path):
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(stool_plan, list(drawn.values())), encoding="utf-8")
    browser.open(page, 900, 1270)
    look(browser.picture(tmp_path / "sheet.png"), "stool_sheet", mean=2.5, share=0.04)
