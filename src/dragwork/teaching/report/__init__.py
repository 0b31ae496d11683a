"""One page to show others: what a change of set-up saves this rider on this road, and how surely.

`build_report` carries what was measured through the library, draw by draw, and tells the outcome in
plain sentences. The page has no scripts and fetches nothing; printed, it is a page or two.
"""

from dragwork.teaching.report.evidence import (
    Evidence,
    FromField,
    FromNumbers,
    FromTunnel,
    PublishedArea,
    difference_in_words,
)
from dragwork.teaching.report.page import Found, Part, Report, Table, listed, look
from dragwork.teaching.report.words import build_report

__all__ = [
    "Evidence", "Found", "FromField", "FromNumbers", "FromTunnel", "Part", "PublishedArea", "Report", "Table", "build_report", "difference_in_words", "listed", "look",
]  # fmt: skip
