"""What the piece becomes: weight, balance, stiffness; what holds it, lifts it, what it stands and floats in."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.outcome.balance import (
        Stage,
        WeightRecord,
        corner_centres,
        corner_masses,
        item_parts,
        parts_at,
        weigh,
    )
    from pourwright.outcome.factors import FACTORS, chosen_factor, factor_names
    from pourwright.outcome.hang import hang
    from pourwright.outcome.hang_model import AnchorLoad, CaseForce, CombinedUse, HangResult, LoadCase, OneGone
    from pourwright.outcome.hanging import HangingPose, hanging_pose, hung_anchors, hung_point
    from pourwright.outcome.likely.readings import Cell, Weighing
    from pourwright.outcome.likely.spread import Likely, LikelyAnchor, LikelyHang
    from pourwright.outcome.likely.weighed import Learnt, LearntCause, LearntWeight, weighed_piece
    from pourwright.outcome.lined import hollow_of, lined_gains, predict_lined
    from pourwright.outcome.model import Outcome, StiffnessGain
    from pourwright.outcome.moments import Moments, cavity_moments
    from pourwright.outcome.moving.model import (
        CRATE_BOARDS,
        CRATE_MORE,
        Bar,
        Chock,
        Crate,
        MoveResult,
        Tailing,
        TailStep,
    )
    from pourwright.outcome.moving.move import move
    from pourwright.outcome.parts import FINISHED, Part, mass_parts
    from pourwright.outcome.piece import FoamChamber, FoamSolid, Piece, SkinSolid, Surface
    from pourwright.outcome.predict import predict
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
        core_item,
    )
    from pourwright.outcome.sling import LegLoad, SlingResult, SlungStage, sling
    from pourwright.outcome.stand import StandResult, StandStage, edge_distances, stand, way_words
    from pourwright.outcome.stiffness import POINT_PUSH, WHOLE_BODY, second_moment, stiffness_gains
    from pourwright.outcome.things_inside import inside_found
    from pourwright.outcome.verdict import refusals, unknowns
    from pourwright.outcome.wall.hang_sets import set_names
    from pourwright.outcome.wall.suggest import Suggestion, suggest
    from pourwright.outcome.wall.traced import insert_spans
    from pourwright.outcome.water.afloat import CrushDepth, FloatResult, Reserve, afloat, foam_volume
    from pourwright.outcome.water.flotation import MODIFIED, Flotation, SubmergedWeight, swamped_loads
    from pourwright.outcome.water.hull import Hull, hull_of
    from pourwright.outcome.water.hydrostatics import Floating, float_body
    from pourwright.outcome.water.regions import Allowance, FoamRegion
    from pourwright.outcome.water.settle import FloatingBody, Rest, settle
    from pourwright.outcome.water.state import Filling, FloatState
    from pourwright.outcome.water.under import Submerged, submerged
    from pourwright.outcome.weight import Mass, skin_mass
else:
    __getattr__ = offered(__name__)

__all__ = [
    "CRATE_BOARDS",
    "CRATE_MORE",
    "FACTORS",
    "FINISHED",
    "MODIFIED",
    "POINT_PUSH",
    "STEEL_DENSITY",
    "WHOLE_BODY",
    "Allowance",
    "Anchor",
    "AnchorLoad",
    "Bar",
    "Boat",
    "Box",
    "CaseForce",
    "Cell",
    "Chock",
    "Combination",
    "CombinedUse",
    "Crate",
    "CrushDepth",
    "Filling",
    "FloatResult",
    "FloatState",
    "Floating",
    "FloatingBody",
    "Flotation",
    "FoamChamber",
    "FoamRegion",
    "FoamSolid",
    "Hang",
    "HangResult",
    "HangingPose",
    "Hook",
    "Hull",
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
    "LoadCase",
    "Mass",
    "Moments",
    "MoveResult",
    "Moving",
    "OneGone",
    "Outcome",
    "Part",
    "Piece",
    "Places",
    "Reserve",
    "Rest",
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
    "Submerged",
    "SubmergedWeight",
    "Suggestion",
    "Surface",
    "TailStep",
    "Tailing",
    "Weighing",
    "WeightRecord",
    "afloat",
    "cavity_moments",
    "chosen_factor",
    "core_item",
    "corner_centres",
    "corner_masses",
    "edge_distances",
    "factor_names",
    "float_body",
    "foam_volume",
    "hang",
    "hanging_pose",
    "hollow_of",
    "hull_of",
    "hung_anchors",
    "hung_point",
    "insert_spans",
    "inside_found",
    "item_parts",
    "lined_gains",
    "mass_parts",
    "move",
    "parts_at",
    "predict",
    "predict_lined",
    "refusals",
    "second_moment",
    "set_names",
    "settle",
    "silhouette",
    "six_views",
    "skin_mass",
    "sling",
    "stand",
    "stiffness_gains",
    "submerged",
    "suggest",
    "swamped_loads",
    "unknowns",
    "way_words",
    "weigh",
    "weighed_piece",
]
