"""``sheet.html``: the plan for the bench, one file that prints and reads on a phone."""

from __future__ import annotations

import base64
import functools
import hashlib
import io
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pourwright import units
from pourwright.findings import Code, Finding
from pourwright.lifts import Lift, Pour
from pourwright.pages import page_maker
from pourwright.plaintext import shown
from pourwright.plan import Plan, first_mix
from pourwright.record import BENCH_SCHEMA
from pourwright.report.card import card, clock_of, first_cup, minutes, starts
from pourwright.report.cups import cups_of, shared_cup
from pourwright.report.machine.shop import shop_parts
from pourwright.sources import Cited, Standing
from pourwright.wording.asks import refused_or_unknown, status_words
from pourwright.wording.checks import to_hold
from pourwright.wording.closing import board_list, boards_on, bung_line, tube_line
from pourwright.wording.computed import day_lines, near_a_limit, wall_clock
from pourwright.wording.findings import gathered, sentences
from pourwright.wording.lifts import (
    caution_lines,
    hole_lines,
    liquids_line,
    piece_check_lines,
    summary_lines,
    warnings_of,
    weight_lines,
)
from pourwright.wording.placed import placed_in
from pourwright.wording.places.anchors import HANGS, HEADS, anchor_notes, anchor_rows
from pourwright.wording.places.hard_points import hard_rows, hold_notes, hold_point_words
from pourwright.wording.skin import set_up_words
from pourwright.wording.spoken import spoken
from pourwright.wording.status import (
    sides_words,
    tops_words,
)

PICTURE_WIDTH, PICTURE_QUALITY = 1280, 84
"""Pictures are kept this wide [pixels] and this good (JPEG): sharp at 150 dots an inch over a page."""

CHARTS = ("timeline.png", "strip.png", "flow.png")
"""Pictures of these names are put in as they are; a card's is drawn for its size on paper."""
ACROSS_MM = 100.0
"""A card's picture that is wider goes under the words."""
_WIDE = re.compile(r'width="([\d.]+)mm"')
REACH = Cited(1.5, "m", Standing.JUDGEMENT, note="into a hole higher over the bench or floor is poured from steps")
FACTS = ("size", "skin", "cavity", "foam", "shop", "pour direction", "up")
"""Of what is known of the piece, what the bench needs."""


# The blanks inside "9 13/16 in", "1.41 US fl oz" and "5 h 40 min".
_UNITS = "mm|cm|m[²³]?|in|ft[²³]?|kg|g|lb|oz|L|mL|US|°C|°F|k?Pa|psi|psf|k?N|lbf|h|min|s|%"
_QUANTITY = re.compile(
    rf"(?<=\d) (?=(?:\d+/\d+|{_UNITS})(?!\w))|(?<=\d h) (?=\d+ min)|(?<=\d min) (?=\d+ s)"
    r"|(?<=US) (?=fl|gal)|(?<=fl) (?=oz)"
)


@dataclass(frozen=True)
class Issue:
    """What a sheet that is issued again says about itself.

    ``done`` holds lines for each poured pour by name, ``changed`` the names of pours that are not as they were.
    """

    number: int
    lines: tuple[str, ...]
    done: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    changed: frozenset[str] = frozenset()


