"""Anchors: arrangements worked by hand, an independent least-squares solve, and every odd arrangement explained."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pourwright.errors import UsageError
from pourwright.outcome import Anchor, Hang, Insert, Site, Spot, hang, refusals
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


def test_pattern_of_four_with_a_load_beside_and_before_it(made, lump):
    """2 kN, 100 mm beside and 250 mm before a 300 x 400 pattern: V = 500 down with 200 (0.2, 0.15) / 0.25 turning.

    Pull about the centroid 500 * 0.2 / 0.16 = 625; about the edge 0.3 below the lower row
    500 * 0.7 / (2 * 0.7^2 + 2 * 0.3^2) = 301.7 and 129.3.
    """
    result = solved(made, lump, four())
    shear = [load.shear_n.nominal for load in result.anchors]
    assert shear == pytest.approx([412.31, 640.31, 640.31, 412.31], rel=1e-4)
    assert [load.alone_n.nominal for load in result.anchors] == pytest.approx([-625, -625, 625, 625])
    edge = 500 / (2 * 0.49 + 2 * 0.09)
    assert [load.backed_n.nominal for load in result.anchors] == pytest.approx(
        [0.3 * edge, 0.3 * edge, 0.7 * edge, 0.7 * edge]
    )
    # The larger of the two is reported, and the edge pushes with what the anchors pull.
    assert [load.pull_n.nominal for load in result.anchors] == pytest.approx([0.3 * edge, 0.3 * edge, 625, 625])
    assert result.bearing_n.nominal == pytest.approx(2 * edge)
    assert result.standoff_m == pytest.approx(0.25)


def test_equilibrium_of_what_is_reported(made, lump):
    result = solved(made, lump, four())
    shear = np.array([load.shear_way * load.shear_n.nominal for load in result.anchors])
    pull = np.array([load.alone_n.nominal for load in result.anchors])
    places = np.array([load.on_wall_m for load in result.anchors])
    assert shear.sum(axis=0) == pytest.approx([0.0, -2000.0])
    centre = np.array([0.6, 0.5])  # from the left and the base
    moment = (places[:, 0] * shear[:, 1] - places[:, 1] * shear[:, 0]).sum()
    assert moment == pytest.approx(-2000.0 * centre[0])
    assert pull.sum() == pytest.approx(0.0, abs=1e-9)
    assert (pull * places[:, 1]).sum() == pytest.approx(500.0)


def test_redundant_anchors_of_unequal_stiffness_agree_with_a_least_energy_programme(made, lump):
    """min sum f^2 / k subject to the six equilibrium equations, by the KKT matrix; any number of anchors."""
    rng = np.random.default_rng(11)
    k = rng.uniform(0.5, 3.0, 7)
    x, z = rng.uniform(-0.4, 0.4, 7), rng.uniform(-0.3, 0.4, 7)
    anchors = [anchor(f"n{i}", x[i], z[i], stiffness=k[i]) for i in range(7)]
    result = solved(made, lump, anchors, kg=50.0, at=(0.05, -0.03, 0.1))
    weight, off = 50 * G, 0.28
    rows = []
    for i in range(7):
        for direction in np.eye(3):  # right, up, out
            rows.append(np.concatenate([direction, np.cross([x[i], z[i], 0.0], direction)]))
    equations = np.array(rows).T
    load = np.concatenate([[0, -weight, 0], np.cross([0.05, 0.1, off], [0, -weight, 0])])
    energy = np.diag(np.repeat(1 / k, 3))
    kkt = np.block([[energy, equations.T], [equations, np.zeros((6, 6))]])
    forces = np.linalg.lstsq(kkt, np.concatenate([np.zeros(21), load]), rcond=None)[0][:21].reshape(7, 3)
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx(np.hypot(forces[:, 0], forces[:, 1]), rel=1e-8)
    assert [r.alone_n.nominal for r in result.anchors] == pytest.approx(forces[:, 2], rel=1e-8)


def test_two_anchors_side_by_side_are_determinate(made, lump):
    """Level row 0.6 apart, weight 0.1 right of the middle: shares 1/3 and 2/3; pull only by the edge 0.7 below."""
    result = solved(made, lump, [anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2)])
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([2000 / 3, 4000 / 3])
    assert all(r.alone_n is None for r in result.anchors)
    assert [r.pull_n.nominal for r in result.anchors] == pytest.approx([500 / (2 * 0.7)] * 2)
    assert any("one level line" in line for line in result.warnings)


def test_low_and_high_run_over_the_weights(made, lump):
    """Two weights either side: the left anchor's worst is the left weight high with the right one low."""
    parts = [lump(Range(8.0, 10.0, 12.0), (-0.2, 0, 0), name="l"), lump(Range(8.0, 10.0, 12.0), (0.4, 0, 0), name="r")]
    site = Site(anchors=(anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2)), hang=Hang(OUT, UP))
    left, right = hang(*made(parts, site)).anchors

    def share(l_kg, r_kg):  # of the left anchor, moments about the right one
        return (l_kg * 0.5 - r_kg * 0.1) / 0.6 * G

    assert left.shear_n.nominal == pytest.approx(abs(share(10, 10)))
    assert left.shear_n.high == pytest.approx(share(12, 8))
    assert left.shear_n.low == pytest.approx(share(8, 12))
    assert right.shear_n.high == pytest.approx(24 * G - share(12, 12))


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
    assert any("Without l the piece swings about r" in line for line in result.warnings)


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
    result = solved(made, lump, inserts, kg=240 / G, factor="rigging")
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


