"""Sheets of tags to print and cut: where everything stands [mm], and the PDF."""

from .draw import Label, sheet
from .layout import MOST, PAPERS, SIZES, Paper, Size

__all__ = ["MOST", "PAPERS", "SIZES", "Label", "Paper", "Size", "sheet"]
