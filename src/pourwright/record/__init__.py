"""What was really poured, kept safely, and the plan for what is left."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.record.cups import failed_cups
    from pourwright.record.doubt import OFF_RATIO, OFF_YIELD, TOO_LIGHT, Doubt, doubts_of, reading_doubts
    from pourwright.record.fill import Filled, Mass, PourSpace, filled_of
    from pourwright.record.ground import SheetPour, ground_of
    from pourwright.record.model import (
        BENCH_SCHEMA,
        SCHEMA,
        Cup,
        Entry,
        Expected,
        Hole,
        Planned,
        Record,
        ScaleCell,
        WeighedEntry,
    )
    from pourwright.record.probes import Probed, probed, with_probes
    from pourwright.record.replan import Replanned, replan
    from pourwright.record.store import RECORD_FILE, add_entries, add_entry, read_record, set_aside, take_back, update
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
    "TOO_LIGHT",
    "Cup",
    "Doubt",
    "Entry",
    "Expected",
    "Filled",
    "Hole",
    "Mass",
    "Planned",
    "PourSpace",
    "Probed",
    "Reading",
    "Record",
    "Replanned",
    "ScaleCell",
    "SheetPour",
    "WeighedEntry",
    "YieldEstimate",
    "add_entries",
    "add_entry",
    "add_weighing",
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
    "set_aside",
    "strike_weighing",
    "take_back",
    "update",
    "weighings_of",
    "with_probes",
]
