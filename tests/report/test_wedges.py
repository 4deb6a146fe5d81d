"""Blocks under a tilted piece, measured on the drawing and on the mesh that trimesh turns by the same angle."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from lxml import etree

from pourwright.access import Tilt
from pourwright.report.bench import wedged, wedges_svg


def _tilted(plan, right, back):
    low = plan.frame.to_standing(plan.skin.vertices_m)
    low = low[low[:, 2] <= low[:, 2].min() + 0.02]
    foot = np.ptp(low[:, :2], axis=0)
    tilt = Tilt(np.array([right, back]), (), float(right * foot[0]), float(back * foot[1]))
    return replace(plan, lift_plan=replace(plan.lift_plan, tilt=tilt)), tilt


@pytest.mark.parametrize(("right", "back"), [(0.06, 0.0), (-0.06, 0.0), (0.0, 0.09), (0.05, -0.08)])
def test_the_piece_rests_on_its_edge_and_its_block(stool_plan, right, back):
    plan, tilt = _tilted(stool_plan, right, back)
    views = wedged(plan, tilt)
    assert len(views) == (right != 0) + (back != 0)
    standing = trimesh.Trimesh(plan.frame.to_standing(plan.skin.vertices_m), plan.skin.faces, process=False)
    for view in views:
        rise, axis, sides = (right, 0, "right left") if view.name == "from the front" else (back, 1, "back front")
        assert view.side == sides.split()[0 if rise > 0 else 1]
        about = [0, 1, 0] if axis == 0 else [1, 0, 0]
        turn = -math.atan(rise) if axis == 0 else math.atan(rise)  # trimesh turns by the right hand
        turned = standing.copy().apply_transform(trimesh.transformations.rotation_matrix(turn, about))
        low, high = view.outline.bounds[1], view.outline.bounds[3]
        assert high - low == pytest.approx(np.ptp(turned.vertices[:, 2]), abs=1e-6)
        # what stands on the floor is the edge it turns about, within the 20 mm over the base that count as its foot
        assert -1e-9 <= low <= 0.02
        foot = abs(tilt.right_m if axis == 0 else tilt.back_m)
        assert view.block[1, 1] == pytest.approx(foot, rel=0.01)
        assert view.block[2, 1] < view.block[1, 1]
        assert view.height_m == pytest.approx(foot)


def test_the_drawing_is_to_scale_and_says_the_height(stool_plan):
    plan, tilt = _tilted(stool_plan, 0.06, 0.0)
    root = etree.fromstring(wedges_svg(plan).encode())
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(float(root.get("viewBox").split()[2]))
    drawn = {}
    for kind in ("outline", "block"):
        numbers = re.findall(r"-?\d+\.\d+", root.find(f".//{{*}}path[@class='{kind}']").get("d"))
        drawn[kind] = np.array(numbers, float).reshape(-1, 2)
    (view,) = wedged(plan, tilt)
    scale = np.ptp(drawn["outline"][:, 0]) / (view.outline.bounds[2] - view.outline.bounds[0])
    assert np.ptp(drawn["block"][:, 1]) / scale == pytest.approx(tilt.right_m, rel=0.02)
    words = " ".join(root.itertext())
    assert f"{1e3 * tilt.right_m:.0f} mm" in words
    assert "under its right edge, 3.4" in words
    assert wedges_svg(stool_plan) == ""
