"""What is full, on hand-made cavities whose volumes are counted by hand."""

import numpy as np
import pytest

from pourwright.errors import UsageError
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.record import Entry, Planned, filled_of

SHOP = Conditions(295.372, 295.372, 295.372)
GRADE = load_grade("rigid-3")
OPEN = at_conditions(GRADE, SHOP).open_density_kg_m3.nominal


def pour(number, name, lift, bottom, top, seed, others=(), *, kg=1.0, kind="pour", reached="top", closes=False):
    return Entry(
        number=number, kind=kind, issue=1, pour=name, part_a_kg=kg / 2, part_b_kg=kg / 2,
        reached_m=top if reached == "top" else reached,
        planned=Planned(lift=lift, bottom_m=bottom, top_m=top, closes=closes, part_a_kg=kg / 2, part_b_kg=kg / 2,
                        seed_m=seed, others_m=tuple(others)),
    )  # fmt: skip


def fill(cells, mask, *entries, cell=0.01):
    cavity, graph = cells(mask, cell)
    return graph, filled_of(cavity, graph, GRADE, SHOP, entries)


def test_a_column_is_full_to_the_height_read(cells, shapes):
    kg = OPEN * 0.1 * 0.1 * 0.18
    graph, found = fill(cells, shapes["column"], pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), kg=kg, reached=0.18))
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(0.1 * 0.1 * 0.18)
    (mass,) = found.masses
    assert mass.volume_m3 == pytest.approx(0.1 * 0.1 * 0.18)
    assert mass.reading.log_ratio == pytest.approx(0.0, abs=1e-9)


def test_a_height_between_two_cuts_counts_as_read(cells, shapes):
    kg = OPEN * 0.1 * 0.1 * 0.183
    _, found = fill(cells, shapes["column"], pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), kg=kg, reached=0.183))
    assert found.masses[0].reading.log_ratio == pytest.approx(0.0, abs=1e-9)


LEFT, RIGHT = (0.04, 0.05, 0.0), (0.25, 0.05, 0.0)


def test_one_leg_leaves_the_other_empty(cells, shapes):
    graph, found = fill(cells, shapes["legs"], pour(1, "1a", 1, 0.0, 0.2, LEFT, [RIGHT]))
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(0.08 * 0.1 * 0.2)


def test_legs_at_unequal_heights(cells, shapes):
    first = pour(1, "1a", 1, 0.0, 0.2, LEFT, [RIGHT], reached=0.16)
    second = pour(2, "1b", 1, 0.0, 0.2, RIGHT, [LEFT], reached=0.25)
    graph, found = fill(cells, shapes["legs"], first, second)
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(0.08 * 0.1 * 0.16 + 0.1 * 0.1 * 0.25)
    assert [mass.pours for mass in found.masses] == [("1a",), ("1b",)]


def test_legs_that_rise_into_each_other_are_one_mass(cells, shapes):
    first = pour(1, "1a", 1, 0.0, 0.4, LEFT, [RIGHT])
    second = pour(2, "1b", 1, 0.0, 0.4, RIGHT, [LEFT])
    graph, found = fill(cells, shapes["legs"], first, second)
    (mass,) = found.masses
    assert mass.pours == ("1a", "1b")
    assert mass.kg == pytest.approx(2.0)
    assert mass.volume_m3 == pytest.approx(0.18 * 0.1 * 0.3 + 0.3 * 0.1 * 0.1)
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(mass.volume_m3)


def test_a_short_pour_is_filled_from_where_it_stopped(cells, shapes):
    first = pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), reached=0.15)
    second = pour(2, "2a", 2, 0.2, 0.35, (0.05, 0.05, 0.2))
    graph, found = fill(cells, shapes["column"], first, second)
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(0.1 * 0.1 * 0.35)
    assert found.masses[1].volume_m3 == pytest.approx(0.1 * 0.1 * 0.2)


def test_an_overfill_leaves_less_for_the_next(cells, shapes):
    first = pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), reached=0.3)
    second = pour(2, "2a", 2, 0.2, 0.35, (0.05, 0.05, 0.2))
    _, found = fill(cells, shapes["column"], first, second)
    assert found.masses[1].volume_m3 == pytest.approx(0.1 * 0.1 * 0.05)


def test_a_topped_up_void_counts_as_foam_of_its_pour(cells, shapes):
    first = pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), kg=0.9 * OPEN * 0.002)
    extra = pour(2, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), kg=0.1 * OPEN * 0.002, kind="top-up", reached=None)
    graph, found = fill(cells, shapes["column"], first, extra)
    (mass,) = found.masses
    assert mass.reading.log_ratio == pytest.approx(0.0, abs=1e-9)
    assert graph.node_volume_m3[found.full].sum() == pytest.approx(0.002)


def test_a_top_up_of_nothing_is_refused(cells, shapes):
    with pytest.raises(UsageError, match="never recorded"):
        fill(cells, shapes["column"], pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0), kind="top-up"))


def test_a_closed_pour_tells_nothing_of_the_yield(cells, shapes):
    _, found = fill(cells, shapes["column"], pour(1, "1a", 1, 0.0, 0.4, (0.05, 0.05, 0.0), closes=True, reached=None))
    assert found.readings == ()
    assert found.full.all()


def test_cold_liquids_are_expected_to_be_denser(cells, shapes):
    warm = pour(1, "1a", 1, 0.0, 0.2, (0.05, 0.05, 0.0))
    cold = warm.model_copy(update={"parts_k": 286.0})
    ratios = [fill(cells, shapes["column"], entry)[1].masses[0].reading.log_ratio for entry in (warm, cold)]
    assert ratios[1] < ratios[0]


@pytest.mark.parametrize("name", ["legs", "horn", "hourglass", "h", "arch", "u"])
def test_no_node_is_in_two_masses(cells, shapes, name):
    low = np.argwhere(shapes[name][:, :, 0])[0] * 0.01 + 0.005
    seed = (float(low[0]), float(low[1]), 0.0)
    _, found = fill(cells, shapes[name], *(pour(k, f"{k}a", k, 0.1 * (k - 1), 0.1 * k, seed) for k in (1, 2, 3)))
    nodes = np.concatenate([mass.nodes for mass in found.masses])
    assert len(nodes) == len(set(nodes.tolist())) == found.full.sum()
