"""From the cells of a field sheet to a full table of laps.

People write down less than an analyst wants. What a sheet leaves out is worked out from its other
columns, found in the lines above its header, or given besides; what nobody knows is taken as usual
and its price goes into the range; and what cannot be done without is asked for.
"""

import re
from itertools import chain

import numpy as np
import pandas as pd

from dragwork.escaping import a_name
from dragwork.measurement import checks
from dragwork.measurement import lap_columns as c
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import plain, split_heading, words_of
from dragwork.measurement.sheet_file import NotSaid, SheetError
from dragwork.measurement.sheet_reading import Fault, said_above, stated_above
from dragwork.physics.air import standard_atmosphere
from dragwork.units import to_kmh

# What is not written down: standard uncertainties. Common practice, no source.
UNRECORDED_ZERO = 3.0  # W, of a meter whose zero nobody noted
UNRECORDED_GAIN = 0.1  # m/s that all laps end faster than they begin, or slower
PRESSURE_OF_AN_ALTITUDE = 0.01  # relative: a day's weather moves the pressure by 10 hPa
SHORT_LAP = 500.0  # m, for the price of a change of speed where no length is known
SAME = 0.03  # a mean speed and distance over time differ by less

_TOTALS, _WAYS = words_of("total"), words_of("way")
_WEATHER = (c.TEMPERATURE, c.PRESSURE, c.HUMIDITY)


