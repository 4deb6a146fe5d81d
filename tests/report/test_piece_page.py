"""The page in three dimensions: what it holds, and in a real browser: no error, and the controls change the picture."""

import base64
import html
import json
import re
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from tests.reference.seen import with_bulge

from pourwright.draw.lifts import stage_of
from pourwright.draw.piece_fields import with_gain
from pourwright.evaluation import Shore
from pourwright.report.piece_page import piece_html
from pourwright.report.sheet import sheet_html
from pourwright.structure import PushMap

BAD = "</script><script>alert(1)</script>"
SHAKE = """(async () => {
const at = (id) => document.getElementById(id);
const canvas = at("view");
const picture = () => new Promise((done) => requestAnimationFrame(() => {
  at("controls").dispatchEvent(new Event("input"));
  done(canvas.toDataURL());
}));
const even = async () => {  // share of the picture in its three most frequent colours but the paper's
  await picture();
  const flat = document.createElement("canvas");
  [flat.width, flat.height] = [canvas.width, canvas.height];
  const pen = flat.getContext("2d");
  at("controls").dispatchEvent(new Event("input"));
  pen.drawImage(canvas, 0, 0);
  const seen = new Map();
  const all = new Uint32Array(pen.getImageData(0, 0, flat.width, flat.height).data.buffer);
  for (const one of all) seen.set(one, (seen.get(one) ?? 0) + 1);
  return [...seen.values()].sort((a, b) => b - a).slice(1, 4).reduce((a, b) => a + b) / all.length;
};
const boxes = () => ["title", "said", "scale", "controls", "cautions"].map((id) => at(id).getBoundingClientRect())
  .concat([...document.querySelectorAll("#names text")].map((name) => name.getBoundingClientRect()))
  .filter((box) => box.width);
const meeting = () => {
  const all = boxes();
  const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
  return all.filter((a, i) => all.some((b, j) => i < j && meet(a, b))
    || a.left < 0 || a.right > innerWidth || a.top < 0 || a.bottom > innerHeight).length;
};
const told = { wide: innerWidth, colours: [...at("colour").options].map((option) => option.value), meeting: [] };
const seen = [];
const see = async () => { seen.push(await picture()); told.meeting.push(meeting()); };
told.shown = at("colour").value;
at("ends").checked = true;
at("colour").value = "";
await see();
at("next").click();
await see();
told.number = at("number").value;
for (const field of told.colours.slice(1)) { at("colour").value = field; await see(); }
told.scale = !at("scale").hidden;
at("colour").value = "";
told.meeting.push(meeting());
at("skin").checked = false;
await see();
const bare = await even();
at("cut").value = 50;
await see();
told.cap = [bare, await even()];
for (const way of [0, 2]) { at("way").value = way; await see(); }
told.steady = (await picture()) === seen[seen.length - 1];
told.pictures = seen.map((one) => seen.indexOf(one));
return told;
})()"""


def shaken(browser, folder, text, wide, high):
    """What a window of that size tells after every control was moved."""
    page = folder / "piece.html"
    page.write_text(text, encoding="utf-8")
    browser.open(page, wide, high)
    told = browser.run(SHAKE)
    assert browser.logged == []
    return told


def test_it_carries_the_cautions_of_the_sheet(stool_plan):
    """Amounts to mix stand on both pages, and so do the same cautions."""
    pages = [sheet_html(stool_plan), piece_html(stool_plan)]
    assert len(stool_plan.cautions) >= 7
    for page in pages:
        words = " ".join(html.unescape(page).replace("\u00a0", " ").split())
        for caution in stool_plan.cautions:
            assert " ".join(caution.split()) in words, caution


def test_it_holds_everything_and_fetches_nothing(stool_plan):
    text = piece_html(stool_plan)
    links = re.findall(r'(?:src|href)="([^"]*)"', text)
    assert links == []
    assert "<figure>" in text
    assert text.count("data:text/javascript;base64,") == 2
    assert "default-src 'none'" in text
    assert f'max="{len(stool_plan.lift_plan.lifts)}"' in text
    assert piece_html(stool_plan) == text


