"""Pictures of limbs that end at different heights in one round: each height once, from the top down."""

from __future__ import annotations

import json
import re

import pytest
import trimesh


def _box(x0, x1, z1):
    return trimesh.creation.box(bounds=[[x0, 0.0, 0.0], [x1, 200.0, z1]])


@pytest.mark.slow
def test_the_cover_and_the_sheet_name_each_height_at_which_a_pour_ends_once(call, tmp_path):
    """A foot with two towers, one lower: the lift that fills its top ends higher in the other."""
    shell, folder = tmp_path / "towers.stl", tmp_path / "plan"
    body = trimesh.boolean.union([_box(0, 700, 200), _box(0, 200, 520), _box(400, 700, 760)], engine="manifold")
    body.export(shell)
    said = call(
        "plan", shell, "--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--pictures", "-q",
        "-o", folder,
        "--set", "grid.cell=12 mm", "--set", "day.search=false", "--set", "limits.lift=160 mm",
        "--set", "limits.lift_reference=sheet of the test",
    )  # fmt: skip
    assert said.code in (0, 1, 3), said
    lifts = json.loads((folder / "plan.json").read_text())["lifts"]
    tops = {round(1e3 * pour["top_m"]) for lift in lifts for pour in lift["pours"]}
    assert len(tops) > len(lifts)  # two limbs of one lift end at two heights
    words = re.findall(r"<text[^>]*>(?:<[^>]*>)*(\d+) mm", (folder / "cover.svg").read_text())
    assert [int(word) for word in words] == sorted(tops, reverse=True)
    sheet = " ".join(re.sub(r"<[^>]*>", " ", (folder / "sheet.html").read_text()).replace("\xa0", " ").split())
    for lift in lifts:
        mine = sorted({round(1e3 * pour["top_m"]) for pour in lift["pours"]})
        heading = re.search(rf"Lift {lift['number']}: foam up to (.*?) above the base", sheet)[1]
        assert [int(word) for word in re.findall(r"(\d+) mm", heading)] == [mine[0], mine[-1]][: len(mine)]
