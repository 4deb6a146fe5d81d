"""Sheet and page of a lining: cards in the order of the work, boxes that record takes, the piece as it lies."""

import base64
import json
import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.draw.maps.turned import looked_at, roll_picture
from pourwright.intake import job_from_shell
from pourwright.plan import make_plan
from pourwright.report.coat_cards import coat_cards, rolls_made
from pourwright.report.lining_page import lining_html
from pourwright.report.sheet import Issue


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page")
    trimesh.creation.icosphere(2, 0.3).export(folder / "ball.ply")
    asked = {
        "foam.grade": "rigid-3", "wall.thickness": "5 mm", "piece.unit": "m", "grid.cell": "20 mm",
        "fill.style": "lining", "fill.thickness": "40 mm",
    }  # fmt: skip
    return make_plan(job_from_shell(folder / "ball.ply", asked))


def data_of(text):
    return json.loads(re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.DOTALL)[1])


def test_the_cards_hold_every_roll_in_order_and_follow_each_other_by_the_clock(plan):
    for card, coat in zip(coat_cards(plan, {}, None), plan.lining.coats, strict=True):
        rolls = rolls_made(plan, coat.number)
        assert [roll["number"] for roll in card["rolls"]] == list(range(1, len(rolls) + 1))
        assert sum(not one.roll.still for one in rolls) == plan.lining.rolls
        marks = json.loads(card["clock_marks"])
        times = [at for _, at in marks]
        assert times == sorted(times)
        assert times[0] == round(plan.job.limits.mix_s)
        assert marks[-2] == ["gels at", round(plan.foam.gel_s)]
        last_roll = [at for words, at in marks if words.startswith("roll")][-1]
        assert last_roll <= plan.foam.gel_s + 1


def test_sheet_and_page_ask_for_what_record_takes(plan):
    for page in (False, True):
        text = lining_html(plan, page=page)
        keys = re.findall(r'data-key="([^"]+)"', text)
        pins = [f"pin P{k}" for k in range(1, len(plan.lining.pins) + 1)]
        assert keys == ["at", "a", "b", "rolls", "lies", *pins] * len(plan.lining.coats)
        assert 'data-pour="coat 1"' in text
        assert not re.search(r'(src|href)="https?:', text)
        assert plan.skin.sha256 in text
    assert "<canvas" not in lining_html(plan)


def test_a_coat_that_is_in_has_what_was_done_and_no_boxes(plan):
    issue = Issue(2, ("Coat 2 is 25 mm thick.",), {"coat 1": ("part A 1 kg",)})
    coats = (replace(plan.lining.coats[0], poured=True), *plan.lining.coats[1:])
    text = lining_html(replace(plan, lining=replace(plan.lining, coats=coats)), issue=issue)
    assert "part A 1\u00a0kg" in text
    assert 'data-pour="coat 1"' not in text
    assert 'data-pour="coat 2"' in text
    assert "Coat 2 is 25\u00a0mm thick." in text


def test_the_page_shows_each_roll_as_the_piece_lies_and_what_is_bare_after_it(plan):
    lining, found = plan.lining, data_of(lining_html(plan, page=True))
    assert len(found["steps"]) == len(lining.sequence)
    area = np.where(lining.inside.counts, lining.inside.area_m2, 0.0)
    for step, one in zip(found["steps"], lining.sequence, strict=True):
        up, right = np.array(step["up"]), np.array(step["right"])
        assert up @ up == pytest.approx(1.0, abs=1e-3)
        assert right @ up == pytest.approx(0.0, abs=1e-3)
        assert np.allclose(up @ plan.frame.rotation, one.up, atol=1e-3)
        tone = np.frombuffer(base64.b64decode(step["laid"]), np.uint8)
        assert len(tone) == len(area) == len(base64.b64decode(found["points"])) // 36
    bare = float(area[tone == 0].sum() / area.sum())
    assert bare == pytest.approx(1.0 - lining.coverage, abs=2e-3)


def test_a_piece_is_looked_at_as_it_lies():
    """Its basis is orthonormal; what is up is up in the picture; the axis goes to the right and comes nearer."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        up = rng.normal(size=3)
        up /= np.linalg.norm(up)
        axis = np.cross(up, rng.normal(size=3))
        axis /= np.linalg.norm(axis)
        look = looked_at(up, axis, np.array([0.4, 0.5, 0.6]))
        assert np.allclose(look.rows @ look.rows.T, np.eye(3))
        assert np.linalg.det(look.rows) == pytest.approx(-1.0)  # right, up, away: away is into the picture
        middle, above, along = (look.at(look.middle_m + step) for step in (0.0 * up, 0.1 * up, 0.1 * axis))
        assert above[1] < middle[1]
        assert along[2] < middle[2]
        assert along[0] > middle[0]


def test_a_roll_is_drawn(plan):
    image = roll_picture(plan, plan.lining.sequence[0])
    assert image.size == (460, 460)
    assert len(image.getcolors(300)) > 8
