"""A block of ``plan.json`` is filled from its result, key by key."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np
import pytest
from pydantic import ValidationError

from pourwright.document.model_computed import HeatHistoryDoc, RiseHistoryDoc, StepDoc
from pourwright.document.model_lifts import BulgeDoc, CheckDoc, LandingDoc, PortDoc, TubeDoc
from pourwright.document.model_parts import Block, MeasuresDoc, Number, Point, RangeDoc, about
from pourwright.document.reflect import block_of, fields_without_a_key
from pourwright.evaluation import HeatHistory, RiseHistory, SkinBulge
from pourwright.lifts import Landing, Measures, Port
from pourwright.lifts.model import Check, Tube
from pourwright.plan import Step
from pourwright.ranges import Range


@dataclass(frozen=True)
class _Place:
    at_m: np.ndarray
    top_k: float
    spread_k: Range
    measures: Measures
    lacks_m: float = math.nan


class _PlaceDoc(Block):
    """A place."""

    at_m: Point = about("where")
    top_c: float = about("how warm")
    spread_c: RangeDoc = about("its spread")
    measures: MeasuresDoc = about("where on the piece")
    lacks_m: Number = about("not known")


def test_points_temperatures_ranges_and_results_inside():
    place = _Place(np.array([1.0, 2.0, 3.0]), 300.15, Range(273.15, 283.15, math.inf), Measures(1.0, 2.0, 3.0))
    tree = block_of(_PlaceDoc, place).model_dump()
    assert tree["at_m"] == (1.0, 2.0, 3.0)
    assert tree["top_c"] == pytest.approx(27.0)
    assert tree["spread_c"] == {"low": pytest.approx(0.0), "nominal": pytest.approx(10.0), "high": None}
    assert tree["measures"] == {"from_base_m": 1.0, "from_left_m": 2.0, "from_front_m": 3.0}
    assert tree["lacks_m"] is None


def test_a_value_that_is_added_is_written_in_two_places():
    """Where it is computed, and in the block with its meaning: no writer is touched."""

    @dataclass(frozen=True)
    class More(_Place):
        width_m: float = 0.25

    class MoreDoc(_PlaceDoc):
        """A place with one value more."""

        width_m: float = about("how wide")

    place = More(np.zeros(3), 300.0, Range.exact(300.0), Measures(0.0, 0.0, 0.0))
    assert block_of(MoreDoc, place).width_m == 0.25


def test_a_number_that_must_be_there_is_never_written_as_null():
    place = _Place(np.zeros(3), math.nan, Range.exact(300.0), Measures(0.0, 0.0, 0.0))
    with pytest.raises(ValidationError):
        block_of(_PlaceDoc, place)


def test_a_key_without_a_value_is_a_fault():
    with pytest.raises(AttributeError):
        block_of(_PlaceDoc, Measures(0.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("block", "result", "left_out"),
    [
        (HeatHistoryDoc, HeatHistory, {"hot_s", "off_k"}),  # under other names: above, grid_error_k
        (RiseHistoryDoc, RiseHistory, {"front_s", "front_m"}),  # for the film only
        (BulgeDoc, SkinBulge, {"large"}),  # stretch_counted
        (CheckDoc, Check, set()),
        (TubeDoc, Tube, set()),
        (LandingDoc, Landing, set()),
        (PortDoc, Port, set()),
        (StepDoc, Step, set()),
    ],
)
def test_no_field_of_a_result_is_lost_on_the_way(block, result, left_out):
    assert fields_without_a_key(block, result) == left_out
    assert len(fields(result)) > 3
