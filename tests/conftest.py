"""Hand-made cavities (a mask of cells is all a level graph needs), skins, pieces of a few lumps, a browser."""

from __future__ import annotations

import base64
import dataclasses
import importlib.util
import itertools
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Cavity, Grid, build_levels, pour_frame
from pourwright.intake.day_table import DayTable
from pourwright.shell import Opening, Skin, SkinKind, SkinMaterial, WallBand

os.environ["POURWRIGHT_KEPT"] = "no"  # what a test checks is made, not read back

_rules, _asks = DayTable.rules, {"search": False}


def _quick_rules(table):
    """Even bands where a test's job does not say: a search for every plan of every test would take hours."""
    rules = _rules(table)
    return rules if "search" in table.model_fields_set else dataclasses.replace(rules, search=_asks["search"])


DayTable.rules = _quick_rules


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item):
    _asks["search"] = item.get_closest_marker("default_day") is not None


def _cavity(mask, cell):
    mask = np.asarray(mask, bool)
    size = np.array(mask.shape) * cell
    frame = pour_frame(np.array([[0.0, 0, 0], size]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    volume = float(mask.sum()) * cell**3
    return Cavity(
        grid=Grid(np.zeros(3), cell, mask.shape),
        frame=frame,
        fraction=(mask * 255).astype(np.uint8),
        volume_m3=volume,
        volume_low_m3=volume,
        volume_high_m3=volume,
        stray_voids=0,
        stray_voids_m3=0.0,
        stray_void_limit_m3=0.0,
        method="by hand",
    )


@pytest.fixture(scope="session")
def cells():
    """``cells(mask, cell, ripple)`` -> cavity and level graph of a boolean mask (nx, ny, nz)."""

    def make(mask, cell=0.01, ripple=None):
        cavity = _cavity(mask, cell)
        return cavity, build_levels(cavity, ripple_m=ripple)

    return make


def _mask(shape, *boxes):
    out = np.zeros(shape, bool)
    for x0, x1, y0, y1, z0, z1 in boxes:
        out[x0:x1, y0:y1, z0:z1] = True
    return out


@pytest.fixture(scope="session")
def shapes():
    """Masks by name, cells of any size: what the planner has to understand."""
    return {
        "column": _mask((10, 10, 40), (0, 10, 0, 10, 0, 40)),
        # two legs, joined from level 30 on
        "legs": _mask((30, 10, 60), (0, 8, 0, 10, 0, 30), (20, 30, 0, 10, 0, 30), (0, 30, 0, 10, 30, 60)),
        # a tip that begins at level 20 beside the trunk and joins it at level 40
        "horn": _mask((30, 10, 60), (0, 12, 0, 10, 0, 60), (20, 26, 0, 10, 20, 40), (0, 26, 0, 10, 40, 50)),
        "hourglass": _mask((20, 20, 60), (0, 20, 0, 20, 0, 25), (8, 12, 8, 12, 25, 35), (0, 20, 0, 20, 35, 60)),
        # two uprights and a bar between them at mid height
        "h": _mask((40, 10, 60), (0, 10, 0, 10, 0, 60), (30, 40, 0, 10, 0, 60), (0, 40, 0, 10, 25, 35)),
        "arch": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 40, 50)),
        "u": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 0, 10)),
    }


def _skin(mesh, wall_m=None, *, kind=SkinKind.OUTSIDE, void=None, cap=None, bands=None, spread=0.1, clean=True):
    n = len(mesh.faces)
    cap = np.zeros(n, bool) if cap is None else np.asarray(cap, bool)
    if bands is None:
        bands = () if wall_m is None else (WallBand("wall", -np.inf, np.inf, wall_m, spread),)
    openings = ()
    if cap.any():
        corners = mesh.vertices[mesh.faces[cap]].reshape(-1, 3)
        normal = mesh.face_normals[cap][0]
        openings = (Opening("opening 1", corners, corners.mean(axis=0), normal, float(mesh.area_faces[cap].sum())),)
    return Skin(
        source="test.stl",
        sha256="0" * 64,
        unit="m",
        kind=kind,
        kind_reason="as the test says",
        vertices_m=np.asarray(mesh.vertices, float),
        faces=np.asarray(mesh.faces, np.int64),
        cap_opening=np.where(cap, 0, -1).astype(np.int32),
        void_face=np.zeros(n, bool) if void is None else np.asarray(void, bool),
        openings=openings,
        bands=bands,
        material=SkinMaterial("test", "test", 1500.0, 7e9, 0.3, 5e6, 353.15, 1200.0, 0.2, True, {}),
        triangles=n,
        watertight=True,
        area_m2=float(mesh.area),
        enclosed_m3=float(mesh.volume),
        findings=(),
        clean=clean,
    )


