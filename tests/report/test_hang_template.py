"""Paper to drill and tape by: true to scale, mirrored where it is seen from behind, every place on some page."""

import re

import numpy as np
import pytest

from pourwright.answers.hang_report import load_size, report_html
from pourwright.answers.hang_template import PAGE_MM, on_wall, template_files
from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Insert, Load, Site, Spot

PLACES = {"low": (300.0, 200.0), "high": (640.0, 810.0), "side": (880.0, 200.0)}


@pytest.fixture
def taped(made, lump):
    """A box 1 m wide and 1 m high, on three anchors; facing it."""
    anchors = tuple(
        Anchor(name, Spot(from_left_m=x / 1e3, from_base_m=z / 1e3), insert=Insert(0.05, 0.1))
        for name, (x, z) in PLACES.items()
    )
    loads = (Load("gale", "wind", "out", pressure_pa=700.0, reference="letter 3"),)
    asked = Hang((0.0, -1.0, 0.0), (0.0, 0.0, 1.0), loads=loads)
    piece, surface = made([lump(20.0, (0.0, 0.0, 0.0))], Site(anchors=anchors, hang=asked))
    return piece, hang(piece, surface), surface


def circles(svg):
    return [tuple(float(v) for v in found) for found in re.findall(r"<circle cx='(\S+)' cy='(\S+)' r='(\S+)'/>", svg)]


def test_the_back_is_at_true_scale_and_seen_from_behind(taped):
    files = template_files(*taped)
    svg = files["back_template.svg"]
    wide, high = (float(v) for v in re.search(r"width='(\S+)mm' height='(\S+)mm'", svg).groups())
    box = [float(v) for v in re.search(r"viewBox='([^']+)'", svg).group(1).split()]
    assert box[2:] == pytest.approx([wide, high])  # a unit is a millimetre
    due = sorted((1000.0 - x, 1000.0 - z, 25.0) for x, z in PLACES.values())
    assert np.array(sorted(circles(svg))) == pytest.approx(np.array(due))
    assert "SEEN FROM BEHIND" in svg
    assert "h100" in svg


def test_every_insert_lies_whole_on_the_pages(taped):
    html = template_files(*taped)["back_tiles.html"]
    pages = [tuple(float(v) for v in box.split()) for box in re.findall(r'class="tile"[^>]*viewBox="([^"]+)"', html)]
    assert pages
    for _, _, wide, high in pages:
        assert (wide, high) == PAGE_MM
    for x, y, radius in circles(html):
        for angle in np.linspace(0, 2 * np.pi, 60):
            px, py = x + radius * np.cos(angle), y + radius * np.sin(angle)
            assert any(a <= px <= a + w and b <= py <= b + h for a, b, w, h in pages)
    assert html.count("100 mm (3.94 in)</text>") == len(pages)  # a measure to test on every page


def test_the_wall_has_every_measure_from_one_datum_and_distances_to_check_by(taped):
    svg = template_files(*taped)["wall_tape.svg"]
    for x, z in PLACES.values():
        assert f"{x:.0f} mm (" in svg
        assert f"{z:.0f} mm (" in svg
    apart = np.hypot(640 - 300, 810 - 200)
    assert f"1 to 2: {apart:.0f} mm" in svg
    assert svg.count("200 mm (") == 1  # two anchors in one row are one measure


def test_a_leaning_wall_is_taped_along_itself(made, lump):
    """A box leaning back by 30 degrees: along the wall it is as high as it is, not as its shadow."""
    lean = np.radians(30.0)
    out = (0.0, -float(np.cos(lean)), float(np.sin(lean)))
    site = Site(
        anchors=(Anchor("a", Spot(at_m=(-0.2, 0.25, 0.2))), Anchor("b", Spot(at_m=(0.2, 0.25, 0.2)))),
        hang=Hang(out, (0.0, 0.0, 1.0)),
    )
    piece, surface = made([lump(20.0, (0.0, 0.0, 0.0))], site)
    made_of = on_wall(piece, hang(piece, surface), surface)
    walled = surface.vertices_m @ np.array([0.0, np.sin(lean), np.cos(lean)])
    assert made_of.size[1] == pytest.approx(1e3 * np.ptp(walled), abs=0.5)


def test_loads_given_stand_with_their_size(taped):
    piece, result, _ = taped
    assert "700 Pa" in report_html(piece, result, "made")
    spot = Spot(from_left_m=0.3, from_base_m=0.4)
    assert load_size(Load("man", "person", "down", force_n=900.0, spot=spot)).startswith("900 N (202 lbf) at 300 mm")
    assert load_size(Load("water", "water", kg=5.0, spot=spot)).startswith("5.00 kg (11.0 lb) at ")
    assert load_size(Load("quake", "earthquake", "left", acceleration=0.1)) == "10 % of gravity on every mass"
    assert load_size(Load("ice", "ice", areal_kg_m2=2.0)).endswith("on all the outside")
