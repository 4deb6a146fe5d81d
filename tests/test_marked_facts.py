"""No fact of the trade without its mark: grades, materials, defaults of the job file, and the checks from outside.

Each rule is a function of the text it reads, and is tried on a copy with one mark taken out as well: it must see that.
"""

import ast
import io
import re
import tokenize
import tomllib
from pathlib import Path

import pytest

from pourwright.intake import JobFile
from pourwright.intake.fields import Table, taken
from pourwright.intake.problems import table_in
from pourwright.sources import Standing, references

ROOT = Path(__file__).resolve().parents[1]
DATA = sorted((ROOT / "src" / "pourwright").glob("foam/grades/*.toml")) + sorted(
    (ROOT / "src" / "pourwright").glob("shell/data/*.toml")
)
CHECKS = sorted((ROOT / "tests" / "validation").glob("test_*.py"))
STANDINGS = {one.value for one in Standing} | {one.name.lower() for one in Standing}
MARK = re.compile("|".join([*(re.escape(one.value) for one in Standing), "second[- ]hand", "read in"]), re.IGNORECASE)
TRADE = re.compile(
    r"\b(usual(ly)?|typical(ly)?|common(ly)?|customar\w+|rules? of thumb|trade|shops say|suppliers?|bulletin|on sale|"
    r"generally|in practice)\b",
    re.IGNORECASE,
)
OUTSIDE = re.compile(
    r"\b(1[6-9]\d\d|20\d\d|ISO|ASTM|CFR|EN|NIST|NASA|trimesh|scipy|gudhi|scikit-fem|manifold3d|Steiner)\b|by hand|"
    r"closed forms?|worked out|independent"
)


# --- data files -----------------------------------------------------------------------------------------------------


def unmarked_values(text):
    """Numbers of a data file that do not say how they are known, by name; published ones without their place."""
    return list(_unmarked(tomllib.loads(text), ""))


def _unmarked(table, name):
    if "value" in table:
        if table.get("standing") not in STANDINGS:
            yield f"{name}: no standing"
        elif table["standing"] == "published" and not (table.get("source") and table.get("locator")):
            yield f"{name}: published, without source or place in it"
        return
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _unmarked(value, f"{name}.{key}".lstrip("."))
        elif isinstance(value, (int, float, list)):
            yield f"{name}.{key}: a bare value".lstrip(".")


