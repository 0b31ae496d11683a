"""One page to show others: what a change of set-up saves this rider on this road, and how surely.

`build_report` carries a tunnel sheet through the library, draw by draw, and tells the outcome in
plain sentences. The page has no scripts and fetches nothing; printed, it is a page or two.
"""

import base64
from dataclasses import dataclass, replace
from datetime import date as Date
from html import escape
from importlib.resources import files

import numpy as np
from IPython.display import display

import dragwork
from dragwork import units
from dragwork.measurement.tunnel import compare
from dragwork.physics.course import ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions
from dragwork.physics.savings import watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road, apparent_wind
from dragwork.quantities import checked
from dragwork.sources import cite
from dragwork.teaching.figures.dots import Dots, DragAreas, set_up_looks, with_intervals
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes
from dragwork.teaching.telling import Shown, html_table, table

DRAWS = 2000  # quantiles of the range settle to about a fortieth of its width
SEED = 12
CONFIDENCE = 0.95  # a difference is claimed
PLANNING = 0.80  # a choice is planned
_ALIKE = 0.10  # share by which two drag areas may differ and still be those of one rider
_CALM = 0.05  # m/s: less wind than this is called calm


@dataclass(frozen=True)
class Range:
    """A best estimate and the ends of its interval, with the interval's level."""

    low: float
    mid: float
    high: float
    confidence: float

    @property
    def sign(self):
        """1 where the whole interval is a saving, -1 where it is a loss, 0 where it holds zero."""
        return 1 if self.low > 0 else -1 if self.high < 0 else 0


@dataclass(frozen=True)
class Table:
    """Rows of a table, each a dict of column to text, with a caption."""

    rows: tuple
    caption: str


@dataclass(frozen=True)
class Part:
    """A part of the page: a heading, then paragraphs (str), lists (tuple), pictures, tables."""

    heading: str
    pieces: tuple


@dataclass(frozen=True, eq=False)
class Report:
    """The page, and the numbers on it.

    .watts [W at the crank, at the rider's own speed] and .seconds [s over the road], each a
    `Range`, positive where `after` is better; .planning, the seconds at 80 %; .table, the legs;
    .sentences; .settings, by name, all that made the page.
    """

    title: str
    answer: tuple
    parts: tuple
    watts: Range
    seconds: Range
    planning: Range
    table: tuple
    settings: dict
    date: Date

    @property
    def sentences(self):
        """Every paragraph and list item of the page, in order, each picture by its sentence."""
        said = list(self.answer)
        for part in self.parts:
            for piece in part.pieces:
                if isinstance(piece, str):
                    said.append(piece)
                elif isinstance(piece, tuple):
                    said.extend(piece)
                elif isinstance(piece, Shown):
                    said.append(piece.sentence)
        return tuple(said)

    def html(self):
        """The page as one self-contained HTML file."""
        return _PAGE.format(
            title=escape(self.title),
            look=look(),
            body=self.body(1),
            date=self.date.isoformat(),
        )

    def body(self, level):
        """The page's content as HTML, its title a heading of that level."""
        lines = [f'<h{level} class="title">{escape(self.title)}</h{level}>']
        lines += [f'<p class="answer">{escape(sentence)}</p>' for sentence in self.answer]
        for part in self.parts:
            lines.append(f'<h{level + 1} class="part">{escape(part.heading)}</h{level + 1}>')
            lines += [_as_html(piece) for piece in part.pieces]
        return "\n".join(lines)

    def markdown(self, level=3):
        """The page's words as Markdown, without its date; pictures by their sentences."""
        return "\n\n".join(piece if isinstance(piece, str) else f"*{piece.sentence}*"
                           for piece in self._in_markdown(level))  # fmt: skip

    def _in_markdown(self, level):
        """Strings of Markdown, and between them the pictures."""
        said = [f"{'#' * level} {self.title}", *self.answer]
        for part in self.parts:
            said.append(f"{'#' * (level + 1)} {part.heading}")
            for piece in part.pieces:
                if isinstance(piece, Shown):
                    yield "\n\n".join(said)
                    yield piece
                    said = []
                else:
                    said.append(_as_markdown(piece))
        yield "\n\n".join(said)

    def _ipython_display_(self):
        """The page in a notebook: its words, and each picture where it belongs."""
        for piece in self._in_markdown(3):
            if isinstance(piece, str):
                display({"text/markdown": piece, "text/plain": piece}, raw=True)
            else:
                display(piece)

    def __repr__(self):
        return self.markdown()