def test_bracket_of_four_bolts_in_a_textbook(made, lump):
    """Eccentric bolt group of Shigley's Mechanical Engineering Design, example 8-7 (from memory, numbers and answer).

    16 kN at 425 mm from the middle of four bolts 150 mm by 120 mm: 21.0 kN on the near ones, 14.8 kN on the far ones.
    """
    bolts = [anchor("c", -0.075, 0.06), anchor("a", 0.075, 0.06), anchor("b", 0.075, -0.06), anchor("d", -0.075, -0.06)]
    result = solved(made, lump, bolts, kg=16000 / G, at=(0.425, 0.0, 0.0))
    assert [r.shear_n.nominal / 1e3 for r in result.anchors] == pytest.approx([14.8, 21.0, 21.0, 14.8], abs=0.05)


def test_a_single_anchor_is_told_to_swing(made, lump):
    result = solved(made, lump, [anchor("only", 0.0, 0.4)])
    assert not result.in_balance
    assert refusals(result)
    text = " ".join(result.warnings)
    assert "only anchor" in text
    # 0.1 beside, 0.4 below: atan(0.1 / 0.4) = 14 degrees.
    assert "turns by 14.0 degrees" in text
    over = solved(made, lump, [anchor("only", 0.1, 0.4)])
    assert over.in_balance
    assert over.anchors[0].shear_n.nominal == pytest.approx(2000.0)
    assert over.anchors[0].pull_n.nominal == pytest.approx(500 / 0.9)
    assert "turns over" in " ".join(solved(made, lump, [anchor("only", 0.1, -0.2)]).warnings)


def test_anchors_in_an_upright_line(made, lump):
    result = solved(made, lump, [anchor("low", 0.1, -0.2), anchor("high", 0.1, 0.2)])
    assert result.in_balance
    assert any("one upright line" in line for line in result.warnings)
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([1000.0, 1000.0])


def test_a_level_line_that_stands_off_the_wall_cannot_hold(made, lump):
    anchors = [Anchor(n, Spot(from_left_m=x, from_base_m=0.7)) for n, x in (("l", 0.2), ("r", 0.8))]
    result = solved(made, lump, anchors, standoff_m=0.05)
    assert not result.in_balance
    assert any("NOT IN BALANCE" in line for line in result.warnings)
    assert result.pivot_m is None
    assert "not in balance" in refusals(result)


def test_standing_off_the_wall_lengthens_the_lever(made, lump):
    anchors = [
        Anchor(n, Spot(from_left_m=x, from_base_m=z)) for n, x, z in
        (("a", 0.35, 0.3), ("b", 0.65, 0.3), ("c", 0.65, 0.7), ("d", 0.35, 0.7))
    ]  # fmt: skip
    result = solved(made, lump, anchors, standoff_m=0.05)
    assert [r.pull_n.nominal for r in result.anchors] == pytest.approx([0, 0, 750, 750])  # 2000 * 0.30 * 0.2 / 0.16


