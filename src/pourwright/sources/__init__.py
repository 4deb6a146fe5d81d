"""Published and judged numbers, each with its source."""

from pourwright.sources.cited import Cited, Standing
from pourwright.sources.si import printed_units, to_si
from pourwright.sources.tables import Reference, cited_from, read_table, references

__all__ = ["Cited", "Reference", "Standing", "cited_from", "printed_units", "read_table", "references", "to_si"]
