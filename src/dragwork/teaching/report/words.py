"""From evidence, a rider and a road to the page, and its words: sentences of twenty at the most, as far as that goes."""

import re
from datetime import date as Date

import numpy as np

import dragwork
from dragwork import units
from dragwork.decisions.rides import DRAWS, EXACT, SEED, Unstated, outside_riding
from dragwork.files import fingerprint
from dragwork.physics import YawCurve
from dragwork.quantities import checked, needs, true_minus
from dragwork.sources import cite
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes
from dragwork.teaching.figures.rows import Dots, set_up_looks
from dragwork.teaching.report.evidence import as_evidence, difference_in_words
from dragwork.teaching.report.numbers import Carried, Case
from dragwork.teaching.report.page import Part, Report, Table, degrees, say
from dragwork.teaching.telling import Shown, sentence

_ALIKE = 0.10  # share by which two drag areas may differ and still be those of one rider
_FAR = 0.1  # of the range: from here on the ride as assumed is told beside the middle
_CALM = 0.05  # m/s: less wind than this is called calm


class PageWords:
    """The words of a page about one case: `.answer()`, `.parts()`, `.settings()`."""

    def __init__(self, case, carried, member, extra=(), made_with=()):
        self.case, self.carried, self.extra, self.made_with = case, carried, tuple(extra), dict(made_with)
        self.name, self.own_drag_area = member.name, member.rider.drag_area
        self.evidence, (self.before, self.after), self.road = case.evidence, case.names, case.road

    def answer(self):
        seconds, planning, watts = self.carried.seconds, self.carried.planning, self.carried.watts
        name, before, after, road = self.name, self.before, self.after, self.road.name
        if seconds.sign:
            saves = "saves" if seconds.sign > 0 else "loses"
            first = f"With {after} instead of {before}, {name} {saves} {_time(abs(seconds.mid))} on {road}"
        else:
            these = "These numbers" if self.evidence.noun == "numbers" else "This sheet"
            first = f"{these} cannot show whether {name} is faster on {road} with {after} than with {before}"
        less, widest = "less" if watts.mid >= 0 else "more", self.widest() or say("nothing widens")
        return (
            f"{first} ({seconds.percent} range: {seconds.in_words(_time)}). {self.exactly()}".strip(),
            f"For planning, use {planning.in_words(_time)} ({planning.percent} range). {widest} "
            f"On a flat road in still air {self.case.power:.0f} W give {name} "
            f"{_kmh(self.carried.own_speed)} with {before}. At that speed it is {_w(abs(watts.mid))} {less} at the "
            f"crank ({watts.percent} range: {watts.in_words(_w)}).",
        )

    @sentence
    def widest(self):
        """The biggest unknown is {unknown}."""
        cause, change = self.carried.causes[0]
        wide = change.high - change.low >= 0.1
        return {"unknown": say("causes", cause, noun=self.evidence.noun)} if wide else None

    @sentence
    def exactly(self):
        """Exactly as assumed, in the expected wind and no other, it is {time} {word}."""
        seconds, assumed = self.carried.seconds, self.carried.assumed
        if abs(assumed - seconds.mid) <= _FAR * (seconds.high - seconds.low):
            return None
        return {"time": _time(abs(assumed)), "word": "saved" if assumed >= 0 else "lost"}

    def parts(self):
        """One page; what is for a room, on a page of its own; then how all of it was found."""
        rows = tuple(self.row(*group) for group in self.carried.groups)
        legs = Table(rows, say("leg by leg", level=self.carried.seconds.percent))
        left_out = Part("Rows of the sheet that were left out", self.left_out())
        return (
            Part(f"On {self.road.name}", (self.strip(),)),
            Part("What you should know with it", (self.to_know(),)),
            Part("What the ranges leave out", ((*self.evidence.not_held, *say("not held")),)),
            Part("Before you act on it", (tuple(say("cautions")),)),
            Part("", (self.small_print(),), small=True),
            *(part for part in self.extra if part.new_page),
            Part("How this was found", (legs,), new_page=True),
            *(part for part in self.extra if not part.new_page),
            Part("What was measured", self.measured()),
            Part("How sure is this?", self.how_sure()),
            *([left_out] if self.evidence.noun == "sheet" else ()),
            Part("Sources", (tuple(cite(key) for key in _SOURCES),)),
        )

    # the page

    def to_know(self):
        """Whose body, at which speeds and angles, and what would use it up: sentences."""
        at, beyond, speeds = "", say("no speed"), self.evidence.speeds
        if speeds is not None:
            at = f", at {_span_of(*speeds)} km/h of air speed and {self.measured_yaws()}"
            beyond = self.beyond_speed()
        return (
            f"Measured on {self.evidence.body}{at}. {self.other_body()}".strip(),
            *filter(None, (
                beyond,
                self.beyond_yaw(),
                self.at_the_limit(),
                outside_riding(self.road.course.distance / self.carried.was.time),
                self.power_to_lose(),
                *(part.brief for part in self.extra),
            )),
        )  # fmt: skip

    @sentence
    def power_to_lose(self):
        """The gain is gone if the new position costs {self.name} more than {watts:.0f} W."""
        watts = self.carried.power_to_lose
        return {"watts": watts} if watts is not None and self.carried.seconds.sign else None

    def small_print(self):
        """All that made the page, in one paragraph, with a fingerprint of that and of the answer."""
        settings = self.settings()
        made = "; ".join(f"{name}: {value}" for name, value in settings.items())
        sources = ", ".join(re.match(r".*?\d{4}\)?", cite(key))[0] for key in _SOURCES)
        found = repr((settings, self.carried.seconds, self.carried.watts)).encode()
        return f"{made}. The same settings make the same page again; its fingerprint: {fingerprint(found)}. Sources: {sources}."

    # the sheet

    def measured(self):
        notes, areas, change = tuple(self.evidence.notes), self.carried.areas, self.carried.change
        known_better = change.high - change.low < np.nanmin(areas.high - areas.low)  # than either drag area
        return (
            *self.evidence.opening,
            *(("Notes on the sheet:", notes) if notes else ()),
            self.dots(),
            difference_in_words(self.evidence, self.before, self.after),
            *((say("shared"),) if known_better else ()),
        )

    def dots(self):
        areas, yaw = self.carried.areas, self.carried.yaw
        place = np.flatnonzero(areas.yaw == yaw)[0]
        told = " and ".join(
            f"set-up {name} has {areas.drag_area[i, place]:.3f} m² "
            f"({areas.low[i, place]:.3f} to {areas.high[i, place]:.3f})"
            for i, name in enumerate(areas.set_ups)
        )
        level, looks = f"{units.to_percent(areas.confidence):.0f} %", set_up_looks(self.evidence.set_ups)
        said = f"Drag areas with their {level} ranges. At yaw {degrees(yaw)} {told}."
        return Shown(lambda: Dots(areas, looks), areas, said)

    def measured_yaws(self):
        limits = [self.evidence.curve(name).limits for name in self.case.names]
        low, high = max(low for low, _ in limits), min(high for _, high in limits)
        if low == high:
            return f"yaw {low:.3g}°"
        return true_minus(f"yaws from {low:.3g}° to {high:.3g}°")

    # the road

    def strip(self):
        was, now, course = self.carried.was, self.carried.now, self.road.course
        saved = was.legs.time - now.legs.time
        result = road_in_minutes(course, was, saved=saved, beyond_yaw=self.unmeasured())
        longest = int(np.argmax(was.legs.time))
        dashes = " Dashes below the strip: yaw not measured there." if np.any(self.unmeasured()) else ""
        said = (
            f"The road in minutes, exactly as assumed: with set-up {self.before} it takes {_time(was.time)}. The longest "
            f"leg in time is leg {longest + 1}, {self.leg(longest)}, with {_time(was.legs.time[longest])}.{dashes}"
        )
        return Shown(lambda: RoadStrip(len(course.legs)), result, said)

    def unmeasured(self):
        """Legs on which the yaw lay beyond the measured angles, with either set-up."""
        return self.carried.was.legs.beyond_yaw | self.carried.now.legs.beyond_yaw

    @sentence
    def beyond_yaw(self):
        """For {minutes} the air comes from beyond the measured angles, {yaws}. There the drag area is a rule of
        thumb: it fades towards a pure crosswind."""
        minutes = self.minutes(self.carried.was.legs.time[self.unmeasured()].sum())
        return minutes and {"minutes": minutes, "yaws": self.measured_yaws()}

    @sentence
    def beyond_speed(self):
        """For {minutes} the air speed is outside the measured ones: it is {met} km/h on this road. The same drag area
        is assumed there."""
        air, (low, high) = self.carried.air_speed, self.evidence.speeds
        minutes = self.minutes(self.carried.was.legs.time[(air < low) | (air > high)].sum())
        return minutes and {"minutes": minutes, "met": _span_of(air.min(), air.max())}

    @sentence
    def at_the_limit(self):
        """For {minutes} a speed limit sets the pace, and less drag saves no time there."""
        minutes = self.minutes(self.carried.was.legs.time_at_limit.sum())
        return minutes and {"minutes": minutes}

    def minutes(self, seconds):
        """'12 of 113 minutes' of the ride; None for none."""
        if not seconds:
            return None
        some, whole = (units.to_minutes(t) for t in (seconds, self.carried.was.time))
        return f"{f'{some:.0f}' if some >= 0.5 else 'less than 1'} of {whole:.0f} minutes"

    def leg(self, i):
        """A leg's length and slope in words."""
        leg = self.road.course.legs[i]
        slope = units.to_percent(leg.gradient)
        steep = f"{abs(slope):.2g} % {'up' if slope > 0 else 'down'}" if slope else "flat"
        return f"{units.to_kilometres(leg.distance):.3g} km {steep}"

    def row(self, words, at, saved):
        """A row of the table: one leg, or all legs of like slope."""
        before, was = self.before, self.carried.was.legs
        time, distance = was.time[at], self.road.course.column("distance")[at]
        watts = np.sum(self.carried.leg_watts[at] * time) / time.sum()
        name = f"{at[0] + 1}: {self.leg(at[0])}"
        if words:
            many = "1 leg" if at.size == 1 else f"{at.size} legs"
            name = f"{words}: {units.to_kilometres(distance.sum()):.3g} km in {many}"
        return {
            "Leg" if words is None else "Legs": name,
            "Wind": self.wind(at),
            f"Time with {before}": units.clock(time.sum()),
            f"Speed with {before}": _kmh(distance.sum() / time.sum()),
            "Watts saved": "none at the limit" if np.all(was.time_at_limit[at] > time / 2) else _w(watts),
            "Time saved": saved.in_words("{:.0f} s".format),
        }

    def wind(self, at):
        here, time = self.case.conditions(), self.carried.was.legs.time
        speed, angle = (np.broadcast_to(w, time.shape)[at] for w in (here.wind_speed, np.abs(here.wind_angle)))
        if np.all(speed < _CALM):
            return "still air"
        if at.size > 1:
            along = np.sum(speed * np.cos(angle) * time[at]) / time[at].sum()
            kind = "head" if along >= 0 else "tail"
            return f"{abs(along):.1f} m/s {kind}wind, on average"
        kind = "head" if angle < np.pi / 6 else "tail" if angle > 5 * np.pi / 6 else "cross"
        return f"{speed[0]:.1f} m/s {kind}wind"

    # how sure

    def how_sure(self):
        evidence = self.evidence
        undecided = say("undecided", these="these numbers" if evidence.noun == "numbers" else "this sheet")
        return (
            *(() if self.carried.seconds.sign else (undecided,)),
            f"The ranges of the drag areas come from the {evidence.noun}. They include:",
            evidence.held,
            *self.unstated(),
            *self.larger_than_the_range(),
            *((say("picked"),) if len(evidence.set_ups) > 2 else ()),
            *evidence.remarks,
        )

    def unstated(self):
        """What the sheet does not say and the range of the seconds holds all the same."""
        doubt, noun = self.case.unstated, self.evidence.noun
        if doubt == EXACT:
            return (say("unstated", "exact"),)
        level = f"{self.carried.planning.percent} range of what it changes, on its own"
        rows = tuple(
            {
                "What is uncertain": say("causes in the table", cause, noun=noun),
                level: change.in_words("{:.1f} s".format, "more", "less"),
            }
            for cause, change in self.carried.causes
        )
        each = tuple(say("unstated", "each", **vars(doubt)))
        return say("unstated", "included"), each, Table(rows, say("unstated", "caption"))

    def larger_than_the_range(self):
        """What the range leaves out and what is larger than it, with its size; or nothing."""
        said = tuple(say("outside", name, seconds=seconds) for name, seconds in self.carried.outside)
        return ("Larger than the range itself:", said) if said else ()

    @sentence
    def other_body(self):
        """That body had {measured:.3f} m² with {self.before}; {self.name} is known for {self.own_drag_area:.3f} m². On
        another body the saving can be quite different."""
        own = self.own_drag_area
        if own is None or isinstance(own, YawCurve):
            return None
        measured = float(self.evidence.curve(self.before)(self.carried.yaw))
        return {"measured": measured} if abs(own - measured) > _ALIKE * own else None

    def left_out(self):
        faults = tuple(str(fault) for fault in self.evidence.faults)
        if not faults:
            return ("None: nothing in the sheet contradicts itself.",)
        return ("Nothing was corrected without a note. These rows were not used:", faults)

    # what made it

    def settings(self):
        noun, about = self.evidence.noun.capitalize(), f"{self.road.name}: {self.road.about}".rstrip(".")
        gaps = vars(self) | {"noun": noun, "about": about, "version": dragwork.__version__}
        return {**say("settings", **gaps), **self.made_with, **say("settings of the program", **gaps)}


