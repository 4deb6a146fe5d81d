"""A lining spread by hand: mixes that are poured along a wall and brushed out, in the ways up that a job states.

What a wall keeps follows the law of a draining film; what runs off stands at the lowest places it comes to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array, diags_array, eye_array
from scipy.sparse.linalg import spsolve

from pourwright.foam import FoamAtShop
from pourwright.lining.coats import viscosity_of
from pourwright.lining.surface import Inside
from pourwright.lining.sweeping import State, Sweeper
from pourwright.physics.draining import draining_film, thinning
from pourwright.rise import RisingFoam
from pourwright.sources import Cited, Standing

OVERHANG = Cited(5.0, "deg", Standing.JUDGEMENT, note="a wall that hangs over by more drips, and is not spread")
SPREADS = Cited(0.03, "m2/s", Standing.JUDGEMENT, note="a pair of hands pours along a wall and brushes out so much")
LEVEL = math.sin(math.radians(3.0))
"""A film is followed on no flatter wall [sine of its slope]; our judgement."""
FLOOR = math.cos(math.radians(10.0))
"""What is flatter is a floor, over which what runs off a wall goes on to where it stands level; our judgement."""
STEEP = 4.0
"""Liquid runs down to the lower faces around by this power of how steeply they lie below, as in the turned coats."""
POOLS = 48
"""Places where what runs off gathers that are followed; smaller ones count to the largest. Our judgement."""
DRIES = 400
"""Times that what runs off is passed on, from face to face, at most."""


@dataclass(frozen=True, eq=False)
class Wall:
    """The inside in one way up. Arrays (n,) for its faces."""

    up: np.ndarray  # (3,) shell axes
    wet: np.ndarray  # bool: an arm lays foam there, and it does not hang over
    reach_m: np.ndarray  # shortest way from an open mouth; inf without
    keeps_m: np.ndarray  # foam that stays when the mix gels; 0 where nothing is laid
    down: csr_array  # (n, n) which share of what runs off a face comes to which


def thinned_by_gel(foam: FoamAtShop, rising: RisingFoam) -> float:
    """How far a film thins from cream, up to which it is brushed back, until the mix gels; for `draining_film`."""
    viscosity = viscosity_of(foam, rising)
    return thinning(rising.time_s, viscosity, 1.0 / rising.volume_m3_kg, foam.cream_s, foam.gel_s)


def keeps_m(run_m: np.ndarray, sine: np.ndarray, thinned: float, density_kg_m3: float) -> np.ndarray:
    """Foam (n,) that a wall keeps at ways (n,) [m] under the upper edge of what is laid, by the sine of its slope.

    See `draining_film`, by whose square root it rises with the way and falls with the sine.

    >>> keeps_m(np.array([0.3, 0.3, 1.2]), np.array([1.0, 0.25, 1.0]), 0.05, 60.0).round(5).tolist()
    [0.01304, 0.02607, 0.02607]
    """
    upright = draining_film(1.0, 0.5 * math.pi, thinned) / density_kg_m3
    return np.asarray(upright * np.sqrt(run_m / np.maximum(sine, LEVEL)))


def wall_in(inside: Inside, up: np.ndarray, reach_m: np.ndarray, most_m: float, film: tuple[float, float]) -> Wall:
    """What of the inside is laid with a way up, and what it keeps.

    Parameters
    ----------
    up : ndarray (3,)
    reach_m : ndarray (n,)
        Shortest way to each face from a mouth that is open then.
    most_m : float
        How far an arm reaches.
    film : (thinned, density)
        For `keeps_m`.
    """
    look = -(normals_of(inside) @ up)  # 1 on a floor, 0 on an upright wall, -1 under a ceiling
    wet = inside.counts & (reach_m <= most_m) & (look >= -math.sin(math.radians(OVERHANG.value)))
    sine = np.sqrt(np.maximum(1.0 - look**2, 0.0))
    run = run_under(inside, up, wet)
    keep = np.where(wet, keeps_m(run, sine, *film), 0.0)
    return Wall(up, wet, reach_m, keep, falls(inside, up, downwards=True)[0])


def normals_of(inside: Inside) -> np.ndarray:
    """Normals (n, 3) of the wall: the faces that round the corner to a board take the mean of those beside them."""
    there = inside.around >= 0
    rim = inside.counts & (there & ~inside.counts[inside.around]).any(axis=1)
    beside = there & (inside.counts & ~rim)[inside.around]
    mean = (inside.normal[inside.around] * beside[..., None]).sum(axis=1)
    long = np.linalg.norm(mean, axis=1)
    known = rim & (long > 0.5)
    return np.where(known[:, None], mean / np.maximum(long, 1e-12)[:, None], inside.normal)


def falls(inside: Inside, up: np.ndarray, *, downwards: bool) -> tuple[csr_array, np.ndarray]:
    """Shares (n, n) in which each face goes with those below it (or above), and the mean way (n,) to them [m]."""
    height_m = inside.middle_m @ up
    n = len(height_m)
    rows, sides = np.nonzero(inside.around >= 0)
    others = inside.around[rows, sides]
    drop = height_m[rows] - height_m[others]
    keep = drop > 0.0 if downwards else drop < 0.0
    rows, others, drop = rows[keep], others[keep], np.abs(drop[keep])
    away = np.linalg.norm(inside.middle_m[rows] - inside.middle_m[others], axis=1)
    sine = np.sqrt(np.maximum(1.0 - (normals_of(inside) @ up) ** 2, 0.0))[rows]
    weight = (drop / np.maximum(away, 1e-12)) ** STEEP
    whole = np.bincount(rows, weight, n)
    share = weight / np.maximum(whole[rows], 1e-30)
    mean = np.bincount(rows, share * np.minimum(away, drop / np.maximum(sine, LEVEL)), n)
    return csr_array(coo_array((share, (rows, others)), (n, n))), mean


def run_under(inside: Inside, up: np.ndarray, wet: np.ndarray) -> np.ndarray:
    """Mean way (n,) that a film has come down from the upper edge of what is wet [m], half a face at that edge."""
    shares, way = falls(inside, up, downwards=False)
    shares = csr_array(shares @ diags_array(wet.astype(float)))
    some = np.asarray(shares.sum(axis=1)).ravel()
    shares = csr_array(diags_array(1.0 / np.maximum(some, 1e-12)) @ shares)
    begin = np.where(some > 1e-9, way, 0.5 * np.sqrt(inside.area_m2))
    return np.asarray(spsolve((eye_array(len(begin)) - shares).tocsc(), begin))


def laid_by(
    sweeper: Sweeper, wall: Wall, put_m3: np.ndarray, expansion: float, gel_s: float
) -> tuple[np.ndarray, float]:
    """Liquid (n,) that lies on each face when a mix has set, and what of it ran off [m3].

    Parameters
    ----------
    put_m3 : ndarray (n,)
        Liquid laid on each face.
    expansion : float
        Foam over liquid.
    """
    inside = sweeper.inside
    room = wall.keeps_m * inside.area_m2 / expansion
    level = np.abs(normals_of(inside) @ wall.up) >= FLOOR
    room = np.where(level, np.minimum(room, put_m3), room)  # what comes to a floor spreads over it, and is not kept
    off, down = np.zeros(len(put_m3)), wall.down.T.tocsr()
    for _ in range(DRIES):
        new = np.maximum(0.0, put_m3 + down @ off - room)
        if np.abs(new - off).sum() <= 1e-9 * max(float(put_m3.sum()), 1e-12):
            off = new
            break
        off = new
    feet = np.flatnonzero((np.asarray(wall.down.sum(axis=1)).ravel() < 0.5) & (off > 0.0))
    stays = put_m3 + down @ off - off
    stays[feet] = np.minimum(put_m3 + down @ off, room)[feet]
    gone = float(off[feet].sum())
    if gone <= 0.0:
        return stays, 0.0
    order = feet[np.argsort(-off[feet], kind="stable")]
    places, volumes = order[:POOLS], off[order[:POOLS]].copy()
    volumes *= gone / volumes.sum()
    pools = State(wall.up, places.astype(np.int64), volumes, np.zeros(len(put_m3)), 1e-6, gel_s)
    return stays + sweeper.standing(pools), gone
