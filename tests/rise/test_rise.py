from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pourwright.errors import UsageError
from pourwright.physics import gas, orifice
from pourwright.rise import (
    Outlet,
    RiseSettings,
    RisingFoam,
    Rooms,
    packing_to_fill,
    simple_foam,
    simulate_rise,
    vent_flows,
)

RHO = 48.06


@pytest.fixture
def foam() -> RisingFoam:
    return simple_foam(40.0, 130.0, 300.0, RHO)


def everything(graph):
    return np.arange(len(graph.node_level)), np.ones(len(graph.node_level))


def hourglass(tower, neck_m, bulb=0.02, levels=20, neck_levels=4, dz=0.01):
    """Two bulbs of 0.02 m2 with a round neck between them; a vent at the top."""
    area = np.concatenate([np.full(levels, bulb), np.full(neck_levels, np.pi / 4 * neck_m**2), np.full(levels, bulb)])
    return tower(area, dz=dz), (Outlet("V1", 2 * levels + neck_levels - 1, 0.008, 1, 0.004),)


def test_mass_is_kept_to_rounding(tower, foam):
    graph, vents = hourglass(tower, 0.03)
    for packing in (0.8, 1.0, 1.3):
        mass = packing * RHO * graph.node_volume_m3.sum()
        result = simulate_rise(Rooms(graph, *everything(graph)), mass, foam, outlets=vents, covered=True)
        assert abs(result.mass_residual) < 1e-8
        inside = result.density_kg_m3 * (graph.node_volume_m3.sum() - result.void_m3)
        assert inside + sum(o.foam_kg for o in result.outlets) == pytest.approx(mass, rel=1e-7)


def test_wide_neck_is_passed_and_narrow_one_is_a_void_with_its_place_and_volume(tower, foam):
    for neck, passes in ((0.10, True), (0.06, True), (0.01, False), (0.004, False)):
        graph, vents = hourglass(tower, neck)
        mass = 1.1 * RHO * graph.node_volume_m3.sum()
        result = simulate_rise(Rooms(graph, *everything(graph)), mass, foam, outlets=vents, covered=True)
        assert result.short is not passes, neck
        if passes:
            assert result.void_m3 < 0.002 * graph.node_volume_m3.sum()
            continue
        void = result.voids[0]
        assert void.reason == "gelled on the way"
        assert void.neck_m == pytest.approx(neck)
        assert 20 <= void.neck_node < 24
        assert void.point_m[2] > 0.24  # in the upper bulb
        assert void.top_m == pytest.approx(0.44)
        assert void.volume_m3 > 0.3 * 0.02 * 0.2
        assert void.volume_m3 == pytest.approx(result.void_m3, rel=1e-6)


def test_narrower_neck_leaves_more_void_and_more_pressure_below(tower, foam):
    voids, pressures = [], []
    for neck in (0.03, 0.02, 0.01):
        graph, vents = hourglass(tower, neck)
        mass = 1.05 * RHO * graph.node_volume_m3.sum()
        result = simulate_rise(Rooms(graph, *everything(graph)), mass, foam, outlets=vents, covered=True)
        voids.append(result.void_m3)
        pressures.append(result.node_peak_pa[:20].max())
    assert voids[0] < voids[1] < voids[2]
    assert pressures[0] < pressures[1] < pressures[2]


def test_foam_shut_in_below_a_plug_presses_by_the_gas_law(tower, foam):
    """A neck so narrow that nothing passes: the lower bulb holds it all."""
    graph, vents = hourglass(tower, 0.0002)
    lower = 0.02 * 0.2
    mass = 1.5 * RHO * lower
    result = simulate_rise(Rooms(graph, *everything(graph)), mass, foam, outlets=vents, covered=True)
    assert result.void_m3 == pytest.approx(lower, rel=0.01)
    assert result.node_peak_pa[:20].max() == pytest.approx(gas.packed_gauge_pressure(1.5, RHO), rel=0.02)


def test_taller_lift_above_a_neck_presses_harder_below_it(tower, foam):
    """The taller the lift over a neck the faster it must pass, while the foam still runs."""
    peaks = []
    for above in (5, 10, 20, 40):
        area = np.concatenate([np.full(6, 0.02), np.full(3, np.pi / 4 * 0.04**2), np.full(above, 0.02)])
        graph = tower(area, dz=0.01)
        mass = RHO * graph.node_volume_m3.sum()
        result = simulate_rise(
            Rooms(graph, *everything(graph)), mass, foam, outlets=(Outlet("opening 1", above + 8, 0.16),)
        )
        peaks.append(result.pressure_pa[result.time_s < 0.85 * foam.gel_s].max())
    assert peaks == sorted(peaks)
    assert peaks[-1] > 2 * peaks[0]


