"""The field sheet: laps ridden on a road with a power meter, and which of them can be used.

A sheet is read as far as it is clear; cells that are not stand in `.faults`. A lap may be read well
and still be no test (a brake, a passing car); such laps stand in `.rejected` with the reason. Both
are left out, neither is mended.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd

from dragwork.measurement import checks
from dragwork.measurement import lap_columns as c
from dragwork.measurement.checks import Check
from dragwork.measurement.lap_columns import COLUMNS, laps_named
from dragwork.measurement.lap_gaps import FilledLaps, some
from dragwork.measurement.regression import odd_ones
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import csv_of
from dragwork.measurement.sheet_file import NotSaid, SheetError
from dragwork.measurement.sheet_reading import Fault, read_text
from dragwork.physics.drag import dynamic_pressure
from dragwork.physics.resistance import inertia_force, rolling_force, slope_force
from dragwork.quantities import whole_number
from dragwork.units import to_percent

__all__ = ["Fault", "LapSheet", "NotSaid", "Rejected", "SheetError", "empty_sheet", "laps_named", "read_laps"]

USUAL_ROLLING, USUAL_EFFICIENCY = 0.004, 0.975

# How the noise of a lap is taken to grow with speed; only the ratio of the two counts, the level is
# shown by the residuals. Common practice, no source.
NOISE_OF_POWER = 0.01  # of the lap's wheel force
NOISE_OF_WIND = 0.2  # m/s along the road, from lap to lap
LEAST_NOISE = 0.1  # of that noise: laps that agree better do so by chance, COMMON_PRACTICE
_USUAL_AREA = 0.3  # m2: close enough for weights
OUTLIER_RISK = 0.02  # of calling a lap of a sound test an outlier
MOST_OUTLIERS = 0.2  # of the laps: with more of them nothing says which are the odd ones
UNIT_ROLLING = 0.1  # rolling coefficients go to 0.2, so the force at 1 is ten times that at 0.1

SPEED_CHANGE = 0.10  # of the mean speed: more between start and end is no steady lap
SAME_SPEED = 0.05  # two legs further apart than this are no pair


@dataclass(frozen=True)
class Rejected:
    """A lap that was read well and is no test, and why."""

    row: int
    lap: str
    why: str

    def __str__(self):
        return f"Lap {self.lap} (row {self.row}): {self.why}"


@dataclass(frozen=True, eq=False)
class LapSheet:
    """A field sheet as far as it is clear.

    Parameters
    ----------
    laps : pandas.DataFrame
        One line a lap, in SI, columns as in `COLUMNS` and: row (line of the file as a spreadsheet
        shows it), air_density [kg/m3], pair (laps of one out-and-back share a number; 0 = none),
        used (False where a fault stands, or where the lap was rejected).
    faults : tuple of Fault
        What could not be read, by row and column, and what would mend it.
    rejected : tuple of Rejected
        Laps that were read well and are no test, with the reason.
    notes : tuple of str
        The lines above the header, then what the sheet as a whole makes one ask.
    asked : tuple of str
        The latter alone.
    widened : dict of str to float
        What nobody noted, by the fields of `roadtest.FieldErrors`: standard uncertainties that come
        on top of the usual ones.
    """

    laps: pd.DataFrame
    faults: tuple = ()
    rejected: tuple = ()
    notes: tuple = ()
    asked: tuple = ()
    widened: dict = field(default_factory=dict)

    @cached_property
    def used(self):
        """The laps in use, a table as `.laps`."""
        return self.laps[self.laps.used]

    @cached_property
    def positions(self):
        """Codes of the positions with laps in use, as they come in the file."""
        return tuple(str(code) for code in self.used.position.unique())

    def choose(self, direction=None, position=None):
        """The same sheet with some of its laps alone in use.

        Parameters
        ----------
        direction : str, optional
            'out', 'back' or 'loop'.
        position : str, optional
            A position's code.

        Returns
        -------
        LapSheet

        Raises
        ------
        ValueError
            Where no lap in use is of that kind, in words.

        Source: COMMON_PRACTICE
        """
        kept = self.laps.used.copy()
        for name, wanted in (("direction", direction), ("position", position)):
            if wanted is not None:
                kept &= self.laps[name] == wanted
                if not kept.any():
                    there = ", ".join(sorted(map(str, self.used[name].unique()))) or "none"
                    raise ValueError(f"no lap in use has {name} '{wanted}'; there are: {there}.")
        return replace(self, laps=self.laps.assign(used=kept))

    def without(self, *laps):
        """The same sheet with some laps left out, by their names on the sheet.

        Parameters
        ----------
        *laps : str or int

        Returns
        -------
        LapSheet

        Raises
        ------
        ValueError
            For a lap that the sheet does not hold, in words.

        Source: COMMON_PRACTICE
        """
        names = [str(lap) for lap in laps]
        unknown = [name for name in names if name not in set(self.laps.lap)]
        if unknown:
            raise ValueError(f"lap '{unknown[0]}' is not on this sheet; laps are {some(self.laps.lap)}.")
        return replace(self, laps=self.laps.assign(used=self.laps.used & ~self.laps.lap.isin(names)))


def read_laps(
    path, *, all_up_mass=None, temperature=None, pressure=None, relative_humidity=None, distance=None,
    ridden=None, positions=None,
):  # fmt: skip
    """Read a field sheet: laps with their mean power and mean speed, and what else it says.

    The columns are those of `COLUMNS`; their order is free, other columns are passed over. A lap is
    one leg of an out-and-back, or one round of a loop. Mean power and mean speed must be there; lap
    time and distance do in place of speed. Mass and weather may be in a column, once in a column, in
    the lines above the header, or in the arguments; what else is missing is taken as usual, with a
    sentence in `.notes`, and widens the range.

    Rejected, with the reason: laps with a brake or traffic flag, laps whose speed changed by more
    than a tenth, laps that took no power, laps far from the line of all others. Weather, meter
    zero, mass and distance are held against the laps before and after.

    Parameters
    ----------
    path : str, path or open file
    all_up_mass : float, optional [kg]
        This and the next four hold where the sheet does not say.
    temperature : float, optional [K]
    pressure : float, optional [Pa]
    relative_humidity : float, optional
    distance : float, optional [m]
        Of each lap.
    ridden : str, optional
        'out and back' (by turns, the first lap out) or 'loop', where the sheet has no directions.
    positions : dict of str to str, optional
        Each lap to its position, in place of those of the sheet; other laps are left out. See
        `laps_named`.

    Returns
    -------
    LapSheet

    Raises
    ------
    SheetError
        Where the file cannot be understood as a whole, in words; `NotSaid` where it can as soon as
        mass, weather, direction or length are given. A single cell that is wrong raises nothing: it
        stands in `.faults`.

    Source: COMMON_PRACTICE
    """
    given = {
        "all_up_mass": all_up_mass, "temperature": temperature, "pressure": pressure, "distance": distance,
        "relative_humidity": relative_humidity, "ridden": ridden, "positions": positions,
    }  # fmt: skip
    text = read_text(path, (*COLUMNS, *c.IN_PLACE), c.OF_THE_DAY)
    if not text.has(c.POWER):
        there = ", ".join(text.all_headings)
        raise SheetError(say("laps", "no power", heading=c.POWER.heading, there=there))
    filled = FilledLaps(text, given)
    names = filled.laps.position
    laps = filled.laps.assign(position=names.map(checks.one_spelling(names)))
    laps, faults, notes = checks.looked_over(laps, text, filled.faults, FAULTS, NOTES)
    asked = (*filled.said, *checks.respelt(names), *notes)
    return replace(sort_out(laps, faults, text.notes, asked), widened=filled.widened)


def sort_out(laps, faults=(), notes=(), asked=()):
    """A lap sheet from a table of laps: pairs found, and laps that are no test rejected.

    Parameters
    ----------
    laps : pandas.DataFrame
        As `LapSheet.laps`, without pair; used says which laps were read well.
    faults, notes, asked : tuple
        As `LapSheet` holds them; the sheet's notes are notes and asked together.

    Returns
    -------
    LapSheet

    Source: COMMON_PRACTICE
    """
    why = _why_not(laps)
    for place, reason in _odd_laps(laps, laps.used.to_numpy(bool) & (why == "")):
        why[place] = reason
    out = laps.used.to_numpy(bool) & (why != "")
    rejected = tuple(map(Rejected, laps.row[out].astype(int), laps.lap[out], why[out]))
    laps = laps.assign(pair=_pairs(laps), used=laps.used & ~out)
    return LapSheet(laps, tuple(faults), rejected, (*notes, *asked), tuple(asked))


def empty_sheet(laps=16):
    """The field sheet to take along, as CSV text: the headings, and lines to fill in.

    Parameters
    ----------
    laps : int
        Lines wanted, 1 to 1000. They are numbered, out and back by turns.

    Returns
    -------
    str
        `read_laps` reads it back once it is filled in; optional columns may stay empty. A pure
        text, no unit: [CSV].

    Raises
    ------
    ValueError
        For another number of lines, in words.

    Source: COMMON_PRACTICE
    """
    lines = [
        {"lap": number, "order": number, "direction": "out" if number % 2 else "back"}
        for number in range(1, whole_number("laps", laps, 1, 1000) + 1)
    ]
    return csv_of(COLUMNS, lines)


def _doubled_laps(laps, text, _):
    """A lap's name must be there once, so that it can be named."""
    first = laps[laps.lap != ""].groupby("lap").row.transform("first")
    return [
        Fault.of((row, other), text.heading(c.LAP), "lap twice", lap=laps.lap[index], other=other)
        for index, row, other in zip(first.index, laps.row[first.index], first)
        if row != other
    ]


