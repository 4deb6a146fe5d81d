"""``pourwright materials``: the skin materials that come with the program, and where their values come from."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output

NAME = "materials"


def run(
    material: Annotated[
        str | None,
        typer.Argument(metavar="MATERIAL", help="One material, with the source of every value.", show_default=False),
    ] = None,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """List the skin materials, or one of them with the source of every value."""
    from pourwright.report.lists import cited_json, cited_table, materials_table
    from pourwright.shell import material_names, skin_material

    materials = [skin_material(name) for name in ([material] if material else material_names())]
    if as_json:
        sys.stdout.write(cited_json(materials))
    else:
        table = cited_table(materials[0]) if material else materials_table(materials)
        output().print(table, highlight=False, markup=False)
    return 0
