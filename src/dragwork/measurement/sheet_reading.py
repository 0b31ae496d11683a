"""Reading a sheet: from a file somebody saved to cells that are numbers, words, or faults.

Two kinds of trouble are kept apart. Where the file as a whole cannot be understood, SheetError is
raised. Where single cells or rows cannot, each becomes a Fault and the rest goes on. Nothing is
repaired: a cell that is not clear is named, never guessed.
"""

import csv
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from dragwork.quantities import Quantity

_RECOGNISED = 3  # a line that bears so many known names is the header; notes do not
_LARGEST = 5_000_000  # bytes; a day in a tunnel fills a hundredth of it
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−﹣－", "-") | dict.fromkeys("\u00a0\u2009\u202f", " "))
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?")
_NAME_AND_UNIT = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")


class SheetError(ValueError):
    """The file as a whole cannot be read as a sheet; the message says why and what to do."""


@dataclass(frozen=True)
class Fault:
    """Something wrong in a sheet, and what would mend it.

    Parameters
    ----------
    row : int
        Line of the file, counted as a spreadsheet shows it.
    column : str
        Heading of the column, as it stands in the file.
    what : str
        What is wrong.
    mend : str
        What would mend it.
    also : tuple of int
        Further rows that the same fault takes out of use.
    """

    row: int
    column: str
    what: str
    mend: str
    also: tuple = ()

    @property
    def rows(self):
        """All rows that this fault takes out of use."""
        return (self.row, *self.also)

    def __str__(self):
        return f"Row {self.row}, column '{self.column}': {self.what} {self.mend}"


@dataclass(frozen=True)
class Column:
    """What a sheet holds in one column.

    Parameters
    ----------
    field : str
        Name in the table of rows.
    name : str
        Heading without its unit; capitals, hyphens and underscores do not matter.
    units : mapping of str to callable, optional
        Units that the heading may bear in brackets, each with the function into SI.
    limits : Quantity, optional
        Allowed range in SI.
    words : mapping of str to str, optional
        Allowed entries, in small letters, and the word that each stands for.
    number : bool
        True for a number without a unit in its heading.
    optional : bool
        The column may be absent.
    blank : bool
        A cell may be empty.
    """

    field: str
    name: str
    units: Mapping[str, Callable] | None = None
    limits: Quantity | None = None
    words: Mapping[str, str] | None = None
    number: bool = False
    optional: bool = False
    blank: bool = False

    @property
    def heading(self):
        """As our own sheets write it: the name and the first unit."""
        return f"{self.name} [{next(iter(self.units))}]" if self.units else self.name

    @property
    def is_number(self):
        return self.number or self.units is not None

    def unit_in(self, heading):
        """The unit that a heading bears, as this column spells it; None if it is none of them."""
        unit = _split_heading(heading)[1]
        return next((u for u in self.units or () if u.casefold() == unit.casefold()), None)


