"""What is kept of a shell is read back for the same file and the same question, and for no other."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import trimesh

from pourwright import caches, check_shell, kept
from pourwright.cli import main
from pourwright.progress import silent

CALLS: list[str] = []


@dataclass(frozen=True, eq=False)
class Asked:
    cell_m: float
    points_m: np.ndarray


@dataclass(frozen=True, eq=False)
class Made:
    length: int
    frozen: np.ndarray
    free: np.ndarray


@kept.kept
def measured(path: Path, asked: Asked, progress=silent) -> Made:
    CALLS.append(path.name)
    data = np.frombuffer(path.read_bytes(), np.uint8)
    if not len(data):
        raise ValueError("empty")
    frozen = np.arange(len(data), dtype=np.float64) * asked.cell_m
    frozen.setflags(write=False)
    return Made(len(data), frozen, np.asfortranarray(np.outer(data, asked.points_m)))


@pytest.fixture
def shell(tmp_path, monkeypatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv("POURWRIGHT_KEPT")
    monkeypatch.setattr(kept, "Thread", _AtOnce)
    caches.own.cache_clear()
    CALLS.clear()
    file = tmp_path / "shell.stl"
    file.write_bytes(b"solid")
    yield file
    caches.own.cache_clear()


class _AtOnce:
    def __init__(self, target, args):
        self.target, self.args = target, args

    def start(self):
        self.target(*self.args)


def _asked(cell_m: float = 0.5, last: float = 2.0) -> Asked:
    return Asked(cell_m, np.array([1.0, last]))


def _files(shell: Path) -> list[Path]:
    return sorted((shell.parent / "cache" / "pourwright" / "made").iterdir())


def test_the_same_again_is_read_back_as_it_was(shell):
    first, second = measured(shell, _asked()), measured(shell, _asked(), progress=lambda step, done: None)
    assert CALLS == ["shell.stl"]
    assert second.length == first.length
    assert np.array_equal(second.frozen, first.frozen)
    assert np.array_equal(second.free, first.free)
    assert not second.frozen.flags.writeable
    assert second.free.flags.writeable
    assert second.free.flags.f_contiguous


@pytest.mark.parametrize(
    "change",
    [
        lambda shell: (shell, _asked(0.25)),
        lambda shell: (shell, _asked(0.5, 3.0)),
        lambda shell: (shell.write_bytes(b"solie") and shell, _asked()),
        lambda shell: (shell.rename(shell.with_name("other.stl")), _asked()),
    ],
    ids=["number", "array", "bytes of the file", "name of the file"],
)
def test_anything_else_is_made(shell, change):
    measured(shell, _asked())
    measured(*change(shell))
    assert len(CALLS) == 2
    assert len(_files(shell)) == 2


def test_another_program_makes_its_own(shell, monkeypatch):
    measured(shell, _asked())
    monkeypatch.setattr(kept, "_program", lambda: "another")
    measured(shell, _asked())
    assert len(CALLS) == 2


def test_what_is_damaged_is_made_anew(shell):
    measured(shell, _asked())
    (file,) = _files(shell)
    whole = file.read_bytes()
    for broken in (whole[:-5], b"", whole[:40] + bytes(4) + whole[44:]):
        file.write_bytes(broken)
        assert measured(shell, _asked()).length == 5
    assert len(CALLS) == 4


def test_a_file_that_changes_while_it_is_read_is_not_kept(shell, monkeypatch):
    @kept.kept
    def changing(path: Path) -> int:
        path.write_bytes(b"another")
        return 1

    changing(shell)
    assert not (shell.parent / "cache" / "pourwright" / "made").exists()


def test_errors_and_files_that_name_others_are_not_kept(shell):
    empty = shell.with_name("empty.stl")
    empty.write_bytes(b"")
    for _ in range(2):
        with pytest.raises(ValueError, match="empty"):
            measured(empty, _asked())
    parts = shell.rename(shell.with_suffix(".gltf"))
    measured(parts, _asked())
    measured(parts, _asked())
    assert CALLS == ["empty.stl", "empty.stl", "shell.gltf", "shell.gltf"]


def test_nothing_is_kept_where_it_is_not_wanted(shell, monkeypatch):
    monkeypatch.setenv("POURWRIGHT_KEPT", "no")
    measured(shell, _asked())
    measured(shell, _asked())
    assert len(CALLS) == 2
    assert not (shell.parent / "cache" / "pourwright" / "made").exists()


def test_what_was_used_last_stays(shell, monkeypatch):
    monkeypatch.setattr(kept, "MOST", 2)
    for n, cell in enumerate((0.1, 0.2, 0.3)):
        measured(shell, _asked(cell))
        for file in _files(shell):
            os.utime(file, (n, n)) if file.stat().st_mtime > 1e6 else None
    CALLS.clear()
    measured(shell, _asked(0.2))
    measured(shell, _asked(0.3))
    assert not CALLS
    assert len(_files(shell)) == 2


def test_a_plan_of_a_kept_shell_is_the_plan(tmp_path, monkeypatch, shell):
    """Byte for byte, whether its shell was read or read back."""
    box = tmp_path / "box.stl"
    trimesh.creation.box((0.3, 0.3, 0.4)).export(box)
    asked = ["plan", str(box), "--unit", "m", "--wall", "5 mm", "--foam", "rigid-3", "--quick", "--quiet"]
    plans = []
    for name in ("first", "second"):
        main([*asked, "--out", str(tmp_path / name), "--set", 'grid.cell="15 mm"', "--set", "day.search=false"])
        plans.append((tmp_path / name / "plan.json").read_bytes())
    # the mesh and the cavity; the grade's reaction and its cup where this process had not made them before
    assert len(_files(shell)) in (2, 3, 4)
    assert plans[0] == plans[1]


def test_a_shell_named_by_a_word_is_read_again_when_its_file_changes(tmp_path, shell):
    box = tmp_path / "box.stl"
    found = []
    for height in (0.4, 0.4, 0.5):
        trimesh.creation.box((0.3, 0.3, height)).export(box)
        found.append(check_shell(str(box), unit="m").enclosed_m3)
    assert found == pytest.approx([0.036, 0.036, 0.045])
    assert len(_files(shell)) == 2
