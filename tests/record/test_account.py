"""Nothing of the cavity leaves the account: what is poured, to be poured and empty add up to it, in whatever order."""

import itertools
import random

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pourwright.cli.sheet_pours import sheet_holes, sheet_pours
from pourwright.divide.shapes import shapes_of
from pourwright.document.plan_json import plan_document
from pourwright.findings import Code, finding
from pourwright.foam import Conditions, load_grade
from pourwright.intake import job_from_shell
from pourwright.plan import make_plan
from pourwright.record import Entry, Planned, Record, doubts_of, filled_of, ground_of, replan
from pourwright.record.replan import pending_of

SHOP = Conditions(295.372, 295.372, 295.372)
GRADE = load_grade("rigid-3")
CUTS = (0, 15, 35, 45, 60)
SHAPES = ("column", "legs", "horn", "hourglass", "h", "arch", "u")


def planned_of(graph):
    """Pours of bands cut at `CUTS`, as a sheet would keep them; every cell is in one of them."""
    out = {}
    cuts = [cut for cut in CUTS if cut < graph.levels] + [graph.levels]
    for lift, (low, high) in enumerate(itertools.pairwise(cuts), start=1):
        for k, shape in enumerate(shapes_of(graph, low, high, 0.0, np.zeros(len(graph.node_level), bool))):
            out[f"{lift}{chr(97 + k)}"] = Planned(
                lift=lift, bottom_m=float(graph.level_m[shape.bottom_level]),
                top_m=float(graph.level_m[shape.top_level]), closes=False, part_a_kg=1.0, part_b_kg=1.0, seed_m=None,
                volume_m3=shape.volume_m3, nodes=tuple(shape.nodes.tolist()), shares=tuple(shape.shares.tolist()),
            )  # fmt: skip
    return out


def entry(number, name, planned, top_m):
    return Entry(
        number=number, kind="pour", issue=1, pour=name, part_a_kg=1.0, part_b_kg=1.0, reached_m=top_m, planned=planned
    )


def account(graph, filled):
    """Share (n,) of each node that somebody has."""
    share = np.zeros(len(graph.node_level))
    for space in [*filled.spaces.values(), *filled.pending.values()]:
        share[space.nodes] += space.shares
    return share


@pytest.mark.parametrize("name", SHAPES)
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_in_any_order_no_cell_is_lost_or_counted_twice(cells, shapes, name, data):
    cavity, graph = cells(shapes[name], 0.01)
    planned = planned_of(graph)
    assert sum(p.volume_m3 for p in planned.values()) == pytest.approx(cavity.volume_m3)
    order = data.draw(st.permutations(sorted(planned)))
    heights = {p: planned[p].top_m + 0.01 * data.draw(st.integers(-4, 3)) for p in order}
    heights = {p: max(h, planned[p].bottom_m + 0.01) for p, h in heights.items()}
    for count in range(1, len(order) + 1):
        done = order[:count]
        entries = [entry(k, p, planned[p], heights[p]) for k, p in enumerate(done, start=1)]
        pending = pending_of(entries, {p: planned[p] for p in planned if p not in done})
        filled = filled_of(cavity, graph, GRADE, SHOP, entries, pending)
        share = account(graph, filled)
        assert set(filled.spaces) == set(done)
        assert set(filled.pending) == set(pending)
        assert share.max() <= 1.0 + 1e-9
        assert share[filled.taken] == pytest.approx(1.0)
        assert share[~filled.taken] == pytest.approx(0.0)
        again = filled_of(cavity, graph, GRADE, SHOP, entries[::-1], pending)
        assert account(graph, again) == pytest.approx(share)
        for p in done:
            assert again.spaces[p].volume_m3(graph) == pytest.approx(filled.spaces[p].volume_m3(graph))


@pytest.mark.parametrize("name", SHAPES)
def test_as_planned_every_pour_has_its_own_space_in_any_order(cells, shapes, name):
    cavity, graph = cells(shapes[name], 0.01)
    planned = planned_of(graph)
    order = sorted(planned)
    random.Random(1).shuffle(order)
    for count in range(1, len(order) + 1):
        entries = [entry(k, p, planned[p], planned[p].top_m) for k, p in enumerate(order[:count], start=1)]
        pending = pending_of(entries, {p: planned[p] for p in order[count:]})
        filled = filled_of(cavity, graph, GRADE, SHOP, entries, pending)
        for p, space in {**filled.spaces, **filled.pending}.items():
            assert space.volume_m3(graph) == pytest.approx(planned[p].volume_m3), p


