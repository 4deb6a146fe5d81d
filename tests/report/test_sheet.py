"""The bench sheet: everything on it, nothing of the job taken for markup, nothing fetched, no page cut."""

import math
import re
import shlex
import shutil
import subprocess
import urllib.parse
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from PIL import Image
from tests.reference.seen import with_bulge

from pourwright.cli.record_from import read_bench
from pourwright.draw.charts import draw_charts
from pourwright.draw.lifts import draw_plan
from pourwright.evaluation import Shore
from pourwright.report.sheet import Issue, sheet_html

BAD = "<script>alert(1)</script>"
LONG = "Donaudampfschifffahrt" * 12


class Seen(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.attributes, self.words = [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]

    def handle_data(self, data):
        self.words.append(data)


def seen(text):
    parser = Seen()
    parser.feed(text)
    return parser


def test_amounts_places_and_boxes_of_each_pour(hand_plan):
    words = " ".join("".join(seen(sheet_html(hand_plan())).words).split())
    for said in (
        "Box",
        "Quay shed",
        "Pour 1a",
        "2 batches one after another, and in each:",
        "587 mL (19.8 US fl oz)",
        "725 g (25.6 oz)",
        "risen foam ends 500 mm (19 11/16 in) down from the rim of P1",
        "on the clock",
        "NO port reaches this pour",
        "Part A is an isocyanate.",
        "Mixing began at",
        "Part A weighed",
        "Next not before",
        "18.1 kg (39.9 lb), from 16.2 kg",
    ):
        assert said in words, said
    for said in ("a push on the worst", "up taken as", "sha256", "to spare"):  # nobody acts on it: it is in plan.md
        assert said not in words, said


def test_a_card_is_in_the_order_of_the_work(hand_plan):
    words = " ".join("".join(seen(sheet_html(hand_plan())).words).split())
    card = words[words.index("Pour 1a first of all") :]
    order = (
        "Not before, by the clock",
        "Part A",
        "Part B",
        "pour in at",
        "on the clock",
        "stop",
        "then wait",
        "before the next",
    )
    places = [card.index(word) for word in (*order, "Mixing began at", "Next not before")]
    assert places == sorted(places)
    assert card.index("725 g") < card.index("587 mL")  # by weight first


def test_a_card_has_no_figure_that_nobody_reads_off(hand_plan):
    """An estimated limit is a round figure; how far liquid falls is the plan's to check; heights are a tape's."""
    words = " ".join("".join(seen(sheet_html(hand_plan())).words).replace("\u00a0", " ").split())
    assert "it falls" not in words
    assert re.findall(r"Lift (\d): foam up to (\d+ mm) \(", words)
    cooler = re.findall(r"surface cooler than (\d+) °C", words)
    assert cooler
    assert all(int(value) % 5 == 0 for value in cooler)


def test_an_over_limit_plan_says_so_first(hand_plan):
    text = sheet_html(hand_plan("over"))
    assert 'class="status stop"' in text
    assert text.index("do not pour") < text.index("Have at hand")


def test_names_are_words_whatever_they_hold(hand_plan):
    parser = seen(sheet_html(hand_plan(name=BAD, place=f'{LONG}"><img src=x onerror=alert(2)>')))
    assert parser.tags.count("script") == seen(sheet_html(hand_plan())).tags.count("script") == 1  # the page's own
    assert not [name for _, name, _ in parser.attributes if name.startswith("on")]
    assert BAD in "".join(parser.words)


def test_nothing_is_fetched(stool_plan, tmp_path):
    picture = tmp_path / "timeline.png"
    Image.new("RGB", (2000, 900), "white").save(picture)
    text = sheet_html(stool_plan, [picture])
    parser = seen(text)
    links = [value for _, name, value in parser.attributes if name in ("src", "href", "srcset")]
    ids = {value for _, name, value in parser.attributes if name == "id"}
    inner = [link for link in links if link.startswith("#")]
    assert inner
    assert {link[1:] for link in inner} <= ids  # a jump within the page
    links = [link for link in links if not link.startswith("#")]
    assert links
    assert all(link.startswith("data:image/jpeg;base64,") for link in links)
    assert not re.search(r"url\(|@import", text)


def test_the_same_plan_gives_the_same_sheet(hand_plan):
    assert sheet_html(hand_plan()) == sheet_html(hand_plan())


def test_a_sheet_issued_again_marks_what_changed(hand_plan):
    issue = Issue(2, ("The yield was 4 % more.",), {"1a": ("poured 1.2 L",)}, frozenset({"2a"}))
    text = sheet_html(hand_plan(), issue=issue)
    assert "Sheet 2, made again" in text
    assert text.count('class="tag done">poured') == 3  # in the table, at its lift, at its pour
    assert "poured 1.2\u00a0L" in text
    assert re.search(r"Pour 2a<span class=\"tag\">changed", text)
    assert not re.search(r"Pour 2b<span", text)


def many_lifts(plan, count):
    lift = plan.lift_plan.lifts[0]
    lifts = tuple(
        replace(lift, number=n, pours=(replace(lift.pours[0], name=f"{n}a", lift=n),)) for n in range(1, count + 1)
    )
    return replace(plan, lift_plan=replace(plan.lift_plan, lifts=lifts))


def test_forty_lifts_have_forty_blocks(hand_plan):
    text = sheet_html(many_lifts(hand_plan(), 40))
    assert text.count("<h3>Pour ") == 40


def test_what_is_set_up_first_stands_before_its_lift(stool_plan):
    bulge = stool_plan.lift_plan.bulges[1]
    shore = Shore("S1.1", bulge.point_m, np.array([1.0, 0, 0]), bulge.measures, 120.0, 0.04)
    plan = with_bulge(stool_plan, 1, verdict="ok with shores", shores=(shore,))
    text = sheet_html(plan)
    assert text.count("Set up before this lift") == 1
    assert text.index("Lift 1: ") < text.index("Shore S1.1") < text.index("<h3>Pour 1a") < text.index("Lift 2: ")
    assert "Shores with pads or boards, at most 1 at a time" in text


MEASURE = """(() => {
const page = document.documentElement;
const words = [...document.querySelectorAll("h1, h2, h3, p, li, th, td, .cup > *, .box, img, .tag")]
  .filter((one) => one.getClientRects().length && !one.querySelector("p, li, th, td"));
const boxes = words.flatMap((one) => [...one.getClientRects()].map((box) => [box, one]))
  .filter(([box]) => box.width > 1 && box.height > 1).sort((a, b) => a[0].top - b[0].top);
const over = [];
for (let i = 0; i < boxes.length; i++)
  for (let j = i + 1; j < boxes.length && boxes[j][0].top < boxes[i][0].bottom - 1; j++) {
    const [a, one] = boxes[i], [b, other] = boxes[j];
    if (one.contains(other) || other.contains(one)) continue;
    if (a.left < b.right - 1 && b.left < a.right - 1) over.push([one.textContent, other.textContent]);
  }
const cut = words.filter((one) => one.scrollWidth > one.clientWidth + 1 && one.clientWidth && one.tagName !== "IMG")
  .map((one) => one.textContent);
return { reach: page.scrollWidth, wide: page.clientWidth, over, cut, seen: boxes.length };
})()"""
A4, LETTER = (8.27, 11.69), (8.5, 11.0)


@pytest.fixture(scope="module")
def stool_pictures(stool_plan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("sheet")
    return [*draw_plan(stool_plan, folder), *draw_charts(stool_plan, folder)]


@pytest.mark.slow
@pytest.mark.parametrize(("width", "media"), [(360, ""), (390, ""), (1280, ""), (695, "print"), (718, "print")])
@pytest.mark.parametrize("lifts", [2, 40])
def test_nothing_is_cut_or_meets(hand_plan, browser, tmp_path, width, media, lifts):
    plan = hand_plan("over", name=f"{BAD} {LONG}", place=LONG)
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(many_lifts(plan, lifts) if lifts > 2 else plan), encoding="utf-8")
    browser.open(page, width, 800, media)
    found = browser.run(MEASURE)
    assert browser.logged == []
    assert found["wide"] == width
    assert found["reach"] <= width
    assert found["seen"] > 100
    assert found["over"] == []
    assert found["cut"] == []


@pytest.mark.slow
def test_a_picture_touched_on_a_phone_grows_and_the_page_does_not(stool_plan, stool_pictures, browser, tmp_path):
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(stool_plan, stool_pictures), encoding="utf-8")
    browser.open(page, 390, 780)
    wide = "document.querySelector('.seen img').getBoundingClientRect().width"
    small = browser.run(wide)
    browser.run("document.querySelector('.seen').click()")
    assert browser.run(wide) > 2 * small
    assert browser.run("document.documentElement.scrollWidth") == 390