def _rough_areas(laps):
    """Drag area of each steady lap with a usual tyre [m2]."""
    clear = (laps.brake == "no") & (laps.traffic == "no") & (laps.power > laps.zero)
    some = laps[clear & _is_steady(laps)].assign(head_wind=0.0, gradient=0.0)
    pressure, force, weight = lap_forces(some)
    return pd.Series((force - USUAL_ROLLING * weight) / pressure, some.index)


def _implausible(laps, text, plausible):
    """Laps that no rider can have ridden, with a usual tyre: a wrong unit or a slipped digit."""
    area = _rough_areas(laps[laps.used])
    return [
        Fault.of(laps.row[index], text.heading(c.SPEED), "implausible lap", area=found)
        for index, found in area.items()
        if not plausible[0] <= found <= plausible[1]
    ]


def _unusual_areas(laps, text, usual):
    """Drag areas that few riders have, with a usual tyre: a column in another unit?"""
    middle = float(_rough_areas(laps[laps.used]).median())
    if np.isnan(middle) or usual[0] <= middle <= usual[1]:
        return []
    return [say("laps", "unusual areas", middle=middle, usual=usual)]


FAULTS = (
    Check(_doubled_laps, "each lap must be named"),
    Check(
        _implausible, "m2: with a usual tyre no lap gives less or more, whatever a light wind does",
        (0.05, 1.5), rank=1,
    ),
    Check(
        checks.jumps,
        "more than weather, a meter at rest, bottles and a road's marks change between laps, COMMON_PRACTICE",
        (
            (c.TEMPERATURE, 3.0), (c.PRESSURE, 500.0), (c.HUMIDITY, 0.15), (c.ZERO, 5.0), (c.MASS, 2.0),
            (c.DISTANCE, 50.0),
        ),
    ),
)  # fmt: skip
NOTES = (
    Check(checks.unusual_weather, "weather that people ride in", checks.UsualWeather()),
    Check(_unusual_areas, "m2: riders on bicycles, COMMON_PRACTICE", (0.15, 0.60)),
    Check(lambda laps, text, _: checks.nearly_alike(laps.position), "a slip of the pen is one letter"),
)  # fmt: skip


