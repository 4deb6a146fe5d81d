"""Any job file is read or refused by one sentence, whatever is in it."""

import math

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pourwright.errors import PourwrightError
from pourwright.intake import JobFile, read_job
from pourwright.intake.problems import table_in

VALUES = st.one_of(
    st.sampled_from(['"5 mm"', '"0 mm"', '"-1 in"', '"1e9 m"', '"72 degF"', '"9**9 m"', '"8 %"', '"rigid-3"', '"grp"']),
    st.sampled_from(
        ['"../x"', '"\\u0000"', "1979-05-27", '[["a"]]', '""', "[]", "[1, 2, 3]", "{}", "nan", "inf", "true"]
    ),
    st.text(max_size=20).map(lambda text: '"""' + text.replace("\\", "").replace('"', "") + '"""'),
    st.integers().map(str),
    st.floats().map(lambda value: repr(value) if math.isfinite(value) else "nan"),
)


def _keys(table, prefix=""):
    for name, field in table.model_fields.items():
        name = prefix + (field.alias or name)
        yield name
        inside = table_in(field.annotation)
        if inside is not None:
            yield from _keys(inside, f"{name}.")


KEYS = sorted(_keys(JobFile))
LINES = st.tuples(st.sampled_from([*KEYS, "wall.nonsense", "x", "piece.x.y"]), VALUES).map(" = ".join)
RIGHT = ['piece.shell = "piece.stl"', 'wall.thickness = "5 mm"', 'foam.grade = "rigid-3"']


def _try(tmp_path_factory, text):
    folder = tmp_path_factory.getbasetemp() / "job_files"
    folder.mkdir(exist_ok=True)
    (folder / "piece.stl").touch()
    path = folder / "job.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    said = None
    try:
        job = read_job(path)
    except PourwrightError as error:
        said = str(error)
    if said is not None:
        assert said.strip()
        assert len(said) < 2000
        assert "\n" not in said
        return None
    assert job.shell.name == "piece.stl"
    assert all(band.thickness_m > 0 for band in job.bands)
    assert math.isclose(math.hypot(*job.up), 1.0)
    return job


RELAXED = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@RELAXED
@given(st.lists(LINES, max_size=6))
def test_a_right_file_with_odd_lines(tmp_path_factory, lines):
    given_already = {line.split(" = ")[0] for line in lines}
    base = [line for line in RIGHT if line.split(" = ")[0] not in given_already]
    _try(tmp_path_factory, "\n".join([*base, *lines]))


@RELAXED
@given(st.one_of(st.text(max_size=300), st.binary(max_size=300)))
def test_anything_at_all(tmp_path_factory, text):
    assert _try(tmp_path_factory, text) is None


def test_the_right_lines_alone_are_read(tmp_path_factory):
    assert _try(tmp_path_factory, "\n".join(RIGHT)) is not None