@pytest.fixture(scope="session")
def skin_of():
    """``skin_of(mesh, wall_m, kind=, void=, cap=, bands=)``: a skin from a closed mesh in metres, without a file.

    ``cap`` and ``void`` mark the faces of caps and of voids; ``clean=False`` has the inside voted.
    """
    return _skin


@pytest.fixture(scope="session")
def open_holes():
    """The module ``tests/meshes/open_holes.py``."""
    spec = importlib.util.spec_from_file_location("open_holes", Path(__file__).parent / "meshes" / "open_holes.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def stand():
    """``stand(skin, up, front)`` -> pour frame."""

    def make(skin, up=(0.0, 0.0, 1.0), front=(0.0, -1.0, 0.0)):
        return pour_frame(skin.vertices_m, np.asarray(up, float), np.asarray(front, float))

    return make


def _part(kg, at, kind="item", after_lift=0, name=None, spread=None):
    from pourwright.outcome import Part
    from pourwright.ranges import Range

    kg = kg if isinstance(kg, Range) else Range.exact(float(kg))
    spread = np.zeros((3, 3)) if spread is None else spread
    return Part(name or f"{kind} {at}", kind, after_lift, kg, kg, kg, "", np.array(at, float), spread)


def _piece(parts, site=None, mesh=None, front=(0.0, -1.0, 0.0)):
    from pourwright.outcome import FoamSolid, Piece, Site, Surface
    from pourwright.ranges import Range

    mesh = trimesh.creation.box((1.0, 0.5, 1.0)) if mesh is None else mesh
    frame = pour_frame(mesh.vertices, np.array([0.0, 0, 1]), np.array(front))
    piece = Piece(
        name="Test",
        place="",
        frame=frame,
        parts=tuple(parts),
        site=site or Site(),
        foam=FoamSolid("rigid-3", Range(0.18, 0.2, 0.22), Range(45.0, 50.0, 55.0), 276e3, 200e3, 48.0),
        skin_title="test",
        skin_kg_m3=1500.0,
        enclosed_m3=float(mesh.volume),
        area_m2=float(mesh.area),
        open_ends=0,
    )
    surface = Surface(np.asarray(mesh.vertices, float), np.asarray(mesh.faces), np.zeros(len(mesh.faces), bool))
    return piece, surface


@pytest.fixture(scope="session")
def lump():
    """``lump(kg, at, kind, after_lift)`` -> a part whose mass is in one point."""
    return _part


@pytest.fixture(scope="session")
def made():
    """``made(parts, site, mesh)`` -> piece and surface; a box 1 x 0.5 x 1 m about the origin without a mesh."""
    return _piece


class _Browser:
    """A headless Chromium, spoken to over a pipe; every page is new, and what it logs is kept."""

    def __init__(self, program, profile, *more):
        to_it, ours = os.pipe()
        theirs, from_it = os.pipe()
        # It reads descriptor 3 and writes 4; ours are put there on the way, whatever numbers they have.
        move = (
            "import fcntl, os, sys; a, b = (fcntl.fcntl(int(n), fcntl.F_DUPFD, 10) for n in sys.argv[1:3]);"
            "os.dup2(a, 3); os.dup2(b, 4); os.execv(sys.argv[3], sys.argv[3:])"
        )
        self._process = subprocess.Popen(
            [
                sys.executable, "-c", move, str(to_it), str(from_it),
                program, "--headless", "--no-sandbox",
                "--remote-debugging-pipe", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
                "--hide-scrollbars", "--allow-file-access-from-files", f"--user-data-dir={profile}",
                *more,
            ],
            pass_fds=(to_it, from_it), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(to_it)
        os.close(from_it)
        self._out, self._in = os.fdopen(ours, "wb"), os.fdopen(theirs, "rb")
        self._numbers, self._held = itertools.count(1), b""
        self.logged, self._loaded = [], False

    def _ask(self, method, session=None, **values):
        number = next(self._numbers)
        asked = {"id": number, "method": method, "params": values, **({"sessionId": session} if session else {})}
        self._out.write(json.dumps(asked).encode() + b"\0")
        self._out.flush()
        while True:
            said = self._next()
            if said.get("id") == number:
                assert "error" not in said, said
                return said["result"]

    def _next(self):
        while b"\0" not in self._held:
            more = os.read(self._in.fileno(), 1 << 20)
            assert more, "the browser has gone"
            self._held += more
        text, self._held = self._held.split(b"\0", 1)
        said = json.loads(text)
        kind = said.get("method", "")
        if kind in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded"):
            self.logged.append(json.dumps(said["params"])[:2000])
        self._loaded |= kind == "Page.loadEventFired"
        return said

    def open(self, path, wide=1280, high=800, media=""):
        """Load a file in a new page of that many pixels, as on a screen or with ``media="print"``."""
        self.logged = []
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        self._page = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self._ask(f"{domain}.enable", self._page)
        self._ask(
            "Emulation.setDeviceMetricsOverride", self._page,
            width=wide, height=high, deviceScaleFactor=1, mobile=wide < 600,
        )  # fmt: skip
        self._ask("Emulation.setEmulatedMedia", self._page, media=media)
        self._loaded = False
        self._ask("Page.navigate", self._page, url=path.as_uri())
        while not self._loaded:
            self._next()

    def reload(self):
        """Load the same page again in the same tab."""
        self._loaded = False
        self._ask("Page.reload", self._page)
        while not self._loaded:
            self._next()

    def run(self, script):
        """The value of a script, which may be a promise."""
        said = self._ask("Runtime.evaluate", self._page, expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in said, said
        return said["result"].get("value")

    def picture(self, path):
        """Save what is seen as PNG."""
        path.write_bytes(base64.b64decode(self._ask("Page.captureScreenshot", self._page)["data"]))
        return path

    def paper(self, path, wide_in, high_in):
        """Print to a PDF with paper of that size; the page's own margins."""
        said = self._ask(
            "Page.printToPDF", self._page,
            paperWidth=wide_in, paperHeight=high_in, preferCSSPageSize=False, printBackground=True,
        )  # fmt: skip
        path.write_bytes(base64.b64decode(said["data"]))
        return path

    def close(self):
        self._out.close()
        try:
            self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
        self._in.close()


def _chromium():
    names = ("chromium", "chromium-browser", "google-chrome")
    program = next((found for name in names if (found := shutil.which(name))), None)
    if program is None or os.name != "posix":
        pytest.skip(f"needs one of {', '.join(names)}")
    return program


@pytest.fixture(scope="session")
def browser(tmp_path_factory):
    """A real browser, or the test is skipped: ``open``, ``run``, ``picture``, ``paper``, ``logged``."""
    made = _Browser(_chromium(), tmp_path_factory.mktemp("profile"))
    yield made
    made.close()


@pytest.fixture
def flat_browser(tmp_path):
    """As ``browser``, without WebGL."""
    made = _Browser(_chromium(), tmp_path / "profile", "--disable-3d-apis")
    yield made
    made.close()


@pytest.fixture(scope="session")
def stool_plan(tmp_path_factory):
    """A real plan of a small round body on two legs, 0.6 m tall: two pools that join, made in a second or two."""
    import trimesh

    from pourwright.intake import job_from_shell
    from pourwright.plan import make_plan

    body = trimesh.creation.icosphere(subdivisions=4, radius=1.0)
    body.apply_scale((0.26, 0.16, 0.15))
    body.apply_translation((0.0, 0.0, 0.44))
    legs = [trimesh.creation.capsule(0.28, 0.05, count=[24, 24]) for _ in range(2)]
    for leg, x in zip(legs, (-0.075, 0.075), strict=True):
        leg.apply_translation((x, 0.0, 0.19))
    path = tmp_path_factory.mktemp("stool") / "stool.stl"
    trimesh.boolean.union([body, *legs], engine="manifold").export(path)
    asked = {"piece.unit": "m", "piece.name": "Stool", "piece.place": "Test bench", "wall.thickness": "5 mm"}
    return make_plan(
        job_from_shell(path, {**asked, "foam.grade": "rigid-3", "grid.cell": "8 mm", "structure.triangles": 1500})
    )


@pytest.fixture(scope="session")
def shell_of(tmp_path_factory):
    """A mesh in metres as a skin of one wall, and its cavity."""
    from pourwright.cavity import build_cavity
    from pourwright.shell import load_skin, skin_material

    def make(mesh, wall_m, cell_m):
        path = tmp_path_factory.mktemp("shell") / "shell.ply"
        mesh.export(path)
        band = WallBand("wall", -np.inf, np.inf, wall_m, 0.1)
        skin = load_skin(path, unit="m", material=skin_material("grp"), bands=(band,))
        frame = pour_frame(skin.vertices_m, np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
        return skin, build_cavity(skin, frame, cell_m=cell_m)

    return make


@pytest.fixture(scope="session")
def two_balls():
    """Two balls of half a metre, joined by a pipe of a radius."""

    def make(pipe_m):
        ball = trimesh.creation.icosphere(3, 0.25)
        pipe = trimesh.creation.cylinder(pipe_m, 1.0).apply_translation([0, 0, 0.5])
        return trimesh.boolean.union([ball, ball.copy().apply_translation([0, 0, 1.0]), pipe])

    return make
