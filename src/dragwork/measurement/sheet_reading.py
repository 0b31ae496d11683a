"""Reading a sheet: from a file somebody saved to cells that are numbers, words, or faults.

Two kinds of trouble are kept apart. Where the file as a whole cannot be understood, SheetError is
raised. Where single cells or rows cannot, each becomes a Fault and the rest goes on. Nothing is
repaired: a cell that is not clear is named, never guessed. What is read as people write it (units
in cells, marks of thousands, merged cells) is said in `SheetText.assumed`.
"""

import csv
import io
import re
from dataclasses import dataclass, field, replace
from itertools import accumulate, compress, pairwise

import numpy as np
import pandas as pd

from dragwork.escaping import a_name
from dragwork.measurement import sheet_columns, sheet_tables
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import WITH_UNIT, as_number, plain, split_heading
from dragwork.measurement.sheet_file import SheetError, short
from dragwork.units import PLAIN_SIGNS

_SEARCHED = 300  # letters
_MERGED = 1 / 3  # of the cells: so many are empty at least, where cells were merged
# A number with marks of thousands: the mark, and the decimal mark with it.
_THOUSANDS = [
    (mark, decimal, re.compile(rf"[+-]?[1-9][0-9]{{0,2}}(?:\{mark}[0-9]{{3}})+(?:\{decimal}[0-9]+)?"))
    for mark, decimal in ((",", "."), (".", ","), (" ", "."), (" ", ","), ("'", "."), ("’", "."))
]  # fmt: skip


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

    @classmethod
    def of(cls, rows, column, name, /, **gaps):
        """A fault of `sentences.json` in a row, or one over several rows, of which the first is named."""
        first, *others = (int(row) for row in np.atleast_1d(rows))
        return cls(first, column, *say("fault", name, **gaps), tuple(others))

    @property
    def rows(self):
        """All rows that this fault takes out of use."""
        return (self.row, *self.also)

    def __str__(self):
        return f"Row {self.row}, column '{self.column}': {self.what} {self.mend}"


