"""``plan.json`` read back and checked against its schema."""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import ValidationError

from pourwright.document.model import SCHEMA, PlanDocument
from pourwright.document.renamed import with_new_keys
from pourwright.document.replacement import plan_file
from pourwright.errors import FileError


def read_plan_json(path: Path | str) -> PlanDocument:
    """A plan made earlier.

    Parameters
    ----------
    path : path
        ``plan.json``, or the folder that holds it.

    Raises
    ------
    FileError
        It cannot be read, or is no plan of this schema.

    Changes nothing. Where a killed program has begun to change the folder to another plan, that is the plan.
    """
    path, data = plan_file(path)
    document = document_of(data)
    if document is None:
        raise FileError(f"{path} is not a plan in the schema {SCHEMA}: make the plan again.")
    return document


def document_of(data: bytes) -> PlanDocument | None:
    """A plan as it is written today, or by the version before, whose keys had other names; None: no plan."""
    try:
        return PlanDocument.model_validate_json(data)
    except ValidationError as error:
        if error.errors(include_url=False)[0]["type"] == "json_invalid":
            return None
    try:
        return PlanDocument.model_validate_json(json.dumps(with_new_keys(json.loads(data))))
    except ValidationError:
        return None
