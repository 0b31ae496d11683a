"""The columns of a sheet: names in four languages, units, and how headings and numbers are read."""

import csv
import io
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import isfinite
from types import MappingProxyType

import numpy as np

from dragwork.files import rows_of_table
from dragwork.quantities import QUANTITIES, Quantity
from dragwork.units import unit_of, units_written

LONGEST_HEADING = 100  # letters; what is longer is a remark
NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?")
WITH_UNIT = re.compile(r"(?P<number>[+-]?[0-9][0-9.,' ]*?)\s*(?P<unit>[^\W\d_]\S*(?: [^\W\d]\S*)?|[%°]\s?\w?)")
IN_BRACKETS = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")
_BEFORE_A_UNIT = re.compile(r"[\s,:/_]+|(?=[%°])")
# A heading that is a value of another column, with what the cells below it are: 'CdA 5°', '45 km/h'.
ACROSS = re.compile(
    r"(?P<name>[^\d@]*?)[\s@:,]*(?P<number>[+-]?\d+(?:[.,]\d+)?)\s*(?P<unit>°|[^\W\d]+(?:/[a-z]+)?)(?:\s*yaw)?"
    r"\s*(?P<of_value>[\[(].*[\])])?"
)
ACROSS_KINDS = {"across angle", "across speed"}


# Field of a column to the words for it in German, French and Spanish.
_HEADER_WORDS = defaultdict(list)
for _row in rows_of_table("dragwork.measurement", "header_words.csv"):
    _HEADER_WORDS[_row["field"]] += _row["words"].split("; ")


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
        The unit where nothing says it.
    plausible : Quantity, optional
        Values [SI] that are met with, to see whether a comma is a decimal mark; else the limits.
    carried : bool
        An empty cell below a merged one has its value.
    first_words : bool
        Where no heading is this column's, the first column of words that nothing reads is.
    passed_over : bool
        Without a unit that is known it is not read, rather than refused.
    spare : bool
        Where nobody filled it in, it counts as absent.
    sizes : tuple of (str, float, float)
        Units, each with the values (from, to below) that a middle one usually has in it; where
        nothing says the unit the first that fits is read, else the usual one.
    bare : bool
        Any of its names is enough, also a single letter, where no unit is given.
    decimals : int
        With which our own sheets print its numbers.
    meaning : str
        What the column holds, for a page.
    if_left_out : str
        What a reader of the sheet does without it.
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
    passed_over: bool = False
    spare: bool = False
    sizes: tuple = ()
    bare: bool = False
    decimals: int = 0
    meaning: str = ""
    if_left_out: str = ""

    @property
    def heading(self):
        """As our own sheets write it: the name and the first unit."""
        return f"{self.name} [{self.own_units[0]}]" if self.units else self.name

    @property
    def is_number(self):
        return self.number or self.units is not None

    @cached_property
    def own_units(self):
        return (*(self.units or ()), *self.may_bear)

    @cached_property
    def measures(self):
        """The kind of its units: 'speed', 'force'; '' where it has none."""
        return units_written(self.own_units[0])[0].measures if self.own_units else ""

    def unit_in(self, heading):
        """The unit that a heading bears, as this column spells it; None if it is none of them."""
        return self.unit_written(split_heading(heading)[1])

    def unit_written(self, spelling):
        """The unit that is written so, as this column spells it; None if it is none of them."""
        unit = unit_of(spelling, self.measures) if self.own_units and spelling else None
        if unit is None:
            return None
        own = {unit_of(name, self.measures).name: name for name in self.own_units}
        return own.get(unit.name, None if self.alone else unit.name)

    def into_si(self, number, unit):
        """A number in one of its units, in SI; as it is without a unit."""
        return unit_of(unit, self.measures).into_si(number) if unit else np.asarray(number)

    def out_of_si(self, value, unit):
        """A value in SI, in one of its units; as it is without a unit."""
        return unit_of(unit, self.measures).out_of_si(value) if unit else value

    def written(self, value):
        """A value in SI, or a word, as our own sheets write it; nothing where it is not known."""
        if isinstance(value, str):
            return value
        shown = self.out_of_si(float(value), self.units[0] if self.units else "")
        return "" if np.isnan(value) else f"{shown:.{self.decimals}f}"

    def goes_by(self, name):
        """Whether a name, as `plain` writes it, is this column's or one of its synonyms."""
        return name in self.all_names or main_words(name) in self.all_names

    @cached_property
    def all_names(self):
        return {plain(own) for own in (self.name, *self.synonyms, *_HEADER_WORDS.get(self.field, ()))}


