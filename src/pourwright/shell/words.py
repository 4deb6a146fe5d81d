"""What the mesh check says, a function for each code of its subject and its values; in SI units.

Here and not in `wording`, since a mesh that is refused raises its sentences; `wording.findings` takes them from here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import StrEnum

from pourwright.findings import Code, Finding
from pourwright.shell.scale import length_words

Names = tuple[str, ...]
Point = tuple[float, ...]


class Unparted(StrEnum):
    """Why the two faces of a wall that is open to the outside could not be told apart."""

    OPEN_RIMS = "open rims"
    TOO_THICK = "faces too thick on one another"
    NO_LIP = "no lip"
    WIDE_LIP = "wide lip"
    NO_VOID = "no void"
    UNEVEN_MOUTHS = "uneven mouths"


WHY: dict[Unparted, Callable[[float, float], str]] = {
    Unparted.OPEN_RIMS: lambda doubt_m3, behind_m3: "its rims are open as well",
    Unparted.TOO_THICK: lambda doubt_m3, behind_m3: "its faces lie too thick on one another to be looked through",
    Unparted.NO_LIP: lambda doubt_m3, behind_m3: "its outer and its inner face run into each other without a lip",
    Unparted.WIDE_LIP: lambda doubt_m3, behind_m3: "its lip is wider than can be followed",
    Unparted.NO_VOID: lambda doubt_m3, behind_m3: "neither of its faces encloses a void",
    Unparted.UNEVEN_MOUTHS: lambda doubt_m3, behind_m3: (
        f"its mouths are so uneven that {volume_words(doubt_m3)} of {volume_words(behind_m3)} behind them would be "
        "in doubt"
    ),
}
"""Each reason in words, of the volume in doubt and of that behind the mouths [m3]."""


def many(number: float, what: str, more: str = "") -> str:
    """A count with its noun.

    >>> many(1, "rim"), many(3, "rim"), many(2, "inner body", "inner bodies")
    ('1 rim', '3 rims', '2 inner bodies')
    """
    return f"{number:.0f} {what if number == 1 else more or what + 's'}"


def area_words(area_m2: float) -> str:
    """An area.

    >>> area_words(0.753), area_words(5e-5)
    ('0.753 m²', '0.5 cm²')
    """
    return f"{area_m2 * 1e4:.3g} cm²" if area_m2 < 0.02 else f"{area_m2:.3g} m²"


def volume_words(volume_m3: float) -> str:
    """A volume; under a millilitre only that it is.

    >>> volume_words(1.25), volume_words(0.163), volume_words(2.04e-5), volume_words(0.0)
    ('1.25 m³', '163 L', '20.4 mL', 'under 1 mL')
    """
    if volume_m3 < 1e-6:
        return "under 1 mL"
    if volume_m3 < 1.0:
        return f"{volume_m3 * 1e6:.3g} mL" if volume_m3 < 9.995e-4 else f"{volume_m3 * 1e3:.3g} L"
    return f"{volume_m3:.3g} m³"


def _at(point_m: Point) -> str:
    """A point in the file's axes, to a tenth of a millimetre."""
    x, y, z = (f"{round(c, 4) + 0.0:.3g}" for c in point_m)
    return f"x {x}, y {y}, z {z} m"


def _near(near_m: Point) -> str:
    """Where most of it is; no point where it is all over."""
    return f"near {_at(near_m)}" if near_m else "all over the piece"


# The first cleaning


def _empty_triangles(s: Names, count: float) -> str:
    return f"{count:.0f} triangles without three corners were dropped."


def _open_seams(s: Names, points: float) -> str:
    return f"{points:.0f} border points that nearly met were joined."


def _corners_not_sought(s: Names) -> str:
    return "Loose sides lie so thick that no corners on them were looked for."


def _corners_on_edges(s: Names, count: float) -> str:
    return f"{count:.0f} triangles with another's corner on their side were cut there."


def _doubled_triangles(s: Names, count: float) -> str:
    return f"{count:.0f} triangles that were there twice were dropped."


def _back_to_back(s: Names, count: float) -> str:
    return f"{count:.0f} triangles that lay back to back without thickness were dropped."


# What the file and the job say of it


def _other_unit(s: Names, stated: str, asked: str) -> str:
    return f"The file is in {stated} by its own word; it is read in {asked} as asked."


def _axes_kept(s: Names) -> str:
    return "glTF pieces stand along y by their specification; the file's axes are kept, so up is y unless turned."


def _wall_not_used(s: Names) -> str:
    return "The mesh shows the wall with both its faces; the wall thickness given is not used."


