"""What was really poured, kept safely, and the plan for what is left."""

from pourwright.record.fill import Filled, Mass, filled_of
from pourwright.record.model import SCHEMA, Entry, Hole, Planned, Record
from pourwright.record.replan import Replanned, replan
from pourwright.record.store import RECORD_FILE, add_entry, read_record, set_aside, take_back, update
from pourwright.record.yields import Reading, YieldEstimate, estimate_yield, grade_with

__all__ = [
    "RECORD_FILE",
    "SCHEMA",
    "Entry",
    "Filled",
    "Hole",
    "Mass",
    "Planned",
    "Reading",
    "Record",
    "Replanned",
    "YieldEstimate",
    "add_entry",
    "estimate_yield",
    "filled_of",
    "grade_with",
    "read_record",
    "replan",
    "set_aside",
    "take_back",
    "update",
]
