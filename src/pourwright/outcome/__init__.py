"""What the piece becomes: weight, balance, stiffness."""

from pourwright.outcome.model import Outcome, StiffnessGain
from pourwright.outcome.predict import predict
from pourwright.outcome.stiffness import second_moment
from pourwright.outcome.weight import Mass, skin_mass

__all__ = ["Mass", "Outcome", "StiffnessGain", "predict", "second_moment", "skin_mass"]
