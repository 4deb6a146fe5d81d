"""What scales taught, in sentences."""

from __future__ import annotations

from pourwright import units
from pourwright.outcome import COATED, FINISHED, Learnt, LearntCause, LearntWeight, Piece, corner_masses
from pourwright.ranges import Range
from pourwright.wording.checks import mass_range

BASIS = (
    "Read by Bayes' rule: each cause of the weights taken as independent and about normal, the scale as even within "
    "its own error. Low and high are the ends of what the job gives, as far as each weighed total stays within two "
    "standard deviations (about 95 %) of what is now known of it."
)


def stage_words(stage: int, lined: bool = False) -> str:
    """When it was weighed.

    >>> stage_words(0), stage_words(2), stage_words(FINISHED), stage_words(1, lined=True)
    ('empty', 'after lift 2', 'finished', 'after the last coat')
    """
    return {0: "empty", FINISHED: "finished"}.get(stage, COATED if lined else f"after lift {stage}")


def weighed_words(one: LearntWeight, lined: bool) -> str:
    """One weighing in short."""
    scales = "" if len(one.weighing.cells) == 1 else f" on {len(one.weighing.cells)} scales"
    return f"{stage_words(one.weighing.stage, lined)} {units.mass(one.weighing.kg)}{scales}"


def learnt_lines(learnt: Learnt, before: Piece, after: Piece) -> tuple[str, ...]:
    """What was weighed, what was expected, and what is known now that was not known before."""
    lines = []
    for one in learnt.weights:
        fit = "" if one.fits else ": BEYOND EVERYTHING THAT WAS TAKEN AS POSSIBLE, so look for what is wrong or missing"
        lines.append(f"Weighed {weighed_words(one, before.lined)}; expected {mass_range(one.expected)}{fit}.")
        if one.centre_m is not None:
            left, front = (units.tape(value) for value in one.centre_m)
            lines.append(f"Its centre of mass by the scales: {left} from the left, {front} from the front.")
    if not learnt.likely and all(one.fits for one in learnt.weights):
        lines.append("The readings go together with what was taken in fewer than 5 cases of 100: weigh once more.")
    lines += [f"Learnt: {_cause(one, before)}." for one in learnt.causes]
    if max(map(abs, learnt.shift_m)) > 1e-4:
        lines.append(f"Learnt: the middle of the skin lies {_shift(learnt.shift_m)} of where it was taken to be.")
    for kind, words in (("skin", "skin"), ("foam", "all foam")):
        old, new = (_together(piece, kind) for piece in (before, after))
        if old is not None and new is not None and old != new:
            lines.append(f"Now {words}: {mass_range(new)} (before {mass_range(old)}).")
    return (*lines, BASIS)


def _together(piece: Piece, kind: str) -> Range | None:
    """Weight of all parts of a kind, as they vary together."""
    masses = corner_masses(piece.parts)[:, [part.kind == kind for part in piece.parts]].sum(axis=1)
    return Range.of_rows(masses) if masses[0] > 0 else None


def _shift(shift_m: tuple[float, float]) -> str:
    ways = (("right", "left"), ("back", "front"))
    said = [
        f"{units.length(abs(value))} to the {way[0] if value > 0 else way[1]}"
        for value, way in zip(shift_m, ways, strict=True)
        if abs(value) > 1e-4
    ]
    return " and ".join(said)


def _cause(one: LearntCause, piece: Piece) -> str:
    walls = {(band.thickness_m, band.spread) for band in piece.bands}
    alone = len(walls) == 1 and not piece.regions and piece.gauge is None
    if one.name.endswith("of the wall") and alone:
        ((thick, spread),) = walls
        taken = _lengths(thick, spread, LearntCause("", -1.0, 0.0, 1.0, (0.0, 0.0)))
        return f"{one.name} {_lengths(thick, spread, one)}, taken as {taken}"
    if one.name.endswith("of the wall"):
        return f"the wall stands at {one.middle:+.2f} of its spread ({one.low:+.2f} to {one.high:+.2f})"
    low, middle, high = (_beside(one.share(at)) for at in (one.low, one.middle, one.high))
    return f"{one.name} {middle} what was expected ({low} to {high})"


def _lengths(thick: float, spread: float, one: LearntCause) -> str:
    low, middle, high = (units.length(thick * (1.0 + spread * at)) for at in (one.low, one.middle, one.high))
    return f"{middle} ({low} to {high})"


def _beside(share: float) -> str:
    """By how much a value is above what was expected.

    >>> _beside(0.025), _beside(-0.1)
    ('2.5 % above', '10 % below')
    """
    return f"{units.share(abs(share))} {'above' if share >= 0 else 'below'}"


def weighed_note(learnt: Learnt, lined: bool = False) -> str:
    """A line for the foot of every answer."""
    return f"Weights narrowed by the scale: {'; '.join(weighed_words(one, lined) for one in learnt.weights)}."