def lap_forces(laps, efficiency=USUAL_EFFICIENCY, rotating_mass=0.0):
    """Pressure of the air along the road, wheel force of air and tyres, and weight, of each lap.

    Parameters
    ----------
    laps : pandas.DataFrame or dict of arrays
        As `LapSheet.laps`, with head_wind and gradient known.
    efficiency : float
    rotating_mass : float [kg]

    Returns
    -------
    tuple of three (n,) arrays [Pa, N, N]

    Source: MARTIN1998
    """
    m, G, v, rho = (np.asarray(laps[n], dtype=float) for n in ("all_up_mass", "gradient", "speed", "air_density"))
    along = v + np.asarray(laps["head_wind"])
    pressure = np.sign(along) * dynamic_pressure(rho, np.abs(along))
    force = efficiency * np.asarray(laps["power"] - laps["zero"]) / v - slope_force(m, G)
    force = force - inertia_force(m, rotating_mass, np.asarray(lap_acceleration(laps)))
    return pressure, force, rolling_force(m, UNIT_ROLLING, G) / UNIT_ROLLING


def lap_noise(speed, pressure, weight):
    """How far a lap's force may be off [N], on a scale that its neighbours share."""
    force = _USUAL_AREA * np.abs(pressure) + USUAL_ROLLING * weight
    wind = 2 * _USUAL_AREA * np.abs(pressure) / np.maximum(speed, 0.1) * NOISE_OF_WIND
    return np.hypot(NOISE_OF_POWER * force, wind)


