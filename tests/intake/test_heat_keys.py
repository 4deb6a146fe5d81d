"""What a job says about heat: the chemistry of its data sheet, and a rise fixed for checking."""

import pytest

from pourwright.cli import main
from pourwright.errors import JobError
from pourwright.foam import at_conditions
from pourwright.intake import read_job

BASE = """
[piece]
shell = "s.stl"
unit = "mm"
material = "grp"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-3"
"""


@pytest.fixture
def job(tmp_path):
    def make(more="", **overrides):
        (tmp_path / "s.stl").write_bytes(b"")
        file = tmp_path / "job.toml"
        file.write_text(BASE + more)
        return read_job(file, {key.replace("__", "."): value for key, value in overrides.items()})

    return make


def test_without_more_the_rise_is_an_interval(job):
    rise = at_conditions(job().grade, job().conditions).rise_k
    assert rise.low == pytest.approx(115, abs=0.5)
    assert rise.nominal == pytest.approx(146, abs=0.5)
    assert rise.high == pytest.approx(177, abs=0.5)


def test_a_fixed_rise_has_no_spread(job):
    made = job(heat__rise="147 K")
    rise = at_conditions(made.grade, made.conditions).rise_k
    assert (rise.low, rise.nominal, rise.high) == (147.0, 147.0, pytest.approx(147.0))
    assert made.grade.cited["heat_j_kg"].source == "heat.rise"


@pytest.mark.parametrize("given", ["147", "147 degC", "10 K", "4000 K", ""])
def test_a_rise_that_is_none_is_refused_by_its_key(job, given):
    with pytest.raises(JobError) as error:
        job(heat__rise=given)
    assert error.value.key == "heat.rise"


def test_chemistry_of_a_sheet_gives_the_heat(job):
    """By hand: 4.008 mol NCO, 0.594 mol water a kg, index 1.05: 2.629 x 76 + 0.594 x 93 = 255 kJ/kg."""
    made = job('[foam.sheet]\nreference = "S"\nnco = "31.5 %"\nwater = "2.3 %"\n')
    assert made.grade.heat_j_kg == pytest.approx(255e3, rel=0.002)
    assert "mol NCO" in made.grade.cited["heat_j_kg"].note


def test_a_hydroxyl_number_limits_what_can_react(job):
    """160 mg KOH/g: 0.4654 x 0.160 / 0.056106 = 1.327 mol OH a kg."""
    made = job('[foam.sheet]\nreference = "S"\nnco = "31.5 %"\nwater = "2.3 %"\nhydroxyl = 160\n')
    assert made.grade.heat_j_kg == pytest.approx(1.327 * 76e3 + 0.594 * 93e3, rel=0.002)


@pytest.mark.parametrize(
    ("keys", "named"),
    [
        ('water = "2 %"', "foam.sheet.nco"),
        ("hydroxyl = 400", "foam.sheet.nco"),
        ('nco = "31 %"\nheat = "240 kJ/kg"', "foam.sheet.nco"),
        ('nco = "6 %"\nwater = "9 %"', "foam.sheet.nco"),
        ("nco = 31.5", "foam.sheet.nco"),
    ],
)
def test_chemistry_that_cannot_be_is_refused(job, keys, named):
    with pytest.raises(JobError) as error:
        job(f'[foam.sheet]\nreference = "S"\n{keys}\n')
    assert error.value.key == named


def test_the_command_line_reads_a_rise_as_strictly(tmp_path, capsys):
    (tmp_path / "job.toml").write_text(BASE)
    (tmp_path / "s.stl").write_bytes(b"")
    assert main(["plan", str(tmp_path / "job.toml"), "--set", "heat.rise=147"]) != 0
    said = capsys.readouterr().err
    assert "heat.rise" in said
    assert len(said.strip().splitlines()) == 1


def test_any_density_may_be_typed_in_place_of_a_grade(job):
    made = job(foam__density="52 kg/m^3")
    assert made.grade.free_rise_density_kg_m3 == pytest.approx(52.0)
    assert made.grade.cited["compressive_modulus_pa"].note.startswith("moved from 48.1 to 52 kg/m3 by its law")
    assert job(foam__density="3.25 lb/ft^3").grade.free_rise_density_kg_m3 == pytest.approx(52.06, abs=0.01)
    assert job(foam__grade="rigid-6").grade.name == "rigid-6"


@pytest.mark.parametrize(
    ("given", "named"), [("52", "foam.density"), ("5 kg/m3", "foam.density"), ("900 kg/m3", "foam.density")]
)
def test_a_density_that_is_none_is_refused(job, given, named):
    with pytest.raises(JobError) as error:
        job(foam__density=given)
    assert error.value.key == named


def test_a_grade_and_a_density_are_one_too_many(tmp_path):
    (tmp_path / "s.stl").write_bytes(b"")
    (tmp_path / "job.toml").write_text(BASE + 'density = "52 kg/m3"\n')
    with pytest.raises(JobError, match="not both"):
        read_job(tmp_path / "job.toml")
