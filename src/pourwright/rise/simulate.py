"""One pour rising in its part of the level graph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.errors import UsageError
from pourwright.physics import orifice
from pourwright.rise._kernel import march
from pourwright.rise._network import RiseNetwork, build_network, liquid_in
from pourwright.rise._voids import find_voids
from pourwright.rise.foam import RisingFoam
from pourwright.rise.model import Outlet, OutletFlow, RiseResult, RiseSettings, Rooms


@dataclass(eq=False)
class _Run:
    """Arrays the march writes to: rooms, outlets, times."""

    mass: np.ndarray
    fill: np.ndarray
    filled_s: np.ndarray
    speed: np.ndarray
    drop: np.ndarray
    peak: np.ndarray
    peak_s: np.ndarray
    out_mass: np.ndarray
    out_from: np.ndarray
    out_back: np.ndarray
    history: np.ndarray
    air_flow: np.ndarray


def simulate_rise(
    rooms: Rooms,
    mass_kg: float,
    foam: RisingFoam,
    *,
    outlets: tuple[Outlet, ...] = (),
    covered: bool = False,
    settings: RiseSettings | None = None,
) -> RiseResult:
    """How one pour rises: level, pressure, what it does not fill, what leaves.

    Parameters
    ----------
    rooms : Rooms
        What the pour fills.
    mass_kg : float
        Mixed liquids poured [kg].
    foam : RisingFoam
        See `rising_foam`.
    outlets : tuple of Outlet
        Vents and openings at nodes of the pour. Where the graph goes on above the pour, it is open to the air anyway.
    covered : bool
        The way up from the pour is shut (a lid, or foam of another pour that has set).
    settings : RiseSettings, optional

    Returns
    -------
    RiseResult

    Raises
    ------
    UsageError
        If nodes, shares or outlets do not fit, or the liquid takes more room than the pour has.

    Notes
    -----
    Rooms (nodes) hold foam of one age that expands evenly; between rooms it flows by ``Q = A Dh^2 / (c mu dz) dp``,
    slow and laminar, ``c`` 32 to 48 by the section (see `section_factor`), with the viscosity of the moment and the
    head. A room that is not full stands at the pressure of its air: that of the shop where the air has a way out, else
    what the air is squeezed to. A full room presses by the gas law, ``p = p_air (v_free - v_s) / (v - v_s)``. So
    nothing decides beforehand whether a neck is passed: foam stops where the pressure its gas can raise no longer
    moves it before the rise is over. One implicit step after another, mass kept to rounding.

    Left out: dense foam at cold skin other than through ``foam``, differences of age between batches, sideways flow
    over a floor (foam finds its level in a room at once), a skin that gives way, gas lost through burst cells. The
    first makes short fills likelier, the last two make pressures lower than computed.
    """
    settings = settings or RiseSettings()
    if not mass_kg > 0:
        raise UsageError(f"a pour of {mass_kg:g} kg cannot rise: give a mass above 0")
    net = build_network(rooms.graph, rooms.nodes, rooms.shares, outlets, covered)
    out_ease = net.out_ease if settings.foam_leaves else np.zeros_like(net.out_ease)
    start = 0
    if rooms.start_node is not None:
        found = np.flatnonzero(net.node == rooms.start_node)
        if not len(found):
            raise UsageError(f"the liquid lands at node {rooms.start_node}, which the pour does not fill")
        start = int(found[0])
    times = _times(foam, settings)
    volumes = np.interp(times, foam.time_s, foam.volume_m3_kg)
    mus = np.exp(np.interp(times, foam.time_s, np.log(foam.viscosity_pa_s)))
    k, outs = len(net.node), len(net.out_node)
    run = _Run(
        mass=liquid_in(net, start, mass_kg, float(volumes[0])),
        fill=np.zeros(k),
        filled_s=np.full(k, np.nan),
        speed=np.zeros(k),
        drop=np.zeros(k),
        peak=np.zeros(k),
        peak_s=np.zeros(k),
        out_mass=np.zeros(outs),
        out_from=np.full(outs, np.nan),
        out_back=np.zeros(outs),
        history=np.zeros((len(times), 3)),
        air_flow=np.zeros((len(times), outs)),
    )
    done = march(
        run.mass, times, volumes - foam.condensed_m3_kg, mus, foam.condensed_m3_kg, foam.pressure_pa, net.volume,
        net.height, net.low, net.high, net.ease, net.area, net.out_node, out_ease, net.out_head, net.out_air,
        settings.discharge, settings.air_density_kg_m3, net.width, run.fill, run.filled_s, run.speed, run.drop,
        run.peak, run.peak_s, run.out_mass, run.out_from, run.out_back, run.history, run.air_flow,
    )  # fmt: skip
    if done < 0:
        raise RuntimeError("the rise could not be followed: no step small enough closes the balance of mass")
    run.history[0] = run.history[1]
    run.history[0, 0] = mass_kg * volumes[0]
    return _result(net, foam, settings, outlets, mass_kg, times, run)


def _times(foam: RisingFoam, settings: RiseSettings) -> np.ndarray:
    """Steps even in time and in volume, whichever is closer; the gel time is one of them."""
    end = float(foam.time_s[-1])
    even = np.linspace(0.0, end, max(2, int(np.ceil(end / settings.time_step_s)) + 1))
    gained = foam.volume_m3_kg - foam.volume_m3_kg[0]
    rising = np.flatnonzero(np.diff(gained, prepend=-1.0) > 0)
    wanted = np.arange(settings.share_step, 1.0, settings.share_step) * gained[-1]
    by_volume = np.interp(wanted, gained[rising], foam.time_s[rising])
    gel = min(foam.gel_s, end)
    times = np.unique(np.concatenate([even, by_volume]))
    # No slivers of time: a flow is a small volume over a step.
    keep = np.diff(times, prepend=-np.inf) > 0.02 * settings.time_step_s
    times = times[keep & (np.abs(times - gel) > 0.02 * settings.time_step_s)]
    return np.unique(np.concatenate([[0.0], times[times < end - 0.02 * settings.time_step_s], [gel, end]]))


def _result(
    net: RiseNetwork,
    foam: RisingFoam,
    settings: RiseSettings,
    outlets: tuple[Outlet, ...],
    mass_kg: float,
    times: np.ndarray,
    run: _Run,
) -> RiseResult:
    given = len(outlets)
    empty = net.volume * (1 - run.fill)
    voids = find_voids(net, run.fill, run.out_back, len(outlets), foam, settings.void_share, mass_kg)
    worst = int(np.argmax(run.peak))
    back = np.argsort(net.order)
    gel = min(int(np.searchsorted(times, foam.gel_s - 1e-6)), len(times) - 1)
    arrays = {
        "nodes": net.node[back],
        "time_s": times,
        "foam_m3": run.history[:, 0].copy(),
        "level_m": run.history[:, 1].copy(),
        "pressure_pa": run.history[:, 2].copy(),
        "filled_share": run.fill[back],
        "filled_s": run.filled_s[back],
        "speed_m_s": run.speed[back],
        "drop_pa": run.drop[back],
        "node_peak_pa": run.peak[back],
        "node_peak_s": run.peak_s[back],
        "peak_point_m": net.centroid[worst].copy(),
    }
    for array in arrays.values():
        array.setflags(write=False)
    return RiseResult(
        **arrays,
        peak_pa=float(run.peak[worst]),
        peak_s=float(run.peak_s[worst]),
        gel_s=foam.gel_s,
        at_gel_pa=float(run.history[gel, 2]),
        voids=voids,
        void_m3=float(empty.sum()),
        short=any(v.lasting for v in voids),
        density_kg_m3=float(run.mass.sum() / np.dot(net.volume, run.fill)),
        above_kg=float(run.out_mass[given:].sum()),
        outlets=tuple(_outlet(o, i, times, run, foam, settings) for i, o in enumerate(outlets)),
        mass_kg=mass_kg,
        mass_residual=float((mass_kg - run.mass.sum() - run.out_mass.sum()) / mass_kg),
        steps=len(times) - 1,
    )


def _outlet(
    outlet: Outlet, place: int, times: np.ndarray, run: _Run, foam: RisingFoam, settings: RiseSettings
) -> OutletFlow:
    air = run.air_flow[:, place].copy()
    air.setflags(write=False)
    most = int(np.argmax(air))
    rate, need = float(air[most]), 0.0
    if rate > 0:
        each = rate / outlet.holes
        need = float(
            orifice.orifice_diameter(each, settings.vent_pressure_pa, settings.air_density_kg_m3, settings.discharge)
        )
    return OutletFlow(
        outlet=outlet,
        air_m3_s=air,
        air_peak_m3_s=rate,
        air_peak_s=float(times[most]),
        hole_needed_m=need,
        back_pressure_pa=float(run.out_back[place]),
        foam_kg=float(run.out_mass[place]),
        foam_m3=float(run.out_mass[place] / foam.free_density_kg_m3),
        foam_from_s=float(run.out_from[place]),
    )
