"""Coats that are spread by hand: in which ways up, how many in each, and what lies there after them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.lining.poured import Begun, PouredCoat, pinned
from pourwright.lining.spreading import Wall, laid_by
from pourwright.lining.surface import Inside
from pourwright.lining.sweeping import Sweeper
from pourwright.lining.turning import Before, thin_end

RUNS_OFF = 0.10
"""Of a coat no more than so much is to run off the wall it was laid on; our judgement."""
MOST_COATS = 12
"""Coats in one way up, beyond which nobody lines a piece; our judgement."""
BETTER = 1.05
"""A coat more has to leave so many times as much where it lies thinnest; our judgement."""
ALIKE = 0.999
"""Two ways up are one where the cosine between them is more."""
ADDS = 0.01
"""Share of the inside that one way up more has to add, or the piece is not laid so; our judgement."""
LEAST_LEFT = 0.1
"""Of the foam due in a way up: where less is missing no further coat is mixed for it. Our judgement."""


@dataclass(frozen=True, eq=False)
class Laid:
    """One coat as it is laid. Liquid, arrays (n,)."""

    wall: Wall
    faces: np.ndarray  # bool: it is laid there
    put_m3: np.ndarray
    before: Before
    after: Before
    ran_m3: float  # off the wall it was laid on
    poured: PouredCoat | None  # None: still to come


@dataclass(frozen=True, eq=False)
class Hands:
    """What all coats of a piece share."""

    sweeper: Sweeper
    due_m3: np.ndarray  # (n,) liquid of the lining
    expansion: float
    gel_s: float
    least: np.ndarray  # (n,) share of it that is enough where it lies thinnest

    def coat(self, wall: Wall, faces: np.ndarray, liquid_m3: float | None, left: int, before: Before) -> Laid:
        """One of so many coats that are left: its share of what is missing on each face, or so much in all."""
        put = np.where(faces, np.maximum(self.due_m3 - before.liquid_m3, 0.0), 0.0) / max(left, 1)
        if liquid_m3 is not None:
            shape = put if put.sum() > 0.0 else np.where(faces, self.due_m3, 0.0)
            put = shape * (liquid_m3 / max(float(shape.sum()), 1e-30))
        lies, ran = laid_by(self.sweeper, wall, put, self.expansion, self.gel_s)
        return Laid(wall, faces, put, before, Before(before.liquid_m3 + lies, before.coated | faces), ran, None)


def chosen_of(walls: Sequence[Wall], inside: Inside) -> list[tuple[Wall, np.ndarray]]:
    """Ways up that are needed, each with the faces that are laid in it: where they keep most."""
    area = np.where(inside.counts, inside.area_m2, 0.0)
    have, out, rest = np.zeros(len(area), bool), list[Wall](), list(walls)
    while rest:
        best = max(rest, key=lambda wall: round(float(area[wall.wet & ~have].sum()), 12))
        if float(area[best.wet & ~have].sum()) < ADDS * float(area.sum()) and out:
            break
        have |= best.wet
        out.append(best)
        rest = [wall for wall in rest if wall is not best]
    keeps = np.stack([np.where(wall.wet, wall.keeps_m, -1.0) for wall in out])
    mine = keeps.argmax(axis=0)
    return [(wall, wall.wet & (mine == k)) for k, wall in enumerate(out)]


def all_coats(
    hands: Hands, chosen: Sequence[tuple[Wall, np.ndarray]], walls: Sequence[Wall], begun: Begun
) -> list[Laid]:
    """Those that are in the piece, then those that are left, way up by way up."""
    n = len(hands.due_m3)
    now, out = Before(np.zeros(n), np.zeros(n, bool)), list[Laid]()
    for one in begun.poured:
        up = one.rolls[-1].axis @ hands.sweeper.to_shell if one.rolls else chosen[0][0].up
        wall, faces = max(
            [*chosen, *((wall, wall.wet) for wall in walls)], key=lambda pair: round(float(pair[0].up @ up), 6)
        )
        liquid = one.ratio * one.followed_m3 / hands.expansion
        laid = hands.coat(wall, faces, liquid, 1, now)
        after = pinned(hands.sweeper.inside, laid.after, one.pins, hands.expansion)
        out.append(replace(laid, after=after, poured=one))
        now = after
    for wall, faces in chosen:
        due = float(hands.due_m3[faces].sum())
        missing = float(np.maximum(hands.due_m3 - now.liquid_m3, 0.0)[faces].sum())
        if due <= 0.0 or missing < LEAST_LEFT * due:
            continue
        ups = [rolls[-1].axis @ hands.sweeper.to_shell for rolls in begun.kept.rolls] if begun.kept else []
        more = _enough(hands, (wall, faces), now, sum(float(up @ wall.up) > ALIKE for up in ups))
        out += more
        now = more[-1].after
    return out


def _enough(hands: Hands, where: tuple[Wall, np.ndarray], now: Before, kept: int) -> list[Laid]:
    """The fewest coats of which little runs off, and that leave enough where it lies thinnest, if so many do.

    ``kept``: so many as the sheet has left, while little of them runs off.
    """
    wall, faces = where
    area, best, thinnest = hands.sweeper.inside.area_m2, list[Laid](), 0.0
    for count in (kept, *range(1, MOST_COATS + 1)) if kept else range(1, MOST_COATS + 1):
        laid, before = list[Laid](), now
        for k in range(count):
            laid.append(hands.coat(wall, faces, None, count - k, before))
            before = laid[-1].after
        ran = max(one.ran_m3 / max(float(one.put_m3.sum()), 1e-30) for one in laid)
        have = before.liquid_m3 / np.maximum(hands.due_m3, 1e-15) / hands.least
        thin = thin_end(have[faces], area[faces])
        if ran <= RUNS_OFF and (not best or thin > BETTER * thinnest):
            best, thinnest = laid, thin
        if ran <= RUNS_OFF and (thin >= 1.0 or count == kept):
            return laid
    return best or laid
