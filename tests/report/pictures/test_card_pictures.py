"""The pictures on the sheet's cards: letters that are read at arm's length, and what lies on the far side is seen."""

import itertools
import re
import shutil
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from tests.reference.seen import with_bulge

from pourwright.draw import svg_ink as svg
from pourwright.draw.card_words import CARD_MM, COVER_MM, column_of
from pourwright.draw.cards import card_svg, cover_svg, sights_of
from pourwright.draw.labels import Label
from pourwright.draw.lift_labels import signs_of
from pourwright.draw.lifts import HOLLOW_SHARE, draw_plan
from pourwright.draw.paint import LIT, SETTLED
from pourwright.draw.skin_cuts import lift_skins
from pourwright.evaluation import Shore
from pourwright.lifts import Measures
from pourwright.report.sheet import sheet_html

POINT_MM = 25.4 / 72
LEAST_PT = 8.0  # as the sheet is asked for


@pytest.fixture(scope="module")
def sights(stool_plan):
    return sights_of(stool_plan, lift_skins(stool_plan), CARD_MM, HOLLOW_SHARE * stool_plan.frame.size_m.max())


def words(text):
    return re.findall(r"<text [^>]*>([^<]*)</text>", text)


def shores_round(plan, count):
    """The plan with shores round the first lift of its body, on every side."""
    lift, frame = plan.lift_plan.lifts[2], plan.frame
    skin = frame.to_standing(plan.skin.vertices_m)
    level = skin[np.abs(skin[:, 2] - 0.5 * (lift.bottom_m + lift.top_m)) < 0.02]
    angle = np.arctan2(level[:, 1] - skin[:, 1].mean(), level[:, 0] - skin[:, 0].mean())
    spots = [level[np.argmin(np.abs(angle - want))] for want in np.linspace(-3.0, 3.0, count)]
    shores = tuple(
        Shore(f"S{k}", frame.to_shell(spot), np.array([0.0, -1.0, 0.0]), Measures(*spot[[2, 0, 1]]), 250.0, 0.06)
        for k, spot in enumerate(spots, 1)
    )
    return with_bulge(plan, lift.number, shores=shores), lift


def test_every_letter_is_as_large_as_it_is_read(stool_plan, sights):
    lifts = stool_plan.lift_plan.lifts
    for text, most in [(cover_svg(stool_plan, sights), COVER_MM)] + [
        (card_svg(stool_plan, sights, lift), CARD_MM) for lift in lifts
    ]:
        size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)" width="\1mm" height="\2mm"', text)  # a unit is 1 mm
        assert size
        assert all(float(side) <= room for side, room in zip(size.groups(), most, strict=True))
        sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', text)]
        assert len(sizes) == len(words(text)) > 1
        assert min(sizes) >= LEAST_PT * POINT_MM


def test_what_the_front_does_not_see_is_seen_from_behind(stool_plan, sights):
    plan, lift = shores_round(stool_plan, 8)
    front, back = (signs_of(plan, sight.stage, lift) for sight in sights)
    far = {label.head for label in front if label.hidden}
    assert far
    assert far <= {label.head for label in back if not label.hidden}  # convex: one camera of the two sees each
    text = card_svg(plan, sights, lift)
    assert "behind" in words(text)
    assert sorted(word for word in words(text) if re.fullmatch(r"S\d", word)) == [f"S{k}" for k in range(1, 9)]
    assert 'stroke-dasharray="0.78' not in text  # no sign is broken: nothing is hidden any more


def test_where_the_front_sees_all_there_is_one_view(stool_plan, sights):
    hidden = [
        any(label.hidden for label in signs_of(stool_plan, sights[0].stage, lift))
        for lift in stool_plan.lift_plan.lifts
    ]
    assert not all(hidden)
    for lift, some in zip(stool_plan.lift_plan.lifts, hidden, strict=True):
        assert ("behind" in words(card_svg(stool_plan, sights, lift))) == some


def test_the_dip_in_the_picture_is_the_dip_of_the_card(stool_plan, sights):
    for lift in stool_plan.lift_plan.lifts:
        said = words(card_svg(stool_plan, sights, lift))
        for pour in lift.pours:
            down = pour.landings[0].measures.from_base_m - pour.top_m
            assert (f"{1e3 * down:.0f} mm" in said) == (not pour.closes)


def test_no_two_signs_lie_over_each_other(stool_plan, sights):
    for lift in stool_plan.lift_plan.lifts:
        text = card_svg(stool_plan, sights, lift)
        rings = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="1.55"', text)
        spots = np.array(rings, float)
        gaps = np.linalg.norm(spots[:, None] - spots[None], axis=-1)[np.triu_indices(len(spots), 1)]
        assert gaps.min(initial=9.0) > 2 * 1.55