def look():
    """The style sheet of the page."""
    return files(__package__).joinpath("report.css").read_text("utf-8")


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
body {{ margin: 2.5em 1.2em; background: #ffffff; }}
{look}
@page {{ margin: 15mm 20mm; }}
@media print {{
  body {{ margin: 0; }}
  .dragwork-page {{ max-width: none; font-size: 10pt; line-height: 1.4; }}
  .dragwork-page .part {{ margin-top: 1.2em; }}
  .dragwork-page p, .dragwork-page ul {{ margin-bottom: 0.5em; }}
  .dragwork-page .title, .dragwork-page .part {{ break-after: avoid; }}
  .dragwork-page figure, .dragwork-page table, .dragwork-page li {{ break-inside: avoid; }}
  .dragwork-page p {{ orphans: 3; widows: 3; }}
  .dragwork-page p:has(+ ul) {{ break-after: avoid; }}
  .dragwork-page img {{ max-width: 125mm; }}
}}
</style>
</head>
<body>
<main class="dragwork-page">
{body}
<p class="date">Made on {date}.</p>
</main>
</body>
</html>
"""


def _as_html(piece):
    if isinstance(piece, str):
        return f"<p>{escape(piece)}</p>"
    if isinstance(piece, tuple):
        return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in piece) + "</ul>"
    if isinstance(piece, Table):
        return html_table(piece.rows, piece.caption)
    width, height = piece.picture.size
    png = base64.b64encode(piece.picture.saved_png()).decode("ascii")
    return (
        f'<figure><img src="data:image/png;base64,{png}" alt="{escape(piece.alt)}" '
        f'width="{width}" height="{height}">'
        f"<figcaption>{escape(piece.sentence)}</figcaption></figure>"
    )


def _as_markdown(piece):
    if isinstance(piece, str):
        return piece
    if isinstance(piece, tuple):
        return "\n".join(f"- {item}" for item in piece)
    return table(piece.rows, piece.caption).markdown


# -- what is computed -------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Carried:
    """A sheet carried to a rider on a road: all numbers of the page, before a word is said."""

    areas: DragAreas
    own_speed: float
    watts: Range
    seconds: Range
    planning: Range
    was: object  # the ride with `before`, by the best estimates
    now: object
    leg_watts: np.ndarray
    leg_seconds: tuple  # a Range a leg
    air_speed: np.ndarray  # on each leg
    tunnel_speed: tuple  # lowest and highest


def build_report(
    sheet,
    before,
    after,
    member,
    road,
    power=None,
    air_density=1.2,
    *,
    sheet_name="the sheet",
    draws=DRAWS,
    seed=SEED,
    date=None,
):
    """The page for one sheet, two set-ups, one rider and one road.

    Both set-ups ride the road in every joint draw of the sheet, so that errors which both share
    cancel as they should. The best estimates come from the sheet's own curves, the ranges from the
    draws. Same input, same page, byte for byte apart from the date.

    Parameters
    ----------
    sheet : TunnelSheet
    before, after : str
        Two set-ups of the sheet.
    member : Member
        Name, mass, rolling, drivetrain and power; the drag area is taken from the sheet.
    road : Road
    power : float [W], optional
        At the crank, instead of the member's own.
    air_density : float [kg/m3]
        0.2 to 2.
    sheet_name : str
        What the page calls the sheet.
    draws, seed : int
        How many joint draws, and where they begin.
    date : datetime.date, optional
        Printed on the page; by default today.

    Returns
    -------
    Report

    Raises
    ------
    ValueError
        For set-ups that the sheet does not hold, or values out of range, in words.

    Source: MARTIN1998
    """
    for name in (before, after):
        if name not in sheet.set_ups:
            raise ValueError(f"'{name}' is not in the sheet; it has {listed(sheet.set_ups)}.")
    if before == after:
        raise ValueError(f"Two different set-ups are needed; '{before}' was given twice.")
    power = float(checked(power=member.power if power is None else power))
    air_density = float(checked(air_density=air_density))
    carried = _carry(sheet, before, after, member.rider, road, power, air_density, draws, seed)
    page = _Page(sheet, sheet_name, before, after, member, road, power, air_density, carried)
    return Report(
        title=page.title(),
        answer=page.answer(),
        parts=page.parts(draws, seed),
        watts=carried.watts,
        seconds=carried.seconds,
        planning=carried.planning,
        table=page.legs(),
        settings=page.settings(draws, seed),
        date=date or Date.today(),
    )


def _carry(sheet, before, after, rider, road, power, air_density, draws, seed):
    names = (before, after)
    best = {name: sheet.yaw_curve(name) for name in names}
    drawn = sheet.draws(draws, seed)
    speed = steady_speed(
        replace(rider, drag_area=best[before]), Conditions(air_density=air_density), power
    )
    was, now = (_ride(road, rider, best[name], power, air_density) for name in names)
    were, are = (_ride(road, rider, drawn[name], power, air_density) for name in names)
    here = _conditions(road, air_density)
    felt = apparent_wind(was.legs.speed, here.wind_speed, here.wind_angle)
    still = Conditions(air_density=air_density)
    total = were.time - are.time, was.time - now.time
    legs = zip((were.legs.time - are.legs.time).T, was.legs.time - now.legs.time)
    tunnel = sheet.drag_areas().speed
    return _Carried(
        areas=with_intervals(best, drawn, CONFIDENCE),
        own_speed=speed,
        watts=_range(
            _watts(rider, drawn, names, still, speed), _watts(rider, best, names, still, speed)
        ),
        seconds=_range(*total),
        planning=_range(*total, PLANNING),
        was=was,
        now=now,
        leg_watts=_watts(rider, best, names, here, was.legs.speed),
        leg_seconds=tuple(_range(*leg) for leg in legs),
        air_speed=felt.speed,
        tunnel_speed=(float(tunnel.min()), float(tunnel.max())),
    )


def _ride(road, rider, drag_area, power, air_density):
    return ride(
        road.course, replace(rider, drag_area=drag_area), air_density=air_density, **road.day(power)
    )


def _conditions(road, air_density):
    """The road's conditions, an array with one entry a leg."""
    return Conditions(
        air_density=air_density,
        wind_speed=road.wind_speed,
        wind_angle=angle_to_road(road.wind_from, road.course.column("heading")),
        gradient=road.course.column("gradient"),
    )


def _watts(rider, curves, names, conditions, speed):
    was, now = (replace(rider, drag_area=curves[name]) for name in names)
    return watts_saved(was, now, conditions, speed)


def _range(drawn, best, confidence=CONFIDENCE):
    tail = (1 - confidence) / 2
    low, high = np.quantile(drawn, [tail, 1 - tail])
    return Range(float(low), float(best), float(high), confidence)


# -- what is said -----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Page:
    """The words of the page; sentences of twenty words at the most, as far as that goes."""

    sheet: object
    sheet_name: str
    before: str
    after: str
    member: object
    road: object
    power: float
    air_density: float
    carried: _Carried

    def title(self):
        return (
            f"Set-up {self.after} against set-up {self.before}: "
            f"what does it save {self.member.name} on {self.road.name}?"
        )

    def answer(self):
        seconds, planning, watts = self.carried.seconds, self.carried.planning, self.carried.watts
        name, before, after = self.member.name, self.before, self.after
        if seconds.sign:
            saves = "saves" if seconds.sign > 0 else "costs"
            first = (
                f"On {self.road.name}, set-up {after} {saves} {name} {_time(abs(seconds.mid))} "
                f"against set-up {before}."
            )
        else:
            first = f"This sheet cannot tell whether set-up {after} is faster than {before} here."
        less = "less" if watts.mid >= 0 else "more"
        return (
            f"{first} {_level(seconds)} range: {_span(seconds, _time)}.",
            (
                f"To plan with, take {_span(planning, _time)} ({_level(planning)} range). "
                "These ranges know the scatter in the tunnel, not what the road adds to it."
            ),
            (
                f"At {_kmh(self.carried.own_speed)} set-up {after} needs {_w(abs(watts.mid))} "
                f"{less} at the crank. {_level(watts)} range: {_span(watts, _w)}. That is the "
                f"speed which {self.power:.0f} W give {name} with {before}, on a flat road in "
                "still air."
            ),
        )

    def parts(self, draws, seed):
        return (
            Part("What was measured", self.measured()),
            Part(f"On {self.road.name}", self.on_the_road()),
            Part("How sure is this?", self.how_sure()),
            Part("Rows of the sheet that were left out", self.left_out()),
            Part("Before anybody acts on it", _CAUTIONS),
            Part("Sources", (tuple(cite(key) for key in _SOURCES),)),
            Part("The settings that made this page", (self.settings_table(draws, seed),)),
        )

    # the sheet

    def measured(self):
        used, left = self.runs()
        low, high = self.carried.tunnel_speed
        notes = tuple(self.sheet.notes)
        gone = f"{left} left out; the reasons stand below." if left else "none left out."
        return (
            (
                f"The sheet is {self.sheet_name}. It holds {len(self.sheet.set_ups)} set-ups: "
                f"{listed(self.sheet.set_ups)}. {used} runs were used, {gone}"
            ),
            *(("The sheet says of itself:", notes) if notes else ()),
            self.dots(),
            self.difference(),
            *((_SHARED,) if self.shares_errors() else ()),
            (
                f"The tunnel ran at {_span_of(low, high, units.to_kmh)} km/h. "
                f"The air came at yaws from {self.measured_yaws()}."
            ),
        )

    def runs(self):
        """How many runs of the sheet were used, and how many left out."""
        return runs_of(self.sheet)

    def dots(self):
        areas = self.carried.areas
        place = np.flatnonzero(areas.yaw == self.yaw())[0]
        told = " and ".join(
            f"set-up {name} has {areas.drag_area[i, place]:.3f} m² "
            f"({areas.low[i, place]:.3f} to {areas.high[i, place]:.3f})"
            for i, name in enumerate(areas.set_ups)
        )
        return Shown(
            Dots(areas, set_up_looks(self.sheet.set_ups)),
            areas,
            f"Drag areas with their {_level(areas)} ranges. At yaw {_degrees(self.yaw())} {told}.",
        )

    def yaw(self):
        return straightest_yaw(self.sheet, self.before, self.after)

    def difference(self):
        return difference_in_words(self.sheet, self.before, self.after)

    def shares_errors(self):
        """Whether the difference is known better than either drag area."""
        found = compare(self.sheet, self.before, self.after, self.yaw(), confidence=CONFIDENCE)
        return found.high - found.low < np.nanmin(self.carried.areas.high - self.carried.areas.low)

    def measured_yaws(self):
        curves = [self.sheet.yaw_curve(name) for name in (self.before, self.after)]
        low = max(curve.limits[0] for curve in curves)
        high = min(curve.limits[1] for curve in curves)
        return f"{low:.3g}° to {high:.3g}°".replace("-", "−")

    # the road

    def on_the_road(self):
        return (
            self.road.about,
            self.strip(),
            self.beyond_yaw(),
            self.beyond_speed(),
            *self.at_the_limit(),
            Table(
                self.legs(),
                "Leg by leg. Watts are at the crank, at the speed of that leg. "
                f"Time is saved at the same power; in brackets the {_level(self.carried.seconds)} "
                "range.",
            ),
        )

    def strip(self):
        was, now, course = self.carried.was, self.carried.now, self.road.course
        result = replace(road_in_minutes(course, was, now), beyond_yaw=self.unmeasured())
        longest = int(np.argmax(was.legs.time))
        missing = " Dashes below the strip: yaw not measured there."
        dashes = missing if np.any(self.unmeasured()) else ""
        return Shown(
            RoadStrip(len(course.legs)),
            result,
            f"The road in minutes: with set-up {self.before} it takes {_time(was.time)}. "
            f"The longest leg in time is leg {longest + 1}, {self.leg(longest)}, with "
            f"{_time(was.legs.time[longest])}.{dashes}",
        )

    def unmeasured(self):
        """Legs on which the yaw lay beyond the measured angles, with either set-up."""
        return self.carried.was.legs.beyond_yaw | self.carried.now.legs.beyond_yaw

    def beyond_yaw(self):
        minutes = self.minutes_where(self.unmeasured())
        measured = self.measured_yaws()
        if minutes is None:
            return f"The yaw stayed within the measured angles, {measured}, all the way."
        return (
            f"For {minutes} the yaw lay beyond the measured angles, {measured}. "
            "There the drag area is a rule of thumb: it fades towards a pure side wind."
        )

    def beyond_speed(self):
        low, high = self.carried.tunnel_speed
        air = self.carried.air_speed
        minutes = self.minutes_where((air < low) | (air > high))
        tunnel = _span_of(low, high, units.to_kmh)
        if minutes is None:
            return f"The air speed stayed within the tunnel's, {tunnel} km/h, all the way."
        met = _span_of(air.min(), air.max(), units.to_kmh)
        return (
            f"The air speed was {met} km/h on this road, and {tunnel} km/h in the tunnel. "
            f"For {minutes} it lay outside the tunnel's speeds. "
            "There the drag area is taken to be the same."
        )

    def at_the_limit(self):
        """A sentence where speed limits decide, or none."""
        limited = self.carried.was.legs.speed >= self.road.course.column("speed_limit")
        numbers = [str(i + 1) for i in np.flatnonzero(limited)]
        if not numbers:
            return ()
        leg = "leg" if len(numbers) == 1 else "legs"
        return (
            f"On {leg} {listed(numbers)} the speed limit decides: hardly any time is saved there.",
        )

    def minutes_where(self, legs):
        """'12 of 113 minutes' for the legs that are marked; None where there is none."""
        if not np.any(legs):
            return None
        time = self.carried.was.legs.time
        some, whole = (units.to_minutes(t) for t in (time[legs].sum(), time.sum()))
        return f"{some:.0f} of {whole:.0f} minutes"

    def leg(self, i):
        """A leg's length and slope in words."""
        leg = self.road.course.legs[i]
        slope = units.to_percent(leg.gradient)
        steep = f"{abs(slope):.2g} % {'up' if slope > 0 else 'down'}" if slope else "flat"
        return f"{units.to_kilometres(leg.distance):.3g} km {steep}"

    def legs(self):
        before, was, carried = self.before, self.carried.was.legs, self.carried
        return tuple(
            {
                "Leg": f"{i + 1}: {self.leg(i)}",
                "Wind": self.wind(i),
                f"Time with {before}": units.clock(was.time[i]),
                f"Speed with {before}": _kmh(was.speed[i]),
                "Watts saved": "none, braked" if was.braked[i] > 0 else _w(carried.leg_watts[i]),
                "Time saved": f"{saved.mid:.0f} s ({_span_of(saved.low, saved.high)})",
            }
            for i, saved in enumerate(carried.leg_seconds)
        )

    def wind(self, i):
        speed = self.road.wind_speed[i]
        if speed < _CALM:
            return "still air"
        angle = abs(_conditions(self.road, self.air_density).wind_angle[i])
        kind = "head" if angle < np.pi / 6 else "tail" if angle > 5 * np.pi / 6 else "side"
        return f"{speed:.1f} m/s {kind} wind"

    # how sure

    def how_sure(self):
        return (
            *(() if self.carried.seconds.sign else (_UNDECIDED,)),
            "The ranges come from the sheet. They hold:",
            _HELD,
            "They do not hold:",
            _NOT_HELD,
            *((_PICKED,) if len(self.sheet.set_ups) > 2 else ()),
            *self.other_body(),
            *((_STILL_WHEELS,) if np.any(self.sheet.rows.wheels == "no") else ()),
        )

    def other_body(self):
        """A sentence where the rider's own drag area is known and far from the sheet's, or none."""
        own, yaw = self.member.rider.drag_area, self.yaw()
        if isinstance(own, YawCurve):
            return ()
        measured = float(self.sheet.yaw_curve(self.before)(yaw))
        if abs(own - measured) <= _ALIKE * own:
            return ()
        apart = (
            f"{self.member.name} is known for a drag area of {own:.3f} m², far from the "
            f"{measured:.3f} m² of set-up {self.before} in the sheet. Another body, another "
            "bicycle: the saving may be quite another one too."
        )
        return (apart,)

    def left_out(self):
        faults = tuple(str(fault) for fault in self.sheet.faults)
        if not faults:
            return ("None: nothing in the sheet contradicts itself.",)
        return ("Nothing was mended in silence. These rows were not used:", faults)

    # what made it

    def settings(self, draws, seed):
        rider = self.member.rider
        used, left = self.runs()
        return {
            "Sheet": f"{self.sheet_name}: {used} runs used, {left} left out",
            "Set-ups": f"{self.after} against {self.before}",
            "Rider": f"{self.member.name}: {rider.all_up_mass:g} kg all up, rolling coefficient "
            f"{rider.rolling_coefficient:.6g}, drivetrain efficiency "
            f"{rider.drivetrain_efficiency:.6g}",
            "Power": f"{self.power:g} W at the crank",
            "Road": f"{self.road.name}: {self.road.about}",
            "Air density": f"{self.air_density:.6g} kg/m³",
            "Draws": f"{draws} joint draws of the sheet, seed {seed}",
            "Program": f"dragwork {dragwork.__version__}",
        }

    def settings_table(self, draws, seed):
        rows = [{"Setting": k, "Value": v} for k, v in self.settings(draws, seed).items()]
        return Table(tuple(rows), "The same settings make the same page again.")


def runs_of(sheet):
    """How many runs of a sheet are used, and how many rows were left out."""
    used = int(sheet.rows.used.sum())
    return used, len(sheet.rows) - used


def straightest_yaw(sheet, before, after):
    """The angle nearest to straight ahead at which both set-ups were measured [rad].

    Raises
    ------
    ValueError
        Where they have no angle in common, in words.
    """
    both = np.intersect1d(sheet.yaw_curve(before).yaw, sheet.yaw_curve(after).yaw)
    if both.size == 0:
        raise ValueError(
            f"Set-ups {before} and {after} were never measured at the same yaw, so nothing can be "
            "compared."
        )
    return float(both[np.argmin(np.abs(both))])


def difference_in_words(sheet, before, after):
    """What the sheet says of two set-ups' drag areas, with the range of the difference."""
    yaw = straightest_yaw(sheet, before, after)
    found = compare(sheet, before, after, yaw, confidence=CONFIDENCE)
    change = Range(found.low, found.difference, found.high, found.confidence)
    smaller = "smaller" if change.mid >= 0 else "larger"
    tells = "" if change.sign else " Zero lies in that range."
    return (
        f"At yaw {_degrees(yaw)} the drag area of set-up {after} is {_area(abs(change.mid))} "
        f"{smaller} than that of set-up {before}. {_level(change)} range: "
        f"{_span(change, _area, 'less', 'more')}.{tells}"
    )


_SHARED = "Both share some errors, so their difference is surer than either of them."
_UNDECIDED = (
    "The range holds zero. That does not say the two are alike: it says that this sheet cannot "
    "part them. More repeats of both, in turn, would narrow it."
)
_HELD = (
    "how far repeats of the same set-up lay apart;",
    "errors that all set-ups share, of balance, air density and tunnel speed;",
    "these nearly cancel in a difference.",
)
_NOT_HELD = (
    "the step from tunnel to road: real wind is gusty, and a road has traffic, hedges and houses;",
    "another body: the drag areas are those of whoever sat in the tunnel;",
    "holding the position: nobody sits as still for hours as for a minute of measuring;",
    "steering, comfort, heat, and the watts that a new position may cost;",
    "the rider's mass, power and rolling resistance, and the weather: all taken as exact.",
)
_PICKED = (
    "If these two were picked after looking at all of them, expect somewhat less: the best of "
    "several always flatters."
)
_STILL_WHEELS = (
    "In some runs the wheels stood still. Spinning them takes a few watts that are not in here."
)
_CAUTIONS = (
    "This is an estimate with a range, not a promise.",
    (
        "Fit: change a position with a qualified fitter, little by little, over weeks.",
        "Pain, numbness or a blocked view of the road ends the trial.",
        "Handling: drag says nothing about steering. Try new parts in light wind first.",
        "Deep wheels and large side areas steer in gusts and beside passing lorries.",
        "Traffic: eyes on the road and hands near the brakes come before any saving.",
        "Rules: events differ and rules change. Read the current rule text before buying or racing.",
        "Training and health: questions belong to qualified people.",
    ),
)
_SOURCES = ("MARTIN1998", "GUM", "JCGM101")


def _time(seconds):
    """`0:49 min`, `1:53:20 h`."""
    said = units.clock(seconds)
    return f"{said} h" if said.count(":") == 2 else f"{said} min"


def _w(watts):
    return f"{watts:.1f} W"


def _kmh(speed):
    return f"{units.to_kmh(speed):.1f} km/h"


def _area(area):
    return f"{area:.4f} m²"


def _degrees(angle):
    return f"{units.to_deg(angle):.3g}°".replace("-", "−")


def _level(interval):
    return f"{units.to_percent(interval.confidence):.0f} %"


def _span(found, words, gain="saved", loss="lost"):
    """A range in words, its sign told: '0:52 to 1:49 min saved', '3.1 W lost to 9.2 W saved'."""
    low, high = found.low, found.high
    if low >= 0:
        return f"{_pair(words(low), words(high))} {gain}"
    if high <= 0:
        return f"{_pair(words(-high), words(-low))} {loss}"
    return f"{words(-low)} {loss} to {words(high)} {gain}"


def _pair(low, high):
    """Two numbers with units; the unit is said once where both have the same."""
    unit = high.rpartition(" ")[1:]
    return f"{low.removesuffix(''.join(unit))} to {high}"


def _span_of(low, high, convert=float):
    """Two plain numbers, '40 to 50', or one where both read the same."""
    ends = dict.fromkeys(f"{convert(end):.0f}".replace("-", "−") for end in (low, high))
    return " to ".join(ends)


def listed(names):
    """Names in words: 'A, B and C'."""
    *most, last = (str(name) for name in names)
    return f"{', '.join(most)} and {last}" if most else last
