"""What is judged, or known from the trade, of dams."""

from __future__ import annotations

from pourwright.sources import Cited, Standing

BOARD_DENSITY = Cited(600.0, "kg/m3", Standing.MEMORY, note="softwood plywood, air dry: 500 to 650 kg/m3", spread=0.15)
BOARD_POISSON = Cited(0.3, "-", Standing.MEMORY, note="of plywood, about")
BOARD_PA = Cited(4.0e9, "Pa", Standing.MEMORY, note="plywood across its weaker way, low end")
BENDS = Cited(0.002, "m", Standing.JUDGEMENT, note="a dam may bend so much between two battens")
REACH = Cited(
    0.7, "m", Standing.JUDGEMENT, note="an arm through a mouth sets a board, its battens and its tape so far in"
)
LEAST_STRIP = Cited(0.06, "m", Standing.JUDGEMENT, note="a dam is not pieced together of narrower strips of board")
JOINT = Cited(
    0.003,
    "m",
    Standing.PRACTICE,
    note="a dam is cut so much smaller all round, the joint taped",
)
