"""The block of ``plan.json`` that tells of ribs: dams, ways in, hollows."""

from __future__ import annotations

from pourwright.document.model_parts import Block, Number, Point, RangeDoc, Text, about


class DamDoc(Block):
    """One board that foam is poured against. Plan from the left and front of the standing piece."""

    name: Text
    rib: int = about("which it carries, from 1 at the base")
    height_m: float = about("its upper face, above the base")
    area_m2: float = about("of the board")
    outline_m: list[list[tuple[float, float]]] = about(
        "closed lines round the board and its holes, seen from above: from the left, from the front"
    )
    joint_m: Number = about("widest joint between board and wall; null: not known")
    kg: RangeDoc = about("of the board, which stays in the piece")
    pressure_pa: RangeDoc = about("of the pours on it, at its greatest: head of the liquid and what the foaming adds")
    force_n: RangeDoc = about("down on it: that pressure, and the weight of all foam that lies on it")
    span_m: Number = about("farthest way between battens under the high end of that; null: not known")
    mouth: Text = about("it is brought in through; empty: none that strips of it pass")
    mouth_m: float = about("clear width of that mouth, or of the widest; 0: the shell is closed")
    reach_m: Number = about("from that mouth to the farthest corner of the board; null: none")
    strips: int = about("it is pieced together of, to pass the mouth; 0: not known")


class WayInDoc(Block):
    """How the hose gets over a rib."""

    name: Text
    rib: int = about("from 1 at the base")
    over: Text = about("name of the open top that it leads over, as the pours name it")
    opening: Text = about("mouth of the piece; empty: a hole is drilled")
    point_m: Point = about("on the skin or in the mouth, shell axes")
    hole_m: float = about("its diameter; 0: a mouth")
    found: bool = about("false: no place clear of the ribs was found, the point is the nearest skin")


class RibHollowDoc(Block):
    """A hollow between ribs."""

    volume_m3: float = about("its volume")
    middle_m: Point = about("a point in it, shell axes")
    bottom_m: float = about("above the base")
    top_m: float = about("above the base")
    drain_m: Point = about("lowest place of it on the skin as the piece stands or hangs at last, shell axes")
    breather_m: Point = about("highest place, shell axes")


class RibsDoc(Block):
    """Foam in bands of height only."""

    bands_m: list[tuple[float, float]] = about("bottom and top of each, above the base")
    board_m: float = about("thickness of the dams")
    dams: list[DamDoc] = about("from the lowest up; a rib on the bottom of the piece needs none")
    ways_in: list[WayInDoc] = about("for each open top")
    hollows: list[RibHollowDoc] = about("largest first")
