"""Reading a sheet: from a file somebody saved to cells that are numbers, words, or faults.

Two kinds of trouble are kept apart. Where the file as a whole cannot be understood, SheetError is
raised. Where single cells or rows cannot, each becomes a Fault and the rest goes on. Nothing is
repaired: a cell that is not clear is named, never guessed. What is read as people write it (units
in cells, marks of thousands, merged cells) is said in `SheetText.assumed`.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib.resources import files

import numpy as np

from dragwork.escaping import a_name
from dragwork.measurement.sheet_file import (
    LARGEST,
    MOST_LINES,
    SheetError,
    Unanswered,
    file_content,
    texts_of,
)
from dragwork.quantities import Quantity
from dragwork.units import unit_of, units_written

__all__ = [
    "Column", "Fault", "NoHeader", "SheetError", "SheetText", "Unanswered", "as_number", "file_content", "plain",
    "known_headings", "read_text", "split_heading", "stated_above",
]  # fmt: skip

_RECOGNISED = 3  # a line that bears so many known names is the header; notes do not
_FEW = 4  # a table of so few columns may have a header of two names
_LONGEST_LINE, _LOOK = 100_000, 1_000
_LONGEST_HEADING = 100  # letters; what is longer is a remark
_MERGED = 1 / 3  # of the cells: so many are empty at least, where cells were merged
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−﹣－", "-") | dict.fromkeys("\u00a0\u2009\u202f", " "))
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?")
_WITH_UNIT = re.compile(r"(?P<number>[+-]?[0-9][0-9.,' ]*?)\s*(?P<unit>[^\W\d_]\S*(?: [^\W\d]\S*)?|[%°]\s?\w?)")
_IN_BRACKETS = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")
_BEFORE_A_UNIT = re.compile(r"[\s,:/_]+|(?=[%°])")
# A number with marks of thousands: the mark, and the decimal mark with it.
_THOUSANDS = [
    (mark, decimal, re.compile(rf"[+-]?[0-9]{{1,3}}(?:{re.escape(mark)}[0-9]{{3}})+(?:{re.escape(decimal)}[0-9]+)?"))
    for mark, decimal in ((",", "."), (".", ","), (" ", "."), (" ", ","), ("'", "."), ("’", "."))
]  # fmt: skip

_EXPORT_AGAIN = (
    "Export the sheet again with semicolons between the columns or with decimal points; text with "
    "commas needs quotation marks."
)


def _header_words():
    """Field of a column to the words for it in German, French and Spanish, from a table."""
    text = files("dragwork.measurement").joinpath("header_words.csv").read_text(encoding="utf-8")
    words = {}
    for row in csv.DictReader(io.StringIO(text)):
        words.setdefault(row["field"], []).extend(row["words"].split("; "))
    return words


class NoHeader(SheetError):
    """No line of the file names the columns."""


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
        Name in the table of rows. `header_words.csv` has its words in other languages.
    name : str
        Heading without its unit; capitals, hyphens and underscores do not matter.
    units : sequence of str, optional
        Units that the heading may bear, as `dragwork.units` names them, our own first; every other
        unit of the same kind is read too.
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
    alone : bool
        Units of the same kind that are not named are another column's.
    usual : str
        The unit where nothing says it, for a quantity that people write in no other.
    plausible : Quantity, optional
        Values [SI] that are met with, to see whether a comma is a decimal mark; else the limits.
    carried : bool
        An empty cell below a merged one has its value.
    first_words : bool
        Where no heading is this column's, the first column of words that nothing reads is.
    """

    field: str
    name: str
    units: Iterable | None = None
    limits: Quantity | None = None
    words: dict | None = None
    number: bool = False
    optional: bool = False
    blank: bool = False
    synonyms: tuple = ()
    may_bear: tuple = ()
    alone: bool = False
    usual: str = ""
    plausible: Quantity | None = None
    carried: bool = False
    first_words: bool = False

    @property
    def heading(self):
        """As our own sheets write it: the name and the first unit."""
        return f"{self.name} [{self._own[0]}]" if self.units else self.name

    @property
    def is_number(self):
        return self.number or self.units is not None

    @cached_property
    def _own(self):
        return (*(self.units or ()), *self.may_bear)

    @cached_property
    def measures(self):
        """The kind of its units: 'speed', 'force'; '' where it has none."""
        return units_written(self._own[0])[0].measures if self._own else ""

    def unit_in(self, heading):
        """The unit that a heading bears, as this column spells it; None if it is none of them."""
        return self.unit_written(split_heading(heading)[1])

    def unit_written(self, spelling):
        """The unit that is written so, as this column spells it; None if it is none of them."""
        unit = unit_of(spelling, self.measures) if self._own and spelling else None
        if unit is None:
            return None
        own = {unit_of(name, self.measures).name: name for name in self._own}
        return own.get(unit.name, None if self.alone else unit.name)

    def into_si(self, number, unit):
        """A number in one of its units, in SI; as it is without a unit."""
        return unit_of(unit, self.measures).into_si(number) if unit else np.asarray(number)

    def goes_by(self, name):
        """Whether a name, as `plain` writes it, is this column's or one of its synonyms."""
        return name in self._names or _main_words(name) in self._names

    @cached_property
    def _names(self):
        words = _HEADER_WORDS.get(self.field, ())
        return {plain(own) for own in (self.name, *self.synonyms, *words)}


