"""Escape codes and letters that turn the writing round, in every text that somebody else may have chosen."""

from __future__ import annotations

import csv
import json
import unicodedata
from dataclasses import replace

import pytest
import trimesh

from pourwright.answers.page import Page, Rows, Section, page_markdown
from pourwright.plaintext import escaped_json, shown
from pourwright.report.markdown import plan_markdown
from pourwright.report.piece_page import piece_html
from pourwright.report.sheet import sheet_html

BAD = "a\x1b[2J\x1b]0;owned\x07b\x9b31mc\u202etxt.exe\u2066d\u200f\u2028e\ufeff"
GOOD = "Жар-птица Ωδή 鷺 नमस्ते a\u200db 10\u202f½ \u00a0é"


def wrong(text):
    """Characters that do something instead of showing (by Unicode's own categories), joiners of letters left out."""
    kinds = ("Cc", "Cf", "Cs", "Zl", "Zp")
    return {c for c in text if unicodedata.category(c) in kinds and c not in "\n\t\u200c\u200d"}


@pytest.mark.parametrize("text", [BAD, "\ud8ff", "\U000e0041", *map(chr, (0, 7, 8, 13, 27, 127, 133, 155))])
def test_nothing_that_moves_or_hides_comes_through(text):
    assert not wrong(shown(text))
    assert not wrong(escaped_json(json.dumps({"a": text}, ensure_ascii=False)))


def test_other_writing_stays_as_it_is():
    assert shown(GOOD) == GOOD
    assert shown("a\tb\nc") == "a\tb\nc"


@pytest.mark.parametrize("text", [BAD, GOOD, "\U000e0041"])
def test_json_says_the_same_after_escaping(text):
    assert json.loads(escaped_json(json.dumps({"a": text}, ensure_ascii=False))) == {"a": text}


def test_a_file_and_folders_with_such_names_reach_nobody_raw(call, tmp_path):
    place = tmp_path / "shop\x1b[2J\u202e"
    place.mkdir()
    shell = place / f"{BAD}.stl"
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(place / "ball.stl")
    (place / "ball.stl").rename(shell)
    given = ("--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm", "--quick")
    out = place / "plan\x9b\u2067"
    said = [
        call("check", shell, "--unit", "mm"),
        call("plan", shell, *given, "--no-pictures", "--drawings", "--out", out),
        call("plan", shell, *given, "--no-pictures", "--json"),
        call("weights", out),
        call("weights", out, "--json"),
        call("record", out, "--pour", "1a", "--as-planned", "--full", "--note", BAD, "--at", BAD, "--no-pictures"),
        call("record", out, "--json", "--no-pictures"),
        call("hang", out),
        call("plan", place / f"{BAD}.toml"),
    ]
    assert [one.code for one in said[:7]] == [0] * 7, said
    for one in said:
        assert not wrong(one.out)
        assert not wrong(one.err)
    files = [path for path in out.iterdir() if path.is_file() and path.suffix != ".npz"]  # numbers only
    assert len(files) > 8
    for path in files:
        assert not wrong(path.read_text(encoding="utf-8")), path.name
    note = json.loads((out / "record.json").read_text(encoding="utf-8"))["entries"][0]["note"]
    assert note == BAD
    assert json.loads((out / "plan.json").read_text(encoding="utf-8"))["shell"]["file"] == shell.name


def test_texts_in_a_plan_of_somebody_else_reach_nobody_raw(call, tmp_path):
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(tmp_path / "ball.stl")
    given = ("--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm", "--quick")
    call("plan", tmp_path / "ball.stl", *given, "--no-pictures", "-q", "--out", tmp_path / "plan")
    tree = json.loads((tmp_path / "plan" / "plan.json").read_text(encoding="utf-8"))
    tree["piece"] = {"name": BAD, "place": BAD}
    tree["shell"]["material"]["title"] = BAD
    tree["outcome"]["parts"][0]["name"] = BAD
    (tmp_path / "plan" / "plan.json").write_text(json.dumps(tree))
    for command, *more in (("weights",), ("stand", "--no-pictures")):
        said = call(command, tmp_path / "plan", *more)
        assert said.code in (0, 1), said.err
        assert not wrong(said.out + said.err)
    assert not wrong((tmp_path / "plan" / "weights.md").read_text(encoding="utf-8"))


def test_a_name_that_is_no_text_is_planned_all_the_same(call, tmp_path):
    shell = tmp_path / "b\udcffll.stl"
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(tmp_path / "ball.stl")
    try:
        (tmp_path / "ball.stl").rename(shell)
    except (OSError, UnicodeError):
        pytest.skip("file names are text here")
    given = ("--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm", "--quick")
    said = call("plan", shell, *given, "--no-pictures", "--out", tmp_path / "plan")
    assert (said.code, said.err) == (0, "")
    assert call("weights", tmp_path / "plan").code == 0
    poured = ("--pour", "1a", "--as-planned", "--full", "--no-pictures")
    said = call("record", tmp_path / "plan", *poured, "--note", "b\udcffll", "--at", "\udcff")
    assert (said.code, said.err) == (0, "")


def test_pages_and_sheets_hold_no_raw_text(stool_plan):
    plan = replace(stool_plan, job=replace(stool_plan.job, name=BAD, place=BAD))
    for text in (plan_markdown(plan), sheet_html(plan), piece_html(plan)):
        assert not wrong(text)
    page = Page(BAD, BAD, BAD, (Section(BAD, (BAD,), Rows((BAD,), ((BAD,),))),), (BAD,), BAD)
    assert not wrong(page_markdown(page))


def test_a_table_of_pours_still_reads_as_one(call, tmp_path):
    trimesh.creation.icosphere(subdivisions=3, radius=200.0).export(tmp_path / "ball.stl")
    given = ("--unit", "mm", "--wall", "5 mm", "--foam", "rigid-3", "--set", "grid.cell=12 mm", "--quick")
    call("plan", tmp_path / "ball.stl", *given, "--no-pictures", "-q", "--out", tmp_path / "plan")
    with (tmp_path / "plan" / "pours.csv").open(encoding="utf-8", newline="") as file:
        assert len({len(row) for row in csv.reader(file)}) == 1
