"""What a plan has to tell a person besides its figures: data here, sentences in `wording.findings`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeAlias

Value: TypeAlias = float | str | tuple[str, ...] | tuple[float, ...]


class Verdict(StrEnum):
    """Of a value against a limit. ``UNKNOWN``: it cannot be computed, and is never taken as safe."""

    OK = "ok"
    SHORED = "ok with shores"  # over without the shores that the lift names
    OVER = "over"
    UNKNOWN = "unknown"


class Severity(StrEnum):
    """How much a finding matters."""

    NOTE = "note"
    WARNING = "warning"
    REFUSAL = "refusal"  # of a mesh: it cannot be planned


class Code(StrEnum):
    """What was found. Each has one sentence, see `wording.findings.SENTENCES`; of a mesh in `shell.words`."""

    # the mesh of the shell
    EMPTY_TRIANGLES = "empty triangles"
    OPEN_SEAMS = "open seams"
    CORNERS_NOT_SOUGHT = "corners not looked for"
    CORNERS_ON_EDGES = "corners on edges"
    DOUBLED_TRIANGLES = "doubled triangles"
    BACK_TO_BACK = "back-to-back triangles"
    OTHER_UNIT = "unit"
    AXES_KEPT = "axes"
    WALL_NOT_USED = "wall"
    FLIPPED_TRIANGLES = "flipped triangles"
    CROWDED_EDGES = "crowded edges"
    LOOSE_SCRAPS = "loose scraps"
    OPEN_SHEETS = "open sheets"
    TOUCHING_BODIES = "touching bodies"
    OVERLAPPING_BODIES = "overlapping bodies"
    BODIES_NOT_CUT = "overlapping bodies not cut"
    SEVERAL_BODIES = "several bodies"
    DOUBLED_SURFACE = "doubled surface"
    STRAY_BODIES = "loose bodies"
    INNER_BODIES = "inner bodies"
    OVERLAPPING_SURFACE = "overlapping surface"
    INVERTED_SURFACE = "inverted surface"
    HOLES = "holes"
    HIDDEN_ENDS = "hidden ends"
    UNEVEN_RIM = "uneven rim"
    RIM_TOO_UNEVEN = "rim too uneven"
    ONE_SIDED = "one-sided surface"
    BROKEN_BORDER = "broken border"
    SHEET = "sheet"
    NO_INNER_SURFACE = "no inner surface"
    NO_RIM = "no rim"
    OPEN_ON_RIMS = "open on rims"
    WALL_NOT_PARTED = "wall not parted"
    INSIDE_IN_DOUBT = "inside in doubt"
    # the shell and its cavity
    CAVITY_LOOSELY_KNOWN = "cavity loosely known"
    UNREACHED = "unreached"
    IRON_INSIDE = "iron inside"
    ITEM_WITHOUT_FORM = "item without form"
    # the foam of the day
    LIQUIDS_COLD = "liquids cold"
    LIQUIDS_HOT = "liquids hot"
    LIQUIDS_UNUSUAL = "liquids unusual"
    SKIN_COLD = "skin cold"
    AIR_PRESSURE = "air pressure"
    NO_REACTION = "no reaction"
    BATCH_TOO_LARGE = "batch too large for the cream time"
    NO_TIME_TO_POUR = "no time to pour"
    # pours
    OVER_LIMIT = "over a limit"
    HEATS_AFTER_SETTING = "heats after setting"
    POCKET_MAY_CLOSE = "pocket may close"
    PANEL_UNKNOWN = "panel unknown"
    NO_WAIT_COOLS = "no wait cools it"
    NOT_REACHED = "not reached"
    POUR_TOGETHER = "pour together"
    POUR_AFTER = "pour after"
    SEVERAL_MIXES = "several mixes at a time"
    SMALL_BATCH = "small batch"
    SMALL_MIX = "small mix"
    ONE_CUP = "one cup"
    STAYS_EMPTY = "stays empty"
    THIN_LIFT = "thin lift"
    # linings
    STAYS_BARE = "stays bare"
    FILLED_SOLID = "filled solid"
    STOPS_AFTER_GEL = "stops after gel"
    # holes
    LOOKS_SIDEWAYS = "opening looks sideways"
    STEEP_SKIN = "steep skin"
    SIDE_HOLE = "hole in the side"
    VENT_WHERE_NONE_MAY_BE = "vent where no hole may be"
    VENT_IN_BOARD = "vent in what closes a port"
    # the skin under its lifts
    BULGES = "bulges too far"
    SET_SHORES = "set up shores"
    HOLD_DOWN = "hold down"
    SKIN_UNKNOWN = "skin unknown"
    SKIN_HEATS_AFTER_SETTING = "skin, heats after setting"
    # computed heat and rise
    PROBE_REQUIRED = "probe required"
    MARGIN_NOT_KEPT = "margin of heat not kept"
    STILL_HOT = "still hot after the longest wait"
    TOO_HOT_BY_ITSELF = "too hot by itself"
    NO_RISE = "no rise"
    LEAVES_EMPTY = "leaves a space empty"
    ENDS_SHORT = "ends short"
    PACK_MORE = "pack more"
    # what is poured
    AS_RECORDED = "as recorded"
    COATS_AS_RECORDED = "coats as recorded"
    REST_BY_FORMULAS = "rest by formulas"
    REST_HEATED = "rest heated"
    FOAM_ABOVE = "foam above what is not poured"
    SHORT_MADE_UP = "short pour made up"
    SHORT_TAKEN_ON = "short pour taken on"
    # on the wall
    WALL_OVERHANGS = "wall overhangs"
    WALL_LEANS_BACK = "wall leans back"
    ONLY_ANCHOR = "only anchor"
    CENTRE_ABOVE_ONLY_ANCHOR = "centre above only anchor"
    CENTRE_BESIDE_ONLY_ANCHOR = "centre beside only anchor"
    ANCHORS_IN_ONE_PLACE = "anchors in one place"
    ANCHORS_IN_LEVEL_LINE = "anchors in level line"
    ANCHORS_IN_UPRIGHT_LINE = "anchors in upright line"
    NOT_IN_BALANCE = "not in balance"
    CENTRE_OUTSIDE_SPAN = "centre outside span"
    CENTRE_ABOVE_ANCHORS = "centre above anchors"
    ANCHORS_BELOW_BEARING = "anchors below bearing"
    ANCHORS_OFF_LINE = "anchors off line"
    FACTOR_FOR_LIFTING = "factor for lifting"
    DOES_NOT_STAY = "does not stay"
    OPENINGS_IN_WIND = "openings in wind"
    # on the sling
    LEGS_MISS_HOOK = "legs miss hook"
    SLUNG_OUT_OF_BALANCE = "slung out of balance"
    TURNS_OVER_ON_SLING = "turns over on sling"
    TILTS_ON_SLING = "tilts on sling"
    LEGS_SLACK = "legs slack"
    LEG_TOO_FLAT = "leg too flat"
    ONE_LEG = "one leg"
    # on its base
    STANDS_ON_NO_BASE = "stands on no base"
    FALLS = "falls"
    SLOPE_TIPS = "slope tips"
    TIPS_EARLY = "tips early"
    # on the water
    FLOATS_BADLY = "floats badly"
    UNSTABLE_WHILE_FILLING = "unstable while filling"
    NO_RESERVE = "no reserve"
    BARE_FOAM_CRUSHES = "bare foam crushes"
    OPENINGS_COUNTED_SHUT = "openings counted shut"
    NO_HOLLOW = "no hollow"
    HOLLOWS_DRAIN = "hollows drain"
    NO_PLACE_OF_LOAD = "no place of load"
    BOAT_TOO_LONG = "boat too long"
    NO_PERSONS = "no persons"
    ITEM_WITHOUT_DENSITY = "item without density"
    SKIN_LIGHTER_THAN_WATER = "skin lighter than water"
    AIR_CHAMBERS = "air chambers"
    # on its way
    BAR_LEG_PUSHES = "bar leg pushes"
    TURNS_OVER_UNDER_BAR = "turns over under bar"
    ROLLS_UNDER_BAR = "rolls under bar"
    TIPS_ON_CRADLE = "tips on cradle"
    ONE_HOOK_PUSHES = "one hook pushes"
    TAIL_SLACK_AT_ONCE = "tail slack at once"
    MAIN_ROPE_SLACK = "main rope slack"
    ROLLS_OFF_THE_GROUND = "rolls off the ground"
    TAIL_GOES_SLACK = "tail goes slack"
    HANGS_OFF_ITS_POSE = "hangs off its pose"
    LIFTED_NOT_TURNED = "lifted not turned"
    LEGS_TOO_WIDE = "legs too wide"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to tell: what was found, of which pours, lifts or holes, with its figures.

    ``subject`` holds names as the sheet has them ("2a", "P1") and lifts by number ("3"). ``values`` are pairs of a name
    with its SI unit (``volume_m3``) and what it is: a number, a word or phrase, or several of them.

    >>> found = finding(Code.LEAVES_EMPTY, "2a", volume_m3=0.002)
    >>> found.subject, found["volume_m3"]
    (('2a',), 0.002)
    """

    code: Code
    subject: tuple[str, ...] = ()
    values: tuple[tuple[str, Value], ...] = ()
    severity: Severity = Severity.WARNING

    def __getitem__(self, name: str) -> Value:
        """One of its values."""
        return dict(self.values)[name]


