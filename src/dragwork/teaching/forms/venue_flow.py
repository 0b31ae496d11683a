"""The air on a road of one's own in notebook 01: its density with a range, and the reading behind the width."""

import re
from functools import partial

import numpy as np

from dragwork import physics, units
from dragwork.measurement.uncertainty import propagate
from dragwork.teaching.answers import parse_quantity
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import my_rider
from dragwork.teaching.report import Found, Table

REFERENCE = (units.celsius(20), units.hectopascal(1013), 0.0)  # the reference day of the lesson
DISTANCE = units.kilometres(40)
COLUMN = 4.0  # K, standard uncertainty of the mean temperature of the air below; common practice, no source
WEATHER, ODD = units.hectopascal(45), units.hectopascal(15)  # the weather's reach, and what is worth a remark
STORM = units.hectopascal(980)

WORDS = FormWords("venue_flow.json")
# Reading: what it is called, its usual standard uncertainty (common practice, no source) and the limits of
# one that is typed, in the unit of its box; what would narrow the range most.
READINGS = WORDS.table["readings"]
_TYPED = {name: about for name, about in READINGS.items() if "unit" in about}
_INTO_SI = {"%": units.percent, "hPa": units.hectopascal}


# -- what is asked ------------------------------------------------------------------------------------


def _give_or_take(reading, text):
    """A standard uncertainty of a reading; an empty box is the usual one."""
    unit = reading["unit"]
    around = rf"\s*(±|\+/?-)\s*|\s*({re.escape(unit)}|°\s*c?|k|c|points?|percent)\s*$"
    bare = re.sub(around, "", str(text).strip(), flags=re.I)
    number = parse_quantity(bare, "1") if bare else reading["usual"]
    if not reading["low"] <= number <= reading["high"]:
        raise ValueError(WORDS("outside", typed=number, **reading))
    return float(_INTO_SI.get(unit, float)(number))


def _forecast(text):
    try:
        return WORDS.by_name["sea_level_pressure"].knob.read(text)
    except ValueError as error:
        raise ValueError(f"{error} {WORDS('a barometer reads it')}") from None


def _read_air(values, answers):
    humidity = values["relative_humidity"]
    if 0 < humidity < units.percent(1):
        raise ValueError(WORDS("dry", humidity=WORDS.value("relative_humidity", humidity)))
    return {name: (values[name], values[f"{name}_sd"]) for name in ("temperature", "relative_humidity")}


def _air_in_words(air, answers):
    (t, t_sd), (h, h_sd) = air["temperature"], air["relative_humidity"]
    temperature, humidity = WORDS.value("temperature", t), WORDS.value("relative_humidity", h)
    return WORDS("air", temperature, t_sd, humidity, units.to_percent(h_sd))


def _read_pressure(values, answers):
    z = values["altitude"]
    if values["source"] == "barometer":
        p = values["pressure"]
        if z is not None and abs(p - usual_pressure(z)) > WEATHER:
            raise ValueError(WORDS("no weather", pressure=_pressure(p), **_at(z)))
        return {"pressure": (p, values["pressure_sd"]), "at": z}
    if z is None:
        raise ValueError(WORDS("no height"))
    readings = {name: (values[name], values[f"{name}_sd"]) for name in ("sea_level_pressure", "altitude")}
    return readings | {"column": (0.0, COLUMN)}


def _pressure_in_words(said, answers):
    if "pressure" in said:
        p, sd = said["pressure"]
        return WORDS("barometer", pressure=_pressure(p), sd=sd)
    (p, sd), (z, z_sd) = said["sea_level_pressure"], said["altitude"]
    here = _pressure(round(physics.station_pressure(p, z, answers["air"]["temperature"][0]), -2))
    return WORDS("forecast", _pressure(p), sd, WORDS.value("altitude", z), z_sd, here=here)


def _pressure(p):
    return WORDS.value("pressure", p)


def _at(z):
    """An altitude and its usual pressure, in words."""
    return {"altitude": WORDS.value("altitude", z), "usual": _pressure(round(usual_pressure(z), -2))}


