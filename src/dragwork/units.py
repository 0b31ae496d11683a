"""The edge of the library: one table of the units people use, into SI and out again.

Everything inside the library is SI (m/s, m2, kg, N, W, Pa, K, rad, fractions). A number in
another unit is turned at once where it enters, and turned back where it is shown. `UNITS` (from
`units.csv`) is the table for everybody: what is typed, the headings and cells of sheets, the knobs of panels. The
functions below it (`kmh`, `to_kmh` ...) do the same for code. All units of the table are read;
pages show the metric ones.

Sources: BIPM_SI for the metric units, minute, hour, degree and bar; CGPM1901 for the standard
gravity behind the units of force; NIST_SP811 for the others, whose factors are exact.
"""

import functools
import re
from dataclasses import dataclass
from math import isfinite

import numpy as np

from dragwork import files


def _number(value):
    array = np.asarray(value)
    if array.dtype.kind not in "iuf":
        raise ValueError(f"{value!r} is not a number; give the number alone, without its unit.")
    return array


@dataclass(frozen=True)
class Unit:
    """A unit of measurement: how it is written, read aloud and turned into SI.

    Parameters
    ----------
    name : str
        As the code writes it: `m2`, `km/h`.
    measures : str
        What it is a unit of: `speed`.
    spoken : str
        As a screen reader should say it: `kilometres per hour`.
    spellings : str
        Other ways to write it, apart by blanks, as `spelt` leaves them.
    times, per, zero : float
        SI = number * times / per + zero.
    """

    name: str
    measures: str
    spoken: str
    spellings: str = ""
    times: float = 1.0
    per: float = 1.0
    zero: float = 0.0

    def into_si(self, number):
        """A number or array in this unit, in SI."""
        return _number(number) * self.times / self.per + self.zero

    def out_of_si(self, value):
        """A value or array in SI, in this unit."""
        return (_number(value) - self.zero) * self.per / self.times

    @functools.cached_property
    def printed(self):
        """As a page shows it: `m²`, `kg/m³`, `°C`; nothing for a plain number."""
        shown = {"1": "", "deg": "°", "degC": "°C", "degF": "°F"}.get(self.name, self.name)
        return re.sub(r"(?<=[mt])[23]", lambda power: "²³"[int(power[0]) - 2], shown)

    def behind(self, number):
        """A number, written, and the unit as a page shows it: `36 km/h`, `5°`, `0.3`."""
        return f"{number}{'' if self.printed in ('', '°') else ' '}{self.printed}"


def _unit(row):
    factors = {name: float(row.pop(name)) for name in ("times", "per", "zero")}
    return Unit(**row, **factors)


UNITS = {row["name"]: _unit(row) for row in files.rows_of_table("dragwork", "units.csv")}

# What people and programs write for a minus and for a blank, for `str.maketrans`.
DASHES, BLANKS = dict.fromkeys("‐‑‒–—−﹣－", "-"), dict.fromkeys("\u00a0\u2009\u202f", " ")
PLAIN_SIGNS = str.maketrans(DASHES | BLANKS)

# What people write for the same thing: typographers' signs, powers, American spelling, "per".
_PLAIN = str.maketrans(
    {"²": "2", "³": "3", "¹": "1", "⁻": "-", "º": "°", "˚": "°", "’": "'", "″": '"', "”": '"'}
    | DASHES
    | dict.fromkeys("·⋅∙*^", "")
)


def spelt(text):
    """A unit as it is looked up: `Kilometers per hour` and `km / h` alike, no blank in it.

    Examples
    --------
    >>> spelt("kg m^-3"), spelt("Meters per second"), spelt("m²")
    ('kgm-3', 'metres/second', 'm2')
    """
    words = text.translate(_PLAIN).casefold().replace(".", "").strip()
    words = re.sub(r"\s+(?:per|an?)\s+", "/", words)
    return re.sub(r"meter", "metre", re.sub(r"\s+", "", words))


_SPELLINGS = {}  # how it is written -> the units written so, their own names first
for _unit in UNITS.values():
    _own = [_unit.name, _unit.printed, _unit.spoken, *_unit.spellings.split()]
    for _name in dict.fromkeys(map(spelt, _own)):
        _found = _SPELLINGS.setdefault(_name, [])
        _found.insert(0 if _name == spelt(_unit.name) else len(_found), _unit)


@functools.lru_cache(maxsize=1000)  # each cell of a sheet asks
def units_written(spelling):
    """All units of the table that are written so: `g` is one of mass and one of force.

    A quotient of two units is read as such: `miles/hour`, `km per h`.

    Parameters
    ----------
    spelling : str
        Capitals, blanks and a full stop at the end do not matter.

    Returns
    -------
    tuple of Unit
        Empty where nothing is written so; the unit with this very name first.

    Examples
    --------
    >>> [unit.measures for unit in units_written("g")], units_written("furlong")
    (['mass', 'force'], ())
    """
    name = spelt(spelling)
    if name not in _SPELLINGS and name.count("/") == 1:
        above, below = ([u.name for u in _SPELLINGS.get(part, ())] for part in name.split("/"))
        quotients = [f"{a}/{b}" for a in above for b in below]
        name = next((quotient for quotient in quotients if quotient in _SPELLINGS), "")
    return tuple(_SPELLINGS.get(name, ())) if name else ()


def unit_of(spelling, measures):
    """The unit of one kind that is written so; None where there is none.

    Examples
    --------
    >>> unit_of("kg", "mass").name, unit_of("kg", "force").name, unit_of("kg", "speed")
    ('kg', 'kgf', None)
    """
    return next((unit for unit in units_written(spelling) if unit.measures == measures), None)


def _converters(name, words, si):
    """Two functions, which turn numbers and arrays in a unit of the table into SI, and back."""

    def into_si(number):
        return UNITS[name].into_si(number)

    def out_of_si(value):
        return UNITS[name].out_of_si(value)

    into_si.__doc__, out_of_si.__doc__ = f"From {words} into {si}.", f"From {si} into {words}."
    return into_si, out_of_si


kmh, to_kmh = _converters("km/h", "kilometres per hour", "m/s")
deg, to_deg = _converters("deg", "degrees", "radians")
celsius, to_celsius = _converters("degC", "degrees Celsius", "kelvin")
hectopascal, to_hectopascal = _converters("hPa", "hectopascals (the forecast's millibars)", "Pa")
grams_force, to_grams_force = _converters("gf", "grams-force (of a kitchen scale)", "N")
kilometres, to_kilometres = _converters("km", "kilometres", "m")
minutes, to_minutes = _converters("min", "minutes", "s")
hours, to_hours = _converters("h", "hours", "s")
percent, to_percent = _converters("%", "percent", "a fraction")


def clock(time):
    """Seconds as people read a time: `0:49`, `12:05`, `1:02:30`; a minus sign goes in front.

    Rounded to the nearest second before it is split, so that 59.7 s is `1:00`.
    """
    time = float(_number(time))
    if not isfinite(time):
        raise ValueError(f"time is {time}; a number of seconds is needed.")
    seconds = round(abs(time))
    sign = "-" if time < 0 and seconds else ""
    hours_part, rest = divmod(seconds, 3600)
    minutes_part, seconds_part = divmod(rest, 60)
    if hours_part:
        return f"{sign}{hours_part}:{minutes_part:02d}:{seconds_part:02d}"
    return f"{sign}{minutes_part}:{seconds_part:02d}"