def test_a_higher_pour_recorded_first_leaves_the_lower_ones_to_be_poured(cells, shapes):
    """2a used to take all that lay below it: 13.0 L with 0.418 kg."""
    cavity, graph = cells(shapes["column"], 0.01)
    planned = planned_of(graph)
    first = entry(1, "2a", planned["2a"], planned["2a"].top_m)
    filled = filled_of(cavity, graph, GRADE, SHOP, [first], {"1a": planned["1a"]})
    assert filled.spaces["2a"].volume_m3(graph) == pytest.approx(0.1 * 0.1 * 0.20)
    assert filled.pending["1a"].volume_m3(graph) == pytest.approx(0.1 * 0.1 * 0.15)


def test_a_struck_pour_is_not_given_what_the_one_above_it_filled(cells, shapes):
    """1a was 3 cm short and 2a filled the gap: with 1a struck, the gap is still 2a's."""
    cavity, graph = cells(shapes["column"], 0.01)
    planned = planned_of(graph)
    nodes = tuple(range(12, 35))
    second = planned["2a"].model_copy(
        update={"bottom_m": 0.12, "nodes": nodes, "shares": (1.0,) * len(nodes), "volume_m3": 0.0023}
    )
    filled = filled_of(cavity, graph, GRADE, SHOP, [entry(1, "2a", second, second.top_m)], {"1a": planned["1a"]})
    assert filled.spaces["2a"].volume_m3(graph) == pytest.approx(0.0023)
    assert filled.pending["1a"].volume_m3(graph) == pytest.approx(0.0012)


def test_foam_that_ran_over_beside_a_pour_to_come_is_not_poured_twice(cells, shapes):
    """Two legs that meet: the one that is in reads 4 cm low, and the other fills what it left."""
    cavity, graph = cells(shapes["legs"], 0.01)
    planned = planned_of(graph)
    meeting = [p for p, one in planned.items() if min(one.shares) < 1.0]
    assert len(meeting) == 2
    first, second = meeting
    low = entry(1, first, planned[first], planned[first].top_m - 0.04)
    below = {p: planned[p] for p in planned if planned[p].lift < planned[first].lift}
    filled = filled_of(cavity, graph, GRADE, SHOP, [low], {**below, second: planned[second]})
    both = filled.spaces[first].volume_m3(graph) + filled.pending[second].volume_m3(graph)
    assert both == pytest.approx(planned[first].volume_m3 + planned[second].volume_m3)


class Bench:
    """A small piece with two legs of unequal height and a neck, recorded step by step as the command does."""

    def __init__(self, folder, **settings):
        boxes = (0, 0, 0.12, 0.5), (0.28, 0, 0.4, 0.45), (0, 0.3, 0.4, 0.5), (0.1, 0.5, 0.22, 0.62)
        mesh = trimesh.creation.extrude_polygon(shapely.union_all([shapely.box(*box) for box in boxes]), 0.15)
        mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
        mesh.export(folder / "legs.stl")
        self.job = job_from_shell(
            folder / "legs.stl",
            {
                "piece.unit": "m", "piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3",
                "grid.cell": "15 mm", "heat.computed": False, "limits.lift": "150 mm",
                "limits.lift_reference": "sheet of the test", **settings,
            },
        )  # fmt: skip
        self.first = make_plan(self.job)
        self.ground = ground_of(self.job, self.first.skin.sha256)
        self.cavity_m3 = self.first.cavity.volume_m3
        self.clear()

    def clear(self):
        self.plan, self.document = self.first, plan_document(self.first)
        self.record = Record(schema="pourwright.record/1", shell_sha256=self.first.skin.sha256)

    def pours(self):
        return {pour.name: pour for lift in self.plan.lift_plan.lifts for pour in lift.pours}

    def add(self, name, off_m=0.0, again=True):
        """An insisted entry; what cannot be is refused as the command refuses it."""
        sheet = sheet_pours(self.document)
        planned = next(pour.planned for pour in sheet if pour.name == name)
        number = len(self.record.entries) + 1
        made = Entry(
            number=number, kind="pour", issue=self.record.issue, pour=name, part_a_kg=planned.part_a_kg,
            part_b_kg=planned.part_b_kg, reached_m=planned.top_m + off_m, planned=planned,
        )  # fmt: skip
        if not any(doubt.firm for doubt in doubts_of(self.job, self.ground, self.record, sheet, made)):
            self.record = self.record.model_copy(update={"entries": (*self.record.entries, made)})
        if again:
            self.again()

    def strike(self, number):
        entries = [e.model_copy(update={"struck": e.struck or e.number == number}) for e in self.record.entries]
        self.record = self.record.model_copy(update={"entries": tuple(entries)})
        self.again()

    def again(self):
        holes = sheet_holes(self.document, self.record.holes)
        record = self.record.model_copy(update={"holes": holes, "issue": self.record.issue + 1})
        made = replan(self.job, record, sheet=sheet_pours(self.document), ground=self.ground)
        self.plan, self.document = made.plan, plan_document(made.plan)
        self.record = record.model_copy(update={"holes": made.holes, "names": made.names})

    def holds(self):
        """What must be true after every record."""
        plan = self.plan.lift_plan
        pours = [pour for lift in plan.lifts for pour in lift.pours]
        volume = sum(pour.volume_m3 for pour in pours) + sum(space.volume_m3 for space in plan.unfilled)
        assert volume == pytest.approx(self.cavity_m3, rel=1e-9)
        names = [pour.name for pour in pours]
        assert len(set(names)) == len(names)
        done = {entry.pour for entry in self.record.counted}
        assert {pour.name for pour in pours if pour.poured} == done
        weighed = {entry.pour: entry.kg for entry in self.record.counted}
        for pour in pours:
            if pour.poured:
                assert pour.foam_kg.nominal == pytest.approx(weighed[pour.name])
        numbers = [lift.number for lift in plan.lifts]
        assert numbers == sorted(set(numbers))