def _odd_laps(laps, sound):
    """Laps far from the line of all others, each with the reason: (place in the table, reason).

    A drag area each position, tyres, and a wind and a slope that nobody noted: what these explain
    together is no outlier.
    """
    some = laps[sound]
    if len(some) < 8:
        return []
    some = some.assign(**{name: some[name].fillna(0.0) for name in ("head_wind", "gradient") if name in some})
    pressure, force, weight = lap_forces(some)
    way = some.direction.map({"out": 1.0, "back": -1.0, "loop": 0.0}).to_numpy()
    codes = pd.get_dummies(some.position).to_numpy(float) * pressure[:, None]
    design = np.column_stack([codes, weight, way * np.sqrt(pressure.clip(0)), way * weight])
    noise = lap_noise(some.speed.to_numpy(), pressure, weight)
    found = odd_ones(design, force, noise, OUTLIER_RISK, MOST_OUTLIERS, LEAST_NOISE)
    places = np.flatnonzero(sound)
    return [(places[i], say("laps", "off the line", t=abs(t))) for i, t in found]


def lap_acceleration(laps):
    """The steady acceleration that takes a lap from its start speed to its end speed.

    Parameters
    ----------
    laps : pandas.DataFrame or dict of arrays
        With start_speed and end_speed [m/s] and distance [m].

    Returns
    -------
    pandas.Series or array [m/s2]
    """
    return (laps["end_speed"] ** 2 - laps["start_speed"] ** 2) / (2 * laps["distance"])


def _is_steady(laps):
    return (laps.end_speed - laps.start_speed).abs() <= SPEED_CHANGE * laps.speed


def _why_not(laps):
    """For each lap the reason why it is no test, or ''."""
    middle = (laps.start_speed + laps.end_speed) / 2
    reasons = {
        "braked": laps.brake == "yes",
        "traffic": laps.traffic == "yes",
        "unsteady": ~_is_steady(laps),
        "surges": (middle - laps.speed).abs() > SPEED_CHANGE * laps.speed,
        "coasted": laps.power <= laps.zero,
    }
    why = np.full(len(laps), "", dtype=object)
    for name, holds in reversed(reasons.items()):  # the first that holds is said
        why[holds.to_numpy(bool)] = say("laps", name, most=to_percent(SPEED_CHANGE))
    return why


def _pairs(laps):
    """Numbers of out-and-back pairs: two laps that follow each other, in one position, out and back
    or back and out. A loop is a pair with itself: it comes back to its start."""
    ordered = laps.sort_values("order", kind="stable")
    columns = ("direction", "position", "speed")
    direction, position, speed = (ordered[name].to_numpy() for name in columns)
    numbers, count, i = np.zeros(len(laps), dtype=int), 0, 0
    while i < len(laps):
        two = i + 1 < len(laps) and {direction[i], direction[i + 1]} == {"out", "back"}
        two = two and position[i] == position[i + 1]
        two = two and not abs(speed[i] - speed[i + 1]) > SAME_SPEED * speed[i]
        if two or direction[i] == "loop":
            count += 1
            numbers[i : i + 1 + two] = count
        i += 2 if two else 1
    return pd.Series(numbers, index=ordered.index)
