"""What is computed for a division: heat and rise of its pours, the skin beside its lifts."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.evaluation.model import (
        ByFormulas,
        Evaluation,
        HeatHistory,
        RiseHistory,
        RiseVoid,
        Shore,
        SkinBulge,
        VentFlow,
    )
    from pourwright.evaluation.tips import own_nodes, tips_asked
else:
    __getattr__ = offered(__name__)

__all__ = [
    "ByFormulas",
    "Evaluation",
    "HeatHistory",
    "RiseHistory",
    "RiseVoid",
    "Shore",
    "SkinBulge",
    "VentFlow",
    "own_nodes",
    "tips_asked",
]
