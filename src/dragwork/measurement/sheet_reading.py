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
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np

from dragwork.escaping import a_name
from dragwork.quantities import Quantity

_RECOGNISED = 3  # a line that bears so many known names is the header; notes do not
_LARGEST = 5_000_000  # bytes; a day in a tunnel fills a hundredth of it
_MOST_LINES, _LONGEST_LINE, _LOOK = 20_000, 100_000, 1_000  # a day has some hundred rows
_NOT_SENT = b"dragwork: a file of "  # so begins what the page sends in place of a file that is too large
_LONGEST_HEADING = 100  # letters; what is longer is a remark
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−﹣－", "-") | dict.fromkeys("\u00a0\u2009\u202f", " "))
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?")
_IN_BRACKETS = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")

# How people write the units of a sheet, in small letters and without spaces.
_SPELLINGS = {
    "m/s": ("m/s", "ms-1", "ms^-1", "m/sec", "mps"),
    "km/h": ("km/h", "kmh", "km/hr", "kph", "kmh-1"),
    "deg": ("deg", "°", "degree", "degrees"),
    "degC": ("degc", "°c", "c", "celsius"),
    "K": ("k", "kelvin"),
    "hPa": ("hpa", "mbar", "mb", "millibar"),
    "kPa": ("kpa",),
    "Pa": ("pa", "pascal"),
    "%": ("%", "percent", "pct"),
    "m2": ("m2", "m²", "m^2"),
    "N": ("n", "newton", "newtons"),
    "g": ("g", "gf", "gram", "grams", "grams-force"),
    "kgf": ("kgf", "kg", "kilogram", "kilograms", "kilograms-force"),
}
_UNITS = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings}
_AT_THE_END = re.compile(
    r"(?P<name>.*?\w)(?:[\s,:/_]+|(?=[%°]))(?P<unit>deg ?c|m s-1|"
    + "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))
    + r")\.?",
    re.IGNORECASE,
)


_EXPORT_AGAIN = (
    "Export the sheet again with semicolons between the columns or with decimal points; text with "
    "commas needs quotation marks."
)


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
    synonyms : tuple of str
        Other names of the trade that are read as this column. One without a known unit is passed
        over: it may be another quantity.
    may_bear : tuple of str
        Units that the heading of a plain number may bear, for a reader that asks for them.
    """

    field: str
    name: str
    units: Mapping[str, Callable] | None = None
    limits: Quantity | None = None
    words: Mapping[str, str] | None = None
    number: bool = False
    optional: bool = False
    blank: bool = False
    synonyms: tuple = ()
    may_bear: tuple = ()

    @property
    def heading(self):
        """As our own sheets write it: the name and the first unit."""
        return f"{self.name} [{next(iter(self.units))}]" if self.units else self.name

    @property
    def is_number(self):
        return self.number or self.units is not None

    def unit_in(self, heading):
        """The unit that a heading bears, as this column spells it; None if it is none of them."""
        unit = split_heading(heading)[1].casefold()
        known = _UNITS.get(re.sub(r"\s+", "", unit))
        allowed = (*(self.units or ()), *self.may_bear)
        return next((u for u in allowed if u == known or u.casefold() == unit), None)

    def goes_by(self, name):
        """Whether a name, as `plain` writes it, is this column's or one of its synonyms."""
        return name in self._names

    @cached_property
    def _names(self):
        return {plain(own) for own in (self.name, *self.synonyms)}