@pytest.fixture(scope="module")
def legged(tmp_path_factory):
    return Bench(tmp_path_factory.mktemp("legs"))


@pytest.fixture
def bench(legged):
    legged.clear()
    return legged


@pytest.fixture(scope="module")
def limbed(tmp_path_factory):
    """The same piece with the lifts of a searched day."""
    return Bench(tmp_path_factory.mktemp("limbs"), **{"day.search": True})


@pytest.fixture
def searched(limbed):
    limbed.clear()
    return limbed


def walk(bench, seed):
    """Records what is on the sheet in a random order, some heights off, some entries struck, until all is poured."""
    chance = random.Random(seed)
    meant = {}  # what each name stands for: the middle of its space
    holes = {}
    for _ in range(30):
        left = [pour for pour in bench.pours().values() if not pour.poured]
        if not left:
            break
        several = chance.random() < 0.3 and len(left) > 1
        for pour in chance.sample(left, 2 if several else 1):
            bench.add(pour.name, chance.choice((0.0, 0.0, -0.015, 0.01)), again=False)
        bench.again()
        bench.holds()
        if chance.random() < 0.15:
            bench.strike(chance.choice(bench.record.counted).number)
            bench.holds()
        for hole in bench.record.holes:
            was = holes.setdefault(hole.name, hole)
            assert (hole.point_m, hole.hole_m) == (was.point_m, was.hole_m)
        on_sheet = {port.name: port for port in bench.plan.lift_plan.ports}
        for name, hole in holes.items():
            if name[0] == "P":
                assert on_sheet[name].point_m == pytest.approx(hole.point_m)
                assert on_sheet[name].hole_m == pytest.approx(hole.hole_m)
        graph = bench.ground.graph
        for name, pour in bench.pours().items():
            share = np.zeros(len(graph.node_level))
            share[pour.nodes] = pour.shares
            was = meant.setdefault(name, share)
            common = (graph.node_volume_m3 * np.minimum(share, was)).sum()
            if not pour.poured and not any(e.pour == name for e in bench.record.entries):
                assert common > 0, name  # never somewhere else
            meant[name] = share
    else:
        raise AssertionError("never done")


@pytest.mark.parametrize("seed", range(2))
def test_random_orders_of_records_keep_the_account_the_names_and_the_holes(bench, seed):
    walk(bench, seed)


@pytest.mark.parametrize("seed", range(2))
def test_random_orders_of_records_of_a_searched_day_keep_the_account(searched, seed):
    walk(searched, seed)


