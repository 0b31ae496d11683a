"""The hunt for bad rows: lines of a sheet as they stand in the file, and which of them to suspect."""

import csv
from dataclasses import dataclass

from dragwork.scenario import data_file
from dragwork.units import to_kmh

_AROUND = 2  # lines shown on either side of the bad one


@dataclass(frozen=True)
class Suspects:
    """Some lines of a sheet, one of them bad.

    Parameters
    ----------
    lines : list of dict
        For `telling.table`: heading to cell, as the file has it.
    bad : str
        Which of the options it is.
    options : tuple of str
        One a line, for a choice.
    """

    lines: list
    bad: str
    options: tuple

    @property
    def replies(self):
        """What there is to say to each option, for a choice."""
        right = "Yes, that is the one. The answer below says what gives it away."
        return {
            option: right if option == self.bad
            else f"No, nothing is wrong with {option}. Compare it with the others, then open the answer below."
            for option in self.options
        }  # fmt: skip


def suspects(name, sheet, column, headings):
    """The lines around the row that a sheet's fault in a column names.

    Parameters
    ----------
    name : str
        The data file.
    sheet : TunnelSheet
        The same file, read.
    column : str
        Heading of the fault's column.
    headings : sequence of str
        Which columns to show.

    Returns
    -------
    Suspects
    """
    (fault,) = (fault for fault in sheet.faults if fault.column == column)
    with data_file(name).open(encoding="utf-8", newline="") as file:
        records = list(csv.reader(file))
    header = next(record for record in records if column in record)
    first = records.index(header) + 2
    rows = range(max(first, fault.row - _AROUND), min(len(records), fault.row + _AROUND) + 1)
    lines = [
        {"row": row} | {h: records[row - 1][header.index(h)] or "(empty)" for h in headings}
        for row in rows
    ]
    return Suspects(lines, f"row {fault.row}", tuple(f"row {row}" for row in rows))


def drifting_suspects(sheet, column):
    """The repeats of all set-ups where the repeats of one drift, in the order run.

    Parameters
    ----------
    sheet : TunnelSheet
    column : str
        Heading of the fault's column.

    Returns
    -------
    Suspects
    """
    (fault,) = (fault for fault in sheet.faults if fault.column == column)
    rows = sheet.rows.sort_values("order")
    place = rows[rows.row == fault.row].iloc[0]
    there = rows[(rows.speed_setting == place.speed_setting) & (rows.yaw_setting == place.yaw_setting)]
    lines = [
        {"set-up": name, "tunnel speed": f"{to_kmh(place.speed_setting):.0f} km/h"}
        | {f"repeat {n}": f"{a:.4f} m²" for n, a in enumerate(runs.drag_area, start=1)}
        for name, runs in there.groupby("set_up", sort=False)
    ]
    return Suspects(lines, place.set_up, tuple(line["set-up"] for line in lines))