@dataclass(frozen=True)
class SheetText:
    """A sheet as text: notes above the header, headings, and the cells of each column.

    `unread` are headings that nothing reads. `faults` are rows whose cells cannot be told apart;
    their cells are None, and no other fault is found in them. `beside` is a second, small table of
    the file, as a SheetText of its own.
    """

    notes: tuple
    headings: dict
    rows: list
    cells: dict = field(repr=False)
    unread: tuple = ()
    faults: tuple = ()
    beside: "SheetText | None" = None

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

    def last_digit(self, column):
        """One unit of the last printed digit of a column, in the file's own unit."""
        decimals = max(
            (len(cell.replace(",", ".").partition(".")[2]) for cell in self.cells[column.field]
             if cell and _NUMBER.fullmatch(cell) and "e" not in cell.casefold()),
            default=0,
        )  # fmt: skip
        return 10.0**-decimals

    def in_words(self, column, value):
        """A value in SI in the unit that the file's heading bears."""
        unit = column.unit_in(self.heading(column))
        zero, one = (float(column.units[unit](x)) for x in (0.0, 1.0))
        return f"{(value - zero) / (one - zero):.6g} {unit}"

    def _absent(self, column):
        nothing = np.nan if column.is_number else ""
        return np.full(len(self.rows), nothing) if column.is_number else [nothing] * len(self.rows)

    def _number_reader(self, column):
        unit = column.unit_in(self.heading(column)) if column.units else ""
        into_si = column.units[unit] if column.units else _as_it_is

        def read_cell(cell):
            if cell is None:
                return np.nan, None
            if cell == "":
                return np.nan, ("is empty.", "Fill it in, or run it again.")
            number = as_number(cell)
            if number is None:
                return np.nan, (
                    f"'{_short(cell)}' is not a number.",
                    "Write the number alone, its unit in the heading.",
                )
            value = float(into_si(number))
            if column.limits and not column.limits.allows(value):
                allowed = _range_in_words(column.limits, into_si, unit)
                return np.nan, (
                    f"{_short(cell)} {unit}".rstrip() + f" is outside the allowed range, {allowed}.",
                    "A slipped decimal mark, or another unit?",
                )
            return value, None

        return read_cell

    def _word_reader(self, column):
        def read_cell(cell):
            if cell is None:
                return "", None
            if cell == "":
                return "", ("is empty.", f"Write {_choices(column)}.")
            if column.words is None:
                return (cell, None) if column.blank else _name_in_a_cell(cell)
            word = column.words.get(cell.casefold(), "")
            trouble = (f"'{_short(cell)}' is not known here.", f"Write {_choices(column)}.")
            return word, None if word else trouble

        return read_cell


def read_text(path, columns, beside=()):
    """Read a sheet's file as far as text, headings and cells.

    Commas, semicolons or tabs may part the columns; decimal points or commas are understood as
    long as the parting mark is another. Lines above the header are notes; blank lines are passed
    over, and so is a header that is repeated; a byte-order mark is no matter.

    Parameters
    ----------
    path : str, path or open file
    columns : sequence of Column
        What the sheet may hold.
    beside : sequence of Column, optional
        What a second, small table in the same file may hold, above or below the first.

    Returns
    -------
    SheetText

    Raises
    ------
    SheetError
        Where the file cannot be read as such a sheet, in words.
    """
    lines = _lines(_decoded(file_content(path, _LARGEST)))
    _refuse_what_no_day_fills(lines)
    known = _names((*columns, *beside))
    try:
        start, delimiter = _find_header(lines, columns, known)
        _refuse_torn(lines[start : start + _LOOK], delimiter)
        source = io.StringIO("\n".join(lines[start:]), newline="")
        records = list(csv.reader(source, delimiter=delimiter, strict=True))
        above = list(csv.reader(lines[:start], delimiter=delimiter))
    except csv.Error as error:
        raise SheetError(
            f"The file is not a clean CSV: {error}. Look for a quotation mark that is not closed, "
            "or export the sheet again as CSV."
        ) from None
    tables = _tables(records, start, known)
    main = max(tables, key=lambda table: (_recognised(table.header, _names(columns)), len(table.records)))
    others = [table for table in tables if table is not main and table.holds_numbers]
    _refuse_runs_above(above, len(main.header))
    taken = {row for table in others for row in table.rows}
    notes = tuple(
        line.strip().strip(delimiter)
        for row, line in enumerate(lines[: main.row - 1], start=1)
        if line.strip() and row not in taken
    )
    second = _second_table(others, beside, delimiter)
    return _sheet_text(main, columns, delimiter, notes, second)


