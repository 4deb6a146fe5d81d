"""Makes the parts of the documentation that follow from the code: run it after changing a key, a schema or a check.

python docs/make_docs.py            # write them
python docs/make_docs.py --check    # say which are stale; exit code 1 if any is
"""

from __future__ import annotations

import ast
import inspect
import sys
import textwrap
import tomllib
import types
import typing
from pathlib import Path

import call_graph
from pydantic import BaseModel, BeforeValidator

import pourwright
from pourwright.document.model import PlanDocument
from pourwright.intake import JobFile
from pourwright.intake.problems import table_in

DOCS = Path(__file__).resolve().parent
CHECKS = DOCS.parent / "tests" / "validation"
FAULTS = DOCS.parent / "tests" / "mutation" / "faults"
MARK = "<!-- made by docs/make_docs.py: {} -->"


def main(arguments):
    stale = []
    for path, text in pages().items():
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        stale.append(path.name)
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
    print(("stale: " if "--check" in arguments else "written: ") + (", ".join(stale) or "none"))
    return 1 if stale and "--check" in arguments else 0


def pages():
    """Every made page with its text as it should be."""
    return {
        DOCS / "jobfile.md": _filled(DOCS / "jobfile.md", "keys", job_keys()),
        DOCS / "plan_schema.md": _filled(DOCS / "plan_schema.md", "schema", plan_schema()),
        DOCS / "validation.md": _filled(DOCS / "validation.md", "checks", validation()),
        DOCS / "api.md": _filled(DOCS / "api.md", "names", api()),
    }


def _filled(path, name, inside):
    text = path.read_text(encoding="utf-8")
    begin, end = MARK.format(f"{name} begin"), MARK.format(f"{name} end")
    before, _, rest = text.partition(begin)
    _, _, after = rest.partition(end)
    return f"{before}{begin}\n\n{inside.strip()}\n\n{end}{after}"


def _row(*cells):
    return "| " + " | ".join(" ".join(str(cell).replace("|", "\\|").split()) for cell in cells) + " |"


# --- job file -------------------------------------------------------------------------------------------------------


def job_keys():
    return "\n".join(_job_table(JobFile, ""))


def _job_table(table, name, several=False):
    lines = []
    if name:
        head = f"[[{name}]]" if several else f"[{name}]"
        lines = ["", f"### {head}", "", table.__doc__.strip(), "", _row("key", "meaning", "may be", "if left out")]
        lines.append("|---|---|---|---|")
    below = []
    for field_name, field in table.model_fields.items():
        key = field.alias or field_name
        inside = table_in(field.annotation)
        if inside is not None:
            several = typing.get_origin(field.annotation) is list
            below += _job_table(inside, f"{name}.{key}".lstrip("."), several)
            continue
        extra = field.json_schema_extra or {}
        left_out = "**must be given**" if field.is_required() else extra.get("assumed") or extra.get("setting", "")
        lines.append(_row(f"`{key}`", field.description, _may_be(field), left_out))
    return [*lines, *below]


def _may_be(field):
    return "; ".join(due.words() for due in _dues([*field.metadata, field.annotation]))


def _dues(things):
    for thing in things:
        if isinstance(thing, BeforeValidator):
            yield typing.cast(typing.Any, thing.func)
        elif hasattr(thing, "__metadata__"):
            yield from _dues([*thing.__metadata__, *typing.get_args(thing)[:1]])
        elif typing.get_origin(thing) is list:
            for due in _dues(typing.get_args(thing)):
                yield types.SimpleNamespace(words=lambda due=due: f"a list, each {due.words()}")
        else:
            yield from _dues(typing.get_args(thing))


# --- plan.json ------------------------------------------------------------------------------------------------------


def plan_schema():
    lines = []
    for model in _models(PlanDocument):
        lines += ["", f"### {_block_name(model)}", "", model.__doc__.strip(), "", _row("key", "type", "meaning")]
        lines.append("|---|---|---|")
        for name, field in model.model_fields.items():
            lines.append(_row(f"`{field.alias or name}`", _type(field.annotation), field.description))
    return "\n".join(lines)


def _block_name(model):
    return "the file" if model is PlanDocument else model.__name__.removesuffix("Doc").lower()


def _models(model, seen=None):
    seen = [] if seen is None else seen
    if model not in seen:
        seen.append(model)
        for field in model.model_fields.values():
            for inside in _inside(field.annotation):
                _models(inside, seen)
    return seen


def _inside(annotation):
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in typing.get_args(annotation):
        yield from _inside(argument)


def _type(annotation):
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if annotation is type(None):
        return "null"
    if origin is typing.Literal:
        return " or ".join(f'"{value}"' for value in arguments)
    if origin is list:
        return f"list of {_type(arguments[0])}"
    if origin is dict:
        return f"table of {_type(arguments[1])} by name"
    if origin is tuple:
        return "[x, y, z]"
    if origin in (typing.Union, types.UnionType):
        return " or ".join(_type(argument) for argument in arguments)
    if origin is typing.Annotated:
        return _type(arguments[0])
    if issubclass(annotation, BaseModel):
        name = _block_name(annotation)
        return f"[{name}](#{name})"
    return {str: "text", float: "number", int: "whole number", bool: "true or false"}[annotation]


# --- checks against published and worked values ---------------------------------------------------------------------


