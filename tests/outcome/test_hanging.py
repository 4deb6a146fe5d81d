"""From measures on the hanging piece to points of the shell: there and back, by projections written out here."""

import math
from itertools import product

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.reference.told import told

from pourwright.cavity import pour_frame
from pourwright.findings import Code
from pourwright.hanging import hang, hanging_pose, hung_point, insert_spans
from pourwright.outcome import Anchor, Hang, Insert, Item, Leg, Site, Spot, Surface, item_parts, sling
from pourwright.ranges import Range
from pourwright.shell import WallBand

PAIRS = (("from_left_m", "from_right_m"), ("from_front_m", "from_back_m"), ("from_base_m", "from_top_m"))
SIDES = list(product((0, 1), repeat=3))


def measured(vertices, point, facing, up):
    """The six measures of a point: reach of the piece along the reader's right, away from the reader, and up.

    The reader looks against ``facing`` with ``up`` over the head: right is forward x up.
    """
    up = np.asarray(up, float) / np.linalg.norm(up)
    forward = -np.asarray(facing, float)
    forward = forward - up * (forward @ up)
    forward /= np.linalg.norm(forward)
    out = {}
    for (near, far), way in zip(PAIRS, (np.cross(forward, up), forward, up), strict=True):
        along = vertices @ way
        out[near], out[far] = point @ way - along.min(), along.max() - point @ way
    return out


def chosen(measures, sides):
    return Spot(**{pair[side]: float(measures[pair[side]]) for pair, side in zip(PAIRS, sides, strict=True)})


def way(seed):
    angle, lift = seed
    return np.array([math.cos(angle) * math.cos(lift), math.sin(angle) * math.cos(lift), math.sin(lift)])


ways = st.tuples(st.floats(0.0, 6.28), st.floats(-1.5, 1.5))


@given(ways, ways, st.integers(0, 999), st.sampled_from(SIDES))
@settings(max_examples=120, deadline=None)
def test_point_to_measures_to_point_comes_back_as_it_hangs(out, up, seed, sides):
    facing, over = way(out), way(up)
    if np.linalg.norm(np.cross(facing, over)) < 0.05:
        return
    rng = np.random.default_rng(seed)
    vertices, point = rng.normal(size=(40, 3)), rng.normal(size=3)
    pose = hanging_pose(vertices, Hang(tuple(facing), tuple(over)))
    spot = chosen(measured(vertices, point, facing, over), sides)
    assert hung_point(spot, pose) == pytest.approx(point, abs=1e-9)
    assert hung_point(Spot(at_m=tuple(point)), pose) == pytest.approx(point, abs=1e-9)


@given(ways, ways, st.integers(0, 999), st.sampled_from(SIDES))
@settings(max_examples=60, deadline=None)
def test_point_to_measures_to_point_comes_back_as_it_stands_to_be_poured(front, up, seed, sides):
    facing, over = way(front), way(up)
    if np.linalg.norm(np.cross(facing, over)) < 0.05:
        return
    rng = np.random.default_rng(seed)
    vertices, point = rng.normal(size=(40, 3)), rng.normal(size=3)
    frame = pour_frame(vertices, over, facing)
    spot = chosen(measured(vertices, point, facing, over), sides)
    assert frame.to_shell(spot.standing(frame)) == pytest.approx(point, abs=1e-9)


def test_without_a_depth_an_anchor_lies_in_the_plane_of_the_back():
    """Of a wall that overhangs too: the plane square to the way out that touches the piece."""
    rng = np.random.default_rng(3)
    vertices = rng.normal(size=(60, 3))
    for out in ((0, -1, 0), (0, -1, -0.4), (0, -1, 0.4), (-1, 0.2, 0.3)):
        pose = hanging_pose(vertices, Hang(tuple(out), (0, 0, 1)))
        point = hung_point(Spot(from_left_m=0.4, from_base_m=0.7), pose)
        unit = np.array(out) / np.linalg.norm(out)
        assert point @ unit == pytest.approx((vertices @ unit).min(), abs=1e-9)
        again = measured(vertices, point, np.array(out), np.array([0, 0, 1]))
        assert (again["from_left_m"], again["from_base_m"]) == pytest.approx((0.4, 0.7))
    with pytest.raises(ValueError, match="width and the height"):
        hung_point(Spot(from_left_m=0.4), pose)


def test_a_depth_that_is_measured_counts_in_the_loads(made, lump):
    """The box is 0.5 deep, its back on the wall: 100 mm from the back is a point 100 mm before the wall."""
    spots = [Spot(from_left_m=x, from_base_m=z, from_back_m=0.1) for x, z in ((0.2, 0.2), (0.8, 0.2), (0.5, 0.8))]
    anchors = tuple(Anchor(f"a{k}", spot) for k, spot in enumerate(spots))
    piece, surface = made([lump(10.0, (0, 0, 0))], Site(anchors=anchors, hang=Hang((0.0, -1.0, 0.0), (0.0, 0.0, 1.0))))
    result = hang(piece, surface)
    assert result.anchors[0].place_m == pytest.approx([0.2, 0.4, 0.2])
    assert Code.ANCHORS_OFF_LINE in told(result)


def test_items_and_slings_are_measured_as_the_piece_stands_to_be_poured(made, lump):
    """Whatever way the piece hangs."""
    hung = Hang((0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    point = np.array([0.1, -0.05, 0.3])
    piece, surface = made([lump(10.0, (0, 0, 0))])
    measures = measured(surface.vertices_m, point, np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    for sides in SIDES:
        spot = chosen(measures, sides)
        part = item_parts((Item("lead", Range.exact(1.0), spot=spot),), piece.parts[0], 1.0, piece.frame)[0]
        assert part.centre_m == pytest.approx(point)
        lifted, _ = made([lump(10.0, (0, 0, 0))], Site(hang=hung, legs=(Leg("one", spot),)))
        assert lifted.frame.to_shell(sling(lifted).points_m[0]) == pytest.approx(point)


def test_an_insert_goes_into_the_piece_square_to_the_wall_from_where_its_foam_begins():
    """A ball of 200 mm radius, 5 mm skin, its back at y = 0.2, an anchor 120 mm above its middle: there the skin lies
    0.2 - 0.16 = 40 mm off the wall, and 5 mm of it at a slant of 0.8 are 6.25 mm along the rod."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=0.2)
    surface = Surface(ball.vertices, ball.faces, np.zeros(len(ball.faces), bool))
    bands = (WallBand("wall", -np.inf, np.inf, 0.005, 0.1),)
    asked = Hang((0.0, -2.0, 0.0), (0.0, 0.0, 1.0))
    anchors = (
        Anchor("a", Spot(from_left_m=0.2, from_base_m=0.32), insert=Insert(0.03, 0.1)),
        Anchor("b", Spot(from_left_m=0.2, from_base_m=0.32)),
        Anchor("c", Spot(from_left_m=0.39, from_base_m=0.39), insert=Insert(0.03, 0.1)),  # beside the ball
    )
    (begin, end), (bare, same), (beside, too) = insert_spans(anchors, surface, asked, bands)
    assert begin == pytest.approx([0.0, 0.16 - 0.00625, 0.12], abs=5e-4)
    assert end == pytest.approx([0.0, 0.16 - 0.00625 - 0.1, 0.12], abs=5e-4)
    assert bare == pytest.approx([0.0, 0.2, 0.12], abs=1e-3)
    assert same == pytest.approx(bare)
    assert too == pytest.approx(beside)
