"""Values of our own judgement about ways down and air under ceilings: no published source gives them for this trade."""

from __future__ import annotations

import math

from pourwright.sources import Cited, Standing

LEVEL = Cited(math.radians(3.0), "rad", Standing.JUDGEMENT, note="a ceiling that slopes less leads no air along it")
ONE_VENT = Cited(0.10, "m", Standing.JUDGEMENT, note="a level ceiling no larger about one vent is emptied by it")
AIR_REACH = Cited(0.50, "m", Standing.JUDGEMENT, note="rising foam pushes air no farther along a level ceiling")
CORNER_NEAR = Cited(0.08, "m", Standing.JUDGEMENT, note="a vent no farther from a corner empties it")
UNEVEN = Cited(0.010, "m", Standing.JUDGEMENT, note="depth of the air that foam, never level, leaves where no vent is")
STEEPEST = Cited(math.radians(10.0), "rad", Standing.JUDGEMENT, note="a piece is not tilted more to lead air to a vent")
HOLE_EDGE = Cited(0.005, "m", Standing.JUDGEMENT, note="between the rim of a vent and the wall beside a ceiling")
FREE_FALL = Cited(0.5, "m", Standing.JUDGEMENT, note="a shorter fall needs no clearance: the cup is seen from the hole")
FALL_CLEAR = Cited(0.015, "m", Standing.JUDGEMENT, note="clearance of a falling stream from the wall ...")
FALL_SPREAD = Cited(
    0.02, "-", Standing.JUDGEMENT, note="... and its share of the fall, as a stream wanders and breaks up"
)
LONGEST_FALL = Cited(2.0, "m", Standing.JUDGEMENT, note="a longer fall splashes and beats air in: a tube")
TUBE_WALL = Cited(0.0025, "m", Standing.PRACTICE, note="wall of a tube or hose")
AIR_BESIDE = Cited(
    0.004, "m", Standing.JUDGEMENT, note="a hole is so much wider than the tube in it: air must come out beside"
)
TUBE_ENDS = Cited(
    0.3, "m", Standing.JUDGEMENT, note="a tube or hose ends so far above the floor, and is withdrawn as foam rises"
)
HOSE_ROOM = Cited(0.005, "m", Standing.JUDGEMENT, note="to each side of a hose that is led down a limb")
SIDEWAYS = Cited(0.35, "-", Standing.JUDGEMENT, note="upward part of the normal below which a hole is cut sideways")
SPOUT = Cited(0.04, "m", Standing.JUDGEMENT, note="a funnel with a bent spout pours so far inside the wall")
LONG_TUBE = Cited(
    1.0, "m", Standing.JUDGEMENT, note="a longer way down is not for a tube or hose where a hole in the side will do"
)
BESIDE = Cited(0.20, "m", Standing.JUDGEMENT, note="free in front of a hole in the side, for funnel and hands")
FLANGE_LAPS = Cited(0.008, "m", Standing.JUDGEMENT, note="flange of a bung over the rim of its hole")
SHARP = Cited(0.7, "-", Standing.JUDGEMENT, note="cosine between faces below which their edge is an edge, 45 degrees")
LOOKS_FRONT = Cited(
    0.35, "-", Standing.JUDGEMENT, note="part of the normal towards the front from which skin is seen from there"
)
CREASE = Cited(0.04, "m", Standing.JUDGEMENT, note="sharp edges that reach less far are roughness of a scan")