def test_a_centre_outside_the_span_lifts_the_far_anchor(made, lump):
    result = solved(made, lump, [anchor("l", -0.3, 0.2), anchor("r", 0.0, 0.2)], at=(0.2, 0.0, 0.0))
    # Moments about r: the left one holds 2000 * 0.2 / 0.3 down, the right one 2000 + that.
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([4000 / 3, 10000 / 3])
    text = " ".join(result.warnings)
    assert "200 mm outside the anchors' span" in text
    assert "l is pushed upwards" in text


def test_a_tilted_wall(made, lump):
    """Overhanging 30 degrees: W sin 30 pulls straight, W cos 30 shears."""
    tilt = math.radians(30.0)
    result = solved(made, lump, four(), out=(0.0, -math.cos(tilt), -math.sin(tilt)))
    assert result.tilt_rad == pytest.approx(-tilt)
    pull = sum(r.alone_n.nominal for r in result.anchors)
    assert pull == pytest.approx(2000 * math.sin(tilt))
    shear = sum((r.shear_way * r.shear_n.nominal for r in result.anchors), np.zeros(2))
    assert shear == pytest.approx([0, -2000 * math.cos(tilt)], abs=1e-9)
    assert any("overhangs by 30.0 degrees: 50%" in line for line in result.warnings)
    back = solved(made, lump, four(), out=(0.0, -math.cos(tilt), math.sin(tilt)))
    assert sum(r.alone_n.nominal for r in back.anchors) == pytest.approx(-2000 * math.sin(tilt))
    assert any("leans back" in line for line in back.warnings)


def test_capacity_by_the_rating_and_the_factor(made, lump):
    rated = four(shear_n=4000.0, pull_n=4000.0)
    result = solved(made, lump, rated, factor="rigging")
    checks = {check.name: check for check in result.anchors[2].checks}
    assert checks["c: shear"].limit == pytest.approx(800.0)
    assert checks["c: shear"].verdict == "ok"
    both = checks["c: shear and pull together"]
    assert both.value == pytest.approx((640.31 + 625.0) / 800.0, rel=1e-4)
    assert both.verdict == "over"
    assert "from memory" in both.source
    assert any("together" in name for name in refusals(result))
    working = solved(made, lump, [replace(a, breaking=False) for a in rated], factor="rigging")
    assert {c.name: c for c in working.anchors[2].checks}["c: shear"].limit == pytest.approx(4000.0)


def test_a_breaking_load_without_a_factor_is_unknown_and_so_is_a_missing_rating(made, lump):
    result = solved(made, lump, four(shear_n=4000.0, pull_n=4000.0))
    assert [c.verdict for c in result.anchors[0].checks if "rating" in c.name] == ["unknown"]
    half = solved(made, lump, four(shear_n=4000.0), factor="rigging")
    verdicts = {c.name: c.verdict for c in half.anchors[2].checks}
    assert verdicts["c: pull"] == verdicts["c: shear and pull together"] == "unknown"
    assert not any("c: pull" in name for name in refusals(half))


def test_an_insert_in_the_foam(made, lump):
    """Bearing 4 V / (d L); pull by tau pi D L or sigma pi (D^2 - d^2) / 4; both at a quarter of the low strength."""
    result = solved(made, lump, four(insert=Insert(0.03, 0.15, 0.08)))
    checks = {check.name: check for check in result.anchors[2].checks}
    thin = 45 / 48
    bearing = checks["c: foam bearing round the insert"]
    assert bearing.value == pytest.approx(4 * result.anchors[2].shear_n.high / (0.03 * 0.15))
    assert bearing.limit == pytest.approx(0.25 * 276e3 * thin**1.5)
    out = checks["c: insert pulled out of the foam"]
    assert out.limit == pytest.approx(0.25 * 276e3 * thin**1.5 * math.pi * (0.08**2 - 0.03**2) / 4)
    assert checks["c: skin round the insert"].verdict == "unknown"
    plain = {check.name: check for check in solved(made, lump, four()).anchors[0].checks}
    assert {check.verdict for check in plain.values()} == {"unknown"}
    assert "does not say what holds" in plain["a: hold in the piece"].source
    assert plain["a: rating"].source == "no rating given"


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