class FilledLaps:
    """A sheet's cells as a full table of laps.

    Parameters
    ----------
    text : SheetText
    given : dict
        What is said besides, in SI, or None: all_up_mass, temperature, pressure, relative_humidity,
        distance; ridden ('out and back' or 'loop'); positions (dict of lap to position).

    Attributes
    ----------
    laps : pandas.DataFrame
    faults : tuple of Fault
    said : tuple of str
        What was read in a way that one might doubt, and what was taken as usual.
    widened : dict of str to float
        Standard uncertainties, by the fields of `FieldErrors`, of what nobody noted.

    Raises
    ------
    NotSaid
        Where something is needed that only the rider can say.
    """

    def __init__(self, text, given):
        self._text, self._given = text, given
        self.said, self.widened, self._needs = list(text.assumed), {}, {}
        self.laps, self._faults = text.table((*c.COLUMNS, c.AIR_DENSITY))
        self._say_units()
        self._drop_totals()
        self._names()
        if np.isfinite(self.laps.power).any():  # else the faults say what is missing first
            self._positions()
            self._directions()
            self._motion()
            self._meter_and_air()
            self._mass()
            for column in filter(self._lacks, c.COLUMNS):
                self._forgive(column)
        self._flags()
        if self._needs:
            raise NotSaid(self._needs)

    @property
    def faults(self):
        """What could not be read, of the rows that are left."""
        found = [*self._text.faults, *chain.from_iterable(self._faults.values())]
        return tuple(fault for fault in found if fault.row in self._text.rows)

    # -- reading ----------------------------------------------------------------------------------------

    def _keep(self, laps):
        """Go on with some of the laps alone."""
        self._text, self.laps = self._text.some_rows(laps), self.laps[laps].reset_index(drop=True)

    def _say(self, name, **gaps):
        self.said.append(say("laps", name, **gaps))

    def _ask(self, need, **gaps):
        self._needs[need] = say("asked", need, **gaps)

    def _say_units(self):
        guessed = []
        for table in filter(None, (self._text, self._text.beside)):
            doubtful = [x for x in c.COLUMNS if x.units and (x.units[1:] or table.unit(x) != x.usual)]
            guessed += table.guesses(doubtful, "'{}' as {}")
        if guessed:
            self._say("units guessed", guessed=", ".join(guessed))

    def _blank(self, column):
        """Which cells are empty; all of them where there is no such column."""
        return pd.Series(self._text.cells.get(column.field, ""), self.laps.index, dtype=object) == ""

    def _lacks(self, column):
        return bool(self._blank(column).all())

    def _forgive(self, column):
        """Faults of empty cells that were filled otherwise are none."""
        found = self._faults[column.field]
        self._faults[column.field] = [f for f in found if not f.what.startswith("is empty")]

    def _carried(self, column, least=0.0):
        """A column whose empty cells hold what the one above them holds, where so many are empty."""
        blank, values = self._blank(column), self.laps[column.field]
        if not least < blank.mean() < 1:
            return values
        self._forgive(column)
        name = "as before" if blank.sum() < len(blank) - 1 else "given once"
        rows = checks.rows_in_words(self.laps.row[blank])
        self._say(name, heading=self._text.heading(column), rows=rows)
        return values.where(~blank, values.where(~blank & (values != "")).ffill().bfill())

    def _drop_totals(self):
        names = self.laps[["lap", "position", "direction"]]
        total = names.map(lambda name: name.casefold().strip(" :") in _TOTALS).any(axis=1)
        if total.any() and not total.all():
            self._say("total", rows=checks.rows_in_words(self.laps.row[total]).capitalize())
            self._keep(~total)

    # -- what a lap is ----------------------------------------------------------------------------------

    def _names(self):
        """Names of the laps, and their order."""
        laps = self.laps
        numbers = (laps.index + 1).astype(str)
        self._forgive(c.LAP)
        unnamed = numbers if self._lacks(c.LAP) else "row " + laps.row.astype(str)
        laps["lap"] = laps.lap.where(laps.lap != "", unnamed)
        if len(laps) > 3 and laps.lap.duplicated(keep=False).mean() > 0.5:
            self._say("names twice")
            laps["lap"] = numbers
        if self._lacks(c.ORDER):
            self._forgive(c.ORDER)
            laps["order"] = np.arange(len(laps)) + 1.0

    def _positions(self):
        positions = self._given.get("positions")
        if positions is not None:
            unknown = [lap for lap in positions if lap not in set(self.laps.lap)]
            if unknown:
                raise SheetError(say("laps", "no lap", lap=unknown[0], laps=some(self.laps.lap)))
            self._forgive(c.POSITION)
            named = self.laps.lap.isin(list(positions))
            if not named.all():
                self._say("not named", laps=some(self.laps.lap[~named]))
            self._keep(named)
            self.laps["position"] = [a_name(positions[lap]) for lap in self.laps.lap]
        elif self._lacks(c.POSITION):
            self.laps["position"] = "one"
        else:
            self.laps["position"] = self._carried(c.POSITION, least=0.5)

    def _directions(self):
        laps = self.laps
        ridden = self._given.get("ridden") or _ridden_in(self._text.above)
        if not self._lacks(c.DIRECTION):
            laps["direction"] = self._ways()
        elif ridden is None:
            self._ask("ridden")
        elif ridden == "loop":
            laps["direction"] = "loop"
            self._say("loop")
        else:
            places = laps.order.rank(method="first") - 1
            laps["direction"] = np.where(places % 2 == 0, "out", "back")
            self._say("in turn", first=laps.lap[places.idxmin()])

    def _ways(self):
        cells = self.laps.direction.str.casefold().str.strip(" .")
        there = list(dict.fromkeys(cells[cells != ""]))
        ways, heading = _WAYS, self._text.heading(c.DIRECTION)
        known = [_WAYS.get(word) for word in there]
        often = all((cells == word).sum() > 1 for word in there)  # once may be a slip of the pen
        if len(there) == 2 and often and None in known and "loop" not in known:
            turned = known[0] == "back" or known[1] == "out"
            ways = dict(zip(there, ("back", "out") if turned else ("out", "back")))
            words = {ways[cell]: word.strip() for cell, word in zip(cells, self.laps.direction) if cell in ways}
            self._say("ways", **words)
        self._faults["direction"] += [
            Fault.of(row, heading, "unknown word", cell=cell[:40], choices="out or back or loop")
            for row, cell in zip(self.laps.row, cells)
            if cell and cell not in ways
        ]
        return cells.map(ways).fillna("")

    # -- how it moved -----------------------------------------------------------------------------------

    def _motion(self):
        """Speeds, from distance and time where they are not there, and what is known of their change."""
        laps, (time, heading) = self.laps, self._times()
        if laps.distance.nunique() == 1:
            laps["distance"] = self._carried(c.DISTANCE)
        if self._lacks(c.DISTANCE):
            stated = self._given.get("distance") or _only(_found(_LENGTH, self._text.above))
            laps["distance"] = np.nan if stated is None else stated
        if self._lacks(c.SPEED):
            self._speeds_from(time, heading)
        elif not self._lacks(c.DISTANCE):
            self._compare_with(time)
        laps["distance"] = laps.distance.fillna(laps.speed * time)
        unknown = laps.distance.isna() & self._lacks(c.DISTANCE)
        if self._lacks(c.START_SPEED) or self._lacks(c.END_SPEED) or unknown.all():
            for field in ("start_speed", "end_speed"):
                self._faults[field] = []
                laps[field] = laps.speed
            self.widened["speed_gain"] = UNRECORDED_GAIN
        laps["distance"] = laps.distance.mask(unknown, SHORT_LAP)

    def _times(self):
        """Times of the laps [s], nan where the sheet has none, and the heading of their column."""
        for column in (c.TIME, c.MOVING, c.ELAPSED):
            heading = self._text.heading(column)
            unit = (re.findall(r"(?:[\[( ])(s|min|minutes|h)[\])]?$", heading.casefold()) or [""])[0]
            cells = self._text.cells.get(column.field, ())
            found = [None if cell is None else c.seconds(cell, unit) for cell in cells]
            time = pd.Series(found or np.nan, self.laps.index, dtype=float)
            if time.notna().any():
                break
        return time, heading

    def _speeds_from(self, time, heading):
        laps = self.laps
        if time.isna().all():
            gaps = {"heading": c.SPEED.heading, "there": ", ".join(self._text.all_headings)}
            raise SheetError(say("laps", "no speed", **gaps))
        if laps.distance.isna().all():
            self._ask("distance")
            return
        laps["speed"] = laps.distance / time
        for row, duration, speed in zip(laps.row, time, laps.speed):
            if not c.LAP_SPEED.allows(speed):
                name = "no time" if np.isnan(duration) else "time alone" if np.isnan(speed) else "odd time"
                self._faults["speed"].append(Fault.of(row, heading, name, speed=to_kmh(speed)))
        laps["speed"] = laps.speed.where(c.LAP_SPEED.allows(laps.speed))
        step = self._text.last_digit(c.DISTANCE) if self._text.has(c.DISTANCE) else 0.0
        resolution = step / laps.distance.median() / np.sqrt(12)
        if resolution > 0.002:
            self._say("coarse lengths", off=resolution)
        self.widened["speed_scale"] = resolution

    def _compare_with(self, time):
        """Mean speeds against distance over time: one lap that differs is a slip, all are a unit."""
        laps = self.laps
        by_time = laps.distance / time
        off = (laps.speed / by_time - 1).abs() > SAME
        if off.mean() > 0.3:
            self._say("speeds off", ratio=float((by_time / laps.speed).median()))
            return
        found, heading = laps.assign(by_time=by_time)[off], self._text.heading(c.SPEED)
        self._faults["speed"] += [
            Fault.of(lap.row, heading, "speed and time", speed=to_kmh(lap.speed), other=to_kmh(lap.by_time))
            for lap in found.itertuples()
        ]

    # -- what else goes into the balance ----------------------------------------------------------------

    def _mass(self):
        notes = self._text.above
        bare = [line for line in notes if not re.search(r"\d\s*(?:kg|lb)", line, re.I)]
        whole = [line for line in notes if _ALL_UP.search(line) and not _RIDER_ALONE.search(line)]
        stated = _only(_found(_KG, whole)) or stated_above(bare, (*_WEATHER, c.MASS)).get("all_up_mass")
        self._fill(c.MASS, stated)
        heading = self._text.heading(c.MASS)
        if plain(split_heading(heading)[0]) in ("mass", "weight"):
            self._say("mass", heading=heading)
        if self.laps.all_up_mass.isna().all() and self._lacks(c.MASS):
            self._ask("mass")

    def _meter_and_air(self):
        laps, notes = self.laps, self._text.above
        self._fill(c.ZERO, 0.0)
        if self._lacks(c.ZERO):
            self.widened["meter_offset"] = UNRECORDED_ZERO
        self._fill(c.AIR_DENSITY, stated_above(notes, (c.AIR_DENSITY,)).get("air_density"))
        if laps.air_density.notna().any():
            self._faults |= {column.field: [] for column in _WEATHER}
            return
        here = [line for line in notes if not _REDUCED.search(line)]
        said, pressures = said_above(notes, _WEATHER), said_above(here, _WEATHER).get("pressure")
        self._fill(c.TEMPERATURE, _middle(said.get("temperature"), 6.0))
        self._fill(c.PRESSURE, _middle(pressures, 600.0))
        altitude = checks.stated_altitude(notes)
        if self._lacks(c.PRESSURE) and laps.pressure.isna().all() and altitude is not None:
            laps["pressure"] = float(standard_atmosphere(altitude).pressure)
            self.widened["air_density"] = PRESSURE_OF_AN_ALTITUDE
            self._say("pressure of an altitude", altitude=altitude, pressure=laps.pressure.iloc[0])
        lacking = [x.name for x in (c.TEMPERATURE, c.PRESSURE) if laps[x.field].isna().all()]
        if lacking:
            not_there = len(here) < len(notes) and c.PRESSURE.name in lacking
            more = f" {say('asked', 'reduced pressure')}" if not_there else ""
            self._ask("weather", missing=" and the ".join(lacking), reduced=more)
            return
        self._fill(c.HUMIDITY, _middle(said.get("relative_humidity"), 0.3))
        if self._lacks(c.HUMIDITY) and laps.relative_humidity.isna().all():
            laps["relative_humidity"] = checks.USUAL_HUMIDITY
            uncertainty, gaps = checks.humidity_not_known(laps)
            self.widened["air_density"] = np.hypot(self.widened.get("air_density", 0.0), uncertainty)
            self._say("no humidity", **gaps)
        laps["air_density"] = checks.densities(laps)

    def _fill(self, column, from_notes):
        """A column that may be there once, in the lines above the header, or said besides."""
        if not self._lacks(column):
            self.laps[column.field] = self._carried(column)
            return
        places = (_of_the_day(self._text.beside, column), from_notes, self._given.get(column.field))
        self.laps[column.field] = next((value for value in places if value is not None), np.nan)

    def _flags(self):
        """Brake and traffic: an empty cell is a no."""
        lacking = []
        for column, words in ((c.BRAKE, "where brakes were used"), (c.TRAFFIC, "where traffic passed")):
            self._forgive(column)
            self.laps[column.field] = self.laps[column.field].mask(self._blank(column), "no")
            lacking += [] if self._text.has(column) else [words]
        if lacking:
            self._say("no flags", lacking=" or ".join(lacking))