def test_thicker_lift_presses_harder_on_its_floor(tower, foam):
    peaks = []
    for levels in (20, 40, 80):
        graph = tower(np.full(levels, 0.01), dz=0.005)
        space = RHO * graph.node_volume_m3.sum()
        result = simulate_rise(
            Rooms(graph, *everything(graph)), space, foam, outlets=(Outlet("opening 1", levels - 1, 0.11),)
        )
        peaks.append(result.node_peak_pa[0])
    assert peaks == sorted(peaks)
    assert np.all(np.diff(result.node_peak_pa) <= 1e-6)  # and less and less towards the front


def test_colder_foam_is_shorter(tower):
    """Thicker, denser and slower, with the same mass: more void behind the neck."""
    graph, vents = hourglass(tower, 0.03)
    mass = 1.1 * RHO * graph.node_volume_m3.sum()
    voids = []
    for factor, dense in ((1.0, 1.0), (1.3, 1.02), (1.8, 1.05)):
        cold = simple_foam(40 * factor, 130 * factor, 300 * factor, RHO * dense, viscosity_pa_s=20.0 * factor)
        result = simulate_rise(Rooms(graph, *everything(graph)), mass, cold, outlets=vents, covered=True)
        voids.append(result.void_m3)
    assert voids[0] < voids[1] < voids[2]


def test_more_packing_presses_harder(tower, foam):
    graph = tower(np.full(40, 0.01))
    vents = (Outlet("V1", 39, 0.003, 1, 0.02),)
    peaks = [
        simulate_rise(Rooms(graph, *everything(graph)), p * RHO * 0.002, foam, outlets=vents, covered=True).peak_pa
        for p in (1.0, 1.1, 1.3)
    ]
    assert peaks == sorted(peaks)


def test_surplus_of_an_open_pour_goes_up(tower, foam):
    graph = tower(np.full(60, 0.01))
    nodes = np.arange(40)
    result = simulate_rise(Rooms(graph, nodes, np.ones(40)), 1.2 * RHO * 0.002, foam)
    assert result.above_kg == pytest.approx(0.2 * RHO * 0.002, rel=0.05)
    assert not result.short
    assert result.peak_pa < 2000


def test_open_pour_that_stops_low_is_filled_by_the_next_lift(tower, foam):
    graph = tower(np.full(60, 0.01))
    result = simulate_rise(Rooms(graph, np.arange(40), np.ones(40)), 0.8 * RHO * 0.002, foam)
    assert [v.reason for v in result.voids] == ["below its level"]
    assert not result.voids[0].lasting
    assert result.voids[0].volume_m3 == pytest.approx(0.2 * 0.002, rel=0.05)
    assert not result.short


def test_surplus_of_a_closed_pour_comes_out_of_its_opening(tower, foam):
    graph = tower(np.full(40, 0.01))
    wide = (Outlet("opening 1", 39, 0.1),)
    result = simulate_rise(Rooms(graph, *everything(graph)), 1.3 * RHO * 0.002, foam, outlets=wide)
    assert result.outlets[0].foam_kg == pytest.approx(0.3 * RHO * 0.002, rel=0.05)
    assert result.outlets[0].foam_m3 == pytest.approx(result.outlets[0].foam_kg / RHO)
    assert result.outlets[0].foam_from_s > 40


def test_two_arms_fill_alike_and_a_plugged_one_does_not(graph, foam):
    """A trunk that forks into two equal arms; then one with a neck at its foot."""
    level = [*range(10), *range(10, 30), *range(10, 30)]
    edges = [(i, i + 1) for i in range(9)]
    edges += [(9, 10), (9, 30)] + [(i, i + 1) for i in range(10, 29)] + [(i, i + 1) for i in range(30, 49)]
    area = np.full(50, 0.01)
    vents = (Outlet("V1", 29, 0.008), Outlet("V2", 49, 0.008))
    both = graph(level, area, edges, dz=0.01)
    mass = 1.0 * RHO * both.node_volume_m3.sum()
    even = simulate_rise(Rooms(both, np.arange(50), np.ones(50)), mass, foam, outlets=vents, covered=True)
    assert even.filled_share[10:30] == pytest.approx(even.filled_share[30:50], abs=1e-9)
    assert even.outlets[0].air_m3_s == pytest.approx(even.outlets[1].air_m3_s, abs=1e-12)
    pinched = area.copy()
    pinched[30:32] = np.pi / 4 * 0.002**2
    odd = graph(level, pinched, edges, dz=0.01)
    result = simulate_rise(Rooms(odd, np.arange(50), np.ones(50)), mass, foam, outlets=vents, covered=True)
    assert result.filled_share[10:30].mean() > 0.99
    assert result.voids[0].node >= 32
    assert result.voids[0].neck_node in (30, 31)


