"""A plan for a day in the tunnel in notebook 05: what it would detect, whether it fits, and the empty run sheet."""

import re
from dataclasses import dataclass, replace
from functools import cached_property

from dragwork import units
from dragwork.escaping import a_name
from dragwork.measurement.plan import PASS_SPREAD, RUN_SPREAD, Plan, plan_session
from dragwork.physics.power import Conditions
from dragwork.physics.savings import drag_area_behind
from dragwork.teaching.answers import entries_of
from dragwork.teaching.forms.fields import Typed, knob_box, maybe, several
from dragwork.teaching.forms.flow import Action, Flow, FlowQuestion, saved_here
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.report import Found, Table, listed

MOST_SET_UPS, MOST_SETTINGS, MOST_PASSES = 12, 9, 50
LONGEST = units.hours(24)
_WORTH = 0.004 / drag_area_behind(1.0, Conditions(), units.kmh(36))  # W

_SPEED = knob("air_speed", label="Each speed", low=15, high=110, digits=0)
_YAW = knob("yaw", label="Each yaw angle", low=-60, high=60)
_PASSES = knob("repeats", low=2, high=MOST_PASSES)
_RUN = Knob("run_time", "Time for a run", "", "s", 5, 40, 1800, 5, 0)
_CHANGE = Knob("change_time", "Time for a change", "", "min", 0, 6, 120, 1, 0)
_BOOKED = Knob("booked", "Hours booked", "", "h", 0.25, 3, 24, 0.25, 1)
_WANTED = Knob("wanted", "Difference that matters", "", "m2", 0.0005, 0.004, 0.05, 0.0005, 3)
_SPREAD = knob("spread", label="Spread of your passes, SD", low=0.0002, high=0.05)


# -- what is asked ------------------------------------------------------------------------------------


def _set_ups(text):
    names = entries_of(text)
    if len(names) == 1:
        names = [name for name in re.split(r",|\band\b|\bagainst\b|\bvs?\b\.?", names[0]) if name.strip()]
    names = [a_name(name.strip(), "the name of a set-up") for name in names]
    if not 2 <= len(names) <= MOST_SET_UPS:
        raise ValueError(
            f"a test compares 2 to {MOST_SET_UPS} set-ups, and this is {len(names)}. Put a semicolon between them: "
            "helmet A; helmet B."
        )
    if len({name.casefold() for name in names}) < len(names):
        raise ValueError("two of the set-ups have the same name. Give each a name of its own.")
    _plan(names)  # refuses names that a sheet would misread
    return tuple(names)


def _plan(set_ups, speeds=(12.0,), yaw=(0.0,), repeats=2, run_time=40.0, change_time=0.0):
    return plan_session(set_ups, speeds, yaw, repeats, run_time=run_time, change_time=change_time)


def _read_runs(values, answers):
    speeds, yaw = values["speeds"], values["yaw"]
    if max(len(speeds), len(yaw)) > MOST_SETTINGS:
        raise ValueError(f"Up to {MOST_SETTINGS} speeds and {MOST_SETTINGS} yaw angles, please.")
    _plan(answers["compare"], speeds, yaw)
    return {"speeds": speeds, "yaw": yaw}


def _listed(knob, values):
    return listed([*(knob.number(value) for value in values[:-1]), knob.words(values[-1])])


def _read_day(values, answers):
    repeats = values["repeats"]
    if repeats % 1:
        raise ValueError(f"Passes of each: {repeats:g} is no whole number.")
    day = {"repeats": int(repeats), "run_time": values["run_time"], "change_time": values["change_time"]}
    time = _plan(answers["compare"], **answers["runs"], **day).time
    if time > LONGEST:
        raise ValueError(
            f"That takes {in_hours(time)}: more than a day. Plan fewer passes, speeds or angles, and what is "
            "left as another day."
        )
    return day | {"booked": values["booked"]}


