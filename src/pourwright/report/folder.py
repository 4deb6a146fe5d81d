"""Writing a plan's folder whole: everything is prepared beside it and moved in as one change."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from pourwright.document.ledger import LEDGER, holds_plan, ledger_of, strange, strange_words
from pourwright.document.plan_json import plan_json
from pourwright.document.replacement import LOCK, STAYS, change_over, finish, unfinished, write_ledger
from pourwright.document.stages import PART, stage_in, sweep
from pourwright.document.surface_file import FILE as SURFACE
from pourwright.document.surface_file import surface_bytes
from pourwright.errors import FileError
from pourwright.outcome import Surface
from pourwright.plan import LinedPlan, MachinePlan, Plan, RibbedPlan
from pourwright.progress import Progress, silent
from pourwright.report.markdown import plan_markdown
from pourwright.report.pours_csv import pours_csv
from pourwright.report.sheet import Issue, sheet_html

SHEET = "sheet.html"
PAGE = "piece.html"
FILM = "fill.gif"
HOLES = "holes.csv"
OPERATOR = "operator.html"
REQUEST = "request.json"
LAST = "plan.json"
"""The file that is moved last."""
CORE = (LAST, "plan.md", "pours.csv", SHEET, PAGE, REQUEST)
ASKED = ("weights", "hang", "sling", "stand", "float", "stiffness")
"""Questions that are answered from a plan; the answers go when it is replaced, because they would no longer be true."""


def write_plan(
    plan: Plan,
    folder: Path | str,
    *,
    pictures: bool = True,
    progress: Progress = silent,
    request: Mapping[str, object] | None = None,
    issue: Issue | None = None,
    drawings: bool = False,
    film: bool = False,
) -> tuple[Path, ...]:
    """Write ``plan.json``, ``pours.csv``, ``plan.md``, ``sheet.html``, ``piece.html`` and the pictures into a folder.

    Parameters
    ----------
    plan : Plan
    folder : path
        A folder that does not exist yet, is empty, or holds an earlier plan; files of others in it are left alone.
    pictures : bool
        Whether to draw.
    request : mapping, optional
        What was asked for, kept in ``request.json`` so that the rest can be planned again from a record.
    issue : Issue, optional
        For a plan made again from a record: what the sheet says has changed.
    drawings : bool
        Whether to write outlines and dipsticks at true scale.
    film : bool
        Whether to write ``fill.gif``.
    progress : Progress, optional

    Returns
    -------
    tuple of Path
        The files, ``plan.json`` last.

    Raises
    ------
    FileError
        The folder cannot be written. Nothing half-written is left behind.

    A new folder appears in one step. A folder with an earlier plan goes over to the new one as a whole: killed before
    all files are prepared, the earlier plan is there, whole; killed later, ``UNFINISHED.txt`` is there until the next
    command that writes into the folder has finished the change. What is not as this program wrote it, by the digests in
    ``written.json``, is never touched.
    """
    folder = Path(folder)
    check_folder(folder)
    try:
        with _stage(folder) as stage:
            if isinstance(plan, LinedPlan):
                return _write_lining(plan, folder, stage, pictures, request, issue)
            drawn = _draw(plan, stage, progress) if pictures else []
            files = sorted([*drawn, "plan.md", "pours.csv", SHEET, SURFACE])
            extra = []
            if drawings:
                from pourwright.report.drawings import draw_drawings

                extra += [path.name for path in draw_drawings(plan, stage)]
            if film:
                from pourwright.draw.fill import draw_fill

                extra.append(draw_fill(plan, stage / FILM, progress=progress).name)
            files = sorted([*files, *extra])
            if pictures:
                files = sorted([*files, PAGE])
                _write(stage / PAGE, _page(plan, [stage / name for name in drawn]))
            _write(stage / SHEET, sheet_html(plan, [stage / name for name in drawn], issue))
            if isinstance(plan, RibbedPlan):
                from pourwright.report.bench.dams import draw_dams

                files = sorted([*files, *(path.name for path in draw_dams(plan, stage))])
            if isinstance(plan, MachinePlan):
                from pourwright.report.machine.holes_csv import holes_csv
                from pourwright.report.machine.operator import operator_html

                files = sorted([*files, HOLES, OPERATOR])
                _write(stage / HOLES, holes_csv(plan))
                _write(stage / OPERATOR, operator_html(plan))
            if request is not None:
                files = sorted([*files, REQUEST])
                _write(stage / REQUEST, json.dumps(request, indent=1, sort_keys=True) + "\n")
            (stage / SURFACE).write_bytes(surface_bytes(_outside(plan), plan.skin.sha256))
            _write(stage / "pours.csv", pours_csv(plan))
            _write(stage / "plan.md", plan_markdown(plan, drawn))
            _write(stage / LAST, plan_json(plan, files, folder))
            _publish(stage, folder, [*files, LAST])
    except OSError as error:
        raise FileError(f"{folder} cannot be written ({error.strerror or error}): name another folder.") from None
    return tuple(folder / name for name in [*files, LAST])


def _write_lining(
    plan: LinedPlan,
    folder: Path,
    stage: Path,
    pictures: bool,
    request: Mapping[str, object] | None,
    issue: Issue | None,
) -> tuple[Path, ...]:
    """A lined piece has coats and positions: no lifts to draw, no pours to list."""
    from pourwright.report.lining_page import lining_html
    from pourwright.report.lining_sheet import lining_markdown

    drawn: list[Path] = []
    if pictures:
        from pourwright.draw.maps.lining import draw_lining
        from pourwright.draw.maps.turned import draw_rolls

        drawn = [*draw_lining(plan, stage), *draw_rolls(plan, stage)]
        _write(stage / PAGE, lining_html(plan, drawn, issue, page=True))
    files = sorted([*(path.name for path in drawn), *([PAGE] if pictures else []), "plan.md", SHEET, SURFACE])
    _write(stage / SHEET, lining_html(plan, drawn, issue))
    if request is not None:
        files = sorted([*files, REQUEST])
        _write(stage / REQUEST, json.dumps(request, indent=1, sort_keys=True) + "\n")
    (stage / SURFACE).write_bytes(surface_bytes(_outside(plan), plan.skin.sha256))
    _write(stage / "plan.md", lining_markdown(plan, [path.name for path in drawn]))
    _write(stage / LAST, plan_json(plan, files, folder))
    _publish(stage, folder, [*files, LAST])
    return tuple(folder / name for name in [*files, LAST])


def _outside(plan: Plan) -> Surface:
    skin = plan.skin
    outside = ~skin.void_face
    return Surface(skin.vertices_m, skin.faces[outside], skin.cap_opening[outside] >= 0, skin.faces[skin.void_face])


def check_folder(folder: Path | str) -> None:
    """Raise `FileError` where a plan could not be written, before time is spent on making it."""
    folder = Path(folder)
    if "\0" in str(folder):
        raise FileError(f"{str(folder)!r} is not a path: name another folder.")
    try:
        if folder.is_dir():
            if not os.access(folder, os.W_OK | os.X_OK):
                raise FileError(f"{folder} may not be written to: name another folder or change its rights.")
            finish(folder)
            _check_inside(folder)
            return
        if folder.exists() or folder.is_symlink():
            raise FileError(f"{folder} is a file, not a folder: name another folder.")
        parent = next(above for above in folder.absolute().parents if above.exists())
        if not parent.is_dir():
            raise FileError(f"{parent} is a file, so {folder} cannot be a folder in it: name another folder.")
        if not os.access(parent, os.W_OK | os.X_OK):
            raise FileError(f"{parent} may not be written to: name another folder or change its rights.")
    except OSError as error:
        raise FileError(f"{folder} cannot be used ({error.strerror or error}): name another folder.") from None


_OURS = re.compile(rf"({PART.pattern}|{re.escape(LOCK)})")


def _check_inside(folder: Path) -> None:
    """Refuse a folder without a plan of ours in which there is something else, and files that were changed."""
    there = [entry.name for entry in folder.iterdir() if not _OURS.fullmatch(entry.name)]
    if there and not holds_plan(folder):
        if LAST in there:
            raise FileError(f"{folder / LAST} is not a plan of Pourwright's: name a new or empty folder.")
        raise FileError(
            f"{folder} holds other files and no plan: name a new or empty folder, or one with an earlier plan."
        )
    known = ledger_of(folder)
    if there and not known:
        raise FileError(
            f"{folder} holds a plan without {LEDGER}, the list of what Pourwright wrote: name a new or empty folder."
        )
    changed = strange(folder, dict.fromkeys([*CORE, *(name for name in known if not _answers(name))]), known)
    if changed:
        raise FileError(strange_words(folder, changed))


def _answers(name: str) -> bool:
    return name.partition(".")[0] in ASKED or name in STAYS


def _draw(plan: Plan, stage: Path, progress: Progress) -> list[str]:
    from pourwright.draw.charts import draw_charts  # these load drawing libraries, which only pictures need
    from pourwright.draw.lifts import draw_plan

    with ThreadPoolExecutor(1) as beside:  # charts on one core, pictures on the others
        charts = beside.submit(draw_charts, plan, stage)
        pictures = draw_plan(plan, stage, progress)
        return sorted(path.name for path in [*pictures, *charts.result()])


def _page(plan: Plan, pictures: list[Path]) -> str:
    from pourwright.report.piece_page import piece_html

    return piece_html(plan, pictures)


@contextlib.contextmanager
def _stage(folder: Path) -> Iterator[Path]:
    """An empty folder to prepare files in, on the same file system; gone afterwards, and so are folders made for it."""
    beside = folder if folder.is_dir() else folder.absolute().parent
    made = [above for above in [beside, *beside.parents] if not above.exists()]
    beside.mkdir(parents=True, exist_ok=True)
    try:
        if not unfinished(beside):  # a change begun needs its files
            sweep(beside)
        with stage_in(beside, folder.name) as stage:
            try:
                yield stage
            finally:
                if not unfinished(folder):
                    shutil.rmtree(stage.parent, ignore_errors=True)
    finally:
        for above in made:
            with contextlib.suppress(OSError):  # not empty: the plan is in it
                above.rmdir()


def _write(path: Path, text: str) -> None:
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _publish(stage: Path, folder: Path, names: list[str]) -> None:
    if not folder.is_dir():
        write_ledger(stage, names)
        stage.rename(folder)
        return
    if stage.parent.parent != folder:
        raise FileError(f"{folder} was made by another program meanwhile: give the command again.")
    change_over(stage, folder, names)