def sheet_html(plan: Plan, pictures: Sequence[Path] = (), issue: Issue | None = None) -> str:
    """The text of ``sheet.html``.

    Parameters
    ----------
    plan : Plan
    pictures : sequence of Path
        Pictures of the plan; they are put into the file. Names as ``draw_plan`` gives them.
    issue : Issue, optional
        For a sheet made again from what was poured.

    Returns
    -------
    str
        One page that needs nothing else: no network, and no script but the one in it, which runs the clock and keeps
        what is typed into the boxes.
    """
    made = page_maker(finalize=held)
    css = made.loader.get_source(made, "sheet.css")[0] if made.loader else ""
    js = script_of(made.loader.get_source(made, "sheet.js")[0]) if made.loader else ""
    drawn = {file.name: file.read_text("utf-8") for file in pictures if file.suffix == ".svg"}
    text = made.get_template("sheet.html").render(
        css=css,
        js=js,
        js_hash=f"sha256-{base64.b64encode(hashlib.sha256(js.encode()).digest()).decode('ascii')}",
        store=f"pourwright {plan.skin.sha256[:16]}",
        bench=json.dumps({"schema": BENCH_SCHEMA, "shell_sha256": plan.skin.sha256}),
        pictures={file.name: embedded(file) for file in pictures if file.name in CHARTS},
        drawn=drawn,
        across={name for name, text in drawn.items() if (wide := _WIDE.search(text)) and float(wide[1]) > ACROSS_MM},
        issue=issue,
        **_words(plan, issue),
    )
    return "\n".join(line.rstrip() for line in shown(text).splitlines() if line.strip()) + "\n"


def script_of(script: str) -> str:
    """A script as it stands in the page, so that its digest is that of its text there."""
    return "\n".join(line.rstrip() for line in script.splitlines() if line.strip())


def held(value: Any) -> Any:
    """Text whose quantities are not broken at the end of a line; anything else as it is.

    >>> held("249 mm (9 13/16 in) up").replace(chr(160), "_")
    '249_mm (9_13/16_in) up'
    """
    if not isinstance(value, str) or hasattr(value, "__html__"):
        return value
    return _QUANTITY.sub("\u00a0", value)


def embedded(file: Path) -> str:
    """A picture as a ``data:`` address, no wider than `PICTURE_WIDTH`."""
    there = file.stat()
    return _embedded(file, there.st_mtime_ns, there.st_size)


@functools.lru_cache(maxsize=64)  # the sheet and the page show the same pictures
def _embedded(file: Path, _changed_ns: int, _size: int) -> str:
    from PIL import Image  # slow to load: a short plan has no pictures

    with Image.open(file) as image:
        small = image.convert("RGB")
    small.thumbnail((PICTURE_WIDTH, 4 * PICTURE_WIDTH), Image.Resampling.LANCZOS)
    kept = io.BytesIO()
    small.save(kept, "JPEG", quality=PICTURE_QUALITY, optimize=True)
    return f"data:image/jpeg;base64,{base64.b64encode(kept.getvalue()).decode('ascii')}"


def _counted(plan: Plan) -> str:
    """What the times of the table are."""
    mix = spoken(plan).mix
    if plan.job.day.start_s is None:
        return (
            f"Times under 'starts at' count from the start of the first {mix}, if every wait is as short as it may be."
        )
    start = wall_clock(plan, 0.0)
    return f"Times under 'starts at' are by the wall clock if the first {mix} begins at {start} and no wait is longer."


def _strip_note(plan: Plan) -> str:
    thin = any(heat.across_m == heat.across_m for heat in plan.lift_plan.heats.values())
    return " Narrow limbs are somewhat hotter than their cells show: they have a solution of their own." if thin else ""


