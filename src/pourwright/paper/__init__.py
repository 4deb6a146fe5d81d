"""What a person reads: files, tables and pictures. Takes a ``Plan``; computes nothing."""

from pourwright.paper.compare_page import compare_json, draw_compare, print_compare
from pourwright.paper.cup_page import cup_json, draw_cup, print_cup
from pourwright.paper.document import SCHEMA, PlanDocument
from pourwright.paper.document_lifts import LandingDoc, LiftDoc, PourDoc, VentDoc
from pourwright.paper.document_parts import MeasuresDoc, RangeDoc
from pourwright.paper.float_page import float_page
from pourwright.paper.hang_page import hang_page
from pourwright.paper.installer_drawing import draw_float, draw_hang, draw_sling, draw_stand
from pourwright.paper.installer_files import add_gain, result_json, write_answer
from pourwright.paper.installer_pages import sling_page, stand_page, weights_page
from pourwright.paper.installer_words import made_from
from pourwright.paper.lists import (
    cited_json,
    cited_table,
    grades_table,
    materials_table,
    report_json,
    report_table,
)
from pourwright.paper.markdown import plan_markdown
from pourwright.paper.page import Page, page_markdown, print_page
from pourwright.paper.pictures_check import draw_check
from pourwright.paper.pictures_stiffness import draw_stiffness
from pourwright.paper.plan_json import plan_document, plan_json, read_plan_json
from pourwright.paper.plan_reading import piece_of, surface_of
from pourwright.paper.pours_csv import pours_csv
from pourwright.paper.record_words import issue_of, print_record, reading_words, yield_words
from pourwright.paper.sheet import Issue, sheet_html
from pourwright.paper.structure_page import stiffness_page, stiffness_refusals, stiffness_unknowns
from pourwright.paper.structure_reading import closed_limits, structure_job_of
from pourwright.paper.tables import plan_tables, print_plan
from pourwright.paper.turn_page import print_turn, turn_json, write_turn
from pourwright.paper.words import DO_NOT_POUR, status_words
from pourwright.paper.writing import check_folder, write_plan

__all__ = [
    "DO_NOT_POUR",
    "SCHEMA",
    "Issue",
    "LandingDoc",
    "LiftDoc",
    "MeasuresDoc",
    "Page",
    "PlanDocument",
    "PourDoc",
    "RangeDoc",
    "VentDoc",
    "add_gain",
    "check_folder",
    "cited_json",
    "cited_table",
    "closed_limits",
    "compare_json",
    "cup_json",
    "draw_check",
    "draw_compare",
    "draw_cup",
    "draw_float",
    "draw_hang",
    "draw_sling",
    "draw_stand",
    "draw_stiffness",
    "float_page",
    "grades_table",
    "hang_page",
    "issue_of",
    "made_from",
    "materials_table",
    "page_markdown",
    "piece_of",
    "plan_document",
    "plan_json",
    "plan_markdown",
    "plan_tables",
    "pours_csv",
    "print_compare",
    "print_cup",
    "print_page",
    "print_plan",
    "print_record",
    "print_turn",
    "read_plan_json",
    "reading_words",
    "report_json",
    "report_table",
    "result_json",
    "sheet_html",
    "sling_page",
    "stand_page",
    "status_words",
    "stiffness_page",
    "stiffness_refusals",
    "stiffness_unknowns",
    "structure_job_of",
    "surface_of",
    "turn_json",
    "weights_page",
    "write_answer",
    "write_plan",
    "write_turn",
    "yield_words",
]