def validation():
    lines = []
    files = sorted(CHECKS.glob("test_*.py"))
    total = own = 0
    for path in files:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        source = " ".join((ast.get_docstring(tree) or "no source named").split("\n\n")[0].split())
        tests = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]
        named = call_graph.tests_of(path)
        lines += ["", f"### {source}", "", f"`tests/validation/{path.name}`", ""]
        lines += [_row("what is checked", "against", "within", "used by"), "|---|---|---|---|"]
        for test in sorted(tests, key=lambda node: node.lineno):
            users = call_graph.used_by(named[test.name])
            total, own = total + bool(users), own + (not users)
            lines.append(_row(_what(test), *_values(test), _users(users)))
    head = (
        f"{len(files)} sources, {total} checks of what a command computes; {own} more check a series or a program of "
        "the tests themselves. Used by: the commands that reach all that a check names of the program, from the call "
        "graph (`docs/call_graph.py`)."
    )
    faults = [fault for path in sorted(FAULTS.glob("*.toml")) for fault in tomllib.loads(path.read_text()).values()]
    caught = sum(fault["by"].startswith(("tests/validation/", "tests/properties/")) for fault in faults)
    marks = (
        f"Of {len(faults)} deliberate faults in formulas, heat, rise, structure, lifts and answers (`tests/mutation`), "
        f"{caught} are caught by `tests/validation` and `tests/properties` alone."
    )
    return "\n".join([*textwrap.wrap(head, 120), "", *textwrap.wrap(marks, 120), *lines])


def _users(users):
    """Commands, ``plan`` first; those that ask a made plan are all behind most of it."""
    if not users:
        return "the tests themselves"
    most = [name for name in call_graph.commands() if name not in ("check", "grades", "materials", "turn", "cup")]
    if set(most) <= set(users):
        return ", ".join(["plan and all that ask it", *(name for name in users if name not in most)])
    return ", ".join(sorted(users, key=lambda name: (name != "plan", name)))


def _what(test):
    name = test.name.removeprefix("test_").replace("_", " ")
    words = " ".join((ast.get_docstring(test) or "").split())
    notes = ["slow"] if any("slow" in ast.unparse(mark) for mark in test.decorator_list) else []
    cases = [_cases(mark) for mark in test.decorator_list]
    notes += [f"{count} cases" for count in cases if count]
    title = f"{name} ({', '.join(notes)})" if notes else name
    return f"{title}: {words}" if words else title


def _cases(mark):
    """How many cases a ``parametrize`` written as a list has; 0 where it cannot be told."""
    if not (isinstance(mark, ast.Call) and ast.unparse(mark.func).endswith("parametrize") and len(mark.args) > 1):
        return 0
    return len(mark.args[1].elts) if isinstance(mark.args[1], (ast.List, ast.Tuple)) else 0


def _values(test):
    """Expected values and tolerances, read from the ``approx`` calls of a test."""
    expected, within = [], []
    for node in ast.walk(test):
        if not (isinstance(node, ast.Call) and ast.unparse(node.func).endswith("approx") and node.args):
            continue
        value = ast.unparse(node.args[0])
        expected.append(f"`{value if len(value) <= 60 else value[:57] + '...'}`")
        given = [f"{key.arg} {ast.unparse(key.value)}" for key in node.keywords if key.arg in ("rel", "abs")]
        within.append(" and ".join(given) or "rel 1e-06")
    return ", ".join(dict.fromkeys(expected)) or "see the test", ", ".join(dict.fromkeys(within))


# --- public names ---------------------------------------------------------------------------------------------------


def api():
    """The names that are promised, a line each: what it is called with and what it is."""
    return "\n".join(f"- {_called(name, value)}{_said(value)}" for name, value in _public(pourwright))


def _public(module):
    """Names a module offers: its ``__all__``, or what it defines itself."""
    named = getattr(module, "__all__", None)
    if named is None:
        own = vars(module)
        named = [name for name in own if getattr(own[name], "__module__", "") == module.__name__ or name.isupper()]
    found = [(name, getattr(module, name)) for name in named if not name.startswith("__")]
    return sorted((one for one in found if not one[0].startswith("_")), key=lambda one: one[0].lower())


def _called(name, value):
    if isinstance(value, type):
        fields = getattr(value, "model_fields", None) or {
            f.name: f for f in getattr(value, "__dataclass_fields__", {}).values()
        }
        return f"**{name}**" + (f" with `{', '.join(fields)}`" if fields else "")
    if callable(value) and hasattr(value, "__annotations__"):
        return f"`{name}{_signature(value)}`"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"`{name}` = {value:g}"
    return f"`{name}`"


def _signature(function):
    """Parameters and result; defaults that say nothing by themselves as dots."""
    parts = []
    star = False
    for one in inspect.signature(function).parameters.values():
        if one.kind is one.KEYWORD_ONLY and not star:
            parts.append("*")
            star = True
        mark = "*" if one.kind is one.VAR_POSITIONAL else "**" if one.kind is one.VAR_KEYWORD else ""
        plain = isinstance(one.default, (int, float, str, bool, type(None)))
        default = "" if one.default is one.empty else f"={one.default!r}" if plain else "=..."
        parts.append(f"{mark}{one.name}{default}")
    result = str(function.__annotations__.get("return", ""))
    return f"({', '.join(parts)})" + (f" -> {result}" if result else "")


def _first(value):
    return " ".join((inspect.getdoc(value) or "").split("\n\n")[0].split())


def _said(value):
    if not (isinstance(value, type) or inspect.isroutine(value)) or isinstance(value, types.GenericAlias):
        return ""
    said = _first(value)
    generic = isinstance(value, type) and said.startswith(f"{value.__name__}(")  # what a dataclass says of itself
    return f": {said}" if said and not generic else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
