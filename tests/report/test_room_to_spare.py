"""What is left to a limit, as a person reads it: degrees of a temperature, and no spare of what bound a lift."""

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console

from pourwright.document.model_lifts import LiftDoc
from pourwright.document.plan_json import plan_json
from pourwright.lifts import Check
from pourwright.report.markdown import plan_markdown
from pourwright.report.sheet import sheet_html
from pourwright.report.tables import print_plan

ZERO_K = 273.15  # the kelvin and the degree Celsius: SI brochure, 9th ed. (BIPM 2019), 2.3.1; 1.8 °F to a kelvin


def _forms(plan):
    terminal = io.StringIO()
    print_plan(plan, Console(file=terminal, width=200))
    texts = (terminal.getvalue(), plan_markdown(plan), sheet_html(plan), plan_json(plan))
    return [" ".join(text.replace("\u00a0", " ").split()) for text in texts]


@pytest.fixture
def warm(hand_plan):
    """A plan whose pours and whose skin are 18 degrees and one degree under their limits."""
    plan = hand_plan()
    under = Check("skin temperature", ZERO_K + 37, ZERO_K + 55, "K", "ok", "from memory", "watch a thermometer")
    near = Check("peak temperature", ZERO_K + 169, ZERO_K + 170, "K", "ok", "from memory")
    lifts = [
        replace(lift, pours=tuple(replace(p, checks=(*p.checks, under, near)) for p in lift.pours))
        for lift in plan.lift_plan.lifts
    ]
    return replace(plan, checks=(under,), lift_plan=replace(plan.lift_plan, lifts=tuple(lifts)))


def test_room_under_a_temperature_is_told_in_degrees_and_never_as_a_share(warm):
    for text in _forms(warm):
        assert not re.search(r"°F\)[^.;()]*allowed, [\d.]+ %", text)
    for text in _forms(warm)[:3]:
        found = re.findall(r"(\d+) °C \((\d+) °F\) of (\d+) °C \((\d+) °F\) allowed, (\d+) °C \((\d+) °F\) below", text)
        assert found
        for value_c, _, limit_c, _, room_c, room_f in [map(int, one) for one in found]:
            assert room_c == limit_c - value_c
            assert room_f == pytest.approx(1.8 * room_c, abs=0.5)  # a difference, not a reading


def test_what_bound_a_lift_is_told_by_what_one_slice_more_would_need_and_not_as_spare(warm):
    terminal, markdown, sheet, document = _forms(warm)
    assert "governed by" not in sheet  # the bench does not act on it
    for text in (terminal, markdown, document):
        assert re.search(
            r"governed by lift thickness: [^:;]* above the base, would be 505 mm \([^)]*\) of foam; 500 mm", text
        )
        assert not re.search(r"governed by [^:;]*to spare", text)
    assert "limit_margin" not in _forms(warm)[3]


def test_a_lift_of_an_earlier_plan_with_its_share_of_a_limit_is_still_read(hand_plan):
    from pourwright.document.plan_json import plan_document

    lift = plan_document(hand_plan()).lifts[0].model_dump()
    given = {key: value for key, value in lift.items() if key != "one_more"} | {"limit_margin": 0.349}
    assert LiftDoc.model_validate(given).one_more is None


def test_no_share_of_kelvin_is_called_a_margin():
    check = Check("skin temperature", ZERO_K + 37, ZERO_K + 55, "K", "ok", "from memory")
    assert check.margin != check.margin
    assert check.below == pytest.approx(18.0)
