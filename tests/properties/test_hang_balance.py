"""Every load case that a hanging piece is shown in is in balance: in the result, on the page and in the picture."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from pourwright.answers.drawn import hang as pictures_hang
from pourwright.answers.drawn.hang import hang_sheet
from pourwright.answers.hang_page import hang_page
from pourwright.cavity import pour_frame
from pourwright.errors import AnchorError
from pourwright.hanging import hang
from pourwright.outcome import Anchor, FoamSolid, Hang, Insert, Part, Piece, Site, Spot, Surface
from pourwright.ranges import Range

G = 9.80665


def piece_of(mesh, parts, site):
    frame = pour_frame(mesh.vertices, np.array([0.0, 0, 1]), np.array([0.0, -1.0, 0.0]))
    foam = FoamSolid("rigid-3", Range(0.18, 0.2, 0.22), Range(45.0, 50.0, 55.0), 276e3, 200e3, 48.0)
    piece = Piece("Test", "", frame, tuple(parts), site, foam, "test", 1500.0, 0.1, 1.0, 0)
    return piece, Surface(np.asarray(mesh.vertices), np.asarray(mesh.faces), np.zeros(len(mesh.faces), bool))


def lump(k, kg, at):
    zero = np.zeros((3, 3))
    return Part(f"lump {k}", "item", 0, kg, kg, kg, "", np.array(at, float), zero)


def hung_by(seed):
    """A random box or ball with random lumps on random anchors of a wall that leans, stands upright or overhangs."""
    rng = np.random.default_rng(seed)
    mesh = trimesh.creation.box((1.0, 0.5, 1.2)) if rng.integers(2) else trimesh.creation.icosphere(2, 0.5)
    mesh.apply_transform(
        trimesh.transformations.random_rotation_matrix(rng.random(3)) if rng.integers(2) else np.eye(4)
    )
    parts = []
    for k in range(int(rng.integers(1, 4))):
        kg = float(rng.uniform(5, 40))
        parts.append(
            lump(k, Range(kg * rng.uniform(0.7, 1.0), kg, kg * rng.uniform(1.0, 1.3)), rng.uniform(-0.3, 0.3, 3))
        )
    n = int(rng.integers(1, 7))
    level = rng.integers(4) == 0  # all in one level line
    span = np.ptp(mesh.vertices, axis=0)[[0, 2]]  # near the middle, where every one of these pieces is
    anchors = tuple(
        Anchor(
            f"A{k}",
            Spot(
                from_left_m=span[0] * float(rng.uniform(0.3, 0.7)),
                from_base_m=span[1] * (0.6 if level else float(rng.uniform(0.3, 0.7))),
            ),
            stiffness=float(rng.uniform(0.5, 2)),
            shear_n=5e3 if rng.integers(2) else None,
            pull_n=5e3 if rng.integers(2) else None,
            breaking=bool(rng.integers(2)),
            insert=Insert(0.04, 0.15, 0.09) if rng.integers(2) else None,
        )
        for k in range(n)
    )
    lean = float(rng.choice([0.0, 0.0, 0.2, -0.2]))
    out = (0.0, -math.cos(lean), math.sin(lean))
    asked = Hang(
        out,
        (0.0, 0.0, 1.0),
        standoff_m=float(rng.choice([0.0, 0.0, 0.05])),
        factor_value=5.0,
        factor_reference="a test",
    )
    return on_the_piece(mesh, parts, anchors, asked)


def on_the_piece(mesh, parts, anchors, asked):
    """An anchor that is refused is not there; an insert that is too long for its foam is left out."""
    for k in range(len(anchors) - 1, -1, -1):
        try:
            hang(*piece_of(mesh, parts, Site(anchors=anchors[k : k + 1], hang=asked)))
        except AnchorError as error:
            kept = () if "misses" in str(error) else (replace(anchors[k], insert=None),)
            anchors = anchors[:k] + kept + anchors[k + 1 :]
    if not anchors:
        anchors = (Anchor("A", Spot(at_m=(0.0, 0.0, 0.0))),)  # these pieces are all about the origin
    return piece_of(mesh, parts, Site(anchors=anchors, hang=asked))


def sums(forces):
    return (
        np.sum([f for _, f in forces], axis=0),
        np.sum([np.cross(at, f) for at, f in forces], axis=0),
    )


@given(st.integers(0, 10**6))
@settings(max_examples=120, deadline=None)
def test_forces_and_moments_of_every_case_sum_to_nothing(seed):
    piece, surface = hung_by(seed)
    result = hang(piece, surface)
    names = [anchor.name for anchor in piece.site.anchors]
    for case in result.cases:
        loads = [(one.at_m, one.force_n) for one in case.forces]
        _, moment = sums(loads)
        assert moment == pytest.approx(case.moment)
        assert np.linalg.norm(case.forces[0].force_n) == pytest.approx(case.kg * G)
        assert result.kg.low - 1e-9 <= case.kg <= result.kg.high + 1e-9
        if case.impossible:
            assert not case.reactions
            continue
        total, turn = sums(loads + [(one.at_m, one.force_n) for one in case.reactions])
        size = np.linalg.norm(case.forces[0].force_n)
        most = max(size, *(np.linalg.norm(one.force_n) for one in case.reactions))
        assert total == pytest.approx(0.0, abs=1e-6 * most)
        assert turn == pytest.approx(0.0, abs=1e-6 * most)
        held = [one.name for one in case.reactions if one.name != "wall"]
        assert held == [name for name in names if name != case.gone]
        for one in case.reactions:
            if one.name == "wall":
                assert case.bears
                assert one.force_n[2] > 0
            elif case.bears:
                assert one.force_n[2] <= 1e-6 * most  # an anchor only pulls where the wall bears


@given(st.integers(0, 10**6))
@settings(max_examples=80, deadline=None)
def test_a_case_that_is_called_impossible_is(seed):
    """By linear programming over every force that anchors and wall could give, at the heaviest weight."""
    piece, surface = hung_by(seed)
    result = hang(piece, surface)
    for case in result.cases:
        if not case.impossible or "swing" in case.impossible or not result.in_balance:
            continue
        points = [load.on_wall_m for load in result.anchors if load.name != case.gone]
        if not points:
            continue
        columns = [np.r_[1.0, p] for p in points]
        bounds = [(0, None) if case.bears else (None, None)] * len(points)
        if case.bears:
            continue  # the wall's points are not in the result: see tests/validation/test_wall_contact.py
        at, weight = case.forces[0].at_m, case.forces[0].force_n
        wanted = [weight[2], weight[2] * at[0], weight[2] * at[1] - weight[1] * at[2]]
        found = linprog(np.zeros(len(points)), A_eq=np.array(columns).T, b_eq=wanted, bounds=bounds)
        assert found.status != 0


METRIC = re.compile(r"^(-?[\d.]+) (kN|N|mm|m)\b")


def metric(cell):
    """SI value of a printed cell, and half of its last digit."""
    number, unit = METRIC.match(cell).groups()
    factor = {"kN": 1e3, "N": 1.0, "mm": 1e-3, "m": 1.0}[unit]
    digits = len(number.partition(".")[2])
    return float(number) * factor, 0.5 * 10.0**-digits * factor


@pytest.mark.parametrize("seed", range(25))
def test_what_the_page_prints_sums_to_nothing_within_its_rounding(seed):
    piece, surface = hung_by(seed)
    result = hang(piece, surface)
    cases = [section for section in hang_page(piece, result, "").sections if section.title.startswith("Load case")]
    assert cases
    for section in cases:
        if section.table is None:
            assert "IMPOSSIBLE" in section.lines[0]
            continue
        assert section.table.heads[1:] == (
            "from the left", "up", "off the wall", "to the right", "upwards", "out of the wall",
        )  # fmt: skip
        rows = [[metric(cell) for cell in row[1:]] for row in section.table.rows]
        value, half = (np.array([[cell[k] for cell in row] for row in rows]) for k in (0, 1))
        half[:, :3] = np.maximum(half[:, :3], 5e-4)  # a tape reads to a millimetre
        weight = np.linalg.norm(value[0, 3:])
        half[:, 3:] = np.where(value[:, 3:] == 0, np.maximum(half[:, 3:], 6e-4 * weight), half[:, 3:])
        assert np.all(np.abs(value[:, 3:].sum(axis=0)) <= half[:, 3:].sum(axis=0) + 1e-9)
        turn = np.cross(value[:, :3], value[:, 3:]).sum(axis=0)
        room = 0.0
        for at, da, f, df in zip(value[:, :3], half[:, :3], value[:, 3:], half[:, 3:], strict=True):
            room += np.abs(at).max() * df.sum() + np.abs(f).max() * da.sum() + da.sum() * df.sum()
        assert np.all(np.abs(turn) <= 2 * room)


@pytest.mark.parametrize("seed", [0, 3, 5, 11])
def test_arrows_and_labels_of_the_picture_are_a_free_body(seed, monkeypatch):
    """Arrows of each view sum to nothing, and so do the forces that stand beside them."""
    piece, surface = hung_by(seed)
    result = hang(piece, surface)
    drawn, said = [], []
    monkeypatch.setattr(pictures_hang, "draw_piece", lambda image, view, surface: image)
    monkeypatch.setattr(
        pictures_hang, "arrow", lambda pen, tail, tip, colour, width=4.0: drawn.append(np.subtract(tip, tail))
    )
    monkeypatch.setattr(pictures_hang, "notes", lambda pen, wanted, size=19: said.append((list(drawn), list(wanted))))
    real = pictures_hang._Panel.__init__
    monkeypatch.setattr(pictures_hang._Panel, "__init__", lambda self, *rest: (drawn.clear(), real(self, *rest))[1])
    cases = pictures_hang.drawn_cases(result)
    hang_sheet(piece, result, surface, "")
    assert len(said) == 2 * len(cases)
    for k, case in enumerate(cases):
        for arrows, _ in said[2 * k : 2 * k + 2]:
            assert np.abs(np.sum(arrows, axis=0)).max() < 0.5  # large pixels, of arrows of some 200
        labels = [line for note in said[2 * k][1] for line in note.lines[1:]]
        weight = np.linalg.norm(case.forces[0].force_n)
        total = {"up": 0.0, "right": 0.0, "push": 0.0}
        room = {"up": 0.0, "right": 0.0, "push": 0.0}
        for line in labels:
            if line == "gone" or line.endswith(")"):
                continue  # the weight itself
            value, half = metric(line)
            way = line.rsplit(") ", 1)[1]
            key, sign = {
                "up": ("up", 1), "down": ("up", -1), "to the right": ("right", 1), "to the left": ("right", -1),
                "push": ("push", 1), "pull": ("push", -1),
            }[way]  # fmt: skip
            total[key] += sign * value
            room[key] += half
        spare = 6e-4 * weight * (len(case.reactions) + 1)
        _, down, out = case.forces[0].force_n
        assert total["up"] == pytest.approx(-down, abs=room["up"] + spare)
        assert total["right"] == pytest.approx(0.0, abs=room["right"] + spare)
        assert total["push"] == pytest.approx(-out, abs=room["push"] + spare)