def words_of(name):
    """A list of `cell_words.csv`: each word to what it is read as."""
    return {row["word"]: row["read_as"] for row in _WORDS if row["list"] == name}


_WORDS = rows_of_table("dragwork.measurement", "cell_words.csv")
_FILLERS = words_of("filler")  # beside a name they make it no other quantity


def read_columns(table, ranges=MappingProxyType({})):
    """The columns of a sheet, from a table of this package, in its order.

    Parameters
    ----------
    table : str
        Name of the file. Its columns are the fields of `Column`; `words` names a list of
        `cell_words.csv`, `flags` are those that hold, and `limits` and `plausible` are in SI.
    ranges : mapping of str to Quantity
        What `limits` in the table may name, besides `QUANTITIES`.
    """
    ranges = {**QUANTITIES, **ranges}
    return tuple(_column(row, ranges) for row in rows_of_table("dragwork.measurement", table))


def _column(row, ranges):
    sizes = (size.replace(" to ", " ").split() for size in row.pop("sizes").split("; ") if size)
    read = {
        "units": tuple(row["units"].split()) or None,
        "may_bear": tuple(row["may_bear"].split()),
        "limits": _range(row["limits"], ranges),
        "plausible": _range(row["plausible"], ranges),
        "words": words_of(row["words"]) or None,
        "synonyms": tuple(filter(None, row["synonyms"].split("; "))),
        "sizes": tuple((unit, float(low), float(high)) for unit, low, high in sizes),
        "decimals": int(row.get("decimals") or 0),
    }
    flags = dict.fromkeys(row.pop("flags").split(), True)
    return Column(**row | read | flags)


def _range(text, ranges):
    """'2 to 300' in SI, or the name of a range; None where there is none."""
    if not text:
        return None
    return ranges[text] if text in ranges else Quantity("", *map(float, text.split(" to ")))


def csv_of(columns, lines, notes=()):
    """A sheet as CSV text, with the headings of our own sheets.

    Parameters
    ----------
    columns : sequence of Column
    lines : sequence of dict
        Field of a column to what is written in it; what a line does not name stays empty.
    notes : sequence of str
        Lines above the header.
    """
    text = io.StringIO()
    text.write("".join(f"{note}\n" for note in notes))
    writer = csv.DictWriter(text, [column.field for column in columns], lineterminator="\n")
    writer.writerow({column.field: column.heading for column in columns})
    writer.writerows(lines)
    return text.getvalue()


@lru_cache(maxsize=10_000)  # a sheet's cells say the same again and again
def as_number(cell):
    """A cell as a float, with a point or a single comma as decimal mark; None if it is none."""
    if not NUMBER.fullmatch(cell):
        return None
    number = float(cell.replace(",", "."))
    return number if isfinite(number) else None


def split_heading(heading):
    """A heading's name and the unit behind it, in brackets or not: 'drag [N]', 'T degC', 'RH %'."""
    if len(heading) > LONGEST_HEADING:
        return heading, ""
    match = IN_BRACKETS.fullmatch(heading)
    if match:
        name, unit = match["name"].rstrip(" ,:/"), match["unit"].strip()
        return (name, unit) if name else (unit, "")
    for gap in _BEFORE_A_UNIT.finditer(heading):
        name, unit = heading[: gap.start()].strip(), heading[gap.end() :]
        if name and units_written(unit):
            return re.sub(r"\s+(?:in|en)$", "", name), unit.strip().removesuffix(".")
    return heading, ""


@lru_cache(maxsize=10_000)
def plain(name):
    """A name in small letters without accents, with single spaces for marks within it."""
    letters = unicodedata.normalize("NFKD", name.casefold())
    kept = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return re.sub(r"[\s_.·⋅*×()\[\]-]+", " ", kept).strip()


@lru_cache(maxsize=10_000)
def main_words(name):
    return " ".join(word for word in name.split() if word not in _FILLERS)


@lru_cache(maxsize=10_000)
def name_in(cell):
    match = ACROSS.fullmatch(cell.strip()) if len(cell) <= LONGEST_HEADING else None
    kind = next((f"across {u.measures}" for u in units_written(match["unit"])), "") if match else ""
    return kind if kind in ACROSS_KINDS else plain(split_heading(cell.strip())[0])


def names_of(columns):
    return {name for column in columns for name in column.all_names}


def recognised(cells, names):
    """How many cells are headings with one of the names."""
    return sum(name_in(cell) in names or main_words(name_in(cell)) in names for cell in cells)
