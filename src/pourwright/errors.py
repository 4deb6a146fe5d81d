"""The errors that bad input raises; findings about a good input are data (`Check`, `Finding`), never errors.

Every error reads as one sentence: what was given, what is allowed, what to do.
"""

from __future__ import annotations

import reprlib

_SHORT = reprlib.Repr()  # keywords here only since Python 3.12
_SHORT.maxstring = _SHORT.maxother = 80


class Said(str):
    """A value in words, with its unit: what an error shows as it is, without quotation marks."""

    __slots__ = ()

    def __repr__(self) -> str:
        return str(self)


def in_words(length_m: float) -> str:
    """A length for an error, in both unit systems.

    >>> in_words(0.269)
    '269 mm (10.6 in)'
    """
    return f"{1e3 * length_m:.0f} mm ({length_m / 0.0254:.3g} in)"


class PourwrightError(Exception):
    """Root of the project's errors. ``exit_code`` is what the command line returns."""

    exit_code = 1


class UsageError(PourwrightError):
    """The command or the job file asks for something that is not on offer (exit code 2)."""

    exit_code = 2


class JobError(UsageError):
    """A key of the job file is missing, unknown or out of range.

    Parameters
    ----------
    key : str
        Dotted name of the offending key, for example ``wall.thickness``.
    given : object
        What the file said; None where the key is missing; `Said` for a value in SI that has to be put in words.
    allowed : str
        What may stand there, and what to do.
    """

    def __init__(self, key: str, given: object, allowed: str):
        self.key, self.given, self.allowed = key, given, allowed
        said = "is missing" if given is None else f"= {_SHORT.repr(given)}"
        super().__init__(f"{key} {said}: {allowed}")


class ShellError(PourwrightError):
    """The shell file cannot be read, or what it holds cannot be planned (exit code 1)."""


class CavityError(PourwrightError):
    """No cavity is left inside the skin, or its grid does not fit in memory (exit code 1)."""


class LimitError(PourwrightError):
    """No division into lifts exists at all (exit code 1); an over-limit lift is a ``Check`` instead."""


class AnchorError(PourwrightError):
    """An anchor is not on the piece, or its insert is longer than the foam behind it (exit code 1)."""


class FileError(PourwrightError):
    """A file or folder cannot be written (exit code 2)."""

    exit_code = 2
