"""Checks: what the data of a sheet betray, for tunnel sheets and road tests alike.

A sheet goes one way: its text becomes rows; a table of checks finds faults in them, which take rows
out of use, and notes, which do not; then the rows in use become drag areas. A `Check` is pure: it
looks at the table of rows, returns what it found, and changes nothing. Each has a rank, and checks
of one rank see the same rows, those that no check of a lower rank has named. So the order in which
the table lists them does not matter.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations, groupby
from operator import attrgetter
from os.path import commonprefix
from typing import Any

import numpy as np
import pandas as pd

from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_reading import Fault
from dragwork.physics.air import density, standard_atmosphere
from dragwork.units import UNITS, celsius, hectopascal, to_celsius, to_hectopascal

# How often, in sound sheets, chance alone may look like a slip, a drift or a wild set-up: once in
# 5,000 sheets for each.
FALSE_ALARMS_PER_SHEET = 1 / 5000
NEIGHBOURS = 5  # runs, the middle one among them
# Sheets whose readings wander get as many times their own wandering (COMMON_PRACTICE).
TIMES_ITS_WANDERING = 10.0


@dataclass(frozen=True)
class Check:
    """One look at a sheet.

    Parameters
    ----------
    find : callable
        find(rows, text, threshold) -> list of Fault, or of str for a note. It looks at the rows
        that are `used`, and changes nothing.
    reason : str
        Why this check, and this threshold.
    threshold : any
        What `find` holds the rows against.
    rank : int
        Of faults: the nearer a check is to the cause, the lower. A row that a lower rank has named
        is no longer `used` for a higher one.
    """

    find: Callable
    reason: str
    threshold: Any = None
    rank: int = 0

    def __call__(self, rows, text):
        return self.find(rows, text, self.threshold)


def without(rows, faults):
    """The table with a column `used`: False for the rows that faults name."""
    return rows.assign(used=~rows.row.isin({row for fault in faults for row in fault.rows}))


def looked_over(rows, text, known, faults, notes):
    """What two tables of checks, in any order, find in a sheet beside the faults that are known.

    Parameters
    ----------
    rows : pandas.DataFrame
        One line a run, with `row` (line of the file).
    text : SheetText
    known : sequence of Fault
        Of cells that could not be read; their rows are not looked at.
    faults, notes : sequence of Check
        Those of faults; and those of notes, which see the rows without any fault.

    Returns
    -------
    (pandas.DataFrame, tuple of Fault, tuple of str)
        The rows with a column `used`, all faults by rows, and the notes.

    Source: COMMON_PRACTICE
    """
    rank, found = attrgetter("rank"), []
    for _, alike in groupby(sorted(faults, key=rank), rank):
        left = without(rows, (*known, *found))
        found += [fault for check in alike for fault in check(left, text)]
    found.sort(key=lambda fault: (fault.row, fault.column, fault.what))
    found = tuple(sorted((*known, *found), key=attrgetter("row")))
    rows = without(rows, found)
    return rows, found, tuple(dict.fromkeys(note for check in notes for note in check(rows, text)))


# -- one value among its neighbours -------------------------------------------------------------------


def unlike_neighbours(values, jump):
    """Which values jump away from the middle of those around them.

    Parameters
    ----------
    values : pandas.Series [any one unit]
        In the order run.
    jump : float [the same unit]
        The least that counts; sheets that wander are allowed more, `TIMES_ITS_WANDERING`.

    Returns
    -------
    pandas.Series [the same unit]
        For each value that jumps (by its index), the middle of its neighbours.

    Source: COMMON_PRACTICE
    """
    middle = values.rolling(NEIGHBOURS, center=True, min_periods=3).median()
    gap = (values - middle).abs()
    return middle[gap > max(jump, TIMES_ITS_WANDERING * gap.median())]


def jumps(rows, text, limits):
    """Faults of readings that jump away from the runs before and after.

    Parameters
    ----------
    rows : pandas.DataFrame
        With `order`, `used`, and the fields of the columns.
    text : SheetText
    limits : sequence of (Column, float [SI])
        Columns, each with the least jump that counts.

    Returns
    -------
    list of Fault

    Source: COMMON_PRACTICE
    """
    ordered = rows[rows.used].sort_values("order", kind="stable")
    return [
        Fault.of(
            ordered.row[index], text.heading(column), "jump",
            value=text.in_words(column, ordered[column.field][index]),
            middle=text.in_words(column, middle),
        )
        for column, jump in limits
        for index, middle in unlike_neighbours(ordered[column.field], jump).items()
    ]  # fmt: skip


# -- the weather as a whole ---------------------------------------------------------------------------


@dataclass(frozen=True)
class UsualWeather:
    """Weather that people ride in: temperatures [K], and station pressures [Pa] of usual places.

    Source: COMMON_PRACTICE
    """

    coldest: float = float(celsius(-5))
    warmest: float = float(celsius(40))
    lowest: float = float(hectopascal(800))  # 2,000 m up: few ride higher, and no mmHg reads more
    highest: float = float(hectopascal(1060))
    weather: float = float(hectopascal(45))  # how far a day's pressure is from the standard one


_ALTITUDE = re.compile(
    r"(?:altitude|elevation|above sea level)\D{0,20}?(\d[\d,]*) ?m\b"
    r"|(\d[\d,]*) ?m (?:above sea level|altitude|elevation)",
    re.IGNORECASE,
)


def unusual_weather(rows, text, usual):
    """What to ask about the weather of a sheet, by the middle of its readings.

    A pressure that fits the altitude stated above the header ('altitude 1560 m') is not asked about.

    Parameters
    ----------
    rows : pandas.DataFrame
        With temperature [K], pressure [Pa], relative_humidity and used.
    text : SheetText
        For its notes.
    usual : UsualWeather

    Returns
    -------
    list of str

    Source: ISO2533
    """
    weather = ["temperature", "pressure", "relative_humidity"]
    temperature, pressure, humidity = rows.loc[rows.used, weather].median()
    if np.isnan([temperature, pressure, humidity]).any():  # not measured
        return []
    asked = []
    if not usual.coldest <= temperature <= usual.warmest:
        number = float(to_celsius(temperature))
        gaps = {"fahrenheit": number, "celsius": to_celsius(UNITS["degF"].into_si(number))}
        asked.append(say("sheet", "odd temperature", temperature=temperature, humidity=humidity, **gaps))
    stated = stated_altitude(text.above)
    if stated is not None:
        expected = float(standard_atmosphere(stated).pressure)
        if abs(pressure - expected) > usual.weather:
            gaps = {"altitude": stated, "expected": expected}
            asked.append(say("sheet", "pressure not of the altitude", pressure=pressure, **gaps))
    elif pressure < usual.lowest:
        heights = np.linspace(-400.0, 11_000.0, 1141)
        height = np.interp(-pressure, -standard_atmosphere(heights).pressure, heights)
        number = float(to_hectopascal(pressure))
        gaps = {"height": height, "number": number, "meant": UNITS["mmHg"].into_si(number)}
        asked.append(say("sheet", "low pressure", pressure=pressure, **gaps))
    elif pressure > usual.highest:
        asked.append(say("sheet", "high pressure", pressure=pressure))
    return asked


def stated_altitude(notes):
    """The altitude [m] that the lines above the header state, or None."""
    found = _ALTITUDE.search(" ".join(notes))
    altitude = float((found[1] or found[2]).replace(",", "")) if found else None
    return altitude if altitude is not None and altitude <= 5000 else None


USUAL_HUMIDITY = 0.5  # where a sheet leaves it out; COMMON_PRACTICE, and its whole range is counted


def humidity_not_known(rows):
    """What it costs that nobody gave the humidity, by the middle of the other weather.

    Parameters
    ----------
    rows : pandas.DataFrame
        With temperature [K] and pressure [Pa].

    Returns
    -------
    (float, dict)
        Relative standard uncertainty of density [1], where any humidity is as likely as any other; and
        the gaps of the sentences "no humidity", with `change`: by what part air is lighter at 100 %.

    Source: GUM
    """
    temperature, pressure = rows[["temperature", "pressure"]].median()
    dry, damp = (float(density(temperature, pressure, humidity)) for humidity in (0.0, 1.0))
    change = 1 - damp / dry
    return change / np.sqrt(12), {"usual": USUAL_HUMIDITY, "temperature": temperature, "change": change}


def densities(rows):
    """Air density [kg/m3] of each row: as it is given, or from its weather; nan where neither is clear."""
    weather = rows[["temperature", "pressure", "relative_humidity"]].astype(float)
    found, known = rows.air_density.astype(float), rows.air_density.isna() & weather.notna().all(axis=1)
    found[known] = density(*weather[known].to_numpy().T)
    return found


# -- names of set-ups ---------------------------------------------------------------------------------


def one_spelling(names):
    """The spelling that each name is read as: names that differ in capitals, spaces, hyphens are one.

    Parameters
    ----------
    names : sequence of str
        As they come in the file; '' stays ''.

    Returns
    -------
    dict of str to str
        Each name to the commonest spelling of it, the first of equals.

    Source: COMMON_PRACTICE
    """
    counts = pd.Series(list(names), dtype=object).value_counts(sort=False)
    alike = {}
    for name in counts.index:
        alike.setdefault("".join(_words(name)) or name, []).append(name)
    return {name: max(group, key=counts.get) for group in alike.values() for name in group}


def respelt(names):
    """Sentences about names that were read as one, from what `one_spelling` is given."""
    groups = {}
    for name, spelling in one_spelling(names).items():
        if name != spelling:
            groups.setdefault(spelling, []).append(name)
    return [
        say("sheet", "respelt", others=quoted(others), spelling=spelling, were="was" if len(others) == 1 else "were")
        for spelling, others in groups.items()
    ]


def nearly_alike(names):
    """Questions about pairs of names that differ by one letter, as a slip of the pen makes them.

    Letters alone at the end of a name are codes (helmet A, helmet B), and so are digits: those are
    not asked about. The letter that differs must be within a word of four letters or more.

    Parameters
    ----------
    names : sequence of str

    Returns
    -------
    list of str

    Source: COMMON_PRACTICE
    """
    return [
        say("sheet", "one letter", a=a, b=b)
        for a, b in combinations(dict.fromkeys(filter(None, names)), 2)
        if _one_letter_apart(a, b)
    ]


def _one_letter_apart(a, b):
    short, long = sorted((_words(a), _words(b)), key=lambda words: len("".join(words)))
    differ = [(s, t) for s, t in zip(short, long) if s != t]
    if len(short) != len(long) or len(differ) != 1 or min(map(len, differ[0])) < _SHORTEST_WORD:
        return False
    start = len(commonprefix(differ[0]))
    s, t = (word[start:] for word in differ[0])
    if len(t) > len(s):
        return s == t[1:] and t[0].isalpha()
    if len(s) == 1:  # another last letter is a code
        return False
    swapped = s[:2] == t[1::-1] and s[2:] == t[2:]
    return swapped or s[1:] == t[1:] and (s[0] + t[0]).isalpha()


_SHORTEST_WORD = 4


def _words(name):
    return re.split(r"[\s_]+", re.sub(r"[-.]", "", name.casefold()))


def quoted(names):
    return ", ".join(f"'{name}'" for name in names)


# -- words for faults ---------------------------------------------------------------------------------


def rows_in_words(rows):
    """'row 4' or 'rows 4, 5 and 9'."""
    *most, last = (str(int(row)) for row in rows)
    return f"rows {', '.join(most)} and {last}" if most else f"row {last}"