def _words(plan: Plan, issue: Issue | None) -> dict[str, Any]:
    status = status_words(plan)
    last = plan.lift_plan.lifts[-1:]
    return {
        "name": plan.job.name,
        "place": plan.job.place,
        "status": status,
        "stop": refused_or_unknown(plan),
        "facts": [row for row in summary_lines(plan) if row[0] in FACTS],
        "at_hand": _at_hand(plan),
        "cautions": caution_lines(plan),
        "part_heads": plan.job.grade.sides.heads,
        "sides": sides_words(plan.job.grade.sides),
        "warnings": list(sentences(gathered(_for_the_bench(plan)))),
        "lifts": [_lift(plan, lift, lift in last, issue) for lift in plan.lift_plan.lifts],
        "clock_of": clock_of(plan),
        "clock_words": (
            f"{_counted(plan)} "
            f"A wait counts from the start of the first {spoken(plan).mix} of its lift. "
            "Nothing is lost by waiting longer. "
            "Assumptions, limits, cross-checks and the way the day was chosen are in plan.md."
        ),
        "holes": hole_lines(plan, cards=True) or ["none"],
        "placed": placed_in(plan),
        "strip_note": _strip_note(plan),
        "weight": weight_lines(plan),
        **_places(plan),
        "anchor_notes": [*anchor_notes(plan, bool(hard_rows(plan))), *hold_notes(plan)],
        "machine": plan.job.machine is not None,
        "shop": shop_parts(plan),
        "mix": spoken(plan).mix,
        "day": day_lines(plan, lifts=plan.job.machine is not None),
        "checks": piece_check_lines(plan),
        "made": ", ".join(f"{key} {value[:24]}" for key, value in sorted(plan.provenance.items())),
    }


def _for_the_bench(plan: Plan) -> list[Finding]:
    """Warnings that the bench can do something about: not those of the file's triangles, nor what a card says.

    Where holes of a mesh were closed the shell may have them, and foam come out.
    """
    of_the_mesh = [one.found for one in plan.skin.findings if one.found.code is not Code.HOLES]
    told = {Code.LOOKS_SIDEWAYS} if boards_on(plan) else set()
    return [one for one in warnings_of(plan) if one not in of_the_mesh and one.code not in told]


def _at_hand(plan: Plan) -> list[str]:
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours if not pour.poured]
    own = [pour for pour in pours if pour in (shared_cup(plan, pour) or (pour,))[:1]]
    cups = sum(len(cups_of(pour, plan.job.limits)) or pour.batches for pour in own)
    most = max((first_cup(plan, pour).total_m3 for pour in own), default=0.0)
    ports = [port.hole_m for port in plan.lift_plan.ports if port.way == "drilled" and not port.made]
    vents = [vent for vent in plan.lift_plan.vents if vent.way == "drilled" and vent.holes > vent.made]
    drills = sorted({*ports, *(vent.hole_m for vent in vents)})
    holes = len(ports) + sum(vent.holes - vent.made for vent in vents)
    foam, limits = plan.foam, plan.job.limits
    drilled = (
        f"Drills for {holes} hole{'' if holes == 1 else 's'}: {', '.join(units.tape(size) for size in drills)}"
        if drills
        else "Nothing is drilled"
    )
    if plan.job.machine is not None:
        return [
            f"Liquids of a part, spare included: {liquids_line(plan)}",
            drilled,
            *bung_line(plan.lift_plan),
            "A scale for the part, a clock with seconds, and operator.html, which goes with each part",
            f"Liquids at {units.temperature(foam.conditions.parts_k)}, the skin at "
            f"{units.temperature(foam.conditions.skin_k)}",
        ]
    return [
        f"Liquids, spare included: {liquids_line(plan)}",
        f"{cups} clean mixing cup{'' if cups == 1 else 's'}, each for {units.liquid(most)} of both parts with room to "
        f"stir; a mixer, a scale, a funnel and a marked stick",
        drilled,
        *tube_line(pours),
        *bung_line(plan.lift_plan),
        *board_list(plan),
        *_shores(plan),
        *_steps_up(plan),
        f"{limits.hands} {'person who mixes' if limits.hands == 1 else 'people who mix'}, and one with the clock",
        f"A clock with seconds: {', '.join(_clock(plan))}, all from the start of mixing",
        *_probes(plan, pours),
        f"A thermometer: both parts at {units.temperature(foam.conditions.parts_k)}, the skin at "
        f"{units.temperature(foam.conditions.skin_k)}",
    ]


