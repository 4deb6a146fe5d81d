"""The status says "planned" alone only where nothing asks for a measurement first; what all say is a caution."""

import math
from dataclasses import replace

from pourwright.document.plan_json import plan_document
from pourwright.evaluation import Evaluation
from pourwright.findings import Code, Verdict, finding, note
from pourwright.lifts import Check
from pourwright.report.sheet import sheet_html
from pourwright.report.tables import print_plan
from pourwright.wording.asks import LISTED, asks_of, status_words
from pourwright.wording.lifts import caution_lines, warning_lines
from pourwright.wording.status import NOT_ALL_KNOWN


def with_peaks(plan, high_k):
    """The same plan with every core so hot at the 95 % end, and no staged heat beside it."""
    lifts = tuple(
        replace(
            lift,
            pours=tuple(
                replace(pour, checks=(), peak_k=replace(pour.peak_k, low=350.0, nominal=360.0, high=high_k))
                for pour in lift.pours
            ),
        )
        for lift in plan.lift_plan.lifts
    )
    return replace(
        plan, checks=(), warnings=(), lift_plan=replace(plan.lift_plan, lifts=lifts, evaluation=Evaluation())
    )


def test_planned_alone_where_no_card_asks_for_a_probe(stool_plan):
    cool = with_peaks(stool_plan, 370.0)
    assert status_words(cool) == "planned"
    assert "probe in the middle" not in sheet_html(cool)
    assert plan_document(cool).asks == []


def test_a_card_that_asks_for_a_probe_is_in_the_status(stool_plan):
    hot = with_peaks(stool_plan, stool_plan.foam.grade.emergency_k - 1.0)
    names = [pour.name for lift in hot.lift_plan.lifts for pour in lift.pours]
    assert sheet_html(hot).count("probe in the middle") == len(names)
    every = len(names) > LISTED
    assert status_words(hot) == f"planned, probe asked for in {'every pour' if every else ', '.join(names)}"
    assert status_words(hot) in sheet_html(hot)
    document = plan_document(hot)
    assert document.asks == asks_of(hot)
    assert document.status == "planned"  # what other programs read stays one of three
    assert 'class="status"' in sheet_html(hot)  # no alarm


def test_a_probe_that_is_required_is_said_so(stool_plan):
    told = finding(Code.PROBE_REQUIRED, emergency_k=473.0, caution_k=423.0, allowed_s=5400.0)
    plan = replace(with_peaks(stool_plan, 370.0), warnings=(told,))
    assert status_words(plan) == "planned, probe required"
    unknown = Check("skin temperature", math.nan, 328.15, "K", Verdict.UNKNOWN, "a test")
    asked = replace(plan, checks=(unknown,))
    assert status_words(asked).startswith(NOT_ALL_KNOWN)
    assert status_words(asked).endswith(", probe required")


def test_what_is_over_goes_before_what_is_asked(hand_plan):
    assert status_words(hand_plan("over")).startswith("over a limit: do not pour")


def test_what_comes_with_every_record_is_a_caution(stool_plan, capsys):
    from rich.console import Console

    plan = replace(stool_plan, warnings=(note(Code.AS_RECORDED), finding(Code.SKIN_COLD, skin_k=280.0)))
    assert len(warning_lines(plan)) == 1
    assert any("as it was recorded" in line for line in caution_lines(plan))
    document = plan_document(plan)
    assert any("as it was recorded" in line for line in document.cautions)
    assert not any("as it was recorded" in line for line in document.warnings)
    print_plan(plan, Console(width=200))
    assert "as it was recorded" in capsys.readouterr().out
