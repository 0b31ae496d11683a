"""One page to show others: what a change of set-up saves this rider on this road, and how surely.

`build_report` carries what was measured through the library, draw by draw, and tells the outcome in
plain sentences. The page has no scripts and fetches nothing; printed, it is a page or two.
"""

from dragwork.teaching.report.evidence import FromField, FromNumbers, FromTunnel, PublishedArea
from dragwork.teaching.report.page import Found, Part, Report, Table, listed
from dragwork.teaching.report.words import build_report

__all__ = [
    "Found", "FromField", "FromNumbers", "FromTunnel", "Part", "PublishedArea", "Report", "Table", "build_report", "listed",
]  # fmt: skip