def test_what_is_left_of_a_searched_day_stays_as_it_was_cut(searched):
    before = searched.pours()
    waits = {lift.number: lift.wait_s for lift in searched.plan.lift_plan.lifts}
    first = min(before.values(), key=lambda pour: (pour.lift, pour.name))
    searched.add(first.name)
    after = searched.pours()
    codes = {found.code for found in searched.plan.warnings}
    assert codes >= {Code.AS_RECORDED, Code.REST_BY_FORMULAS}
    assert set(after) == set(before)
    for name, pour in before.items():
        assert after[name].lift == pour.lift
        assert after[name].limb == pour.limb
        assert pour.limb
        if name != first.name:
            held = {check.name for check in pour.checks} - {"room for a hole"}  # a hole that is drilled is where it is
            assert {check.name for check in after[name].checks} == held
            np.testing.assert_array_equal(after[name].nodes, pour.nodes)
            assert after[name].volume_m3 == pytest.approx(pour.volume_m3)
    for lift in searched.plan.lift_plan.lifts:
        if all(not pour.poured for pour in lift.pours) and lift is not searched.plan.lift_plan.lifts[-1]:
            assert lift.wait_s == waits[lift.number]


def test_the_next_lift_is_told_its_earliest_mix(searched):
    first = min(pour.lift for pour in searched.pours().values())
    for pour in searched.pours().values():
        if pour.lift == first:
            searched.add(pour.name)
    (found,) = [found for found in searched.plan.warnings if found.code == Code.REST_HEATED]
    assert f"after the first mix of lift {first}" in found["words"]


def test_a_pour_that_fell_short_gives_its_rest_to_the_one_above_in_a_searched_day(searched):
    before = searched.pours()
    first = min(before.values(), key=lambda pour: (pour.lift, pour.name))
    searched.add(first.name, -0.03)
    after = searched.pours()
    lost = before[first.name].volume_m3 - after[first.name].volume_m3
    assert lost > 0
    gained = {name: after[name].volume_m3 - before[name].volume_m3 for name in before if name != first.name}
    assert sum(gained.values()) == pytest.approx(lost)
    searched.holds()


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 12))
def test_many_random_orders_of_records_of_a_searched_day(searched, seed):
    walk(searched, seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 42))
def test_many_random_orders_of_records(bench, seed):
    walk(bench, seed)


def test_a_half_recorded_lift_is_not_planned_over(bench):
    before = bench.pours()
    assert {"1a", "1b"} <= set(before)
    bench.add("1a", -0.01)
    after = bench.pours()
    assert after["1a"].poured
    assert not after["1b"].poured
    assert (after["1b"].bottom_m, after["1b"].top_m) == (before["1b"].bottom_m, before["1b"].top_m)
    assert after["1b"].nodes.tolist() == before["1b"].nodes.tolist()
    assert [x.port.name for x in after["1b"].landings] == [x.port.name for x in before["1b"].landings]
    assert [lift.number for lift in bench.plan.lift_plan.lifts if any(p.name[0] == "1" for p in lift.pours)] == [1]
    bench.add("1b")
    assert {name for name, pour in bench.pours().items() if pour.poured} == {"1a", "1b"}


def test_a_struck_pour_comes_back_under_its_name(bench):
    before = bench.pours()
    bench.add("1a")
    bench.add("1b")
    bench.strike(2)
    after = bench.pours()
    assert not after["1b"].poured
    assert after["1b"].landings
    assert after["1b"].nodes.tolist() == before["1b"].nodes.tolist()
    bench.strike(1)
    assert not any(pour.poured for pour in bench.pours().values())
    assert set(bench.pours()) == set(before)


def test_a_higher_lift_recorded_first_is_told_and_loses_nothing(bench):
    bench.add("2a")
    bench.holds()
    assert not bench.pours()["1a"].poured
    assert finding(Code.FOAM_ABOVE, "1a", "1b") in bench.plan.warnings


def test_poured_weights_carry_the_scale_and_not_the_cavity(bench):
    for name in ("1a", "1b"):
        bench.add(name)
    lift = next(part for part in bench.plan.outcome.parts if part.name == "foam, lift 1")
    weighed = sum(entry.kg for entry in bench.record.counted)
    assert lift.kg.nominal == pytest.approx(weighed)
    assert (lift.kg.low, lift.kg.high) == (pytest.approx(0.98 * weighed), pytest.approx(1.02 * weighed))
    assert lift.thin_kg == lift.kg == lift.thick_kg
    left = next(part for part in bench.plan.outcome.parts if part.name == "foam, lift 2")
    assert left.thin_kg.nominal > left.kg.nominal > left.thick_kg.nominal
