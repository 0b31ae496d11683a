"""What a tunnel sheet says beyond its drag areas: ranges, speed, drift, walls, watts, and a CSV out.

Nothing here changes a sheet.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import fdtrc

from dragwork.measurement.comparison import difference_interval
from dragwork.measurement.passes import Trend
from dragwork.measurement.regression import least_squares
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import csv_of
from dragwork.measurement.tunnel import compare
from dragwork.measurement.tunnel_columns import DRAG_AREA, RUNS, SET_UP, SPEED, SPREAD, YAW
from dragwork.measurement.uncertainty import check_confidence
from dragwork.physics.drag import dynamic_pressure
from dragwork.physics.power import Conditions
from dragwork.physics.wind import apparent_wind
from dragwork.units import to_deg, to_kmh

CHANCE = 0.05  # p-values above it are left to chance
_ROUNDING = 1e-15  # m2: drag areas that agree better do so because a computer rounds


def yaw_bands(sheet, confidence=0.95):
    """Drag area of every set-up at every angle measured, each with its range.

    The range joins how far passes lie apart with what all runs share: the errors of scale and that
    of the tare. Two ranges that overlap do not say that two set-ups are alike: what is shared
    cancels in a difference, so `compare` is the judge.

    Parameters
    ----------
    sheet : TunnelSheet
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    pandas.DataFrame
        set_up, yaw [rad], drag_area, low, high [m2].

    Raises
    ------
    ValueError
        For a sheet without repeats or usable rows, in words.

    Source: GUM
    """
    check_confidence(confidence)
    sheet.must_have_range()
    lines = []
    for set_up in sheet.set_ups:
        for yaw in sheet.yaw_curve(set_up).yaw:
            found = sheet.sum_of({set_up: sheet.share_at(set_up, yaw)}, confidence)
            lines.append((set_up, yaw, found.difference, found.low, found.high))
    return pd.DataFrame(lines, columns=["set_up", "yaw", "drag_area", "low", "high"])


# -- does it change with speed? -----------------------------------------------------------------------


@dataclass(frozen=True)
class Change:
    """A change of drag areas [m2] with its range, and how often chance alone moves them as much."""

    change: float
    low: float
    high: float
    confidence: float
    p_value: float
    degrees_of_freedom: int

    def _judged(self, by_chance, not_by_chance, **gaps):
        name = by_chance if self.p_value > CHANCE else not_by_chance
        return say("moved", name, p=f"{self.p_value:.2g}", **vars(self), **gaps)


@dataclass(frozen=True)
class SpeedDependence(Change):
    """How a set-up's drag area changes from the slowest to the fastest speed [m2].

    `change`, `low` and `high` are of the fastest less the slowest speed, `p_value` is of the
    F test that all speeds have one drag area; `slowest` and `fastest` [m/s].
    """

    set_up: str
    slowest: float
    fastest: float

    @property
    def verdict(self):
        """The test in words."""
        return self._judged("by chance with speed", "with speed", slow=to_kmh(self.slowest))


def speed_dependence(sheet, set_up, confidence=0.95):
    """Whether a set-up's drag area is the same at all speeds of the sheet.

    Each pass at each yaw is a block of its own, so that how the rider sat that time does not count
    as a change with speed: a randomised-block analysis of variance by least squares. A balance that
    does not show 0 without wind looks like a drag area that changes with 1/speed^2; a tare left in
    does not show here, because the stand's force grows with speed as the rider's does.

    Parameters
    ----------
    sheet : TunnelSheet
    set_up : str
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    SpeedDependence [m2]

    Raises
    ------
    ValueError
        For a set-up of one speed, or one without repeats, in words.
    """
    check_confidence(confidence)
    runs = _runs_of(sheet, set_up)
    if (runs.runs_behind > 1).any():
        raise ValueError(
            f"The sheet gives means of '{set_up}': whether speed matters shows in single runs alone."
        )
    speeds = np.sort(runs.speed_setting.unique())
    if speeds.size < 2:
        raise ValueError(f"'{set_up}' was run at one speed, so it does not show whether speed matters.")
    blocks = pd.get_dummies(runs["repeat"].astype(str) + runs.yaw_setting.astype(str), dtype=float)
    steps = [runs.speed_setting == speed for speed in speeds[1:]]
    try:
        with_speed, without = (
            least_squares(np.column_stack(columns), runs.drag_area, least_spread=_ROUNDING)
            for columns in ([blocks, *steps], [blocks])
        )
    except ValueError:
        raise ValueError(f"'{set_up}' was not repeated at its speeds, so chance and speed cannot be separated.") from None
    dof, variance = with_speed.degrees_of_freedom, with_speed.residual_spread**2
    by_speed = without.residual_spread**2 * without.degrees_of_freedom - variance * dof
    p = float(fdtrc(len(steps), dof, max(by_speed, 0.0) / len(steps) / variance))
    last, u = with_speed.coefficients[-1], with_speed.standard_errors[-1]
    found = difference_interval(last, u, dof, confidence=confidence)
    change = (found.difference, found.low, found.high, confidence, p, dof)
    return SpeedDependence(*change, set_up, float(speeds[0]), float(speeds[-1]))


# -- drift --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Drift(Change):
    """How the drag areas of baselines moved over the day, by a straight line in the run order.

    `change`, `low` and `high` [m2] are of the last run less the first, `slope` [m2 a run], `p_value`
    of no drift, `baselines` the set-ups it rests on.
    """

    baselines: tuple
    slope: float

    @property
    def verdict(self):
        """The drift in words."""
        return self._judged("by chance over the day", "over the day", who=", ".join(self.baselines))


def drift(sheet, baselines=None, confidence=0.95):
    """Estimate a steady drift of the day from set-ups that were run again and again.

    Each pass over a set-up is one point: how far it lies from the mean of its set-up, against its
    place in the run order. One slope for all baselines, by least squares.

    Parameters
    ----------
    sheet : TunnelSheet
    baselines : sequence of str, optional
        Set-ups to rest on; None = all that were run in more than one pass.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    Drift [m2]
        Of last run less first.

    Raises
    ------
    ValueError
        Where too few passes leave nothing to judge the slope by, in words.
    """
    check_confidence(confidence)
    names = sheet.set_ups if baselines is None else tuple(baselines)
    trend = Trend.of(pd.concat([_runs_of(sheet, name) for name in names]), sheet.passes.key)
    if trend is None:
        raise ValueError(
            "too few passes for a drift: it takes three of one set-up, or two each of two set-ups."
        )
    span, line = np.ptp(sheet.rows.order[sheet.rows.used]), trend.line
    slope, u, dof = line.difference, line.standard_uncertainty, line.degrees_of_freedom
    found = difference_interval(slope * span, u * span, dof, confidence=confidence)
    change = (found.difference, found.low, found.high, confidence, line.p_value, dof)
    return Drift(*change, trend.set_ups, slope)


# -- watts --------------------------------------------------------------------------------------------


def savings_at_speeds(sheet, baseline, ground_speeds, conditions=None, confidence=0.95):
    """Watts that each set-up saves against a baseline, at each speed, with ranges.

    The difference of two drag areas at the yaw felt there, times the dynamic
    pressure of the air felt, times the ground speed.

    Parameters
    ----------
    sheet : TunnelSheet
    baseline : str
    ground_speeds : sequence of float [m/s]
    conditions : Conditions, optional
        Air density and wind; still air of 1.2 kg/m3 by default.
    confidence : float
        Above 0 to below 1, of each range.

    Returns
    -------
    pandas.DataFrame
        set_up, ground_speed [m/s], watts, low, high [W at the wheel, positive where it saves],
        beyond_speed (True where the air felt is slower or faster than any measured).

    Raises
    ------
    ValueError
        For an unknown baseline, or wind that makes a yaw beyond the sheet, in words.
    """
    conditions = conditions or Conditions()
    measured = sheet.rows.speed[sheet.rows.used]
    lines = []
    for speed in np.atleast_1d(ground_speeds):
        felt = apparent_wind(float(speed), conditions.wind_speed, conditions.wind_angle)
        watts_a_square_metre = float(dynamic_pressure(conditions.air_density, felt.speed) * speed)
        beyond = not measured.min() <= felt.speed <= measured.max()
        for set_up in sheet.set_ups:
            if set_up == baseline:
                continue
            found = compare(sheet, baseline, set_up, float(felt.yaw), confidence=confidence)
            watts = [watts_a_square_metre * a for a in (found.difference, found.low, found.high)]
            lines.append((set_up, float(speed), *watts, bool(beyond)))
    columns = ["set_up", "ground_speed", "watts", "low", "high", "beyond_speed"]
    return pd.DataFrame(lines, columns=columns)


# -- out ----------------------------------------------------------------------------------------------

_COLUMNS = (SET_UP, SPEED, YAW, DRAG_AREA, SPREAD, RUNS)


def drag_areas_csv(sheet):
    """The table of drag areas as CSV text, with units in the headings; `tunnel.read_sheet` reads it.

    Parameters
    ----------
    sheet : TunnelSheet

    Returns
    -------
    str
        Speeds to 0.001 m/s, angles to 0.01 degrees, areas [m2] to six decimals; the spread of a
        single run is empty.

    Source: COMMON_PRACTICE
    """
    table = sheet.drag_areas().rename(columns={"sd": "spread"})
    table["yaw"] = to_deg(table.yaw)
    for name, decimals in {"speed": 3, "yaw": 2, "drag_area": 6, "spread": 6}.items():
        table[name] = ["" if np.isnan(x) else f"{x:.{decimals}f}" for x in table[name]]
    return csv_of(_COLUMNS, table.to_dict("records"))


def _runs_of(sheet, set_up):
    sheet.must_have_runs_of(set_up)
    return sheet.rows[sheet.rows.used & (sheet.rows.set_up == set_up)]
