"""The tunnel sheet: from balance readings and weather to drag areas, curves, draws, differences.

A sheet is read as far as it is clear; what is not clear is in `.faults`, and the rows named there
are not used. What the uncertainty holds: how far sittings are apart (`passes`: each time the rider
takes up a set-up anew), the step of the balance, and what the sheet cannot show of itself
(`SharedErrors`); `.notes` say in words where that is more than a trifle. What it does not hold:
blockage, a drag area that changes with speed, the step from tunnel to road.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd
from scipy.special import gammaincinv

from dragwork.measurement.checks import looked_over
from dragwork.measurement.comparison import Comparison, difference_interval
from dragwork.measurement.passes import CELL, KNOWN_TO_A_THIRD, Passes, as_runs
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_file import NotSaid, SheetError
from dragwork.measurement.sheet_reading import Fault, read_text
from dragwork.measurement.sheet_tables import NoHeader
from dragwork.measurement.tunnel_checks import FAULTS, NOTES
from dragwork.measurement.tunnel_columns import COLUMNS, DRAG_AREA, STAND_COLUMNS
from dragwork.measurement.tunnel_gaps import REMARK, taken
from dragwork.measurement.tunnel_reading import remarks_on, rows_of
from dragwork.measurement.uncertainty import check_confidence, repeatability, welch_satterthwaite
from dragwork.physics.drag import YawCurve
from dragwork.quantities import QUANTITIES, in_words, needs, one_number, whole_number

__all__ = [
    "COLUMNS", "Comparison", "Fault", "NotSaid", "SharedErrors", "SheetError", "TunnelSheet", "compare",
    "read_sheet",
]  # fmt: skip

DRAWS_TRIED = 20  # times the number asked for, before a sheet is called too wild to draw from


@dataclass(frozen=True)
class SharedErrors:
    """Standard uncertainties of what no repeat of a sheet can show.

    The first three scale every drag area of the sheet alike: in a difference of two set-ups they
    scale the difference alone. The tare shifts all set-ups alike at each yaw: in a difference it
    cancels. A drift moves set-ups apart by as much as their middle places in the run order differ.
    The values given here are common practice, no source; a calibration certificate's are better, and
    so is a spread of sittings that another day with the same rider has shown.

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
    sitting : float [m2]
        From one sitting to the next, about 1 % of a rider; known to a third of itself, and used
        only where the repeats show nothing of it.
    drift : float [m2]
        Of a steady drift, last run of the day less first.

    Source: COMMON_PRACTICE
    """

    balance_scale: float = 0.003
    speed: float = 0.004
    air_density: float = 0.002
    tare: float = 0.0003
    sitting: float = 0.003
    drift: float = 0.004

    def __post_init__(self):
        for name, value in vars(self).items():
            value, relative = one_number(name, value), name in ("balance_scale", "speed", "air_density")
            if not 0 <= value <= (0.2 if relative else 0.1):
                why = "relative" if relative else "in square metres"
                raise ValueError(say("tunnel", why, what=in_words(name), value=value))

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
        drag_area [m2], used (False for rows that a fault names), sitting (number of the sitting
        within its set-up), drag_step and tare_step [N, in which the balance shows them], tare_rows
        and tare_column (where in the file the tare is: the run's own row, or that of the empty
        stand), area_step [m2, in which drag areas are known], runs_behind (of a line that is a mean)
        and spread [m2, their standard deviation]. A sheet of drag areas has nan where it has no forces,
        and 0 for a speed_setting that it does not name.
    faults : tuple of Fault
        What is wrong, by row and column, and what would mend it. All other rows are used.
    remarks : tuple of str
        The lines above the header, what the reader assumed, what it asks about the sheet as a whole,
        and what was corrected since.
    shared : SharedErrors
        What no repeat can show.
    stand : pandas.DataFrame
        Readings of the empty stand that are rows or a small table of the file (drag [N]).
    headings : dict of str to str
        Field of `rows` to the heading that its column has in the file.
    spread : float, optional [m2]
        How far two runs of the same are apart, as stated: a standard deviation.
    """

    rows: pd.DataFrame
    faults: tuple
    remarks: tuple = ()
    shared: SharedErrors = field(default_factory=SharedErrors)
    stand: pd.DataFrame | None = None
    headings: dict = field(default_factory=dict)
    spread: float | None = None

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
        self._must_have_runs()
        cells = [cell.to_numpy() for _, cell in self._used.groupby(CELL, sort=False).drag_area]
        return repeatability(cells)

    @cached_property
    def passes(self):
        """The passes of the sheet, angle by angle: what every range here rests on (`Passes`)."""
        return Passes(self._used)

    @cached_property
    def notes(self):
        """All that is to be said of the sheet: its remarks, and what it cannot tell (tuple of str)."""
        if self._used.empty:
            return self.remarks
        if self.needs_spread:
            return (*self.remarks, say("tunnel", "no range", say=_SAY_THE_SPREAD))
        return (*self.remarks, *self.passes.cannot_tell(self.shared, self.set_ups))

    @property
    def needs_spread(self):
        """Whether nothing was repeated, and no spread was stated: then no range can be given."""
        return self.spread is None and not self._used.duplicated(CELL).any()

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
        table["speed"] = table.speed.where(table.speed > 0)  # nan where the sheet names none
        in_file_order = {"key": lambda names: names.map(self.set_ups.index), "kind": "stable"}
        return table.sort_values("set_up", ignore_index=True, **in_file_order)

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
        """
        self.must_have_runs_of(set_up)
        at = self.passes.measured(set_up)
        return YawCurve(self.passes.yaw[at], self.passes.mean.loc[set_up].to_numpy()[at])

    def draws(self, n, seed=0):
        """Yaw curves as they might be, given the readings: all set-ups drawn together.

        In each draw the errors that scale are one factor for all set-ups and angles, and the tare's
        error one shift for all set-ups at each angle, so that both cancel in differences. How far
        passes are apart is drawn angle by angle as it was found, angles together (a rider who sits
        high does so at all of them), with a scaled chi for the degrees of freedom of the passes:
        each mean, and each difference, follows Student's t. Sittings that the sheet does not show, a
        drift and the balance's step are drawn as `compare` counts them. A draw in which a drag area
        is not above 0 is drawn again: no rider pushes.

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
        self.must_have_range()
        curves = [self.yaw_curve(set_up) for set_up in self.set_ups]
        areas = self._positive_draws(n, np.random.default_rng(seed), curves)
        parts = np.split(areas, np.cumsum([curve.yaw.size for curve in curves])[:-1], axis=1)
        return dict(zip(self.set_ups, map(YawCurve, (curve.yaw for curve in curves), parts)))

    @cached_property
    def _used(self):
        return as_runs(self.rows[self.rows.used])

    def must_have_runs_of(self, set_up):
        """Refuse, in words, a set-up that has no usable run."""
        if set_up not in self.set_ups:
            there = ", ".join(self.set_ups) or "none"
            raise ValueError(f"set-up '{set_up}' has no usable run here; set-ups that have: {there}.")

    def _must_have_runs(self):
        if self._used.empty:
            raise ValueError(say("tunnel", "no runs"))

    def must_have_range(self):
        """Refuse, in words, a sheet in which nothing tells how far repeats are apart."""
        self._must_have_runs()
        if self.needs_spread:
            raise NotSaid({"spread": say("tunnel", "which spread", say=_SAY_THE_SPREAD)})

    def _positive_draws(self, n, rng, curves):
        mean = np.concatenate([curve.drag_area for curve in curves])
        kept = np.empty((0, mean.size))
        for _ in range(DRAWS_TRIED):
            shared = np.exp(self.shared.of_drag_area * rng.standard_normal((n, 1)))
            areas = (mean + self._drawn_errors(n, rng)) * shared
            kept = np.concatenate([kept, areas[QUANTITIES["drag_area"].allows(areas).all(axis=1)]])
            if len(kept) >= n:
                return kept[:n]
        if not self._used.duplicated(CELL).any():
            raise ValueError(say("tunnel", "too wide a spread", spread=self.spread))
        raise ValueError(say("tunnel", "too far apart", found=self.repeatability))

    def _drawn_errors(self, n, rng):
        """Errors [m2] of passes, sittings, drift, step and tare, (n, all angles of all set-ups)."""
        passes, shared = self.passes, self.shared
        drift = shared.drift * rng.standard_normal((n, 1))
        tare = self._tare * rng.standard_normal((n, passes.yaw.size))
        # One chance for all that share a spread, so that they are all out by the same luck.
        chances = {passes.spread_of(name): rng.random((n, 1)) for name in self.set_ups}
        sitting = 0.0 if passes.sat_anew else shared.sitting * _chi(KNOWN_TO_A_THIRD, rng.random((n, 1)))
        errors = []
        for name in self.set_ups:
            at, (scatter, dof) = passes.measured(name), passes.scatter(name)
            coarse, place = (x.loc[name].to_numpy()[at] for x in (passes.coarse, passes.place))
            luck = rng.standard_normal((n, len(scatter))) @ scatter
            errors.append(
                luck * _chi(dof, chances[passes.spread_of(name)])
                + sitting * rng.standard_normal((n, 1))
                + drift * place
                + coarse * rng.standard_normal((n, at.sum()))
                + tare[:, at]
            )
        return np.concatenate(errors, axis=1)

    @cached_property
    def _tare(self):
        """Standard uncertainty [m2] of the stand's drag area at each yaw: shared, and its step."""
        cells = self._used.groupby(["yaw_setting", "speed_setting"])
        step = cells.tare_step.max() / 2 / np.sqrt(3) / cells.dynamic_pressure.mean()
        step = step.fillna(0.0)  # in a sheet of drag areas
        of_yaw = step.groupby("yaw_setting")
        return np.hypot(self.shared.tare, (of_yaw.agg(np.linalg.norm) / of_yaw.size()).to_numpy())

    def share_at(self, set_up, yaw):
        """How much of each angle of a set-up there is in its drag area at a yaw [1]."""
        angles = self.yaw_curve(set_up).yaw
        return YawCurve(angles, np.eye(angles.size))(yaw)

    def sum_of(self, shares, confidence=0.95):
        """A sum of drag areas, set-up to its share of each of its angles, with its interval: see
        `compare`, whose shares of the second set-up are negative."""
        self.must_have_range()
        passes, area, drift, tare = self.passes, 0.0, 0.0, np.zeros(self.passes.yaw.size)
        coarse, scatters = [], {}
        for name, share in shares.items():
            at, (scatter, dof) = passes.measured(name), passes.scatter(name)
            mean, step, place = (
                x.loc[name].to_numpy()[at] for x in (passes.mean, passes.coarse, passes.place)
            )
            area, drift = area + float(mean @ share), drift + float(place @ share)
            tare[at] += share
            coarse.append(np.linalg.norm(step * share))
            alike = scatters.setdefault(passes.spread_of(name), [])
            alike.append((np.linalg.norm(scatter @ share), dof[share != 0].min()))
        sittings = 0.0 if passes.sat_anew else self.shared.sitting * np.sqrt(len(shares))
        parts = [(np.linalg.norm(u), min(dof)) for u, dof in (zip(*x) for x in scatters.values())]
        parts += [(sittings, KNOWN_TO_A_THIRD), (np.linalg.norm(coarse), np.inf)]
        parts += [(np.linalg.norm(tare * self._tare), np.inf), (abs(drift) * self.shared.drift, np.inf)]
        u, dof = zip(*parts, (abs(area) * self.shared.of_drag_area, np.inf))
        effective = welch_satterthwaite(u, dof)
        return difference_interval(area, np.linalg.norm(u), effective, confidence=confidence)