@dataclass(frozen=True)
class SheetText:
    """A sheet as text: notes above the header, headings, and the cells of each column.

    `unread` are headings that nothing reads. `faults` are rows whose cells cannot be told apart;
    their cells are None, and no other fault is found in them. `beside` is a second, small table of
    the file, as a SheetText of its own. `assumed` are sentences on how cells were read.
    """

    notes: tuple
    headings: dict
    rows: list
    cells: dict = field(repr=False)
    unread: tuple = ()
    faults: tuple = ()
    beside: "SheetText | None" = None
    assumed: tuple = ()

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
        unit = column.unit_in(self.heading(column)) or column.usual
        return f"{unit_of(unit, column.measures).out_of_si(float(value)):.6g} {unit}"

    def _absent(self, column):
        nothing = np.nan if column.is_number else ""
        return np.full(len(self.rows), nothing) if column.is_number else [nothing] * len(self.rows)

    def _number_reader(self, column):
        unit = (column.unit_in(self.heading(column)) or column.usual) if column.units else ""

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
            value = float(column.into_si(number, unit))
            if column.limits and not column.limits.allows(value):
                return np.nan, (
                    f"{_short(cell)} {unit}".rstrip()
                    + f" is outside the allowed range, {_range_in_words(column, unit)}.",
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
            if column.may_bear:  # the word is a unit
                word = column.unit_written(cell) or ""
            elif column.words is None:
                return (cell, None) if column.blank else _name_in_a_cell(cell)
            else:
                word = column.words.get(plain(cell), "")
            trouble = (f"'{_short(cell)}' is not known here.", f"Write {_choices(column)}.")
            return word, None if word else trouble

        return read_cell


def read_text(path, columns, beside=()):
    """Read a sheet's file as far as text, headings and cells.

    A spreadsheet is read at the first of its sheets that has a header. In text commas, semicolons or
    tabs may part the columns; decimal points or commas are understood as long as the parting mark is
    another. Lines above the header are notes; blank lines are passed over, and so is a header that
    is repeated; a byte-order mark is no matter. Units may be in the headings, in a row of their own
    below them, or in the cells.

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
    known = _names((*columns, *beside))
    lines, start, delimiter = _with_header(path, columns, known)
    try:
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
    said = [table for table in others if table.says_once(columns)]
    others = [table for table in others if table not in said]
    _refuse_runs_above(above, len(main.header), known)
    taken = {row for table in others for row in table.rows}
    notes = tuple(
        line.strip().strip(delimiter)
        for row, line in enumerate(lines[: main.row - 1], start=1)
        if line.strip() and row not in taken
    )
    notes += tuple(f"{h}: {x}" for table in said for h, x in zip(table.header, table.records[0][1]))
    second = _second_table(others, beside, delimiter)
    return _sheet_text(main, columns, delimiter, notes, second)


def known_headings(path, columns):
    """The headings of a file that name one of the columns, with those that do not.

    Parameters
    ----------
    path : str, path or open file
    columns : sequence of Column

    Returns
    -------
    (list of str, list of str)

    Raises
    ------
    SheetError
        Where no line of the file is a header, in words.

    Source: COMMON_PRACTICE
    """
    known = _names(columns)
    lines, start, delimiter = _with_header(path, columns, known)
    header = [cell.strip() for cell in next(csv.reader([lines[start]], delimiter=delimiter), [])]
    named = [cell for cell in header if _name_in(cell) in known]
    return named, [cell for cell in header if cell and cell not in named]


def stated_above(notes, columns):
    """What the lines above a header state once for all rows: 'Temperature: 18.5 C, 1009 hPa, 45 %'.

    A value counts by the name before it, or by a unit that no other quantity has. Where two values
    are given nothing tells which holds.

    Parameters
    ----------
    notes : sequence of str
    columns : sequence of Column

    Returns
    -------
    dict of str to float
        Field to value [SI], within the limits of its column.

    Source: COMMON_PRACTICE
    """
    found = {}
    for note in notes:
        line = note.translate(_DASHES)
        for match in _STATED.finditer(line):
            name, unit = split_heading(match["label"].strip())
            named = [column for column in columns if column.goes_by(plain(name))]
            unit = match["unit"] or unit
            for column in named or [c for c in columns if _only_measure(c, columns, line)]:
                spelt = column.unit_written(unit) or (column.usual if named and not match["unit"] else "")
                value = float(column.into_si(as_number(match["number"]), spelt)) if spelt else np.nan
                if column.limits.allows(value):
                    found.setdefault(column.field, set()).add(value)
                    break
    return {name: values.pop() for name, values in found.items() if len(values) == 1}


def _only_measure(column, columns, line):
    """Whether a unit alone says that a value is this column's; percent does in a line of weather."""
    if column.measures == "plain number":
        others = [c for c in columns if c.measures in _WEATHER_UNITS]
        return any(c.unit_written(m["unit"]) for m in _STATED.finditer(line) if m["unit"] for c in others)
    return column.measures in _WEATHER_UNITS


_WEATHER_UNITS = ("temperature", "pressure", "density")
_STATED = re.compile(
    r"(?P<label>(?:[^\W\d][^:=;\t,\d]*)?)(?:[:=;\t,]|\b|(?<=\s))\s*(?P<number>(?<![\d.,])[+-]?\d+(?:[.,]\d+)?)"
    r"(?![\d])[\s;,]*(?P<unit>°\s?[CF]\b|%|[^\W\d_]+(?:/[^\W\d_]+3?)?(?!\w))?"
)


def as_number(cell):
    """A cell as a float, with a point or a single comma as decimal mark; None if it is none."""
    if not _NUMBER.fullmatch(cell):
        return None
    number = float(cell.replace(",", "."))
    return number if np.isfinite(number) else None


def _with_header(path, columns, known):
    """The lines of a file, where its header is, and the mark between its columns."""
    trouble = None
    for text in texts_of(file_content(path, LARGEST)):
        try:
            lines = _lines(text)
            _refuse_what_no_day_fills(lines)
            return lines, *_find_header(lines, columns, known)
        except csv.Error as error:
            trouble = trouble or SheetError(f"The file is not a clean CSV: {error}. {_EXPORT_AGAIN}")
        except SheetError as error:
            trouble = trouble or error
    raise trouble


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
    if len(lines) > MOST_LINES:
        raise SheetError(
            f"The file has {len(lines)} lines; a sheet has {MOST_LINES} at the most. Export the rows "
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

    The mark is that of the line which names most columns; a note may hold three of them, too. A
    table of few columns may name two, if numbers follow.
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
    for (index, delimiter), number in named.items():
        if number and _heads_a_small_table(lines[index:], delimiter, number):
            return index, delimiter
    expected = ", ".join(column.heading for column in columns if not column.optional)
    raise NoHeader(
        "No header was found: no line of the file names the columns, parted by commas, semicolons "
        f"or tabs. A sheet needs the columns {expected}, in English, German, French or Spanish."
    )


def _heads_a_small_table(lines, delimiter, number):
    """Whether a line of two to four headings, two of them known or all but one, has numbers below."""
    header, *below = csv.reader(lines[:5], delimiter=delimiter)
    header = [cell for cell in header if cell.strip()]
    if not (2 <= len(header) <= _FEW and number >= len(header) - 1):
        return False
    rows = [[cell.translate(_DASHES).strip() for cell in record] for record in below if any(record)]
    return bool(rows) and any(as_number(c) is not None or _WITH_UNIT.fullmatch(c) for r in rows for c in r)


def _names(columns):
    return {name for column in columns for name in column._names}


def _recognised(cells, names):
    """How many cells are headings with one of the names."""
    return sum(_name_in(cell) in names or _main_words(_name_in(cell)) in names for cell in cells)


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

    def says_once(self, columns):
        """Whether it gives, in one line, what holds for all rows: the weather, say."""
        once = _names([c for c in columns if c.carried and not c.first_words])
        return len(self.records) == 1 and _recognised(self.header, once) == len(self.header)

    def with_units(self):
        """The same table, with the units of a row below the header put into the headings."""
        below = self.records[0][1] if self.records else []
        units = [_IN_BRACKETS.sub(r"\g<unit>", cell).strip() for cell in below]
        found = sum(bool(units_written(unit)) for unit in units if unit)
        if not (found >= 2 or found and len(self.header) <= _FEW) or any(as_number(c) is not None for c in below):
            return self
        header = [
            f"{heading} [{unit}]" if heading and units_written(unit) and not split_heading(heading)[1] else heading
            for heading, unit in zip(self.header, [*units, *[""] * len(self.header)])
        ]
        return _Table(self.row, header, self.records[1:])


def _tables(records, start, known):
    """The tables of a file; one with the same header as an earlier one goes on with it."""
    tables = []
    for row, record in enumerate(records, start=start + 1):
        cells = [cell.translate(_DASHES).strip() for cell in record]
        if not any(cells):
            continue
        heads = _recognised(cells, known) >= _RECOGNISED and not any(as_number(c) is not None for c in cells)
        if tables and not heads and cells != tables[-1].header:
            tables[-1].records.append((row, cells))
            continue
        header = cells[: max(i for i, cell in enumerate(cells) if cell) + 1]
        earlier = next((table for table in tables if table.header == header), None)
        if earlier:  # goes on: rows that follow belong to it
            tables.remove(earlier)
        tables.append(earlier or _Table(row, header, []))
    return [table.with_units() for table in tables]


def _refuse_runs_above(above, width, known):
    """Lines above the header are words; one that holds as many numbers as a run was put there."""
    for row, record in enumerate(above, start=1):
        numbers = sum(as_number(cell.translate(_DASHES).strip()) is not None for cell in record)
        if numbers > width / 3 and numbers > _recognised(record, known):
            raise SheetError(
                f"Row {row} is above the header but looks like a run. Put the header first."
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
    if not table.records:
        raise SheetError(f"Row {table.row} is a header, but no run is below it.")
    places, unread, assumed = _places(table, columns)
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
    for column in columns:
        if column.field in places:
            tidy = _Tidy(column, headings[column.field], cells[column.field])
            headings[column.field], cells[column.field] = tidy.heading, tidy.cells
            assumed += tidy.assumed
    return SheetText(notes, headings, rows, cells, unread, tuple(faults), beside, tuple(assumed))


class _Tidy:
    """A column's cells without units, marks of thousands and gaps below merged cells."""

    def __init__(self, column, heading, cells):
        self.column, self.heading, self.cells, self.assumed = column, heading, cells, []
        if column.is_number:
            self._units_into_the_heading()
            self._thousands()
            if column.usual and not column.unit_in(self.heading):
                self.assumed.append(f"'{heading}' names no unit and was read in {column.usual}.")
        if column.carried:
            self._carry_down()

    def _units_into_the_heading(self):
        """'27.8 N' in the cells is 27.8 under a heading in N, if all bear that unit."""
        filled = [cell for cell in self.cells if cell]
        found = {cell: m for cell in filled if as_number(cell) is None and (m := _WITH_UNIT.fullmatch(cell))}
        units = {self.column.unit_written(match["unit"]) for match in found.values()}
        named = self.column.unit_in(self.heading)
        if len(units) != 1 or None in units or units != {named} and len(found) < len(set(filled)):
            return
        self.cells = [found[cell]["number"].strip() if cell in found else cell for cell in self.cells]
        if named is None:
            self.heading = f"{self.heading} [{units.pop()}]"

    def _thousands(self):
        marked = [cell for cell in self.cells if cell and re.search(r"[0-9][,.' ’][0-9]", cell)]
        for mark, decimal, grouped in _THOUSANDS:
            fits = [cell for cell in marked if grouped.fullmatch(cell)]
            other = [cell for cell in marked if not grouped.fullmatch(cell)]
            if not fits or any(as_number(c) is None or decimal not in c for c in other):
                continue
            numbers = {c: c.replace(mark, "") for c in fits}
            if all(as_number(c) is not None for c in fits) and not self._implausible_but(numbers):
                continue
            self.cells = [numbers.get(c, c) for c in self.cells]
            one = fits[0]
            self.assumed.append(
                f"In '{self.heading}' {_MARKS.get(mark, mark)} was read as the mark of thousands: {one} as "
                f"{numbers[one]}."
            )
            return

    def _implausible_but(self, numbers):
        """Whether cells make no sense with a decimal mark, but do without."""
        column = self.column
        unit = (column.unit_in(self.heading) or column.usual) if column.measures else ""
        limits = column.plausible or column.limits
        if limits is None or column.measures and not unit:
            return False

        def allowed(cells):
            return [bool(limits.allows(float(column.into_si(as_number(c), unit)))) for c in cells]

        return not any(allowed(numbers)) and all(allowed(numbers.values()))

    def _carry_down(self):
        """Where no value is repeated below itself, a spreadsheet had merged cells there."""
        cells = self.cells
        pairs = list(zip(cells, cells[1:]))
        gaps = sum(cell == "" for cell in cells)
        if not cells[0] or gaps < _MERGED * len(cells) or any(a and a == b for a, b in pairs):
            return
        carried, last = [], ""
        for cell in cells:
            last = cell or last
            carried.append(last if cell == "" else cell)
        self.cells = carried
        self.assumed.append(
            f"Empty cells of '{self.heading}' have the value of the cell above, as merged cells do."
        )


_MARKS = {",": "a comma", ".": "a point", " ": "a blank", "'": "an apostrophe", "’": "an apostrophe"}


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


def _places(table, columns):
    """Where each column is in the header, the headings that nothing reads, and what was assumed."""
    header, row = table.header, table.row
    places, unread, assumed = {}, [], []
    for place, heading in enumerate(header):
        name = plain(split_heading(heading)[0])
        candidates = [column for column in columns if column.goes_by(name)]
        column = _column_with_unit(table, place, name, candidates) if candidates else None
        if column and column.field in places:
            if column.optional and column.blank and not column.is_number:
                column = None  # a second column of remarks
            else:
                _refuse_twice(row, heading, header[places[column.field]])
        if column is None:
            unread += [place] if heading else []
            continue
        places[column.field] = place
    for column in columns:
        words = next((p for p in unread if _holds_words(table, p)), None)
        if column.first_words and column.field not in places and words is not None:
            places[column.field] = words
            unread.remove(words)
            assumed.append(f"'{header[words]}' was read as the {column.name}.")
    unread = tuple(header[place] for place in unread)
    missing = [c.heading for c in columns if not c.optional and c.field not in places]
    if missing:
        found = f" Not understood: {', '.join(unread)}." if unread else ""
        raise SheetError(
            f"Row {row}: the header lacks the column {', '.join(missing)}.{found} Headings are read in "
            "English, German, French and Spanish. Add it, with its unit in square brackets."
        )
    return places, unread, assumed


def _refuse_twice(row, heading, first):
    twice = f"'{heading}' is there twice" if first == heading else (
        f"'{heading}' is read as the same as '{first}': it is there twice"
    )
    raise SheetError(f"Row {row}: the column {twice}. Rename or delete one of them.")


def _holds_words(table, place):
    cells = [record[place] for _, record in table.records if place < len(record) and record[place]]
    return len(set(cells)) > 1 and sum(bool(re.search(r"[^\W\d_]", c)) for c in cells) > len(cells) / 2


def _column_with_unit(table, place, name, candidates):
    """The candidate whose unit heading or cells bear; None for a synonym without a known unit."""
    heading = table.header[place]
    unit = split_heading(heading)[1]
    if any(column.goes_by(plain(unit)) for column in candidates):  # 'drag area (CdA)'
        unit = ""
    for column in candidates:
        bare = column.units is None and not (column.may_bear and unit)
        if bare or column.unit_in(heading) is not None:
            return column
    if not unit:
        cells = [record[place] for _, record in table.records if place < len(record)]
        bears = [match["unit"] for cell in cells if (match := _WITH_UNIT.fullmatch(cell))]
        for column in candidates:
            if bears and column.unit_written(bears[0]) or column.usual and len(name) > 1:
                return column
    if name not in {plain(column.name) for column in candidates}:
        return None
    units = [u for column in candidates for u in column._own]
    allowed = ", ".join(f"[{unit}]" for unit in units)
    trouble = f"bears the unit [{unit}], which is not known" if unit else "does not say its unit"
    raise SheetError(f"Row {table.row}: the column '{heading}' {trouble}. Give one of {allowed}.")


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
    match = _IN_BRACKETS.fullmatch(heading)
    if match:
        name, unit = match["name"].rstrip(" ,:/"), match["unit"].strip()
        return (name, unit) if name else (unit, "")
    for gap in _BEFORE_A_UNIT.finditer(heading):
        name, unit = heading[: gap.start()].strip(), heading[gap.end() :]
        if name and units_written(unit):
            return re.sub(r"\s+(?:in|en)$", "", name), unit.strip().removesuffix(".")
    return heading, ""


def plain(name):
    """A name in small letters without accents, with single spaces for marks within it."""
    letters = unicodedata.normalize("NFKD", name.casefold())
    kept = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return re.sub(r"[\s_.·⋅*×()\[\]-]+", " ", kept).strip()


# Words beside a name that make it no other quantity.
_FILLERS = set(
    "mean average avg measured actual value values test section mittel mittelwert mittlere mittlerer "
    "gemessen gemessene moyen moyenne mesure mesuree medio media promedio medido medida".split()
)


@lru_cache(maxsize=10_000)
def _main_words(name):
    return " ".join(word for word in name.split() if word not in _FILLERS)


def _name_in_a_cell(cell):
    """The name of a set-up as it is shown everywhere, and what is wrong with it."""
    try:
        return a_name(cell), None
    except ValueError as error:
        return "", (f"the name is too long. {error}", "Write the rest into the remarks.")


def _choices(column):
    words = column.words.values() if column.words else column.may_bear
    return " or ".join(dict.fromkeys(words)) or "it in"


def _range_in_words(column, unit):
    """The limits in the file's own unit."""
    ends = (column.limits.low, column.limits.high)
    low, high = (unit_of(unit, column.measures).out_of_si(x) if unit else x for x in ends)
    return f"{low:.6g} to {high:.6g} {unit}".rstrip()


def _short(text):
    return text if len(text) <= 40 else text[:37] + "..."


_HEADER_WORDS = _header_words()
