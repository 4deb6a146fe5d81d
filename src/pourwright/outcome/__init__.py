"""What the piece becomes: weight, balance, stiffness; what holds it, lifts it, what it stands and floats in."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.outcome.balance import (
        COATED,
        Stage,
        WeightRecord,
        corner_centres,
        corner_masses,
        item_parts,
        parts_at,
        weigh,
    )
    from pourwright.outcome.factors import FACTORS, chosen_factor, factor_names
    from pourwright.outcome.likely.causes import causes_of, corners_of_known_wall, drawn
    from pourwright.outcome.likely.readings import Cell, Weighing
    from pourwright.outcome.likely.spread import Likely, LikelyAnchor, LikelyHang, likely_of, shares_of
    from pourwright.outcome.likely.weighed import Learnt, LearntCause, LearntWeight, weighed_piece
    from pourwright.outcome.lined import hollow_of, insert_in_lining, lined_gains, predict_lined
    from pourwright.outcome.model import Outcome, StiffnessGain
    from pourwright.outcome.moments import Moments, cavity_moments
    from pourwright.outcome.parts import FINISHED, Part, mass_parts
    from pourwright.outcome.piece import GRAVITY, FoamChamber, FoamSolid, Piece, SkinSolid, Surface
    from pourwright.outcome.predict import predict
    from pourwright.outcome.ribbed import ribbed_gains
    from pourwright.outcome.silhouette import Silhouette, silhouette, six_views
    from pourwright.outcome.site import (
        STEEL_DENSITY,
        Anchor,
        Boat,
        Box,
        Combination,
        Hang,
        Hook,
        Insert,
        Item,
        Leg,
        Load,
        Moving,
        Places,
        Rod,
        Shape,
        Site,
        Spot,
        Stand,
        board_item,
        core_item,
        within_a_band,
    )
    from pourwright.outcome.sling import (
        FLAT_WORDS,
        LOWEST_ANGLE_RAD,
        SLIGHT_RAD,
        LegLoad,
        SlingResult,
        SlungStage,
        sling,
    )
    from pourwright.outcome.small_mixes import one_cup_empty_s, one_cups, small_mixes
    from pourwright.outcome.stand import StandResult, StandStage, edge_distances, stand, way_words
    from pourwright.outcome.stiffness import POINT_PUSH, WHOLE_BODY, second_moment, stiffness_gains
    from pourwright.outcome.things_inside import inside_found
    from pourwright.outcome.verdict import not_known, over, refusals, unknowns
    from pourwright.outcome.weight import Mass, skin_mass
else:
    __getattr__ = offered(__name__)

__all__ = [
    "COATED",
    "FACTORS",
    "FINISHED",
    "FLAT_WORDS",
    "GRAVITY",
    "LOWEST_ANGLE_RAD",
    "POINT_PUSH",
    "SLIGHT_RAD",
    "STEEL_DENSITY",
    "WHOLE_BODY",
    "Anchor",
    "Boat",
    "Box",
    "Cell",
    "Combination",
    "FoamChamber",
    "FoamSolid",
    "Hang",
    "Hook",
    "Insert",
    "Item",
    "Learnt",
    "LearntCause",
    "LearntWeight",
    "Leg",
    "LegLoad",
    "Likely",
    "LikelyAnchor",
    "LikelyHang",
    "Load",
    "Mass",
    "Moments",
    "Moving",
    "Outcome",
    "Part",
    "Piece",
    "Places",
    "Rod",
    "Shape",
    "Silhouette",
    "Site",
    "SkinSolid",
    "SlingResult",
    "SlungStage",
    "Spot",
    "Stage",
    "Stand",
    "StandResult",
    "StandStage",
    "StiffnessGain",
    "Surface",
    "Weighing",
    "WeightRecord",
    "board_item",
    "causes_of",
    "cavity_moments",
    "chosen_factor",
    "core_item",
    "corner_centres",
    "corner_masses",
    "corners_of_known_wall",
    "drawn",
    "edge_distances",
    "factor_names",
    "hollow_of",
    "insert_in_lining",
    "inside_found",
    "item_parts",
    "likely_of",
    "lined_gains",
    "mass_parts",
    "not_known",
    "one_cup_empty_s",
    "one_cups",
    "over",
    "parts_at",
    "predict",
    "predict_lined",
    "refusals",
    "ribbed_gains",
    "second_moment",
    "shares_of",
    "silhouette",
    "six_views",
    "skin_mass",
    "sling",
    "small_mixes",
    "stand",
    "stiffness_gains",
    "unknowns",
    "way_words",
    "weigh",
    "weighed_piece",
    "within_a_band",
]