@pytest.mark.slow
def test_what_is_tapped_on_a_phone_is_wide_enough_for_a_glove(stool_plan, browser, tmp_path):
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(stool_plan), encoding="utf-8")
    browser.open(page, 390, 780)
    sizes = browser.run(
        "[...document.querySelectorAll('.jump a')].map(a => a.getBoundingClientRect()).map(b => [b.width, b.height])"
    )
    assert len(sizes) == 2 + sum(len(lift.pours) for lift in stool_plan.lift_plan.lifts)  # to the top, to the record
    assert min(min(size) for size in sizes) >= 44


@pytest.fixture
def phone(stool_plan, browser, tmp_path):
    """The sheet on a phone 390 px wide."""
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(stool_plan), encoding="utf-8")
    browser.open(page, 390, 780)
    yield browser
    browser.run("localStorage.clear(); window.name = ''")


def first_pour(plan):
    return plan.lift_plan.lifts[0].pours[0]


@pytest.mark.slow
def test_every_button_of_a_card_is_wide_enough_for_a_glove(phone):
    sizes = phone.run(
        "[...document.querySelectorAll('.mix, .copy, .save, .box input')].map(a => a.getBoundingClientRect())"
        ".map(b => [b.width, b.height])"
    )
    assert len(sizes) > 6
    assert min(min(size) for size in sizes) >= 44


