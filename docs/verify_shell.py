"""Make docs/verification_shell.md (a minute or two): ``python docs/verify_shell.py > docs/verification_shell.md``."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference"))

import shell_problems as v

HEAD = """# The shell triangle against published problems

Made by `python docs/verify_shell.py`. Every number is the computed movement over its reference: 1 is right. N is the
number of cells along a side of the part that is modelled, each cut into two triangles, all diagonals one way.

The element has six unknowns a corner. Bending: discrete Kirchhoff triangle (no shear: for thin skins). Membrane: the
optimal triangle with turns about the normal. It was written here, in arrays, because it passed the problems below
clearly better than the two triangles of the general-purpose library we tried first (last table but one), and needs
nothing but numpy and scipy.
"""

BARS = """
These bars are only twice as wide as thick. Thin-plate theory, which the element follows, takes their torsional
stiffness as G b t^3 / 3 where a bar of that shape has 0.229 G b t^3: twist can reach 0.73 at most, and the curved
bar's out-of-plane movement, part torsion, 0.90. Skins are hundreds of times as wide as thick."""

# Measured once with pyfe3d 0.11.0 (BSD-3) on the same meshes and supports; not part of the tests.
OTHERS = [
    ("roof, N = 32", 0.9950, 0.9841, 0.8733),
    ("pinched cylinder, N = 32", 1.0122, 0.9634, 1.0299),
    ("hemisphere with hole, N = 32", 0.9949, 0.9864, 0.8163),
    ("whole hemisphere, N = 64", 0.9994, 0.9961, 0.8130),
    ("twisted beam 12 x 2, in plane", 0.9937, 0.9693, 0.9104),
    ("twisted beam 12 x 2, out of plane", 1.0005, 0.8178, 0.8840),
    ("twisted beam 48 x 8, out of plane", 0.9978, 0.9727, 0.9639),
    ("thin twisted beam 48 x 8, out of plane", 0.9059, 0.7027, 0.7488),
]

SOLVER = """
Assembly of 20,000 triangles took 2.0 to 2.5 s there (a Python call for each element) and takes 0.3 to 0.5 s here.

## Solver

One factorisation, seconds of processor time, and as many for 64 loads with it; measured once each. Skin: a sphere of
20,480 triangles. Skin on foam: an egg of 20,000 triangles on 3056 cells of foam (71,058 unknowns).

| solver | skin | skin on foam | 64 loads on foam | factor entries, skin / on foam | note |
|---|---|---|---|---|---|
| scipy SuperLU, minimum degree | 14.8 | 11.9 | 18 | 16.3 / 78 million (both halves) | behind the first |
| scipy SuperLU, nested dissection of this package | 2.0 | | | 15.0 / 105 million (both halves) | behind the first |
| rslab (MIT), supernodal L D L^T | 0.7 | 2.0, order 2.1 | 0.8 | 10.5 / 30.8 million | used |
| a compact Cholesky package (elapsed) | 6.8 | | | | |
| a vendor's parallel solver (elapsed, two cores) | 1.8 | | | | 220 MB, not open source |

rslab is young and has one author, so it is watched: the order is found once for all matrices of a piece, every
solve is put back into the equations, and one that leaves more than 1e-12 of them (it leaves 1e-16) is done again by
scipy, as everything is on a machine that has no wheel of it. The same input gives the same bytes with one thread or
two. The usual binding of the best-known sparse Cholesky library has no wheels.
"""


def table(title, head, rows):
    lines = [f"\n## {title}\n", "| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(c if isinstance(c, str) else f"{c:.4f}" for c in row) + " |" for row in rows]
    print("\n".join(lines))


def main():
    print(HEAD, end="")
    sizes = (8, 16, 32, 64)
    problems = [
        ("Scordelis-Lo roof, 0.3024", v.scordelis_lo_roof),
        ("pinched cylinder with diaphragms, 1.8248e-5", v.pinched_cylinder),
        ("hemisphere with 18 degree hole, 0.0935", v.hemisphere),
        ("whole hemisphere, 0.0924", lambda n: v.hemisphere(n, 0.5, 0.0924)),
    ]
    rows = [(name, *(f(n) for n in sizes)) for name, f in problems]
    table("Curved shells", ["problem, reference", *(f"N = {n}" for n in sizes)], rows)
    print("\nThe roof's limit for thin shells is about 0.3006, 0.6 % below its usual reference.")

    sizes = (12, 24, 48, 96)
    runs = {thin: [v.twisted_beam(n, thin) for n in sizes] for thin in (False, True)}
    rows = [
        (f"{'thin, t = 0.0032' if thin else 't = 0.32'}, {way}", *(r[i] for r in runs[thin]))
        for thin in (False, True)
        for i, way in enumerate(("in plane", "out of plane"))
    ]
    table("Twisted beam, n x n/6", ["case", *(f"n = {n}" for n in sizes)], rows)

    head = ["beam, cells", "extension", "in plane", "out of plane", "twist"]
    rows = []
    for form in ("regular", "trapezoid", "parallelogram"):
        for refine in (1, 4):
            got = v.straight_beam(form, refine)
            rows.append((f"straight, {form}, {6 * refine} x {refine}", *(got[c] for c in head[1:])))
    for refine in (1, 4):
        got = v.curved_beam(refine)
        rows.append((f"curved, {6 * refine} x {refine}", "", got["in plane"], got["out of plane"], ""))
    table("Cantilevers of MacNeal & Harder", head, rows)
    print(BARS)

    sizes = (4, 8, 16, 32)
    rows = [
        (f"{edges}, {ratio}:1, {'point' if point else 'even'}", *(v.thin_plate(n, edges, ratio, point) for n in sizes))
        for edges in ("supported", "clamped")
        for ratio in (1, 5)
        for point in (False, True)
    ]
    table("Thin plates (thickness 1/20000 of the width)", ["case", *(f"N = {n}" for n in sizes)], rows)
    print("\nA widely copied reference for the clamped 5:1 plate, 2.56, is low: thin-plate theory gives 2.604.")

    sizes = (8, 16, 32)
    rows = [
        (f"{edges}, q b^4/(E t^4) = {load:g}", *(v.large_square(n, edges, load) for n in sizes))
        for edges in ("supported", "clamped")
        for load in sorted(v.LARGE)
    ]
    table("Square plate with held edges, large deflection", ["case", *(f"N = {n}" for n in sizes)], rows)

    table(
        "Greatest stress of a clamped square plate (small deflection)",
        ["case", *(f"N = {n}" for n in sizes)],
        [("middle of the edge", *(v.clamped_edge_stress(n) for n in sizes))],
    )

    sizes = (16, 32, 64)
    table(
        "Wide plate on springs under a point load (Hertz)",
        ["case", *(f"N = {n}" for n in sizes)],
        [("out to 8 (D/k)^(1/4)", *(v.plate_on_springs(n) for n in sizes))],
    )
    table("Beside a general-purpose library", ["problem", "this element", "Tria3DSG", "Tria3R"], OTHERS)
    print(SOLVER)


if __name__ == "__main__":
    main()
