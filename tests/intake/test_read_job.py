"""A job file becomes a job in SI; every refusal names the key, what was given and what is allowed."""

import math
import os

import pytest

from pourwright.errors import JobError, UsageError
from pourwright.intake import job_from_shell, read_job
from pourwright.shell import SkinKind
from pourwright.sources import Standing


def test_a_right_file_is_read_in_si(job_file):
    job = read_job(job_file())
    assert (job.name, job.place, job.unit, job.shell.name) == ("Test piece", "the yard", "mm", "piece.stl")
    assert [band.thickness_m for band in job.bands] == [0.005]
    assert (job.bands[0].from_m, job.bands[0].to_m) == (-math.inf, math.inf)
    assert job.conditions.air_k == pytest.approx(291.15)
    assert job.conditions.parts_k == job.conditions.skin_k == job.conditions.air_k
    assert (job.limits.hands, job.limits.held, job.kind) == (2, False, None)
    assert job.grade.name == "rigid-3"


def test_every_default_is_told(job_file):
    told = " / ".join(read_job(job_file()).assumed)
    for word in (
        "up",
        "front",
        "free",
        "known within 10 %",
        "liquids",
        "sea level",
        "batch",
        "flow distance",
        "60 °C",
        "8 %",
    ):
        assert word in told
    assert "shop air" not in told  # given
    assert "data sheet" in told


def test_what_is_given_is_not_told_as_assumed(job_file):
    job = read_job(job_file("[shop]", '[loss]\nshare = "12 %"\n[limits]\nreach = "20 in"\n[shop]'))
    assert job.loss_share == 0.12
    assert job.limits.flow_distance_m == pytest.approx(0.508)
    assert not any("flow distance" in words or "trim" in words for words in job.assumed)


def test_defaults_shown_are_the_defaults_taken():
    """The words of an assumption carry the value that was taken: compare them with a job that gives that value."""
    from pourwright.intake.shop import LimitsTable, LossTable, ShopTable

    said = {
        (ShopTable, "air"): "22 degC",
        (ShopTable, "largest_batch"): "4 L",
        (ShopTable, "mix"): "20 s",
        (ShopTable, "pour_rate"): "0.25 L/s",
        (ShopTable, "pressure"): "101.325 kPa",
        (LimitsTable, "flow_distance"): "600 mm",
        (LimitsTable, "quickening"): "25 %",
        (LimitsTable, "vent_pressure"): "100 Pa",
        (LimitsTable, "bulge"): "1 %",
        (LimitsTable, "sliver"): "35 %",
        (LossTable, "share"): "8 %",
    }
    for (table, name), text in said.items():
        given = getattr(table.model_validate({name: text}), name)
        assert given == pytest.approx(getattr(table(), name), rel=1e-3)
        number = text.split(" ")[0].split(".")[0]
        assert number in table.model_fields[name].json_schema_extra["assumed"]


def test_own_limits_and_directions(job_file):
    job = read_job(
        job_file(
            'unit = "mm"',
            'unit = "in"\nup = [0, 3, 4]\nfront = "+x"\nsupport = "held"\nkind = "open"',
            "[shop]",
            '[limits]\nlift = "8 in"\nlift_reference = "sheet of May"\nvent_drill = ["10 mm", "1/4 in"]\n[shop]',
        )
    )
    assert job.up == pytest.approx((0.0, 0.6, 0.8))
    assert job.front == (1.0, 0.0, 0.0)
    assert job.limits.held
    assert job.kind is SkinKind.OPEN
    assert job.limits.max_lift_m == pytest.approx(0.2032)
    assert job.limits.max_lift_reference == "sheet of May"
    assert job.limits.drill_m == pytest.approx((0.00635, 0.01))


def test_bands_of_height(job_file):
    bands = """
[[wall.band]]
name = "upper"
from = "1 m"
thickness = "4 mm"
spread = 0.2
[[wall.band]]
name = "lower"
to = "1 m"
thickness = "1/4 in"
"""
    job = read_job(job_file('[wall]\nthickness = "5 mm"', bands))
    assert [(b.name, b.from_m, b.to_m, b.spread) for b in job.bands] == [
        ("lower", -math.inf, 1.0, 0.1),
        ("upper", 1.0, math.inf, 0.2),
    ]
    assert job.bands[0].thickness_m == pytest.approx(0.00635)