@dataclass(frozen=True)
class SheetText:
    """A sheet as text: notes above the header, headings, and the cells of each column."""

    notes: tuple
    headings: dict
    rows: list
    cells: dict = field(repr=False)
    unread: tuple = ()

    def heading(self, column):
        """The heading of a column as it stands in the file."""
        return self.headings.get(column.field, column.heading)

    def has(self, column):
        """Whether the file has this column."""
        return column.field in self.headings

    def read(self, column):
        """A column's cells as SI numbers (nan where unclear) or words (''), and its faults."""
        if not self.has(column):
            return self._absent(column), []
        read_cell = self._number_reader(column) if column.is_number else self._word_reader(column)
        values, faults = [], []
        for row, cell in zip(self.rows, self.cells[column.field]):
            value, trouble = read_cell(cell)
            if trouble and not (cell == "" and column.blank):
                faults.append(Fault(row, self.heading(column), *trouble))
            values.append(value)
        return (np.array(values) if column.is_number else values), faults

    def half_digit(self, column):
        """Half of the last printed digit of a column [SI]: how far rounding may have moved it."""
        decimals = max(
            (len(cell.replace(",", ".").partition(".")[2]) for cell in self.cells[column.field]
             if _NUMBER.fullmatch(cell) and "e" not in cell.casefold()),
            default=0,
        )  # fmt: skip
        into_si = column.units[column.unit_in(self.heading(column))]
        return float(into_si(0.5 * 10.0**-decimals) - into_si(0.0))

    def _absent(self, column):
        nothing = np.nan if column.is_number else ""
        return np.full(len(self.rows), nothing) if column.is_number else [nothing] * len(self.rows)

    def _number_reader(self, column):
        unit = column.unit_in(self.heading(column)) if column.units else ""
        into_si = column.units[unit] if column.units else _as_it_is

        def read_cell(cell):
            if cell == "":
                return np.nan, ("is empty.", "Fill it in from the day's notes, or run it again.")
            number = as_number(cell)
            if number is None:
                return np.nan, (
                    f"'{_short(cell)}' is not a number.",
                    "Write the number alone; its unit belongs in the heading or unit column.",
                )
            value = float(into_si(number))
            if column.limits and not column.limits.allows(value):
                allowed = _range_in_words(column.limits, into_si, unit)
                return np.nan, (
                    f"{_short(cell)} {unit}".rstrip() + f" is outside the allowed range, {allowed}.",
                    "Compare it with its neighbours: a slipped decimal mark, or another unit?",
                )
            return value, None

        return read_cell

    def _word_reader(self, column):
        def read_cell(cell):
            if cell == "":
                return "", ("is empty.", f"Write {_choices(column)}.")
            if column.words is None:
                return cell, None
            word = column.words.get(cell.casefold(), "")
            trouble = (f"'{_short(cell)}' is not known here.", f"Write {_choices(column)}.")
            return word, None if word else trouble

        return read_cell


