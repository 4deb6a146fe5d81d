"""Plates cover a side of the whole part once, whatever chambers lie under it; areas and clamps by hand."""

import math

import pytest
from trimesh.creation import box
from trimesh.util import concatenate


def twins(gap=0.2):
    """Two boxes 0.6 x 0.5 x 0.4 m side by side: two chambers, with a gap between."""
    left, right = box((0.6, 0.5, 0.4)), box((0.6, 0.5, 0.4))
    left.apply_translation((-0.3 - gap / 2, 0, 0.2))
    right.apply_translation((0.3 + gap / 2, 0, 0.2))
    return concatenate([left, right])


@pytest.fixture
def fixture_of_twins(shoot):
    return shoot(twins(), "15 mm", more='[fixture]\nclamp = "3 kN"\nclamp_share = 1.0\n')["fixture"]


def test_one_lid_over_two_chambers_is_one_plate_with_its_clamps_once(fixture_of_twins):
    """By hand: 2 x 0.59 x 0.49 m2 under the lid; clamps for that force at 3 kN each, and the base hangs on the same."""
    plates = {plate["side"]: plate for plate in fixture_of_twins["plates"]}
    top, bottom = plates["top"], plates["bottom"]
    assert top["area_m2"] == pytest.approx(2 * 0.59 * 0.49, rel=0.02)
    assert top["chambers"] == [1, 2]
    assert top["force_n"]["high"] == pytest.approx(fixture_of_twins["pressure_high_pa"] * 2 * 0.59 * 0.49, rel=0.02)
    need = math.ceil(top["force_n"]["high"] / 3e3)
    assert top["clamps"] == bottom["clamps"] == max(4, need)
    assert top["against"] == "bottom"
    pairs = {frozenset((plate["side"], plate["against"])): plate["clamps"] for plate in plates.values()}
    assert len(pairs) == 3
    assert fixture_of_twins["clamps"] == sum(pairs.values())


def test_what_looks_at_the_other_chamber_meets_no_plate(fixture_of_twins):
    """The ends of the pair are 0.49 x 0.39 m2 each; the two faces between them are inner ones and take no clamp."""
    plates = {plate["side"]: plate for plate in fixture_of_twins["plates"]}
    assert plates["left"]["area_m2"] == pytest.approx(0.49 * 0.39, rel=0.02)
    assert len(plates["left"]["chambers"]) == 1
    inner = [face for face in fixture_of_twins["faces"] if face["name"].startswith("inner")]
    assert sorted(face["name"] for face in inner) == ["inner left", "inner right"]
    for face in inner:
        assert face["area_m2"] == pytest.approx(0.49 * 0.39, rel=0.02)
        assert face["clamps"] == 0
        assert face["skin_stands_pa"] is None  # what panels of the ends outside stand says nothing of these
    assert any(face["skin_stands_pa"] for face in fixture_of_twins["faces"] if face["name"] in ("left", "right"))


def test_opposite_plates_are_pushed_alike_and_the_faces_add_up(fixture_of_twins):
    """Balance of forces: what pushes left pushes right; chamber by chamber the outer faces add up to the plate."""
    plates = {plate["side"]: plate for plate in fixture_of_twins["plates"]}
    for one in plates.values():
        assert one["force_n"]["high"] == pytest.approx(plates[one["against"]]["force_n"]["high"], rel=0.01)
        faces = [face["area_m2"] for face in fixture_of_twins["faces"] if face["name"] == one["side"]]
        assert sum(faces) == pytest.approx(one["area_m2"], rel=1e-6)


def test_walls_by_region_and_by_map_come_back_from_plan_json(shoot, tmp_path):
    """What is asked of a plan later reads the shell again, with the walls that it was planned with."""
    from pourwright.document.model import PlanDocument
    from pourwright.document.read_plan import gauge_of, regions_of

    region = '[[wall.region]]\nname = "end"\nthickness = "9 mm"\nalong = [1, 0, 0]\nfrom = "1.3 m"\n'
    doc = shoot(twins(), "20 mm", more=region)
    (back,) = regions_of(PlanDocument.model_validate(doc))
    assert (back.name, back.thickness_m, back.from_m, back.along) == ("end", 0.009, 1.3, (1.0, 0.0, 0.0))
    (tmp_path / "gauge.csv").write_text("x_mm,y_mm,z_mm,thickness_mm\n-700,0,0,4\n700,0,0,6\n")
    mapped = gauge_of(PlanDocument.model_validate(shoot(twins(), "20 mm", settings={"wall.map": "gauge.csv"})))
    assert mapped.source == "gauge.csv"
    assert mapped.at([[-0.7, 0, 0], [0, 0, 0]]).tolist() == pytest.approx([0.004, 0.005], abs=1e-9)
    assert gauge_of(PlanDocument.model_validate(doc)) is None
