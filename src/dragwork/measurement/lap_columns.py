"""The columns of a field sheet; names, units and ranges are in `lap_columns.csv`.

Only mean power and mean speed (or lap time and distance) must be there.
"""

import re
from dataclasses import replace

from dragwork.measurement.sheet_columns import read_columns
from dragwork.quantities import Quantity

# Below 1 m/s nobody rides steadily, and a force from power over speed would blow up any noise.
LAP_SPEED = Quantity("m/s", 1.0, 25.0)
LAP_POWER = Quantity("W", 0.0, 3000.0)
LAP_LENGTH = Quantity("m", 50.0, 50_000.0)

(*_OF_A_LAP, TIME, MOVING, ELAPSED, AIR_DENSITY) = read_columns(
    "lap_columns.csv",
    {"lap speed": LAP_SPEED, "lap power": LAP_POWER, "lap length": LAP_LENGTH},
)
(
    LAP, ORDER, DIRECTION, POSITION, DISTANCE, START_SPEED, END_SPEED, SPEED, POWER, ZERO,
    HEAD_WIND, TEMPERATURE, PRESSURE, HUMIDITY, MASS, TYRE, TYRE_PRESSURE, SURFACE, GRADIENT,
    TRAFFIC, BRAKE, REMARKS,
) = COLUMNS = tuple(_OF_A_LAP)  # fmt: skip
# Times are read as words, as they come in many forms: 83.4, 1:23.4, 0:01:23.
IN_PLACE = (TIME, MOVING, ELAPSED, AIR_DENSITY)  # of speed, distance and weather
# A small table beside the laps, with what held all day.
OF_THE_DAY = (
    replace(TEMPERATURE, optional=False), replace(PRESSURE, optional=False), HUMIDITY, MASS,
)  # fmt: skip


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
    for entry in filter(None, map(str.strip, re.split(r"[;\n]+", text))):
        match = re.fullmatch(r"\s*(?P<name>.*?[^\s:=,])\s*[:= ]\s*(?:laps?\s+)?(?P<laps>\d+(?:\s*(?:[-–,]|to|and| )\s*\d+)*)\s*", entry)
        if not match:
            raise ValueError(f"'{entry}' is not read. Write a position and its laps, such as: hoods 1-8; drops 9-16.")
        for part in re.findall(r"(\d+)(?:\s*(?:-|–|to)\s*(\d+))?", match["laps"]):
            first, last = int(part[0]), int(part[1] or part[0])
            if last < first or last - first > 10_000:
                raise ValueError(f"'{entry}': the laps {first} to {last} run backwards or are too many.")
            for lap in map(str, range(first, last + 1)):
                if lap in found:
                    raise ValueError(f"Lap {lap} is named twice.")
                found[lap] = match["name"]
    if not found:
        raise ValueError("Write each position and its laps, such as: hoods 1-8; drops 9-16.")
    return found