def test_order_of_the_nodes_does_not_matter(tower, foam):
    graph, vents = hourglass(tower, 0.01)
    nodes, shares = everything(graph)
    mass = 1.1 * RHO * graph.node_volume_m3.sum()
    one = simulate_rise(Rooms(graph, nodes, shares), mass, foam, outlets=vents, covered=True)
    other = simulate_rise(Rooms(graph, nodes[::-1], shares), mass, foam, outlets=vents, covered=True)
    assert one.node_peak_pa.tobytes() == other.node_peak_pa[::-1].tobytes()
    assert one.filled_share.tobytes() == other.filled_share[::-1].tobytes()


def test_share_of_a_node_is_that_much_room(tower, foam):
    graph = tower(np.full(40, 0.02))
    half = simulate_rise(
        Rooms(graph, np.arange(40), np.full(40, 0.5)),
        RHO * 0.002,
        foam,
        covered=True,
        outlets=(Outlet("V1", 39, 0.008),),
    )
    assert half.foam_m3[-1] == pytest.approx(0.002, rel=0.01)


def test_result_settles_as_steps_get_finer(tower, foam):
    graph, vents = hourglass(tower, 0.006)
    mass = 1.1 * RHO * graph.node_volume_m3.sum()
    runs = [
        simulate_rise(Rooms(graph, *everything(graph)), mass, foam, outlets=vents, covered=True, settings=s)
        for s in (RiseSettings(), RiseSettings(share_step=0.0005, time_step_s=0.5))
    ]
    assert runs[0].void_m3 == pytest.approx(runs[1].void_m3, rel=0.03, abs=1e-6)
    assert runs[0].peak_pa == pytest.approx(runs[1].peak_pa, rel=0.03)


def test_air_that_leaves_is_the_foam_that_comes(tower, foam):
    graph = tower(np.full(40, 0.01))
    vents = (Outlet("V1", 39, 0.01), Outlet("V2", 39, 0.01, 2))
    result = simulate_rise(Rooms(graph, *everything(graph)), 0.95 * RHO * 0.002, foam, outlets=vents, covered=True)
    steps = np.diff(result.time_s)
    gone = sum(float(np.dot(o.air_m3_s[1:], steps)) for o in result.outlets)
    assert gone == pytest.approx(result.foam_m3[-1] - result.foam_m3[0], rel=0.01)
    one, two = result.outlets
    assert two.air_peak_m3_s == pytest.approx(2 * one.air_peak_m3_s)
    assert one.hole_needed_m == pytest.approx(orifice.orifice_diameter(one.air_peak_m3_s, 100.0))
    assert one.hole_needed_m == pytest.approx(two.hole_needed_m)
    assert one.back_pressure_pa == pytest.approx(
        1.2 / 2 * (one.air_peak_m3_s / (0.61 * one.outlet.area_m2)) ** 2, rel=0.1
    )


def test_hole_of_the_needed_size_holds_the_air_at_the_allowed_pressure(tower, foam):
    graph = tower(np.full(40, 0.01))
    nodes, shares = everything(graph)
    tight = (Outlet("V1", 39, 0.0005),)
    flow = vent_flows(Rooms(graph, nodes, shares), RHO * 0.002, foam, tight, covered=True)[0]
    assert flow.outlet.hole_m == 0.0005
    sized = (replace(tight[0], hole_m=flow.hole_needed_m),)
    result = simulate_rise(Rooms(graph, nodes, shares), RHO * 0.002, foam, outlets=sized, covered=True)
    assert result.outlets[0].back_pressure_pa == pytest.approx(100.0, rel=0.15)


def test_hole_far_too_small_squeezes_the_air(tower, foam):
    graph = tower(np.full(40, 0.01))
    tight = (Outlet("V1", 39, 0.0001),)
    result = simulate_rise(Rooms(graph, *everything(graph)), RHO * 0.002, foam, outlets=tight, covered=True)
    assert result.outlets[0].back_pressure_pa > 20_000
    assert result.voids[0].reason == "air leaves too slowly"


def test_side_pocket_without_a_vent_keeps_its_air(graph, foam):
    """A trunk open above, and a blind side arm: its air is squeezed a little and stays."""
    level = [*range(30), *range(12, 20)]
    edges = [(i, i + 1) for i in range(29)] + [(11, 30)] + [(i, i + 1) for i in range(30, 37)]
    space = graph(level, np.full(38, 0.01), edges, dz=0.01)
    result = simulate_rise(
        Rooms(space, np.arange(38), np.ones(38)),
        RHO * space.node_volume_m3.sum(),
        foam,
        outlets=(Outlet("opening 1", 29, 0.1),),
    )
    assert [v.reason for v in result.voids][:1] == ["trapped air"]
    assert result.voids[0].node >= 30
    assert 0.5 < result.voids[0].volume_m3 / (8 * 1e-4) < 1.0