def read_text(path, columns):
    """Read a sheet's file as far as text, headings and cells.

    Commas, semicolons or tabs may part the columns; decimal points or commas are understood as
    long as the parting mark is another. Lines above the header are notes; blank lines are passed
    over; a byte-order mark is no matter.

    Parameters
    ----------
    path : str, path or open file
    columns : sequence of Column
        What the sheet may hold.

    Returns
    -------
    SheetText

    Raises
    ------
    SheetError
        Where the file cannot be read as such a sheet, in words.
    """
    lines = _lines(_decoded(_bytes(path)))
    try:
        start, delimiter = _find_header(lines, columns)
        source = io.StringIO("\n".join(lines[start:]), newline="")
        records = list(csv.reader(source, delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise SheetError(
            f"The file is not a clean CSV: {error}. Look for a quotation mark that is not closed, "
            "or export the sheet again as CSV."
        ) from None
    header = [cell.strip() for cell in records[0]]
    places, unread = _places(header, columns, start + 1)
    rows, filled = _filled(records, start, len(header), delimiter)
    cells = {
        name: [record[place] if place < len(record) else "" for record in filled]
        for name, place in places.items()
    }
    notes = tuple(line.strip().strip(delimiter) for line in lines[:start] if line.strip())
    headings = {name: header[place] for name, place in places.items()}
    return SheetText(notes, headings, rows, cells, unread)


def as_number(cell):
    """A cell as a float, with a point or a single comma as decimal mark; None if it is none."""
    if not _NUMBER.fullmatch(cell):
        return None
    number = float(cell.replace(",", "."))
    return number if np.isfinite(number) else None


def _bytes(source):
    """The content of a path or of an open file, text or binary."""
    try:
        if hasattr(source, "read"):
            data = source.read(_LARGEST + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(_LARGEST + 1)
        data = data.encode() if isinstance(data, str) else bytes(data)
    except (OSError, TypeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise SheetError(f"The sheet cannot be opened: {_short(str(source))}: {reason}.") from None
    if len(data) > _LARGEST:
        raise SheetError(f"The file is larger than {_LARGEST} bytes: that is no run sheet.")
    return data


def _decoded(data):
    if data[:4] == b"PK\x03\x04" or data[:4] == b"\xd0\xcf\x11\xe0":
        raise SheetError("This is a spreadsheet file. Open it and save the sheet as CSV.")
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    for encoding in ("utf-16",) if wide else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise SheetError("The file is not text. Export the sheet as CSV with UTF-8 encoding.")


def _lines(text):
    if not text.strip():
        raise SheetError("The file is empty. Save the sheet again as CSV.")
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _find_header(lines, columns):
    """Index of the header line and the mark that parts its columns."""
    names = {_plain(column.name) for column in columns}
    for index, line in enumerate(lines):
        for delimiter in ",;\t":
            cells = next(csv.reader([line], delimiter=delimiter), [])
            if sum(_plain(_split_heading(cell)[0]) in names for cell in cells) >= _RECOGNISED:
                return index, delimiter
    expected = ", ".join(column.heading for column in columns if not column.optional)
    raise SheetError(
        "No header was found: no line of the file names the columns, parted by commas, semicolons "
        f"or tabs. A sheet needs the columns {expected}."
    )


def _places(header, columns, row):
    """Where each column stands in the header, and the headings that nothing reads."""
    places, unread = {}, []
    for place, heading in enumerate(header):
        name = _plain(_split_heading(heading)[0])
        candidates = [column for column in columns if _plain(column.name) == name]
        if not candidates:
            unread += [heading] if heading else []
            continue
        column = _column_with_unit(heading, candidates, row)
        if column.field in places:
            raise SheetError(
                f"Row {row}: the column '{heading}' stands twice. Rename or delete one of them."
            )
        places[column.field] = place
    missing = [c.heading for c in columns if not c.optional and c.field not in places]
    if missing:
        found = f" Not understood: {', '.join(unread)}." if unread else ""
        raise SheetError(
            f"Row {row}: the header lacks the column {', '.join(missing)}.{found} "
            "Add it, with its unit in square brackets."
        )
    return places, tuple(unread)


def _column_with_unit(heading, candidates, row):
    for column in candidates:
        if column.units is None or column.unit_in(heading) is not None:
            return column
    allowed = ", ".join(f"[{unit}]" for column in candidates for unit in column.units)
    unit = _split_heading(heading)[1]
    trouble = f"bears the unit [{unit}], which is not known" if unit else "does not say its unit"
    raise SheetError(f"Row {row}: the column '{heading}' {trouble}. Give one of {allowed}.")


def _filled(records, start, width, delimiter):
    """Row numbers and cells of the records that hold anything."""
    rows, filled = [], []
    for row, record in enumerate(records[1:], start=start + 2):
        cells = [cell.translate(_DASHES).strip() for cell in record]
        if not any(cells):
            continue
        if any(cells[width:]):
            raise SheetError(_too_wide(row, len(cells), width, delimiter))
        rows.append(row)
        filled.append(cells)
    if not rows:
        raise SheetError(f"Row {start + 1} is a header, but no run stands below it.")
    return rows, filled


def _too_wide(row, found, width, delimiter):
    cause = {
        ",": "Commas part the columns here, so a decimal comma or a comma in a remark splits a "
        "cell in two, and nothing tells which. Export the sheet again with semicolons between the "
        "columns or with decimal points; text with commas needs quotation marks.",
    }.get(delimiter, "Look for a parting mark too many, or put text that holds one in quotes.")
    return f"Row {row} has {found} cells, but the header names {width} columns. {cause}"


def _split_heading(heading):
    match = _NAME_AND_UNIT.fullmatch(heading)
    return (match["name"], match["unit"].strip()) if match else (heading, "")


def _plain(name):
    return re.sub(r"[\s_-]+", " ", name).strip().casefold()


def _choices(column):
    return " or ".join(dict.fromkeys(column.words.values())) if column.words else "it in"


def _range_in_words(limits, into_si, unit):
    """The limits in the file's own unit; all units here are straight lines into SI."""
    zero, one = float(into_si(0.0)), float(into_si(1.0))
    low, high = ((limit - zero) / (one - zero) for limit in (limits.low, limits.high))
    return f"{low:.6g} to {high:.6g} {unit}".rstrip()


def _short(text):
    return text if len(text) <= 40 else text[:37] + "..."


def _as_it_is(value):
    return value
