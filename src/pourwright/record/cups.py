"""Cup tests of a record: what one that passed does to the grade, and that nothing is poured after one that failed."""

from __future__ import annotations

from pourwright.findings import Verdict
from pourwright.lifts import Check
from pourwright.record.model import Record

FAILED = "cup tests that failed"


def failed_cups(record: Record) -> tuple[Check, ...]:
    """A check that is over where cups failed and none has passed since; empty where none did."""
    cups = [cup for cup in record.cups if not cup.struck]
    passed = max((k for k, cup in enumerate(cups) if not cup.failed), default=-1)
    failed = cups[passed + 1 :]
    if not failed:
        return ()
    remedy = (
        "find out why (drums, ratio, temperature, age, mixing), pour a cup again, and record the one that passes with "
        "pourwright record --cup"
    )
    return (Check(FAILED, float(len(failed)), 0.0, "", Verdict.OVER, "the record", remedy),)
