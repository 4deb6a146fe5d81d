"""A piece as every stage behind its cavity needs it: skin, inside, levels and flattest panels."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Cavity, LevelGraph
from pourwright.irons import Iron
from pourwright.panels import Panel
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Space:
    """``panels`` are the flattest of the skin, worst first; without any, the pressure on the skin stays unknown.

    ``set_in`` is what is set into the cavity before the lift that reaches it, and takes no room: anchors.
    """

    skin: Skin
    cavity: Cavity
    graph: LevelGraph
    panels: tuple[Panel, ...] = ()
    set_in: tuple[Iron, ...] = ()

    @property
    def frame(self) -> PourFrame:
        """The frame that the cavity was built in."""
        return self.cavity.frame
