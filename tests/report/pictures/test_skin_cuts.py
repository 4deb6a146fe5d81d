"""The foam that is drawn is the skin, cut level: its points lie on the skin, its ends at the heights of the lift."""

import numpy as np
import trimesh

from pourwright.draw.lifts import stage_of
from pourwright.draw.regions import region_nodes
from pourwright.draw.skin_cuts import lift_skins, part_skins


def test_every_point_that_is_drawn_lies_on_the_skin(stool_plan):
    skin = trimesh.Trimesh(stool_plan.skin.vertices_m, stool_plan.skin.faces, process=False)
    for vertices, faces in lift_skins(stool_plan):
        assert len(faces) > 50
        some = vertices[:: max(1, len(vertices) // 60)]
        away = trimesh.proximity.closest_point(skin, some)[1]
        assert away.max() < 1e-6  # a surface of cells lies up to half a cell off


def test_lifts_end_level_at_their_heights_and_cover_the_skin_between(stool_plan):
    area = 0.0
    for lift, (vertices, faces) in zip(stool_plan.lift_plan.lifts, lift_skins(stool_plan), strict=True):
        height = stool_plan.frame.to_standing(vertices)[:, 2]
        assert height.max() <= max(pour.top_m for pour in lift.pours) + 1e-6
        assert height.min() >= min(pour.bottom_m for pour in lift.pours) - 1e-6
        area += trimesh.Trimesh(vertices, faces, process=False).area
    assert 0.9 < area / stool_plan.skin.area_m2 <= 1.0 + 1e-6


def test_pools_in_the_picture_of_the_cavity_lie_on_the_skin_too(stool_plan):
    graph = stool_plan.graph
    part = np.zeros(len(graph.node_level), int)
    for k, pool in enumerate(graph.pools, 1):
        part[region_nodes(graph, pool)] = k
    skin = trimesh.Trimesh(stool_plan.skin.vertices_m, stool_plan.skin.faces, process=False)
    whole, *legs = part_skins(stool_plan, part, 3)
    for (vertices, faces), side in zip(legs, (-1, 1), strict=True):
        assert len(faces) > 50
        assert trimesh.proximity.closest_point(skin, vertices[::7])[1].max() < 1e-6
        across = stool_plan.frame.to_standing(vertices)[:, 0] - 0.26
        assert np.all(np.sign(across) == side) or np.all(np.sign(across) == -side)  # one leg each
    join = graph.level_m[next(pool.merge_level for pool in graph.pools if not pool.essential)]
    assert stool_plan.frame.to_standing(legs[0][0])[:, 2].max() <= join + 1e-6
    areas = [trimesh.Trimesh(*surface, process=False).area for surface in (whole, *legs)]
    assert sum(areas) > 0.9 * stool_plan.skin.area_m2


def test_the_camera_is_level(stool_plan):
    view = stage_of(stool_plan).view
    points = np.array([[x, y, 0.3] for x in (0.0, 0.5) for y in (0.0, 0.3)])
    assert np.ptp(view.standing(points)[:, 1]) < 1e-9
