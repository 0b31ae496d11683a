"""The decision table of notebook 11: one's own options, one question at a time."""


import numpy as np

from dragwork import units
from dragwork.decisions.claims import span
from dragwork.decisions.options import DOUBTS, Option, break_even_power, rank
from dragwork.teaching.answers import parse_cost
from dragwork.teaching.clinic import less_drag, mass_option, option_of, own_areas, power_option, tyre_option
from dragwork.teaching.figures.ranges import Ranges, RangeRows
from dragwork.teaching.forms.claim_flow import chosen_claim, claim_choice, kept_claims
from dragwork.teaching.forms.fields import maybe, number_in
from dragwork.teaching.forms.flow import FlowQuestion, Typed
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.telling import Shown
from dragwork.teaching.verdicts import as_assumed, estimates, saved_in_words

_UNUSED = "Not on my list."
_EMPTY = "Empty: not on my list"


def _box(name, label, unit, into_si=None, hint="", printed=None):
    """A box for one number; empty is None."""
    read = maybe(number_in(unit, into_si))
    return Typed(name, label, hint, unit=unit if printed is None else printed, read=read)


def _share(name, label, hint=""):
    return _box(name, label, "%", units.percent, hint)


def _cost(name):
    hint = "200 EUR, 6 hours, 3 evenings; 0 is free; may stay empty"
    return Typed(name, "Cost", hint, read=maybe(parse_cost))


def _costs(values, name):
    """A cost and its unit, as an `Option` takes them."""
    cost, unit = values[name] or (None, "")
    return {"cost": cost, "cost_unit": unit}


def _within(value, label, low, high, unit="%"):
    """The value; refused in words outside low to high [SI]."""
    if value is not None and not low <= value <= high:
        scale = units.to_percent if unit == "%" else float
        shown, allowed = span(value, unit, scale), span((low, high), unit, scale)
        raise ValueError(f"{label}: {shown} is outside {allowed.replace('up to', '0 to')}.")
    return value


def _left_empty(values, name, label):
    """Whether a question is left empty; refused in words where it is filled in by half."""
    if values[name] is None and any(value is not None for value in values.values()):
        raise ValueError(f"{label}: empty, but the rest of this question is not. Fill it in too.")
    return values[name] is None


# -- the questions: each reads into an Option or None -------------------------------------------------


def _position(values, answers):
    cut = _within(values["cut"], "Drag area cut", -0.5, 0.5)
    lost = _within(values["lost"], "Power it costs", -0.1, 0.3) or 0.0
    held = _within(values["held"], "Held for", 0.0, 1.0)
    if _left_empty(values, "cut", "Drag area cut by"):
        return None
    rider = answers["rider"].rider
    return Option(
        "lower position", less_drag(rider, cut * own_areas(rider)), kind="position", power_factor=1 - lost,
        held=1.0 if held is None else held, **_costs(values, "position_cost"),
    )  # fmt: skip


def _equipment(values, answers):
    chosen = chosen_claim(values)
    if chosen is None:
        if values["equipment_cost"] is not None:
            raise ValueError("The claim: empty, but the rest of this question is not. Fill it in too.")
        return None
    told, evidence = chosen
    costs = _costs(values, "equipment_cost")
    return option_of(told, answers["rider"], answers["road"], evidence, **costs)  # worth what it is worth in 10


def _training(values, answers):
    more = _within(values["more"], "Power gained", -0.2, 0.5)
    if _left_empty(values, "more", "More power"):
        return None
    return power_option(more, answers["rider"].rider, **_costs(values, "training_cost"))


def _tyres(values, answers):
    if _left_empty(values, "less", "Rolling coefficient less by"):
        return None
    return tyre_option(values["less"], answers["rider"].rider, **_costs(values, "tyres_cost"))


def _mass(values, answers):
    kilograms = _within(values["kilograms"], "Mass off the bicycle", -20, 20, "kg")
    if _left_empty(values, "kilograms", "Mass off the bicycle"):
        return None
    return mass_option(kilograms, answers["rider"].rider, **_costs(values, "mass_cost"))


