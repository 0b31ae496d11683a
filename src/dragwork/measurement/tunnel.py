"""The tunnel sheet: from balance readings and weather to drag areas, curves, draws, differences.

A sheet is read as far as it is clear; what is not clear stands in `.faults`, and the rows named
there are not used. What the uncertainty holds: how far passes lie apart (`passes`: each time the rider
takes up a set-up anew), and the errors that all runs of a session share (`SharedErrors`). What it
does not hold: blockage, a drag area that changes with speed, the step from tunnel to road.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy import stats

from dragwork.measurement.comparison import Comparison, difference_interval
from dragwork.measurement.passes import Passes
from dragwork.measurement.sheet_reading import Fault, SheetError
from dragwork.measurement.tunnel_checks import CELL
from dragwork.measurement.tunnel_columns import COLUMNS
from dragwork.measurement.tunnel_reading import read_runs
from dragwork.measurement.uncertainty import (
    check_confidence,
    repeatability,
    welch_satterthwaite,
)
from dragwork.physics.drag import YawCurve
from dragwork.quantities import QUANTITIES, needs, one_number, whole_number

__all__ = [
    "COLUMNS", "Comparison", "Fault", "SharedErrors", "SheetError", "TunnelSheet", "compare",
    "read_sheet",
]  # fmt: skip

DRAWS_TRIED = 20  # times the number asked for, before a sheet is called too wild to draw from


@dataclass(frozen=True)
class SharedErrors:
    """Standard uncertainties of what all runs of a session have in common.

    The first three scale every drag area of the sheet alike: in a difference of two set-ups they
    scale the difference alone. The tare shifts all set-ups alike at each yaw: in a difference it
    cancels. The values given here are common practice, no source; a calibration certificate's
    are better.

    Parameters
    ----------
    balance_scale : float
        Of the balance's sensitivity, as a fraction.
    speed : float
        Of the tunnel's speed calibration, as a fraction; counts twice, because drag goes with
        speed squared.
    air_density : float
        Of density, as a fraction, from the errors of thermometer, barometer and hygrometer.
    tare : float [m2]
        Of the empty stand's drag area at each yaw: it is read once, and taken off every run.

    Source: COMMON_PRACTICE
    """

    balance_scale: float = 0.003
    speed: float = 0.004
    air_density: float = 0.002
    tare: float = 0.0003

    def __post_init__(self):
        for name in ("balance_scale", "speed", "air_density"):
            value = one_number(name, getattr(self, name))
            if not 0 <= value <= 0.2:
                raise ValueError(
                    f"{name} {value:g} is outside the allowed range of a relative standard "
                    "uncertainty, 0 to 0.2. Is it in percent? Then write units.percent."
                )
        if not 0 <= one_number("tare", self.tare) <= 0.1:
            raise ValueError(
                f"tare {self.tare:g} m2 is outside the allowed range, 0 to 0.1 m2. Is it a force? "
                "Divide it by the dynamic pressure."
            )

    @property
    def of_drag_area(self):
        """Relative standard uncertainty of every drag area from the first three together."""
        return float(np.hypot(np.hypot(self.balance_scale, self.air_density), 2 * self.speed))


@dataclass(frozen=True, eq=False)
class TunnelSheet:
    """A tunnel sheet as far as it is clear.

    Parameters
    ----------
    rows : pandas.DataFrame
        One line a run, in SI, columns as in `COLUMNS` (forces in N, the side force without the
        side tare) and: row (line of the file as a spreadsheet shows it), speed_setting [m/s] and
        yaw_setting [rad] that runs have in common, air_density [kg/m3], dynamic_pressure [Pa],
        drag_area [m2], used (False where a fault stands), tare_rows and tare_column (where in the
        file the tare stands: the run's own row, or that of the empty stand).
    faults : tuple of Fault
        What is wrong, by row and column, and what would mend it. All other rows are used.
    notes : tuple of str
        The lines above the header, and what the reader has to say of the sheet as a whole.
    shared : SharedErrors
        What all runs have in common.
    stand : pandas.DataFrame
        Readings of the empty stand that are rows or a small table of the file (drag [N]).
    headings : dict of str to str
        Field of `rows` to the heading that its column has in the file.
    """

    rows: pd.DataFrame
    faults: tuple
    notes: tuple = ()
    shared: SharedErrors = field(default_factory=SharedErrors)
    stand: pd.DataFrame | None = None
    headings: dict = field(default_factory=dict)

    @cached_property
    def set_ups(self):
        """Codes of the set-ups that have usable runs, as they come in the file."""
        return tuple(str(set_up) for set_up in self._used.set_up.unique())

    @cached_property
    def repeatability(self):
        """Spread of a single run within its cell, pooled over the sheet (a `Repeatability`).

        .s_r [m2] tells how far single runs lie apart. The ranges here rest on whole passes, see
        `passes`: the runs of one pass share how the rider sat that time.

        Raises
        ------
        ValueError
            Where no row is in use or nothing was repeated, in words.

        Source: ISO5725
        """
        if self._used.empty:
            raise ValueError("no row of this sheet can be used: see its faults.")
        cells = [cell.to_numpy() for _, cell in self._used.groupby(CELL, sort=False).drag_area]
        return repeatability(cells)

    @cached_property
    def passes(self):
        """The passes of the sheet, angle by angle: what every range here rests on (`Passes`)."""
        return Passes.of(self._used)

    def drag_areas(self):
        """Table of drag areas, one line a cell (set-up, speed and yaw), from the rows in use.

        A drag area is the force along the bicycle, the tare taken off, over the dynamic pressure;
        density comes from the weather of each run.

        Returns
        -------
        pandas.DataFrame
            set_up (in the order of the file), speed [m/s, the fan's setting: the middle one of
            all runs at it], yaw [rad, the turntable's setting], drag_area [m2, mean], sd [m2, of
            a single run; nan for a cell of one run], runs.

        Source: CIPM2007
        """
        cells = self._used.groupby(CELL).drag_area
        table = cells.agg(drag_area="mean", sd="std", runs="size").reset_index()
        table = table.rename(columns={"speed_setting": "speed", "yaw_setting": "yaw"})
        place = {set_up: place for place, set_up in enumerate(self.set_ups)}
        in_file_order = table.set_up.map(place).argsort(kind="stable")
        return table.iloc[in_file_order].reset_index(drop=True)

    def yaw_curve(self, set_up):
        """Drag area of a set-up against yaw: at each angle the mean over its speeds.

        Each speed counts alike, with the mean of its repeats, so that a run left out does not move
        the curve towards the other speeds. Angles keep their sign: left and right are not averaged.
        A mean over speeds takes the drag area as the same at all speeds of the sheet;
        `drag_areas` shows whether it is.

        Parameters
        ----------
        set_up : str

        Returns
        -------
        YawCurve

        Raises
        ------
        ValueError
            For a set-up without usable runs, in words.

        Source: ALGEBRA
        """
        at = self._measured(set_up)
        return YawCurve(self.passes.yaw[at], self.passes.mean.loc[set_up].to_numpy()[at])

    def draws(self, n, seed=0):
        """Yaw curves as they might be, given the readings: all set-ups drawn together.

        In each draw the errors that scale are one factor for all set-ups and angles, and the tare's
        error one shift for all set-ups at each angle, so that both cancel in differences. How far
        passes lie apart is drawn angle by angle as it was found, angles together (a rider who sits
        high does so at all of them), with a scaled chi for the degrees of freedom of the passes:
        each mean, and each difference, follows Student's t. A draw in which a drag area is not
        above 0 is drawn again: no rider pushes.

        Parameters
        ----------
        n : int
            How many, 1 to 1 million.
        seed : int
            At least 0; the same seed gives the same draws.

        Returns
        -------
        dict of str to YawCurve
            For each set-up a curve with a leading axis of n draws.

        Raises
        ------
        ValueError
            Where nothing was repeated, or repeats lie so far apart that drag areas of 0 are
            likely, in words.

        Source: JCGM101
        """
        n, seed = whole_number("n", n, 1, 1_000_000), whole_number("seed", seed, 0, 2**63)
        self._must_have_repeats()
        curves = [self.yaw_curve(set_up) for set_up in self.set_ups]
        areas = self._positive_draws(n, np.random.default_rng(seed), curves)
        ends = np.cumsum([curve.yaw.size for curve in curves])
        return {
            set_up: YawCurve(curve.yaw, areas[:, end - curve.yaw.size : end])
            for set_up, curve, end in zip(self.set_ups, curves, ends)
        }

    @property
    def _used(self):
        return self.rows[self.rows.used]

    def _measured(self, set_up):
        """Which of the sheet's angles a set-up was measured at."""
        if set_up not in self.set_ups:
            there = ", ".join(self.set_ups) or "none"
            raise ValueError(f"set-up '{set_up}' has no usable run here; set-ups that have: {there}.")
        return self.passes.measured(set_up)

    def _must_have_repeats(self):
        """Refuse, in words, a sheet in which nothing tells how far repeats lie apart."""
        return self.repeatability

    def _positive_draws(self, n, rng, curves):
        mean = np.concatenate([curve.drag_area for curve in curves])
        kept = np.empty((0, mean.size))
        for _ in range(DRAWS_TRIED):
            shared = np.exp(self.shared.of_drag_area * rng.standard_normal((n, 1)))
            areas = (mean + self._drawn_errors(n, rng)) * shared
            allowed = QUANTITIES["drag_area"].allows(areas)
            kept = np.concatenate([kept, areas[allowed.all(axis=1)]])
            if len(kept) >= n:
                return kept[:n]
        raise ValueError(
            f"repeats lie {self.repeatability.s_r:.3g} m2 apart (standard deviation, from "
            f"{self.repeatability.degrees_of_freedom} degrees of freedom): nothing can be said "
            "about drag areas from this sheet."
        )

    def _drawn_errors(self, n, rng):
        """Errors [m2] of the passes and the tare, (n, all angles of all set-ups)."""
        passes = self.passes
        dof, which = np.unique(passes.degrees_of_freedom, return_inverse=True)
        chance = rng.random((n, 1))  # one for all, so that all angles are out by the same luck
        chi = np.sqrt(dof / stats.chi2.ppf(chance, dof))[:, which]
        tare = self.shared.tare * rng.standard_normal(chi.shape)
        errors = []
        for set_up in self.set_ups:
            at, scatter = passes.measured(set_up), passes.scatter(set_up)
            luck = rng.standard_normal((n, len(scatter))) @ scatter
            errors.append(luck * chi[:, at] + tare[:, at])
        return np.concatenate(errors, axis=1)


def compare(sheet, a, b, yaw=0.0, *, confidence=0.95):
    """Difference of two set-ups' drag areas at one yaw, and how sure it is.

    The independent repeats are the passes, each time the rider takes up a set-up anew; the runs of
    one pass share how the rider sat. The interval is Student's t with the spread of the passes at
    that yaw, pooled over the set-ups of the sheet, and the degrees of freedom of the passes. The
    errors of scale that all runs share scale the difference alone; they are joined to it with the
    effective degrees of freedom of Welch and Satterthwaite. The tare cancels: the same stand is
    taken off both. It holds for two set-ups named BEFORE the test: the best of several, picked
    afterwards, flatters. Where the rider was not taken off between the repeats of a sheet, what a
    new sitting would change is not in the interval.

    Parameters
    ----------
    sheet : TunnelSheet
    a, b : str
        Set-ups.
    yaw : float [rad]
        Within the angles measured of both; between two of them by straight line.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    Comparison [m2]
        .difference (positive where b is smaller), .low, .high, .confidence,
        .standard_uncertainty, .degrees_of_freedom

    Raises
    ------
    ValueError
        For set-ups that the sheet does not hold, an angle not measured, or a sheet without
        repeats, in words.

    Source: GUM
    """
    needs(TunnelSheet, sheet=sheet)
    needs(str, a=a, b=b)
    check_confidence(confidence)
    yaw = one_number("yaw", yaw)
    if a == b:
        raise ValueError(f"Two different set-ups are needed; '{a}' was given twice.")
    at_a, at_b = (_at_one_yaw(sheet, name, yaw) for name in (a, b))
    difference = at_a.area - at_b.area
    u = [np.hypot(at_a.scatter, at_b.scatter), abs(difference) * sheet.shared.of_drag_area]
    dof = welch_satterthwaite(u, [min(at_a.dof, at_b.dof), np.inf])
    return difference_interval(difference, np.hypot(*u), dof, confidence=confidence)


def read_sheet(path, shared=None):
    """Read a tunnel run sheet from a CSV file.

    The columns are those of `COLUMNS` or their synonyms, with the unit in the heading: 'drag [N]',
    'speed (km/h)', 'T degC'. Their order is free, other columns are passed over. Either column of
    speed will do; where both stand they must agree. Lines above the header are notes. A tare stands
    in the row of its run, or once for its speed and yaw: in a row with the set-up 'empty stand', or
    in a small table with a header of its own. Wheels and rider are read and kept, but not compared:
    what shall count as one set-up needs a code of its own. A spreadsheet is to be exported as CSV.

    A digit that was misread and leaves a likely number is found by other repeats, the weather
    around it, and the second column of speed, or not at all; `scenario.misread` measures how often.

    Parameters
    ----------
    path : str, path or open file
    shared : SharedErrors, optional
        Uncertainties that all runs share; by default those of common practice.

    Returns
    -------
    TunnelSheet

    Raises
    ------
    SheetError
        Where the file cannot be understood as a whole, in words. A single cell or row that is
        wrong raises nothing: it stands in `.faults`.

    Source: COMMON_PRACTICE
    """
    shared = SharedErrors() if shared is None else shared
    needs(SharedErrors, shared=shared)
    reading = read_runs(path)
    return TunnelSheet(
        reading.rows,
        reading.faults,
        reading.notes,
        shared,
        stand=reading.stand,
        headings=reading.headings,
    )


class _AtYaw(NamedTuple):
    """A set-up at one yaw: drag area, and what the passes say of its scatter [m2]."""

    area: float
    scatter: float
    dof: float


def _at_one_yaw(sheet, set_up, yaw):
    curve, passes = sheet.yaw_curve(set_up), sheet.passes
    parts = YawCurve(curve.yaw, np.eye(curve.yaw.size))(yaw)  # of each angle in the value at yaw
    sheet._must_have_repeats()
    dof = passes.degrees_of_freedom[passes.measured(set_up)][parts > 0]
    return _AtYaw(
        float(curve(yaw)), float(np.linalg.norm(passes.scatter(set_up) @ parts)), float(dof.min())
    )
