"""What the piece becomes: weight, balance, stiffness; what holds it, lifts it, what it stands and floats in."""

from pourwright.outcome.balance import Stage, WeightRecord, corner_centres, corner_masses, item_parts, parts_at, weigh
from pourwright.outcome.factors import FACTORS, chosen_factor, factor_names
from pourwright.outcome.model import Outcome, StiffnessGain
from pourwright.outcome.parts import FINISHED, Part, mass_parts
from pourwright.outcome.predict import predict
from pourwright.outcome.site import Anchor, Boat, Hang, Hook, Insert, Item, Leg, Site, Spot, Stand
from pourwright.outcome.stiffness import second_moment
from pourwright.outcome.weight import Mass, skin_mass

__all__ = [
    "FACTORS",
    "FINISHED",
    "Anchor",
    "Boat",
    "Hang",
    "Hook",
    "Insert",
    "Item",
    "Leg",
    "Mass",
    "Outcome",
    "Part",
    "Site",
    "Spot",
    "Stage",
    "Stand",
    "StiffnessGain",
    "WeightRecord",
    "chosen_factor",
    "corner_centres",
    "corner_masses",
    "factor_names",
    "item_parts",
    "mass_parts",
    "parts_at",
    "predict",
    "second_moment",
    "skin_mass",
    "weigh",
]