def _day_in_words(day, answers):
    booked = "" if day["booked"] is None else f" {in_hours(day['booked'])} booked."
    return (
        f"{day['repeats']} passes of each set-up, {_RUN.words(day['run_time'])} a run, "
        f"{_CHANGE.words(day['change_time'])} a change.{booked}"
    )


def _wanted_in_words(wanted, answers):
    spread = wanted["spread"]
    of = "of a practised rider" if spread is None else f"{_SPREAD.words(spread)} (SD)"
    return f"{_WANTED.words(wanted['difference'])}; the spread of the passes is {'that ' if spread is None else ''}{of}."


def in_hours(time):
    """`1 h 47 min`, `40 min`."""
    hours, minutes = divmod(round(units.to_minutes(time)), 60)
    return f"{hours} h {minutes:02d} min" if hours and minutes else f"{hours} h" if hours else f"{minutes} min"


QUESTIONS = (
    FlowQuestion(
        "compare",
        "What do you want to compare?",
        "Two set-ups or more. Name the pair that matters before the test.",
        (Typed("set_ups", "Set-ups", "helmet A; helmet B", read=_set_ups),),
        lambda values, answers: values["set_ups"],
        lambda names, answers: f"{listed(list(names))}.",
    ),
    FlowQuestion(
        "runs",
        "At which speeds and yaw angles?",
        "Each pass runs all of them. The runs at one angle are averaged.",
        (
            Typed("speeds", "Speeds", "36; 45", "45", None, "km/h", several(_SPEED)),
            Typed("yaw", "Yaw angles", "0; 10", "0", None, "°", several(_YAW)),
        ),
        _read_runs,
        lambda runs, answers: f"{_listed(_SPEED, runs['speeds'])}, at {_listed(_YAW, runs['yaw'])} of yaw.",
    ),
    FlowQuestion(
        "day",
        "How long is the day?",
        "A pass is one sitting on the bike. Before each pass the rider gets off, even if the set-up stays.",
        (
            knob_box(_PASSES),
            knob_box(_RUN, "40", hint="From one reading to the next, settling included"),
            knob_box(_CHANGE, "6", hint="Off the bike, change, on again"),
            knob_box(_BOOKED, "", hint="Empty if you haven't booked yet", read=maybe(_BOOKED.read)),
        ),
        _read_day,
        _day_in_words,
    ),
    FlowQuestion(
        "wanted",
        "What is the smallest difference that matters to you?",
        "Your own spread is in the repeats of an earlier test. If you have none, leave it empty.",
        (
            knob_box(_WANTED, hint=f"0.004 m² is {_WORTH:.1f} W of air at 36 km/h"),
            knob_box(_SPREAD, "", hint="Empty: that of a practised rider", read=maybe(_SPREAD.read)),
        ),
        lambda values, answers: {"difference": values["wanted"], "spread": values["spread"]},
        _wanted_in_words,
    ),
)  # fmt: skip


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
        return tuple(filter(None, (self._detects, self._enough, self._fits, self._assumes, *self._drift)))

    @property
    def _detects(self):
        plan = self.plan
        pair = plan.set_ups if len(plan.set_ups) == 2 else ("", "")
        said = (
            f"{len(plan.set_ups)} set-ups, {plan.repeats} passes of each, {len(plan.runs)} runs: about "
            f"{in_hours(plan.time)}. Four such days out of five would detect a true difference of {self.detects:.4f} m² "
        )
        if pair[0]:
            return f"{said}between {pair[0]} and {pair[1]} at one yaw angle."
        pairs = len(plan.set_ups) * (len(plan.set_ups) - 1) / 2
        later = plan.smallest_difference(*self.spreads, confidence=1 - 0.05 / pairs)
        return (
            f"{said}at one yaw angle, for a pair that you name beforehand. For a pair picked afterwards, out of "
            f"{pairs:.0f}, it is {later:.4f} m²."
        )

    @property
    def _enough(self):
        wanted = _WANTED.words(self.wanted)
        if self.detects <= self.wanted:
            return f"That is enough for the {wanted} that matters to you."
        if self.needed is None:
            return (
                f"That is not enough for the {wanted} that matters to you, and even {MOST_PASSES} passes of each "
                "would not be. Reduce the spread first: find the same position again more closely."
            )
        plan = self.needed.plan
        return (
            f"That is not enough for the {wanted} that matters to you: you need {plan.repeats} passes of each, "
            f"{in_hours(plan.time)}, or a smaller spread."
        )

    @property
    def _fits(self):
        if self.booked is None:
            return ""
        over, booked = self.plan.time - self.booked, in_hours(self.booked)
        if over <= 0:
            more = ""
            if self.detects > self.wanted and self.needed:
                enough = self.needed.plan
                more = f", and {enough.repeats} passes {'do too' if enough.time <= self.booked else 'do not'}"
            return f"The plan fits in the {booked} you booked{more}."
        if self.fitting is None:
            return f"It does not fit in the {booked} you booked, and not even two passes of each do."
        fitting = self.fitting
        return (
            f"It takes {in_hours(over)} more than the {booked} you booked. There is time for {fitting.plan.repeats} "
            f"passes of each, which detect {fitting.detects:.4f} m²."
        )

    @property
    def _assumes(self):
        if self.spread is None:
            return (
                f"This assumes a practised rider, whose passes have a spread of {self.plan.spread():.4f} m² (SD; common "
                "practice, no source). Put in your own spread after the first passes."
            )
        return f"This assumes that your spread stays at {_SPREAD.words(self.spread)}."

    @property
    def _drift(self):
        left = self.plan.drift_left
        if left > 1e-9:
            yield (
                f"With an odd number of passes, {units.to_percent(left):.0f} % of a steady drift is left in the "
                "difference. An even number cancels it."
            )

    @property
    def rows(self):
        """The passes in the order run."""
        plan = self.plan
        return [
            {
                "pass": place,
                "set-up": set_up,
                "repeat": repeat,
                "angles and speeds, in this order": ", ".join(
                    f"{_YAW.words(run.yaw)} at {_SPEED.words(run.speed)}"
                    for run in plan.runs
                    if (run.set_up, run.repeat) == (set_up, repeat)
                ),
            }
            for place, (set_up, repeat) in enumerate(plan.passes, 1)
        ]

    @property
    def cuts(self):
        """What to leave out when time is short, the cheapest first."""
        return [
            {
                "leave out": cut.what,
                "minutes saved": f"{units.to_minutes(cut.time_saved):.0f}",
                "you then detect": f"{cut.smallest_difference:.4f} m²",
                "what else you lose": cut.loses,
            }
            for cut in self.plan.cuts(*self.spreads)
        ]

    @property
    def pieces(self):
        tables = {"The order of the passes": self.rows, "When time is short: what to leave out": self.cuts}
        return (*self.sentences, *(Table(rows, heading, folded=True) for heading, rows in tables.items() if rows))


def _finish(answers):
    day = {name: answers["day"][name] for name in ("repeats", "run_time", "change_time")}
    wanted = answers["wanted"]
    plan = _plan(answers["compare"], **answers["runs"], **day)
    return PlannedDay(plan, wanted["difference"], answers["day"]["booked"], wanted["spread"])


class PlanFlow(Flow):
    """Four questions, then what the day would detect. As the last line of a cell it shows itself.

    By code: `flow.answer_all(set_ups="helmet A; helmet B", speeds="36; 45", yaw="0; 10", repeats="6",
    wanted="0.004")`, then `flow.result.plan` and `flow.result.detects` [m2]; `flow.save()` writes the
    empty run sheet.
    """

    title = "A test of my own"
    made = "The plan is below."
    draft = "plan"

    def __init__(self):
        super().__init__(QUESTIONS, _finish)

    @property
    def actions(self):
        return (
            Action("Save the empty run sheet", "Save the empty run sheet beside this notebook, to fill in and to print",
                   self._save),
        )  # fmt: skip

    def _save(self):
        table, page = self.save()
        names = f"{table.name}, to fill in, and {page.name}, to print"
        return saved_here(names, "Notebook 12 reads the first once it is filled in.")

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
