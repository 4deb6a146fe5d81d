"""plan.json: the keys of the contract, the same bytes for the same plan, nothing that JSON does not know."""

import json
import math
import re

import pytest

from pourwright.document.model import SCHEMA
from pourwright.document.plan_json import plan_json
from pourwright.document.read_json import read_plan_json
from pourwright.document.renamed import REACH, RENAMED
from pourwright.errors import FileError


def at(tree, path):
    for part in path.split("."):
        tree = tree[int(part)] if part.isdigit() else tree[part]
    return tree


CONTRACT = """
schema shell.triangles shell.watertight shell.area_m2 cavity.volume_m3 cavity.volume_uncertainty_m3 cavity.cell_m
cavity.pools.0.point_m cavity.pools.0.persistence_m cavity.pockets.0.point_m cavity.pockets.0.persistence_m
lifts.0.number lifts.0.bottom_m lifts.0.top_m lifts.0.volume_m3 lifts.0.limit lifts.0.pours.0.name
lifts.0.pours.0.volume_m3 lifts.0.pours.0.foam_kg lifts.0.pours.0.part_a_l lifts.0.pours.0.part_b_l
lifts.0.pours.0.part_a_kg lifts.0.pours.0.part_b_kg lifts.0.pours.0.batches lifts.0.pours.0.pour_point_m
lifts.1.pours.0.vents.0.point_m lifts.0.pours.0.peak_temperature_c lifts.0.pours.0.peak_pressure_pa
lifts.0.pours.0.wait_s outcome.foam_kg.low outcome.foam_kg.nominal outcome.foam_kg.high outcome.total_kg.low
outcome.total_kg.nominal outcome.total_kg.high outcome.centre_of_mass_m warnings.0 cautions.0
"""


@pytest.mark.parametrize("path", re.findall(r"\S+", CONTRACT))
def test_the_contract_has_this_key(hand_plan, path):
    assert at(json.loads(plan_json(hand_plan())), path) is not None


def test_values_are_those_of_the_plan(hand_plan):
    tree = json.loads(plan_json(hand_plan(), ["pours.csv"]))
    assert tree["schema"] == SCHEMA == "pourwright.plan/1"
    assert tree["status"] == "planned; not all is known, and that is not to be taken as safe"  # one of its checks
    assert tree["shell"]["triangles"] == 12
    assert tree["shell"]["watertight"] is False
    assert tree["shell"]["bands"][0]["from_m"] is None  # from the lowest point
    pour = tree["lifts"][0]["pours"][0]
    assert pour["part_a_l"] == pytest.approx(1.174)
    assert pour["peak_temperature_c"] == pytest.approx(400.0 - 273.15)
    assert pour["peak_temperature_c_range"]["high"] == pytest.approx(470.0 - 273.15)
    assert pour["foam_kg"] == 2.7
    assert pour["foam_kg_range"] == {"low": 2.4, "nominal": 2.7, "high": 3.0}
    assert tree["lifts"][1]["pours"][1]["pour_point_m"] is None  # no port reaches it
    assert tree["outcome"]["stiffness"][0]["counted"] is None  # not known
    assert tree["lifts"][1]["pours"][1]["peak_temperature_c_range"]["high"] is None  # not bounded
    assert tree["files"] == ["pours.csv"]


def test_an_over_limit_plan_says_so(hand_plan):
    assert json.loads(plan_json(hand_plan("over")))["status"] == "over a limit: do not pour"


def test_an_unknown_check_is_null_and_unknown(hand_plan):
    check = json.loads(plan_json(hand_plan("unknown")))["lifts"][1]["pours"][0]["checks"][0]
    assert (check["value"], check["verdict"]) == (None, "unknown")


def test_same_plan_same_bytes(hand_plan):
    assert plan_json(hand_plan()) == plan_json(hand_plan())


def test_nothing_but_json(hand_plan):
    def refuse(token):
        raise AssertionError(token)

    text = plan_json(hand_plan("unknown"))
    json.loads(text, parse_constant=refuse)
    assert "/" not in json.loads(text)["shell"]["file"]


def test_numbers_are_rounded_to_ten_digits(hand_plan):
    def numbers(tree):
        if isinstance(tree, dict):
            tree = list(tree.values())
        if isinstance(tree, list):
            for value in tree:
                yield from numbers(value)
        elif isinstance(tree, float):
            yield tree

    for number in numbers(json.loads(plan_json(hand_plan()))):
        assert float(f"{number:.10g}") == number
        assert not (number == 0 and math.copysign(1, number) < 0)


def test_a_plan_with_the_keys_of_the_version_before_is_read(hand_plan, tmp_path):
    text = plan_json(hand_plan())
    old = text
    for before, now in {**RENAMED, **REACH, "bow": "bulge"}.items():
        old = old.replace(f'"{now}":', f'"{before}":')
    assert old != text
    (tmp_path / "plan.json").write_text(old, encoding="utf-8")
    before = read_plan_json(tmp_path)
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    assert before == read_plan_json(tmp_path)


def test_a_plan_is_read_back(hand_plan, tmp_path):
    (tmp_path / "plan.json").write_text(plan_json(hand_plan()), encoding="utf-8")
    document = read_plan_json(tmp_path)
    assert document.lifts[0].pours[0].name == "1a"
    assert document.piece.place == "Quay shed"


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"schema": "pourwright.plan/2"}', "not json"])
def test_what_is_no_plan_is_refused(tmp_path, text):
    (tmp_path / "plan.json").write_text(text)
    with pytest.raises(FileError, match=r"not a plan in the schema pourwright\.plan/1"):
        read_plan_json(tmp_path / "plan.json")


def test_a_missing_plan_is_refused(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        read_plan_json(tmp_path)


def test_a_plan_with_a_nominal_and_a_bounding_rise_is_still_read(hand_plan, tmp_path):
    tree = json.loads(plan_json(hand_plan()))
    tree["foam"] |= {"rise_k": 116.7, "rise_bounding_k": 200.0}
    (tmp_path / "plan.json").write_text(json.dumps(tree))
    rise = read_plan_json(tmp_path).foam.rise_k
    assert (rise.likely, rise.high) == (116.7, 200.0)
