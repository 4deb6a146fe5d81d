"""A piece as every stage behind its cavity needs it: skin, inside, levels and flattest panels."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Cavity, LevelGraph
from pourwright.panels import Panel
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Space:
    """``panels`` are the flattest of the skin, worst first; without any, the pressure on the skin stays unknown."""

    skin: Skin
    cavity: Cavity
    graph: LevelGraph
    panels: tuple[Panel, ...] = ()

    @property
    def frame(self) -> PourFrame:
        """The frame that the cavity was built in."""
        return self.cavity.frame
