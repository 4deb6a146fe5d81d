"""Published and judged numbers, each with its source."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.sources.cited import Cited, Standing
    from pourwright.sources.si import printed_units, to_si
    from pourwright.sources.tables import Reference, cited_from, read_table, references
else:
    __getattr__ = offered(__name__)

__all__ = ["Cited", "Reference", "Standing", "cited_from", "printed_units", "read_table", "references", "to_si"]