@dataclass(frozen=True)
class SheetText:
    """A sheet as text: notes above the header, headings, and the cells of each column.

    `unread` are headings that nothing reads. `faults` are rows whose cells cannot be told apart;
    their cells are None, and no other fault is found in them. `beside` is a second, small table of
    the file, as a SheetText of its own. `assumed` are sentences on how cells were read; `guessed`
    has the units that nothing says, by field.
    """

    notes: tuple
    headings: dict
    rows: list
    cells: dict = field(repr=False)
    unread: tuple = ()
    faults: tuple = ()
    beside: "SheetText | None" = None
    assumed: tuple = ()
    guessed: dict = field(default_factory=dict)

    @property
    def above(self):
        """The notes as far as they are searched for what holds for all rows: nobody writes it further on."""
        return tuple(note[:_SEARCHED] for note in self.notes)

    @property
    def all_headings(self):
        """Those that are read, then the others."""
        return (*self.headings.values(), *self.unread)

    def heading(self, column):
        """The heading of a column as it stands in the file."""
        return self.headings.get(column.field, column.heading)

    def has(self, column):
        """Whether the file has this column."""
        return column.field in self.headings

    def some_rows(self, kept):
        """The same sheet with some of its rows: those for which `kept`, one truth a row, holds."""
        cells = {field: list(compress(cells, kept)) for field, cells in self.cells.items()}
        return replace(self, rows=list(compress(self.rows, kept)), cells=cells)

    def read(self, column):
        """A column's cells as an array of SI numbers (nan where unclear) or words (''), and its faults."""
        cells = self.cells.get(column.field, [None] * len(self.rows))
        values, wrong = self._numbers(column, cells) if column.is_number else _words(column, cells)
        nothing = ("no number" if column.is_number else "no word"), {}
        wrong |= {place: nothing for place, cell in enumerate(cells) if cell == "" and not column.blank}
        faults = []
        for place, (name, gaps) in sorted(wrong.items()):
            gaps = {"cell": short(cells[place]), "choices": _choices(column)} | gaps
            faults.append(Fault.of(self.rows[place], self.heading(column), name, **gaps))
        return values, faults

    def table(self, columns):
        """Columns as a table with the `row` of each line, as `read` gives them, and their faults by field."""
        read = {column.field: self.read(column) for column in columns}
        values = {field: values for field, (values, _) in read.items()}
        return pd.DataFrame({"row": self.rows} | values), {field: faults for field, (_, faults) in read.items()}

    def last_digit(self, column):
        """One unit of the last printed digit of a column [SI]; forces in the file's own unit."""
        decimals = max(
            (len(cell.replace(",", ".").partition(".")[2]) for cell in self.cells[column.field]
             if cell and sheet_columns.NUMBER.fullmatch(cell) and "e" not in cell.casefold()),
            default=0,
        )  # fmt: skip
        return float(column.into_si(10.0**-decimals, self.unit(column)))

    def unit(self, column):
        """The unit of a column's numbers; '' where it has none, or another column says it."""
        if not column.units:
            return ""
        guessed = self.guessed.get(column.field)
        return guessed or column.unit_in(self.heading(column)) or column.usual

    def guesses(self, columns, template):
        """What was taken as the unit of each of some columns that bear none: "'yaw' in deg"."""
        found = {self.heading(c): self.guessed[c.field] for c in columns if c.field in self.guessed}
        spoken = {"1": "shares of 1"}
        return [template.format(heading, spoken.get(unit, unit)) for heading, unit in found.items()]

    def in_words(self, column, value):
        """A value in SI in the unit that the file's heading bears."""
        unit = self.unit(column)
        return f"{column.out_of_si(float(value), unit):.6g} {unit}"

    def _numbers(self, column, cells):
        """Cells as numbers in SI; and by place the name of what is wrong with one, and the gaps of that."""
        unit, limits = self.unit(column), column.limits
        numbers = [as_number(cell) if cell else np.nan for cell in cells]
        wrong = {place: ("not a number", {}) for place, number in enumerate(numbers) if number is None}
        values = column.into_si(np.array(numbers, dtype=float), unit)
        if limits:
            outside = ~(np.isnan(values) | limits.allows(values))
            values[outside] = np.nan
            low, high = (column.out_of_si(end, unit) for end in (limits.low, limits.high))
            allowed = f"{low:.6g} to {high:.6g} {unit}".rstrip()
            name = "outside, unit guessed" if column.field in self.guessed else "outside"
            for place in np.flatnonzero(outside):
                written = f"{short(cells[place])} {unit}".rstrip()
                wrong[place] = name, {"written": written, "allowed": allowed}
        return values, wrong


def _words(column, cells):
    """Cells as words; and by place the name of what is wrong with one, and the gaps of that."""
    read = {cell: _word(column, cell) for cell in set(cells) if cell}
    wrong = {place: read[cell][1:] for place, cell in enumerate(cells) if cell and read[cell][1]}
    return [read[cell][0] if cell else "" for cell in cells], wrong


def _word(column, cell):
    """A cell as the word that it stands for; the name of what is wrong with it, and the gaps of that."""
    if column.may_bear:  # the word is a unit
        word = column.unit_written(cell) or ""
    elif column.words:
        word = column.words.get(plain(cell), "")
    elif column.blank:
        word = cell
    else:
        try:
            word = a_name(cell)
        except ValueError as error:
            return "", "long name", {"error": error}
    return word, "" if word else "unknown word", {}


