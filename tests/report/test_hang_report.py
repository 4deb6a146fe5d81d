"""The engineer's report: every case stands in it, its tables sum up, its drawing has the anchors."""

from __future__ import annotations

import csv
import html
import io

import ezdxf
import numpy as np
import pytest

from pourwright.answers.hang_report import anchors_csv, anchors_dxf, cases_csv, hang_files, report_html
from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Insert, Load, Site, Spot


@pytest.fixture
def hung(made, lump):
    anchors = tuple(
        Anchor(
            f"A<{k}>",
            Spot(from_left_m=x, from_base_m=z),
            insert=Insert(0.04, 0.2),
            shear_n=4e3,
            pull_n=4e3,
            breaking=False,
        )
        for k, (x, z) in enumerate(((0.2, 0.2), (0.8, 0.2), (0.5, 0.8)))
    )
    load = Load("gale", "wind", "out", pressure_pa=300.0, reference="letter <7>")
    piece, surface = made(
        [lump(30.0, (0.05, 0, 0))], Site(anchors=anchors, hang=Hang((0, -1, 0), (0, 0, 1), loads=(load,)))
    )
    return piece, hang(piece, surface), surface


def test_rows_of_the_cases_sum_to_nothing(hung):
    rows = list(csv.DictReader(io.StringIO(cases_csv(hung[1]))))
    cases = {row["case"] for row in rows}
    assert cases == {case.name for case in hung[1].cases if not case.impossible}
    for case in cases:
        mine = [row for row in rows if row["case"] == case]
        force = np.array([[float(row[k]) for k in ("right_n", "up_n", "out_n")] for row in mine])
        at = np.array([[float(row[k]) for k in ("x_m", "y_m", "z_m")] for row in mine])
        most = np.abs(force).max()
        assert np.abs(force.sum(axis=0)).max() < 1e-4 * most
        assert np.abs(np.cross(at, force).sum(axis=0)).max() < 1e-4 * most


def test_the_report_has_every_case_reference_and_limit_of_what_it_covers(hung):
    text = report_html(hung[0], hung[1], "Made from a test.")
    for case in hung[1].cases:
        assert html.escape(case.name) in text
    for words in ("letter &lt;7&gt;", "NOT CHECKED", "Not covered", "signature", "sha256", "gale, no factors", "@page"):
        assert words in text
    assert "A<0>" not in text
    assert text == report_html(hung[0], hung[1], "Made from a test.")


def test_the_drawing_has_each_anchor_at_its_measures(hung):
    piece, result, surface = hung
    drawing = ezdxf.read(io.StringIO(anchors_dxf(piece, result, surface)))
    circles = [one for one in drawing.modelspace() if one.dxftype() == "CIRCLE" and one.dxf.layer == "ANCHORS"]
    assert sorted((round(c.dxf.center.x), round(c.dxf.center.y)) for c in circles) == [
        (200, 200),
        (500, 800),
        (800, 200),
    ]
    outline = next(one for one in drawing.modelspace() if one.dxf.layer == "OUTLINE")
    points = np.array([point[:2] for point in outline.get_points()])
    assert np.ptp(points, axis=0) == pytest.approx([1000, 1000])
    assert points.min(axis=0) == pytest.approx([0, 0], abs=1e-6)


def test_files_are_named_and_the_table_has_a_row_for_each_anchor(hung):
    assert set(hang_files(*hung, "x")) == {
        *("report.html", "hang_anchors.csv", "hang_cases.csv", "hang_anchors.dxf"),
        *("back_template.svg", "back_tiles.html", "wall_tape.svg"),
    }
    assert len(anchors_csv(hung[1]).splitlines()) == 4
