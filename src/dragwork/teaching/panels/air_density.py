"""Panel: how dense the air is, from thermometer, barometer and hygrometer."""

from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np

from dragwork import units
from dragwork.physics.air import density
from dragwork.teaching.figures.air import AirDensity
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

TEMPERATURES = units.celsius(np.linspace(-5, 40, 91))
_DRY = replace(CATALOGUE["relative_humidity"], reference=0)
KNOBS = (CATALOGUE["temperature"], CATALOGUE["pressure"], _DRY)
REFERENCE = {knob.quantity: knob.into_si(knob.reference) for knob in KNOBS}


@dataclass(frozen=True, eq=False)
class Air:
    """Air at one place and along all temperatures; `change` is against the reference day. SI."""

    temperature: float
    pressure: float
    relative_humidity: float
    density: float
    change: float
    temperatures: np.ndarray
    densities: np.ndarray


def air(temperature, pressure, relative_humidity=0.0):
    """The air's density, and how far it is from that of the reference day."""
    here = density(temperature, pressure, relative_humidity)
    return Air(
        temperature=temperature,
        pressure=pressure,
        relative_humidity=relative_humidity,
        density=here,
        change=here / density(**REFERENCE) - 1,
        temperatures=TEMPERATURES,
        densities=density(TEMPERATURES, pressure, relative_humidity),
    )


def in_words(result):
    """The weather, the density, the change."""
    weather = (
        f"{units.to_celsius(result.temperature):.0f} °C, "
        f"{units.to_hectopascal(result.pressure):.0f} hPa and "
        f"{units.to_percent(result.relative_humidity):.0f} % humidity"
    )
    percent = round(float(units.to_percent(result.change)), 1)
    if percent == 0:
        against = "as on the reference day"
    else:
        against = f"{abs(percent):.1f} % {'more' if percent > 0 else 'less'} than on the reference day"
    return f"At {weather} a cubic metre of air has {result.density:.3f} kg, {against}."


def air_density():
    """The panel: turn temperature, pressure and humidity. Reference: dry air of 20 °C, 1013 hPa."""
    return Panel(
        KNOBS, air, AirDensity(), in_words, invites=True,
        observed=attrgetter("change"),
    )  # fmt: skip