def read_text(path, columns, beside=(), across=None):
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
    across : Column, optional
        What cells hold below headings that are angles or speeds: 'CdA 5°', 'CdA 10°'.

    Returns
    -------
    SheetText

    Raises
    ------
    SheetError
        Where the file cannot be read as such a sheet, in words.
    """
    known = sheet_columns.names_of((*columns, *beside))
    headings = known | sheet_columns.ACROSS_KINDS if across else known
    lines, start, delimiter = sheet_tables.with_header(path, columns, headings)
    try:
        sheet_tables.refuse_torn(lines[start : start + sheet_tables.LOOK], delimiter)
        source = io.StringIO("\n".join(lines[start:]), newline="")
        records = list(csv.reader(source, delimiter=delimiter, strict=True))
        above = list(csv.reader(lines[:start], delimiter=delimiter))
    except csv.Error as error:
        raise SheetError(say("sheet", "not clean", error=error)) from None
    tables = sheet_tables.tables_of(records, start, known)
    own = sheet_columns.names_of(columns)
    main = max(tables, key=lambda t: (sheet_columns.recognised(t.header, own), len(t.records)))
    besides = [table for table in tables if table is not main and table.holds_numbers]
    said = [table for table in besides if table.says_once(columns)]
    others = [table for table in besides if table not in said]
    sheet_tables.refuse_runs_above(above, len(main.header), headings)
    taken = {row for table in others for row in table.rows}
    notes = tuple(
        line.strip().strip(delimiter)
        for row, line in enumerate(lines[: main.row - 1], start=1)
        if line.strip() and row not in taken
    )
    notes += tuple(f"{h}: {x}" for table in said for h, x in zip(table.header, table.records[0][1]))
    second = _second_table(others, beside, delimiter)
    main = main.turned(across, columns) if across else main
    return _sheet_text(main, columns, delimiter, notes, second)


def said_above(notes, columns):
    """What the lines above a header say for all rows: 'Temperature: 18.5 C, 1009 hPa, 45 %'.

    A value counts by the name before it, or by a unit that no other quantity has.

    Parameters
    ----------
    notes : sequence of str
    columns : sequence of Column

    Returns
    -------
    dict of str to list of float
        Field to its values [SI], within the limits of its column.

    Source: COMMON_PRACTICE
    """
    found = {}
    for note in notes:
        line = note.translate(PLAIN_SIGNS).replace("℃", "°C")
        matches = list(_STATED.finditer(line))
        by_unit = [column for column in columns if column.measures in _WEATHER_UNITS]
        weather = any(column.unit_written(match["unit"]) for match in matches for column in by_unit)
        if weather or _DAMP.search(line):
            by_unit += [column for column in columns if column.measures == "plain number"]
        for match in matches:
            name, unit = split_heading(match["label"].strip())
            named = [column for column in columns if column.goes_by(plain(name))]
            unit = match["unit"] or unit
            for column in named or by_unit:
                usual = column.usual if named and not match["unit"] else ""
                spelt = column.unit_written(unit) or usual
                if not spelt:
                    continue
                value = float(column.into_si(as_number(match["number"]), spelt))
                if column.limits is None or column.limits.allows(value):
                    found.setdefault(column.field, []).append(value)
                    break
    return found


def stated_above(notes, columns):
    """What `said_above` finds once [SI]: where two values are given nothing shows which holds."""
    found = said_above(notes, columns)
    return {name: values[0] for name, values in found.items() if len(set(values)) == 1}


_WEATHER_UNITS = ("temperature", "pressure", "density")
_DAMP = re.compile(r"humid|\br\.?\s?h\b|\brel", re.IGNORECASE)
_STATED = re.compile(
    r"(?P<label>(?:[^\W\d][^:=;\t,\d]*)?)(?:[:=;\t,]|\b|(?<=\s)|^)\s*(?P<number>(?<![\d.,])[+-]?\d+(?:[.,]\d+)?)"
    r"(?![\d])[\s;,]*(?P<unit>°\s?[CF]\b|%|deg\s?[CF]\b|(?:mm|in)\s?Hg\b|[^\W\d_]+(?:\s?/\s?[^\W\d_]+\^?3?)?(?!\w))?"
)


def _second_table(others, columns, delimiter):
    """The small table beside, if the file has one; any other second table is refused."""
    if not others:
        return None
    required = [column for column in columns if not column.optional]
    for table in others:
        names = [plain(split_heading(cell)[0]) for cell in table.header]
        if not required or not all(any(map(c.goes_by, names)) for c in required):
            raise SheetError(say("sheet", "second header", row=table.row))
    if len(others) > 1:
        raise SheetError(f"Row {others[1].row} starts a third table. Keep two at most.")
    return _sheet_text(others[0], columns, delimiter)


def _sheet_text(table, columns, delimiter, notes=(), beside=None):
    if not table.records:
        raise SheetError(f"Row {table.row} is a header, but no run is below it.")
    places, unread, assumed = _places(table, columns)
    width, header = len(table.header), table.header
    for row, record in table.records:
        if any(record[width:]):
            cause = "comma in a cell" if delimiter == "," else "separator"
            cause = say("sheet", cause, again=say("sheet", "export again"))
            gaps = {"found": len(record), "width": width, "cause": cause}
            raise SheetError(say("sheet", "too wide", row=row, **gaps))
    # Editors cut tabs off the end of a line.
    torn = [len(record) < width and delimiter != "\t" for _, record in table.records]
    faults = [
        Fault.of(row, header[0], "torn", found=len(record), width=width)
        for row, record in compress(table.records, torn)
    ]
    cells = {
        name: [None if lost else cell for cell, lost in zip(table.below(place), torn)]
        for name, place in places.items()
    }
    for column in columns:
        if column.spare and all(cell == "" for cell in cells.get(column.field, "x")):
            del cells[column.field]
    if delimiter == ",":
        _refuse_undecidable(table, columns, cells, faults)
    headings = {name: header[places[name]] for name in cells}
    guessed = {}
    for column in columns:
        if column.field in cells:
            tidy = _Tidy(column, headings[column.field], cells[column.field])
            headings[column.field], cells[column.field] = tidy.heading, tidy.cells
            assumed += tidy.assumed
            guessed |= {column.field: tidy.guessed} if tidy.guessed else {}
    rows = [row for row, _ in table.records]
    return SheetText(notes, headings, rows, cells, unread, tuple(faults), beside, tuple(assumed), guessed)


class _Tidy:
    """A column's cells without units, marks of thousands and gaps below merged cells."""

    def __init__(self, column, heading, cells):
        self.column, self.heading, self.cells = column, heading, cells
        self.assumed, self.guessed = [], ""
        if column.is_number:
            self._units_into_the_heading()
            if column.usual and not column.unit_in(self.heading):
                numbers = [as_number(cell) for cell in self.cells if cell]
                middle = np.median([x for x in numbers if x is not None] or np.nan)
                of_size = (unit for unit, low, high in column.sizes if low <= middle < high)
                self.guessed = next(of_size, column.usual)
            self._thousands()
        if column.carried:
            self._carry_down()

    def _units_into_the_heading(self):
        """'27.8 N' in the cells is 27.8 under a heading in N, if all bear that unit."""
        filled = [cell for cell in self.cells if cell]
        found = {cell: m for cell in filled if as_number(cell) is None and (m := WITH_UNIT.fullmatch(cell))}
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
            fits = [cell for cell in marked if mark in cell and grouped.fullmatch(cell)]
            if not fits or any(as_number(c) is None or decimal not in c for c in set(marked) - set(fits)):
                continue
            numbers = {c: c.replace(mark, "") for c in fits}
            if all(as_number(c) is not None for c in fits) and not self._implausible_but(numbers):
                continue
            self.cells = [numbers.get(c, c) for c in self.cells]
            gaps = {"mark": _MARKS[mark], "one": fits[0], "number": numbers[fits[0]]}
            self.assumed.append(say("sheet", "thousands", heading=self.heading, **gaps))
            return

    def _implausible_but(self, numbers):
        """Whether cells make no sense with a decimal mark, but do without."""
        column = self.column
        unit = self.guessed or (column.unit_in(self.heading) if column.measures else "")
        limits = column.plausible or column.limits
        if limits is None or column.measures and not unit:
            return False

        def allowed(cells):
            return [bool(limits.allows(float(column.into_si(as_number(c), unit)))) for c in cells]

        return not any(allowed(numbers)) and all(allowed(numbers.values()))

    def _carry_down(self):
        """Where no value is repeated below itself, a spreadsheet had merged cells there."""
        cells, repeated = self.cells, any(a and a == b for a, b in pairwise(self.cells))
        if not cells[0] or cells.count("") < _MERGED * len(cells) or repeated:
            return
        carried = accumulate(cells, lambda last, cell: cell or last)
        self.cells = [last if cell == "" else cell for cell, last in zip(cells, carried)]
        self.assumed.append(say("sheet", "merged", heading=self.heading))

