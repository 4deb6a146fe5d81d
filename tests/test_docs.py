"""Documentation that follows from the code is what the code says now, and its examples work."""

import doctest
import importlib.util
import re
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


def test_every_public_name_is_in_the_reference():
    text = (DOCS / "api.md").read_text(encoding="utf-8")
    make_docs = _make_docs()
    for module in make_docs._packages():
        assert f"\n## {module.__name__}\n" in text
        part = text.split(f"\n## {module.__name__}\n")[1].split("\n## ")[0]
        for name in getattr(module, "__all__", ()):
            assert name.startswith("__") or re.search(rf"^- [`*]+{name}\b", part, re.MULTILINE), (
                f"{module.__name__}.{name}"
            )


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
