"""Where something is not known no command ends with 0, and no sentence calls it planned without saying so."""

from __future__ import annotations

import json
import sys

import numpy as np
import pytest
import trimesh

from pourwright.errors import ShellError

COARSE = ("--unit", "m", "--set", "grid.cell=14 mm", "--set", "heat.cells=2000", "--set", "structure.triangles=500")


@pytest.fixture(scope="module")
def trough(tmp_path_factory):
    """An open box, 500 x 300 x 200 mm: its flat sides end at a rim that nothing holds, which no closed form covers."""
    box = trimesh.creation.box((0.5, 0.3, 0.2)).subdivide().subdivide()
    box.update_faces(box.triangles_center[:, 2] < 0.0999)
    file = tmp_path_factory.mktemp("trough") / "trough.stl"
    box.export(file)
    return file


@pytest.fixture(scope="module")
def crate(tmp_path_factory):
    file = tmp_path_factory.mktemp("crate") / "crate.stl"
    trimesh.creation.box((0.4, 0.3, 0.25)).export(file)
    return file


PLASTIC = ("--material", "polyethylene", "--wall", "4 mm", "--foam", "rigid-3", "--set", "foam.packing=1.3")


def test_a_plan_whose_pressure_nobody_can_judge_ends_with_3_and_says_so(call, trough, tmp_path):
    said = call(
        "plan", trough, *COARSE, "--wall", "6 mm", "--foam", "rigid-3", "--quick", "--no-pictures", "-o", tmp_path / "p"
    )
    tree = json.loads((tmp_path / "p" / "plan.json").read_text())
    verdicts = {c["verdict"] for lift in tree["lifts"] for pour in lift["pours"] for c in pour["checks"]}
    assert "unknown" in verdicts
    assert "over" not in verdicts
    assert said.code == 3
    assert said.err.startswith("pourwright: planned; not all is known, and that is not to be taken as safe (pressure")
    assert tree["status"] == "planned; not all is known, and that is not to be taken as safe"


def test_ways_of_which_one_is_not_known_do_not_compare_with_0(call, trough):
    given = (
        trough,
        *COARSE[2:],
        "--set",
        "piece.unit=m",
        "--set",
        "wall.thickness=6 mm",
        "--set",
        "foam.grade=rigid-3",
    )
    said = call("compare", *given, "--quick", "-q", "--lift", "100 mm")
    assert said.code == 3
    assert "not known" in said.err
    assert "pressure on the skin" in said.err


def test_ways_that_are_all_over_a_limit_compare_with_1(call, crate):
    given = (crate, *COARSE[2:], "--set", "piece.unit=m", "--set", "wall.thickness=1 mm", "--set", "foam.grade=rigid-3")
    said = call("compare", *given, "--set", "piece.material=polyethylene", "--quick", "-q", "--lift", "100 mm")
    assert said.code == 1
    assert "every way is over a limit" in said.err


def test_where_the_elements_give_up_the_closed_form_decides_as_in_a_quick_plan(call, crate, monkeypatch, tmp_path):
    quick = call("plan", crate, *COARSE, *PLASTIC, "--quick", "--json")
    assert quick.code == 1

    def lost(*_, **__):
        raise ShellError("no rest found in 60 rounds")

    monkeypatch.setattr(sys.modules["pourwright.structure.pressed"], "equilibrium", lost)
    said = call("plan", crate, *COARSE, *PLASTIC, "--json")
    assert said.code == 1
    assert said.err.startswith("pourwright: over a limit: do not pour (pressure on the skin")
    found, closed = (_pressures(json.loads(told.out)) for told in (said, quick))
    assert {check["verdict"] for check in found} == {"over"}
    assert min(c["limit"] for c in found) == pytest.approx(min(c["limit"] for c in closed), rel=1e-6)
    assert all("formula" in check["source"] and "no rest found" in check["source"] for check in found)


def _pressures(tree):
    checks = [c for lift in tree["lifts"] for pour in lift["pours"] for c in pour["checks"]]
    return [check for check in checks if check["name"] == "pressure on the skin"]


@pytest.mark.slow
def test_a_cooler_body_packed_hard_is_not_planned(call, tmp_path):
    """Double-walled polyethylene, 600 x 400 x 350 mm, packed to 1.3: the elements gave up and the plan passed."""
    outside = trimesh.creation.box(bounds=[[0, 0, 0], [0.6, 0.4, 0.35]])
    inside = trimesh.creation.box(bounds=[[0.05, 0.05, 0.06], [0.55, 0.35, 0.4]])
    file = tmp_path / "cooler.stl"
    trimesh.boolean.difference([outside, inside]).export(file)
    given = (*COARSE[:-1], "structure.triangles=1200", *PLASTIC, "--wall", "3 mm", "--set", "structure.rounds=0")
    said = call("plan", file, *given, "--no-pictures", "-o", tmp_path / "p")
    tree = json.loads((tmp_path / "p" / "plan.json").read_text())
    pushes = _pressures(tree)
    assert {check["verdict"] for check in pushes} <= {"over", "ok with shores"}
    every = tree["checks"] + [c for lift in tree["lifts"] for pour in lift["pours"] for c in pour["checks"]]
    assert said.code == (1 if any(check["verdict"] == "over" for check in every) else 0)
    for lift in tree["lifts"]:
        assert lift["bulge"]["outward_m"] is None
        assert "theory" in lift["bulge"]["beyond"]
        # 35 kPa would be a gas packed to a third more; the closed form of its widest side stands a few hundred pascals
        assert np.isclose(lift["bulge"]["stands_pa"], lift["bulge"]["closed_limit_pa"], rtol=0.7)
    assert "not computable" in (tmp_path / "p" / "plan.md").read_text()