# Mended surfaces


def _flipped_triangles(s: Names, count: float, of: float, near_m: Point) -> str:
    return (
        f"{count:.0f} of {of:.0f} triangles, {_near(near_m)}, faced the other way than their neighbours and were "
        "turned."
    )


def _crowded_edges(s: Names, count: float, near_m: Point) -> str:
    return f"{count:.0f} edges {_near(near_m)} join more than two triangles; the surfaces that meet there were parted."


def _loose_scraps(s: Names, count: float, area_m2: float) -> str:
    return f"{many(count, 'open scrap')} of {area_words(area_m2)} in all were dropped."


def _open_sheets(s: Names, count: float, area_m2: float, near_m: Point) -> str:
    return (
        f"{count:.0f} triangles of open sheets, {area_words(area_m2)} {_near(near_m)}, were left out; a "
        "partition or fin that is really there must be drawn with thickness."
    )


# Bodies


def _touching_bodies(s: Names, count: float) -> str:
    return f"{count:.0f} bodies that touch were made one."


def _overlapping_bodies(s: Names, count: float, shared_m3: float) -> str:
    return (
        f"{count:.0f} bodies overlapped by {volume_words(shared_m3)} and were cut into one; their walls inside "
        "each other are gone."
    )


def _bodies_not_cut(s: Names, count: float) -> str:
    return f"{count:.0f} bodies overlap and could not be cut into one; each spot counts once."


def _several_bodies(s: Names, count: float) -> str:
    return f"The mesh has {count:.0f} separate outer bodies."


def _doubled_surface(s: Names, count: float) -> str:
    return f"{many(count, 'surface')} only repeated the outer one and was left out."


def _stray_bodies(s: Names, count: float) -> str:
    return f"{many(count, 'loose body', 'loose bodies')} of next to no volume beside the piece were left out."


def _inner_bodies(s: Names, count: float, volume_m3: float) -> str:
    return f"{many(count, 'inner body', 'inner bodies')} holding {volume_words(volume_m3)} were left out as debris."


def _overlapping_surface(s: Names, volume_m3: float, at_m: Point) -> str:
    return f"The surface overlaps itself by {volume_words(volume_m3)} around {_at(at_m)}; it counts once."


def _inverted_surface(s: Names, volume_m3: float, at_m: Point) -> str:
    return f"{volume_words(volume_m3)} around {_at(at_m)} are inside out; they count as inside."


# Borders


def _holes(s: Names, count: float, area_m2: float, largest_m: float, at_m: Point) -> str:
    return (
        f"{many(count, 'hole')} of the scan, {area_words(area_m2)} in all, the largest "
        f"{length_words(largest_m)} across near {_at(at_m)}, closed flat: too small or ragged to be rims."
    )


def _hidden_ends(s: Names, count: float) -> str:
    return f"{many(count, 'open end')} that lay inside another body were closed."


def _rim(s: Names, across_m: float, out_m: float, share: float) -> str:
    return (
        f"The rim of {s[0]}, {length_words(across_m)} across, is out of flat by {length_words(out_m)}, {share:.0%} of "
        "its width"
    )


def _uneven_rim(s: Names, **rim: float) -> str:
    return f"{_rim(s, **rim)}: its cap is only near the true mouth."


def _rim_too_uneven(s: Names, most: float, **rim: float) -> str:
    return f"{_rim(s, **rim)}; up to {most:.0%} can be capped: cut it flat."


# What refuses a mesh


def _one_sided(s: Names, count: float, near_m: Point) -> str:
    return (
        f"{count:.0f} triangles {_near(near_m)} belong to a surface with only one side, which has no inside: cut or "
        "rebuild it there."
    )


def _broken_border(s: Names, edges: float) -> str:
    return f"{edges:.0f} border edges form no closed loop, so the surface cannot be closed there: mend it."


def _sheet(s: Names, area_m2: float, volume_m3: float) -> str:
    return (
        f"The mesh is a sheet: its surface of {area_words(area_m2)} encloses only {volume_words(volume_m3)}; "
        "give the whole outside face of a hollow piece."
    )


def _no_inner_surface(s: Names) -> str:
    return "The job says both-faces, but the mesh holds no closed inner surface: say outside and give the wall."


def _no_rim(s: Names) -> str:
    return "The job says open, but the mesh has no rim to cap: leave the kind out, or say outside."


def _open_on_rims(s: Names, asked: str, rims: float) -> str:
    return f"The job says {asked}, but the mesh is open on {many(rims, 'rim')}: say open, or close the mesh."


