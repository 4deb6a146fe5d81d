"""Packing has one meaning, moulded over free-rise density, and a pour that closes has one pressure, wherever it stands.

From outside: the gas of a packed foam is squeezed at one temperature (Boyle: p dv = -v dp), integrated here by scipy
from free rise to the space it is held in; solid polyurethane 1200 kg/m3 (Gibson & Ashby, Cellular Solids, 2nd ed. 1997,
table 3.1, from memory). Usual practice for the term: packing factor is moulded density over free-rise density.
"""

import csv
import io
import json
import math
import re

import pytest
from rich.console import Console
from scipy.integrate import solve_ivp
from tests.reference.seen import lifts_seen, pours_seen

from pourwright.document.plan_json import plan_json
from pourwright.lifts import judged
from pourwright.report.markdown import plan_markdown
from pourwright.report.pours_csv import pours_csv
from pourwright.report.tables import print_plan

AIR_PA, SOLID_KG_M3 = 101325.0, 1200.0
PACKED = 1.15


def squeezed_pa(packing, free_kg_m3):
    """Gauge pressure of gas squeezed, at one temperature, from free rise to a foam ``packing`` times as dense."""
    gas = [1 / density - 1 / SOLID_KG_M3 for density in (free_kg_m3, packing * free_kg_m3)]
    rest = solve_ivp(lambda v, p: -p / v, gas, [AIR_PA], rtol=1e-10, atol=1e-6)
    return float(rest.y[0, -1]) - AIR_PA


@pytest.fixture(scope="module", params=[True, False], ids=["computed", "formulas"])
def plan(request, plan_of):
    return plan_of("column", **{"foam.packing": PACKED, "heat.computed": request.param})


def _closing(plan):
    found = [pour for pour in pours_seen(plan) if pour.closes]
    assert found
    return found


def _texts(plan):
    terminal = io.StringIO()
    print_plan(plan, Console(file=terminal, width=300))
    return [" ".join(t.replace("\u00a0", " ").split()) for t in (terminal.getvalue(), plan_markdown(plan))]


def test_packing_is_moulded_over_free_rise_density_wherever_it_stands(plan):
    told = {pour["name"]: pour for lift in json.loads(plan_json(plan))["lifts"] for pour in lift["pours"]}
    rows = {row["pour"]: row for row in csv.DictReader(io.StringIO(pours_csv(plan)))}
    free = plan.foam.free_rise_density_kg_m3.nominal
    for lift in lifts_seen(plan):
        for pour in lift.pours:
            moulded = pour.foam_kg.nominal / pour.volume_m3
            assert told[pour.name]["packing"] == pytest.approx(moulded / free, rel=1e-6)
            assert float(rows[pour.name]["packing"]) == pytest.approx(moulded / free, abs=6e-4)
            if pour.rise is not None:
                assert pour.rise.packing == pytest.approx(moulded / free, rel=1e-6)
                assert told[pour.name]["rise"]["packing"] == pytest.approx(moulded / free, rel=1e-6)
    for pour in _closing(plan):
        assert told[pour.name]["packing"] == pytest.approx(PACKED, rel=1e-6)  # what the job asks for
        if pour.rise is not None:
            assert 1.0 < pour.rise.packing_needed <= PACKED + 0.01  # on the same base: never below free rise here
    for text in _texts(plan):
        assert set(re.findall(r"packed to ([\d.]+) times", text)) == {f"{PACKED:.2f}"}


def test_a_pour_that_closes_presses_as_its_gas_does_in_every_place(plan):
    told = {pour["name"]: pour for lift in json.loads(plan_json(plan))["lifts"] for pour in lift["pours"]}
    rows = {row["pour"]: row for row in csv.DictReader(io.StringIO(pours_csv(plan)))}
    free = plan.foam.free_rise_density_kg_m3.nominal
    for pour in _closing(plan):
        gas = squeezed_pa(PACKED, free)
        assert gas == pytest.approx(15.93e3, rel=0.02)  # at 48.06 kg/m3, by hand
        head = 9.81 * PACKED * free * pour.rise_m  # of the foam itself, lowest against highest
        here = pour.peak_pressure_pa
        assert 0.999 * gas <= here.nominal <= 1.01 * gas + head
        (check,) = [check for check in pour.checks if check.name == judged.PRESSURE]
        assert check.value == here.nominal
        assert told[pour.name]["peak_pressure_pa"] == pytest.approx(here.nominal, rel=1e-6)
        assert 1e3 * float(rows[pour.name]["pressure_kpa"]) == pytest.approx(here.nominal, abs=1.0)
        if pour.rise is not None:
            assert 0.99 * gas <= pour.rise.peak_pa <= here.nominal
            assert told[pour.name]["rise"]["closed_pressure_pa"] == pytest.approx(gas, rel=1e-3)


def test_what_closes_a_hole_holds_the_pressure_that_the_plan_prints(plan):
    document = json.loads(plan_json(plan))
    high = {p["name"]: p["peak_pressure_pa_range"]["high"] for lift in document["lifts"] for p in lift["pours"]}
    closing = {pour.name for pour in _closing(plan)}
    held = [one for one in plan.lift_plan.closings if one.before in closing or one.inside in closing]
    assert held
    for one in held:
        hole = next(h for h in document["ports"] + document["vents"] if h["name"] == one.hole)
        assert hole["closing_force_n"] == pytest.approx(
            max(high.values()) * math.pi / 4 * hole["hole_m"] ** 2, rel=1e-6
        )