def finding(code: Code, *subject: str, **values: Value) -> Finding:
    """A warning of ``code`` about ``subject``, its values in the order given."""
    return Finding(code, subject, tuple(values.items()))


def note(code: Code, *subject: str, **values: Value) -> Finding:
    """The same where it comes with every plan of its kind, and so is no warning."""
    return Finding(code, subject, tuple(values.items()), Severity.NOTE)


def refusal(code: Code, *subject: str, **values: Value) -> Finding:
    """The same where nothing can be planned because of it."""
    return Finding(code, subject, tuple(values.items()), Severity.REFUSAL)


NAMES = ("over", "port", "opening", "shores", "by")
"""Values that are names of pours, holes or shores."""


def with_names(found: Finding, names: Mapping[str, str]) -> Finding:
    """The finding with its pours, lifts and holes named as ``names`` says; others keep theirs.

    >>> with_names(finding(Code.POUR_AFTER, "2a", over=("2b",)), {"2a": "4a", "2b": "4b"}).subject
    ('4a',)
    """

    def name(value: Value) -> Value:
        if isinstance(value, tuple):
            return tuple(names.get(v, v) if isinstance(v, str) else v for v in value)  # type: ignore[return-value]
        return names.get(value, value) if isinstance(value, str) else value

    values = tuple((key, name(value) if key in NAMES else value) for key, value in found.values)
    return replace(found, subject=tuple(names.get(one, one) for one in found.subject), values=values)
