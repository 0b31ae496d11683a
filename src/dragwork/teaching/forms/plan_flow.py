"""A plan for a day in the tunnel in notebook 05: what it would detect, whether it fits, and the empty run sheet."""

import re
from dataclasses import dataclass, replace
from functools import cached_property

from dragwork import units
from dragwork.escaping import a_name
from dragwork.measurement.plan import PASS_SPREAD, RUN_SPREAD, Plan, plan_session
from dragwork.physics import Conditions, drag_area_behind
from dragwork.teaching.answers import entries_of
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.report import Found, Table

MOST_SET_UPS, MOST_SETTINGS, MOST_PASSES = 12, 9, 50
LONGEST = units.hours(24)
_WORTH = 0.004 / drag_area_behind(1.0, Conditions(), units.kmh(36))  # W

WORDS = FormWords("plan_flow.json")


# -- what is asked ------------------------------------------------------------------------------------


def _set_ups(text):
    names = entries_of(text)
    if len(names) == 1:
        names = [name for name in re.split(r",|\band\b|\bagainst\b|\bvs?\b\.?", names[0]) if name.strip()]
    names = [a_name(name.strip(), "the name of a set-up") for name in names]
    if not 2 <= len(names) <= MOST_SET_UPS:
        raise ValueError(WORDS("number of set-ups", most=MOST_SET_UPS, given=len(names)))
    if len({name.casefold() for name in names}) < len(names):
        raise ValueError(WORDS("same name"))
    _plan(names)  # refuses names that a sheet would misread
    return tuple(names)


def _plan(set_ups, speeds=(12.0,), yaw=(0.0,), repeats=2, run_time=40.0, change_time=0.0):
    return plan_session(set_ups, speeds, yaw, repeats, run_time=run_time, change_time=change_time)


def _read_runs(values, answers):
    if max(map(len, values.values())) > MOST_SETTINGS:
        raise ValueError(WORDS("number of settings", most=MOST_SETTINGS))
    _plan(**answers["compare"], **values)
    return values


def _read_day(values, answers):
    if values["repeats"] % 1:
        raise ValueError(WORDS("part of a pass", repeats=values["repeats"]))
    day = values | {"repeats": int(values["repeats"])}
    booked = day.pop("booked")
    time = _plan(**answers["compare"], **answers["runs"], **day).time
    if time > LONGEST:
        raise ValueError(WORDS("more than a day", time=in_hours(time)))
    return day | {"booked": booked}


def _day_in_words(day, answers):
    run, change = (WORDS.value(name, day[name]) for name in ("run_time", "change_time"))
    booked = "" if day["booked"] is None else f" {in_hours(day['booked'])} booked."
    return WORDS("day", repeats=day["repeats"], run=run, change=change) + booked


def _wanted_in_words(wanted, answers):
    difference = WORDS.value("wanted", wanted["wanted"])
    if wanted["spread"] is None:
        return WORDS("usual wanted", wanted=difference)
    return WORDS("wanted", wanted=difference, spread=WORDS.value("spread", wanted["spread"]))


def in_hours(time):
    """`1 h 47 min`, `40 min`."""
    hours, minutes = divmod(round(units.to_minutes(time)), 60)
    return f"{hours} h {minutes:02d} min" if hours and minutes else f"{hours} h" if hours else f"{minutes} min"


QUESTIONS = WORDS.questions(
    {
        "runs": (_read_runs, None),
        "day": (_read_day, _day_in_words),
        "wanted": (None, _wanted_in_words),
    },
    reads={"set_ups": _set_ups},
    numbers={"worth": _WORTH},
)


