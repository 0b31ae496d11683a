"""The edge of the library: one table of the units people use, into SI and out again.

Everything inside the library is SI (m/s, m2, kg, N, W, Pa, K, rad, fractions). A number in
another unit is turned at once where it enters, and turned back where it is shown. `UNITS` is the
table for everybody: what is typed, the headings and cells of sheets, the knobs of panels. The
functions below it (`kmh`, `to_kmh` ...) do the same for code. All units of the table are read;
pages show the metric ones.

Sources: BIPM_SI for the metric units, minute, hour, degree and bar; CGPM1901 for the standard
gravity behind the units of force; NIST_SP811 for the others, whose factors are exact.
"""

import re
from dataclasses import dataclass
from math import isfinite, pi

import numpy as np

from dragwork.constants import STANDARD_GRAVITY, ZERO_CELSIUS

_POUND, _FOOT = 0.45359237, 0.3048  # kg, m: NIST_SP811, exact
_MERCURY = 13595.1 * STANDARD_GRAVITY  # Pa per metre of the conventional column: NIST_SP811


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

    @property
    def printed(self):
        """As a page shows it: `m²`, `kg/m³`, `°C`; nothing for a plain number."""
        shown = {"1": "", "deg": "°", "degC": "°C", "degF": "°F"}.get(self.name, self.name)
        return re.sub(r"(?<=[mt])[23]", lambda power: "²³"[int(power[0]) - 2], shown)


UNITS = {
    unit.name: unit
    for unit in (
        Unit("1", "plain number", ""),
        Unit("%", "plain number", "percent", "pct percentage percents"
             " percentagepoint percentagepoints percentpoint percentpoints %-point %-points pp points", per=100.0),
        Unit("m2", "area", "square metres", "sqm squaremetre"),
        Unit("cm2", "area", "square centimetres", "sqcm squarecentimetre", per=1e4),
        Unit("ft2", "area", "square feet", "sqft squarefoot", _FOOT**2),
        Unit("m/s", "speed", "metres per second", "mps ms-1 m/sec"),
        Unit("km/h", "speed", "kilometres per hour", "kmh kph kmph kmh-1 km/hr", per=3.6),
        Unit("mph", "speed", "miles per hour", "mi/h mi/hr mileh", 1609.344, 3600.0),
        Unit("ft/s", "speed", "feet per second", "fps ft/sec fts-1", _FOOT),
        Unit("kn", "speed", "knots", "kt kts knot", 1852.0, 3600.0),
        Unit("W", "power", "watts", "watt"),
        Unit("kW", "power", "kilowatts", "kilowatt", 1e3),
        Unit("kg", "mass", "kilograms", "kgs kilo kilos kilogram"),
        Unit("g", "mass", "grams", "gram gm gms", per=1e3),
        Unit("lb", "mass", "pounds", "lbs pound", _POUND),
        Unit("N", "force", "newtons", "newton"),
        Unit("gf", "force", "grams-force", "g gram grams gm gms gram-force",
             STANDARD_GRAVITY / 1e3),
        Unit("kgf", "force", "kilograms-force",
             "kg kgs kilo kilos kilogram kilograms kilogram-force kp", STANDARD_GRAVITY),
        Unit("lbf", "force", "pounds-force", "lb lbs pound pounds pound-force",
             _POUND * STANDARD_GRAVITY),
        Unit("kg/m3", "density", "kilograms per cubic metre", "kgm-3 g/l kilogram/cubicmetre"),
        Unit("g/m3", "density", "grams per cubic metre", "gm-3 gram/cubicmetre", per=1e3),
        Unit("Pa", "pressure", "pascals", "pascal"),
        Unit("hPa", "pressure", "hectopascals", "hectopascal mbar mb millibar millibars", 100.0),
        Unit("kPa", "pressure", "kilopascals", "kilopascal", 1e3),
        Unit("bar", "pressure", "bar", "bars", 1e5),
        Unit("mmHg", "pressure", "millimetres of mercury", "torr mmofhg", _MERCURY, 1e3),
        Unit("inHg", "pressure", "inches of mercury", "inofhg \"hg", _MERCURY * 0.0254),
        Unit("psi", "pressure", "pounds per square inch", "lb/in2 lbf/in2",
             _POUND * STANDARD_GRAVITY, 0.0254**2),
        Unit("K", "temperature", "kelvin", "kelvins"),
        Unit("degC", "temperature", "degrees Celsius", "°c c celsius degreecelsius centigrade",
             zero=ZERO_CELSIUS),
        Unit("degF", "temperature", "degrees Fahrenheit", "°f f fahrenheit degreefahrenheit",
             per=1.8, zero=459.67 / 1.8),
        Unit("rad", "angle", "radians", "radian rads"),
        Unit("deg", "angle", "degrees", "° degs degree grad grado grados degré degrés", pi / 180.0),
        Unit("m", "distance", "metres", "metre mtr mtrs"),
        Unit("km", "distance", "kilometres", "kms kilometre k", 1e3),
        Unit("cm", "distance", "centimetres", "centimetre", per=100.0),
        Unit("mm", "distance", "millimetres", "millimetre", per=1e3),
        Unit("ft", "distance", "feet", "foot '", _FOOT),
        Unit("mi", "distance", "miles", "mile", 1609.344),
        Unit("s", "time", "seconds", "sec secs second \""),
        Unit("min", "time", "minutes", "mins minute m '", 60.0),
        Unit("h", "time", "hours", "hr hrs hour", 3600.0),
        Unit("J", "energy", "joules", "joule"),
        Unit("kJ", "energy", "kilojoules", "kilojoule", 1e3),
        Unit("Wh", "energy", "watt-hours", "watt-hour watthours watthour", 3600.0),
        Unit("kWh", "energy", "kilowatt-hours", "kilowatt-hour kilowatthours", 3.6e6),
    )
}  # fmt: skip

