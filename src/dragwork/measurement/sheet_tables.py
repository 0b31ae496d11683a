"""Where the tables of a sheet's file are: its header, the mark between its columns, the lines below."""

import csv
from dataclasses import dataclass

from dragwork.measurement import sheet_columns
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import WITH_UNIT, as_number, recognised, split_heading
from dragwork.measurement.sheet_file import LARGEST, MOST_LINES, SheetError, file_content, texts_of
from dragwork.units import PLAIN_SIGNS, units_written

_RECOGNISED = 3  # a line that bears so many known names is the header; notes do not
_FEW = 4  # a table of so few columns may have a header of two names
_LONGEST_LINE, LOOK = 100_000, 1_000


class NoHeader(SheetError):
    """No line of the file names the columns."""


def with_header(path, columns, known):
    """The lines of a file, where its header is, and the mark between its columns."""
    trouble = None
    for text in texts_of(file_content(path, LARGEST)):
        try:
            if not text.strip():
                raise SheetError("The file is empty. Save the sheet again as CSV.")
            lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
            _refuse_what_no_day_fills(lines)
            return lines, *_find_header(lines, columns, known)
        except csv.Error as error:
            again = say("sheet", "export again")
            trouble = trouble or SheetError(f"The file is not a clean CSV: {error}. {again}")
        except SheetError as error:
            trouble = trouble if isinstance(trouble, NoHeader) else error
    raise trouble


def _refuse_what_no_day_fills(lines):
    """A whole-file look before anything is taken apart, which costs a thousand times as much.

    Lines without a cell at the end, of which a spreadsheet may write a million, are dropped.
    """
    while len(lines) > 1 and not lines[-1].strip(",;\t "):
        lines.pop()
    if len(lines) > MOST_LINES:
        raise SheetError(say("sheet", "too long", lines=len(lines), most=MOST_LINES))
    longest = max(lines, key=len)
    if len(longest) > _LONGEST_LINE:
        row = lines.index(longest) + 1
        raise SheetError(say("sheet", "long line", row=row, letters=len(longest)))


def refuse_torn(lines, delimiter):
    """A long file whose first thousand lines have not half of the cells that its header has."""
    needed = lines[0].count(delimiter) / 2
    torn = sum(line.count(delimiter) < needed for line in lines if line)
    if len(lines) == LOOK and torn > 0.9 * LOOK:
        raise SheetError(say("sheet", "torn", torn=torn, look=LOOK))


def _find_header(lines, columns, known):
    """Index of the first header line and the mark that parts the columns.

    The mark is that of the line which names most columns; a note may hold three of them, too. A
    table of few columns may name two, if numbers follow.
    """
    named = {
        (index, delimiter): recognised(next(csv.reader([line], delimiter=delimiter), []), known)
        for index, line in enumerate(lines)
        for delimiter in ",;\t"
        if delimiter in line
    }
    best = max(named, key=named.get, default=None)
    if best and named[best] >= _RECOGNISED:
        delimiter = best[1]
        return next(i for (i, d), n in named.items() if d == delimiter and n >= _RECOGNISED), delimiter
    for (index, delimiter), number in named.items():
        if number and _heads_a_small_table(lines[index : index + 5], delimiter, number):
            return index, delimiter
    expected = ", ".join(column.heading for column in columns if not column.optional)
    raise NoHeader(say("sheet", "no header", expected=expected))


def _heads_a_small_table(lines, delimiter, number):
    """Whether a line of few headings, two of them known or all but one, has numbers below."""
    header, *below = csv.reader(lines, delimiter=delimiter)
    header = [cell for cell in header if cell.strip()]
    if not (1 < len(header) <= _FEW and number >= len(header) - 1 or 1 < number and len(header) <= 2 * _FEW):
        return False
    if any(as_number(cell.strip()) is not None for cell in header):
        return False
    rows = [[cell.translate(PLAIN_SIGNS).strip() for cell in record] for record in below if any(record)]
    return bool(rows) and any(as_number(c) is not None or WITH_UNIT.fullmatch(c) for r in rows for c in r)