_MARKS = {",": "a comma", ".": "a point", " ": "a blank", "'": "an apostrophe", "’": "an apostrophe"}


def _refuse_undecidable(table, columns, cells, faults):
    """A comma may be a decimal mark too, where no number has a point and words are numbers."""
    numbers = (cell for _, record in table.records for cell in record if as_number(cell) is not None)
    if any(mark in number for number in numbers for mark in ".,"):
        return
    words = [cells.get(c.field, ()) for c in columns if c.blank and not c.is_number]
    odd = any(as_number(cell) is not None for found in words for cell in found if cell)
    if odd or faults:
        again = say("sheet", "export again")
        raise SheetError(say("sheet", "undecidable", row=table.row, again=again))


def _places(table, columns):
    """Where each column is in the header, the headings that nothing reads, and what was assumed."""
    header, row = table.header, table.row
    places, unread, assumed = {}, [], []
    for place, heading in enumerate(header):
        name = plain(split_heading(heading)[0])
        candidates = [column for column in columns if column.goes_by(name)]
        column = _column_with_unit(table, place, name, candidates) if candidates else None
        if column and column.field in places:
            first = header[places[column.field]]
            if column.optional and column.blank and not column.is_number:
                column = None  # a second column of remarks
            elif column.bare and bool(column.unit_in(heading)) != bool(column.unit_in(first)):
                if not column.unit_in(heading):  # the one with its unit is read
                    column = None
                else:
                    unread.append(places.pop(column.field))
            else:
                same = "" if first == heading else f" is read as the same as '{first}': it"
                raise SheetError(
                    f"Row {row}: the column '{heading}'{same} is there twice. Rename or delete one of them."
                )
        if column is None:
            unread += [place] if heading else []
            continue
        places[column.field] = place
    for column in [column for column in columns if column.first_words]:
        words = next((p for p in unread if _holds_words(table, p)), None)
        if column.field not in places and words is not None:
            places[column.field] = words
            unread.remove(words)
            assumed.append(f"'{header[words]}' was read as the {column.name}.")
        if column.field in places:
            assumed += filter(None, (_splits(table, places[column.field], place) for place in unread))
    unread = tuple(header[place] for place in unread)
    missing = [c.heading for c in columns if not c.optional and c.field not in places]
    if missing:
        found = f" Not understood: {', '.join(unread)}." if unread else ""
        raise SheetError(say("sheet", "lacks", row=row, missing=", ".join(missing), found=found))
    return places, unread, assumed


