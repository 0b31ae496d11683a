"""The edge of the library: the units people use, into SI and out again.

Everything inside the library is SI (m/s, m2, kg, N, W, Pa, K, rad, fractions). A number in
another unit is turned at once where it enters, by the function named after its unit, and turned
back where it is shown, by the one named `to_...`.

Sources: BIPM_SI for minute, hour and degree; CGPM1901 for the standard gravity behind the gram-force.
"""

from math import isfinite

import numpy as np

from dragwork.constants import STANDARD_GRAVITY, ZERO_CELSIUS


def _number(value):
    array = np.asarray(value)
    if array.dtype.kind not in "iuf":
        raise ValueError(f"{value!r} is not a number; give the number alone, without its unit.")
    return array


def kmh(speed):
    """Kilometres per hour into m/s."""
    return _number(speed) / 3.6


def to_kmh(speed):
    """m/s into kilometres per hour."""
    return _number(speed) * 3.6


def deg(angle):
    """Degrees into radians."""
    return np.deg2rad(_number(angle))


def to_deg(angle):
    """Radians into degrees."""
    return np.rad2deg(_number(angle))


def celsius(temperature):
    """Degrees Celsius into kelvin."""
    return _number(temperature) + ZERO_CELSIUS


def to_celsius(temperature):
    """Kelvin into degrees Celsius."""
    return _number(temperature) - ZERO_CELSIUS


def hectopascal(pressure):
    """Hectopascals (the forecast's millibars) into Pa."""
    return _number(pressure) * 100.0


def to_hectopascal(pressure):
    """Pa into hectopascals."""
    return _number(pressure) / 100.0


def grams_force(force):
    """Grams-force (what a kitchen scale would show) into N."""
    return _number(force) * (STANDARD_GRAVITY / 1000.0)


def to_grams_force(force):
    """N into grams-force."""
    return _number(force) / (STANDARD_GRAVITY / 1000.0)


def kilometres(distance):
    """Kilometres into m."""
    return _number(distance) * 1000.0


def to_kilometres(distance):
    """m into kilometres."""
    return _number(distance) / 1000.0


def minutes(time):
    """Minutes into s."""
    return _number(time) * 60.0


def to_minutes(time):
    """Seconds into minutes."""
    return _number(time) / 60.0


def hours(time):
    """Hours into s."""
    return _number(time) * 3600.0


def to_hours(time):
    """Seconds into hours."""
    return _number(time) / 3600.0


def percent(share):
    """Percent into a fraction."""
    return _number(share) / 100.0


def to_percent(share):
    """A fraction into percent."""
    return _number(share) * 100.0


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
