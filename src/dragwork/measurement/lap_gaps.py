"""From the cells of a field sheet to a full table of laps.

People write down less than an analyst wants. What a sheet leaves out is worked out from its other
columns, found in the lines above its header, or given besides; what nobody knows is taken as usual
and its price goes into the range; and what cannot be done without is asked for.
"""

import re

import numpy as np
import pandas as pd

from dragwork.escaping import a_name
from dragwork.measurement import checks
from dragwork.measurement import lap_columns as c
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import plain, split_heading, words_of
from dragwork.measurement.sheet_reading import Fault, SheetError, said_above, stated_above
from dragwork.physics.air import density, standard_atmosphere
from dragwork.units import to_kmh

# What is not written down: standard uncertainties. Common practice, no source.
UNRECORDED_ZERO = 3.0  # W, of a meter whose zero nobody noted
UNRECORDED_GAIN = 0.1  # m/s that all laps end faster than they begin, or slower
PRESSURE_OF_AN_ALTITUDE = 0.01  # relative: a day's weather moves the pressure by 10 hPa
SHORT_LAP = 500.0  # m, for the price of a change of speed where no length is known
SAME = 0.03  # a mean speed and distance over time differ by less

_TOTALS, _WAYS = words_of("total"), words_of("way")

class NotSaid(SheetError):
    """A sheet that can be used once something is said besides; `.needs` names what."""

    def __init__(self, needs):
        super().__init__(" ".join(needs.values()))
        self.needs = tuple(needs)


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
        self._faults = {None: list(text.faults)}
        self.laps = pd.DataFrame({"row": text.rows})
        for column in c.COLUMNS:
            self.laps[column.field] = self._read(column)
        self._say_units()
        self._drop_totals()
        self.laps["air_density"] = pd.Series(self._read(c.AIR_DENSITY))[self.laps.index]
        self._names()
        if np.isfinite(self.laps.power).any():  # else the faults say what is missing first
            self._positions()
            self._directions()
            self._motion()
            self._meter()
            self._air()
            self._mass()
        self._flags()
        if self._needs:
            raise NotSaid(self._needs)

    @property
    def faults(self):
        """What could not be read, of the rows that are left."""
        rows = set(self.laps.row)
        return tuple(fault for found in self._faults.values() for fault in found if fault.row in rows)

    # -- reading ----------------------------------------------------------------------------------------

    def _read(self, column):
        """A column in SI; its faults are kept by field."""
        values, self._faults[column.field] = self._text.read(column)
        return values

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

    def _cells(self, column):
        """A column's cells as they are in the file, for the rows that are left; None if it has none."""
        cells = self._text.cells.get(column.field)
        return None if cells is None else pd.Series(cells, dtype=object).reindex(self.laps.index)

    def _blank(self, column):
        """Which cells are empty; all of them where there is no such column."""
        cells = self._cells(column)
        return pd.Series(True, self.laps.index) if cells is None else cells == ""

    def _lacks(self, column):
        return bool(self._blank(column).all())

    def _forgive(self, field):
        """Faults of empty cells that were filled otherwise are none."""
        self._faults[field] = [f for f in self._faults[field] if not f.what.startswith("is empty")]

    def _carried(self, column, least=0.0):
        """A column whose empty cells hold what the one above them holds, where so many are empty."""
        blank, values = self._blank(column), self.laps[column.field]
        if not blank.any() or blank.all() or blank.mean() <= least:
            return values
        self._forgive(column.field)
        name = "as before" if blank.sum() < len(blank) - 1 else "given once"
        rows = checks.rows_in_words(self.laps.row[blank])
        self._say(name, heading=self._text.heading(column), rows=rows)
        known = values.where(~blank & (values != ""))
        return values.where(~blank, known.ffill().bfill())

    def _drop_totals(self):
        total = pd.Series(False, self.laps.index)
        for column in (c.LAP, c.POSITION, c.DIRECTION):
            total |= self.laps[column.field].str.casefold().str.strip(" :").isin(_TOTALS)
        if total.any() and not total.all():
            self._say("total", rows=checks.rows_in_words(self.laps.row[total]).capitalize())
            self.laps = self.laps[~total].copy()

    # -- what a lap is ----------------------------------------------------------------------------------

    def _names(self):
        """Names of the laps, and their order."""
        laps = self.laps
        numbers = pd.Series([str(i) for i in range(1, len(laps) + 1)], laps.index)
        self._forgive("lap")
        unnamed = numbers if self._lacks(c.LAP) else "row " + laps.row.astype(str)
        laps["lap"] = laps.lap.where(laps.lap != "", unnamed)
        if len(laps) > 3 and laps.lap.duplicated(keep=False).mean() > 0.5:
            self._say("names twice")
            laps["lap"] = numbers
        if self._lacks(c.ORDER):
            self._forgive("order")
            laps["order"] = np.arange(len(laps)) + 1.0

    def _positions(self):
        positions, laps = self._given.get("positions"), self.laps
        if positions is not None:
            unknown = [lap for lap in positions if lap not in set(laps.lap)]
            if unknown:
                raise SheetError(say("laps", "no lap", lap=unknown[0], laps=some(laps.lap)))
            self._forgive("position")
            named = laps.lap.isin(list(positions))
            if not named.all():
                self._say("not named", laps=some(laps.lap[~named]))
            self.laps = laps = laps[named].copy()
            laps["position"] = laps.lap.map({lap: a_name(code) for lap, code in positions.items()})
        elif self._lacks(c.POSITION):
            self._forgive("position")
            laps["position"] = "one"
        else:
            laps["position"] = self._carried(c.POSITION, least=0.5)

    def _directions(self):
        laps = self.laps
        if not self._lacks(c.DIRECTION):
            laps["direction"] = self._ways()
            return
        ridden = self._given.get("ridden") or _ridden_in(self._text.above)
        self._forgive("direction")
        if ridden is None:
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
            first = known[0] or ("out" if known[1] != "out" else "back")
            ways = {there[0]: first, there[1]: "back" if first == "out" else "out"}
            words = {ways[cell]: word.strip() for cell, word in zip(cells, self.laps.direction) if cell in ways}
            self._say("ways", **words)
        self._faults["direction"] += [
            Fault.of(row, heading, "direction", cell=cell[:40])
            for row, cell in zip(self.laps.row, cells)
            if cell and cell not in ways
        ]
        return cells.map(ways).fillna("")

    # -- how it moved -----------------------------------------------------------------------------------

    def _motion(self):
        """Speeds, from distance and time where they are not there, and what is known of their change."""
        laps, time = self.laps, self._times()
        filled = laps.distance.dropna()
        if not self._lacks(c.DISTANCE) and filled.nunique() == 1:
            laps["distance"] = self._carried(c.DISTANCE)
        if self._lacks(c.DISTANCE):
            self._forgive("distance")
            length = self._given.get("distance") or _only(_found(_LENGTH, self._text.above))
            laps["distance"] = np.nan if length is None else length
        if self._lacks(c.SPEED):
            self._speeds_from(time)
        elif time is not None and not self._lacks(c.DISTANCE):
            self._compare(time)
        laps["distance"] = laps.distance.fillna(laps.speed * time) if time is not None else laps.distance
        known = laps.distance.notna() | (not self._lacks(c.DISTANCE))
        if self._lacks(c.START_SPEED) or self._lacks(c.END_SPEED) or not known.any():
            for field in ("start_speed", "end_speed"):
                self._faults[field] = []
                laps[field] = laps.speed
            self.widened["speed_gain"] = UNRECORDED_GAIN
        laps["distance"] = laps.distance.where(known, SHORT_LAP)

    def _times(self):
        """Times of the laps [s], None where the sheet has none."""
        for column in (c.TIME, c.MOVING, c.ELAPSED):
            cells = self._cells(column)
            if cells is None:
                continue
            heading = self._text.headings[column.field]
            unit = (re.findall(r"(?:[\[( ])(s|min|minutes|h)[\])]?$", heading.casefold()) or [""])[0]
            found = [None if cell is None else c.seconds(cell, unit) for cell in cells]
            time = pd.Series(found, self.laps.index, dtype=float)
            if time.notna().any():
                self._time_heading = heading
                return time
        return None

    def _speeds_from(self, time):
        laps = self.laps
        if time is None:
            gaps = {"heading": c.SPEED.heading, "there": ", ".join(self._text.all_headings)}
            raise SheetError(say("laps", "no speed", **gaps))
        if not laps.distance.notna().any():
            self._ask("distance")
            return
        self._forgive("speed")
        speed = laps.distance / time
        for index, v in speed.items():
            if not c.LAP_SPEED.allows(v):
                self._faults["speed"].append(self._no_time(index, time[index], v))
        laps["speed"] = speed.where(c.LAP_SPEED.allows(speed))
        step = self._text.last_digit(c.DISTANCE) if self._text.has(c.DISTANCE) else 0.0
        resolution = step / laps.distance.median() / np.sqrt(12)
        if resolution > 0.002:
            self._say("coarse lengths", off=resolution)
        self.widened["speed_scale"] = resolution

    def _no_time(self, index, time, speed):
        name = "no time" if np.isnan(time) else "time alone" if np.isnan(speed) else "odd time"
        return Fault.of(self.laps.row[index], self._time_heading, name, speed=to_kmh(speed))

    def _compare(self, time):
        """Mean speeds against distance over time: one lap that differs is a slip, all are a unit."""
        laps = self.laps
        off = (laps.speed * time / laps.distance - 1).abs() > SAME
        if off.mean() > 0.3:
            ratio = float((laps.distance / time / laps.speed).median())
            self._say("speeds off", ratio=ratio)
            return
        self._faults["speed"] += [
            Fault.of(row, self._text.heading(c.SPEED), "speed and time", speed=speed, other=other)
            for row, speed, other in zip(
                laps.row[off], to_kmh(laps.speed[off]), to_kmh(laps.distance / time)[off]
            )
        ]

    # -- what else goes into the balance ----------------------------------------------------------------

    def _meter(self):
        if self._lacks(c.ZERO):
            self._forgive("zero")
            self.laps["zero"] = 0.0
            self.widened["meter_offset"] = UNRECORDED_ZERO
        else:
            self.laps["zero"] = self._carried(c.ZERO)

    def _mass(self):
        bare = [line for line in self._text.above if not re.search(r"\d\s*(?:kg|lb)", line, re.I)]
        stated = _only(_masses(self._text.above)) or stated_above(bare, (*_WEATHER, c.MASS)).get("all_up_mass")
        self._fill(c.MASS, stated)
        heading = self._text.heading(c.MASS)
        if plain(split_heading(heading)[0]) in ("mass", "weight"):
            self._say("mass", heading=heading)
        if self._lacks(c.MASS) and not self.laps.all_up_mass.notna().any():
            self._ask("mass")

    def _air(self):
        laps, notes = self.laps, self._text.above
        if self._lacks(c.AIR_DENSITY):
            self._faults["air_density"] = []
            laps["air_density"] = stated_above(notes, (c.AIR_DENSITY,)).get("air_density", np.nan)
        else:
            laps["air_density"] = self._carried(c.AIR_DENSITY)
        if laps.air_density.notna().any():
            for column in (c.TEMPERATURE, c.PRESSURE, c.HUMIDITY):
                self._faults[column.field] = []
            return
        reduced = [line for line in notes if _REDUCED.search(line)]
        here = [line for line in notes if line not in reduced]
        said = said_above(notes, _WEATHER) | {"pressure": said_above(here, _WEATHER).get("pressure")}
        self._fill(c.TEMPERATURE, _middle(said.get("temperature"), 6.0))
        self._fill(c.PRESSURE, _middle(said["pressure"], 600.0))
        altitude = checks.stated_altitude(notes)
        if self._lacks(c.PRESSURE) and laps.pressure.isna().all() and altitude is not None:
            laps["pressure"] = float(standard_atmosphere(altitude).pressure)
            self.widened["air_density"] = PRESSURE_OF_AN_ALTITUDE
            self._say("pressure of an altitude", altitude=altitude, pressure=laps.pressure.iloc[0])
        lacking = [
            name for column, name in ((c.TEMPERATURE, "temperature"), (c.PRESSURE, "station pressure"))
            if laps[column.field].isna().all()
        ]  # fmt: skip
        if lacking:
            not_there = reduced and "station pressure" in lacking
            more = f" {say('asked', 'reduced pressure')}" if not_there else ""
            self._ask("weather", missing=" and the ".join(lacking), reduced=more)
            return
        self._fill(c.HUMIDITY, _middle(said.get("relative_humidity"), 0.3))
        if self._lacks(c.HUMIDITY) and laps.relative_humidity.isna().all():
            self._usual_humidity()
        ok = laps[["temperature", "pressure", "relative_humidity"]].notna().all(axis=1)
        weather = laps.loc[ok, ["temperature", "pressure", "relative_humidity"]].to_numpy().T
        laps.loc[ok, "air_density"] = density(*weather)

    def _usual_humidity(self):
        laps = self.laps
        laps["relative_humidity"] = checks.USUAL_HUMIDITY
        temperature, pressure = laps.temperature.median(), laps.pressure.median()
        change, uncertainty = checks.humidity_not_known(temperature, pressure)
        self.widened["air_density"] = np.hypot(self.widened.get("air_density", 0.0), uncertainty)
        self._say("no humidity", usual=checks.USUAL_HUMIDITY, change=change, temperature=temperature)

    def _fill(self, column, from_notes):
        """A column that may be there once, in the lines above the header, or said besides."""
        field = column.field
        if not self._lacks(column):
            self.laps[field] = self._carried(column)
            return
        self._forgive(field)
        for value in (_of_the_day(self._text.beside, column), from_notes, self._given.get(field)):
            if value is not None:
                self.laps[field] = value
                break

    def _flags(self):
        """Brake and traffic: an empty cell is a no."""
        for column in (c.BRAKE, c.TRAFFIC):
            self._forgive(column.field)
            cells = self.laps[column.field]
            self.laps[column.field] = cells.where(~self._blank(column), "no")
        lacking = [words for column, words in ((c.BRAKE, "where brakes were used"), (c.TRAFFIC, "where traffic passed"))
                   if not self._text.has(column)]  # fmt: skip
        if lacking:
            self._say("no flags", lacking=" or ".join(lacking))


# -- the lines above the header -------------------------------------------------------------------------

_N = r"(?P<n>[-−]?\d+(?:[.,]\d+)?)\s*"
_LENGTH = tuple(
    (re.compile(rf"(?:lap|loop|leg|course|length|distance|road|straight)\b\D{{0,25}}?{_N}{unit}\b", re.I), c.DISTANCE, unit)
    for unit in ("m", "km")
)
_KG = ((re.compile(_N + r"kg\b(?!\s?/)", re.I), c.MASS, "kg"), (re.compile(_N + r"lbs?\b", re.I), c.MASS, "lb"))
_WEATHER = (c.TEMPERATURE, c.PRESSURE, c.HUMIDITY)
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


def _masses(lines):
    return _found(_KG, [line for line in lines if _ALL_UP.search(line) and not _RIDER_ALONE.search(line)])


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
