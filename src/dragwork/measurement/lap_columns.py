"""The columns of a field sheet: what they are called, in which units, and what may stand in them.

Only mean power and mean speed (or lap time and distance) must be there. Headings without a unit are
read by the size of their numbers, and the sheet says so.
"""

import re
from dataclasses import replace

from dragwork.measurement.sheet_reading import Column
from dragwork.quantities import QUANTITIES, Quantity

# Below 1 m/s nobody rides steadily, and a force from power over speed would blow up any noise.
LAP_SPEED = Quantity("m/s", 1.0, 25.0)
LAP_POWER = Quantity("W", 0.0, 3000.0)
LAP_LENGTH = Quantity("m", 50.0, 50_000.0)


_SPEEDS, _LENGTHS = ("km/h", "m/s", "mph"), ("m", "km", "mi", "ft")
_WATTS = ("W",)
_WORDS = {
    "yes": "yes", "y": "yes", "x": "yes", "true": "yes", "1": "yes", "ja": "yes", "oui": "yes", "si": "yes", "sí": "yes",
    "no": "no", "n": "no", "-": "no", "false": "no", "0": "no", "none": "no", "nein": "no", "non": "no",
}  # fmt: skip


def _column(field, name, units=None, limits=None, synonyms="", **more):
    """A column that may be absent; synonyms parted by commas."""
    names = tuple(part.strip() for part in synonyms.split(",") if part.strip())
    return Column(field, name, units, limits, optional=True, synonyms=names, **more)


LAP = _column("lap", "lap", synonyms=(
    "laps, lap no, lap nr, lap number, lap name, run, run no, run number, interval, #, nr, runde, tour, vuelta"))  # fmt: skip
ORDER = _column("order", "order", number=True, limits=Quantity("", 1, 100_000), synonyms="order ridden")
DIRECTION = _column("direction", "direction", synonyms="dir, way, leg, richtung, sens, sentido")
POSITION = _column("position", "position", synonyms=(
    "position code, set-up, setup, set up, posture, configuration, config, equipment, what was tested, haltung, posición"))  # fmt: skip
DISTANCE = _column("distance", "distance", _LENGTHS, LAP_LENGTH, (
    "length, lap distance, lap length, dist, strecke, distanz, distancia"))  # fmt: skip
# Read as words, as they come in many forms: 83.4, 1:23.4, 0:01:23.
TIME = _column("time", "time", synonyms=(
    "lap time, duration, time of lap, timer time, zeit, rundenzeit, temps, durée, tiempo"))  # fmt: skip
MOVING = _column("moving_time", "moving time")
ELAPSED = _column("elapsed_time", "elapsed time")
START_SPEED = _column("start_speed", "start speed", _SPEEDS, LAP_SPEED, "speed at start, speed in")
END_SPEED = _column("end_speed", "end speed", _SPEEDS, LAP_SPEED, "speed at end, speed out")
SPEED = _column("speed", "mean speed", _SPEEDS, LAP_SPEED, (
    "average speed, avg speed, speed, speed avg, speed mean, mean velocity, velocity, v, geschwindigkeit, ø geschwindigkeit, durchschnittsgeschwindigkeit, "
    "vitesse, vitesse moyenne, velocidad, velocidad media"))  # fmt: skip
POWER = _column("power", "mean power", _WATTS, LAP_POWER, (
    "average power, avg power, power, power avg, power mean, watts, avg watts, average watts, mean watts, p, "
    "leistung, mittlere leistung, ø leistung, ø watt, durchschnittsleistung, durchschnittliche leistung, puissance, puissance moyenne, potencia, potencia media"))  # fmt: skip
ZERO = _column("zero", "meter zero", _WATTS, Quantity("W", -200.0, 200.0), "zero, zero offset, meter offset")
HEAD_WIND = _column("head_wind", "head wind", ("m/s", "km/h", "mph"),
                    Quantity("m/s", -15.0, 15.0), "headwind", blank=True)  # fmt: skip