def _less_or_more(number, what):
    """`8 % less drag area`, empty where nothing changes."""
    return f"{abs(number):.3g} {what.format('less' if number > 0 else 'more')}" if number else ""


def _changes(option, rider):
    """What an option changes, beyond what its name says."""
    after = option.after_rider
    was, now = (np.ravel(own_areas(r))[0] for r in (rider, after))
    if option.kind == "position":
        changes = (
            _less_or_more(units.to_percent(1 - now / was), "% {} drag area"),
            _less_or_more(units.to_percent(1 - option.power_factor), "% {} power"),
        )
    else:
        rolling = rider.rolling_coefficient - after.rolling_coefficient
        changes = (
            _less_or_more(was - now, "m² {} drag area"),
            f"rolling coefficient less by {rolling:.2g}" if rolling else "",
        )
    told = [words for words in changes if words]
    return listed(told) if told else ""


def _in_words(option, answers):
    if option is None:
        return _UNUSED
    changes = _changes(option, answers["rider"].rider)
    changes = changes and f", {changes}"
    held = f", held for {units.to_percent(option.held):.0f} % of the way" if option.held < 1 else ""
    cost = f"; cost {_price(option.cost, option.cost_unit)}" if option.cost is not None else ""
    return f"On my list: {option.name}{changes}{held}{cost}.{_most_power(option, answers)} {option.note}".strip()


def _price(cost, unit):
    return f"{cost:g} {unit or 'units'}" if cost else "nothing"


def _most_power(option, answers):
    """What a position may cost before its seconds are gone."""
    if option.kind != "position" or "road" not in answers:
        return ""
    member, road = answers["rider"], answers["road"]
    try:
        most = break_even_power(option, member.rider, road.course, **road.day(member.power))
    except ValueError:
        return ""
    return f" Its gain is gone once it costs you {units.to_percent(most):.1f} % of your power." if most > 0 else ""


def _ask(name, prompt, hint, fields, read):
    return FlowQuestion(name, prompt, hint, fields, read, _in_words)


QUESTIONS = (
    RIDER,
    ROAD,
    _ask(
        "position",
        "A lower position?",
        "Through a qualified fitter, and over weeks. A position that hurts is not an option.",
        (
            _share("cut", "Drag area cut by", _EMPTY),
            _share("lost", "Power it costs you", "While you hold it; empty: none"),
            _share("held", "Held for", "Share of the way; empty: all of it"),
            _cost("position_cost"),
        ),
        _position,
    ),
    _ask(
        "equipment",
        "A piece of equipment?",
        "A claim as you heard it, or one that you judged in notebook 10.",
        (*claim_choice(judged=lambda told: told.is_claim or told.sort in ("power", "rolling")), _cost("equipment_cost")),
        _equipment,
    ),
    _ask(
        "training",
        "Training?",
        "Riders new to the sport often gain most here. Type what a season brought riders like you, and ask a coach "
        "before you take on a new load.",
        (_share("more", "More power", _EMPTY), _cost("training_cost")),
        _training,
    ),
    _ask(
        "tyres",
        "Tyres?",
        "From one rolling coefficient to another: 0.0007 less is a step that good tyres make.",
        (_box("less", "Rolling coefficient less by", "1", hint=_EMPTY, printed=""),
         _cost("tyres_cost")),
        _tyres,
    ),
    _ask(
        "mass",
        "Mass off the bicycle?",
        "Bicycle, bottles, bags. This form has no line for bodies.",
        (_box("kilograms", "Mass off the bicycle", "kg", hint=_EMPTY), _cost("mass_cost")),
        _mass,
    ),
)  # fmt: skip


