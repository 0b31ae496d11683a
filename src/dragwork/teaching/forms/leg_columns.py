"""The columns of a table of legs: what a box may hold, how it is read, and how it is written."""

from dataclasses import dataclass

import numpy as np

from dragwork import units
from dragwork.measurement.road import DESCENDING
from dragwork.teaching.answers import UNITS, parse_quantity
from dragwork.teaching.forms.flow import FormWords

MOST_ROWS = 30  # of boxes, a leg each; a road of more legs is summed up
LIMIT = f"{units.to_kmh(DESCENDING):.0f}"  # km/h on descents: what is proposed
KEEP, DROP = "keep", "drop"  # the ends of a ride
_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True)
class LegColumn:
    """What stands in one column of boxes: its field, words, unit and range in that unit.

    empty: what an empty box means, where it may be; digits: decimals of a summary, where four figures
    are finer than anybody types them.
    """

    field: str
    label: str
    unit: str
    low: float
    high: float
    empty: str = ""
    digits: int | None = None

    @property
    def heading(self):
        return f"{self.label} {UNITS[self.unit].printed}"

    def read(self, text):
        """What was typed, into SI; nan where the box may be empty and is."""
        text = str(text).strip()
        if not text and self.empty:
            return np.nan
        if self.unit == "deg" and text.upper() in _POINTS:
            return float(units.deg(45 * _POINTS.index(text.upper())))
        number = parse_quantity(text, self.unit)
        if not self.low <= number <= self.high:
            unit = UNITS[self.unit].printed
            raise ValueError(f"{number:g} {unit} is outside {self.low:g} to {self.high:g} {unit}.")
        return float(UNITS[self.unit].into_si(number))

    def text(self, value):
        """A value in SI as it stands in a box; empty where that means the same."""
        if np.isnan(value):
            return ""
        shown = float(UNITS[self.unit].out_of_si(value))
        shown = float(f"{shown:.4g}") if self.digits is None else round(shown, self.digits)
        text = f"{shown + 0.0:g}"  # no minus in front of a zero
        return "" if text == {"100": "100", "calm": "0"}.get(self.empty) else text


CELLS = tuple(LegColumn(**column) for column in FormWords("leg_columns.json").table["columns"])
BY_FIELD = {cell.field: cell for cell in CELLS}
