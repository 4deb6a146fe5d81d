"""Texts from outside (names of files, pieces, materials, notes) on their way to a reader: they move no cursor, colour
nothing, and cannot turn the order of letters round.

Every door goes through here: the screen, pages and sheets, pictures, JSON.
"""

from __future__ import annotations

import re
from typing import Any

_UNSAFE = re.compile(
    "["
    "\x00-\x08\x0b-\x1f\x7f-\x9f"  # control characters, escape among them, but line breaks and tabs
    "\u00ad\u200b\u2060-\u2064\ufeff"  # seen by nobody
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u206f"  # direction of writing
    "\u2028\u2029"  # further line breaks
    "\ufff9-\ufffb\U000e0000-\U000e0fff"  # notes between the lines, and tags
    "\ud800-\udfff"  # bytes of a file name that are no text
    "]"
)


def shown(text: str) -> str:
    """Text that shows as it reads; "?" for what would not.

    >>> shown("a\\x1b[31mb \\u202egnp.exe")
    'a?[31mb ?gnp.exe'
    """
    return _UNSAFE.sub("?", text)


def shown_line(text: str) -> str:
    """The same on one line.

    >>> shown_line("a\\n\\x1b[31mb")
    'a ?[31mb'
    """
    return shown(" ".join(text.split()))


def shown_all(value: Any) -> Any:
    """Every text in dicts, lists and tuples as `shown`."""
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, dict):
        return {shown(key): shown_all(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [shown_all(part) for part in value]
    return value


def escaped_json(text: str) -> str:
    r"""JSON text that says the same in characters that show as they read; what no JSON can say becomes "?".

    >>> print(escaped_json('{"name": "a\u202eb\x9b"}'))
    {"name": "a\u202eb\u009b"}
    """
    return _UNSAFE.sub(_escape, text)


def _escape(found: re.Match[str]) -> str:
    code = ord(found[0])
    if 0xD800 <= code <= 0xDFFF:
        return "?"
    if code > 0xFFFF:
        high, low = divmod(code - 0x10000, 0x400)
        return f"\\u{0xD800 + high:04x}\\u{0xDC00 + low:04x}"
    return f"\\u{code:04x}"
