"""The command line's answer on structure, from a plan just made."""

import json

import pytest
import trimesh


@pytest.fixture
def planned(call, tmp_path):
    file = tmp_path / "box.stl"
    trimesh.creation.box((0.25, 0.2, 0.3)).export(file)
    out = tmp_path / "plan"

    def run(material, wall):
        settings = ("--unit", "m", "--wall", wall, "--material", material, "--foam", "rigid-2")
        call("plan", file, *settings, "--quick", "--no-pictures", "-q", "-o", out)
        assert (out / "plan.json").is_file()
        return out

    return run


def test_thin_polyethylene_is_refused_with_shores(call, planned):
    folder = planned("polyethylene", "5 mm")
    said = call("stiffness", folder, "--no-gains", "--triangles", "1000", "--no-pictures", "--json")
    assert said.code == 1
    assert "bulges too far" in said.err
    told = json.loads(said.out)
    over = [bulge for bulge in told["result"]["bulges"] if bulge["verdict"] == "over"]
    assert over
    assert all(bulge["props"] for bulge in over)
    text = (folder / "stiffness.md").read_text()
    assert "Where to prop it" in text


def test_stiff_box_passes_and_says_which_column_counts(call, planned):
    folder = planned("grp", "10 mm")
    said = call("stiffness", folder, "--triangles", "1000")
    assert said.code == 0, said
    assert "Bonded counts" in said.out
    assert "Pushed by hand" in said.out
    assert (folder / "stiffness.png").is_file()


def test_the_gain_becomes_a_colour_of_the_page_once(call, planned, stool_plan):
    from pourwright.document.ledger import write_own
    from pourwright.report.piece_page import piece_html

    folder = planned("grp", "10 mm")
    page = folder / "piece.html"
    for text in (piece_html(stool_plan), None):
        if text is not None:
            write_own(folder, {"piece.html": text.encode()})
        said = call("stiffness", folder, "--triangles", "1000")
        assert said.code == 0, said
        assert "piece.html" in said.out
        data = json.loads(page.read_text(encoding="utf-8").split('id="data">')[1].split("</script>")[0])
        assert [field["key"] for field in data["fields"]["fields"]].count("gain") == 1
        assert data["shown"] == "gain"
    page.write_text("<html>my own</html>", encoding="utf-8")
    said = call("stiffness", folder, "--triangles", "1000")
    assert said.code == 0  # the answer stands, and the page of somebody else is left as it is
    assert "is not as it was written" in said.err
    assert page.read_text(encoding="utf-8") == "<html>my own</html>"


def test_a_plan_that_names_its_shores_is_not_refused(call, tmp_path):
    file, out = tmp_path / "crate.stl", tmp_path / "plan"
    trimesh.creation.box((0.5, 0.4, 0.3)).export(file)
    settings = ("--unit", "m", "--wall", "8 mm", "--material", "polyethylene", "--foam", "rigid-2")
    few = ("--set", "structure.triangles=1000", "--set", "heat.cells=3000")
    call("plan", file, *settings, *few, "--no-pictures", "-q", "-o", out)
    told = json.loads((out / "plan.json").read_text())
    assert any(lift["bulge"]["shores"] for lift in told["lifts"])
    said = call("stiffness", out, "--no-gains", "--triangles", "1000", "--no-pictures")
    assert said.code == 0, said
    assert "whole side" in said.out or "across" in said.out


def test_what_straight_lines_do_not_hold_for_is_not_computable_everywhere(call, planned):
    """1 mm of glass under 500 Pa on its front: 0.2 m of clamped plate would bulge 3 walls by Roark's table 11.4, 8a."""
    assert 0.0188 * 500 * 0.2**4 / (7e9 * 0.001**4) > 2
    folder = planned("grp", "1 mm")
    said = call("stiffness", folder, "--triangles", "1000", "--no-pictures", "--json")
    result = json.loads(said.out)["result"]
    side = next(gain for gain in result["gains"] if gain["name"].startswith("side pressure"))
    assert side["before"] is None
    assert "straight-line theory" in side["beyond"]
    assert 0 < side["share"] < 1
    assert all(times >= 0.99 for times in side["times"])
    push = result["push"]
    assert min(push["holds_n"]) < push["force_n"]
    assert None in push["sway_m"]
    assert "straight-line theory" in push["beyond"]
    page = " ".join((folder / "stiffness.md").read_text(encoding="utf-8").split())
    assert "not computable under 500 Pa (0.0725 psi) on its front" in page
    assert "The times are those of up to" in page
    assert "order of size" not in page  # no figure with a warning in place of none


def test_what_holds_it_can_be_said_and_is_told(call, planned):
    folder = planned("grp", "10 mm")
    said = call("stiffness", folder, "--triangles", "1000", "--no-files", "--rests", "gunwale", "--json")
    told = json.loads(said.out)["result"]
    assert told["rests"] == "gunwale"
    assert "side pressure, held by its gunwale" in [gain["name"] for gain in told["gains"]]
    wrong = call("stiffness", folder, "--rests", "trestles", "--no-files")
    assert wrong.code == 2
    assert "trestles" in wrong.err
    assert "gunwale" in wrong.err


def test_it_shows_how_far_it_is(call, planned, monkeypatch):
    import contextlib

    from pourwright.cli import stiffness

    told = []

    @contextlib.contextmanager
    def shown(wanted):
        assert wanted
        yield lambda step, done: told.append((step, done))

    monkeypatch.setattr(stiffness, "progress_shown", shown)
    call("stiffness", planned("grp", "10 mm"), "--triangles", "1000", "--no-files")
    steps = list(dict.fromkeys(step for step, _ in told))
    assert {"skin under pressure", "stiffness"} <= set(steps)
    for step in steps:
        shares = [done for name, done in told if name == step]
        assert shares == sorted(shares)
        assert shares[-1] == 1.0
    assert len(told) > 12
