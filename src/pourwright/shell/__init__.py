"""Which surface is the skin, whether it can be trusted, how thick it is, what it is made of, where it is open."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.shell.flat.panels import flattest_panel, panels
    from pourwright.shell.flat.shape import Panel
    from pourwright.shell.flat.unroll import FlatPatch, unroll
    from pourwright.shell.gauge import NO_LOCAL_WALLS, LocalWalls, WallGauge, gauged
    from pourwright.shell.load import ShellReport, load_skin, shell_report
    from pourwright.shell.material import custom_material, material_names, skin_material
    from pourwright.shell.read import RawShell, read_shell
    from pourwright.shell.regions import WallRegion, check_regions, cut, inside_of, planes_of
    from pourwright.shell.sanitising import MEMORY_BYTES, MEMORY_BYTES_PER_TRIANGLE
    from pourwright.shell.scale import METRES
    from pourwright.shell.skin import MeshFinding, Opening, Skin, SkinKind, SkinMaterial, WallBand
    from pourwright.shell.wall import check_bands
    from pourwright.shell.words import MESH_SENTENCES
else:
    __getattr__ = offered(__name__)

__all__ = [
    "MEMORY_BYTES",
    "MEMORY_BYTES_PER_TRIANGLE",
    "MESH_SENTENCES",
    "METRES",
    "NO_LOCAL_WALLS",
    "FlatPatch",
    "LocalWalls",
    "MeshFinding",
    "Opening",
    "Panel",
    "RawShell",
    "ShellReport",
    "Skin",
    "SkinKind",
    "SkinMaterial",
    "WallBand",
    "WallGauge",
    "WallRegion",
    "check_bands",
    "check_regions",
    "custom_material",
    "cut",
    "flattest_panel",
    "gauged",
    "inside_of",
    "load_skin",
    "material_names",
    "panels",
    "planes_of",
    "read_shell",
    "shell_report",
    "skin_material",
    "unroll",
]
