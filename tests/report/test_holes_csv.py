"""``holes.csv`` of a part that a machine fills: every port and vent of ``plan.json`` has its row."""

import csv
import json
from pathlib import Path

import pytest

from pourwright.intake import read_job
from pourwright.plan import make_plan
from pourwright.report.folder import write_plan

DEMO = Path(__file__).resolve().parents[2] / "demo_shells" / "float" / "job.toml"


def test_every_port_and_vent_of_the_float_has_a_row_with_place_size_and_weight(tmp_path):
    plan = make_plan(read_job(DEMO, {"heat.computed": False, "grid.cell": "12 mm"}))
    write_plan(plan, tmp_path / "out", pictures=False)
    doc = json.loads((tmp_path / "out" / "plan.json").read_text())
    rows = list(csv.DictReader((tmp_path / "out" / "holes.csv").open(encoding="utf-8")))
    assert {row["hole"] for row in rows} == {hole["name"] for hole in (*doc["ports"], *doc["vents"])}
    landings = [one for lift in doc["lifts"] for pour in lift["pours"] for one in pour["landings"]]
    ports = [row for row in rows if row["kind"] == "port"]
    assert sum(float(row["kg"]) for row in ports) == pytest.approx(sum(one["kg"] for one in landings), abs=0.002)
    for row in ports:
        place = next(port["point_m"] for port in doc["ports"] if port["name"] == row["hole"])
        assert [float(row[f"{axis}_mm"]) for axis in "xyz"] == pytest.approx([1e3 * v for v in place], abs=0.06)
        assert float(row["lb"]) == pytest.approx(float(row["kg"]) / 0.45359237, abs=0.003)
    assert len({pour["name"] for lift in doc["lifts"] for pour in lift["pours"]}) == 2  # two chambers
    assert "holes.csv" in doc["files"]