def _steps_up(plan: Plan) -> list[str]:
    """What to stand on, where a hole lies too high for hands on the floor."""
    named = [(port.measures.from_base_m, port.name) for port in plan.lift_plan.ports]
    named += [(vent.measures.from_base_m, vent.name) for vent in plan.lift_plan.vents]
    high, name = max(named, default=(0.0, ""))
    if high <= REACH.value:
        return []
    return [
        f"Steps or a platform to pour and close from: {name} is {units.length(high)} above what the piece stands on"
    ]


def _probes(plan: Plan, pours: Sequence[Pour]) -> list[str]:
    """Thermocouples for the pours whose cards ask for one: foam sets round them."""
    names = [pour.name for pour in pours if near_a_limit(pour, plan)]
    many = f"{len(names)} thermocouple wire{'' if len(names) == 1 else 's'}"
    return [f"{many} to lay in before the pour ({', '.join(names)}); they stay in the foam"] if names else []


def _clock(plan: Plan) -> list[str]:
    """What the foam does when, in its order."""
    foam = plan.foam
    times = [
        (plan.job.limits.mix_s, "mixed by"),
        (foam.cream_s, "poured by"),
        (foam.rise_end_s, "risen by"),
        (foam.tack_free_s, "tack-free at"),
    ]
    return [f"{words} {minutes(at)}" for at, words in sorted(times)]


def _places(plan: Plan) -> dict[str, Any]:
    """The table of anchors and things inside; how it hangs only where something hangs."""
    hung, rows = anchor_rows(plan), hard_rows(plan)
    kept = [k for k in range(len(HEADS)) if hung or k != HANGS]
    return {
        "anchor_heads": tuple(HEADS[k] for k in kept),
        "anchors": [tuple(row[k] for k in kept) for row in (*hung, *rows)],
    }


def _shores(plan: Plan) -> list[str]:
    by_lift = [bulge.shores for bulge in plan.lift_plan.bulges.values()]
    mine = [shore for shores in by_lift for shore in shores]
    if not mine:
        return []
    most = max(len(shores) for shores in by_lift)
    hardest = max(shore.force_n for shore in mine)
    return [
        f"Shores with pads or boards, at most {most} at a time, the hardest for {to_hold(hardest)}; each lift "
        "names its own"
    ]


def _lift(plan: Plan, lift: Lift, last: bool, issue: Issue | None) -> dict[str, Any]:
    pours = [_pour(plan, lift, pour, last, issue) for pour in lift.pours]
    done = all(pour["done"] for pour in pours)
    shores = [] if done else set_up_words(lift, plan.lift_plan)
    return {
        "title": f"Lift {lift.number}: foam up to {tops_words(lift)} above the base",
        "shores": [f"{words[:1].upper()}{words[1:]}" for words in shores],
        "set_before": [] if done else [f"{words[:1].upper()}{words[1:]}" for words in hold_point_words(plan, lift)],
        "picture": f"card_{lift.number:02d}.svg",
        "pours": pours,
        "done": done,
    }


def _pour(plan: Plan, lift: Lift, pour: Pour, last: bool, issue: Issue | None) -> dict[str, Any]:
    done = issue is not None and pour.name in issue.done
    changed = issue is not None and pour.name in issue.changed
    mates = shared_cup(plan, pour)
    return {
        "name": pour.name,
        "done": done,
        "mark": "poured" if done else "changed" if changed else "",
        "lines": issue.done[pour.name] if issue is not None and done else (),
        "top": units.tape(pour.top_m),
        "all_a": units.mass(pour.to_weigh.a_kg),
        "all_b": units.mass(pour.to_weigh.b_kg),
        "batches": str(pour.batches) if pour in (mates or (pour,))[:1] else f"cup of {mates[0].name}",
        "wait": units.time(lift.wait_s) if not done else "",
        "wait_s": f"{lift.wait_s:.0f}" if math.isfinite(lift.wait_s) else "",
        "wait_from": first_mix(lift),
        **card(plan, lift, pour, last),
        "starts": starts(plan, pour) if not done else "",
    }
