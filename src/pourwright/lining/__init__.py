"""Foam that coats the inside and leaves the rest hollow: where it is, how it is turned, what stays bare."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.lining.arm import mouths_for
    from pourwright.lining.bare import bare_places
    from pourwright.lining.chambers import RESTS, Chamber, SolidPlace
    from pourwright.lining.holes import Hole
    from pourwright.lining.judged import LEAST_SHARE, bare_remedy, solid_checks, thin_check
    from pourwright.lining.make import line
    from pourwright.lining.model import Bare, Coat, Lining, Position, Shop, Spread, rolls_of
    from pourwright.lining.parts import Parts, limb_span, parts_of
    from pourwright.lining.paths import Roll, plain_axes, rolls_for, stops_of
    from pourwright.lining.poured import NOTHING, Begun, Kept, Pin, PouredCoat, around
    from pourwright.lining.push import lined_rigidity
    from pourwright.lining.region import Region, hollow_shares, region_of
    from pourwright.lining.rules import HAND, REACH, STOPS_RAD, TURNINGS, PartRules, Rules, Turning
    from pourwright.lining.surface import CELLS_ALONG, Inside, inside_of
    from pourwright.lining.sweeping import State, Sweeper
    from pourwright.lining.thicker import Layer, LinedPart, layers_of
    from pourwright.lining.turning import THIN, Coating, Turned, Work, coated
else:
    __getattr__ = offered(__name__)

__all__ = [
    "CELLS_ALONG",
    "HAND",
    "LEAST_SHARE",
    "NOTHING",
    "REACH",
    "RESTS",
    "STOPS_RAD",
    "THIN",
    "TURNINGS",
    "Bare",
    "Begun",
    "Chamber",
    "Coat",
    "Coating",
    "Hole",
    "Inside",
    "Kept",
    "Layer",
    "LinedPart",
    "Lining",
    "PartRules",
    "Parts",
    "Pin",
    "Position",
    "PouredCoat",
    "Region",
    "Roll",
    "Rules",
    "Shop",
    "SolidPlace",
    "Spread",
    "State",
    "Sweeper",
    "Turned",
    "Turning",
    "Work",
    "around",
    "bare_places",
    "bare_remedy",
    "coated",
    "hollow_shares",
    "inside_of",
    "layers_of",
    "limb_span",
    "line",
    "lined_rigidity",
    "mouths_for",
    "parts_of",
    "plain_axes",
    "region_of",
    "rolls_for",
    "rolls_of",
    "solid_checks",
    "stops_of",
    "thin_check",
]
