"""Charts of the day and of the heat: there, readable, and the same bytes again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from pourwright.draw.charts import draw_charts, heat_chart, timeline_chart


def test_charts(plan_of, tmp_path):
    plan = plan_of("column")
    twice = [tmp_path / name for name in "ab"]
    for folder in twice:
        folder.mkdir()
        assert [file.name for file in draw_charts(plan, folder)] == ["timeline.png", "heat.png"]
    for name in ("timeline.png", "heat.png"):
        assert (twice[0] / name).read_bytes() == (twice[1] / name).read_bytes()
        image = np.asarray(Image.open(twice[0] / name).convert("L"), float)
        assert image.shape[1] > 1500
        assert image.std() > 10  # not blank


def test_the_day_has_a_row_a_lift_and_ends_with_the_schedule(plan_of):
    plan = plan_of("column")
    axes = timeline_chart(plan).axes[0]
    assert [label.get_text() for label in axes.get_yticklabels()] == ["Lift 1", "Lift 2", "Lift 3"]
    bars = [bar for bar in axes.patches if bar.get_width() > 0]
    assert len(bars) == 3 * len(plan.lift_plan.lifts)
    right = max(bar.get_x() + bar.get_width() for bar in bars)
    assert np.isclose(right, max(step.end_s for step in plan.computed.steps) / 3600)


def test_heat_shows_each_lift_at_its_peak(plan_of):
    plan = plan_of("column")
    lines = [line for line in heat_chart(plan).axes[0].lines if len(line.get_xdata()) > 2]
    assert len(lines) == 3
    for line, lift in zip(lines, plan.lift_plan.lifts, strict=True):
        peak = max(pour.heat.peak_k.nominal for pour in lift.pours) - 273.15
        assert np.isclose(np.nanmax(line.get_ydata()), peak, atol=0.5)


def test_closed_forms_have_a_day_but_no_heat(plan_of, tmp_path):
    plan = plan_of("column", **{"heat.computed": False})
    assert [file.name for file in draw_charts(plan, tmp_path)] == ["timeline.png"]


def test_a_long_name_and_dollars_stay_in_the_chart(plan_of):
    plan = plan_of("column")
    for name in ("W" * 300, "a $ and a $x^2$ " * 20, "short $"):
        figure = timeline_chart(replace(plan, job=replace(plan.job, name=name)))
        FigureCanvasAgg(figure).draw()
        title = next(text for text in figure.texts if text.get_text().endswith(": the day"))
        assert title.get_window_extent().x1 < figure.bbox.width
        assert title.get_text().replace("\\$", "$").startswith(name[:8].rstrip(": "))