@pytest.mark.parametrize("file", DATA, ids=lambda file: file.name)
def test_every_value_of_a_data_file_says_how_it_is_known(file):
    assert unmarked_values(file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("file", DATA, ids=lambda file: file.name)
def test_a_value_without_its_mark_is_seen(file):
    text = file.read_text(encoding="utf-8")
    marks = list(re.finditer(r',? ?\bstanding = "[^"]*",?\n?', text))
    assert len(marks) >= 8
    for mark in (marks[0], marks[len(marks) // 2], marks[-1]):
        kept = ", " if mark[0].startswith(",") and mark[0].endswith(",") else ""
        assert unmarked_values(text[: mark.start()] + kept + text[mark.end() :])
    assert unmarked_values(text + "\n[more]\nlimit_pa = 3.0\n")


def test_published_sources_of_grades_are_in_the_bibliography():
    for file in DATA:
        for source in re.findall(r'standing = "published", source = "(\w+)"', file.read_text(encoding="utf-8")):
            assert source in references(), f"{file.name}: {source}"


# --- defaults -------------------------------------------------------------------------------------------------------


def unmarked_defaults(table, name=""):
    """Keys whose default is a number that is neither nothing, nor a setting, nor marked with how it is known."""
    out = []
    for key, field in table.model_fields.items():
        inside = table_in(field.annotation)
        if inside is not None:
            out += unmarked_defaults(inside, f"{name}.{key}".lstrip("."))
            continue
        extra = field.json_schema_extra or {}
        if field.is_required() or not _counts(field.default) or "setting" in extra:
            continue
        if not MARK.search(f"{extra.get('assumed', '')} {field.description}"):
            out.append(f"{name}.{key} = {field.default}")
    return out


def _counts(default):
    if isinstance(default, (list, tuple)):
        return any(_counts(one) for one in default)
    return isinstance(default, (int, float)) and not isinstance(default, bool) and default != 0


DIRECTIONS = {"piece.up", "piece.front"}


def test_every_default_of_the_job_file_says_how_it_is_known():
    assert [one for one in unmarked_defaults(JobFile) if one.split(" = ")[0] not in DIRECTIONS] == []


def test_a_default_without_its_mark_is_seen():
    class Shop(Table):
        air: float = taken(295.372, "air temperature", "shop air taken as 22 °C (72 °F)")
        sizes: list[float] = taken([0.006], "drills", "drills taken as 6 mm")
        known: float = taken(0.1, "spread", f"known within 10 %: {Standing.JUDGEMENT.value}")

    assert unmarked_defaults(Shop, "shop") == ["shop.air = 295.372", "shop.sizes = [0.006]"]


def test_settings_say_their_default_as_it_is():
    """A setting that is no fact of the trade stands in the documentation with its number."""
    for field in _settings(JobFile):
        said = float(re.match(r"[\d.]+", field.json_schema_extra["setting"])[0])
        assert said * (1e9 if "GB" in field.json_schema_extra["setting"] else 1) == field.default


def _settings(table):
    for field in table.model_fields.values():
        inside = table_in(field.annotation)
        if inside is not None:
            yield from _settings(inside)
        elif "setting" in (field.json_schema_extra or {}):
            yield field


# --- checks from outside --------------------------------------------------------------------------------------------


def unmarked_words(text):
    """Comments and docstrings of a check that speak of the trade without a mark; and a file that names no source."""
    tree = ast.parse(text)
    head = ast.get_docstring(tree) or ""
    out = [] if OUTSIDE.search(head) or MARK.search(head) else ["names no source"]
    nodes = (tree, *(node for node in ast.walk(tree) if isinstance(node, (ast.FunctionDef, ast.ClassDef))))
    spoken = [ast.get_docstring(node) or "" for node in nodes] + list(_comments(text))
    return out + [words for words in spoken if TRADE.search(words) and not MARK.search(words)]


def _comments(text):
    """Comments; those on lines that follow each other as one."""
    block, last = [], -1
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type != tokenize.COMMENT:
            continue
        if token.start[0] != last + 1 and block:
            yield " ".join(block)
            block = []
        block.append(token.string.lstrip("# "))
        last = token.start[0]
    yield " ".join(block)


@pytest.mark.parametrize("file", CHECKS, ids=lambda file: file.name)
def test_checks_from_outside_mark_what_is_only_said(file):
    assert unmarked_words(file.read_text(encoding="utf-8")) == []


def test_a_fact_of_the_trade_without_its_mark_is_seen():
    text = (ROOT / "tests" / "validation" / "test_trade_practice_cooling.py").read_text(encoding="utf-8")
    mark = f" ({Standing.PRACTICE.value})"
    assert mark in text
    assert unmarked_words(text.replace(mark, ""))
    handbook = (ROOT / "tests" / "validation" / "test_boatbuilders_handbook.py").read_text(encoding="utf-8")
    more = '\n\ndef test_strength():\n    """Foam of 3 lb/ft3 usually stands 40 psi."""\n'
    assert unmarked_words(handbook + more) == ["Foam of 3 lb/ft3 usually stands 40 psi."]
    assert unmarked_words(handbook + "\n\n# Suppliers say 40 psi.\nSTRENGTH = 40\n") == ["Suppliers say 40 psi."]
    assert "names no source" in unmarked_words('"""Foam is strong."""\n')


# --- constants ------------------------------------------------------------------------------------------------------

CONSTANTS = [
    ("moving/tail.py", "SAME_RAD"),
    ("moving/move.py", "IN_LINE_RAD"),
    ("outcome/sling.py", "SLIGHT_RAD"),
    ("outcome/sling.py", "DEFAULT_ANGLE_RAD"),
    ("outcome/sling.py", "MISS_M"),
    ("outcome/sling.py", "LOWEST_ANGLE_RAD"),
    ("outcome/stand.py", "EARLY_RAD"),
    ("structure/fixing.py", "NEAR"),
    ("structure/fixing.py", "HELD"),
    ("structure/fixing.py", "BESIDE"),
    ("physics/foam_strength.py", "COLLAPSE_EXPONENT"),
    ("physics/foam_strength.py", "COLLAPSE_TYPICAL"),
]


def said_of_constants(text):
    """What stands below each constant of a module, by its name; nothing where nothing does."""
    body = ast.parse(text).body
    out = {}
    for node, after in zip(body, [*body[1:], None], strict=True):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            told = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            out[node.targets[0].id] = after.value.value if told else ""
    return out


@pytest.mark.parametrize(("file", "name"), CONSTANTS)
def test_a_judged_constant_of_the_installer_says_how_it_is_known(file, name):
    text = (ROOT / "src" / "pourwright" / file).read_text(encoding="utf-8")
    assert MARK.search(said_of_constants(text)[name])