TEMPERATURE = _column(
    "temperature", "temperature", ("degC", "degF", "K"),
    QUANTITIES["temperature"], "air temperature, temp, avg temp, avg temperature, t, temperatur, température, temperatura",
)  # fmt: skip
PRESSURE = _column(
    "pressure", "station pressure",
    ("hPa", "Pa", "kPa", "mmHg", "inHg"),
    Quantity("Pa", 50e3, 115e3), "pressure at the place, air pressure, pressure, barometer, luftdruck, pression, presión",
)  # fmt: skip
HUMIDITY = _column("relative_humidity", "humidity", ("%",), QUANTITIES["relative_humidity"], (
    "relative humidity, rh, luftfeuchte, feuchte, humidité, humedad"))  # fmt: skip
AIR_DENSITY = _column("air_density", "air density", ("kg/m3",), QUANTITIES["air_density"],
                      "density, rho, luftdichte")  # fmt: skip
MASS = _column("all_up_mass", "all-up mass", ("kg", "lb"), Quantity("kg", 15.0, 500.0), (
    "total mass, system mass, mass, weight, rider and bike, rider+bike, rider + bike, rider plus bike, all-up weight, total weight, system weight, gesamtmasse, gesamtgewicht"))  # fmt: skip
TYRE = _column("tyre", "tyre", blank=True)
TYRE_PRESSURE = _column(
    "tyre_pressure", "tyre pressure", ("kPa", "bar", "psi"),
    Quantity("Pa", 5e4, 2e6), blank=True,
)  # fmt: skip
SURFACE = _column("surface", "surface", blank=True)
GRADIENT = _column("gradient", "gradient", ("%",), Quantity("", -0.1, 0.1), blank=True)
TRAFFIC = _column("traffic", "traffic", words=_WORDS, synonyms="cars, car")
BRAKE = _column("brake", "brake", words=_WORDS, synonyms="brakes, braked, braking")
REMARKS = _column("remarks", "remarks", blank=True, synonyms="remark, notes, note, comment, comments")

COLUMNS = (
    LAP, ORDER, DIRECTION, POSITION, DISTANCE, START_SPEED, END_SPEED, SPEED, POWER, ZERO,
    HEAD_WIND, TEMPERATURE, PRESSURE, HUMIDITY, MASS, TYRE, TYRE_PRESSURE, SURFACE, GRADIENT,
    TRAFFIC, BRAKE, REMARKS,
)  # fmt: skip
IN_PLACE = (TIME, MOVING, ELAPSED, AIR_DENSITY)  # of speed, distance and weather
# A small table beside the laps, with what held all day.
OF_THE_DAY = (
    replace(TEMPERATURE, optional=False), replace(PRESSURE, optional=False), HUMIDITY, MASS,
)  # fmt: skip


def without_unit(column):
    """The same column, its heading bare: a plain number, whose unit is seen from its size.

    Parameters
    ----------
    column : Column

    Returns
    -------
    Column

    Source: COMMON_PRACTICE
    """
    return replace(column, field=f"{column.field} bare", units=None, limits=None, number=True,
                   may_bear=tuple(column.units))  # fmt: skip


BARE = tuple(without_unit(c) for c in (*COLUMNS, AIR_DENSITY) if c.units)


def usual_unit(column, middle):
    """The unit in which a middle value of that size is usual, the first of the column's if in doubt.

    Parameters
    ----------
    column : Column
    middle : float [the unit that is sought]

    Returns
    -------
    str
        One of the column's units [text].

    Source: COMMON_PRACTICE
    """
    for unit, (low, high) in _USUAL_SIZES.get(column.field, {}).items():
        if low <= middle < high:
            return unit
    return next(iter(column.units))


