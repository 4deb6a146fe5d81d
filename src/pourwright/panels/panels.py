"""The flattest panels of a skin: where it would bulge first under pressure from inside."""

from __future__ import annotations

from pourwright.panels.search import PanelSearch
from pourwright.panels.shape import Panel
from pourwright.shell import Skin


def flattest_panel(skin: Skin) -> Panel | None:
    """The panel that bulges most for its width; None when the skin has no panel (never for a real piece)."""
    found = panels(skin, 1)
    return found[0] if found else None


def panels(skin: Skin, count: int = 5) -> tuple[Panel, ...]:
    """The panels that would bulge first under pressure from inside, worst first.

    From points spread evenly over the skin a region grows over neighbouring faces as long as they stay within half a
    wall thickness of a quadric fitted to it (fitted again each time its radius doubles) and the skin has turned less
    than 30 degrees. Regions are ranked by bulge over width, w/b with w = q / (384 D/b4 + c E t/R2): an order, not a
    deflection. Caps are openings and never part of a panel. Where the void is drawn, its own faces are looked at and
    the wall behind each panel is measured.

    Parameters
    ----------
    skin : Skin
    count : int
        At most so many.

    Returns
    -------
    tuple of Panel
        Regions that overlap by more than half count once.
    """
    return PanelSearch(skin).best(count)