def test_own_data_sheet(job_file):
    job = read_job(
        job_file(
            "[shop]",
            '[foam.sheet]\nreference = "sheet of May"\ndensity = "2.8 lb/ft3"\nmix_by_weight = [115, 100]\n'
            'lift = "10 in"\n[shop]',
        )
    )
    grade = job.grade
    assert grade.free_rise_density_kg_m3 == pytest.approx(2.8 * 16.018463, rel=1e-6)
    assert grade.cited["free_rise_density_kg_m3"].standing is Standing.DATA_SHEET
    assert grade.cited["free_rise_density_kg_m3"].source == "sheet of May"
    by_weight = grade.mix_a_by_volume * grade.part_a_density_kg_m3
    by_weight /= grade.mix_b_by_volume * grade.part_b_density_kg_m3
    assert by_weight == pytest.approx(1.15)
    assert (grade.max_lift_m, grade.max_lift_is_judgement) == (pytest.approx(0.254), False)
    assert not any("data sheet" in words for words in job.assumed)


def test_own_packing_and_material(job_file):
    job = read_job(
        job_file(
            "[wall]",
            '[piece.material_values]\nreference = "weighed"\ndensity = "1500 kg/m3"\nfoam_bonds = false\n[wall]',
            'grade = "rigid-3"',
            'grade = "rigid-3"\npacking = 1.2\nbond = "30 %"',
        )
    )
    assert job.grade.packing == 1.2
    assert job.grade.cited["packing"].standing is Standing.JOB
    assert job.material.density_kg_m3 == 1500.0
    assert job.material.foam_bonds is False
    assert job.material.cited["density_kg_m3"].source == "weighed"
    assert job.bond == 0.3


WRONG = [
    # what is changed, the key that is named, words of the reason
    ("5 mm", "0 mm", "wall.thickness", "from 0.2 mm"),
    ("5 mm", "-5 mm", "wall.thickness", "from 0.2 mm"),
    ("5 mm", "5 m", "wall.thickness", "to 500 mm"),
    ("5 mm", "5", "wall.thickness", "unit is missing"),
    ('"5 mm"', "5", "wall.thickness", "bare number"),
    ('"5 mm"', "nan", "wall.thickness", "bare number"),
    ('"5 mm"', "[5]", "wall.thickness", "as text"),
    ("5 mm", "5 kg", "wall.thickness", "not a unit of length"),
    ("5 mm", "5 furlong", "wall.thickness", "not known here"),
    ("thickness", "thicknes", "wall.thicknes", "did you mean 'thickness'"),
    ("[wall]", "[walls]", "walls", "did you mean 'wall'"),
    ('unit = "mm"', 'unit = "mile"', "piece.unit", '"ft"'),
    ('unit = "mm"', 'kind = "closed"', "piece.kind", '"both-faces"'),
    ('unit = "mm"', 'up = "up"', "piece.up", '"+z"'),
    ('unit = "mm"', "up = [0, 0, 0]", "piece.up", "not all zero"),
    ('unit = "mm"', "up = [nan, 0, 1]", "piece.up", "not all zero"),
    ('unit = "mm"', 'support = "cradle"', "piece.support", '"held"'),
    ('"grp"', '"wood"', "piece.material", "polyethylene"),
    ('"Test piece"', '""', "piece.name", "1 to 80"),
    ('"Test piece"', '"a\\nb"', "piece.name", "one line"),
    ('"Test piece"', '"\\u001b[31m"', "piece.name", "control"),
    ('"Test piece"', "7", "piece.name", "text"),
    ("rigid-3", "rigid-5", "foam.grade", "rigid-6"),
    ('grade = "rigid-3"', "", "foam.grade", "is missing"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\npacking = 0.9', "foam.packing", "from 1 to 2"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\nopen_packing = 1.5', "foam.open_packing", "at most"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\nbond = 2', "foam.bond", "from 0 to 1"),
    ("[shop]", '[foam.sheet]\ndensity = "3 pcf"\n[shop]', "foam.sheet.reference", "is missing"),
    ("[shop]", '[foam.sheet]\nreference = "x"\ndensity = "-3 pcf"\n[shop]', "foam.sheet.density", "lb/ft³"),
    ("[shop]", '[foam.sheet]\nreference = "x"\ncream = "500 s"\n[shop]', "foam.sheet.cream", "below gel"),
    ("18 degC", "180 degC", "shop.air", "to 60 °C (140 °F)"),
    ("18 degC", "-300 degC", "shop.air", "absolute zero"),
    ("18 degC", "18", "shop.air", "unit is missing"),
    ("hands = 2", "hands = 0", "shop.hands", "whole number from 1"),
    ("hands = 2", "hands = 2.5", "shop.hands", "whole number"),
    ("hands = 2", "hands = true", "shop.hands", "whole number"),
    ("hands = 2", "hnads = 2", "shop.hnads", "did you mean 'hands'"),
    ("hands = 2", '[limits]\nlift = "8 in"', "limits.lift_reference", "is missing"),
    ("hands = 2", '[limits]\nlift_reference = "x"', "limits.lift", "is missing"),
    ("hands = 2", "[limits]\nvent_drill = []", "limits.vent_drill", "at least one"),
    ("hands = 2", '[limits]\nvent_drill = ["6 mm", "60 m"]', "limits.vent_drill[2]", "to 100 mm"),
    ("hands = 2", '[grid]\nmemory = "2"', "grid.memory", "1.5 GB"),
    ("hands = 2", '[grid]\ncell = "0 mm"', "grid.cell", "from 0.2 mm"),
    ("hands = 2", '[loss]\nshare = "90 %"', "loss.share", "from 0 to 0.5"),
    ('[wall]\nthickness = "5 mm"', "[wall]\nspread = 0.1", "wall.thickness", "[[wall.band]]"),
    ('[wall]\nthickness = "5 mm"', "[wall]\nband = 3", "wall.band", "list"),
    (
        '[wall]\nthickness = "5 mm"',
        '[[wall.band]]\nname = "a"\nto = "1 m"\nthickness = "5 mm"\n[[wall.band]]\nname = "b"\nfrom = "2 m"\n'
        'thickness = "5 mm"',
        "wall.b.from",
        "gap",
    ),
    ('"piece.stl"', '"/etc/passwd"', "piece.shell", "job file's folder"),
    ('"piece.stl"', '"../piece.stl"', "piece.shell", "job file's folder"),
    ('"piece.stl"', '"a/../../piece.stl"', "piece.shell", "job file's folder"),
    ('"piece.stl"', '"..\\\\piece.stl"', "piece.shell", "job file's folder"),
    ('"piece.stl"', '"C:piece.stl"', "piece.shell", "job file's folder"),
    ('"piece.stl"', '"nothing.stl"', "piece.shell", "no such file"),
    ('"piece.stl"', '"."', "piece.shell", "no such file"),
    ('"piece.stl"', "7", "piece.shell", "text"),
    ('shell = "piece.stl"', "", "piece.shell", "is missing"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\npart_a = "Iso"', "foam.part_b", "give it too"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\npart_b = "Resin"', "foam.part_a", "give it too"),
    ('grade = "rigid-3"', 'grade = "rigid-3"\npart_a = "PU"\npart_b = "pu"', "foam.part_b", "told apart"),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), WRONG, ids=[f"{w[2]}-{n}" for n, w in enumerate(WRONG)])
