"""The division into lifts against every division there is, on small random cavities."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from pourwright.divide.bands import CLOSING, LIQUID, OPEN, THICKNESS, Rules, grow, nodes_of
from pourwright.divide.even import divide
from pourwright.divide.shapes import shapes_of

CELL = 0.01
masks = arrays(bool, st.tuples(st.just(7), st.just(1), st.integers(2, 8)), elements=st.booleans()).filter(
    lambda m: m.any()
)


@st.composite
def problems(draw):
    mask = draw(masks)
    rules = Rules(
        ripple_m=CELL * draw(st.sampled_from([0.0, 1.0, 2.0])),
        lift_m=CELL * draw(st.integers(1, 6)) + 1e-6,
        liquid_m3=CELL**3 * draw(st.floats(0.05, 2.0)),
        open_share=1 / 24,
        closed_share=1.1 / 24,
        closing_pa=10e3,
        open_pa=4e3,
        head_pa_m=draw(st.sampled_from([0.0, 20e3])),
        flow_distance_m=CELL * draw(st.floats(0.6, 4.0)),
        thin_m=CELL * draw(st.integers(1, 3)),
        least_m3=CELL**3 * draw(st.sampled_from([0.0, 1.5, 3.5, 6.5])),
        spill_m=CELL * draw(st.sampled_from([0.0, 1.0, 2.0, 4.0])),
    )
    share = draw(st.sampled_from([0.0, 0.35, 0.5, 0.9]))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return mask, rules, share, rng


def _graph(cells, mask, rng):
    _, graph = cells(mask, CELL, 0.0)
    count = len(graph.node_level)
    opening = rng.random(count) < 0.1
    strength = rng.choice([np.inf, 5e3, 8e3, 12e3], count, p=[0.7, 0.1, 0.1, 0.1])
    half = 0.5 * CELL * rng.integers(1, 4, (count, 1))
    low, high = graph.node_centroid_m[:, :2] - half, graph.node_centroid_m[:, :2] + half
    return graph, nodes_of(graph, opening, strength, low, high)


def _pieces(graph, bottom, top):
    """Connected pieces of a band, by a general graph library."""
    net = nx.Graph()
    inside = np.flatnonzero((graph.node_level >= bottom) & (graph.node_level < top))
    net.add_nodes_from(inside.tolist())
    keep = np.isin(graph.edge_lower, inside) & np.isin(graph.edge_upper, inside)
    net.add_edges_from(zip(graph.edge_lower[keep].tolist(), graph.edge_upper[keep].tolist(), strict=True))
    return [np.array(sorted(piece)) for piece in nx.connected_components(net)], net


def _pools(graph, net, piece, rules):
    """Pools of a piece that count: flooded level by level, the elder survives a join.

    The elder has the lower floor, then the larger volume; a younger one folds away where it is a ripple, or little and
    shallow enough to fill from above.
    """
    found = 0
    floors = {}
    for level in sorted(set(graph.node_level[piece].tolist())):
        sub = net.subgraph([n for n in piece.tolist() if graph.node_level[n] <= level])
        now = {}
        for part in nx.connected_components(sub):
            key = frozenset(part)
            inner = sorted((floor, -volume) for old, (floor, volume) in floors.items() if old <= key)
            volume = sum(graph.node_volume_m3[n] for n in part)
            for floor, less in inner[1:]:
                depth = (level - floor) * CELL
                ripple = depth <= rules.ripple_m + 1e-12
                found += not (ripple or (-less < rules.least_m3 and depth <= rules.spill_m + 1e-12))
            now[key] = (inner[0][0] if inner else level, volume)
        floors = now
    return found + 1


def _closed(graph, nodes, piece, top):
    last = piece[graph.node_level[piece] == top - 1]
    return not nodes.rises[last].any() and not nodes.opening[piece].any()


def _band(graph, nodes, rules, bottom, top):
    """(kinds over, cost) of one band, straight from the definition."""
    over, cost = set(), 0
    pieces, net = _pieces(graph, bottom, top)
    for piece in pieces:
        levels = graph.node_level[piece]
        rise = (levels.max() + 1 - levels.min()) * CELL
        closed = _closed(graph, nodes, piece, top)
        weakest = nodes.strength_pa[piece].min()
        liquid = graph.node_volume_m3[piece].sum() * (rules.closed_share if closed else rules.open_share)
        if rise > rules.lift_m * (1 + 1e-9):
            over.add(THICKNESS)
        if liquid > rules.liquid_m3 * (1 + 1e-9):
            over.add(LIQUID)
        if closed and rules.closing_pa > weakest and _curable(graph, nodes, rules, piece):
            over.add(CLOSING)
        thinnest = rules.open_pa + rules.head_pa_m * rules.thin_m
        if not closed and rules.open_pa + rules.head_pa_m * rise > weakest * (1 + 1e-9) and thinnest <= weakest:
            over.add(OPEN)
        low, high = nodes.low_m[piece].min(axis=0), nodes.high_m[piece].max(axis=0)
        landings = int(np.ceil(np.hypot(*(high - low)) / (2 * rules.flow_distance_m) - 1e-9))
        cost += max(_pools(graph, net, piece, rules), landings)
        cost += graph.node_volume_m3[piece].sum() < rules.least_m3  # too small for a pour: counts once more
    return over, cost


def _curable(graph, nodes, rules, piece):
    """Whether a thin band up to the last level of the piece bears the closing pressure at every peak there."""
    top = int(graph.node_level[piece].max()) + 1
    bottom = max(0, top - max(1, round(rules.thin_m / CELL)))
    pieces, _ = _pieces(graph, bottom, top)
    for peak in piece[graph.node_level[piece] == top - 1]:
        thin = next(p for p in pieces if peak in p)
        if _closed(graph, nodes, thin, top) and rules.closing_pa > nodes.strength_pa[thin].min():
            return False
    return True


def _best(bands, levels, share):
    best = None
    for count in range(1, levels + 1):
        for inner in itertools.combinations(range(1, levels), count - 1):
            cuts = (0, *inner, levels)
            pairs = list(itertools.pairwise(cuts))
            if any(bands[a, b][0] and b - a > 1 for a, b in pairs):
                continue
            high = [b - a for a, b in pairs]
            value = (
                count,
                sum(min(p) < share * max(p) for p in itertools.pairwise(high)),
                sum(bands[a, b][1] for a, b in pairs),
                sum(h * h for h in high),
            )
            best = value if best is None else min(best, value)
        if best is not None:
            return best
    raise AssertionError("one level a lift is always a division")


@settings(max_examples=150, deadline=None)
@given(problems())
def test_division_is_the_best_of_all(cells, problem):
    mask, rules, share, rng = problem
    graph, nodes = _graph(cells, mask, rng)
    levels = graph.levels
    growth = grow(nodes, rules, 0, levels)
    bands = {(a, b): _band(graph, nodes, rules, a, b) for a in range(levels) for b in range(a + 1, levels + 1)}
    for a in range(levels):
        tallest = max([0, *(b - a for b in range(a + 1, levels + 1) if not bands[a, b][0])])
        # a band that keeps the limits keeps them when it is shortened from above
        assert all(not bands[a, b][0] for b in range(a + 1, a + tallest + 1))
        assert growth.tallest[a] == max(tallest, 1)
        assert growth.forced[a] == (tallest == 0)
        for b in range(a + 1, a + growth.tallest[a] + 1):
            assert growth.cost[a, b - a] == bands[a, b][1]
        if a + tallest < levels:
            assert growth.kind[a] in bands[a, a + tallest + 1][0]
            assert growth.value[a] > growth.limit[a]
        else:
            assert growth.kind[a] == 0
    found = divide(growth.tallest, growth.cost, share)
    assert (found.lifts, found.slivers, found.pours, found.squares) == _best(bands, levels, share)
    cuts = found.boundaries
    assert (cuts[0], cuts[-1]) == (0, levels)
    high = np.diff(cuts)
    assert (high <= growth.tallest[list(cuts[:-1])]).all()
    assert sum(h * h for h in high.tolist()) == found.squares


@settings(max_examples=100, deadline=None)
@given(problems(), st.data())
def test_pours_of_a_band(cells, problem, data):
    mask, rules, _, rng = problem
    graph, nodes = _graph(cells, mask, rng)
    bottom = data.draw(st.integers(0, graph.levels - 1))
    top = data.draw(st.integers(bottom + 1, graph.levels))
    shapes = shapes_of(graph, bottom, top, rules.ripple_m, nodes.opening, rules.least_m3, rules.spill_m)
    inside = (graph.node_level >= bottom) & (graph.node_level < top)
    share = np.zeros(len(inside))
    for shape in shapes:
        assert (shape.shares > 0).all()
        assert shape.volume_m3 == pytest.approx((graph.node_volume_m3[shape.nodes] * shape.shares).sum())
        share[shape.nodes] += shape.shares
    np.testing.assert_allclose(share, inside, atol=1e-12)
    pieces, net = _pieces(graph, bottom, top)
    assert len(shapes) == sum(_pools(graph, net, piece, rules) for piece in pieces)
    assert len({shape.piece for shape in shapes}) == len(pieces)
    for piece in pieces:
        mine = [shape for shape in shapes if shape.nodes[0] in piece]
        assert {shape.sealed for shape in mine} == {_closed(graph, nodes, piece, top)}