@pytest.mark.slow
def test_a_lift_has_the_screen_to_itself(phone):
    heights = phone.run("[...document.querySelectorAll('.lift')].map(a => a.getBoundingClientRect().height)")
    assert min(heights) >= 780
    assert phone.run("document.documentElement.scrollWidth") == 390


@pytest.mark.slow
@pytest.mark.parametrize("kept_by", ["the browser", "the tab"])
def test_the_clock_runs_from_a_tap_and_survives_a_reload(phone, kept_by):
    if kept_by == "the tab":  # as where a browser keeps nothing for files
        spoilt = "Object.defineProperty(window, 'localStorage', {get() { throw Error(); }, configurable: true}); 0"
        phone.run(spoilt)
    phone.run("document.querySelector('.mix').click()")
    run = "document.querySelector('.run').textContent"
    assert re.match(r"0:0\d +stirred by 0:", phone.run(run))
    at = phone.run("document.querySelector('input[data-key=at]').value")
    assert re.fullmatch(r"\d\d:\d\d", at)
    assert re.match(r"\d\d:\d\d, in ", phone.run("document.querySelector('.next').textContent"))
    phone.reload()
    assert re.match(r"0:\d\d +", phone.run(run))
    assert phone.run("document.querySelector('input[data-key=at]').value") == at
    phone.run("document.querySelector('.undo').click()")
    assert phone.run(run) == ""
    phone.reload()
    assert phone.run(run) == ""


