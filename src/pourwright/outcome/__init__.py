"""What the piece becomes: weight, balance, stiffness."""

from pourwright.outcome.model import Outcome, StiffnessGain

__all__ = ["Outcome", "StiffnessGain"]
