"""The case computed from what is held and what was measured: panels, joints, openings, consequences, cut list."""

from logbook.casework.cut_list import CutLine, SourcePiece, cut_list
from logbook.casework.finding import Consequence
from logbook.casework.held import HeldResult
from logbook.casework.lookup import mm
from logbook.casework.opening_words import show_area
from logbook.casework.panels import WorkedPanel
from logbook.casework.parts import RoughPart, rough_parts
from logbook.casework.reasons import panel_reasons
from logbook.casework.sizes import Flat, size_words
from logbook.casework.thickness_change import (
    FigureChange,
    MeasuredSheet,
    changes,
    followed,
    sheets_of,
    taken_over,
    with_thickness,
)
from logbook.casework.worked import WorkedCase, WorkedStrip, completed, worked_case

__all__ = [
    "Consequence",
    "CutLine",
    "FigureChange",
    "Flat",
    "HeldResult",
    "MeasuredSheet",
    "RoughPart",
    "SourcePiece",
    "WorkedCase",
    "WorkedPanel",
    "WorkedStrip",
    "changes",
    "completed",
    "cut_list",
    "followed",
    "mm",
    "panel_reasons",
    "rough_parts",
    "sheets_of",
    "show_area",
    "size_words",
    "taken_over",
    "with_thickness",
    "worked_case",
]