def usual_pressure(altitude):
    """Pressure on an average day at an altitude [m], in pascals."""
    return float(physics.standard_atmosphere(altitude).pressure)


def usual_altitude(pressure):
    """Where a barometer reads that pressure [Pa] on an average day, in metres."""
    heights = np.arange(8000.0, -2001.0, -100.0).clip(-400)
    return float(np.interp(pressure, physics.standard_atmosphere(heights).pressure, heights))


# -- what it answers ----------------------------------------------------------------------------------


def _compared(density):
    """How a density with its range differs from the reference day, and what that is worth to a rider."""
    reference = float(physics.density(*REFERENCE))
    densities = np.array([density.value, density.low, density.high])
    change, *ends = units.to_percent(densities / reference - 1)
    if min(ends) < 0 < max(ends):
        return WORDS("either", -min(ends), max(ends))
    word, less, fewer = ("thinner", "less", "less") if change < 0 else ("denser", "more", "more")
    near, far = sorted(map(abs, ends))
    me, days = my_rider(), physics.Conditions(np.array([reference, *densities]))
    before, *after = DISTANCE / physics.steady_speed(me.rider, days, me.power)
    seconds, *times = (abs(before - each) for each in after)
    return WORDS(
        "compared", change=abs(change), word=word, near=near, far=far, less=less, fewer=fewer, member=me,
        seconds=seconds, times=sorted(times),
    )  # fmt: skip


def _density(temperature, relative_humidity, pressure):
    """Density, on a straight line between dry and saturated air, so that its slope exists at both ends."""
    dry, full = (physics.density(temperature, pressure, h) for h in (0.0, 1.0))
    return dry + relative_humidity * (full - dry)


def _density_below_forecast(temperature, relative_humidity, sea_level_pressure, altitude, column):
    here = physics.station_pressure(sea_level_pressure, altitude, temperature + column)
    return _density(temperature, relative_humidity, here)


def _notes(readings, at):
    """What the readings cannot show, with what to do."""
    p, _ = readings.get("pressure") or readings["sea_level_pressure"]
    if "pressure" not in readings and p < STORM:
        yield WORDS("storm", pressure=_pressure(p))
    elif "pressure" in readings and at is None:
        yield WORDS("usual altitude", pressure=_pressure(p), altitude=round(usual_altitude(p), -1))
    elif "pressure" in readings and p - usual_pressure(at) > ODD:
        yield WORDS("odd", **_at(at))
    yield WORDS("mistakes")


class VenueFlow(Flow):
    """Two questions, then the density with its range. As the last line of a cell it shows itself.

    By code: `flow.answer_all(temperature="24", relative_humidity="60", source="barometer",
    pressure="962")`, then `flow.result.density`, `.low` and `.high` [kg/m3].
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"air": _read_air, "pressure": _read_pressure},
        {"air": _air_in_words, "pressure": _pressure_in_words},
        reads={f"{name}_sd": partial(_give_or_take, about) for name, about in _TYPED.items()}
        | {"sea_level_pressure": _forecast},
        numbers={name: f"{about['usual']:g} {about['unit']}" for name, about in _TYPED.items()},
    )

    def finish(self, answers):
        readings = answers["air"] | answers["pressure"]
        at = readings.pop("at", None)
        f = _density if "pressure" in readings else _density_below_forecast
        values, uncertainties = zip(*readings.values())
        found = propagate(f, values, uncertainties)
        one_by_one = zip(readings, np.diag(uncertainties))
        alone = {name: propagate(f, values, only).standard_uncertainty for name, only in one_by_one}
        whole = sum(u**2 for u in alone.values())
        shares = {name: u**2 / whole for name, u in sorted(alone.items(), key=lambda item: -item[1])}
        name, share = next(iter(shares.items()))
        sentence = WORDS("found", density=found, compared=_compared(found), share=share, **READINGS[name])
        rows = WORDS.rows("readings", (
            READINGS[name] | {"alone": alone[name] / found.value, "share": share}
            for name, share in shares.items()
        ))
        pieces = (sentence, *_notes(readings, at), Table(rows, "Which reading makes the range wide"))
        return Found(pieces, sentence=sentence, density=found.value, low=found.low, high=found.high)
