"""The pictures of a real small plan: files, truth of what is lit, colours, machines without a display."""

import itertools
import os
import re
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from tests.reference.drawn import lift_bodies

from pourwright.draw.ink import Pen, font_for
from pourwright.draw.lift_labels import signs_of
from pourwright.draw.lifts import draw_plan, lift_picture, stage_of
from pourwright.draw.paint import LIT, POCKETS, POOLS, SETTLED, Drawing, ladder
from pourwright.draw.regions import region_nodes
from pourwright.draw.view import FINE
from pourwright.errors import FileError


@pytest.fixture(scope="module")
def drawn(stool_plan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("drawn")
    return folder, draw_plan(stool_plan, folder)


def luminance(colour):
    """Relative luminance of sRGB (IEC 61966-2-1)."""
    c = np.asarray(colour, float) / 255
    return float(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ [0.2126, 0.7152, 0.0722])


def test_every_lift_has_its_picture_and_nothing_else_is_left(stool_plan, drawn):
    folder, files = drawn
    numbers = range(1, 1 + len(stool_plan.lift_plan.lifts))
    expected = ["overview.png", "cavity.png"] + [f"lift_{k:02d}.png" for k in numbers]
    assert [file.name for file in files[: len(expected)]] == expected
    assert [file.name for file in files if file.suffix == ".svg"] == [f"card_{k:02d}.svg" for k in numbers] + [
        "cover.svg"
    ]
    assert sorted(entry.name for entry in folder.iterdir()) == sorted(file.name for file in files)
    sizes = {Image.open(file).size for file in files if file.suffix == ".png"}
    assert len(sizes) == 1  # from the front and from behind alike
    assert all(file.stat().st_size < 900_000 for file in files)


def test_a_lift_with_something_on_the_far_side_has_a_second_picture(stool_plan, drawn):
    stage = stage_of(stool_plan)
    far = [lift for lift in stool_plan.lift_plan.lifts if any(one.hidden for one in signs_of(stool_plan, stage, lift))]
    assert far
    names = [file.name for file in drawn[1] if "behind" in file.name]
    assert names == [f"lift_{lift.number:02d}_behind.png" for lift in far]


def with_gaps(plan):
    """The plan with the numbers that a record may leave: 1, 3, 5 ..."""
    lifts = tuple(replace(lift, number=2 * k + 1) for k, lift in enumerate(plan.lift_plan.lifts))
    return replace(plan, lift_plan=replace(plan.lift_plan, lifts=lifts))


def test_numbers_of_lifts_may_have_gaps(stool_plan, drawn, tmp_path):
    """Of lifts that a record left out the others keep numbers and colours."""
    gaps = with_gaps(stool_plan)
    names = [file.name for file in draw_plan(gaps, tmp_path)]
    assert [name for name in names if re.fullmatch(r"lift_\d+\.png", name)] == [
        f"lift_{lift.number:02d}.png" for lift in gaps.lift_plan.lifts
    ]
    before, after = (np.asarray(Image.open(folder / "overview.png")).astype(int) for folder in (drawn[0], tmp_path))
    assert (np.abs(before - after).max(axis=2) > 8).mean() < 0.01  # nothing but the numbers
    assert (before != after).any()


def test_the_same_plan_gives_the_same_bytes(stool_plan, drawn, tmp_path):
    for again in draw_plan(stool_plan, tmp_path):
        assert again.read_bytes() == (drawn[0] / again.name).read_bytes()


def test_what_is_lit_lies_between_the_heights_of_the_lift(stool_plan):
    """Rows of the lit part against the heights of the plan, at the middle of the piece, give or take its depth."""
    stage = stage_of(stool_plan)
    drawing = Drawing(stage.view)
    depth_px = 0.5 * stool_plan.frame.size_m[:2].max() * stage.view.scale * stage.view.axes[2, 2]
    for lift, made in zip(stool_plan.lift_plan.lifts, lift_bodies(stool_plan, stage.view), strict=True):
        drawing.add(made)
        part = drawing.layer(stage.hollow_m).part
        assert part.max() == lift.number
        rows = np.flatnonzero((part == lift.number).any(axis=1)) + stage.view.window[1]
        pen = Pen(stage.back.copy(), stage.view)
        assert rows.min() >= pen.level(lift.top_m) - depth_px - 2 * FINE
        assert rows.max() <= pen.level(lift.bottom_m) + depth_px + 2 * FINE


def test_the_lit_colour_is_in_each_lift_picture(drawn):
    for file in (one for one in drawn[1] if one.name.startswith("lift_")):
        pixels = np.asarray(Image.open(file)).astype(int)
        warm = (pixels[..., 0] > 150) & (pixels[..., 0] - pixels[..., 2] > 90)
        assert warm.sum() > 400


def test_foam_lies_behind_the_skin_everywhere(stool_plan):
    stage = stage_of(stool_plan)
    drawing = Drawing(stage.view)
    for made in lift_bodies(stool_plan, stage.view):
        drawing.add(made)
    foam = drawing.layer(stage.hollow_m)
    seen = foam.part > 0
    assert (stage.skin.depth[seen] > foam.depth[seen]).mean() > 0.999


def test_colours_are_told_apart_by_lightness_alone():
    for count in (2, 5, 12, 40):
        light = [luminance(colour) for colour in ladder(count)]
        assert all(a < b for a, b in itertools.pairwise(light))
    assert all(1.3 * luminance(LIT) < luminance(tint) for tint in SETTLED)
    for family in (POOLS, POCKETS):
        light = [luminance(colour) for colour in family]
        assert min(abs(a - b) for a, b in itertools.pairwise(light)) > 0.1


def test_the_two_legs_are_two_regions(stool_plan):
    graph = stool_plan.graph
    assert len(graph.pools) == 2
    regions = [region_nodes(graph, pool) for pool in graph.pools]
    assert not set(regions[0]) & set(regions[1])
    sides = [np.sign(graph.node_centroid_m[nodes, 0] - 0.26) for nodes in regions]
    assert all(abs(side.sum()) == len(side) for side in sides)
    join = graph.level_m[next(pool.merge_level for pool in graph.pools if not pool.essential)]
    assert all(graph.node_centroid_m[nodes, 2].max() < join for nodes in regions)


def test_a_lone_pool_is_no_region(cells, shapes):
    _, graph = cells(shapes["column"])
    assert len(region_nodes(graph, graph.pools[0])) == 0
    _, graph = cells(shapes["arch"])
    assert [len(region_nodes(graph, pool)) for pool in graph.pools] == [40, 40]


def test_names_of_any_kind_are_drawn(stool_plan):
    """Very long words are cut to the canvas, markup is plain text, letters of many scripts have a font."""
    stage = stage_of(stool_plan)
    drawing = Drawing(stage.view)
    drawing.add(lift_bodies(stool_plan, stage.view)[0])
    layer = drawing.layer(stage.hollow_m)
    for name in ("x" * 400, "<script>alert(1)</script>", "Ωδή / Жар-птица / 鷺", "", "two\nlines"):
        plan = replace(stool_plan, job=replace(stool_plan.job, name=name, place=name))
        image = lift_picture(plan, stage, plan.lift_plan.lifts[0], layer)
        edge = np.asarray(image)[: 120 * FINE, -20 * FINE :]
        assert (np.abs(edge.astype(int) - (250, 248, 243)).max(axis=-1) < 12).all()
    assert font_for("Жар", "bold", 20).path != font_for("鷺", "bold", 20).path


def test_a_folder_that_cannot_be_written_is_said_in_one_sentence(stool_plan, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(FileError, match="cannot be written") as caught:
        draw_plan(stool_plan, tmp_path / "file")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("switch", ["", "kernels"])
def test_drawing_without_a_display_says_nothing(switch):
    """In a process of its own: nothing on either stream, whether PyVista's window draws or the compiled loop."""
    code = (
        "import numpy as np\n"
        "from pourwright.cavity import pour_frame\n"
        "from pourwright.draw.bodies import body\n"
        "from pourwright.draw.paint import Drawing, backdrop, blend\n"
        "from pourwright.draw.view import view_of\n"
        "import trimesh\n"
        "ball = trimesh.creation.icosphere(2)\n"
        "frame = pour_frame(ball.vertices, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))\n"
        "view = view_of(frame, ball.vertices)\n"
        "made = body(view, ball.vertices, ball.faces)\n"
        "drawing = Drawing(view); drawing.add(made); layer = drawing.layer(0.05)\n"
        "blend(view, backdrop(view, made), layer, layer, np.full((2, 3), 200.0))\n"
        "assert (layer.part == 1).sum() > 10_000\n"
    )
    env = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "VTK_DEFAULT_OPENGL_WINDOW")}
    env["POURWRIGHT_DRAW"] = switch
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