def test_names_end_no_element(stool_plan):
    before = piece_html(stool_plan).count("<script")
    plan = replace(stool_plan, job=replace(stool_plan.job, name=BAD, place="x" * 3000))
    vents = tuple(replace(vent, name=BAD) for vent in plan.lift_plan.vents)
    text = piece_html(replace(plan, lift_plan=replace(plan.lift_plan, vents=vents)))
    assert text.count("<script") == before


def test_the_page_names_who_holds_the_viewer_and_its_licence(stool_plan):
    """As the licence itself asks: "the above copyright notice ... shall be included in all copies"."""
    text = piece_html(stool_plan)
    shown = re.search(r'<p class="licence">(.*?)</p>', text)[1]
    assert shown == "Viewer: three.js, Copyright © 2010-2024 three.js authors, MIT License"


FLAT = """(async () => {
await Promise.all([...document.images].map((image) => image.decode()));
const seen = (one) => one.getBoundingClientRect().height > 0;
return {
  webgl: Boolean(document.createElement("canvas").getContext("webgl2")),
  pictures: [...document.images].filter((one) => seen(one) && one.naturalWidth > 300).map((one) => one.alt),
  empty: ["view", "said", "step"].filter((id) => seen(document.getElementById(id))),
  scrolls: document.documentElement.scrollHeight > innerHeight,
  wide: document.documentElement.scrollWidth - innerWidth,
  words: document.body.innerText,
};
})()"""