def test_air_below_the_foam_rises_through_it(graph, foam):
    """A blind hole in the floor beside the one the liquid runs into: it fills from above, no air is caught in it."""
    level = [*range(10), *range(4, 8), *range(10, 14)]
    edges = [(i, i + 1) for i in range(9)] + [(i, i + 1) for i in range(10, 13)] + [(13, 8), (9, 14)]
    edges += [(i, i + 1) for i in range(14, 17)]
    space = graph(level, np.full(18, 0.01), edges, dz=0.01)
    result = simulate_rise(
        Rooms(space, np.arange(18), np.ones(18)),
        RHO * space.node_volume_m3.sum(),
        foam,
        outlets=(Outlet("opening 1", 17, 0.1),),
    )
    assert result.filled_share[10:14] == pytest.approx(1.0)
    assert not result.short
    assert result.peak_pa < 5000


def test_closing_pour_needs_some_packing_and_says_how_much(tower, foam):
    graph = tower(np.full(60, 0.01))
    nodes, shares = everything(graph)
    need = packing_to_fill(Rooms(graph, nodes, shares), foam, outlets=(Outlet("V1", 59, 0.004, 1, 0.01),), covered=True)
    assert need.reached
    assert 0.99 <= need.packing < 1.1
    less = simulate_rise(
        Rooms(graph, nodes, shares),
        (need.packing - 0.01) * RHO * 0.003,
        foam,
        covered=True,
        outlets=(Outlet("V1", 59, 0.004, 1, 0.01),),
    )
    assert less.short
    narrow, vents = hourglass(tower, 0.001)
    plugged = packing_to_fill(Rooms(narrow, *everything(narrow)), foam, outlets=vents, covered=True)
    assert not plugged.reached
    assert plugged.result.short


def test_peaks_by_level(graph, foam):
    level = [0, 1, 1, 2, 2]
    space = graph(level, np.full(5, 0.01), [(0, 1), (0, 2), (1, 3), (2, 4)], dz=0.05)
    result = simulate_rise(
        Rooms(space, np.arange(5), np.ones(5)),
        1.1 * RHO * 0.0025,
        foam,
        covered=True,
        outlets=(Outlet("V1", 3, 0.002, 1, 0.1), Outlet("V2", 4, 0.002, 1, 0.1)),
    )
    levels, peak, when = result.level_peaks(space.node_level)
    assert list(levels) == [0, 1, 2]
    assert np.all(np.diff(peak) < 0)
    assert peak[0] == result.node_peak_pa[0]
    assert np.all(when > 40)


def test_liquid_finds_the_lowest_place_from_where_it_lands(graph, foam):
    """Landing on a shoulder beside a deep leg: the leg fills first."""
    level = [*range(10), 9, 10]
    edges = [(i, i + 1) for i in range(9)] + [(9, 11), (10, 11)]
    space = graph(level, np.full(12, 0.01), edges, dz=0.01)
    result = simulate_rise(Rooms(space, np.arange(12), np.ones(12), start_node=11), 0.2, foam)
    assert result.filled_share[0] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"mass_kg": 0.0}, "mass above 0"),
        ({"mass_kg": 100.0}, "more room than the pour has"),
        ({"shares": np.full(10, 1.5)}, "above 0 and at most 1"),
        ({"shares": np.ones(3)}, "as many shares"),
        ({"nodes": np.zeros(10, int)}, "each once"),
        ({"outlets": (Outlet("V9", 30, 0.01),)}, "V9 lies at node 30"),
        ({"outlets": (Outlet("V9", 3, 0.0),)}, "diameter above 0"),
        ({"start_node": 30}, "lands at node 30"),
    ],
)
def test_bad_pours_are_refused_in_words(tower, foam, changes, words):
    values = {"nodes": np.arange(10), "shares": np.ones(10), "mass_kg": 0.02, "foam": foam} | changes
    rooms = {name: values.pop(name) for name in ("nodes", "shares", "start_node") if name in values}
    with pytest.raises(UsageError, match=words):
        simulate_rise(Rooms(tower(np.full(40, 0.01)), **rooms), **values)


def test_results_are_read_only(tower, foam):
    result = simulate_rise(Rooms(tower(np.full(10, 0.01)), np.arange(10), np.ones(10)), 0.02, foam)
    with pytest.raises(ValueError, match="read-only"):
        result.node_peak_pa[0] = 1.0
