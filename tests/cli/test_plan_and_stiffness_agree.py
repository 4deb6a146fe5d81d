"""A plan and ``pourwright stiffness`` on it say the same of what both say: one computation, one source."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
import trimesh

DEMOS = Path(__file__).parents[2] / "demo_shells"
FEW = ("structure.gains=true", "structure.gain_triangles=1000", "structure.triangles=500", "structure.rounds=0")


def both(call, out, *piece, cells=3000):
    """plan.json, the answer of ``stiffness`` as JSON, and plan.md with stiffness.md, without line breaks."""
    few = [word for one in (*FEW, f"heat.cells={cells}") for word in ("--set", one)]
    call("plan", *piece, *few, "--no-pictures", "-q", "-o", out)
    said = call("stiffness", out, "--no-pictures", "--json")
    pages = [" ".join((out / name).read_text(encoding="utf-8").split()) for name in ("plan.md", "stiffness.md")]
    return json.loads((out / "plan.json").read_text(encoding="utf-8")), json.loads(said.out)["result"], pages


def agree(plan, answer, pages):
    gains = {gain["name"]: gain for gain in answer["gains"]}
    told = [gain for gain in plan["outcome"]["stiffness"] if gain["method"] == "finite elements"]
    assert {gain["name"] for gain in told} == {*gains, "hand push"}
    for gain in told:
        if gain["name"] != "hand push":
            three = gains[gain["name"]]["times"]
        else:
            push = answer["push"]
            k = int(np.argmin(push["before_n_m"]))
            three = [push[f"{what}_n_m"][k] / push["before_n_m"][k] for what in ("touching", "bonded", "counted")]
        assert [gain["unbonded"], gain["bonded"], gain["counted"]] == pytest.approx(three, rel=1e-4), gain["name"]
    assert answer["gap_m"] == pytest.approx(plan["outcome"]["gap_m"], rel=1e-6)
    for lift, bulge in zip(plan["lifts"], answer["bulges"], strict=True):
        assert lift["number"] == bulge["number"]
        if lift["bulge"] is None:
            assert bulge["verdict"] == "held"
            continue
        for name in ("pressure_pa", "outward_m", "stress_pa", "allowed_m", "stress_limit_pa", "hold_down_n"):
            assert lift["bulge"][name] == pytest.approx(bulge[name], rel=1e-4), name
        assert lift["bulge"]["verdict"].startswith(bulge["verdict"]) or bulge["passes"]
    for page in pages:
        assert set(re.findall(r"gap of up to (\S+ mm)", page)) <= {f"{1e3 * plan['outcome']['gap_m']:.3g} mm"}
        assert answer["support"].split(":")[0] in page


def test_on_a_box_of_ones_own(call, tmp_path):
    file = tmp_path / "box.stl"
    trimesh.creation.box((0.14, 0.15, 0.16)).export(file)
    settings = ("--unit", "m", "--wall", "8 mm", "--material", "polyethylene", "--foam", "rigid-2")
    plan, answer, pages = both(call, tmp_path / "plan", file, *settings)
    agree(plan, answer, pages)
    assert plan["outcome"]["gap_m"] > 0
    assert all("gap of up to" in page for page in pages)


@pytest.mark.slow
def test_on_the_tender_which_lies_in_a_cradle(call, tmp_path):
    plan, answer, pages = both(call, tmp_path / "plan", DEMOS / "tender" / "job.toml", cells=20_000)
    agree(plan, answer, pages)
    assert answer["rests"] == "cradle"
    assert "two chocks" in pages[0]
    assert "in a cradle" in pages[1]
    assert answer["gains"][1]["before"] is None or answer["gains"][1]["before"] < 0.02  # it was 0.34 m on its keel