@pytest.fixture(scope="module")
def lift_pictures(stool_plan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("lifts")
    files = [folder / f"lift_{lift.number:02d}.png" for lift in stool_plan.lift_plan.lifts]
    for file in files:
        Image.new("RGB", (800, 600), "orange").save(file)
    return files


@pytest.mark.slow
@pytest.mark.parametrize(("wide", "high"), [(1280, 800), (390, 780)])
def test_without_webgl_the_pictures_are_shown_one_a_lift(stool_plan, lift_pictures, flat_browser, tmp_path, wide, high):
    page = tmp_path / "piece.html"
    page.write_text(piece_html(stool_plan, lift_pictures), encoding="utf-8")
    flat_browser.open(page, wide, high)
    told = flat_browser.run(FLAT)
    lifts = stool_plan.lift_plan.lifts
    assert not told["webgl"]
    assert len(told["pictures"]) == len(lifts)
    assert told["empty"] == []
    assert told["scrolls"]
    assert told["wide"] <= 0
    for lift in lifts:
        for pour in lift.pours:
            assert f"Pour {pour.name}:" in told["words"]


@pytest.mark.slow
def test_with_webgl_the_pictures_stay_away(stool_plan, lift_pictures, browser, tmp_path):
    page = tmp_path / "piece.html"
    page.write_text(piece_html(stool_plan, lift_pictures), encoding="utf-8")
    browser.open(page)
    told = browser.run(FLAT)
    assert told["webgl"]
    assert told["pictures"] == []
    assert told["empty"] == ["view", "said", "step"]
    assert not told["scrolls"]
    assert browser.logged == []


@pytest.fixture
def push(stool_plan):
    """A gain of 2 below and 20 above, known at a few points."""
    points = np.random.default_rng(1).uniform(0, 1, (200, 3)) * stool_plan.frame.size_m
    gain = np.where(points[:, 2] < 0.5 * stool_plan.frame.size_m[2], 2.0, 20.0)
    one = np.ones(len(points))
    return PushMap(points, points, one, gain, gain, gain, 100.0, 0.05)


def with_shores(plan):
    """The first lift bulges too far and has two shores."""
    bulge = plan.lift_plan.bulges[1]
    shores = [
        Shore(f"S1.{k}", bulge.point_m + 0.1 * k, np.array([1.0, 0, 0]), bulge.measures, 120.0, 0.04, board)
        for k, board in enumerate([None, (0.3, 0.2)], 1)
    ]
    return with_bulge(plan, 1, verdict="ok with shores", shores=tuple(shores))


def test_shores_stand_at_their_lift(stool_plan):
    data = data_of(piece_html(with_shores(stool_plan)))
    shores = [hole for hole in data["holes"] if hole["kind"] == "shore"]
    assert [shore["name"] for shore in shores] == ["S1.1", "S1.2"]
    assert {"S1.1", "S1.2"} <= set(data["lifts"][0]["holes"])
    assert not {"S1.1", "S1.2"} & set(data["lifts"][1]["holes"])
    assert data["lifts"][0]["said"].count("set up first: ") == 2


def data_of(text):
    return json.loads(text.split('id="data">')[1].split("</script>")[0])


def test_colours_are_those_of_the_pour_behind(stool_plan):
    data = data_of(piece_html(stool_plan))
    points = np.frombuffer(base64.b64decode(data["skin"]["points"]), "<f4").reshape(-1, 3)
    behind = np.frombuffer(base64.b64decode(data["fields"]["lift"]), np.uint8)
    lifts = stool_plan.lift_plan.lifts
    assert set(behind) <= {*range(len(lifts)), 255}
    assert (behind == 255).mean() < 0.02  # the skin of a filled piece has foam behind it
    slack = 0.03  # wall, and cells
    for k, lift in enumerate(lifts):
        high = points[behind == k, 2]
        assert high.min() > lift.bottom_m - slack
        assert high.max() < lift.top_m + slack
    known = {
        "temperature": [heat.skin_k.high for heat in stool_plan.lift_plan.heats.values()],
        "pressure": [p.peak_pressure_pa.high for lift in lifts for p in lift.pours],
    }
    for field in data["fields"]["fields"]:
        places = [place for place, _ in field["ticks"]]
        assert (field["limit"] is not None) == (field["key"] == "temperature")
        assert places[0] == 0
        assert places[-1] == 1
        assert places == sorted(places)
        shade = np.frombuffer(base64.b64decode(field["values"]), np.uint8)
        values = np.array(known[field["key"]])
        assert len(set(shade[shade < 255])) <= len(set(values))
        if len(set(values)) > 1:
            assert len(set(shade[shade < 255])) > 1


def test_gain_is_spread_from_the_pushed_places_and_replaced(stool_plan, push):
    text = with_gain(with_gain(piece_html(stool_plan), push), push)
    data = data_of(text)
    assert [field["key"] for field in data["fields"]["fields"]].count("gain") == 1
    field = data["fields"]["fields"][-1]
    points = np.frombuffer(base64.b64decode(data["skin"]["points"]), "<f4").reshape(-1, 3)
    shade = np.frombuffer(base64.b64decode(field["values"]), np.uint8)
    high = points[:, 2] / stool_plan.frame.size_m[2]
    assert field["ticks"][0][1] == "2 x"
    assert field["ticks"][-1][1] == "20 x"
    assert np.all(shade[high < 0.2] == 0)
    assert np.all(shade[high > 0.9] == 254)
    with pytest.raises(ValueError, match="no data"):
        with_gain("<html></html>", push)


def test_names_end_no_element_after_a_gain_is_added(stool_plan, push):
    vents = tuple(replace(vent, name=BAD) for vent in stool_plan.lift_plan.vents)
    plan = replace(stool_plan, lift_plan=replace(stool_plan.lift_plan, vents=vents))
    page = piece_html(plan)
    assert with_gain(page, push).count("<script") == page.count("<script")


@pytest.mark.slow
@pytest.mark.parametrize(("wide", "high"), [(1280, 800), (390, 780)])
def test_in_a_browser_every_control_changes_the_picture(stool_plan, push, browser, tmp_path, wide, high):
    told = shaken(browser, tmp_path, with_gain(piece_html(stool_plan), push), wide, high)
    lifts = len(stool_plan.lift_plan.lifts)
    assert told["wide"] == wide
    assert told["number"] == f"2 of {lifts}"  # it opened at the first, and one lift on was asked for
    assert told["colours"] == ["", "temperature", "pressure", "gain"]
    assert told["shown"] == "gain"
    assert told["scale"]
    assert told["meeting"] == [0] * len(told["meeting"])
    assert told["pictures"] == list(range(9))
    assert told["steady"]
    bare, cut = told["cap"]  # a flat cap has one colour all over; a round body has none
    assert cut > bare + 0.01


def test_the_limit_stands_on_the_bar_of_the_temperature(stool_plan):
    (limit,) = (check.limit for check in stool_plan.checks if check.name == "skin temperature")
    (field,) = (one for one in data_of(piece_html(stool_plan))["fields"]["fields"] if one["key"] == "temperature")
    place, words = field["limit"]
    celsius = f"{limit - 273.15:.0f} °C"
    assert celsius in words
    at = [(where, float(re.match(r"-?[\d.]+", said)[0])) for where, said in field["ticks"]]
    between = np.interp(limit - 273.15, [value for _, value in at], [where for where, _ in at])
    assert place == pytest.approx(between, abs=0.02)


def test_the_limit_stands_on_the_bar_where_every_lift_is_over_it(stool_plan):
    low = tuple(replace(c, limit=300.0) if c.name == "skin temperature" else c for c in stool_plan.checks)
    fields = data_of(piece_html(replace(stool_plan, checks=low)))["fields"]["fields"]
    (field,) = (one for one in fields if one["key"] == "temperature")
    assert 0.0 <= field["limit"][0] <= 1.0


def test_each_quantity_has_its_own_ramp(stool_plan, push):
    fields = data_of(with_gain(piece_html(stool_plan), push))["fields"]["fields"]
    assert len({json.dumps(field["colours"]) for field in fields}) == len(fields) == 3


@pytest.mark.slow
@pytest.mark.parametrize(("wide", "high"), [(1280, 800), (390, 780)])
def test_it_opens_at_the_first_lift_with_clock_and_wait_in_sight(stool_plan, browser, tmp_path, wide, high):
    page = tmp_path / "piece.html"
    page.write_text(piece_html(stool_plan), encoding="utf-8")
    browser.open(page, wide, high)
    assert browser.run("document.getElementById('number').value") == f"1 of {len(stool_plan.lift_plan.lifts)}"
    seen = browser.run(
        "(() => { const box = document.getElementById('said').getBoundingClientRect(); return ["
        "...document.querySelectorAll('#said p')].filter((p) => p.getBoundingClientRect().top < box.bottom - 8)"
        ".map((p) => p.textContent); })()"
    )
    assert any(words.startswith("not before 0:00 h") for words in seen)
    assert any("wait" in words for words in seen)
    tall = browser.run("[...document.querySelectorAll('#controls button, select')].map((b) => b.offsetHeight)")
    assert min(tall) >= 44  # for a glove


def test_the_page_looks_from_the_side_of_the_pictures(stool_plan):
    side = np.array(data_of(piece_html(stool_plan))["toward"])
    camera = stage_of(stool_plan).view.axes[2]
    assert np.arctan2(side[0], -side[1]) == pytest.approx(np.arctan2(camera[0], -camera[1]), abs=1e-3)


@pytest.mark.slow
def test_long_and_hostile_names_leave_the_page_whole(stool_plan, push, browser, tmp_path):
    vents = tuple(replace(vent, name=BAD) for vent in stool_plan.lift_plan.vents)
    plan = replace(
        stool_plan,
        job=replace(stool_plan.job, name="W" * 200, place=BAD),
        lift_plan=replace(stool_plan.lift_plan, vents=vents),
    )
    told = shaken(browser, tmp_path, with_gain(piece_html(plan), push), 390, 780)
    assert told["meeting"] == [0] * len(told["meeting"])
