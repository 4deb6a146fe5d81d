"""Published and judged numbers, each with its source."""

from pourwright.sources.cited import Cited, Standing

__all__ = ["Cited", "Standing"]