# Sizes of what a lap shows, by unit; those of two units that overlap are read as the first, and the
# sheet says which. COMMON_PRACTICE
_SPEED_SIZES = {"km/h": (15, 90), "m/s": (1, 15)}
_USUAL_SIZES = {
    "speed": _SPEED_SIZES, "start_speed": _SPEED_SIZES, "end_speed": _SPEED_SIZES,
    "distance": {"m": (50, 1e5), "km": (0.05, 50)},
    "temperature": {"degC": (-30, 46), "degF": (46, 120), "K": (250, 320)},
    "pressure": {"hPa": (500, 1150), "Pa": (50e3, 115e3), "kPa": (50, 115), "inHg": (15, 34)},
    "tyre_pressure": {"bar": (1, 16), "psi": (30, 200), "kPa": (200, 1500)},
}  # fmt: skip


_CLOCK = re.compile(r"(?:(\d+):)?(\d+):(\d+(?:\.\d*)?)")
_NUMBER = r"(\d+(?:\.\d*)?)\s*"
_WORDED = re.compile(
    rf"(?:{_NUMBER}(?:h|hrs?|hours?)\s*)?(?:{_NUMBER}(?:m|mins?|minutes?|['′])\s*)?"
    rf"(?:{_NUMBER}(s|secs?|seconds?|\"|''|″)?)?"
)
_IN_SECONDS = {"min": 60.0, "minutes": 60.0, "h": 3600.0}


def seconds(cell, unit=""):
    """A lap time as people write it: '83.4', '83.4 s', '1:23.4', '0:01:23', '1 min 23 s'.

    Parameters
    ----------
    cell : str
    unit : str
        Of a number alone: '' or 's', 'min', 'h'.

    Returns
    -------
    float [s]
        None where it is no time.

    Source: COMMON_PRACTICE
    """
    text = cell.strip().casefold().replace(",", ".")
    found = _CLOCK.fullmatch(text)
    if found:
        hours, minutes, rest = (float(part or 0) for part in found.groups())
        return None if rest >= 60 or (hours and minutes >= 60) else 3600 * hours + 60 * minutes + rest
    found = _WORDED.fullmatch(text)
    if not text or not found:
        return None
    hours, minutes, rest, word = found.groups()
    if hours or minutes or word:
        return 3600 * float(hours or 0) + 60 * float(minutes or 0) + float(rest or 0)
    return float(rest) * _IN_SECONDS.get(unit, 1.0)


def laps_named(text):
    """Which laps were ridden in which position, as people type it: `hoods 1-8; drops 9-14, 17`.

    Parameters
    ----------
    text : str
        Positions parted by semicolons or new lines; ranges of lap numbers, or names of laps.

    Returns
    -------
    dict of str to str [text]
        Each lap to its position.

    Raises
    ------
    ValueError
        Where it cannot be read, or a lap is named twice, in words.

    Source: COMMON_PRACTICE
    """
    found = {}
    for entry in re.split(r"[;\n]+", text):
        if not entry.strip():
            continue
        match = re.fullmatch(r"\s*(?P<name>.*?[^\s:=,])\s*[:= ]\s*(?:laps?\s+)?(?P<laps>\d+(?:\s*(?:[-–,]|to|and| )\s*\d+)*)\s*", entry)
        if not match:
            raise ValueError(f"'{entry.strip()}' is not read. Write a position and its laps, such as: hoods 1-8; drops 9-16.")
        for part in re.findall(r"(\d+)(?:\s*(?:-|–|to)\s*(\d+))?", match["laps"]):
            first, last = int(part[0]), int(part[1] or part[0])
            if last < first or last - first > 10_000:
                raise ValueError(f"'{entry.strip()}': the laps {first} to {last} run backwards or are too many.")
            for lap in map(str, range(first, last + 1)):
                if lap in found:
                    raise ValueError(f"Lap {lap} is named twice.")
                found[lap] = match["name"]
    if not found:
        raise ValueError("Write each position and its laps, such as: hoods 1-8; drops 9-16.")
    return found
