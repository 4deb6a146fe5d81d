"""Inertia and centre of curved pieces: thin-shell integrals over the triangles (edge-midpoint quadrature, exact for
squares: Hammer & Stroud 1956, from memory) and trimesh's moments of solid meshes.

Neither knows of cells. The wall stands at its middle surface, surface density times area; the foam is the solid inside
the wall's inner face, both made by moving the corners along their normals.
"""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.outcome import FINISHED, predict, weigh
from pourwright.panels import panels

ROOM = Conditions(295.372, 295.372, 295.372)
WALL = 0.006


def tilted(mesh):
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.6, (1.0, 0.3, 0.0)))
    return mesh


def ellipsoid():
    mesh = trimesh.creation.icosphere(4, 1.0)
    mesh.apply_scale((0.35, 0.2, 0.5))
    return tilted(mesh)


BODIES = {
    "sphere": lambda: trimesh.creation.icosphere(4, 0.3),
    "ellipsoid": ellipsoid,
    "tilted cylinder with round ends": lambda: tilted(trimesh.creation.capsule(0.6, 0.15, count=[48, 48])),
    "torus": lambda: tilted(trimesh.creation.torus(0.4, 0.15, major_sections=64, minor_sections=32)),
}


@pytest.fixture(scope="module", params=BODIES, ids=lambda name: name.replace(" ", "-"))
def body(request, skin_of, stand):
    mesh = BODIES[request.param]()
    skin = skin_of(mesh, WALL)
    frame = stand(skin)
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade("rigid-3"), ROOM)
    shop = ShopLimits(hands=4, largest_batch_m3=0.02)
    lifts = plan_lifts(Space(skin, cavity, graph, panels(skin)), foam, shop)
    return mesh, skin, predict(skin, (), cavity, graph, foam, lifts, loss_share=0.1)


def surface_moments(points, faces):
    """Area, centre and spread (mean of d d') of a surface."""
    corner = points[faces]
    area = 0.5 * np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
    edge = 0.5 * (corner + np.roll(corner, -1, axis=1))
    centre = np.einsum("t,tki->i", area / 3, edge) / area.sum()
    away = edge - centre
    return area.sum(), centre, np.einsum("t,tki,tkj->ij", area / 3, away, away) / area.sum()


def inertia_of(spread):
    return np.trace(spread) * np.eye(3) - spread


def inward(mesh, depth):
    return np.asarray(mesh.vertices) - depth * np.asarray(mesh.vertex_normals)


def filling(mesh):
    """Solid inside the wall."""
    return trimesh.Trimesh(inward(mesh, WALL), mesh.faces, process=False)


def test_the_empty_skin_turns_like_its_shell(body):
    mesh, skin, outcome = body
    area, centre, spread = surface_moments(inward(mesh, WALL / 2), mesh.faces)
    empty = next(part for part in outcome.parts if part.kind == "skin")
    shell = area * WALL * skin.material.density_kg_m3
    assert empty.kg.nominal == pytest.approx(shell, rel=0.01)
    assert empty.centre_m == pytest.approx(centre, abs=2e-4)
    # The whole tensor, products too, checked against its own size.
    expected = inertia_of(spread)
    assert inertia_of(empty.spread_m2) == pytest.approx(expected, abs=0.005 * np.linalg.norm(expected))
    assert np.linalg.eigvalsh(inertia_of(empty.spread_m2)) == pytest.approx(np.linalg.eigvalsh(expected), rel=0.01)


def test_foam_of_all_lifts_turns_like_the_solid(body):
    mesh, _, outcome = body
    solid = filling(mesh)
    foam = [part for part in outcome.parts if part.kind == "foam"]
    density = [part.kg.nominal for part in foam]
    # Every lift by its share of the volume, whatever its density: the solid's own moments.
    pours = np.array(density) / np.sum(density)
    kg, centre = np.array(density), np.array([part.centre_m for part in foam])
    middle = pours @ centre
    away = centre - middle
    spread = np.einsum("p,pij->ij", pours, np.array([part.spread_m2 for part in foam]))
    spread += np.einsum("p,pi,pj->ij", pours, away, away)
    # A closing lift is packed denser by some percent: nearly the even solid.
    expected = np.asarray(solid.moment_inertia) / solid.volume
    assert kg.sum() == pytest.approx(outcome.foam_kg.nominal, rel=1e-9)
    assert np.linalg.eigvalsh(inertia_of(spread)) == pytest.approx(np.linalg.eigvalsh(expected), rel=0.01)


def test_the_finished_piece_turns_like_shell_and_solid(body):
    mesh, skin, outcome = body
    area, shell_at, shell_spread = surface_moments(inward(mesh, WALL / 2), mesh.faces)
    solid = filling(mesh)
    shell_kg, foam_kg = area * WALL * skin.material.density_kg_m3, outcome.foam_kg.nominal
    centre = (shell_kg * shell_at + foam_kg * solid.center_mass) / (shell_kg + foam_kg)

    def about(kg, own, at):
        away = at - centre
        return own + kg * (away @ away * np.eye(3) - np.outer(away, away))

    expected = about(shell_kg, shell_kg * inertia_of(shell_spread), shell_at)
    expected += about(foam_kg, foam_kg * np.asarray(solid.moment_inertia) / solid.volume, solid.center_mass)
    finished = next(stage for stage in weigh(outcome.parts).stages if stage.number == FINISHED)
    assert finished.centre_m == pytest.approx(centre, abs=3e-3)  # the closing lift is denser, by some percent
    assert np.linalg.eigvalsh(finished.inertia_kgm2) == pytest.approx(np.linalg.eigvalsh(expected), rel=0.015)
