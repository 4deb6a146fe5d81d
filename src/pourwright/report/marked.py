"""Lines of Markdown: how wide they are, where they break, and what in a text is not to be taken for a mark."""

from __future__ import annotations

import re
import textwrap

WIDTH = 100
_HELD = "\x00"


def escaped(text: str) -> str:
    """Text of the job with the characters that Markdown or HTML would take for their own made plain.

    >>> escaped("<b> *x* | y")
    '&lt;b> \\\\*x\\\\* \\\\| y'
    """
    return re.sub(r"([\\`*_#|\[\]])", r"\\\1", text).replace("<", "&lt;")


def wrapped(text: str, indent: str = "") -> list[str]:
    """Text in lines of `WIDTH`, a number and its unit together."""
    held = re.sub(r"(?<=\d) (?=[^\d\s])", _HELD, text)  # a number and its unit stay on one line
    lines = textwrap.wrap(held, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)
    return [line.replace(_HELD, " ") for line in lines]
