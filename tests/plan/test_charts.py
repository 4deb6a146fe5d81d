"""Charts of the day and of the heat: there, readable, true to the plan, and the same bytes again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image
from tests.reference.seen import lifts_seen

from pourwright.draw.charts import draw_charts, heat_chart, strip_chart, timeline_chart
from pourwright.draw.heat_chart import lift_doses
from pourwright.draw.maps.strip import MOST, chosen, heat_ramp, pictures_of
from pourwright.draw.timeline import bars_of
from pourwright.heat import Moment

EVEN = {"day.search": False}
SEARCHED = {"day.search": True, "piece.support": "held"}  # the pressure on its flat sides is not asked about


def test_charts(plan_of, tmp_path):
    plan = plan_of("column", **EVEN)
    twice = [tmp_path / name for name in "ab"]
    names = ["timeline.png", "heat.png", "strip.png"]
    for folder in twice:
        folder.mkdir()
        assert [file.name for file in draw_charts(plan, folder)] == names
    for name in names:
        assert (twice[0] / name).read_bytes() == (twice[1] / name).read_bytes()
        image = np.asarray(Image.open(twice[0] / name).convert("L"), float)
        assert image.shape[1] > 1500
        assert image.std() > 10  # not blank


def test_no_letter_is_below_eight_points_on_the_page(plan_of):
    plan = plan_of("column", **EVEN)
    for figure in (
        timeline_chart(plan),
        heat_chart(plan, plan.computed.heating),
        strip_chart(plan, plan.computed.heating),
    ):
        assert figure.get_size_inches()[0] <= 180 / 25.4 + 0.02  # the text of an A4 page between margins of 15 mm
        FigureCanvasAgg(figure).draw()
        words = [*figure.texts]
        for axes in figure.axes:
            words += axes.texts
            if not axes.axison:
                continue
            words += [*axes.get_xticklabels(), *axes.get_yticklabels(), axes.xaxis.label, axes.yaxis.label]
            words += axes.get_legend().get_texts() if axes.get_legend() else []
            for side, ends in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
                for tick in side.get_major_ticks():
                    if not min(ends) <= tick.get_loc() <= max(ends):
                        words = [text for text in words if text is not tick.label1]  # not drawn
        assert min(text.get_fontsize() for text in words if text.get_text()) >= 8
        inside = figure.bbox.padded(1)
        for text in words:
            if text.get_text() and text.get_visible():
                box = text.get_window_extent()
                assert inside.x0 <= box.x0, text.get_text()
                assert box.x1 <= inside.x1, text.get_text()


def drawn_bars(axes):
    """(row, start, end) in seconds of everything drawn."""
    bars = [bar for bar in axes.patches if bar.get_width() > 0]
    return [(round(b.get_y() + 0.5 * b.get_height() - 0.12), 3600 * b.get_x(), 3600 * b.get_width()) for b in bars]


def test_without_a_search_the_day_has_a_row_a_lift_and_ends_with_the_schedule(plan_of):
    plan = plan_of("column", **EVEN)
    axes = timeline_chart(plan).axes[0]
    rows = [label.get_text() for label in axes.get_yticklabels()]
    assert rows == ["Lift 1", "Lift 2", "Lift 3", "Hands"]
    end = max(start + length for _, start, length in drawn_bars(axes))
    assert np.isclose(end, max(step.end_s for step in plan.computed.steps))
    waits = {bar.row: (bar.start_s, bar.end_s) for bar in bars_of(plan) if bar.kind == "wait"}
    for step in plan.computed.steps:
        if step.kind == "wait":
            assert waits[f"Lift {step.lift}"] == (step.start_s, step.end_s)


@pytest.mark.parametrize("asked", [EVEN, SEARCHED])
def test_bars_are_those_of_the_schedule(plan_of, asked):
    plan = plan_of("column", **asked)
    bars, steps = bars_of(plan), plan.computed.steps
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    for pour in pours:
        mine = [step for step in steps if step.pour == pour.name]
        work = next(bar for bar in bars if bar.kind == "work" and bar.pour == pour.name)
        rise = next(bar for bar in bars if bar.kind == "rise" and bar.pour == pour.name)
        assert work.start_s == min(step.start_s for step in mine if step.kind == "mix")
        assert work.end_s == max(step.end_s for step in mine if step.kind == "pour")
        assert [(rise.start_s, rise.end_s)] == [(step.start_s, step.end_s) for step in mine if step.kind == "rise"]
    busy = sorted((bar.start_s, bar.end_s) for bar in bars if bar.kind == "hands")
    assert busy == sorted((step.start_s, step.end_s) for step in steps if step.kind in ("mix", "pour"))
    drawn = sorted(start for _, start, _ in drawn_bars(timeline_chart(plan).axes[0]))
    assert np.allclose(drawn, sorted(bar.start_s for bar in bars))


def test_a_searched_day_has_a_row_a_limb_whose_waits_end_when_the_next_pour_comes_on_it(plan_of):
    plan = plan_of("column", **SEARCHED)
    limbs = [limb.name for limb in plan.lift_plan.day.limbs.limbs]
    rows = list(dict.fromkeys(bar.row for bar in bars_of(plan)))
    assert sorted(rows) == sorted([*(f"Limb {name}" for name in limbs), "Hands"])
    begun = sorted(step.start_s for step in plan.computed.steps if step.kind == "mix" and step.batch == 1)
    waits = sorted((bar.start_s, bar.end_s) for bar in bars_of(plan) if bar.kind == "wait")
    assert [start for start, _ in waits] == begun
    assert [end for _, end in waits[:-1]] == begun[1:]  # a column: each lies on the one before
    assert waits[-1][1] == max(step.end_s for step in plan.computed.steps)


def test_heat_shows_each_lift_at_its_peak(plan_of):
    plan = plan_of("column", **EVEN)
    lines = [line for line in heat_chart(plan, plan.computed.heating).axes[0].lines if len(line.get_xdata()) > 2]
    assert len(lines) == 3
    for line, lift in zip(lines, lifts_seen(plan), strict=True):
        peak = max(pour.heat.peak_k.nominal for pour in lift.pours) - 273.15
        assert np.isclose(np.nanmax(line.get_ydata()), peak, atol=0.5)


def test_heat_shows_the_dose_of_every_lift(plan_of):
    plan = plan_of("column", **EVEN)
    doses = lift_doses(plan)
    assert [name for name, _, _ in doses] == [f"Lift {lift.number}" for lift in plan.lift_plan.lifts]
    drawn = [bar.get_width() for bar in heat_chart(plan, plan.computed.heating).axes[1].patches]
    for k, lift in enumerate(lifts_seen(plan)):
        likely = max(pour.heat.hot_s[0][1] for pour in lift.pours) / 60
        high = max(pour.heat.hot_s[0][2] for pour in lift.pours) / 60
        assert drawn[2 * k : 2 * k + 2] == pytest.approx([likely, high])


@pytest.mark.parametrize("asked", [EVEN, SEARCHED])
def test_the_strip_is_the_heat_of_the_plan_at_those_times(plan_of, asked):
    plan = plan_of("column", **asked)
    heating = plan.computed.heating
    result, moments = heating.waits.result, heating.moments
    assert len(moments.moments) <= 2 * len(result.pours) + 3
    came = [p for moment in moments.moments for p in moment.poured]
    assert came == list(range(len(result.pours)))
    for moment in moments.moments:
        for p in moment.poured:
            assert moment.time_s == pytest.approx(heating.waits.start_s[p])
    assert np.array_equal(np.isfinite(moments.moments[-1].hottest_k), moments.filled)
    starts = {name: heat.start_s for name, heat in plan.lift_plan.heats.items()}
    for picture in pictures_of(plan, plan.computed.heating):
        at = np.flatnonzero(np.isclose(result.time_s, picture.moment.time_s, atol=1e-6))
        core = result.core_k[:, at[-1]]  # the last there: with what has just come
        assert picture.hottest_k == np.nanmax(core)
        assert np.nanmax(picture.moment.hottest_k) <= picture.hottest_k + 1e-3  # of a narrow limb it is its own
        for p in picture.moment.poured:
            name = result.pours[p].name
            assert name in picture.words
            assert picture.clock_s == pytest.approx(starts[name] + heating.placed_s)


def test_a_strip_holds_no_more_than_its_paper_shows(plan_of):
    """A figure keeps its images, and what contours were found in, until it is written: over a gigabyte of a heron."""
    plan = plan_of("column", **EVEN)
    figure = strip_chart(plan, plan.computed.heating)
    pictures = [axes for axes in figure.axes if not axes.axison]
    assert len(pictures) == len(pictures_of(plan, plan.computed.heating))
    for axes in pictures:
        (image,) = axes.images
        shown = image.get_array()
        assert shown.dtype == np.uint8
        cells = axes.get_window_extent(), plan.computed.heating.moments.filled.shape
        for across, (paper, cell) in enumerate(zip((cells[0].width, cells[0].height), cells[1], strict=True)):
            assert shown.shape[1 - across] <= max(2 * paper + 2 * cell, 2 * cell + 4)
        assert axes.collections
        assert not any(hasattr(lines, "_contour_generator") for lines in axes.collections)


def test_a_long_strip_keeps_every_pour_and_its_hottest_peak():
    def moment(time, value, poured, peaked):
        return Moment(time, np.full((2, 2), value, np.float32), poured, peaked)

    moments = []
    for k in range(15):
        moments += [moment(10.0 * k, 300.0, (k,), ()), moment(10.0 * k + 5, 400.0 + k % 7, (), (k,))]
    kept = chosen(tuple(moments))
    assert len(kept) == MOST
    assert [m.poured[0] for m in kept if m.poured] == list(range(15))
    peaks = sorted(float(m.hottest_k[0, 0]) for m in kept if m.peaked)
    assert peaks == [404.0, 404.0, 405.0, 405.0, 406.0, 406.0]  # of 400 to 406, twice each
    assert chosen(tuple(moments[:MOST])) == moments[:MOST]
    many = [moment(10.0 * k, 300.0, (k,), ()) for k in range(40)]
    few = chosen(
        (*many, moment(400.0, 420.0, (), (39,)), moment(401.0, 410.0, (), (38,)), moment(900.0, 350.0, (), ()))
    )
    assert len(few) == MOST
    assert few[0] is many[0]
    assert few[-2] is many[-1]
    assert few[-1].peaked == (39,)


def test_the_ramp_grows_lighter_by_even_steps():
    """Lightness L* of CIE 15 from sRGB by IEC 61966-2-1: rises all along, no step more than twice another."""
    rgb = heat_ramp()(np.linspace(0, 1, 24))[:, :3]
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    lightness = np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3)
    step = np.diff(lightness)
    assert lightness[0] < 15
    assert lightness[-1] > 80
    assert step.min() > 0
    assert step.max() < 2 * step.min()


def test_closed_forms_have_a_day_but_no_heat(plan_of, tmp_path):
    plan = plan_of("column", **{"heat.computed": False}, **EVEN)
    assert [file.name for file in draw_charts(plan, tmp_path)] == ["timeline.png"]


def test_a_long_name_and_dollars_stay_in_the_chart(plan_of):
    plan = plan_of("column", **EVEN)
    for name in ("W" * 300, "a $ and a $x^2$ " * 20, "short $"):
        figure = timeline_chart(replace(plan, job=replace(plan.job, name=name)))
        FigureCanvasAgg(figure).draw()
        title = next(text for text in figure.texts if text.get_text().endswith(": the day"))
        assert title.get_window_extent().x1 < figure.bbox.width
        assert title.get_text().replace("\\$", "$").startswith(name[:8].rstrip(": "))


def test_a_strip_ends_when_all_is_cool(plan_of):
    plan = plan_of("column", **EVEN)
    cool = plan.job.heat.release_k
    after = [one for one in pictures_of(plan, plan.computed.heating) if not (one.moment.poured or one.moment.peaked)]
    kept = [one for one in plan.computed.heating.moments.moments if not (one.poured or one.peaked)]
    assert len(kept) == 3
    assert 1 <= len(after) <= 3
    assert all(np.nanmax(one.moment.hottest_k) >= cool for one in after[:-1])
    assert len(after) == 3 or np.nanmax(after[-1].moment.hottest_k) < cool
