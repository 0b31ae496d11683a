"""The air on a road of one's own in notebook 01: its density with a range, and the reading behind the width."""

import re
from dataclasses import dataclass, replace

import numpy as np

from dragwork import units
from dragwork.measurement.uncertainty import propagate
from dragwork.physics.air import density, standard_atmosphere, station_pressure
from dragwork.physics.power import Conditions
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import Member
from dragwork.teaching.answers import parse_quantity
from dragwork.teaching.forms.fields import Choice, Typed, knob_box, maybe
from dragwork.teaching.forms.flow import Flow, FlowQuestion
from dragwork.teaching.forms.learner_rider import my_rider
from dragwork.teaching.forms.rider_and_road import HUMIDITY, PRESSURE, TEMPERATURE
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.report import Found, Table

REFERENCE = (units.celsius(20), units.hectopascal(1013), 0.0)  # the reference day of the lesson
DISTANCE = units.kilometres(40)
COLUMN = 4.0  # K, standard uncertainty of the mean temperature of the air below; common practice, no source
WEATHER, ODD = units.hectopascal(45), units.hectopascal(15)  # the weather's reach, and what is worth a remark
STORM = units.hectopascal(980)

_PRESSURE = replace(PRESSURE, low=500)
_FORECAST = replace(
    PRESSURE, quantity="sea_level_pressure", label="Pressure in the forecast", low=940, high=1060
)
_ALTITUDE = knob("altitude", label="Height of the road", low=-350, high=5500)

# Reading: what it is called, its usual standard uncertainty (common practice, no source), what would narrow it.
READINGS = {
    "temperature": ("the temperature", 1.0, "A thermometer in the shade, at the rider's height,"),
    "relative_humidity": ("the humidity", units.percent(10), "A hygrometer at the road"),
    "pressure": ("the barometer", units.hectopascal(1), "A barometer compared with a weather station"),
    "sea_level_pressure": ("the forecast's pressure", units.hectopascal(1), "A barometer at the road"),
    "altitude": ("the height of the road", 10.0, "A map with contour lines"),
    "column": ("the air between the sea and the road", COLUMN, "A barometer at the road"),
}
_BAROMETER, _REDUCED = ("source", "barometer"), ("source", "forecast")


# -- what is asked ------------------------------------------------------------------------------------


def _give_or_take(name, unit, low, high, into_si=float, when=None):
    """A box for a standard uncertainty, empty for the usual one; `unit` is as it is printed."""
    _, usual, _ = READINGS[name]
    usual_words = f"{usual / into_si(1.0):g} {unit}"

    def read(text):
        bare = re.sub(rf"\s*(±|\+/?-)\s*|\s*({re.escape(unit)}|°\s*c?|k|c|points?|percent)\s*$", "", str(text).strip(), flags=re.I)
        if not bare:
            return usual
        number = parse_quantity(bare, "1")
        if not low <= number <= high:
            raise ValueError(
                f"it goes from {low:g} to {high:g} {unit} here; {number:g} {unit} is outside. Leave it empty "
                f"for the usual {usual_words}."
            )
        return float(number * into_si(1.0))

    label = f"Give or take (SD of {READINGS[name][0].removeprefix('the ')})"
    return Typed(f"{name}_sd", label, f"Empty: {usual_words}", "", when, unit, read)


def _forecast(text):
    try:
        return _FORECAST.read(text)
    except ValueError as error:
        raise ValueError(f"{error} If a barometer on the road reads it, choose the barometer.") from None


def _read_air(values, answers):
    humidity = values["relative_humidity"]
    if 0 < humidity < units.percent(1):
        raise ValueError(
            f"Relative humidity: {HUMIDITY.words(humidity)} is drier than the air of any road. Type 50 for half of "
            "what the air can hold."
        )
    return {name: (values[name], values[f"{name}_sd"]) for name in ("temperature", "relative_humidity")}


def _air_in_words(air, answers):
    (t, t_sd), (h, h_sd) = air["temperature"], air["relative_humidity"]
    return (
        f"{TEMPERATURE.words(t)}, give or take {t_sd:g} °C, and {HUMIDITY.words(h)} humidity, give or take "
        f"{units.to_percent(h_sd):g} points (one standard deviation)."
    )


_SOURCES = {
    "barometer": "a barometer on the road",
    "forecast": "a forecast or a weather station: reduced to sea level",
}


