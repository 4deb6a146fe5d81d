"""Rooms that fill at the same moment: the rise is followed where whole steps of Newton would go to and fro for ever."""

from pathlib import Path

import numpy as np
import pytest

from pourwright.intake import read_job
from pourwright.plan.make import space_of
from pourwright.plan.reaction import history_of
from pourwright.rise import Outlet, RiseSettings, Rooms, simulate_rise

TENDER = Path(__file__).resolve().parents[2] / "demo_shells" / "tender" / "job.toml"


def test_two_corners_of_a_boat_that_fill_at_once_are_followed():
    """The gunwale of the tender, its two upper corners alike, each with a vent: no step was small enough."""
    job = read_job(TENDER)
    graph = space_of(job).graph
    nodes = np.flatnonzero((graph.node_level >= 69) & (graph.node_level < 89))
    tops = [k for k in nodes.tolist() if k not in graph.edge_lower]
    assert len(tops) == 3
    volume = graph.node_volume_m3[nodes]
    foam = history_of(job).rising
    kg = 1.03 * float(volume.sum()) / float(foam.volume_m3_kg[-1])
    outlets = tuple(Outlet(f"V{k}", node, 0.006, 1, 0.003) for k, node in enumerate(tops))
    rise = simulate_rise(
        Rooms(graph, nodes, np.ones(len(nodes)), int(nodes[0])), kg, foam, outlets=outlets,
        settings=RiseSettings(vent_pressure_pa=100.0, void_share=0.005),
    )  # fmt: skip
    filled = dict(zip(rise.nodes.tolist(), rise.filled_share.tolist(), strict=True))
    inside = sum(filled[node] * v for node, v in zip(nodes.tolist(), volume.tolist(), strict=True))
    assert inside == pytest.approx(rise.foam_m3[-1], rel=1e-6)
    assert inside == pytest.approx(float(volume.sum()), rel=0.01)  # all of it fills, corners too
