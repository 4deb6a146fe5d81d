"""The skin at an insert: known where a plate is bonded to it, unknown with its reason everywhere else."""

import math
from dataclasses import replace

import pytest
import trimesh

from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Insert, Site, SkinSolid, Spot, refusals, unknowns
from pourwright.ranges import Range
from pourwright.shell import WallBand
from pourwright.structure import Fixing, fixing_stress

OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
GRP = SkinSolid(6.5e9, 0.33, 1.3e7, True, 0.1)
PLATE = Insert(0.03, 0.2, plate_m=0.1, bond_pa=2e5)


def hung(made, lump, insert, skin=GRP, kg=20.0, apart=0.3, modulus=8e6, lean=0.0):
    places = ((0.5 - apart, 0.5 - apart), (0.5 + apart, 0.5 - apart), (0.5 - apart, 0.5 + apart), (0.5 + apart,) * 2)
    anchors = tuple(
        Anchor(f"A{k}", Spot(from_left_m=x, from_base_m=z), insert=insert) for k, (x, z) in enumerate(places, 1)
    )
    turn = trimesh.transformations.rotation_matrix(math.radians(lean), [0, 0, 1])
    box = trimesh.creation.box((1.0, 0.5, 1.0), turn)
    piece, surface = made([lump(kg, (0.0, 0.0, 0.0))], Site(anchors=anchors, hang=Hang(OUT, UP)), box)
    foam = replace(piece.foam, grade_modulus_pa=modulus, poisson=0.3)
    bands = (WallBand("wall", -math.inf, math.inf, 0.006, 0.1),)
    return hang(replace(piece, skin=skin, foam=foam, bands=bands), surface)


def check(result, rule, anchor=0):
    load = result.anchors[anchor]
    (found,) = [one for one in load.checks if one.name == f"{load.name}: {rule}"]
    return found


def test_a_plate_bonded_to_the_skin_is_checked(made, lump):
    result = hung(made, lump, PLATE)
    for rule in ("skin round the insert", "foam behind the plate", "bond of the plate to the skin"):
        one = check(result, rule)
        assert one.verdict in ("ok", "over")
        assert one.value > 0
    assert check(result, "skin round the insert").limit == pytest.approx(0.5 * 1.3e7)
    assert "EN 14509" in check(result, "skin round the insert").source
    assert not [name for name in unknowns(result) if "skin" in name]


def test_all_that_the_insert_brings_goes_in(made, lump):
    """Twice the weight is twice the stress; and the bond by hand: pull, shear and its moment with the wall as arm."""
    one, two = (check(hung(made, lump, PLATE, kg=kg), "skin round the insert").value for kg in (20.0, 40.0))
    assert two == pytest.approx(2 * one, rel=1e-6)
    result = hung(made, lump, PLATE)
    load = result.anchors[0]
    area, arm = math.pi * 0.1**2 / 4, 0.006
    shear, out = load.most_shear_n, max(load.most_pull_n, load.most_push_n)
    due = (shear + out) / area + 32 * shear * arm / (math.pi * 0.1**3)
    assert check(result, "bond of the plate to the skin").value == pytest.approx(due, rel=1e-6)


def test_a_wider_plate_is_easier_on_the_skin_and_a_heavy_piece_is_over(made, lump):
    narrow, wide = (
        check(hung(made, lump, replace(PLATE, plate_m=size)), "skin round the insert").value for size in (0.06, 0.16)
    )
    assert wide < narrow
    assert any("skin round the insert" in name for name in refusals(hung(made, lump, PLATE, kg=4000.0)))


def test_neighbours_add(made, lump):
    alone, beside = (check(hung(made, lump, PLATE, apart=apart), "skin round the insert") for apart in (0.3, 0.06))
    assert "for the anchors beside it" in beside.source
    assert beside.value > alone.value


@pytest.mark.parametrize(
    ("insert", "skin", "modulus", "why"),
    [
        (replace(PLATE, plate_m=None, bond_pa=None), GRP, 8e6, "no plate on it is given"),
        (PLATE, replace(GRP, foam_bonds=False), 8e6, "does not bond"),
        (PLATE, None, 8e6, "no thickness"),
        (PLATE, GRP, math.nan, "no foam is known"),
        (replace(PLATE, plate_m=0.7), GRP, 8e6, "overlap"),
    ],
)
def test_what_cannot_be_computed_is_unknown(made, lump, insert, skin, modulus, why):
    one = check(hung(made, lump, insert, skin=skin, modulus=modulus), "skin round the insert")
    assert one.verdict == "unknown"
    assert math.isnan(one.limit)
    assert why in one.source


def test_a_bond_without_its_strength_is_unknown(made, lump):
    one = check(hung(made, lump, replace(PLATE, bond_pa=None)), "bond of the plate to the skin")
    assert one.verdict == "unknown"
    assert "skin_bond" in one.remedy


def test_a_wide_plate_near_an_edge_is_checked(made, lump):
    """70 mm of skin beside a plate of 360 mm: it ends before 1.43 radii."""
    wide, narrow = (
        check(hung(made, lump, replace(PLATE, plate_m=size), apart=0.25), "skin round the insert")
        for size in (0.36, 0.1)
    )
    assert wide.verdict in ("ok", "over")
    assert 0 < wide.value < narrow.value


def test_skin_that_slants_is_as_thin_as_it_is_and_unknown_where_it_slants_much(made, lump):
    """The back of a box turned by 15 and by 30 degrees."""
    rules = [
        check(hung(made, lump, PLATE, apart=0.2, lean=lean), "skin round the insert") for lean in (0.0, 15.0, 30.0)
    ]
    assert [rule.verdict == "unknown" for rule in rules] == [False, False, True]
    assert "slants 30 degrees" in rules[2].source


def test_the_foam_behind_a_plate_is_as_stiff_as_the_weighing_leaves_it(made, lump):
    """Foam that a scale finds 20 % lighter: its modulus falls by the published power of density, 1.54."""
    piece, _ = made([lump(5.0, (0.0, 0.0, 0.0))], Site())
    foam = replace(piece.foam, density_kg_m3=Range(40.0, 44.0, 46.0), grade_modulus_pa=8e6)
    lighter = replace(foam, density_kg_m3=Range(32.0, 35.2, 36.8))
    assert lighter.modulus_pa / foam.modulus_pa == pytest.approx(0.8**1.54, rel=1e-9)
    assert replace(foam, density_kg_m3=Range(60.0, 62.0, 64.0)).modulus_pa == 8e6  # never more than the sheet's own


def test_thin_foam_of_two_depths_is_not_one_and_the_same():
    """Foam of 4.6 mm and of 5.4 mm: an elastic layer's bed is as stiff as its modulus over its depth."""
    thin, thick = (
        fixing_stress(Fixing(0.003, 6.5e9, 0.33, 8e6, 0.3, depth, 0.05, 1.0)).foam_pull for depth in (0.0046, 0.0054)
    )
    assert thin > 1.02 * thick
