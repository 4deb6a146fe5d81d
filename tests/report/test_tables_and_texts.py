"""What a person reads: every lift, warning and caution is there, and text of the job does no harm."""

import csv
import io
import re
from dataclasses import replace

import pytest
from rich.console import Console

from pourwright.report.markdown import plan_markdown
from pourwright.report.pours_csv import pours_csv
from pourwright.report.tables import print_plan
from pourwright.wording.asks import status_words
from pourwright.wording.findings import sentences
from pourwright.wording.lifts import liquids_line

HOSTILE = "[red]<script>alert(1)</script>[/red] *x* | \u202ey"


def shown(plan, width=100, **options):
    out = io.StringIO()
    print_plan(plan, Console(file=out, width=width, **options))
    return out.getvalue()


def squeezed(text):
    return " ".join(text.split())


@pytest.mark.parametrize("width", [60, 80, 100, 160])
def test_every_warning_caution_and_pour_is_shown_at_any_width(hand_plan, width):
    plan = hand_plan()
    text = shown(plan, width)
    assert all(len(line) <= width for line in text.splitlines())
    flat = squeezed(text)
    for words in [*sentences(plan.warnings), *plan.cautions, *plan.job.assumed, "1a", "2a", "2b", "Box", "Quay shed"]:
        assert words in flat


def test_no_colour_when_piped(hand_plan):
    assert "\x1b" not in shown(hand_plan())
    assert "\x1b" in shown(hand_plan(), force_terminal=True, color_system="standard")


def test_limits_are_told_in_both_systems(hand_plan):
    text = squeezed(shown(hand_plan(), 160))
    said = "governed by lift thickness: one slice of height more, to 505 mm (19.9 in) above the base, would be 505 mm"
    assert said in text
    assert "500 mm (19.7 in) is the most (our judgement, no published source)" in text
    assert "our judgement, no published source" in text
    assert "It reaches the top of the cavity" in text


def test_over_a_limit_cannot_be_missed(hand_plan):
    plan = hand_plan("over")
    assert status_words(plan) == "over a limit: do not pour (lift thickness)"
    for text in (shown(plan), plan_markdown(plan)):
        assert "do not pour" in text
        assert "is OVER the 200 mm (7.9 in) allowed" in squeezed(text)


def test_unknown_is_never_shown_as_safe(hand_plan):
    plan = hand_plan("unknown")
    assert "not to be taken as safe" in status_words(plan)
    for text in (shown(plan), plan_markdown(plan)):
        assert "lift thickness is not known" in squeezed(text)
        assert "nan" not in text.lower().replace("nominal", "")


def test_a_pour_no_port_reaches_is_shouted(hand_plan):
    assert "NO port reaches this pour" in shown(hand_plan())


def test_text_of_the_job_is_not_taken_for_markup(hand_plan):
    plan = hand_plan(name=HOSTILE)
    assert "[red]<script>" in shown(plan, 200)
    text = plan_markdown(plan)
    assert "<script>" not in text
    assert "\\*x\\* \\|" in text


def test_markdown_names_every_picture_and_wraps(hand_plan):
    text = plan_markdown(hand_plan(), ["overview.png"])
    assert "overview.png" in text
    prose = [line for line in text.splitlines() if not line.startswith("|")]
    assert max(map(len, prose)) <= 100


def test_csv_has_one_row_a_pour_and_both_systems(hand_plan):
    rows = list(csv.DictReader(io.StringIO(pours_csv(hand_plan("over")))))
    assert [row["pour"] for row in rows] == ["1a", "2a", "2b"]
    first, second, stray = rows
    assert (first["part_a_ml"], first["part_a_us_fl_oz"]) == ("1174", "39.70")
    assert (first["part_a_g"], first["part_a_oz"]) == ("1450", "51.15")
    assert (first["top_mm"], first["top_in"]) == ("500.0", "19.69")
    assert (first["peak_c"], first["peak_f"]) == ("127", "260")
    assert (second["port"], second["vents"], second["over_limit"]) == ("P2 P1", "V1", "lift thickness")
    assert stray["peak_high_c"] == ""  # not known
    assert stray["port_from_base_mm"] == ""


def test_csv_is_rectangular(hand_plan):
    rows = list(csv.reader(io.StringIO(pours_csv(hand_plan()))))
    assert len({len(row) for row in rows}) == 1
    assert len(set(rows[0])) == len(rows[0])


def test_the_buy_list_says_what_it_is(hand_plan):
    """A and B as printed, less the loss as printed, are the foam as printed: the high end of its weight."""
    plan = hand_plan()
    line = liquids_line(plan)
    bought = [float(kg) for kg in re.findall(r" = ([\d.]+) kg", line)]
    (foam,) = [float(kg) for kg in re.findall(r"enough for ([\d.]+) kg", line)]
    (loss,) = [float(share) for share in re.findall(r"([\d.]+) % of the liquids lost", line)]
    assert len(bought) == 2
    assert sum(bought) * (1 - loss / 100) == pytest.approx(foam, rel=0.02)
    assert foam == pytest.approx(plan.outcome.foam_kg.high, rel=0.01)
    assert "high end" in line


def test_a_pour_that_is_in_has_no_wait_in_any_table(hand_plan):
    """Nobody waits for it any more; "unknown" would only be read as a gap."""
    plan = hand_plan()
    low, high = plan.lift_plan.lifts
    pours = tuple(replace(pour, poured=True) for pour in low.pours)
    done = replace(low, pours=pours, limit="poured", one_more=None, wait_s=float("nan"))
    plan = replace(plan, lift_plan=replace(plan.lift_plan, lifts=(done, high)))
    (row,) = [line for line in plan_markdown(plan).splitlines() if line.startswith("| 1a")]
    assert "unknown" not in row
    table = shown(plan, 160).split("Holes")[0]
    assert "unknown" not in table
    assert "3 h 3 min" in table  # that of the lift to come