@dataclass(frozen=True)
class SheetTable:
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

    def below(self, place):
        """The cells below a heading; '' in a line that ends before it."""
        return [cells[place] if place < len(cells) else "" for _, cells in self.records]

    def turned(self, across, columns):
        """The same table with a line for each value that is below an angle or a speed."""
        found = {
            place: match
            for place, heading in enumerate(self.header)
            if sheet_columns.name_in(heading) in sheet_columns.ACROSS_KINDS
            and (match := sheet_columns.ACROSS.fullmatch(heading))
            and (not match["name"].strip() or across.goes_by(sheet_columns.plain(match["name"])))
        }
        units = {match["unit"] for match in found.values()}
        if len(found) < 2 or len(units) > 1:
            return self
        (unit,), bears = units, next(iter(found.values()))["of_value"] or ""
        label = next(column for column in columns if column.unit_written(unit))
        kept = [place for place in range(len(self.header)) if place not in found]
        header = [*(self.header[p] for p in kept), f"{label.name} [{unit}]", f"{across.name} {bears}".strip()]
        records = [
            (row, [*(cells[p] if p < len(cells) else "" for p in kept), match["number"], cells[place]])
            for row, cells in self.records
            for place, match in found.items()
            if place < len(cells) and cells[place]
        ]
        return SheetTable(self.row, header, records)

    def says_once(self, columns):
        """Whether it gives, in one line, what holds for all rows: the weather, say."""
        once = sheet_columns.names_of([c for c in columns if c.carried and not c.first_words])
        return len(self.records) == 1 and recognised(self.header, once) == len(self.header)

    def with_units(self):
        """The same table, with the units of a row below the header put into the headings."""
        below = self.records[0][1] if self.records else []
        short = [cell if len(cell) <= sheet_columns.LONGEST_HEADING else "" for cell in below]
        units = [sheet_columns.IN_BRACKETS.sub(r"\g<unit>", cell).strip() for cell in short]
        found = sum(bool(units_written(unit)) for unit in units if unit)
        numbers = any(as_number(c) is not None or WITH_UNIT.fullmatch(c) for c in below)
        if numbers or found < (1 if len(self.header) <= _FEW else 2):
            return self
        header = [
            f"{heading} [{unit}]" if units_written(unit) and not split_heading(heading)[1] else heading
            for heading, unit in zip(self.header, [*units, *[""] * len(self.header)])
        ]
        return SheetTable(self.row, header, self.records[1:])


def tables_of(records, start, known):
    """The tables of a file; one with the same header as an earlier one goes on with it."""
    tables = []
    for row, record in enumerate(records, start=start + 1):
        cells = [cell.translate(PLAIN_SIGNS).strip() for cell in record]
        if not any(cells):
            continue
        heads = recognised(cells, known) >= _RECOGNISED and not any(as_number(c) is not None for c in cells)
        if tables and not heads and cells != tables[-1].header:
            tables[-1].records.append((row, cells))
            continue
        header = cells[: max(i for i, cell in enumerate(cells) if cell) + 1]
        earlier = next((table for table in tables if table.header == header), None)
        if earlier:  # goes on: rows that follow belong to it
            tables.remove(earlier)
        tables.append(earlier or SheetTable(row, header, []))
    return [table.with_units() for table in tables]


def refuse_runs_above(above, width, known):
    """Lines above the header are words; one that holds as many numbers as a run was put there."""
    for row, record in enumerate(above, start=1):
        numbers = sum(as_number(cell.translate(PLAIN_SIGNS).strip()) is not None for cell in record)
        if numbers > width / 3 and numbers > recognised(record, known):
            raise SheetError(
                f"Row {row} is above the header but looks like a run. Put the header first."
            )