def test_names_are_words(stool_plan, sights):
    lift = stool_plan.lift_plan.lifts[0]
    pours = tuple(replace(pour, name=f"<b>{pour.name}&") for pour in lift.pours)
    lifts = (replace(lift, pours=pours), *stool_plan.lift_plan.lifts[1:])
    plan = replace(stool_plan, lift_plan=replace(stool_plan.lift_plan, lifts=lifts))
    text = card_svg(plan, sights, lifts[0])
    assert "<b>" not in text
    assert "&lt;b&gt;1a&amp;" in text


def test_what_is_poured_now_is_the_darkest_on_a_grey_copy():
    grey = [float(np.dot(colour, (0.299, 0.587, 0.114))) for colour in (LIT, *SETTLED, (252, 252, 250))]  # ITU-R BT.601
    assert grey[0] < 0.8 * min(grey[1:3])
    assert max(grey[1:3]) < 0.9 * grey[3]


MEET = """(() => {
const boxes = [...document.querySelectorAll(".drawn text")].map((one) => ({
  words: one.textContent, svg: one.ownerSVGElement, box: one.getBoundingClientRect(),
  points: 0.75 * parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a }));
const within = (a, b) => a.left > b.left - 0.5 && a.right < b.right + 0.5
  && a.top > b.top - 0.5 && a.bottom < b.bottom + 0.5;
const over = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3;
const out = boxes.filter(({ box, svg }) => !within(box, svg.getBoundingClientRect())).map((one) => one.words);
const meet = [];
boxes.forEach((a, k) => boxes.slice(k + 1).forEach((b) => {
  if (a.svg === b.svg && over(a.box, b.box)) meet.push([a.words, b.words]); }));
return { out, meet, points: Math.min(...boxes.map((one) => one.points)), count: boxes.length };
})()"""


@pytest.fixture(scope="module")
def sheet(stool_plan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("cards")
    plan, _ = shores_round(stool_plan, 8)
    page = folder / "sheet.html"
    page.write_text(sheet_html(plan, draw_plan(plan, folder)), encoding="utf-8")
    return page


@pytest.mark.slow
@pytest.mark.parametrize(("wide", "media"), [(695, "print"), (718, "print"), (390, ""), (1280, "")])
def test_in_a_browser_no_words_meet_and_none_is_small(sheet, browser, wide, media):
    browser.open(sheet, wide, 900, media)
    found = browser.run(MEET)
    assert found["count"] > 20
    assert found["meet"] == []
    assert found["out"] == []
    assert found["points"] >= LEAST_PT
    assert browser.logged == []


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("pdftohtml") is None, reason="needs pdftohtml to measure what was printed")
@pytest.mark.parametrize("size", [(8.27, 11.69), (8.5, 11.0)], ids=["a4", "letter"])
def test_on_paper_the_letters_of_the_pictures_have_eight_points(sheet, browser, tmp_path, size):
    browser.open(sheet)
    paper = browser.paper(tmp_path / "sheet.pdf", *size)
    ask = ["pdftohtml", "-xml", "-i", "-zoom", "3", "-stdout", paper]  # sizes in thirds of a point
    xml = subprocess.run(ask, capture_output=True, text=True, check=True).stdout
    size_of = dict(re.findall(r'<fontspec id="(\d+)" size="(\d+)"', xml))
    wanted = re.compile(r"behind|below P\d|S\d|Lift \d")
    found = [
        (int(size_of[font]) / 3, said)
        for font, said in re.findall(r'<text [^>]*font="(\d+)">(?:<b>)?([^<]*)', xml)
        if wanted.fullmatch(said.strip())
    ]
    assert {"behind", "S1", "Lift 1"} <= {said for _, said in found}
    assert min(points for points, _ in found) >= LEAST_PT


def test_names_that_do_not_fit_are_counted():
    many = [Label((20.0, 36.0), f"P{k}", mark="closed", side="left") for k in range(1, 9)]
    out = words("".join(column_of("left", many, (18.0, 0.0), (33.0, 38.0), (60.0, 76.0))))
    assert out[-1] == f"+ {8 - (len(out) - 1)} more"
    assert len(words("".join(column_of("left", many, (18.0, 0.0), (0.0, 76.0), (60.0, 76.0))))) == 8


def test_no_line_to_a_name_runs_behind_the_sign_of_another_hole():
    """Beside each other P2 lay between the column of names and P1, whose line ran on behind it."""
    from pourwright.draw.card_words import led_round

    signs = [(30.0, 40.0), (15.0, 40.2), (22.0, 46.0)]
    for start in ((3.0, 39.0), (3.0, 41.0), (3.0, 52.0)):
        way = np.array(led_round(start, signs[0], signs))
        along = np.linspace(0, 1, 200)[:, None]
        line = np.concatenate([a + along * (b - a) for a, b in itertools.pairwise(way)])
        for other in signs[1:]:
            assert np.linalg.norm(line - other, axis=1).min() >= svg.SIGN_MM