# What people and programs write for a minus and for a blank, for `str.maketrans`.
DASHES, BLANKS = dict.fromkeys("‐‑‒–—−﹣－", "-"), dict.fromkeys("\u00a0\u2009\u202f", " ")

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


def kmh(speed):
    """Kilometres per hour into m/s."""
    return UNITS["km/h"].into_si(speed)


def to_kmh(speed):
    """m/s into kilometres per hour."""
    return UNITS["km/h"].out_of_si(speed)


def deg(angle):
    """Degrees into radians."""
    return UNITS["deg"].into_si(angle)


def to_deg(angle):
    """Radians into degrees."""
    return UNITS["deg"].out_of_si(angle)


def celsius(temperature):
    """Degrees Celsius into kelvin."""
    return UNITS["degC"].into_si(temperature)


def to_celsius(temperature):
    """Kelvin into degrees Celsius."""
    return UNITS["degC"].out_of_si(temperature)


def hectopascal(pressure):
    """Hectopascals (the forecast's millibars) into Pa."""
    return UNITS["hPa"].into_si(pressure)


def to_hectopascal(pressure):
    """Pa into hectopascals."""
    return UNITS["hPa"].out_of_si(pressure)


def grams_force(force):
    """Grams-force (what a kitchen scale would show) into N."""
    return UNITS["gf"].into_si(force)


def to_grams_force(force):
    """N into grams-force."""
    return UNITS["gf"].out_of_si(force)


def kilometres(distance):
    """Kilometres into m."""
    return UNITS["km"].into_si(distance)


def to_kilometres(distance):
    """m into kilometres."""
    return UNITS["km"].out_of_si(distance)


def minutes(time):
    """Minutes into s."""
    return UNITS["min"].into_si(time)


def to_minutes(time):
    """Seconds into minutes."""
    return UNITS["min"].out_of_si(time)


def hours(time):
    """Hours into s."""
    return UNITS["h"].into_si(time)


def to_hours(time):
    """Seconds into hours."""
    return UNITS["h"].out_of_si(time)


def percent(share):
    """Percent into a fraction."""
    return UNITS["%"].into_si(share)


def to_percent(share):
    """A fraction into percent."""
    return UNITS["%"].out_of_si(share)


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
