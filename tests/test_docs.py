"""Documentation that follows from the code is what the code says now, and its examples work."""

import doctest
import importlib.util
import re
import shutil
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"


def _make_docs():
    spec = importlib.util.spec_from_file_location("make_docs", DOCS / "make_docs.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", ["jobfile.md", "plan_schema.md", "validation.md", "api.md"])
def test_made_pages_are_fresh(name):
    text = _make_docs().pages()[DOCS / name]
    assert (DOCS / name).read_text(encoding="utf-8") == text, "stale: run python docs/make_docs.py"


def test_every_promised_name_is_in_the_reference():
    import pourwright

    text = (DOCS / "api.md").read_text(encoding="utf-8")
    promised = [name for name in pourwright.__all__ if not name.startswith("__")]
    assert 30 <= len(promised) <= 50
    for name in promised:
        assert re.search(rf"^- [`*]+{name}\b", text, re.MULTILINE), name


@pytest.mark.slow
def test_the_examples_of_the_reference_run(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "demo_shells", tmp_path / "demo_shells")
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"```python\n(.*?)```", (DOCS / "api.md").read_text(encoding="utf-8"), re.DOTALL)
    assert len(blocks) >= 3
    known = {}
    for block in blocks:
        exec(compile(block, "api.md", "exec"), known)  # as a reader would, one after another
    assert (tmp_path / "plans" / "ram" / "plan.json").exists()


def test_the_worked_numbers_of_the_theory_are_right():
    found = doctest.testfile(str(DOCS / "theory.md"), module_relative=False)
    assert found.attempted > 8
    assert found.failed == 0


def test_the_job_file_of_the_docs_is_read(tmp_path):
    from pourwright.intake import read_job

    text = (DOCS / "jobfile.md").read_text(encoding="utf-8")
    example = re.search(r"```toml\n(.*?)```", text, re.DOTALL).group(1)
    assert tomllib.loads(example)["piece"]["shell"] == "heron.stl"
    (tmp_path / "heron.stl").touch()
    (tmp_path / "job.toml").write_text(example)
    assert read_job(tmp_path / "job.toml").name == "Heron"


@pytest.mark.parametrize("page", [*sorted(DOCS.glob("*.md")), ROOT / "README.md"], ids=lambda page: page.name)
def test_links_between_pages_lead_somewhere(page):
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text):
        assert (page.parent / target).exists(), f"{page.name} links to {target}"


def test_every_package_is_in_the_architecture():
    text = (DOCS / "architecture.md").read_text(encoding="utf-8")
    package = ROOT / "src" / "pourwright"
    named = set(re.findall(r"^\| `([\w./]+?)/?` \|", text, re.MULTILINE))
    there = {entry.name for entry in package.iterdir() if entry.is_dir() and (entry / "__init__.py").exists()}
    assert there <= {name.rstrip("/") for name in named}, "a package of the program is not in docs/architecture.md"
