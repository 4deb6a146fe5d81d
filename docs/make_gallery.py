"""Makes ``gallery.md`` and its pictures from the demo pieces: ``python docs/make_gallery.py`` (some minutes)."""

from __future__ import annotations

import io
import json
import sys
import tempfile
from pathlib import Path

from PIL import Image

from pourwright import make_plan
from pourwright.cli import main as cli
from pourwright.draw.fill import draw_fill
from pourwright.intake import read_job
from pourwright.report.folder import write_plan

DOCS = Path(__file__).resolve().parent
DEMOS = DOCS.parent / "demo_shells"
WIDTH, LARGEST = 1200, 300_000
DRAWN = 1100, 400_000  # pages of answers: their letters are small
SHADED = 1100  # many small pictures of a ramp
FILMED = "heron"
WORDS = {
    "heron": "A standing heron in glass and polyester: two legs that join at the body, air at the crown and bill.",
    "tender": "The hull of a pond tender, moulded in one hollow piece: outer hull and cockpit liner are one skin.",
    "ram": "A ram's head in plaster on glass, lying on its face while it is filled through its open back.",
}


def small(source: Path, width: int = WIDTH, largest: int = LARGEST) -> bytes:
    """A picture at the width of a page, in fewer colours where it would be too large."""
    image = Image.open(source).convert("RGB")
    image = image.resize((width, round(image.height * width / image.width)), Image.Resampling.LANCZOS)
    for made in (image, image.quantize(256), image.quantize(128, dither=Image.Dither.NONE)):
        data = io.BytesIO()
        made.save(data, format="PNG", optimize=True)
        if data.tell() < largest:
            return data.getvalue()
    raise SystemExit(f"{source.name} is too large for the gallery")


def ramped(source: Path) -> bytes:
    """A picture of a ramp of colours, in fewer that are even over all of it."""
    image = Image.open(source).convert("RGB")
    image = image.resize((SHADED, round(image.height * SHADED / image.width)), Image.Resampling.LANCZOS)
    data = io.BytesIO()
    image.quantize(256, method=Image.Quantize.MAXCOVERAGE, kmeans=2).save(data, format="PNG", optimize=True)
    return data.getvalue()


def piece(name: str) -> str:
    """Plan a demo piece, keep its pictures, and return its part of the page."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "plan"
        made = make_plan(read_job(DEMOS / name / "job.toml"))
        write_plan(made, out)
        plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
        lifts = plan["lifts"]
        middle = max(lifts, key=lambda lift: (len(lift["pours"]), lift["volume_m3"]))["number"]
        shown = {"overview": "all lifts", "cavity": "pools and pockets", f"lift_{middle:02d}": f"lift {middle}"}
        text = f"## {plan['piece']['name']}\n\n{WORDS[name]}\n"
        pools, pockets = len(plan["cavity"]["pools"]), len(plan["cavity"]["pockets"])
        text += f"Cavity {plan['cavity']['volume_m3'] * 1e3:.0f} L; pools: {pools}; pockets: {pockets}; "
        text += f"lifts: {len(lifts)}; pours: {sum(len(lift['pours']) for lift in lifts)}.\n"
        if name == FILMED:
            shown |= {"timeline": "the day", "strip": "its heat at each pour and each peak"}
        for stem, said in shown.items():
            kept = f"{name}_{'lift' if stem.startswith('lift') else stem}.png"
            data = ramped(out / f"{stem}.png") if stem in ("timeline", "strip") else small(out / f"{stem}.png")
            (DOCS / "pictures" / kept).write_bytes(data)
            text += f"\n![{plan['piece']['name']}: {said}](pictures/{kept})\n"
        if name == FILMED:
            draw_fill(made, DOCS / "pictures" / f"{name}_fill.gif", width=400)
            text += f"\n![{plan['piece']['name']}: the fill](pictures/{name}_fill.gif)\n"
    return text


def answers() -> None:
    """The pictures of the pages on the installer's questions and on ways up, by the commands that those pages show."""
    with tempfile.TemporaryDirectory() as folder:
        for name, command in (("ram", "hang"), ("tender", "float")):
            job, out = str(DEMOS / name / "job.toml"), str(Path(folder) / name)
            cli(["plan", job, "--quick", "--no-pictures", "--quiet", "--out", out])
            cli([command, out])
            (DOCS / "pictures" / f"{name}_{command}.png").write_bytes(small(Path(out) / f"{command}.png", *DRAWN))
        ways = Path(folder) / "ways"
        cli(["turn", str(DEMOS / "ram" / "job.toml"), "--quiet", "--out", str(ways)])
        (DOCS / "pictures" / "turn_ram.png").write_bytes(small(ways / "turn.png", *DRAWN))


def make() -> int:
    (DOCS / "pictures").mkdir(exist_ok=True)
    answers()
    head = (
        "# Gallery\n\n"
        "The demo pieces as `pourwright plan` draws them; all pictures of a piece are seen from the same side.\n"
        "Pieces and places are invented; `demo_shells/` holds the shells, the jobs and the scripts that made them.\n\n"
        "This page is made by `python docs/make_gallery.py`.\n"
    )
    text = "\n".join([head, *(piece(name) for name in WORDS)])
    (DOCS / "gallery.md").write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(make())