def _splits(table, named, place):
    """Whether a column of words that nothing reads has several values for one name: what to do, if so."""
    pairs = dict.fromkeys(p for p in zip(table.below(named), table.below(place)) if all(p))
    values, names = {value for _, value in pairs}, [name for name, _ in pairs]
    if not (_holds_words(table, place) and len(values) <= len(table.records) / 2 and len(names) > len(set(names))):
        return ""
    heading, name = table.header[place], max(names, key=names.count)
    return say("sheet", "splits", heading=heading, name=name, named=table.header[named])


def _holds_words(table, place):
    cells = list(filter(None, table.below(place)))
    return len(set(cells)) > 1 and sum(bool(re.search(r"[^\W\d_]", c)) for c in cells) > len(cells) / 2


def _column_with_unit(table, place, name, candidates):
    """The candidate whose unit heading or cells bear; None for a synonym without a known unit."""
    heading = table.header[place]
    unit = split_heading(heading)[1]
    if any(column.goes_by(plain(unit)) for column in candidates):  # 'drag area (CdA)'
        unit = ""
    for column in candidates:
        bare = not (column.may_bear and unit) if column.units is None else column.bare and not unit
        if bare or column.unit_in(heading) is not None:
            return column
    if not unit:
        bears = [match["unit"] for cell in table.below(place) if (match := WITH_UNIT.fullmatch(cell))]
        for column in candidates:
            if bears and column.unit_written(bears[0]) or column.usual and len(name) > 1:
                return column
    if name not in {plain(column.name) for column in candidates if not column.passed_over}:
        return None
    allowed = ", ".join(f"[{own}]" for column in candidates for own in column.own_units)
    trouble = f"bears the unit [{unit}], which is not known" if unit else "does not say its unit"
    raise SheetError(f"Row {table.row}: the column '{heading}' {trouble}. Give one of {allowed}.")


def _choices(column):
    words = column.words.values() if column.words else column.may_bear
    return " or ".join(dict.fromkeys(words)) or "it in"
