"""The pages do what they say: every command runs from a fresh copy, ends as said, and says what is quoted of it."""

import importlib.util
import re
import sys
from pathlib import Path

import pytest
import typer
from typer.main import get_command

from pourwright.cli.app import app
from pourwright.document.model import PlanDocument
from pourwright.intake import JobFile
from pourwright.intake.problems import table_in

ROOT = Path(__file__).resolve().parents[1]
ALL = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
WRITTEN = [page for page in ALL if page.name not in ("api.md", "plan_schema.md", "validation.md")]


def _run_pages():
    spec = importlib.util.spec_from_file_location("run_pages", ROOT / "docs" / "run_pages.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # a dataclass looks its module up
    spec.loader.exec_module(module)
    return module


run_pages = _run_pages()


@pytest.mark.slow
@pytest.mark.parametrize("page", run_pages.PAGES)
def test_a_page_does_what_it_says(page, tmp_path):
    done = run_pages.run_page(page, tmp_path)
    assert run_pages.wrong(page, done, tmp_path) == []


def test_every_page_with_commands_is_run():
    with_commands = {str(page.relative_to(ROOT)) for page in ALL if "```sh\n" in page.read_text(encoding="utf-8")}
    assert with_commands <= set(run_pages.PAGES)


@pytest.mark.parametrize("page", ALL, ids=lambda page: page.name)
def test_no_command_stands_in_a_block_that_is_not_run(page):
    """A block of code that begins like a command is a ``sh`` block."""
    text = page.read_text(encoding="utf-8")
    assert not re.search(r"^(?: {4}|\t)(?:\$ )?(?:\.venv/bin/)?pourwright ", text, re.MULTILINE)
    assert not re.search(r"^```(?!sh\n)\w*\n(?:\$ )?pourwright ", text, re.MULTILINE)


def test_only_the_environment_and_the_tests_are_left_out():
    lines = [one.line for page in run_pages.PAGES for one in run_pages.commands_of((ROOT / page).read_text("utf-8"))]
    left_out = [line for line in lines if run_pages.reason_not_run(line)]
    assert len(lines) - len(left_out) > 15
    assert all(re.match(r"python3 -m venv|\.venv/bin/(pip|pytest)", line) for line in left_out)


def test_what_is_not_so_is_seen(tmp_path):
    """A wrong exit code, a quoted line that is not said, and a file that nothing makes."""
    (tmp_path / "demo_shells").mkdir()
    page = (
        "```sh\npourwright grades\npourwright check no.stl # exit code 2\n```\n```text\nno such line\n```\n`left.png`"
    )
    done = run_pages.commands_of(page)
    for command in done:
        run_pages._run(command, tmp_path)
    assert done[0].found == 0
    done[0].code = 1
    said = run_pages.wrong_of(done) + run_pages.missing_names(page, tmp_path)
    assert len(said) >= 3
    assert any("ends with 0, not 1" in words for words in said)
    assert any("does not say: no such line" in words for words in said)
    assert said[-1] == "left.png"


def test_quotes_are_written_anew():
    command = run_pages.Command("x", 0, ["up = [1.0, 0.0, 0.0]"], 0, "first\nup = [0.0, 1.0, 0.0]\n")
    text = '```text\nup = [1.0, 0.0, 0.0]\n```\n--set "piece.up=[1.0, 0.0, 0.0]"\n'
    assert run_pages.with_quotes(text, [command]) == text.replace("[1.0, 0.0, 0.0]", "[0.0, 1.0, 0.0]")


# --- what stands in the middle of a sentence ------------------------------------------------------------------------


def _options():
    """Every option by command."""
    root = get_command(app)
    context = typer.Context(root)
    return {
        name: {option for one in root.get_command(context, name).params for option in (*one.opts, *one.secondary_opts)}
        | {"--help"}
        for name in root.list_commands(context)
    }


@pytest.mark.parametrize("page", WRITTEN, ids=lambda page: page.name)
def test_commands_and_options_that_are_named_exist(page):
    known = _options()
    every = set().union(*known.values()) | {"--version", "--install-completion", "--show-completion"}
    others = {"--headless", "--fix", "--check", "--quotes"}  # of programs that are not ours
    for code in re.findall(r"`([^`\n]+)`", page.read_text(encoding="utf-8")):
        named = re.match(r"pourwright ([a-z]+)", code)
        if named:
            assert named[1] in known, code
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]+", code):
            assert option in (known[named[1]] if named else every | others), f"{page.name}: {code}"


@pytest.mark.parametrize("page", WRITTEN, ids=lambda page: page.name)
def test_keys_that_are_named_exist(page):
    tables = {name: table_in(field.annotation) for name, field in JobFile.model_fields.items()}
    for table, key in re.findall(
        r"`(?:--set )?\"?\[*(\w+)\]*\.(\w+)(?: ?= ?[^`]*)?`", page.read_text(encoding="utf-8")
    ):
        if (
            key not in ("html", "md", "png", "json", "gif", "csv", "npz")
            and tables.get(table) is not None
            and page.name not in ("theory.md", "architecture.md")
        ):
            names = {field.alias or name for name, field in tables[table].model_fields.items()}
            kept = table_in(PlanDocument.model_fields[table].annotation) if table in PlanDocument.model_fields else None
            names |= set(kept.model_fields) if kept is not None else set()  # a page may name a key of plan.json
            assert key in names, f"{page.name}: {table}.{key}"


@pytest.mark.parametrize("page", ALL, ids=lambda page: page.name)
def test_scripts_that_are_named_exist(page):
    for script in re.findall(r"`python ([\w/]+\.py)", page.read_text(encoding="utf-8")):
        assert (ROOT / script).is_file(), f"{page.name}: {script}"
