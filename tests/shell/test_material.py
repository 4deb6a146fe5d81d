"""Skin materials: every value has a standing, and a job can bring its own."""

import pytest

from pourwright.errors import JobError
from pourwright.shell import SkinMaterial, custom_material, material_names, skin_material
from pourwright.shell.material import LIMITS, UNITS
from pourwright.sources import Standing


def test_the_materials_that_come_with_the_program():
    assert material_names() == ("bronze", "copper", "grp", "plaster-glass", "polyethylene")


@pytest.mark.parametrize("name", material_names())
def test_every_value_is_cited_and_within_what_a_job_may_give(name):
    material = skin_material(name)
    assert set(material.cited) == set(UNITS)
    for field, cited in material.cited.items():
        assert cited.value == float(getattr(material, field))
        assert cited.unit == UNITS[field]
        if field in LIMITS:
            assert LIMITS[field][0] <= cited.value <= LIMITS[field][1]
        if cited.standing is Standing.PUBLISHED:
            assert cited.source
        if cited.standing is Standing.JUDGEMENT:
            assert cited.note


def test_foam_does_not_bond_to_untreated_polyethylene():
    assert not skin_material("polyethylene").foam_bonds
    assert skin_material("grp").foam_bonds


def test_unknown_material_names_the_known_ones():
    with pytest.raises(JobError, match="plaster-glass") as caught:
        skin_material("jelly")
    assert caught.value.key == "skin.material"


def test_custom_material_keeps_the_rest():
    own = custom_material("grp", {"youngs_modulus_pa": 8e9, "foam_bonds": False}, "coupon test of the shop")
    assert isinstance(own, SkinMaterial)
    assert own.youngs_modulus_pa == 8e9
    assert not own.foam_bonds
    assert own.poisson == skin_material("grp").poisson
    assert own.cited["youngs_modulus_pa"].words() == "given in the job: coupon test of the shop"
    assert skin_material("grp").youngs_modulus_pa == 6.5e9


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({"density_kg_m3": -5.0}, "skin.density_kg_m3"),
        ({"density_kg_m3": float("nan")}, "skin.density_kg_m3"),
        ({"poisson": 0.5}, "skin.poisson"),
        ({"youngs_modulus_pa": 6.5}, "skin.youngs_modulus_pa"),
        ({"colour": 1.0}, "skin.colour"),
        ({"foam_bonds": 1.0}, "skin.foam_bonds"),
    ],
)
def test_values_out_of_range_name_their_key(values, key):
    with pytest.raises(JobError) as caught:
        custom_material("grp", values, "x")
    assert caught.value.key == key
