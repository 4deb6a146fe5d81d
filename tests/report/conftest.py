"""A plan made by hand, so that paper is tested without the stages that make one."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.cavity import Cavity, Extremum, Grid, LevelGraph, pour_frame
from pourwright.evaluation import ByFormulas
from pourwright.findings import Code, finding
from pourwright.foam import Conditions, Parts, at_conditions, load_grade
from pourwright.lifts import Check, Landing, Lift, Measures, OneMore, Port, Pour, ShopLimits, Vent
from pourwright.outcome import Outcome, StiffnessGain
from pourwright.plan import Computed, Job, LiftPlan, Plan
from pourwright.ranges import Range
from pourwright.shell import MeshFinding, Opening, Skin, SkinKind, WallBand, skin_material

ONE_MORE = OneMore(Check("lift thickness", 0.505, 0.5, "m", "over", "our judgement, no published source"), 0.505)
HOLES = finding(Code.HOLES, count=2.0, area_m2=0.004, largest_m=0.05, at_m=(0.1, 0.2, 0.3))
UP, FRONT = np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0])
BOX = np.array([[x, y, z] for x in (0.0, 0.4) for y in (0.0, 0.3) for z in (0.0, 1.0)])
SIDES = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ]
)  # fmt: skip


def _skin():
    return Skin(
        source="box.stl",
        sha256="0" * 64,
        unit="m",
        kind=SkinKind.OPEN,
        kind_reason="one rim is open",
        vertices_m=BOX,
        faces=SIDES,
        cap_opening=np.full(12, -1, np.int32),
        void_face=np.zeros(12, bool),
        openings=(Opening("opening 1", BOX[[1, 3, 7, 5]], np.array([0.2, 0.15, 1.0]), UP, 0.12),),
        bands=(WallBand("foot", -math.inf, 0.5, 0.005), WallBand("top", 0.5, math.inf, 0.003)),
        material=skin_material("grp"),
        triangles=12,
        watertight=False,
        area_m2=1.52,
        enclosed_m3=0.12,
        findings=(MeshFinding(HOLES),),
    )


def _graph():
    zeros = np.zeros(0)
    points = np.zeros((0, 3))
    pool = Extremum("pool", 0, 0, 2, 1, 0.9, True, np.array([0.1, 0.1, 0.005]), np.array([0.1, 0.1, 0.005]))
    pocket = Extremum("pocket", 1, 1, 0, 0, 0.4, True, np.array([0.1, 0.1, 0.995]), np.array([0.1, 0.1, 0.995]))
    return LevelGraph(
        level_m=np.linspace(0.0, 1.0, 3),
        node_level=np.zeros(0, np.int32),
        node_volume_m3=zeros,
        node_area_m2=zeros,
        node_centroid_m=points,
        node_perimeter_m=zeros,
        node_hydraulic_diameter_m=zeros,
        node_width_m=zeros,
        edge_lower=zeros,
        edge_upper=zeros,
        edge_overlap_m2=zeros,
        label=np.zeros((1, 1, 1), np.int32),
        pools=(pool,),
        pockets=(pocket,),
        ripple_m=0.01,
    )


def _pour(lift, name, bottom, top, *, verdict="ok", landings=(), vents=(), hottest_k=470.0):
    value = {"ok": 0.18, "over": 0.25, "unknown": math.nan}[verdict]
    check = Check(
        "lift thickness", value, 0.2, "m", verdict, "our judgement, no published source", "a supplier's figure"
    )
    return Pour(
        name=name,
        lift=lift,
        nodes=np.zeros(1, int),
        shares=np.ones(1),
        bottom_m=bottom,
        top_m=top,
        volume_m3=0.055,
        closes=lift == 2,
        foam_kg=Range(2.4, 2.7, 3.0),
        parts=Parts(1.45, 1.26, 0.001174, 0.001172),
        batches=2,
        batch=Parts(0.725, 0.63, 0.000587, 0.000586),
        landings=landings,
        vents=vents,
        rise_m=top - bottom,
        peak_k=Range(380.0, 400.0, hottest_k),
        hot_hours=8.3,
        peak_pressure_pa=Range(0.0, 235.0, 10700.0),
        wait_s=11000.0,
        checks=(check,),
    )


def _lift_plan(verdict):
    place = Measures(1.0, 0.2, 0.15)
    port = Port("P1", "opening", "opening 1", np.array([0.2, 0.15, 1.0]), place, 0.0)
    drilled = Port("P2", "drilled", "", np.array([0.0, 0.15, 0.6]), Measures(0.6, 0.0, 0.15), 0.02)
    vent = Vent("V1", "drilled", "", np.array([0.0, 0.0, 0.99]), Measures(0.99, 0.0, 0.0), 0.01, 2, 2e-4, 0.4)
    low = Landing(port, np.array([0.2, 0.15, 0.0]), 1.0, 0.3, Measures(1.0, 0.2, 0.15))
    high = Landing(drilled, np.array([0.1, 0.15, 0.5]), 0.1, 0.2, drilled.measures)
    first = _pour(1, "1a", 0.0, 0.5, landings=(low,))
    second = _pour(2, "2a", 0.5, 1.0, verdict=verdict, landings=(high, low), vents=(vent,))
    stray = _pour(2, "2b", 0.5, 0.8, hottest_k=math.inf)
    lifts = (
        Lift(
            1,
            0,
            1,
            0.0,
            0.5,
            0.055,
            (first,),
            "lift thickness",
            ONE_MORE,
            wait_s=10980.0,
        ),
        Lift(2, 1, 2, 0.5, 1.0, 0.11, (second, stray), "full", wait_s=10980.0),
    )
    return LiftPlan(lifts, (port, drilled), (vent,), "2 lifts, the fewest there can be", 0.0, ("a warning",))


def _outcome():
    exact = np.array([0.2, 0.15, 0.5])
    return Outcome(
        foam_kg=Range(7.2, 8.1, 9.0),
        skin_kg=Range(9.0, 10.0, 11.0),
        total_kg=Range(16.2, 18.1, 20.0),
        liquids_a_kg=5.2,
        liquids_b_kg=4.5,
        liquids_a_m3=0.0042,
        liquids_b_m3=0.0042,
        loss_share=0.08,
        centre_before_m=exact,
        centre_of_mass_m=exact,
        after_lift_kg=(Range(11.0, 12.7, 14.0), Range(16.2, 18.1, 20.0)),
        after_lift_centre_m=np.array([exact, exact]),
        stiffness=(StiffnessGain("dent", 3.0, 5.0, math.nan, "a push on the worst spot"),),
        gap_m=0.003,
    )


@pytest.fixture
def hand_plan():
    """``hand_plan(verdict="ok", **job changes)`` -> Plan."""

    def make(verdict="ok", **changes):
        job = Job(
            name="Box",
            shell=Path("box.stl"),
            unit="m",
            material=skin_material("grp"),
            bands=(),
            grade=load_grade("rigid-3"),
            limits=ShopLimits(),
            assumed=('up taken as "+z"',),
            place="Quay shed",
        )
        skin, frame = _skin(), pour_frame(BOX, UP, FRONT)
        grid = Grid(np.zeros(3), 0.005, (1, 1, 1))
        cavity = Cavity(grid, frame, np.zeros((1, 1, 1), np.uint8), 0.11, 0.1, 0.12, 3, 2e-6, 1e-6, "by hand")
        return Plan(
            job=replace(job, **changes),
            skin=skin,
            frame=frame,
            cavity=cavity,
            graph=_graph(),
            foam=at_conditions(load_grade("rigid-3"), Conditions(295.0, 294.0, 293.0)),
            lift_plan=_lift_plan(verdict),
            outcome=_outcome(),
            checks=(Check("skin temperature", math.nan, 328.15, "K", "unknown", "from memory", "watch a thermometer"),),
            warnings=(HOLES, finding(Code.SEVERAL_BODIES, count=2.0)),
            cautions=("Part A is an isocyanate.",),
            provenance={"program": "pourwright 0", "libraries": "none"},
            computed=Computed(SimpleNamespace(cup=None), ByFormulas(), (), 0, ()),
        )

    return make
