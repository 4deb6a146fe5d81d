"""What a person reads: files, tables and pictures. Takes a ``Plan``; computes nothing."""

from pourwright.paper.document import SCHEMA, PlanDocument
from pourwright.paper.lists import (
    cited_json,
    cited_table,
    grades_table,
    materials_table,
    report_json,
    report_table,
)
from pourwright.paper.markdown import plan_markdown
from pourwright.paper.plan_json import plan_document, plan_json, read_plan_json
from pourwright.paper.pours_csv import pours_csv
from pourwright.paper.tables import plan_tables, print_plan
from pourwright.paper.words import DO_NOT_POUR, status_words
from pourwright.paper.writing import check_folder, write_plan

__all__ = [
    "DO_NOT_POUR",
    "SCHEMA",
    "PlanDocument",
    "check_folder",
    "cited_json",
    "cited_table",
    "grades_table",
    "materials_table",
    "plan_document",
    "plan_json",
    "plan_markdown",
    "plan_tables",
    "pours_csv",
    "print_plan",
    "read_plan_json",
    "report_json",
    "report_table",
    "status_words",
    "write_plan",
]