def test_a_wrong_file_names_the_key(job_file, old, new, key, words):
    path = job_file(old, new)
    with pytest.raises(JobError) as caught:
        read_job(path)
    assert caught.value.key == key
    assert words in str(caught.value)
    assert len(str(caught.value)) < 700
    assert "\n" not in str(caught.value)


def test_the_drums_name_the_sides(job_file):
    plain = read_job(job_file()).grade.sides
    assert (plain.a, plain.b) == ("part A", "part B")
    own = read_job(job_file('grade = "rigid-3"', 'grade = "rigid-3"\npart_a = "Side B"\npart_b = "Side A"'))
    assert (own.grade.sides.a, own.grade.sides.b) == ("Side B", "Side A")
    assert not any("check the drums" in words for words in own.assumed)


def test_a_missing_table_is_asked_for_in_words_that_help(job_file):
    """Not "foam is missing: give it (the foam)"."""
    with pytest.raises(JobError) as caught:
        read_job(job_file('[foam]\ngrade = "rigid-3"', ""))
    assert 'a table [foam] with grade = "rigid-3"' in str(caught.value)
    assert "(the foam)" not in str(caught.value)


def test_an_outside_of_kind_open_needs_its_wall(job_file):
    path = job_file('[wall]\nthickness = "5 mm"', "", 'unit = "mm"', 'unit = "mm"\nkind = "open"')
    with pytest.raises(JobError, match=r"wall\.thickness is missing"):
        read_job(path)
    assert read_job(path, {"piece.kind": "both-faces"}).bands == ()