def _chi(dof, chance):
    """What a standard deviation of so many degrees of freedom may be short by, at that chance."""
    return np.sqrt(dof / (2 * gammaincinv(dof / 2, chance)))


def compare(sheet, a, b, yaw=0.0, *, confidence=0.95):
    """Difference of two set-ups' drag areas at one yaw, and how sure it is.

    The independent repeats are the sittings, each time the rider takes up a set-up anew; the runs
    of one sitting share how the rider sat. The interval is Student's t with the spread of the
    sittings at that yaw, pooled over the set-ups of the sheet (one that is much wilder than all
    others is judged by its own), and their degrees of freedom. Joined to it, with the effective
    degrees of freedom of Welch and Satterthwaite, are: the errors of scale, which scale the
    difference alone; the step of the balance, half of it over sqrt(3) a reading; a drift of the day,
    as far as the run order does not balance it; and, where each set-up has one sitting only, or
    all repeats agree to the last digit, a spread of sittings from common practice. The tare
    cancels where both were run at the same angles: the same stand is taken off both. It holds for two set-ups named BEFORE the test: the
    best of several, picked afterwards, flatters.

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
        .standard_uncertainty, .degrees_of_freedom, .notes (what the sheet cannot tell of these two)

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
    found = sheet.sum_of({a: sheet.share_at(a, yaw), b: -sheet.share_at(b, yaw)}, confidence)
    return replace(found, notes=sheet.passes.cannot_tell(sheet.shared, (a, b)))


def read_sheet(path, shared=None, *, spread=None, axis=None, net=None, air_density=None):
    """Read a tunnel run sheet from a CSV file or a spreadsheet (.xlsx).

    The columns are those of `COLUMNS` or their synonyms, also in German, French and Spanish, with the
    unit in the heading: 'drag [N]', 'speed (km/h)', 'T degC', in a row below it, or in the cells. Their
    order is free, other columns are passed over. Either column of speed will do; where both stand
    they must agree. Lines above the header are notes; what they say of weather, air density, axis,
    speed or yaw holds for all runs. A tare stands in the row of its run, or once for its speed and
    yaw: in a row with the set-up 'empty stand', or in a small table with a header of its own; net
    drag needs none. Air density may take the place of the weather. A sheet may also give drag areas
    alone, run by run, or means with or without their spread and number of runs. Wheels and rider are
    read and kept, but not compared: what shall count as one set-up needs a code of its own.

    A digit that was misread and leaves a likely number is found by other repeats, the weather
    around it, and the second column of speed, or not at all; `scenario.misread` measures how often.

    Parameters
    ----------
    path : str, path or open file
    shared : SharedErrors, optional
        Uncertainties that all runs share; by default those of common practice.
    spread : float, optional [m2]
        How far two runs of the same are apart, with the rider off the bike and on again in between: a standard deviation,
        for a sheet without repeats, or without repeats in another sitting. It is taken as known to a
        third of itself.
    axis : str, optional
        'body' where the drag is along the bicycle, 'wind' where it is along the wind; for a sheet that
        does not say so.
    net : bool, optional
        True where the empty stand's drag is already taken off.
    air_density : float, optional [kg/m3]
        For all runs.

    Returns
    -------
    TunnelSheet

    Raises
    ------
    SheetError
        Where the file cannot be understood as a whole, in words; `NotSaid` where one of the answers
        above would do, which it `.needs`. A single cell or row that is wrong raises nothing: it stands
        in `.faults`.

    Source: COMMON_PRACTICE
    """
    shared = SharedErrors() if shared is None else shared
    needs(SharedErrors, shared=shared)
    if spread is not None:
        spread = one_number("spread", spread)
        if not 0 < spread <= 0.1:
            raise ValueError(say("tunnel", "odd spread", value=spread, usual=_USUAL))
        shared = replace(shared, sitting=spread)
    try:
        as_is = read_text(path, COLUMNS, STAND_COLUMNS, DRAG_AREA)
    except NoHeader:
        raise NoHeader(say("tunnel", "no columns", doors=say("tunnel", "other doors"))) from None
    how, text = taken(as_is, axis, net, air_density)
    rows, stand, unclear = rows_of(text, how)
    rows, faults, notes = looked_over(rows, text, unclear, FAULTS, NOTES)
    of_density, no_humidity = how.density_uncertainty(rows)
    assumed = [f"{REMARK}{said}" for said in (*remarks_on(text, rows, how), *no_humidity)]
    remarks = (*text.notes, *assumed, *notes)
    shared = replace(shared, air_density=float(np.hypot(shared.air_density, of_density)))
    sheet = TunnelSheet(rows, faults, remarks, shared, stand, text.headings, spread)
    if spread is not None and len(sheet._used) and sheet.passes.sat_anew:
        not_needed = f"{REMARK}{say('tunnel', 'spread not needed')}"
        return replace(sheet, remarks=(*sheet.remarks, not_needed))
    return sheet


_USUAL = SharedErrors().sitting
_SAY_THE_SPREAD = say("tunnel", "say the spread", usual=_USUAL)
