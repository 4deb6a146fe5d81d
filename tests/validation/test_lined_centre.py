"""Centre of mass of a lined piece against closed forms: cylinders and a ball whose foam has run to one side.

External source: volumes and centroids of cylinders and of a thin spherical shell (any handbook of mechanics); a thin
shell of area density ``a (1 + c cos t)`` has its centre ``c R / 3`` from the middle: the integral of ``cos^2 t`` over
the sphere is a third of its area.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.intake import read_job
from pourwright.lining import PartRules, Rules
from pourwright.outcome.lined_mass import lined_foam
from pourwright.plan import make_plan

JOB = (
    '[piece]\nshell = "piece.ply"\nunit = "m"\nmaterial = "grp"\n[wall]\nthickness = "4 mm"\n'
    '[foam]\ngrade = "rigid-2"\n[grid]\ncell = "6 mm"\n'
)


def plan_of(folder, mesh, rules):
    mesh.export(folder / "piece.ply")
    (folder / "job.toml").write_text(JOB)
    return make_plan(replace(read_job(folder / "job.toml"), fill=rules))


def test_foam_that_lies_thicker_below_has_its_centre_there(tmp_path):
    radius, thick, more = 0.246, 0.03, 0.6
    plan = plan_of(tmp_path, trimesh.creation.icosphere(5, 0.25), Rules("lining", thick))
    lining = plan.lining
    below = -lining.inside.normal @ plan.frame.up
    shifted = replace(lining, laid=1.0 + more * below)
    even = replace(lining, laid=np.ones(len(below)))
    (coats, none), (round_, _) = (lined_foam(plan.cavity, plan.graph, one) for one in (shifted, even))
    assert none is None
    drop = float(round_.moments.middle_m()[2] - coats.moments.middle_m()[2])
    # each patch lies half its own thickness behind the skin, at R - d (1 + c cos t) / 2
    assert drop == pytest.approx(more * (radius - thick) / 3.0, rel=0.03)
    assert round_.moments.middle_m() == pytest.approx(plan.frame.to_standing(np.zeros((1, 3)))[0], abs=1e-3)


@pytest.mark.slow
def test_a_solid_leg_weighs_with_its_own_density_where_it_is(tmp_path):
    body = trimesh.creation.cylinder(0.2, segment=((0, 0, 0.5), (0, 0, 1.0)), sections=64)
    leg = trimesh.creation.cylinder(0.06, segment=((0, 0, 0), (0, 0, 0.51)), sections=64)
    mesh = trimesh.boolean.union([body, leg], engine="manifold")
    plan = plan_of(tmp_path, mesh, Rules("lining", 0.03, parts=(PartRules("leg", None, 0.0, 0.5),)))
    coats, solid = lined_foam(plan.cavity, plan.graph, replace(plan.lining, laid=np.ones(len(plan.lining.laid))))
    filled = math.pi * 0.056**2 * 0.496
    assert float(solid.moments.volume_m3.sum()) == pytest.approx(filled, rel=0.03)
    assert plan.frame.to_shell(solid.moments.middle_m())[2] == pytest.approx(0.004 + 0.496 / 2, abs=0.004)
    assert solid.kg.nominal == pytest.approx(filled * plan.foam.closed_density_kg_m3.nominal, rel=0.03)
    lined = math.pi * (0.196**2 * 0.492 - 0.166**2 * 0.432)
    assert float(coats.moments.volume_m3.sum()) == pytest.approx(lined, rel=0.03)
    assert plan.frame.to_shell(coats.moments.middle_m())[2] == pytest.approx(0.75, abs=0.01)
    named = {part.name: part for part in plan.outcome.parts}
    assert named["foam of solid parts"].kg.nominal == pytest.approx(solid.kg.nominal)
    assert plan.outcome.foam_kg.nominal == pytest.approx(named["foam lining"].kg.nominal + solid.kg.nominal)