def open_wall(thickness_m: float, hull_share: float) -> str:
    """What a body that is itself a wall, open to the outside, looks like."""
    return (
        f"The mesh is a wall about {length_words(thickness_m)} thick drawn with both its faces and open to the outside "
        f"(it fills {hull_share:.0%} of its hull)"
    )


def _wall_not_parted(
    s: Names, thickness_m: float, hull_share: float, why: str, doubt_m3: float, behind_m3: float
) -> str:
    return (
        f"{open_wall(thickness_m, hull_share)}, and {WHY[Unparted(why)](doubt_m3, behind_m3)}: give its outside face "
        "alone, or say kind outside if the piece is hollow and really that thin."
    )


def _inside_in_doubt(s: Names, doubt_m3: float, enclosed_m3: float, most: float) -> str:
    return (
        f"What is inside cannot be told well enough: {volume_words(doubt_m3)} of {volume_words(enclosed_m3)} are in "
        f"doubt and at most {most:.0%} may be: mend the mesh."
    )


MESH_SENTENCES: dict[Code, Callable[..., str]] = {
    Code.EMPTY_TRIANGLES: _empty_triangles,
    Code.OPEN_SEAMS: _open_seams,
    Code.CORNERS_NOT_SOUGHT: _corners_not_sought,
    Code.CORNERS_ON_EDGES: _corners_on_edges,
    Code.DOUBLED_TRIANGLES: _doubled_triangles,
    Code.BACK_TO_BACK: _back_to_back,
    Code.OTHER_UNIT: _other_unit,
    Code.AXES_KEPT: _axes_kept,
    Code.WALL_NOT_USED: _wall_not_used,
    Code.FLIPPED_TRIANGLES: _flipped_triangles,
    Code.CROWDED_EDGES: _crowded_edges,
    Code.LOOSE_SCRAPS: _loose_scraps,
    Code.OPEN_SHEETS: _open_sheets,
    Code.TOUCHING_BODIES: _touching_bodies,
    Code.OVERLAPPING_BODIES: _overlapping_bodies,
    Code.BODIES_NOT_CUT: _bodies_not_cut,
    Code.SEVERAL_BODIES: _several_bodies,
    Code.DOUBLED_SURFACE: _doubled_surface,
    Code.STRAY_BODIES: _stray_bodies,
    Code.INNER_BODIES: _inner_bodies,
    Code.OVERLAPPING_SURFACE: _overlapping_surface,
    Code.INVERTED_SURFACE: _inverted_surface,
    Code.HOLES: _holes,
    Code.HIDDEN_ENDS: _hidden_ends,
    Code.UNEVEN_RIM: _uneven_rim,
    Code.RIM_TOO_UNEVEN: _rim_too_uneven,
    Code.ONE_SIDED: _one_sided,
    Code.BROKEN_BORDER: _broken_border,
    Code.SHEET: _sheet,
    Code.NO_INNER_SURFACE: _no_inner_surface,
    Code.NO_RIM: _no_rim,
    Code.OPEN_ON_RIMS: _open_on_rims,
    Code.WALL_NOT_PARTED: _wall_not_parted,
    Code.INSIDE_IN_DOUBT: _inside_in_doubt,
}
"""Each code of the mesh check with what makes its sentence."""

SHORT = {
    Code.CORNERS_NOT_SOUGHT: "corners on edges",
    Code.BODIES_NOT_CUT: "overlapping bodies",
    Code.RIM_TOO_UNEVEN: "uneven rim",
    Code.SHEET: "no cavity",
    Code.NO_INNER_SURFACE: "no cavity",
    Code.NO_RIM: "no cavity",
    Code.OPEN_ON_RIMS: "no cavity",
    Code.WALL_NOT_PARTED: "no cavity",
}
"""What a picture and a table call it, where that is not its code."""


def sentence(found: Finding) -> str:
    """What was found in the mesh, with its figures.

    >>> from pourwright.findings import finding
    >>> sentence(finding(Code.SEVERAL_BODIES, count=2.0))
    'The mesh has 2 separate outer bodies.'
    """
    return MESH_SENTENCES[found.code](found.subject, **dict(found.values))


def short_name(code: Code) -> str:
    """What was found in two or three words.

    >>> short_name(Code.SHEET), short_name(Code.HOLES)
    ('no cavity', 'holes')
    """
    return SHORT.get(code, code.value)


def joined(found: Iterable[Finding]) -> str:
    """Several sentences as one text."""
    return " ".join(sentence(one) for one in found)
