"""Bounds of the job file as they are said: allowed in both systems of units, refused in the words that were typed."""

import re
import typing

import pytest
from pydantic import BaseModel, BeforeValidator

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake import read_job
from pourwright.intake.fields import Due
from pourwright.intake.jobfile import JobFile


def dues(model, at=""):
    """(key, Due) of every quantity that a job file may hold."""
    for name, field in model.model_fields.items():
        here = at + (field.alias or name)
        yield from _within(field.annotation, field.metadata, here)


def _within(annotation, metadata, here):
    for mark in metadata:
        if isinstance(mark, BeforeValidator) and isinstance(mark.func, Due):
            yield here, mark.func
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield from dues(annotation, here + ".")
    for inside in typing.get_args(annotation):
        marks = [inside] if isinstance(inside, BeforeValidator) else []
        yield from _within(inside, marks, here)


DUES = sorted(dues(JobFile), key=lambda pair: pair[0])


def test_every_quantity_of_the_job_file_is_looked_at():
    assert len(DUES) > 90
    assert {"shop.largest_batch", "wall.band.thickness", "cup.height", "anchor.pull"} <= {name for name, _ in DUES}


@pytest.mark.parametrize(("name", "due"), DUES, ids=[name for name, _ in DUES])
def test_a_bound_as_it_is_said_is_allowed_in_both_systems(name, due):
    low, high = re.fullmatch(r"from (.+) to (.+)", due.range_words()).groups()
    for said in (low, high):
        pair = re.fullmatch(r"(.+?) \((.+)\)", said)
        for figure in pair.groups() if pair else (said,):
            assert due.low <= due(figure) <= due.high
    for bound, said in ((due.low, due(re.sub(r" \(.*", "", low))), (due.high, due(re.sub(r" \(.*", "", high)))):
        assert said == pytest.approx(bound, rel=0.02, abs=0.6 if due.kind is units.TEMPERATURE else 0.0)


def test_the_largest_batch_allowed_may_be_typed(job_file):
    assert read_job(job_file("[shop]", '[shop]\nlargest_batch = "50 L"')).limits.largest_batch_m3 == 0.05
    with pytest.raises(JobError, match=r"50\.0 L"):
        read_job(job_file("[shop]", '[shop]\nlargest_batch = "50.0000001 L"'))


SPOT = """
[hang]
out = "+x"
up = "+z"
[[anchor]]
name = "a"
at = ["0 mm", "0 mm", "0 mm"]
from_left = "12 in"
"""
BOAT = """
[boat]
up = "+z"
bow = "+y"
persons = "150 kg"
capacity = "300 lb"
"""
SHEET = """
[foam.sheet]
reference = "sheet 7"
cream = "5 min"
"""
CUP = """
[cup]
reference = "batch 7"
parts = "22 degC"
cream = "3 min"
gel = "90 s"
"""


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        (SPOT, "anchor[1].from_left = '12 in'"),
        (BOAT, "boat.capacity = '300 lb'"),
        (SHEET, "foam.sheet.cream = '5 min'"),
        (CUP, "cup.cream = '3 min'"),
    ],
)
def test_a_refusal_says_what_was_typed(job_file, tables, said):
    with pytest.raises(JobError) as caught:
        read_job(job_file("[shop]", tables + "[shop]"))
    assert str(caught.value).startswith(said), caught.value
    assert "_s " not in str(caught.value)


def test_what_a_value_is_held_against_has_its_unit(job_file):
    with pytest.raises(JobError, match=r"gel, the generic value of rigid-3.*: \d+ s$"):
        read_job(job_file("[shop]", SHEET + "[shop]"))
