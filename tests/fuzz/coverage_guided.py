"""A coverage-guided fuzzer on the readers of job and shell files: any bytes are a skin, a job or one sentence.

    pip install atheris
    python tests/fuzz/coverage_guided.py job 20000
    python tests/fuzz/coverage_guided.py stl 20000

The second word is what the bytes pretend to be (job, stl, ply, obj, off, glb, 3mf), the third how many inputs. It
starts from a small good file, mutates whatever reaches new branches, and ends the process with the input kept when
something other than the project's own errors comes out, one input takes over 300 s (compiled loops run as Python here,
a hundred times slower), or memory passes 2 GB.
"""

import io
import os
import sys
import tempfile
import zipfile
from pathlib import Path

import atheris

os.environ["NUMBA_DISABLE_JIT"] = "1"  # branches of compiled loops cannot be watched; these run as Python here

with atheris.instrument_imports(include=["pourwright", "trimesh.exchange"]):
    import numpy as np
    import trimesh

    from pourwright.errors import PourwrightError
    from pourwright.intake import read_job
    from pourwright.shell import WallBand, load_skin, skin_material

GOOD_JOB = b"""[piece]
name = "Ball"
shell = "ball.stl"
unit = "m"
material = "grp"
up = "+z"
[wall]
thickness = "5 mm"
[foam]
grade = "rigid-3"
[shop]
air = "18 degC"
largest_batch = "2 L"
"""
FOLDER = Path(tempfile.mkdtemp())
BANDS = (WallBand("", -np.inf, np.inf, 0.005),)


def one_job(data: bytes) -> None:
    path = FOLDER / "job.toml"
    path.write_bytes(data)
    said(lambda: read_job(path))


def one_shell(kind: str):
    path = FOLDER / f"piece.{kind}"

    def run(data: bytes) -> None:
        path.write_bytes(data)
        said(lambda: load_skin(path, unit="m", material=skin_material("grp"), bands=BANDS))

    return run


def said(read) -> None:
    try:
        read()
    except PourwrightError as error:
        if "\n" in str(error):
            raise RuntimeError(f"more than one line: {error}") from error


def seed(kind: str) -> bytes:
    ball = trimesh.creation.icosphere(subdivisions=1, radius=0.5)
    if kind == "3mf":
        pack = io.BytesIO()
        model = (
            '<?xml version="1.0"?><model unit="meter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
            '<resources><object id="1" type="model"><mesh><vertices>'
            + "".join(f'<vertex x="{x:.3f}" y="{y:.3f}" z="{z:.3f}"/>' for x, y, z in ball.vertices)
            + "</vertices><triangles>"
            + "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in ball.faces)
            + '</triangles></mesh></object></resources><build><item objectid="1"/></build></model>'
        )
        with zipfile.ZipFile(pack, "w") as file:
            file.writestr("3D/3dmodel.model", model)
        return pack.getvalue()
    made = ball.export(file_type=kind)
    return made.encode() if isinstance(made, str) else made


def main() -> None:
    kind, runs = sys.argv[1], int(sys.argv[2])
    trimesh.creation.icosphere(subdivisions=1, radius=0.5).export(FOLDER / "ball.stl")
    corpus = Path(tempfile.mkdtemp())
    (corpus / "good").write_bytes(GOOD_JOB if kind == "job" else seed(kind))
    options = [f"-runs={runs}", "-timeout=300", "-rss_limit_mb=2048", "-max_len=20000", "-seed=1", "-verbosity=0"]
    atheris.Setup([sys.argv[0], *options, str(corpus)], one_job if kind == "job" else one_shell(kind))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
