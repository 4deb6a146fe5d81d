"""Weighings: the conjugate normal update of any textbook, worked out by hand (two readings of one quantity weigh by
their variances), the posterior by brute force over a grid of wall and density with scipy's densities, and load cells
against statics of three supports; and the corners of what is possible then against linear programming."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import linprog

from pourwright.outcome import FINISHED, Part, weigh
from pourwright.outcome.likely.causes import drawn
from pourwright.outcome.likely.possible import vertices
from pourwright.outcome.likely.readings import Cell, Weighing
from pourwright.outcome.likely.weighed import weighed_piece
from pourwright.ranges import Range

ZERO3 = np.zeros((3, 3))


def item(name, kg, half, at=(0.0, 0.0, 0.0), stage=0):
    value = Range(kg - half, kg, kg + half)
    return Part(name, "item", stage, value, value, value, "", np.array(at, float), ZERO3)


def skin(kg, wall, density, at=(0.0, 0.0, 0.0)):
    own = Range(kg * (1 - wall) * (1 - density), kg, kg * (1 + wall) * (1 + density))
    ends = [Range.about(kg * (1 + way * wall), density) for way in (-1, 1)]
    return Part("skin", "skin", 0, own, *ends, "", np.array(at, float), ZERO3)


def foam(kg, wall, density, at=(0.0, 0.0, 0.1)):
    own = Range(kg * (1 - wall) * (1 - density), kg, kg * (1 + wall) * (1 + density))
    ends = [Range.about(kg * (1 - way * wall), density) for way in (-1, 1)]  # a thick wall leaves less room
    return Part("foam", "foam", 1, own, *ends, "", np.array(at, float), ZERO3)


def scale(kg, stage=0, error=0.2, tare=0.0):
    return Weighing(stage, (Cell(kg),), error, tare)


def test_one_quantity_is_the_conjugate_update_of_the_textbook(made):
    """Prior N(10, 0.6^2 / 3), reading 10.4 with 0.3^2 / 3: the mean is weighed by the precisions, which add."""
    piece, _ = made([item("lamp", 10.0, 0.6)])
    known, learnt = weighed_piece(piece, (scale(10.4, error=0.3),))
    precision = 3 / 0.6**2 + 3 / 0.3**2
    mean = (10.0 * 3 / 0.6**2 + 10.4 * 3 / 0.3**2) / precision
    kg = known.parts[0].kg
    assert kg.nominal == pytest.approx(mean, rel=1e-6)
    assert (kg.nominal - kg.low) / 2 == pytest.approx(precision**-0.5, rel=1e-6)
    assert kg.high == pytest.approx(10.6)  # two deviations would be 10.63, and the job says that it is no more
    assert learnt is not None
    assert learnt.weights[0].fits
    assert [one.name for one in learnt.causes] == ["lamp"]


def test_draws_of_a_weighed_lamp_are_normal_cut_at_the_jobs_ends(made):
    """scipy's truncated normal, about the textbook's mean: none is heaped on an end, as cutting each draw off would."""
    piece, _ = made([item("lamp", 10.0, 0.6)])
    known, _ = weighed_piece(piece, (scale(10.4, error=0.3),))
    precision = 3 / 0.6**2 + 3 / 0.3**2
    mean, deviation = (10.0 * 3 / 0.6**2 + 10.4 * 3 / 0.3**2) / precision, precision**-0.5
    cut = stats.truncnorm((9.4 - mean) / deviation, (10.6 - mean) / deviation, mean, deviation)
    assert cut.std() < 0.96 * deviation  # the end cuts off enough to be seen
    masses = drawn(known.parts)[0][:, 0]
    assert stats.kstest(masses, cut.cdf).statistic < 0.005


def test_several_weights_share_what_the_scale_finds_by_their_variances(made):
    piece, _ = made([item("a", 10.0, 0.6), item("b", 5.0, 0.3), item("c", 2.0, 0.0)])
    known, _ = weighed_piece(piece, (scale(17.5 + 3.0, error=1e-4, tare=3.0),))
    a, b, c = (part.kg.nominal for part in known.parts)
    assert [a - 10, b - 5] == pytest.approx([0.5 * 0.8, 0.5 * 0.2], rel=1e-4)  # 0.36 to 0.09
    assert c == 2.0
    last = weigh(known.parts).stages[-1].kg
    assert last.nominal == pytest.approx(17.5, abs=1e-3)
    assert last.high - last.low < 0.002  # they move against each other, so the sum is as good as the scale


def test_wall_and_density_as_a_grid_of_both_has_them(made):
    """Posterior of wall and density under a weight that is their product: prior normal, by sums over a grid."""
    piece, _ = made([skin(40.0, 0.15, 0.08), foam(5.0, 0.03, 0.1)])
    known, learnt = weighed_piece(piece, (scale(44.0, error=0.3),))
    grid = np.linspace(-4, 4, 1601)
    w, s = np.meshgrid(grid / math.sqrt(3), grid / math.sqrt(3), indexing="ij")
    chance = stats.norm.pdf(w * math.sqrt(3)) * stats.norm.pdf(s * math.sqrt(3))
    chance *= stats.norm.pdf(44.0, 40 * (1 + 0.15 * w) * (1 + 0.08 * s), 0.3 / math.sqrt(3))
    chance /= chance.sum()
    wall, density = (chance * w).sum(), (chance * s).sum()
    assert learnt is not None
    found = {one.name: one for one in learnt.causes}
    most = np.unravel_index(chance.argmax(), chance.shape)
    assert found["thickness of the wall"].middle == pytest.approx(w[most], abs=0.006)  # the most likely point
    assert found["density of the skin"].middle == pytest.approx(s[most], abs=0.006)
    assert found["thickness of the wall"].middle == pytest.approx(wall, abs=0.02)  # and near the mean
    assert found["density of the skin"].middle == pytest.approx(density, abs=0.02)
    deviation = math.sqrt((chance * (w - wall) ** 2).sum())
    wall_found = found["thickness of the wall"]
    assert wall_found.middle - wall_found.low == pytest.approx(2 * deviation, rel=0.02)
    assert wall_found.high == 1.0  # two deviations would be beyond what the job gives
    assert "density of the foam" not in found  # nothing was told of it
    assert known.parts[1].kg.nominal < 5.0  # a thicker wall leaves less room


def test_what_is_weighed_twice_gives_the_foam_by_difference(made):
    """Empty and full on one good scale: the foam is the difference, whatever the wall and both densities are."""
    piece, _ = made([skin(40.0, 0.15, 0.08), foam(5.0, 0.03, 0.2)])
    known, learnt = weighed_piece(piece, (scale(43.0, 0, 0.05), scale(48.6, 1, 0.05)))
    assert known.parts[0].kg.nominal == pytest.approx(43.0, abs=0.03)
    assert known.parts[1].kg.nominal == pytest.approx(5.6, abs=0.03)
    assert drawn(known.parts)[0][:, 1].std() == pytest.approx(math.hypot(0.05, 0.05) / math.sqrt(3), rel=0.1)
    worst = 2 * (0.05 + 0.05) / math.sqrt(3)  # both scales at their ends, against each other
    assert known.parts[1].kg.high - known.parts[1].kg.nominal == pytest.approx(worst, rel=0.1)
    assert learnt is not None
    assert learnt.likely


def test_what_lies_beyond_every_range_is_told(made):
    piece, _ = made([skin(40.0, 0.15, 0.08)])
    _, learnt = weighed_piece(piece, (scale(60.0, error=0.3),))
    assert learnt is not None
    assert not learnt.weights[0].fits
    assert not learnt.likely


def supports(kg, centre, places):
    """Loads of three supports by the equations of balance: sum, and the moments about both axes."""
    rows = np.vstack([np.ones(3), np.array(places).T])
    return np.linalg.solve(rows, kg * np.array([1.0, *centre]))


def test_three_cells_give_weight_and_centre_as_statics_has_them(made):
    piece, _ = made([skin(40.0, 0.3, 0.1, at=(0.0, 0.0, 0.0))])
    middle = piece.frame.to_standing(np.zeros(3))[:2]
    places = [(0.1, 0.05), (0.9, 0.05), (0.5, 0.45)]
    centre = middle + np.array([0.012, -0.004])
    cells = tuple(Cell(float(kg), at) for kg, at in zip(supports(42.0, centre, places), places, strict=True))
    known, learnt = weighed_piece(piece, (Weighing(0, cells, 0.01),))
    assert learnt is not None
    assert learnt.weights[0].centre_m == pytest.approx(tuple(centre))
    assert known.parts[0].kg.nominal == pytest.approx(42.0, abs=0.01)
    there = known.frame.to_standing(weigh(known.parts).stages[0].centre_m)[:2]
    assert there == pytest.approx(centre, abs=1e-3)
    assert learnt.likely


def test_two_cells_show_the_centre_along_their_line_only(made):
    piece, _ = made([skin(40.0, 0.3, 0.1)])
    x, y = (float(v) for v in piece.frame.to_standing(np.zeros(3))[:2])
    cells = (Cell(22.0, (x - 0.4, y)), Cell(18.0, (x + 0.4, y)))  # by moments 4 / 40 of 400 mm to the left
    known, learnt = weighed_piece(piece, (Weighing(0, cells, 0.001),))
    assert learnt is not None
    assert learnt.weights[0].centre_m is None
    there = known.frame.to_standing(known.parts[0].centre_m)
    assert there[:2] == pytest.approx([x - 0.04, y], abs=1e-4)


def test_draws_of_a_weighed_piece_spread_as_its_scale(made):
    piece, _ = made([skin(40.0, 0.15, 0.08), item("lamp", 2.0, 0.2)])
    known, _ = weighed_piece(piece, (scale(43.0, FINISHED, 0.3),))
    kg = drawn(known.parts)[0].sum(axis=1)
    assert kg.std() == pytest.approx(0.3 / math.sqrt(3), rel=0.02)
    assert kg.mean() == pytest.approx(43.0, abs=0.02)


def test_a_scale_that_tells_nothing_changes_nothing(made):
    piece, _ = made([skin(40.0, 0.15, 0.08), foam(5.0, 0.03, 0.1), item("lamp", 2.0, 0.2)])
    same, learnt = weighed_piece(piece, ())
    assert same is piece
    assert learnt is None
    before, after = (weigh(one.parts).stages[-1] for one in (piece, weighed_piece(piece, (scale(42.0, error=1e4),))[0]))
    assert after.kg.nominal == pytest.approx(before.kg.nominal, rel=1e-4)
    assert replace(after.kg).high == pytest.approx(before.kg.high, rel=0.05)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 3), st.integers(2, 6))
def test_corners_of_what_is_possible_are_those_of_a_linear_programme(seed, told, count):
    """Least and most of any sum over the box cut by the weights, by scipy's simplex."""
    random = np.random.default_rng(seed)
    at, slopes = random.uniform(-0.9, 0.9, count), random.normal(size=(told, count))
    half = random.uniform(0.001, 1.0, told)
    points = vertices(np.array([[-1.0] * count, [1.0] * count]), at, slopes, half)
    for way in random.normal(size=(6, count)):
        due = linprog(
            way,
            np.vstack([slopes, -slopes]),
            np.concatenate([half + slopes @ at, half - slopes @ at]),
            bounds=[(-1.0, 1.0)] * count,
        )
        assert (points @ way).min() == pytest.approx(due.fun, abs=1e-6)