_SOURCES = ("MARTIN1998", "GUM", "JCGM101")


def build_report(
    sheet, before, after, member, road, power=None, air_density=1.2, *,
    sheet_name="the sheet", unstated=None, extra=(), made_with=(),
    draws=DRAWS, seed=SEED, date=None, carried=None, progress=None,
):
    """The page for what was measured, two set-ups, one rider and one road.

    The ranges hold the joint draws of the sheet and the doubts about the ride, drawn together; what
    both set-ups share cancels. Same input, same page, byte for byte apart from the date.

    Parameters
    ----------
    sheet : TunnelSheet or Evidence
        A tunnel sheet, a field test or published numbers.
    before, after : str
        Two set-ups of it.
    member : Member
        Name, mass, rolling, drivetrain and power; the drag area is taken from the sheet.
    road : Road
    power : float [W], optional
        At the crank, instead of the member's own.
    air_density : float [kg/m3]
        0.2 to 2.
    sheet_name : str
        What the page calls a tunnel sheet.
    unstated : Unstated, optional
        How far power, air, tyres, mass and wind may lie from what is assumed; by default the
        usual doubts.
    extra : sequence of Part
        More parts of the page, before the range is explained.
    made_with : dict of str to str, optional
        What made those parts, for the settings.
    draws, seed : int
        How many joint draws, and where they begin.
    date : datetime.date, optional
        Printed on the page; by default today.
    carried : Carried, optional
        The numbers of an earlier page with all but `extra` the same; by default they are worked out.
    progress : callable, optional
        Told the share of the work that is done, 0 to 1.

    Returns
    -------
    Report

    Raises
    ------
    ValueError
        For set-ups that are not there, or values out of range, in words.

    Source: MARTIN1998
    """
    evidence = as_evidence(sheet, sheet_name)
    evidence.check(before, after)
    if before == after:
        raise ValueError(f"Two different set-ups are needed; '{before}' was given twice.")
    unstated = Unstated() if unstated is None else unstated
    needs(Unstated, unstated=unstated)
    power = float(checked(power=member.power if power is None else power))
    air_density = float(checked(air_density=air_density))
    case = Case(evidence, (before, after), member.rider, road, power, air_density, unstated, draws, seed)
    carried = carried or Carried(case, progress)
    words = PageWords(case, carried, member, extra, made_with)
    numbers = {name: getattr(carried, name) for name in ("watts", "seconds", "planning", "assumed")}
    title = f"{after} instead of {before}: what does it save {member.name} on {road.name}?"
    return Report(
        title=title, answer=words.answer(), parts=words.parts(),
        settings=words.settings(), date=date or Date.today(), carried=carried, **numbers,
    )


def _time(seconds):
    """`0:49 min`, `1:53:20 h`."""
    said = units.clock(seconds)
    return f"{said} h" if said.count(":") == 2 else f"{said} min"


def _w(watts):
    return f"{watts:.1f} W"


def _kmh(speed):
    return f"{units.to_kmh(speed):.1f} km/h"


def _span_of(low, high):
    """Two speeds in km/h, '40 to 50', or one where both read the same."""
    return " to ".join(dict.fromkeys(true_minus(f"{units.to_kmh(end):.0f}") for end in (low, high)))
