"""Holes that are shut when a lift is poured: crossed in its picture, with a word, and in none where they are open."""

import json

import pytest
from tests.reference.drawn import lift_bodies

from pourwright.document.plan_json import plan_json
from pourwright.draw import lifts as pictures
from pourwright.draw.lifts import lift_picture, stage_of
from pourwright.draw.paint import Drawing


def _shut(document, number):
    """Names of the holes that the written plan has shut all through a lift, by going through its pours in order."""
    pours = [(lift["number"], pour) for lift in document["lifts"] for pour in lift["pours"]]
    shut, all_through = set(), None
    for n, pour in pours:
        shut |= {h["name"] for h in document["ports"] + document["vents"] if h["closed_before"] == pour["name"]}
        if n == number:
            used = {x["port"] for x in pour["landings"]} | {v["name"] for v in pour["vents"]}
            assert not shut & {x["port"] for x in pour["landings"]}
            all_through = (set(shut) if all_through is None else all_through | shut) - used
        shut |= {h["name"] for h in document["ports"] + document["vents"] if h["closed_in"] == pour["name"]}
    return all_through


def test_a_hole_is_closed_before_a_pour_or_in_one_and_never_both(stool_plan):
    document = json.loads(plan_json(stool_plan))
    holes = document["ports"] + document["vents"]
    assert any(hole["closed_in"] is not None for hole in holes)
    for hole in holes:
        assert hole["closed_before"] is None or hole["closed_in"] is None
        assert (hole["foam_there_s"] is not None) == (hole["closed_in"] is not None)


def test_the_picture_of_a_lift_crosses_the_holes_that_are_closed_by_then(stool_plan, monkeypatch):
    document, stage = json.loads(plan_json(stool_plan)), stage_of(stool_plan)
    marked, legends = [], []
    draw, legend = pictures.Pen.labels, pictures.Pen.legend
    monkeypatch.setattr(pictures.Pen, "labels", lambda pen, labels: (marked.append(labels), draw(pen, labels))[1])
    monkeypatch.setattr(pictures.Pen, "legend", lambda pen, signs: (legends.append(signs), legend(pen, signs))[1])
    foam, seen = Drawing(stage.view), set()
    for lift, body in zip(stool_plan.lift_plan.lifts, lift_bodies(stool_plan, stage.view), strict=True):
        foam.add(body)
        lift_picture(stool_plan, stage, lift, foam.layer(stage.hollow_m))
        crossed = {label.head for label in marked[-1] if label.mark == "closed"}
        assert crossed == _shut(document, lift.number)
        assert ("closed" in [sign for sign, _ in legends[-1]]) == bool(crossed)
        seen |= crossed
    if not seen:
        pytest.fail("no lift of this piece has a closed hole: the test shows nothing")
