"""The bench sheet: everything on it, nothing of the job taken for markup, nothing fetched, no page cut."""

import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from PIL import Image

from pourwright.paper import Issue, sheet_html

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
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
        "Mix 2 cups, and in each",
        "587 mL (19.8 US fl oz)",
        "725 g (25.6 oz)",
        "rises to",
        "500 mm (19 11/16 in) above the base",
        "it touches the foam 500 mm (19 11/16 in) down",
        "NO port reaches this pour",
        "Part A is an isocyanate.",
        "Started at",
        "18.1 kg (39.9 lb), from 16.2 kg",
        "a push on the worst spot",
        'up taken as "+z"',
    ):
        assert said in words, said


def test_an_over_limit_plan_says_so_first(hand_plan):
    text = sheet_html(hand_plan("over"))
    assert 'class="status stop"' in text
    assert text.index("do not pour") < text.index("Have at hand")


def test_names_are_words_whatever_they_hold(hand_plan):
    parser = seen(sheet_html(hand_plan(name=BAD, place=f'{LONG}"><img src=x onerror=alert(2)>')))
    assert "script" not in parser.tags
    assert not [name for _, name, _ in parser.attributes if name.startswith("on")]
    assert BAD in "".join(parser.words)


def test_nothing_is_fetched(stool_plan, tmp_path):
    picture = tmp_path / "overview.png"
    Image.new("RGB", (2000, 900), "white").save(picture)
    text = sheet_html(stool_plan, [picture])
    parser = seen(text)
    links = [value for _, name, value in parser.attributes if name in ("src", "href", "srcset")]
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
    assert "poured 1.2 L" in text
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


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="needs a browser")
@pytest.mark.parametrize("width", [360, 390, 794, 816])
def test_nothing_is_wider_than_the_page(hand_plan, tmp_path, width):
    """A frame of that width measures how far its content reaches; its title tells."""
    text = sheet_html(many_lifts(hand_plan(name=LONG, place=BAD), 40))
    page = tmp_path / "page.html"
    page.write_text(text.replace("default-src 'none'", "default-src * 'unsafe-inline'"), encoding="utf-8")
    outer = tmp_path / "outer.html"
    outer.write_text(
        f'<body style="margin:0"><iframe id=f src="page.html" style="width:{width}px;height:800px;border:0"></iframe>'
        "<script>onload=()=>{const d=document.getElementById('f').contentDocument.documentElement;"
        "document.title=`reach ${d.scrollWidth} of ${d.clientWidth}`}</script>"
    )
    dump = subprocess.run(
        [
            CHROMIUM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--allow-file-access-from-files",
            f"--user-data-dir={tmp_path / 'profile'}",
            "--dump-dom",
            "--virtual-time-budget=5000",
            Path(outer).as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
    ).stdout
    reach, of = map(int, re.search(r"reach (\d+) of (\d+)", dump).groups())
    assert of > 300
    assert reach <= of