def _read_pressure(values, answers):
    z = values["altitude"]
    if values["source"] == "barometer":
        p = values["pressure"]
        if z is not None and abs(p - usual_pressure(z)) > WEATHER:
            raise ValueError(
                f"At {_ALTITUDE.words(z)} a barometer reads about {PRESSURE.words(round(usual_pressure(z), -2))}, and "
                f"no weather makes that {PRESSURE.words(p)}. If a forecast or a weather station gives your "
                "number, choose that; otherwise check both."
            )
        return {"pressure": (p, values["pressure_sd"]), "at": z}
    if z is None:
        raise ValueError(
            "Height of the road: a forecast's pressure is reduced to sea level, so the height is needed to find "
            "the pressure on your road. A map or a route planner has it."
        )
    return {
        "sea_level_pressure": (values["sea_level_pressure"], values["sea_level_pressure_sd"]),
        "altitude": (z, values["altitude_sd"]),
        "column": (0.0, COLUMN),
    }


def _pressure_in_words(said, answers):
    if "pressure" in said:
        p, sd = said["pressure"]
        return f"A barometer on the road reads {PRESSURE.words(p)}, give or take {units.to_hectopascal(sd):g} hPa."
    (p, sd), (z, z_sd) = said["sea_level_pressure"], said["altitude"]
    here = station_pressure(p, z, answers["air"]["temperature"][0])
    return (
        f"{PRESSURE.words(p)} in the forecast, give or take {units.to_hectopascal(sd):g} hPa. At {_ALTITUDE.words(z)}, "
        f"give or take {z_sd:g} m, a barometer would read {PRESSURE.words(round(here, -2))}."
    )


def usual_pressure(altitude):
    """Pressure on an average day at an altitude [m], in pascals."""
    return float(standard_atmosphere(altitude).pressure)


def usual_altitude(pressure):
    """Where a barometer reads that pressure [Pa] on an average day, in metres."""
    heights = np.arange(8000.0, -2001.0, -100.0).clip(-400)
    return float(np.interp(pressure, standard_atmosphere(heights).pressure, heights))


QUESTIONS = (
    FlowQuestion(
        "air",
        "How warm is it, and how damp?",
        "In the shade, at the rider's height. How sure is each reading? Leave that empty for the usual value.",
        (
            knob_box(TEMPERATURE),
            _give_or_take("temperature", "°C", 0.1, 10),
            knob_box(HUMIDITY, "50", hint="50 will do if you don't know it"),
            _give_or_take("relative_humidity", "%", 1, 50, units.percent),
        ),
        _read_air,
        _air_in_words,
    ),
    FlowQuestion(
        "pressure",
        "Where is the pressure from?",
        "A phone or a watch often shows the pressure reduced to sea level: it counts as a forecast.",
        (
            Choice("source", "The pressure", options=_SOURCES),
            knob_box(_PRESSURE, when=_BAROMETER),
            _give_or_take("pressure", "hPa", 0.1, 20, units.hectopascal, _BAROMETER),
            knob_box(_FORECAST, when=_REDUCED, read=_forecast),
            _give_or_take("sea_level_pressure", "hPa", 0.1, 20, units.hectopascal, _REDUCED),
            knob_box(_ALTITUDE, hint="Above the sea; can stay empty with a barometer", read=maybe(_ALTITUDE.read)),
            _give_or_take("altitude", "m", 1, 300, when=_REDUCED),
        ),
        _read_pressure,
        _pressure_in_words,
    ),
)  # fmt: skip