def test_a_link_out_of_the_folder_is_refused(job_file, tmp_path):
    outside = tmp_path.parent / f"{tmp_path.name}-outside.stl"
    outside.write_text("solid\nendsolid\n")
    path = job_file()
    (tmp_path / "piece.stl").unlink()
    os.symlink(outside, tmp_path / "piece.stl")
    with pytest.raises(JobError, match="leads out of the folder"):
        read_job(path)


def test_a_circle_of_links_is_refused(job_file, tmp_path):
    path = job_file()
    (tmp_path / "piece.stl").unlink()
    os.symlink("piece.stl", tmp_path / "piece.stl")
    with pytest.raises(JobError, match=r"piece\.shell"):
        read_job(path)


def test_a_job_behind_a_link_uses_the_folder_it_really_lies_in(job_file, tmp_path):
    (tmp_path / "links").mkdir()
    os.symlink(job_file(), tmp_path / "links" / "job.toml")
    job = read_job(tmp_path / "links" / "job.toml")
    assert job.shell == (tmp_path / "piece.stl").resolve()


def test_a_table_that_is_none_is_refused(job_file):
    path = job_file('[wall]\nthickness = "5 mm"', "", "[piece]", "wall = 5\n[piece]")
    with pytest.raises(JobError, match="wall = 5: must be a table"):
        read_job(path)


NOT_TOML = {
    "empty brackets": "[piece",
    "no value": "a =",
    "twice": "a = 1\na = 2",
    "deep arrays": "a = " + "[" * 400 + "]" * 400,
    "deeper arrays": "a = " + "[\n" * 20000,
    "deep keys": "a" + ".a" * 400 + " = 1",
    "long line": "a = '" + "x" * 2000 + "'",
    "too large": "# x\n" * 40000,
    "deep tables": "[a.b.c.d.e.f.g.h.i.j]\nx = 1",
    "long number": "a = " + "9" * 990,
    "null": "a = 1\0",
}


@pytest.mark.parametrize("text", NOT_TOML.values(), ids=NOT_TOML)
def test_what_is_no_job_file_gets_one_sentence(tmp_path, text):
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(UsageError) as caught:
        read_job(tmp_path / "job.toml")
    assert "\n" not in str(caught.value)
    assert "job.toml" in str(caught.value) or isinstance(caught.value, JobError)


def test_bytes_that_are_no_text(tmp_path):
    (tmp_path / "job.toml").write_bytes(b"\xff\xfe\x00[piece]")
    with pytest.raises(UsageError, match="UTF-8"):
        read_job(tmp_path / "job.toml")


@pytest.mark.parametrize("path", ["nothing.toml", ".", "/dev/zero", "a\0b.toml", "x" * 300 + ".toml"])
def test_what_is_no_file(path):
    with pytest.raises(UsageError):
        read_job(path)


def test_overrides_win_and_are_checked(job_file):
    path = job_file()
    job = read_job(path, {"wall.thickness": "6 mm", "limits.flow_distance": "1 m", "shop.hands": 3})
    assert (job.bands[0].thickness_m, job.limits.flow_distance_m, job.limits.hands) == (0.006, 1.0, 3)
    for key in ("thickness", "wall.", "wall.thickness.deep", "a.b.c.d.e", "piece.name.x"):
        with pytest.raises(JobError):
            read_job(path, {key: "6 mm"})


def test_a_thickness_override_replaces_bands(job_file):
    path = job_file('[wall]\nthickness = "5 mm"', '[[wall.band]]\nname = "a"\nthickness = "5 mm"')
    assert [band.name for band in read_job(path).bands] == ["a"]
    assert [band.thickness_m for band in read_job(path, {"wall.thickness": "7 mm"}).bands] == [0.007]


def test_a_shell_alone_takes_defaults_and_tells_them(tmp_path):
    shell = tmp_path / "odd: name [1].stl"
    job = job_from_shell(shell, {"piece.unit": "m", "wall.thickness": "5 mm", "foam.grade": "rigid-3"})
    assert (job.shell, job.name, job.unit, job.material.name) == (shell, "odd: name [1]", "m", "grp")
    told = " / ".join(job.assumed)
    for word in ("named after", "grp", "up taken", "shop air"):
        assert word in told


def test_a_shell_alone_needs_a_grade(tmp_path):
    with pytest.raises(JobError, match=r"foam is missing|foam\.grade is missing"):
        job_from_shell(tmp_path / "a.stl", {"piece.unit": "m"})
    with pytest.raises(JobError, match=r"piece\.shell"):
        job_from_shell(tmp_path / "a.stl", {"piece.shell": "b.stl", "foam.grade": "rigid-3"})
