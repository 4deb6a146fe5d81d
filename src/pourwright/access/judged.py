"""Values of our own judgement about air under ceilings: no published source gives them for this trade."""

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