@pytest.mark.slow
def test_what_is_typed_on_a_phone_is_a_line_and_a_file_that_record_takes(phone, stool_plan, tmp_path):
    pour = first_pour(stool_plan)
    grams = f"{1e3 * pour.parts.a_kg:.1f}".replace(".", ",")
    kg = f"{pour.parts.b_kg:.4f} kg"
    typed = {"a": grams, "b": kg, "infrared": "88", "dip": "130", "reached": "130"}
    for key, value in typed.items():
        phone.run(
            f"(() => {{ const f = document.querySelector('input[data-key={key}]'); if (!f) return;"
            f"f.value = {value!r}; f.dispatchEvent(new Event('input')); }})()"
        )
    line = phone.run("document.querySelector('.lines').value")
    assert line.startswith(f'pourwright record PLAN --pour "{pour.name}" --a "')
    link = phone.run("document.querySelector('.save').href")
    page = tmp_path / "bench.json"
    page.write_text(urllib.parse.unquote(link.split(",", 1)[1]), encoding="utf-8")
    (one,) = read_bench(page, stool_plan.skin.sha256)
    assert one.pour == pour.name
    unit = "kg" if pour.parts.a_kg >= 1.0 else "g"
    assert one.part_a == f"{grams.replace(',', '.')} {unit}"
    assert one.part_b == kg
    assert one.infrared == "88 degC"
    assert "130 mm" in (one.dip, one.reached)
    given = shlex.split(line)
    assert given[given.index("--infrared") + 1] == "88 degC"


@pytest.mark.slow
def test_the_measure_sees_what_meets_and_what_is_cut(browser, tmp_path):
    page = tmp_path / "page.html"
    page.write_text(
        '<p style="width:60px;white-space:nowrap">a long line of words</p><p style="margin-top:-30px">b</p>'
    )
    browser.open(page, 390, 800)
    found = browser.run(MEASURE)
    assert found["over"]
    assert found["cut"]


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext to read what was printed")
@pytest.mark.parametrize("size", [A4, LETTER], ids=["a4", "letter"])
def test_a_pour_stays_on_its_page_and_no_page_is_nearly_empty(stool_plan, stool_pictures, browser, tmp_path, size):
    page = tmp_path / "sheet.html"
    page.write_text(sheet_html(stool_plan, stool_pictures), encoding="utf-8")
    browser.open(page)
    paper = browser.paper(tmp_path / "sheet.pdf", *size)
    text = subprocess.run(["pdftotext", "-layout", paper, "-"], capture_output=True, text=True, check=True).stdout
    pages = text.split("\f")[:-1]
    lifts = stool_plan.lift_plan.lifts
    assert len(pages) <= 4 + math.ceil(sum(len(lift.pours) for lift in lifts) / 2)
    for lift in lifts:
        for pour in lift.pours:
            (mine,) = [
                one for one in pages if re.search(rf"^ *Pour {pour.name} +(not before|first|when)", one, re.MULTILINE)
            ]
            assert mine.count("Mixing began at") == mine.count("on the clock") > 0
    words = [len(one.split()) for one in pages if "Heat by the clock" not in one]  # that page is one picture
    assert all(count > 60 for count in words), words
    assert [re.search(r"(\d+) ?/ ?(\d+)\s*$", one).groups() for one in pages] == [
        (str(k), str(len(pages))) for k in range(1, len(pages) + 1)
    ]


def test_a_cup_is_shared_by_eye_and_a_level_is_read_to_what_a_stick_tells():
    """It said: 121 g of a cup that creams in fifteen seconds, and foam that ends 1 mm below a rim."""
    from types import SimpleNamespace as N

    from pourwright.lifts import ShopLimits
    from pourwright.report.card import _share, _stop

    grade = N(sides=N(heads=("Part A", "Part B")))
    by_hand = N(job=N(machine=None, limits=ShopLimits(hands=1), grade=grade), lift_plan=N(closings=()), warnings=())
    two = [N(kg=0.121), N(kg=0.730)]
    said = [_share(by_hand, N(name="1a", landings=two, batches=1, checks=()), one) for one in two]
    assert said == ["about 1/8 of the cup, ", "about 7/8 of the cup, "]
    rim = N(port="P2", measures=N(from_base_m=0.711))
    ends = [
        _stop(by_hand, N(name="1a", together=(), closes=False, landings=[rim], top_m=top))
        for top in (0.710, 0.615, 0.9)
    ]
    assert ends[0] == "risen foam ends level with the rim of P2"
    assert ends[1] == "risen foam ends 96 mm (3 3/4 in) down from the rim of P2"
    assert ends[2].startswith("risen foam ends 900 mm (35 7/16 in) above the base: up to there the skin gets warm")
