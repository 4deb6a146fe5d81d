"""The small blocks that every part of ``plan.json`` is made of."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field

Text = str
Number = float | None
"""A number, or null where it is not known."""
Point = tuple[float, float, float]


class Block(BaseModel):
    """A block of the document: no other keys, never changed."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


def about(words: str) -> Any:
    """A key that is always there, and its meaning."""
    return Field(description=words)


def earlier(words: str) -> Any:
    """A key that plans of an earlier version do not hold: read as null there."""
    return Field(default=None, description=words)


class RangeDoc(Block):
    """A quantity with its spread."""

    low: Number = about("low end")
    nominal: Number = about("expected")
    high: Number = about("high end")


class LikelyDoc(Block):
    """A quantity that is known as an interval."""

    low: float = about("lower end: 2.5 % lie below")
    likely: float = about("likely value")
    high: float = about("upper end: 2.5 % lie above")


class CitedDoc(Block):
    """A value and how it is known."""

    value: Number = about("the value, SI")
    unit: Text = about("its unit")
    standing: Text = about(
        "published, from memory, common practice, our judgement, data sheet, given in the job or computed"
    )
    source: Text = about("where it stands; empty if nowhere")
    note: Text = about("what else to know")
    spread: Number = Field(default=0.0, description="plus or minus share of the value; 0: not known")


class MeasuresDoc(Block):
    """Lengths a person can tape on the standing piece."""

    from_base_m: float = about("height above the base")
    from_left_m: float = about("from its left-most extent")
    from_front_m: float = about("from its front-most extent")