# -- what it answers ----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Venue(Found):
    """The density on a road [kg/m3] with its 95 % range, what it is worth, and what makes it wide.

    .uncertainties: reading to the standard uncertainty of the density that it alone causes [kg/m3].
    """

    density: float
    low: float
    high: float
    uncertainties: dict
    member: Member
    notes: tuple

    @property
    def reference(self):
        """Density of the reference day [kg/m3]."""
        return float(density(*REFERENCE))

    @property
    def dominant(self):
        """The reading that makes the range widest."""
        return max(self.uncertainties, key=self.uncertainties.get)

    @property
    def shares(self):
        """Reading to its share of the variance, largest first."""
        whole = sum(u**2 for u in self.uncertainties.values())
        ordered = sorted(self.uncertainties.items(), key=lambda item: -item[1])
        return {name: u**2 / whole for name, u in ordered}

    def seconds(self, air_density):
        """Seconds that a density saves the rider over 40 flat kilometres in still air, at the same power."""
        speeds = steady_speed(self.member.rider, Conditions(np.array([self.reference, air_density])), self.member.power)
        before, after = DISTANCE / speeds
        return float(before - after)

    @property
    def sentence(self):
        """The density with its range, and what it means."""
        name, usual, narrower = READINGS[self.dominant]
        return (
            f"The air density is {self.density:.3f} kg/m³, with a 95 % range from {self.low:.3f} to {self.high:.3f} "
            f"kg/m³. {self._compared} Most of the width, {units.to_percent(self.shares[self.dominant]):.0f} %, comes "
            f"from {name}. {narrower} would narrow it most."
        )

    @property
    def _compared(self):
        ends = sorted(units.to_percent(rho / self.reference - 1) for rho in (self.low, self.high))
        day = "the reference day (20 °C, 1013 hPa, dry)"
        if ends[0] < 0 < ends[1]:
            return (
                f"These readings can't say whether that is denser or thinner than {day}: the range goes from "
                f"{-ends[0]:.1f} % thinner to {ends[1]:.1f} % denser."
            )
        change = units.to_percent(self.density / self.reference - 1)
        word, less, fewer = ("thinner", "less", "less") if change < 0 else ("denser", "more", "more")
        near, far = sorted(map(abs, ends))
        time = sorted(abs(self.seconds(rho)) for rho in (self.low, self.high))
        return (
            f"That is {abs(change):.1f} % {word} than on {day}, {near:.1f} to {far:.1f} % with the range, and at the "
            f"same speed the drag is {abs(change):.1f} % {less}. Over 40 flat kilometres in still air {self.member.name}, "
            f"at {self.member.power:.0f} W, needs {abs(self.seconds(self.density)):.0f} s {fewer} ({time[0]:.0f} to "
            f"{time[1]:.0f} s)."
        )

    @property
    def rows(self):
        """Each reading, how uncertain it alone makes the density, and its share of the width."""
        return [
            {
                "if only this were uncertain": READINGS[name][0],
                "uncertainty of the density (SD)": f"{units.to_percent(self.uncertainties[name] / self.density):.2f} %",
                "share of the width (of the variance)": f"{units.to_percent(share):.0f} %",
            }
            for name, share in self.shares.items()
        ]

    @property
    def pieces(self):
        return (self.sentence, *self.notes, Table(self.rows, "Which reading makes the range wide"))


def _density(temperature, relative_humidity, pressure):
    """Density, on a straight line between dry and saturated air, so that its slope exists at both ends."""
    dry, full = (density(temperature, pressure, h) for h in (0.0, 1.0))
    return dry + relative_humidity * (full - dry)


def _density_below_forecast(temperature, relative_humidity, sea_level_pressure, altitude, column):
    here = station_pressure(sea_level_pressure, altitude, temperature + column)
    return _density(temperature, relative_humidity, here)


def _finish(answers):
    readings = answers["air"] | answers["pressure"]
    at = readings.pop("at", None)
    f = _density if "pressure" in readings else _density_below_forecast
    values, uncertainties = zip(*readings.values())
    found = propagate(f, values, uncertainties)
    alone = {
        name: propagate(f, values, [u if i == j else 0.0 for j, u in enumerate(uncertainties)]).standard_uncertainty
        for i, name in enumerate(readings)
    }
    return Venue(found.value, found.low, found.high, alone, my_rider(), tuple(_notes(readings, at)))


def _notes(readings, at):
    """What the readings cannot show, with what to do."""
    if "pressure" in readings:
        p = readings["pressure"][0]
        if at is None:
            yield (
                f"On an average day a barometer reads {PRESSURE.words(p)} at about {round(usual_altitude(p), -1):.0f} m. "
                "If your road is much higher, the number was reduced to sea level: choose the forecast."
            )
        elif p - usual_pressure(at) > ODD:
            yield (
                f"A barometer at {_ALTITUDE.words(at)} usually reads {PRESSURE.words(round(usual_pressure(at), -2))}. "
                "Yours is right only in strong high pressure; otherwise it shows the pressure at sea level: then choose "
                "the forecast."
            )
    elif readings["sea_level_pressure"][0] < STORM:
        p = readings["sea_level_pressure"][0]
        yield (
            f"A forecast of {PRESSURE.words(p)} means a storm. If the day was calm, this is what a barometer on the "
            "road reads: choose the barometer."
        )
    yield "The range covers the uncertainties above, not a mistake, such as a thermometer in the sun."


class VenueFlow(Flow):
    """Two questions, then the density with its range. As the last line of a cell it shows itself.

    By code: `flow.answer_all(temperature="24", relative_humidity="60", source="barometer",
    pressure="962")`, then `flow.result.density`, `.low` and `.high` [kg/m3].
    """

    title = "The air on my road"
    made = "The air density is below."
    draft = "venue"

    def __init__(self):
        super().__init__(QUESTIONS, _finish)
