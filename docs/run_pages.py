"""Runs the commands of the pages as a reader would: ``python docs/run_pages.py [--quotes] [PAGE ...]`` (some minutes).

How a page is written: a line of a ``sh`` block is a command, run from the root of a fresh copy of the tree, in order;
``# exit code 2`` behind it says how it ends (0 where nothing is said). A ``text`` block after it quotes lines of its
output in order, with ``...`` for lines that are left out. File names in code style are those of files that are there
when the page has been run, or stand in `NOT_MADE` with the reason. With ``--quotes`` the quoted lines are written anew.
"""

from __future__ import annotations

import difflib
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGES = (
    "README.md",
    "docs/first_plan.md",
    "docs/installer.md",
    "docs/turn.md",
    "docs/jobfile.md",
    "docs/lining.md",
    "docs/rotomold.md",
)
BLOCK = re.compile(r"^```(sh|text)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
FILE = re.compile(r"`(?:\w+/)*([\w-]+\.(?:png|html|md|csv|json|svg|dxf|gif|txt|stl|ply))`")
NOT_RUN = {
    "python3 -m venv": "the page is run with the interpreter that is there",
    ".venv/bin/pip": "what is installed there is what is tried",
    ".venv/bin/pytest": "it is the tests that run this",
}
NOT_MADE = {
    "UNFINISHED.txt": "only in a folder whose change was broken off",
    "record-1.json": "only after --start-over",
    "wedges.svg": "only where a tilt is offered",
    "move.md": "no demo piece is moved: its table is shown in words",
}
COPIED = ("README.md", "docs", "demo_shells")


@dataclass
class Command:
    """A command of a page, the exit code it should end with, and the lines of its output that the page quotes."""

    line: str
    code: int
    quoted: list[str] = field(default_factory=list)
    found: int = -1
    output: str = ""
    seconds: float = 0.0  # of the processor: other work on the machine does not lengthen them


def commands_of(text: str) -> list[Command]:
    """Commands of a page in order, with what is quoted of each."""
    out: list[Command] = []
    for kind, inside in BLOCK.findall(text):
        if kind == "text":
            if not out:
                raise ValueError("output is quoted before any command")
            out[-1].quoted += inside.splitlines()
            continue
        for line in inside.replace("\\\n", " ").splitlines():
            words, _, said = line.partition(" # exit code ")
            parts = [" ".join(part.split(" ")) for part in words.strip().split(" && ")]
            out += [Command(part.strip(), 0) for part in parts if part.strip()]
            if said:
                out[-1].code = int(said.split()[0].strip(":;,."))
    return out


def reason_not_run(line: str) -> str:
    """Why a command is left out; empty where it is run."""
    return next((why for start, why in NOT_RUN.items() if line.startswith(start)), "")


def copy_of_the_tree(folder: Path) -> Path:
    """What the pages need of the tree, as a reader has it: without anything that was made here."""
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)
    return folder


def run_page(page: str, folder: Path) -> list[Command]:
    """Run the commands of a page in a fresh copy in an empty folder; each with its exit code and output."""
    copy_of_the_tree(folder)
    done = []
    for command in commands_of((ROOT / page).read_text(encoding="utf-8")):
        if not reason_not_run(command.line):
            _run(command, folder)
        done.append(command)
    return done


def _run(command: Command, folder: Path) -> None:
    words = shlex.split(command.line)
    if Path(words[0]).name != "pourwright":
        raise ValueError(f"no command of this program: {command.line}")
    again = [sys.executable, "-m", "pourwright", *words[1:]]
    wide = {**os.environ, "COLUMNS": "110", "NO_COLOR": "1"}
    before = os.times()
    made = subprocess.run(again, cwd=folder, env=wide, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    command.found, command.output, after = made.returncode, made.stdout, os.times()
    command.seconds = after.children_user + after.children_system - before.children_user - before.children_system


def unquoted(command: Command) -> list[str]:
    """Quoted lines that its output does not hold in their order."""
    lines = iter(_bare(command.output))
    wanted = [line for line in command.quoted if line.strip() not in ("", "...")]
    return [line for line in wanted if not any(_same(_one(line), one) for one in lines)]


def _same(quoted: str, said: str) -> bool:
    """A quoted line is what was said; one that ends in dots is its beginning."""
    return said.startswith(quoted[:-3].rstrip()) if quoted.endswith("...") else said == quoted


def missing_names(text: str, folder: Path) -> list[str]:
    """Files that a page names and that are nowhere in its folder after it was run."""
    there = {file.name for file in folder.rglob("*") if file.is_file()}
    return sorted({name for name in FILE.findall(text) if name not in there and name not in NOT_MADE})


def wrong_of(done: list[Command]) -> list[str]:
    """Commands that ended otherwise than said, and quoted lines that were not said."""
    out = []
    for command in done:
        if reason_not_run(command.line):
            continue
        if command.found != command.code:
            last = command.output.strip().splitlines()[-3:]
            out.append(f"{command.line}\n  ends with {command.found}, not {command.code}: {' / '.join(last)}")
        out += [f"{command.line}\n  does not say: {line}" for line in unquoted(command)]
    return out


def wrong(page: str, done: list[Command], folder: Path) -> list[str]:
    """Everything a page says that is not so, now that it was run."""
    text = (ROOT / page).read_text(encoding="utf-8")
    return wrong_of(done) + [f"it names {name}, which no command of it makes" for name in missing_names(text, folder)]


def _one(line: str) -> str:
    return " ".join(line.split())


def _bare(text: str) -> list[str]:
    return [_one(line) for line in text.splitlines()]


def with_quotes(text: str, commands: list[Command]) -> str:
    """The page with each quoted line that is gone replaced by the line of the output that is most like it."""
    for command in commands:
        lines = [line.rstrip() for line in command.output.splitlines() if line.strip()]
        for line in unquoted(command):
            near = difflib.get_close_matches(_one(line), [_one(one) for one in lines], 1, 0.4)
            if near:
                new = next(one for one in lines if _one(one) == near[0])
                text = text.replace(f"\n{line}\n", f"\n{new}\n")
                old_list, new_list = (re.search(r"\[[-\d., ]+\]", one) for one in (line, new))
                if old_list and new_list:  # a direction that a later command of the page takes up
                    text = text.replace(old_list[0], new_list[0])
    return text


def main(arguments: list[str]) -> int:
    """Run pages and say what is not so; with ``--quotes`` write the quoted lines anew instead."""
    pages = [page for page in arguments if page != "--quotes"] or PAGES
    bad = 0
    for page in pages:
        with tempfile.TemporaryDirectory() as folder:
            if "--quotes" in arguments:
                text = (ROOT / page).read_text(encoding="utf-8")
                (ROOT / page).write_text(with_quotes(text, run_page(page, Path(folder))), encoding="utf-8")
                continue
            done = run_page(page, Path(folder))
            found = wrong(page, done, Path(folder))
            bad += len(found)
            print(f"{page}: " + ("as it says" if not found else "\n".join(["", *found])))
            print("".join(f"{command.seconds:8.1f} s  {command.line}\n" for command in done))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
