"""What was really poured, kept safely, and the plan for what is left."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.record.coats import (
        SOLID,
        SheetLining,
        coat_doubts,
        coat_name,
        coats_counted,
        replan_lining,
        roll_of,
        strike_coat,
    )
    from pourwright.record.cups import failed_cups
    from pourwright.record.doubt import OFF_RATIO, OFF_YIELD, TOO_LIGHT, Doubt, doubts_of, reading_doubts
    from pourwright.record.fill import Filled, Mass, PourSpace, filled_of
    from pourwright.record.ground import SheetPour, ground_of
    from pourwright.record.model import (
        BENCH_SCHEMA,
        SCHEMA,
        CoatEntry,
        CoatPin,
        Cup,
        Entry,
        Expected,
        Hole,
        Planned,
        PlannedCoat,
        Record,
        RollMade,
        ScaleCell,
        WeighedEntry,
    )
    from pourwright.record.place import RECORD_FILE
    from pourwright.record.probes import Probed, probed, with_probes
    from pourwright.record.replan import Replanned
    from pourwright.record.short import replan
    from pourwright.record.store import add_entries, add_entry, read_record, set_aside, take_back, update
    from pourwright.record.weighings import add_weighing, strike_weighing, weighings_of
    from pourwright.record.yields import SCALE_SPREAD, Reading, YieldEstimate, estimate_yield, grade_with
else:
    __getattr__ = offered(__name__)

__all__ = [
    "BENCH_SCHEMA",
    "OFF_RATIO",
    "OFF_YIELD",
    "RECORD_FILE",
    "SCALE_SPREAD",
    "SCHEMA",
    "SOLID",
    "TOO_LIGHT",
    "CoatEntry",
    "CoatPin",
    "Cup",
    "Doubt",
    "Entry",
    "Expected",
    "Filled",
    "Hole",
    "Mass",
    "Planned",
    "PlannedCoat",
    "PourSpace",
    "Probed",
    "Reading",
    "Record",
    "Replanned",
    "RollMade",
    "ScaleCell",
    "SheetLining",
    "SheetPour",
    "WeighedEntry",
    "YieldEstimate",
    "add_entries",
    "add_entry",
    "add_weighing",
    "coat_doubts",
    "coat_name",
    "coats_counted",
    "doubts_of",
    "estimate_yield",
    "failed_cups",
    "filled_of",
    "grade_with",
    "ground_of",
    "probed",
    "read_record",
    "reading_doubts",
    "replan",
    "replan_lining",
    "roll_of",
    "set_aside",
    "strike_coat",
    "strike_weighing",
    "take_back",
    "update",
    "weighings_of",
    "with_probes",
]