def as_number(cell):
    """A cell as a float, with a point or a single comma as decimal mark; None if it is none."""
    if not _NUMBER.fullmatch(cell):
        return None
    number = float(cell.replace(",", "."))
    return number if np.isfinite(number) else None


def file_content(source, most):
    """The content of a path or of an open file, text or binary, as bytes.

    Parameters
    ----------
    source : str, path or open file
    most : int
        Bytes; a larger file is not read to its end.

    Returns
    -------
    bytes

    Raises
    ------
    SheetError
        Where it cannot be opened, or is larger, in words.

    Source: COMMON_PRACTICE
    """
    try:
        if hasattr(source, "read"):
            data = source.read(most + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(most + 1)
        data = data.encode() if isinstance(data, str) else bytes(data)
    except (OSError, TypeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise SheetError(f"The file cannot be opened: {_short(str(source))}: {reason}.") from None
    if len(data) > most or data.startswith(_NOT_SENT):
        raise SheetError(
            f"The file is larger than {most // 10**6} MB: that is neither sheet nor ride. Export one "
            "day or one ride of it."
        )
    return data


def _decoded(data):
    if data[:4] == b"PK\x03\x04" or data[:4] == b"\xd0\xcf\x11\xe0":
        raise SheetError(
            "This is a spreadsheet file. Open it in the spreadsheet and save the sheet as CSV, with "
            "semicolons if its numbers have decimal commas."
        )
    for encoding in _encodings(data):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise SheetError("The file is not text. Export the sheet as CSV with UTF-8 encoding.")


def _encodings(data):
    """What the bytes may be: marked, or with every other byte 0 as western text of two bytes has."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return ("utf-16",)
    if data[1:2] == b"\0":
        return ("utf-16-le",)
    return ("utf-16-be",) if data[:1] == b"\0" else ("utf-8-sig", "cp1252")


def _lines(text):
    if not text.strip():
        raise SheetError("The file is empty. Save the sheet again as CSV.")
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _refuse_what_no_day_fills(lines):
    """A whole-file look before anything is taken apart, which costs a thousand times as much.

    Lines without a cell at the end, of which a spreadsheet may write a million, are dropped.
    """
    while len(lines) > 1 and not lines[-1].strip(",;\t "):
        lines.pop()
    if len(lines) > _MOST_LINES:
        raise SheetError(
            f"The file has {len(lines)} lines; a sheet has {_MOST_LINES} at the most. Export the rows "
            "of one day."
        )
    longest = max(lines, key=len)
    if len(longest) > _LONGEST_LINE:
        raise SheetError(
            f"Row {lines.index(longest) + 1} has {len(longest)} letters: that is no row of a sheet. Look "
            "for line breaks that are missing, or export the sheet again as CSV."
        )


def _refuse_torn(lines, delimiter):
    """A long file whose first thousand lines have not half of the cells that its header has."""
    needed = lines[0].count(delimiter) / 2
    torn = sum(line.count(delimiter) < needed for line in lines if line)
    if len(lines) == _LOOK and torn > 0.9 * _LOOK:
        raise SheetError(
            f"{torn} of the first {_LOOK} lines have not half of the cells that the header has. Export "
            "the sheet again as CSV."
        )


def _find_header(lines, columns, known):
    """Index of the first header line and the mark that parts the columns.

    The mark is that of the line which names most columns; a note may hold three of them, too.
    """
    named = {
        (index, delimiter): _recognised(next(csv.reader([line], delimiter=delimiter), []), known)
        for index, line in enumerate(lines)
        for delimiter in ",;\t"
        if delimiter in line
    }
    best = max(named, key=named.get, default=None)
    if best and named[best] >= _RECOGNISED:
        delimiter = best[1]
        return next(i for (i, d), n in named.items() if d == delimiter and n >= _RECOGNISED), delimiter
    expected = ", ".join(column.heading for column in columns if not column.optional)
    raise SheetError(
        "No header was found: no line of the file names the columns, parted by commas, semicolons "
        f"or tabs. A sheet needs the columns {expected}."
    )


def _names(columns):
    return {name for column in columns for name in column._names}


def _recognised(cells, names):
    """How many cells are headings with one of the names."""
    return sum(_name_in(cell) in names for cell in cells)


@lru_cache(maxsize=10_000)  # a sheet's cells say the same again and again
def _name_in(cell):
    return plain(split_heading(cell.strip())[0])


@dataclass(frozen=True)
class _Table:
    """A header, its row, and the records below it with theirs."""

    row: int
    header: list
    records: list

    @property
    def rows(self):
        return [self.row, *(row for row, _ in self.records)]

    @property
    def holds_numbers(self):
        """Words below a line that names three columns are notes, as that line is."""
        return any(sum(as_number(c) is not None for c in cells) > 1 for _, cells in self.records)


def _tables(records, start, known):
    """The tables of a file; one with the same header as an earlier one goes on with it."""
    tables = []
    for row, record in enumerate(records, start=start + 1):
        cells = [cell.translate(_DASHES).strip() for cell in record]
        if not any(cells):
            continue
        if _recognised(cells, known) < _RECOGNISED:
            tables[-1].records.append((row, cells))
            continue
        header = cells[: max(i for i, cell in enumerate(cells) if cell) + 1]
        earlier = next((table for table in tables if table.header == header), None)
        if earlier:  # goes on: rows that follow belong to it
            tables.remove(earlier)
        tables.append(earlier or _Table(row, header, []))
    return tables


def _refuse_runs_above(above, width):
    """Lines above the header are words; one that holds as many numbers as a run was put there."""
    for row, record in enumerate(above, start=1):
        numbers = sum(as_number(cell.translate(_DASHES).strip()) is not None for cell in record)
        if numbers > width / 3:
            raise SheetError(
                f"Row {row} stands above the header but looks like a run. Put the header first."
            )


def _second_table(others, columns, delimiter):
    """The small table beside, if the file has one; any other second table is refused."""
    if not others:
        return None
    required = [column for column in columns if not column.optional]
    for table in others:
        names = [plain(split_heading(cell)[0]) for cell in table.header]
        if not required or not all(any(map(c.goes_by, names)) for c in required):
            raise SheetError(
                f"Row {table.row} is a second header with other columns. Keep one table of runs in "
                "a file; save the other one apart."
            )
    if len(others) > 1:
        raise SheetError(f"Row {others[1].row} starts a third table. Keep two at most.")
    return _sheet_text(others[0], columns, delimiter)


def _sheet_text(table, columns, delimiter, notes=(), beside=None):
    places, unread = _places(table.header, columns, table.row)
    if not table.records:
        raise SheetError(f"Row {table.row} is a header, but no run stands below it.")
    width, rows, faults = len(table.header), [], []
    cells = {name: [] for name in places}
    for row, record in table.records:
        if any(record[width:]):
            raise SheetError(_too_wide(row, len(record), width, delimiter))
        torn = len(record) < width and delimiter != "\t"  # editors cut tabs off the end of a line
        if torn:
            faults.append(_torn(row, len(record), width, table.header[0]))
        rows.append(row)
        for name, place in places.items():
            cells[name].append(None if torn else record[place] if place < len(record) else "")
    if delimiter == ",":
        _refuse_undecidable(table, columns, places, cells, faults)
    headings = {name: table.header[place] for name, place in places.items()}
    return SheetText(notes, headings, rows, cells, unread, tuple(faults), beside)


def _torn(row, found, width, column):
    return Fault(
        row,
        column,
        f"the row has {found} cells, but the header names {width} columns: nothing tells which is "
        "missing.",
        "Leave a cell empty, but keep its parting mark.",
    )


def _refuse_undecidable(table, columns, places, cells, faults):
    """A comma may be a decimal mark too, where no number has a point and words are numbers."""
    numbers = [cell for _, record in table.records for cell in record if as_number(cell) is not None]
    if any(mark in number for number in numbers for mark in ".,"):
        return
    words = [c.field for c in columns if c.field in places and c.blank and not c.is_number]
    odd = any(as_number(cell) is not None for name in words for cell in cells[name] if cell)
    if odd or faults:
        raise SheetError(
            f"Row {table.row} and below: commas part the columns and may be decimal marks too; "
            f"nothing tells which. {_EXPORT_AGAIN}"
        )


def _places(header, columns, row):
    """Where each column stands in the header, and the headings that nothing reads."""
    places, unread = {}, []
    for place, heading in enumerate(header):
        name = plain(split_heading(heading)[0])
        candidates = [column for column in columns if column.goes_by(name)]
        column = _column_with_unit(heading, name, candidates, row) if candidates else None
        if column is None:
            unread += [heading] if heading else []
            continue
        if column.field in places:
            first = header[places[column.field]]
            twice = f"'{heading}' stands twice" if first == heading else (
                f"'{heading}' is read as the same as '{first}': it stands twice"
            )
            raise SheetError(f"Row {row}: the column {twice}. Rename or delete one of them.")
        places[column.field] = place
    missing = [c.heading for c in columns if not c.optional and c.field not in places]
    if missing:
        found = f" Not understood: {', '.join(unread)}." if unread else ""
        raise SheetError(
            f"Row {row}: the header lacks the column {', '.join(missing)}.{found} "
            "Add it, with its unit in square brackets."
        )
    return places, tuple(unread)


def _column_with_unit(heading, name, candidates, row):
    """The candidate whose unit the heading bears; None for a synonym without a known unit."""
    unit = split_heading(heading)[1]
    for column in candidates:
        bare = column.units is None and not (column.may_bear and unit)
        if bare or column.unit_in(heading) is not None:
            return column
    if name not in {plain(column.name) for column in candidates}:
        return None
    units = [u for column in candidates for u in (*(column.units or ()), *column.may_bear)]
    allowed = ", ".join(f"[{unit}]" for unit in units)
    trouble = f"bears the unit [{unit}], which is not known" if unit else "does not say its unit"
    raise SheetError(f"Row {row}: the column '{heading}' {trouble}. Give one of {allowed}.")


def _too_wide(row, found, width, delimiter):
    cause = (
        f"Commas part the columns here, so a decimal comma or a comma in a remark splits a cell in "
        f"two, and nothing tells which. {_EXPORT_AGAIN}"
        if delimiter == ","
        else "Look for a parting mark too many, or put text that holds one in quotes."
    )
    return f"Row {row} has {found} cells, but the header names {width} columns. {cause}"


def split_heading(heading):
    """A heading's name and the unit behind it, in brackets or not: 'drag [N]', 'T degC', 'RH %'."""
    if len(heading) > _LONGEST_HEADING:
        return heading, ""
    match = _IN_BRACKETS.fullmatch(heading) or _AT_THE_END.fullmatch(heading)
    return (match["name"].rstrip(" ,:/"), match["unit"].strip()) if match else (heading, "")


def plain(name):
    """A name in small letters, with single spaces for hyphens, dots and underscores."""
    return re.sub(r"[\s_.-]+", " ", name).strip().casefold()


def _name_in_a_cell(cell):
    """The name of a set-up as it is shown everywhere, and what is wrong with it."""
    try:
        return a_name(cell), None
    except ValueError as error:
        return "", (f"the name is too long. {error}", "Write the rest into the remarks.")


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
