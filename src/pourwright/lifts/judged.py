"""The numbers that dividing into lifts takes beyond grade, material and shop, each with its standing; limit names."""

from __future__ import annotations

from pourwright.sources import Cited, Standing

LIFT_THICKNESS = "lift thickness"
BATCH = "batch"
POUR_TIME = "pour time"
HANDS = "hands"
FLOW_DISTANCE = "flow distance"
PEAK = "peak temperature"
PRESSURE = "pressure on the skin"
SURFACE_UNDER = "surface under the pour"
JOIN = "join of pools"
SCORCH = "time above scorch"
EMERGENCY = "emergency temperature"
SKIN = "skin temperature"
BARE = "inside left bare"
CORE_HOT = "surface of the cores"
CORE_MOUTH = "cores through the mouth"
DAM_MOUTH = "dams through the mouth"
DAM_REACH = "reach to the dams"
BOARD_STRIP = "battens under the dams"
PUSHED = "lining that a push asks for"
THIN = "missing where the lining is thinnest"
SHORT = "short fill"
FULL = "full"
DAY = "shortest day"
BEGUN = "begun"
POURED = "poured"
SHUT = "closing a port"
MORE_OUTPUT = "more output"  # what would lift a limit of a machine
FEWER = "fewer holes for one cup, "  # what helps first where a cup is carried from hole to hole
FALL = "fall of the liquid"
ROOM = "room for a hole"
THROUGH_TUBE = "time down a tube"

KNOWN_SD = Cited(
    8.0,
    "K",
    Standing.JUDGEMENT,
    note="a rise with less standard deviation counts as measured; cups are not asked for",
)
OPEN_PRESSURE = Cited(
    4500.0, "Pa", Standing.JUDGEMENT, spread=0.56, note="wall load of an open pour, 2 to 7 kPa, beside its head"
)
GEL_HEATING = Cited(
    1.05,
    "-",
    Standing.MEMORY,
    source="Baser & Khakhar, Polym. Eng. Sci. 34 (1994) 632-641",
    note="absolute temperature at the peak over that at gelling: gas goes on heating in set foam",
)
LIQUID_CONDUCTIVITY = Cited(0.2, "W/(m K)", Standing.MEMORY, note="of the mixed liquids; polyols 0.14 to 0.22")
SHORTEST_WAIT = Cited(600.0, "s", Standing.JUDGEMENT, note="least wait between lifts")
HOT_SHARE = Cited(0.10, "-", Standing.JUDGEMENT, note="share of its rise that counts as cooled")
FILM = Cited(2.0, "W/(m^2 K)", Standing.JUDGEMENT, note="over a pour inside the shell: boxed-in air warms; open, 8")
PEAK_FLOW = Cited(2.5, "-", Standing.MEMORY, spread=0.2, note="peak over mean rate of rise of a fast foam, 2 to 3")
THIN_LIFT = Cited(0.05, "m", Standing.JUDGEMENT, note="pressure on the skin never asks for a lift thinner than this")
PORT_HOLE = Cited(0.040, "m", Standing.JUDGEMENT, note="takes the spout of a bucket or a funnel")
LEAST_HOLE = Cited(0.016, "m", Standing.JUDGEMENT, note="smallest hole for a funnel; less takes a syringe")
PORT_HEADROOM = Cited(0.20, "m", Standing.JUDGEMENT, note="free height over a port, to hold a cup or a funnel")
WIDTH_SHARE = Cited(0.6, "-", Standing.JUDGEMENT, note="largest hole over the width of the limb just under it")
AIR_DENSITY = Cited(1.2, "kg/m^3", Standing.PUBLISHED, source="ideal gas, dry air at 20 degC and 101325 Pa")
LOOKS_UP = Cited(0.5, "-", Standing.JUDGEMENT, note="upward part of the normal from which an opening can be used")
STEEP = Cited(0.5, "-", Standing.JUDGEMENT, note="upward part of the normal below which a skin is too steep to drill")
BY_WEIGHT = Cited(2e-5, "m^3", Standing.JUDGEMENT, note="less of a part than this cannot be measured well by volume")
SHUT_EARLY = Cited(0.2, "-", Standing.JUDGEMENT, note="of the time until foam gets to a hole, kept in hand to shut it")
MOVE_ON = Cited(4.0, "s", Standing.JUDGEMENT, note="with the cup from one hole to the next")
SHUT_TAKES = Cited(20.0, "s", Standing.JUDGEMENT, note="to set a bung, or tape and a board, once the cup is empty")
BOARD_LAPS = Cited(0.03, "m", Standing.JUDGEMENT, note="how far a board or tape over a hole reaches over its edge")
TUBE_ABOVE = Cited(0.1, "m", Standing.JUDGEMENT, note="of a tube stands out of the hole, for the funnel")
TUBE_DRIPS = Cited(15.0, "s", Standing.JUDGEMENT, note="a tube drips into the piece before it is withdrawn")
MIX_VISCOSITY = Cited(0.5, "Pa s", Standing.MEMORY, note="of the liquids just mixed at 20 to 25 degC, 0.3 to 1")
ROOM_KNOWN = Cited(0.006, "m", Standing.JUDGEMENT, note="to which the room round a hole is known")