def _finish(answers, progress=None):
    """The decision table as a page."""
    member, road = answers["rider"], answers["road"]
    options = [answers[q.name] for q in QUESTIONS[2:] if answers[q.name] is not None]
    if not options:
        raise ValueError("Nothing is on the list yet: fill in one of the questions above.")
    found = rank(options, member.rider, road.course, **road.day(member.power), progress=progress)
    seconds = estimates(found)
    units_of = {option.name: option.cost_unit for option in options}
    rows = [
        {
            "Option": row.option,
            f"Median ({saved.percent} range)": saved_in_words(saved),
            "Cost": "not told" if row.cost != row.cost else _price(row.cost, units_of[row.option]),
            "Seconds per unit of cost": _per_unit(row.seconds_per_unit, units_of[row.option]),
            "First in": f"{units.to_percent(row.first):.0f} % of the draws",
        }
        for row, saved in zip(found.itertuples(), seconds)
    ]
    order = listed(list(found.option))
    answer = (
        f"For {member.name} on {road.name} the order is: {order}.",
        f"{'' if seconds[0].mid > 0 else 'Nothing on the list saves time. '}{_fitness(found)}First is {found.option[0]}, "
        f"with {saved_in_words(seconds[0])}; it comes first in "
        f"{units.to_percent(found['first'][0]):.0f} % of the draws. The number in front is the median of "
        f"the draws, the range holds {seconds[0].percent} of them.",
    )
    parts = (
        Part("The options in the same unit, seconds", (_picture(found, seconds[0].percent), Table(tuple(rows), "Time saved or lost."))),
        Part(
            "How sure",
            (
                f"Each change was drawn with an uncertainty, one standard deviation as a share of itself: {_doubts()}. These "
                "are common practice, without a source. Scales settle a mass, and a claim is drawn as in notebook 10. The day "
                "was drawn as well, the same for all options.",
                "What options do to each other is left out.",
                *(f"{option.name}: {option.note}" for option in options if option.note),
                *filter(None, [as_assumed(found)]),
            ),
        ),
        Part("My reasons", ("What first, why, and what would change my mind:", "")),
    )
    return Report(
        title=f"What to change first: {member.name} on {road.name}",
        answer=answer,
        parts=parts,
        watts=None,  # options are compared in seconds
        seconds=seconds[0],
        planning=seconds[0],
        assumed=float(found.as_assumed[0]),
        settings={"rider": member.name, "road": road.name, "options": order},
    )


def _fitness(found):
    """Where training comes first, and there is something else on the list, it is said."""
    first = len(found) > 1 and found.kind[0] == "training" and found.seconds[0] > 0
    return "Fitness comes before equipment here. " if first else ""


def _doubts():
    return listed([f"{units.to_percent(doubt):.0f} % for {kind}" for kind, doubt in DOUBTS.items() if doubt and kind != "equipment"])


def _per_unit(number, unit):
    if number != number:
        return "not told"
    one = unit[:-1] if unit.endswith("s") and len(unit) > 3 else unit or "unit"
    return "free" if number == float("inf") else f"{number:.1f} s per {one}".replace("-", "−")


def _picture(found, level):
    """The options as dots with ranges on one axis."""
    rows = RangeRows(
        tuple(found.option), tuple(found.low), tuple(found.seconds), tuple(found.high),
        tuple(f"{row.seconds:.0f} s ({row.low:.0f} to {row.high:.0f})".replace("-", "−")
              for row in found.itertuples()),
    )  # fmt: skip
    across = f"Seconds saved. Dot: median. Line: {level} range."
    said = listed([f"{row.option} {row.seconds:.0f} s" for row in found.itertuples()])
    return Shown(
        Ranges("Seconds saved by each option", across, rows), rows,
        f"Seconds saved by each option: {said}.".replace("-", "−"),
    )  # fmt: skip


class OptionsFlow(PageFlow):
    """Seven questions, then the decision table.

    By code: `flow.answer_all(rider="Tobin", road="Three Kilns 60", cut="8", lost="2", held="60",
    more="2", training_cost="10 hours")`; `heard="20 W at 50"` puts a claim on the list. Boxes left out stay
    empty. More power that was claimed in notebook 10 is in its box.
    """

    file_name = draft = "my_options"

    def __init__(self):
        super().__init__(QUESTIONS, lambda answers: _finish(answers, self.progress))
        for told, _ in kept_claims(self.profile).values():
            if told.sort == "power" and not told.drivetrain and "percent" in told.numbers and not self.typed["more"]:
                self.typed["more"] = f"{units.to_percent(sum(told.numbers['percent']) / 2):g}"
