"""Whatever the space looks like, a rise keeps its mass and stays within what is possible."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.cavity import LevelGraph
from pourwright.rise import Outlet, Rooms, simple_foam, simulate_rise

FOAM = simple_foam(40.0, 130.0, 300.0, 48.06, points=121)


@st.composite
def spaces(draw):
    """Nodes on levels, each tied to one or more of the level below where it can be; sections from crevices to halls."""
    dz, levels = 0.01, draw(st.integers(3, 14))
    level, area, edges, last = [], [], [], []
    for z in range(levels):
        now = []
        for _ in range(draw(st.integers(1, 3))):
            node = len(level)
            level.append(z)
            area.append(10 ** draw(st.floats(-4.5, -1.5)))
            now.append(node)
            if last:
                edges.extend((below, node) for below in draw(st.sets(st.sampled_from(last), max_size=2)))
        if last and not any(b in last and a in now for b, a in edges):
            edges.append((last[0], now[0]))
        last = now
    n = len(level)
    area = np.array(area)
    dh = 2 * np.sqrt(area / np.pi)
    lower, upper = (np.array([e[k] for e in edges], np.int32) for k in (0, 1))
    overlap = np.minimum(area[lower], area[upper]) * draw(st.floats(0.05, 1.0))
    graph = LevelGraph(
        level_m=np.arange(levels + 1) * dz, node_level=np.array(level, np.int32), node_volume_m3=area * dz,
        node_area_m2=area, node_centroid_m=np.column_stack([np.zeros((n, 2)), (np.array(level) + 0.5) * dz]),
        node_perimeter_m=4 * area / dh, node_hydraulic_diameter_m=dh, node_width_m=dh, edge_lower=lower,
        edge_upper=upper, edge_overlap_m2=overlap, label=np.zeros((1, 1, 1), np.int32), pools=(), pockets=(),
        ripple_m=0.0,
    )  # fmt: skip
    outlets = tuple(
        Outlet(f"V{i}", node, draw(st.floats(0.0005, 0.02)), draw(st.integers(1, 3)), draw(st.floats(0.0, 0.01)))
        for i, node in enumerate(sorted(draw(st.sets(st.integers(0, n - 1), max_size=3))))
    )
    return graph, outlets, draw(st.floats(0.5, 1.6))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(spaces())
def test_mass_is_kept_and_nothing_leaves_its_bounds(space):
    graph, outlets, packing = space
    n = len(graph.node_level)
    reach = graph.node_volume_m3.sum()
    # The liquid must find room below where it lands: give what the piece of the lowest node holds.
    mass = packing * 48.06 * _reached(graph)
    result = simulate_rise(Rooms(graph, np.arange(n), np.ones(n)), mass, FOAM, outlets=outlets)
    assert abs(result.mass_residual) < 1e-6
    assert np.all((result.filled_share >= 0) & (result.filled_share <= 1))
    assert np.all(result.node_peak_pa >= 0)
    assert np.isfinite(result.peak_pa)
    assert 0 <= result.void_m3 <= reach
    # No more pressure than all of the gas in the room that the liquid leaves in its piece would raise.
    gas = mass * (1 / 48.06 - 1 / 1200.0) + _reached(graph)
    free = _reached(graph) - mass / 1200.0
    head = 1200.0 * 9.80665 * 0.15
    assert result.peak_pa <= 101_325 * (gas / free - 1) * 1.05 + head or result.short
    again = simulate_rise(Rooms(graph, np.arange(n), np.ones(n)), mass, FOAM, outlets=outlets)
    assert again.node_peak_pa.tobytes() == result.node_peak_pa.tobytes()


def _reached(graph: LevelGraph) -> float:
    """Volume of the piece that holds the lowest node."""
    seen, todo = {0}, [0]
    while todo:
        node = todo.pop()
        near = [*graph.edge_upper[graph.edge_lower == node], *graph.edge_lower[graph.edge_upper == node]]
        for other in map(int, near):
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return float(graph.node_volume_m3[sorted(seen)].sum())
