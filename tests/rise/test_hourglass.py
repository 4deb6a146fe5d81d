"""A shape made for it: two bulbs turned on a lathe with a neck between, as cells, levels and foam of a stock grade."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import Cavity, Grid, PourFrame, build_levels
from pourwright.foam import Conditions, fit_reaction, load_grade, simulate_cup
from pourwright.rise import Outlet, Rooms, packing_to_fill, rising_foam, simulate_rise

CELL = 0.004


def _turned(neck_m: float):
    """Levels of two bulbs of 0.16 m diameter, 0.16 m tall each, about a neck 20 mm long."""
    n, nz = 44, 88
    axis = (np.arange(n) + 0.5 - n / 2) * CELL
    away = np.hypot(axis[:, None], axis[None, :])
    z = (np.arange(nz) + 0.5) * CELL - nz * CELL / 2
    bulb = 0.08 * np.sqrt(np.clip(1 - ((np.abs(z) - 0.09) / 0.08) ** 2, 0, 1))
    radius = np.where(np.abs(z) < 0.09, np.maximum(bulb, neck_m / 2), bulb)
    share = np.rint(255 * np.clip(0.5 + (radius - away[:, :, None]) / CELL, 0, 1)).astype(np.uint8)
    share[:, :, radius <= 0] = 0
    frame = PourFrame(np.eye(3), np.zeros(3), np.array([n, n, nz]) * CELL)
    volume = share.sum() / 255 * CELL**3
    cavity = Cavity(
        Grid(np.zeros(3), CELL, share.shape), frame, share, volume, volume, volume, 0, 0.0, 0.0, "turned by hand"
    )
    return build_levels(cavity), volume


@pytest.fixture(scope="module")
def foams():
    reaction = fit_reaction(load_grade("rigid-3"))
    return {t: rising_foam(simulate_cup(reaction, Conditions(t, t, t))) for t in (283.15, 295.4, 305.0)}


def _poured(graph, volume, foam, packing=1.1):
    k = len(graph.node_level)
    top = int(np.argmax(graph.node_level))
    return simulate_rise(
        Rooms(graph, np.arange(k), np.ones(k)),
        packing * volume * foam.free_density_kg_m3,
        foam,
        outlets=(Outlet("V1", top, 0.008, 1, 0.004),),
        covered=True,
    )


def test_wide_neck_is_passed_and_narrow_one_is_a_void_in_the_upper_bulb(foams):
    foam = foams[295.4]
    wide, volume = _turned(0.06)
    assert not _poured(wide, volume, foam).short
    narrow, volume = _turned(0.006)
    result = _poured(narrow, volume, foam)
    assert result.short
    void = result.voids[0]
    assert void.reason == "gelled on the way"
    assert void.neck_m < 0.012
    assert abs(narrow.node_centroid_m[void.neck_node][2] - 0.176) < 0.03  # the neck is where it was made
    assert void.point_m[2] > 0.2
    assert void.volume_m3 > 0.2 * volume
    held = volume - result.void_m3
    assert result.density_kg_m3 == pytest.approx((result.mass_kg - result.outlets[0].foam_kg) / held, rel=1e-6)
    assert result.peak_pa > 10_000  # what did not pass presses below


def test_packing_cannot_help_past_a_shut_neck(foams):
    graph, _ = _turned(0.006)
    k = len(graph.node_level)
    top = int(np.argmax(graph.node_level))
    need = packing_to_fill(
        Rooms(graph, np.arange(k), np.ones(k)),
        foams[295.4],
        outlets=(Outlet("V1", top, 0.008, 1, 0.004),),
        covered=True,
    )
    assert not need.reached


def test_narrower_necks_leave_more(foams):
    lost = []
    for neck in (0.06, 0.016, 0.010, 0.006):
        graph, volume = _turned(neck)
        lost.append(_poured(graph, volume, foams[295.4]).void_m3 / volume)
    assert lost == sorted(lost)
    assert lost[-1] > lost[0] + 0.2


def test_cold_parts_leave_a_shorter_fill_of_the_same_liquids(foams):
    """The same kilograms: colder foam is denser, and more of the upper bulb stays empty.

    The neck is wide: at a narrow one cold hardly counts by itself, because the foam is thicker for as much longer.
    """
    graph, volume = _turned(0.06)
    k, top = len(graph.node_level), int(np.argmax(graph.node_level))
    mass = 0.97 * volume * foams[295.4].free_density_kg_m3
    lost = {
        t: simulate_rise(
            Rooms(graph, np.arange(k), np.ones(k)),
            mass,
            foam,
            covered=True,
            outlets=(Outlet("V1", top, 0.008, 1, 0.004),),
        ).void_m3
        for t, foam in foams.items()
    }
    assert lost[283.15] > lost[295.4] > lost[305.0]
