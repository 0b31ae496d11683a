"""A plan for a day in the tunnel in notebook 05: what it would detect, whether it fits, and the empty run sheet."""

import re
from dataclasses import replace
from itertools import groupby

from dragwork import units
from dragwork.escaping import a_name
from dragwork.measurement.plan import PASS_SPREAD, RUN_SPREAD, plan_session
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
    booked = values.pop("booked")
    day = values | {"repeats": int(values["repeats"])}
    plan = _plan(**answers["compare"], **answers["runs"], **day)
    if plan.time > LONGEST:
        raise ValueError(WORDS("more than a day", time=in_hours(plan.time)))
    return plan, booked


def _day_in_words(day, answers):
    plan, booked = day
    run, change = WORDS.value("run_time", plan.run_time), WORDS.value("change_time", plan.change_time)
    said = WORDS("day", repeats=plan.repeats, run=run, change=change)
    return said if booked is None else f"{said} {in_hours(booked)} booked."


def _wanted_in_words(wanted, answers):
    difference = WORDS.value("wanted", wanted["wanted"])
    if wanted["spread"] is None:
        return WORDS("usual wanted", wanted=difference)
    return WORDS("wanted", wanted=difference, spread=WORDS.value("spread", wanted["spread"]))


def in_hours(time):
    """`1 h 47 min`, `40 min`."""
    hours, minutes = divmod(round(units.to_minutes(time)), 60)
    return f"{hours} h {minutes:02d} min" if hours and minutes else f"{hours} h" if hours else f"{minutes} min"


# -- what it answers ----------------------------------------------------------------------------------


def planned_day(plan, booked, wanted, spread):
    """What a day would detect, whether that is enough, whether it fits.

    Parameters
    ----------
    plan : Plan
    booked : float or None [s]
    wanted : float [m2]
        The difference that matters.
    spread : float or None [m2]
        Standard deviation of a pass; None for the usual one.

    Returns
    -------
    Found
        .plan, .detects, the smallest true difference [m2] that it detects four times out of five,
        .sentences, .rows, the passes in the order run, and .cuts, what to leave out when time is short.
    """
    times = 1.0 if spread is None else spread / plan.spread()
    spreads = PASS_SPREAD * times, RUN_SPREAD * times  # of a pass, and of a run within it
    detects, matters = plan.smallest_difference(*spreads), WORDS.value("wanted", wanted)
    enough = (each for each in _passes(plan) if each.smallest_difference(*spreads) <= wanted)
    more, said = None, [_detects(plan, spreads)]
    if detects <= wanted:
        said.append(WORDS("enough", wanted=matters))
    elif more := next(enough, None):
        said.append(WORDS("not enough", wanted=matters, passes=more.repeats, time=in_hours(more.time)))
    else:
        said.append(WORDS("never enough", wanted=matters, most=MOST_PASSES))
    if booked is not None:
        said.append(_fits(plan, booked, more, spreads))
    if spread is None:
        said.append(WORDS("usual spread", spread=plan.spread()))
    else:
        said.append(WORDS("own spread", spread=WORDS.value("spread", spread)))
    if plan.drift_left > 1e-9:
        said.append(WORDS("drift", share=plan.drift_left))
    rows = _order(plan)
    cuts = WORDS.rows("cuts", (
        vars(cut) | {"minutes": units.to_minutes(cut.time_saved)} for cut in plan.cuts(*spreads)
    ))
    tables = {"The order of the passes": rows, "When time is short: what to leave out": cuts}
    pieces = (*said, *(Table(lines, heading, folded=True) for heading, lines in tables.items() if lines))
    return Found(pieces, plan=plan, detects=detects, sentences=said, rows=rows, cuts=cuts)


def _passes(plan):
    """The same plan with two passes of each set-up, with three, and so on."""
    return [replace(plan, repeats=repeats) for repeats in range(2, MOST_PASSES + 1)]


def _detects(plan, spreads):
    if len(plan.set_ups) == 2:
        where = WORDS("one pair", *plan.set_ups)
    else:
        pairs = len(plan.set_ups) * (len(plan.set_ups) - 1) / 2
        later = plan.smallest_difference(*spreads, confidence=1 - 0.05 / pairs)
        where = WORDS("pairs", pairs=pairs, later=later)
    counts = {"set_ups": len(plan.set_ups), "passes": plan.repeats, "runs": len(plan.runs)}
    difference = plan.smallest_difference(*spreads)
    return WORDS("detects", time=in_hours(plan.time), difference=difference, where=where, **counts)


def _fits(plan, booked, more, spreads):
    """Whether a plan fits the hours booked, and one with more passes, if those are needed."""
    over, hours = plan.time - booked, in_hours(booked)
    if over <= 0 and more is None:
        return WORDS("fits", booked=hours)
    if over <= 0:
        which = "more fits" if more.time <= booked else "more does not fit"
        return WORDS(which, booked=hours, passes=more.repeats)
    fewer = [each for each in _passes(plan) if each.time <= booked]
    if not fewer:
        return WORDS("nothing fits", booked=hours)
    detects = fewer[-1].smallest_difference(*spreads)
    return WORDS("too long", over=in_hours(over), booked=hours, passes=fewer[-1].repeats, detects=detects)


def _order(plan):
    """The passes in the order run, as rows of a table."""
    passes = groupby(plan.runs, lambda run: (run.set_up, run.repeat))
    return WORDS.rows("passes", (
        {"pass": place, "set_up": set_up, "repeat": repeat, "settings": ", ".join(
            f"{WORDS.value('yaw', run.yaw)} at {WORDS.value('speeds', run.speed)}" for run in runs
        )}
        for place, ((set_up, repeat), runs) in enumerate(passes, 1)
    ))


class PlanFlow(Flow):
    """Four questions, then what the day would detect. As the last line of a cell it shows itself.

    By code: `flow.answer_all(set_ups="helmet A; helmet B", speeds="36; 45", yaw="0; 10", repeats="6",
    wanted="0.004")`, then `flow.result.plan` and `flow.result.detects` [m2]; `flow.save()` writes the
    empty run sheet.
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"runs": _read_runs, "day": _read_day},
        {"day": _day_in_words, "wanted": _wanted_in_words},
        reads={"set_ups": _set_ups},
        numbers={"worth": _WORTH},
    )

    def finish(self, answers):
        return planned_day(*answers["day"], **answers["wanted"])

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
