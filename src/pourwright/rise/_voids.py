"""Where a rise leaves space unfilled, and why."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, dijkstra

from pourwright.rise._network import RiseNetwork
from pourwright.rise.foam import RisingFoam
from pourwright.rise.model import BELOW, GELLED, Void

_FULL = 0.999  # a room filled to this share is full
_SLOW_AIR_PA = 5e3  # air that stood at more than this had too small a way out


def find_voids(
    net: RiseNetwork,
    fill: np.ndarray,
    out_back: np.ndarray,
    given: int,
    foam: RisingFoam,
    void_share: float,
    mass_kg: float,
) -> tuple[Void, ...]:
    """Rooms not full that hang together, largest first, with the reason and the narrowest place on the way to them.

    Of the network's outlets the first ``given`` are vents, the others lead into the space above.
    """
    open_ = fill < _FULL
    if not open_.any():
        return ()
    k = len(fill)
    empty = net.volume * (1 - fill)
    both = open_[net.low] & open_[net.high]
    links = coo_array((np.ones(int(both.sum())), (net.low[both], net.high[both])), shape=(k, k))
    piece = connected_components(links, directed=False)[1]
    ways = coo_array((1 / net.ease, (net.low, net.high)), shape=(k, k)).tocsr()
    distance, before = dijkstra(ways, directed=False, indices=0, return_predecessors=True)
    found = []
    for number in np.unique(piece[open_]):
        members = np.flatnonzero(open_ & (piece == number))
        volume = float(empty[members].sum())
        if volume <= void_share * float(net.volume.sum()):
            continue
        largest = int(members[np.argmax(empty[members])])
        neck = _neck(net, members, distance, before)
        point = net.centroid[largest].copy()
        point.setflags(write=False)
        heights = net.height[members]
        found.append(
            Void(
                node=int(net.node[largest]),
                point_m=point,
                volume_m3=volume,
                bottom_m=float(heights.min() - 0.5 * net.level_height),
                top_m=float(heights.max() + 0.5 * net.level_height),
                reason=_reason(net, members, out_back, given, foam, mass_kg, neck),
                neck_node=int(net.node[neck]) if neck >= 0 else -1,
                neck_m=float(net.diameter[neck]) if neck >= 0 else float("nan"),
            )
        )
    return tuple(sorted(found, key=lambda v: -v.volume_m3))


def _reason(
    net: RiseNetwork,
    members: np.ndarray,
    out_back: np.ndarray,
    given: int,
    foam: RisingFoam,
    mass_kg: float,
    neck: int,
) -> str:
    outlets = np.isin(net.out_node, members)
    if outlets[given:].any():
        return BELOW
    if neck < 0:
        return "no way for the foam"
    if not outlets.any():
        return "trapped air"
    if out_back[outlets].min() > _SLOW_AIR_PA:
        return "air leaves too slowly"
    if mass_kg / foam.free_density_kg_m3 < float(net.volume.sum()):
        return "too little foam"
    return GELLED


def _neck(net: RiseNetwork, members: np.ndarray, distance: np.ndarray, before: np.ndarray) -> int:
    """Room of the largest resistance on the easiest way from the lowest room to ``members``; -1 for no way."""
    target = int(members[np.argmin(distance[members])])
    if not np.isfinite(distance[target]):
        return -1
    way = [target]
    while before[way[-1]] >= 0:
        way.append(int(before[way[-1]]))
    return min(way, key=lambda room: float(net.area[room] * net.diameter[room] ** 2))
