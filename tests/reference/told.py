"""What an answer tells, by its code."""

from pourwright.findings import Code, Finding


def told(result) -> dict[Code, Finding]:
    """The findings of an answer or of a part of it; of several with one code the last."""
    return {one.code: one for one in (result.warnings if hasattr(result, "warnings") else result.found)}
