"""Anchors: arrangements worked by hand, an independent least-squares solve, and every odd arrangement explained."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.errors import UsageError
from pourwright.findings import Code, finding
from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Insert, Site, Spot, refusals
from pourwright.ranges import Range

G = 9.80665
OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
# The box of the fixture: back at y = 0.25, base at z = -0.5; the wall touches its back.


def anchor(name, x, z, **more):
    return Anchor(name, Spot(at_m=(x, 0.25, z)), **more)


def four(**more):
    return (
        anchor("a", -0.15, -0.2, **more),
        anchor("b", 0.15, -0.2, **more),
        anchor("c", 0.15, 0.2, **more),
        anchor("d", -0.15, 0.2, **more),
    )


def solved(made, lump, anchors, kg=2000 / G, at=(0.1, 0.0, 0.0), **asked):
    site = Site(anchors=tuple(anchors), hang=Hang(**{"out": OUT, "up": UP, **asked}))
    return hang(*made([lump(kg, at)], site))


def test_measures_from_the_edges_are_the_same_anchors(made, lump):
    plain = solved(made, lump, four())
    taped = (
        Anchor("a", Spot(from_left_m=0.35, from_base_m=0.3)),
        Anchor("b", Spot(from_right_m=0.35, from_base_m=0.3)),
        Anchor("c", Spot(from_right_m=0.35, from_top_m=0.3)),
        Anchor("d", Spot(from_left_m=0.35, from_top_m=0.3)),
    )
    other = solved(made, lump, taped)
    for one, two in zip(plain.anchors, other.anchors, strict=True):
        assert one.place_m == pytest.approx(two.place_m)
        assert one.shear_n.nominal == pytest.approx(two.shear_n.nominal)


def test_hung_another_way_up_than_it_was_poured(made, lump):
    """The box on its side: its x axis upwards, the lump 0.1 along it is 0.1 above the middle, nothing beside it."""
    anchors = [
        Anchor(name, Spot(at_m=(x, 0.25, z)))
        for name, x, z in [("a", -0.2, -0.15), ("b", -0.2, 0.15), ("c", 0.2, 0.15), ("d", 0.2, -0.15)]
    ]
    result = solved(made, lump, anchors, up=(1.0, 0.0, 0.0))
    assert result.centre_m[2] == pytest.approx(0.6)
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([500.0] * 4)


def test_one_anchor_gone_leaves_a_pattern_of_three(made, lump):
    result = solved(made, lump, four())
    left = solved(made, lump, four()[1:])
    b = result.anchors[1]
    assert all(gone.stays for gone in result.one_gone)
    assert b.one_gone_shear_n >= left.anchors[0].shear_n.high - 1e-9
    assert b.one_gone_shear_n > b.shear_n.high
    worst = result.one_gone[2]
    assert worst.share > 1
    assert worst.worst in worst.words


def test_two_anchors_and_one_gone_swings_and_is_refused(made, lump):
    result = solved(made, lump, [anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2)])
    assert not any(gone.stays for gone in result.one_gone)
    assert "swings about r" in result.one_gone[0].words
    assert math.isinf(result.anchors[0].one_gone_shear_n)
    assert "Without l the piece swings about r" in refusals(result)
    assert finding(Code.DOES_NOT_STAY, words="Without l the piece swings about r") in result.warnings


def gone_by_least_energy(places, gone, weight, centre, off):
    """Forces (n, 3) of what is left, by the matrix of least energy under the six equations of balance."""
    left = [k for k in range(len(places)) if k != gone]
    columns = []
    for k in left:
        for way in np.eye(3):
            columns.append(np.r_[way, np.cross([*places[k], 0.0], way)])
    equations = np.array(columns).T
    down = np.array([0.0, -weight, 0.0])
    load = np.r_[down, np.cross([*centre, off], down)]
    size = equations.shape[1]
    kkt = np.block([[np.eye(size), equations.T], [equations, np.zeros((6, 6))]])
    found = np.linalg.lstsq(kkt, np.r_[np.zeros(size), load], rcond=None)[0][:size].reshape(-1, 3)
    out = np.zeros((len(places), 3))
    out[left] = found
    return out


def test_every_check_runs_with_each_anchor_gone_and_is_over_where_it_is(made, lump):
    """With all anchors the foam bears its pressure; with one gone it does not, and that is a line of its own."""
    inserts = four(insert=Insert(0.04, 0.15, 0.09), shear_n=9000.0, pull_n=9000.0)
    result = solved(made, lump, inserts, kg=240 / G, factor_value=5.0, factor_reference="a test")
    places = [(-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2)]
    limit = 0.25 * 276e3 * (45 / 48) ** 1.5
    over = False
    for k, load in enumerate(result.anchors):
        cases = [gone_by_least_energy(places, j, 240.0, (0.1, 0.0), 0.25)[k] for j in range(4) if j != k]
        shears = [float(np.hypot(*force[:2])) for force in cases]
        (bearing,) = [
            c for c in load.checks if c.name.startswith(f"{load.name}: foam bearing round the insert, without")
        ]
        assert bearing.value == pytest.approx(4 * max(shears) / (0.04 * 0.15), rel=1e-6)
        assert bearing.limit == pytest.approx(limit)
        assert bearing.verdict == ("over" if bearing.value > limit else "ok")
        over = over or bearing.value > limit
        for rule in ("shear", "pull", "shear and pull together", "insert pulled out of the foam"):
            assert [c for c in load.checks if c.name.startswith(f"{load.name}: {rule}, without ")]
        whole = {c.name: c for c in load.checks}[f"{load.name}: foam bearing round the insert"]
        assert whole.verdict == "ok"
        (push,) = [c for c in load.checks if c.name.startswith(f"{load.name}: insert pushed into the foam, without")]
        # Where the back bears nothing is pushed: the greatest push is that of the anchors alone.
        assert push.value == pytest.approx(max(0.0, *(-force[2] for force in cases)), rel=1e-6, abs=1e-6)
    assert over
    assert any("foam bearing round the insert, without" in name for name in refusals(result))
    assert result.utilisation > 1
    assert "without" in result.governing


def test_shear_and_pull_of_one_case_go_together(made, lump):
    """Not the greatest shear of one case with the greatest pull of another."""
    result = solved(made, lump, four(shear_n=4000.0, pull_n=4000.0, breaking=False))
    places = [(-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2)]
    for k, load in enumerate(result.anchors):
        (both,) = [c for c in load.checks if c.name.startswith(f"{load.name}: shear and pull together, without")]
        alone = []
        for j in range(4):
            if j != k:
                x, y, out = gone_by_least_energy(places, j, 2000.0, (0.1, 0.0), 0.25)[k]
                alone.append((math.hypot(x, y) + max(out, 0.0)) / 4000.0)
        assert both.value >= max(alone) - 1e-9
        assert both.value <= (load.one_gone_shear_n + load.one_gone_pull_n) / 4000.0 + 1e-9


def test_where_one_way_becomes_impossible_it_says_so_and_prints_no_smaller_number(made, lump):
    """Two anchors above and one below, far before the wall: without the lower one only the edge keeps it.

    About the centroid the upper ones pull 2000 * 0.25 / 0.1 / 2 = 2500 N each; about the edge some 330 N. That is no
    relief of the anchor, it is another way of holding.
    """
    anchors = [anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2), anchor("low", 0.0, 0.1)]
    result = solved(made, lump, anchors, at=(0.0, 0.0, 0.0))
    assert result.anchors[0].alone_n.nominal == pytest.approx(2500.0)
    gone = result.one_gone[2]
    assert gone.stays
    assert "nothing bears on the wall: impossible" in gone.words
    assert gone.share >= 1.0
    assert "0." not in gone.words.split("impossible")[1]
    (case,) = [case for case in result.cases if case.gone == "low" and not case.bears]
    assert "one line" in case.impossible
    assert not case.reactions


def test_the_wall_pushes_only_where_the_piece_touches_it(made, lump):
    """Of a ball it is one point: the piece cannot lean on its lower edge, which is in the air."""
    import trimesh

    ball = trimesh.creation.icosphere(4, 0.5)
    ball.apply_transform(trimesh.transformations.rotation_matrix(0.3, (1, 2, 3)))
    turned = ball.vertices[np.argmax(ball.vertices[:, 1])]
    site = Site(
        anchors=tuple(Anchor(n, Spot(from_left_m=x, from_base_m=z)) for n, x, z in
                      (("a", 0.3, 0.6), ("b", 0.7, 0.6), ("c", 0.5, 0.9))),
        hang=Hang(OUT, UP),
    )  # fmt: skip
    result = hang(*made([lump(20.0, (0, 0, 0))], site, ball))
    for case in result.cases:
        for one in case.reactions:
            if one.name == "wall":
                assert one.at_m[:2] == pytest.approx([turned[0] + 0.5, turned[2] + 0.5], abs=0.08)


def test_a_single_anchor_is_told_to_swing(made, lump):
    result = solved(made, lump, [anchor("only", 0.0, 0.4)])
    assert not result.in_balance
    assert refusals(result)
    assert told(result)[Code.ONLY_ANCHOR].subject == ("only",)
    # 0.1 beside, 0.4 below: atan(0.1 / 0.4) = 14 degrees.
    assert told(result)[Code.CENTRE_BESIDE_ONLY_ANCHOR]["turn_rad"] == pytest.approx(math.atan(0.1 / 0.4))
    over = solved(made, lump, [anchor("only", 0.1, 0.4)])
    assert over.in_balance
    assert over.anchors[0].shear_n.nominal == pytest.approx(2000.0)
    assert over.anchors[0].pull_n.nominal == pytest.approx(500 / 0.9)
    assert Code.CENTRE_ABOVE_ONLY_ANCHOR in told(solved(made, lump, [anchor("only", 0.1, -0.2)]))


def test_anchors_in_an_upright_line(made, lump):
    result = solved(made, lump, [anchor("low", 0.1, -0.2), anchor("high", 0.1, 0.2)])
    assert result.in_balance
    assert Code.ANCHORS_IN_UPRIGHT_LINE in told(result)
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([1000.0, 1000.0])


def test_a_level_line_that_stands_off_the_wall_cannot_hold(made, lump):
    anchors = [Anchor(n, Spot(from_left_m=x, from_base_m=0.7)) for n, x in (("l", 0.2), ("r", 0.8))]
    result = solved(made, lump, anchors, standoff_m=0.05)
    assert not result.in_balance
    assert Code.NOT_IN_BALANCE in told(result)
    assert result.pivot_m is None
    assert "not in balance" in refusals(result)


def test_a_centre_outside_the_span_lifts_the_far_anchor(made, lump):
    result = solved(made, lump, [anchor("l", -0.3, 0.2), anchor("r", 0.0, 0.2)], at=(0.2, 0.0, 0.0))
    # Moments about r: the left one holds 2000 * 0.2 / 0.3 down, the right one 2000 + that.
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([4000 / 3, 10000 / 3])
    outside = told(result)[Code.CENTRE_OUTSIDE_SPAN]
    assert outside["beside_m"] == pytest.approx(0.2)
    assert outside.subject == ("l",)  # pushed upwards


@pytest.mark.parametrize(
    ("edge", "head", "unknown"),
    [
        (0.045, 0.08, ()),
        (0.035, 0.08, ("pulled out",)),
        (0.035, None, ()),
        (0.025, None, ("bearing", "pulled out", "pushed into")),
    ],
)
def test_foam_that_is_not_beside_an_insert_and_its_head_is_not_counted_on(made, lump, edge, head, unknown):
    """An insert of 20 mm: 30 mm beside its middle are needed, and half of its head, or that sticks out of the side."""
    beside = replace(anchor("e", 0.5 - edge, 0.3), insert=Insert(0.02, 0.1, head_m=head))
    result = solved(made, lump, [*four(insert=Insert(0.02, 0.1)), beside], kg=1.0)
    checks = {check.name: check.verdict for check in result.anchors[4].checks if "without" not in check.name}
    held = {name: verdict for name, verdict in checks.items() if "foam" in name}
    assert len(held) == 3
    assert {name for name, verdict in held.items() if verdict == "unknown"} == {
        name for name in held for words in unknown if words in name
    }
    assert "over" not in held.values()


@pytest.mark.parametrize("missing", ["grade_density_kg_m3", "density_kg_m3"])
def test_foam_whose_density_is_not_known_is_not_as_strong_as_its_grade(made, lump, missing):
    site = Site(anchors=four(insert=Insert(0.02, 0.1)), hang=Hang(OUT, UP))
    piece, surface = made([lump(1.0, (0.0, 0.0, 0.0))], site)
    unknown = Range.exact(math.nan) if missing == "density_kg_m3" else math.nan
    result = hang(replace(piece, foam=replace(piece.foam, **{missing: unknown})), surface)
    held = [check.verdict for load in result.anchors for check in load.checks if "foam" in check.name]
    assert held
    assert set(held) == {"unknown"}


def test_a_breaking_load_without_a_factor_is_unknown_and_so_is_a_missing_rating(made, lump):
    result = solved(made, lump, four(shear_n=4000.0, pull_n=4000.0))
    assert [c.verdict for c in result.anchors[0].checks if "rating" in c.name] == ["unknown"]
    half = solved(made, lump, four(shear_n=4000.0), factor_value=5.0, factor_reference="a test")
    verdicts = {c.name: c.verdict for c in half.anchors[2].checks}
    assert verdicts["c: pull"] == verdicts["c: shear and pull together"] == "unknown"
    assert not any("c: pull" in name for name in refusals(half))


def test_a_job_without_anchors_is_refused(made, lump):
    with pytest.raises(UsageError, match="names no anchors"):
        hang(*made([lump(1.0, (0, 0, 0))]))


def test_turning_piece_and_wall_together_changes_nothing(made, lump):
    import trimesh

    plain = solved(made, lump, four())
    turn = trimesh.transformations.rotation_matrix(0.8, (1, -2, 0.5))[:3, :3]
    box = trimesh.creation.box((1.0, 0.5, 1.0))
    box.apply_transform(np.block([[turn, np.zeros((3, 1))], [np.zeros((1, 3)), np.ones((1, 1))]]))
    anchors = tuple(replace(a, spot=Spot(at_m=tuple(turn @ a.spot.at_m))) for a in four())
    site = Site(anchors=anchors, hang=Hang(tuple(turn @ OUT), tuple(turn @ UP)))
    turned = hang(*made([lump(2000 / G, turn @ [0.1, 0, 0])], site, box))
    for one, two in zip(plain.anchors, turned.anchors, strict=True):
        assert two.shear_n.nominal == pytest.approx(one.shear_n.nominal, rel=1e-9)
        assert two.pull_n.nominal == pytest.approx(one.pull_n.nominal, rel=1e-9)
    assert [v.area_m2 for v in turned.views] == pytest.approx([v.area_m2 for v in plain.views], rel=1e-5)


def test_what_is_odd_about_a_pattern_is_told(made, lump):
    at_once = told(solved(made, lump, [anchor("a", 0.1, 0.2), anchor("b", 0.1, 0.2)]))
    assert Code.ANCHORS_IN_ONE_PLACE in at_once
    low = [anchor(name, x, z) for name, x, z in (("a", -0.3, -0.4), ("b", 0.3, -0.4), ("c", 0.0, -0.3))]
    assert told(solved(made, lump, low))[Code.CENTRE_ABOVE_ANCHORS]["over_m"] == pytest.approx(0.3)
    foot = told(solved(made, lump, [*four(), anchor("foot", 0.0, -0.5)]))
    assert foot[Code.ANCHORS_BELOW_BEARING].subject == ("foot",)


def test_a_factor_for_lifting_and_openings_that_wind_blows_into_are_told(made, lump):
    site = Site(anchors=four(), hang=Hang(out=OUT, up=UP, factor="rigging"))
    piece, surface = made([lump(2000 / G, (0.1, 0.0, 0.0))], site)
    result = told(hang(replace(piece, open_ends=1), surface))
    assert result[Code.FACTOR_FOR_LIFTING].subject == ("rigging",)
    assert Code.OPENINGS_IN_WIND in result
    assert Code.OPENINGS_IN_WIND not in told(hang(piece, surface))
