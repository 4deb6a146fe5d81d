"""Which surface is the skin, whether it can be trusted, how thick it is, what it is made of, where it is open."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.shell.gauge import NO_LOCAL_WALLS, LocalWalls, WallGauge, gauged
    from pourwright.shell.load import load_skin, shell_report
    from pourwright.shell.material import custom_material, material_names, skin_material
    from pourwright.shell.rays import first_hits
    from pourwright.shell.read import RawShell, read_shell
    from pourwright.shell.regions import WallRegion, check_regions, cut, inside_of, planes_of
    from pourwright.shell.scale import METRES, length_words
    from pourwright.shell.skin import MeshFinding, Opening, Skin, SkinKind, SkinMaterial, WallBand
    from pourwright.shell.study import ShellReport
    from pourwright.shell.topology import areas, cone_volumes, corner_vectors, edges_of, mates_of
    from pourwright.shell.wall import check_bands
    from pourwright.shell.words import MESH_SENTENCES
else:
    __getattr__ = offered(__name__)

__all__ = [
    "MESH_SENTENCES",
    "METRES",
    "NO_LOCAL_WALLS",
    "LocalWalls",
    "MeshFinding",
    "Opening",
    "RawShell",
    "ShellReport",
    "Skin",
    "SkinKind",
    "SkinMaterial",
    "WallBand",
    "WallGauge",
    "WallRegion",
    "areas",
    "check_bands",
    "check_regions",
    "cone_volumes",
    "corner_vectors",
    "custom_material",
    "cut",
    "edges_of",
    "first_hits",
    "gauged",
    "inside_of",
    "length_words",
    "load_skin",
    "material_names",
    "mates_of",
    "planes_of",
    "read_shell",
    "shell_report",
    "skin_material",
]
