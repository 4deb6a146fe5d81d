"""The two liquids under the names that their drums carry, wherever a person reads amounts."""

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console

from pourwright.cautions import cautions_for
from pourwright.document.plan_json import plan_document
from pourwright.foam import Sides
from pourwright.report.markdown import plan_markdown
from pourwright.report.piece_page import piece_html
from pourwright.report.record_changes import changes_of
from pourwright.report.sheet import sheet_html
from pourwright.report.tables import print_plan

OWN = Sides("B-component", "A-component")  # a supplier who letters the sides the other way
LETTERED = re.compile(r"\bparts? [AB]\b", re.IGNORECASE)


def printed(plan):
    console = Console(file=io.StringIO(), width=120)
    print_plan(plan, console)
    return console.file.getvalue()


def named(plan, sides):
    """The plan with other words on its drums; cautions as it would have been made with them."""
    job = replace(plan.job, grade=replace(plan.job.grade, sides=sides))
    foam = replace(plan.foam, grade=job.grade)
    made = cautions_for(plan.skin, foam, plan.lift_plan)
    assumed = tuple(words for words in job.assumed if "part A" not in words)
    return replace(plan, job=replace(job, assumed=assumed), foam=foam, cautions=made)


@pytest.mark.parametrize("page", [sheet_html, plan_markdown, printed, piece_html])
def test_amounts_stand_under_the_words_of_the_drums(stool_plan, page):
    text = " ".join(page(named(stool_plan, OWN)).split())
    assert LETTERED.findall(text) == []
    assert "B-component is the isocyanate side, A-component the resin side" in text
    assert "isocyanate side (B-component: check the drum's label)" in text.replace("&#39;", "'")
    assert len(re.findall(r"B-component \d", text)) + len(re.findall(r"<span>B-component</span>", text)) >= len(
        stool_plan.lift_plan.lifts
    )


@pytest.mark.parametrize("page", [sheet_html, plan_markdown, printed, piece_html])
def test_without_words_of_its_own_it_says_to_look_at_the_labels(stool_plan, page):
    text = " ".join(page(stool_plan).split()).replace("&#39;", "'")
    assert "some suppliers letter them the other way" in text
    assert "some suppliers letter the sides the other way" in text
    assert "check the drums' labels" in text
    assert not re.search(r"Part A is an isocyanate", text)


def test_what_a_record_changes_is_told_in_the_words_of_the_drums(stool_plan):
    before = plan_document(named(stool_plan, OWN))
    lifts = [lift.model_copy(deep=True) for lift in before.lifts]
    pours = [pour.model_copy(update={"part_a_kg": 2 * pour.part_a_kg}) for pour in lifts[-1].pours]
    lifts[-1] = lifts[-1].model_copy(update={"pours": pours})
    lines, _ = changes_of(before, before.model_copy(update={"lifts": lifts}))
    assert any("takes B-component" in line for line in lines)
    assert not any(LETTERED.search(line) for line in lines)


def test_a_plan_made_before_there_were_names_is_read_with_the_letters(stool_plan):
    document = plan_document(stool_plan)
    tree = document.foam.model_dump(by_alias=True)
    del tree["part_a"], tree["part_b"]
    assert type(document.foam).model_validate(tree).part_a == "part A"
