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
    assert "bows too far" in said.err
    told = json.loads(said.out)
    over = [bow for bow in told["result"]["bows"] if bow["verdict"] == "over"]
    assert over
    assert all(bow["props"] for bow in over)
    text = (folder / "stiffness.md").read_text()
    assert "Where to prop it" in text


def test_stiff_box_passes_and_says_which_column_counts(call, planned):
    folder = planned("grp", "10 mm")
    said = call("stiffness", folder, "--triangles", "1000")
    assert said.code == 0, said
    assert "Bonded counts" in said.out
    assert "Pushed by hand" in said.out
    assert (folder / "stiffness.png").is_file()