# -- the lines above the header -------------------------------------------------------------------------

_N = r"(?P<n>[-−]?\d+(?:[.,]\d+)?)\s*"
_LENGTH = tuple(
    (re.compile(rf"(?:lap|loop|leg|course|length|distance|road|straight)\b\D{{0,25}}?{_N}{unit}\b", re.I), c.DISTANCE, unit)
    for unit in ("m", "km")
)
_KG = ((re.compile(_N + r"kg\b(?!\s?/)", re.I), c.MASS, "kg"), (re.compile(_N + r"lbs?\b", re.I), c.MASS, "lb"))
_ALL_UP = re.compile(r"\bm\s*=|all[- ]?up|total|system|\bmass\b|rider (?:and|\+|plus|with)|with bike|and bike|gesamt", re.I)
_RIDER_ALONE = re.compile(r"(?:rider|body|athlete)(?:'s)? (?:mass|weight)", re.I)
_REDUCED = re.compile(r"qnh|sea[- ]level pressure|pressure at sea level|reduced|forecast", re.I)


def _found(patterns, lines):
    """Values that the lines state, in SI."""
    return [
        float(column.into_si(float(match["n"].replace(",", ".").replace("−", "-")), unit))
        for pattern, column, unit in patterns
        for line in lines
        for match in pattern.finditer(line)
    ]


def _only(values):
    """The one value that is stated; None where there is none, or where there are several."""
    return values[0] if values and np.ptp(values) == 0 else None


def _middle(values, apart):
    """The mean of readings that differ by no more than a day's weather; else None."""
    return float(np.mean(values)) if values and np.ptp(values) <= apart else None


def _ridden_in(lines):
    text = " ".join(lines).casefold()
    there = {"out and back": re.search(r"out[- ]and[- ]back|there[- ]and[- ]back", text), "loop": re.search(r"\bloop\b", text)}
    found = [way for way, match in there.items() if match]
    return found[0] if len(found) == 1 else None


def _of_the_day(table, column):
    """The mean of a column of the small table beside the laps; None where it is not there."""
    if table is None or not table.has(column):
        return None
    values, _ = table.read(column)
    return float(np.nanmean(values)) if np.isfinite(values).any() else None


def some(names):
    """The first dozen names, in words.

    Parameters
    ----------
    names : sequence of str

    Returns
    -------
    str [text]

    Source: COMMON_PRACTICE
    """
    shown = ", ".join(list(names)[:12])
    return shown + (" and so on" if len(names) > 12 else "")
