"""Foam as it rises through the lifts, seen by one camera."""

from __future__ import annotations

from collections.abc import Sequence

from pourwright.draw.bodies import Surface, lift_body
from pourwright.draw.paint import Drawing, Layer
from pourwright.draw.view import View
from pourwright.plan import Plan


class Rising:
    """Foam up to each lift, from the base up, by the lift's row.

    A layer of a large canvas is some 100 MB: only the one that was asked for last is held. Asked from low rows to high
    each body is drawn once, and not before it is asked for; a lower row than the last begins again from the base.
    """

    def __init__(
        self, plan: Plan, view: View, surfaces: Sequence[Surface], hollow_m: float, *, window: bool = True
    ) -> None:
        self._plan, self._view, self._surfaces = plan, view, surfaces
        self._hollow_m, self._window = hollow_m, window
        self._drawing, self._drawn = Drawing(view, window=window), 0

    def __getitem__(self, row: int) -> Layer:
        """Foam up to the lift of a row, 0 the lowest."""
        lifts = self._plan.lift_plan.lifts
        if not 0 <= row < len(lifts):
            raise IndexError(row)
        if row + 1 < self._drawn:
            self._drawing, self._drawn = Drawing(self._view, window=self._window), 0
        while self._drawn <= row:
            number, surface = lifts[self._drawn].number, self._surfaces[self._drawn]
            self._drawing.add(lift_body(self._plan, self._view, surface, number))
            self._drawn += 1
        return self._drawing.layer(self._hollow_m)
