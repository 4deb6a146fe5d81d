"""The operator's page of a part that a machine fills, and no word of cups on any page of it."""

import io
import json
import re
from pathlib import Path

import pytest
from rich.console import Console

from pourwright import units
from pourwright.intake import read_job
from pourwright.plan import make_plan
from pourwright.report.folder import write_plan
from pourwright.report.tables import print_plan

DEMO = Path(__file__).resolve().parents[2] / "demo_shells" / "float" / "job.toml"


@pytest.fixture(scope="module")
def float_plan():
    return make_plan(read_job(DEMO, {"heat.computed": False, "grid.cell": "12 mm"}))


@pytest.fixture(scope="module")
def folder(float_plan, tmp_path_factory):
    out = tmp_path_factory.mktemp("float") / "out"
    write_plan(float_plan, out, pictures=False)
    return out


def text_of(page: Path) -> str:
    text = re.sub(r"<(style|script)\b.*?</\1>", " ", page.read_text(encoding="utf-8"), flags=re.S)
    text = re.sub(r"<[^>]+>", " ", text).replace("\u00a0", " ")
    return " ".join(text.split())


def test_the_page_has_ports_in_order_with_weight_and_seconds_and_what_shuts_each_hole(folder):
    page, doc = text_of(folder / "operator.html"), json.loads((folder / "plan.json").read_text())
    at = -1
    for shot in doc["fill"]["shots"]:
        row = f"{shot['port']} {units.mass(shot['kg'])} {shot['seconds']:.1f} s"
        assert page.index(row) > at, row
        at = page.index(row)
    for hole in (*doc["ports"], *doc["vents"]):
        assert hole["name"] in page
    assert "operator.html" in doc["files"]


def test_the_page_has_clamps_the_hold_and_the_weight_to_see_with_its_tolerance(folder):
    page, doc = text_of(folder / "operator.html"), json.loads((folder / "plan.json").read_text())
    assert f"{units.time(doc['fixture']['release_s'])} after the end of the last shot" in page
    pairs = {frozenset((one["side"], one["against"])): one["clamps"] for one in doc["fixture"]["plates"]}
    assert sum(int(n) for n in re.findall(r"(\d+) clamps", page)) == sum(pairs.values()) == doc["fixture"]["clamps"]
    scale, whole = doc["fill"]["scale"], doc["outcome"]["total_kg"]["nominal"]
    assert f"filled less empty {units.mass(scale['gain_kg'])}" in page
    assert f"{units.mass(whole)} ± {units.mass(0.05 * whole)}" in page  # 5 % unless the job says otherwise


def test_the_gain_on_the_scale_is_as_wide_as_the_window_of_packing(folder):
    """All of the float's foam meets its cap: 10 % more packing is 10 % more weight."""
    doc = json.loads((folder / "plan.json").read_text())
    window, scale = doc["fill"]["packing"], doc["fill"]["scale"]
    assert scale["gain_high_kg"] / scale["gain_kg"] == pytest.approx(window["highest"] / window["chosen"])
    assert scale["gain_kg"] == pytest.approx(sum(shot["kg"] for shot in doc["fill"]["shots"]))
    if window["lowest"] is None:
        assert scale["gain_low_kg"] is None
    else:
        assert scale["gain_low_kg"] / scale["gain_kg"] == pytest.approx(window["lowest"] / window["chosen"])


def test_fixture_and_series_are_told_in_the_terminal_in_plan_md_and_on_the_sheet(float_plan, folder):
    out = io.StringIO()
    print_plan(float_plan, Console(file=out, width=130))
    plain = (folder / "plan.md").read_text(encoding="utf-8")
    for text in (out.getvalue(), plain, text_of(folder / "sheet.html")):
        for head in ("Packing and shots", "Fixture", "Series"):
            assert head in text
        said = " ".join(text.split())
        assert f"{float_plan.shot.fixture.clamps} clamps in all" in said
        assert f"{float_plan.shot.series.line.parts_per_shift} parts a shift" in said
        assert f"by up to {units.length(float_plan.outcome.gap_m)} where it is widest" in said


def test_nothing_speaks_of_cups_or_of_mixing_where_a_machine_pours(float_plan, folder):
    out = io.StringIO()
    print_plan(float_plan, Console(file=out, width=130))
    pages = {"terminal": out.getvalue(), "plan.md": (folder / "plan.md").read_text(encoding="utf-8")}
    pages |= {name: text_of(folder / name) for name in ("sheet.html", "operator.html")}
    for name, text in pages.items():
        said = " ".join(text.split()).replace("shoot a cup for its times", "")
        found = re.findall(r".{40}\b(?:cups?|mix|mixes|mixed|mixing|batch|batches|stirred)\b.{20}", said, re.I)
        assert not found, (name, found)
    checks = [check for lift in float_plan.lift_plan.lifts for pour in lift.pours for check in pour.checks]
    assert not [check for check in checks if "cup" in check.source + check.remedy]


def test_each_port_is_told_how_dense_its_foam_is_near_and_far_and_where_it_gets_last(float_plan, folder):
    doc = json.loads((folder / "plan.json").read_text())
    sheet = text_of(folder / "sheet.html")
    at = -1
    by_port = {one["port"]: one for flow in doc["fill"]["flow"] for one in flow["ports"]}
    for shot in doc["fill"]["shots"]:  # in the order they are shot
        one = by_port[shot["port"]]
        row = f"{units.density(one['near_density_kg_m3'])} {units.density(one['far_density_kg_m3'])}"
        assert sheet.index(f"{shot['port']} {units.volume(one['volume_m3'])}", at + 1) > at
        at = sheet.index(f"{shot['port']} {units.volume(one['volume_m3'])}")
        assert row in sheet[at:]
    page = (folder / "operator.html").read_text(encoding="utf-8")
    assert page.count('class="last"') == len(by_port)


def test_vents_that_are_shut_alike_share_a_row(folder):
    rows = re.findall(r"<tr><td><b>(V[^<]*)</b></td>(.*?)</tr>", (folder / "operator.html").read_text("utf-8"))
    assert len({rest for _, rest in rows}) == len(rows)
    doc = json.loads((folder / "plan.json").read_text())
    assert sorted(name for names, _ in rows for name in names.split(", ")) == sorted(v["name"] for v in doc["vents"])
