"""Which skin is which part, in which layers its coats go, and what a job may say of parts."""

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_levels, limbs_of
from pourwright.errors import JobError
from pourwright.intake.fill_table import FillTable
from pourwright.lining import PartRules, Rules, layers_of, parts_of
from pourwright.panels import panels


@pytest.fixture(scope="module")
def forked(shell_of):
    """A body on two legs."""
    body = trimesh.creation.box((0.6, 0.3, 0.4)).apply_translation([0, 0, 0.7])
    legs = [trimesh.creation.box((0.15, 0.15, 0.6)).apply_translation([x, 0, 0.3]) for x in (-0.2, 0.2)]
    skin, cavity = shell_of(trimesh.boolean.union([body, *legs]), 0.005, 0.01)
    return Space(skin, cavity, build_levels(cavity), panels(skin, 4))


def rules(*parts):
    return Rules("lining", 0.03, parts=parts)


def area(space, parts, number):
    return trimesh.Trimesh(parts.skin.vertices_m, parts.skin.faces[parts.part == number], process=False).area


def test_a_limb_is_one_leg_and_not_the_other(forked):
    limbs = limbs_of(forked.graph, 1e-4)
    assert len(limbs.limbs) == 3
    found = parts_of(rules(PartRules("leg", 0.02, limb="L1")), forked, limbs)
    one_leg = 4 * 0.15 * 0.5 + 0.15**2
    assert area(forked, found, 1) == pytest.approx(one_leg, rel=0.03)
    middles = found.skin.vertices_m[found.skin.faces[found.part == 1]].mean(axis=1)
    assert len(set(np.sign(middles[:, 0]))) == 1


def test_a_limb_that_is_not_there_is_told_those_that_are(forked):
    with pytest.raises(JobError, match=r"L1 .*L2 .*L3 \(\d+ to \d+ mm\)"):
        parts_of(rules(PartRules("arm", 0.02, limb="L9")), forked, limbs_of(forked.graph, 1e-4))


def test_a_limb_that_is_solid_takes_its_own_cells(forked):
    found = parts_of(rules(PartRules("leg", None, limb="L2")), forked, limbs_of(forked.graph, 1e-4))
    held = float((found.solid * forked.cavity.fraction).sum()) / 255 * 0.01**3
    assert held == pytest.approx(0.14**2 * 0.495, rel=0.03)


def test_of_parts_that_overlap_the_later_one_holds(forked):
    found = parts_of(rules(PartRules("legs", None, 0.0, 0.45), PartRules("feet", 0.04, 0.0, 0.1)), forked, None)
    assert area(forked, found, 1) == pytest.approx(2 * 4 * 0.15 * 0.35, rel=1e-6)
    assert area(forked, found, 2) == pytest.approx(2 * (4 * 0.15 * 0.1 + 0.15**2), rel=1e-6)
    assert found.solid[:, :, :9].max() == 0.0


def test_the_flattest_panel_is_a_side_of_the_body(forked):
    found = parts_of(rules(PartRules("side", 0.06, flattest=1)), forked, None)
    assert area(forked, found, 1) == pytest.approx(forked.panels[0].area_m2, rel=0.05)


def test_a_height_that_the_piece_has_not_is_refused(forked):
    with pytest.raises(JobError, match="900 mm tall"):
        parts_of(rules(PartRules("head", 0.02, 1.2, 1.4)), forked, None)


def test_foam_of_all_layers_is_that_of_all_parts():
    found = layers_of(np.array([0.03, 0.02, 0.05]), np.array([3.0, 1.0, 5.0]))
    assert [one.parts for one in found] == [(0, 1, 2), (0, 2), (2,)]
    assert [one.foam_m3 for one in found] == pytest.approx([5.0, 2.0, 2.0])


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ({"name": "legs", "to": "1 m"}, "fill.part\\[1\\].thickness"),
        ({"name": "legs", "to": "1 m", "style": "solid", "thickness": "2 cm"}, "not both"),
        ({"name": "legs", "thickness": "2 cm"}, "which part"),
        ({"name": "side", "style": "solid", "flattest": 1}, "cannot be solid"),
        ({"name": "legs", "thickness": "2 cm", "from": "2 m", "to": "1 m"}, "under its end"),
    ],
)
def test_a_part_that_says_too_little_or_too_much_is_refused(part, said):
    with pytest.raises(JobError, match=said):
        FillTable.model_validate({"style": "lining", "thickness": "3 cm", "part": [part]}).rules()


def test_parts_go_with_a_lining_and_have_names_of_their_own():
    legs = {"name": "legs", "to": "1 m", "style": "solid"}
    with pytest.raises(JobError, match="goes with fill"):
        FillTable.model_validate({"part": [legs]}).rules()
    with pytest.raises(JobError, match="one name"):
        FillTable.model_validate({"style": "lining", "thickness": "3 cm", "part": [legs, legs]}).rules()