# -- what it answers ----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class PlannedDay(Found):
    """A plan, the difference that matters [m2], the hours booked [s] and the spread of a pass [m2], or None."""

    plan: Plan
    wanted: float
    booked: float | None
    spread: float | None

    @property
    def spreads(self):
        """Standard deviations of a pass and of a run within a pass [m2], in the usual proportion."""
        usual = self.plan.spread()
        times = 1.0 if self.spread is None else self.spread / usual
        return PASS_SPREAD * times, RUN_SPREAD * times

    @cached_property
    def detects(self):
        """The smallest true difference [m2] that the plan detects four times out of five."""
        return self.plan.smallest_difference(*self.spreads)

    def with_passes(self, repeats):
        """The same plan with another number of passes."""
        return replace(self, plan=replace(self.plan, repeats=repeats))

    @cached_property
    def needed(self):
        """The plan with the fewest passes that detects what matters; None if 50 are too few."""
        plans = (self.with_passes(n) for n in range(2, MOST_PASSES + 1))
        return next((plan for plan in plans if plan.detects <= self.wanted), None)

    @cached_property
    def fitting(self):
        """The plan with the most passes that fits the hours booked; None if not even two do."""
        plans = (self.with_passes(n) for n in range(MOST_PASSES, 1, -1))
        return next((each for each in plans if each.plan.time <= self.booked), None)

    @property
    def sentences(self):
        """What the plan would detect, whether that is enough, whether it fits."""
        plan = self.plan
        said = [self._detects(), self._enough(), self._fits()]
        if self.spread is None:
            said.append(WORDS("usual spread", spread=plan.spread()))
        else:
            said.append(WORDS("own spread", spread=WORDS.value("spread", self.spread)))
        if plan.drift_left > 1e-9:
            said.append(WORDS("drift", share=plan.drift_left))
        return tuple(filter(None, said))

    def _detects(self):
        plan = self.plan
        if len(plan.set_ups) == 2:
            where = WORDS("one pair", *plan.set_ups)
        else:
            pairs = len(plan.set_ups) * (len(plan.set_ups) - 1) / 2
            later = plan.smallest_difference(*self.spreads, confidence=1 - 0.05 / pairs)
            where = WORDS("pairs", pairs=pairs, later=later)
        return WORDS(
            "detects", set_ups=len(plan.set_ups), passes=plan.repeats, runs=len(plan.runs), time=in_hours(plan.time),
            difference=self.detects, where=where,
        )  # fmt: skip

    def _enough(self):
        wanted = WORDS.value("wanted", self.wanted)
        if self.detects <= self.wanted:
            return WORDS("enough", wanted=wanted)
        if self.needed is None:
            return WORDS("never enough", wanted=wanted, most=MOST_PASSES)
        plan = self.needed.plan
        return WORDS("not enough", wanted=wanted, passes=plan.repeats, time=in_hours(plan.time))

    def _fits(self):
        if self.booked is None:
            return ""
        over, booked = self.plan.time - self.booked, in_hours(self.booked)
        if over <= 0:
            if self.detects <= self.wanted or not self.needed:
                return WORDS("fits", booked=booked)
            more = self.needed.plan
            which = "more fits" if more.time <= self.booked else "more does not fit"
            return WORDS(which, booked=booked, passes=more.repeats)
        if self.fitting is None:
            return WORDS("nothing fits", booked=booked)
        return WORDS("too long", over=in_hours(over), booked=booked, fewer=self.fitting)

    @property
    def rows(self):
        """The passes in the order run."""
        runs = self.plan.runs
        passes = [
            {"pass": place, "set_up": set_up, "repeat": repeat, "settings": ", ".join(
                f"{WORDS.value('yaw', run.yaw)} at {WORDS.value('speeds', run.speed)}"
                for run in runs if (run.set_up, run.repeat) == (set_up, repeat)
            )}
            for place, (set_up, repeat) in enumerate(self.plan.passes, 1)
        ]  # fmt: skip
        return WORDS.rows("passes", passes)

    @property
    def cuts(self):
        """What to leave out when time is short, the cheapest first."""
        cuts = self.plan.cuts(*self.spreads)
        return WORDS.rows("cuts", (vars(cut) | {"minutes": units.to_minutes(cut.time_saved)} for cut in cuts))

    @property
    def pieces(self):
        tables = {"The order of the passes": self.rows, "When time is short: what to leave out": self.cuts}
        return (*self.sentences, *(Table(rows, heading, folded=True) for heading, rows in tables.items() if rows))


class PlanFlow(Flow):
    """Four questions, then what the day would detect. As the last line of a cell it shows itself.

    By code: `flow.answer_all(set_ups="helmet A; helmet B", speeds="36; 45", yaw="0; 10", repeats="6",
    wanted="0.004")`, then `flow.result.plan` and `flow.result.detects` [m2]; `flow.save()` writes the
    empty run sheet.
    """

    words = WORDS.table
    questions = QUESTIONS

    def finish(self, answers):
        day = dict(answers["day"])
        booked, wanted = day.pop("booked"), answers["wanted"]
        plan = _plan(**answers["compare"], **answers["runs"], **day)
        return PlannedDay(plan, wanted["wanted"], booked, wanted["spread"])

    def save(self, folder="."):
        """Write the empty run sheet beside the notebook, never over another file.

        Parameters
        ----------
        folder : str or path

        Returns
        -------
        tuple of Path
            The table (CSV) and the page to print (HTML).

        Raises
        ------
        ValueError
            While a question is open, in words.
        """
        return self.found("There is no plan").plan.save(folder)
