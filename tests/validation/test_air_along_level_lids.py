"""Air under lids followed point by point, independent of how tilts are found: the smallest that leads all to a corner.

Bubbles on a plane lid go straight up its slope until a side stops them and along that side then, as buoyancy has it:
the sides are those of shapely polygons, tilts are tried on a fine fan of directions, and none smaller than the told one
may lead every bubble to one place along sides that slope by 3 degrees or more.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.access import level_ceilings, smallest_tilt
from pourwright.cavity import build_cavity, build_levels, straight_up

LEAST = math.tan(math.radians(3.0))
LIDS = {
    "oblong": [(0, 0), (0.7, 0), (0.7, 0.4), (0, 0.4)],
    "triangle": [(0, 0), (0.8, 0), (0.2, 0.6)],
    "L": [(0, 0), (0.8, 0), (0.8, 0.3), (0.3, 0.3), (0.3, 0.7), (0, 0.7)],
    "trapezium": [(0, 0), (0.9, 0.1), (0.7, 0.5), (0.1, 0.45)],
}


def _gathers(ring, gradient):
    """Corners at which bubbles stay, and the flattest side any of them goes along."""
    lid = shapely.Polygon(ring)
    way = gradient / np.hypot(*gradient)
    stays, flattest = set(), math.inf
    sides = list(zip(ring, np.roll(ring, -1, axis=0), strict=True))
    low, high = np.min(ring, axis=0), np.max(ring, axis=0)
    spots = [np.array([x, y]) for x in np.linspace(low[0], high[0], 9) for y in np.linspace(low[1], high[1], 9)]
    for at in (spot for spot in spots if lid.buffer(-1e-3).contains(shapely.Point(spot))):
        for _ in range(20):
            far = shapely.LineString([at, at + 10 * way])
            hit = shapely.intersection(far, lid.exterior)
            ends = [np.array(p.coords[0]) for p in shapely.get_parts(hit) if p.geom_type == "Point"]
            ends = [end for end in ends if np.linalg.norm(end - at) > 1e-6]
            if not ends:
                break
            at = min(ends, key=lambda end: np.linalg.norm(end - at))
            a, b = min(sides, key=lambda side: shapely.LineString(side).distance(shapely.Point(at)))
            along = (b - a) / np.linalg.norm(b - a)
            flattest = min(flattest, abs(float(along @ gradient)))
            at = b if along @ gradient > 0 else a
            while True:  # up the sides, as long as they go up and the lid does not open upwards
                k = int(np.argmin(np.linalg.norm(ring - at, axis=1)))
                if lid.contains(shapely.Point(at + 1e-4 * way)):
                    break
                up = [ring[(k + s) % len(ring)] for s in (1, -1)]
                up = [p for p in up if (p - at) @ gradient > 1e-12]
                if not up:
                    break
                nxt = max(up, key=lambda p: float((p - at) @ gradient / np.linalg.norm(p - at)))
                flattest = min(flattest, float((nxt - at) @ gradient / np.linalg.norm(nxt - at)))
                at = nxt
            if not lid.contains(shapely.Point(at + 1e-4 * way)):
                break
        stays.add(tuple(np.round(at, 6)))
    return stays, flattest


@pytest.mark.parametrize("name", LIDS)
def test_no_smaller_tilt_leads_all_bubbles_to_one_corner(skin_of, stand, name):
    ring = np.array(LIDS[name], float)
    tank = trimesh.creation.extrude_polygon(shapely.Polygon(ring), 0.3)
    skin = skin_of(tank, 0.003)
    frame = stand(skin)
    cavity = build_cavity(skin, frame, cell_m=0.01)
    columns = straight_up(cavity, build_levels(cavity))
    (ceiling,) = level_ceilings(cavity, columns, np.zeros(len(columns.low), bool))
    tilt = smallest_tilt([ceiling], frame.size_m[:2])
    assert tilt is not None
    stays, flattest = _gathers(ring, 1.03 * tilt.rise)
    assert len(stays) == 1
    assert flattest >= 0.97 * LEAST
    gathered = frame.to_shell(tilt.to_m[0])[:2]
    assert np.linalg.norm(gathered - np.array(next(iter(stays)))) < 0.03
    for turn in np.radians(np.arange(0.0, 360.0, 3.0)):
        smaller = 0.93 * float(np.hypot(*tilt.rise)) * np.array([math.cos(turn), math.sin(turn)])
        stays, flattest = _gathers(ring, smaller)
        assert len(stays) > 1 or flattest < LEAST
