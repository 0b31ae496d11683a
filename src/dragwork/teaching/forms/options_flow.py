"""The decision table of notebook 11: one's own options, one question at a time."""

from dataclasses import replace
from datetime import date as Date

import numpy as np

from dragwork import units
from dragwork.decisions.claims import span
from dragwork.decisions.options import DOUBTS, Option, rank
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions
from dragwork.physics.savings import drag_area_behind
from dragwork.teaching.figures.ranges import Ranges, Rows
from dragwork.teaching.answers import parse_cost
from dragwork.teaching.forms.claim_flow import told
from dragwork.teaching.forms.fields import maybe, number_in
from dragwork.teaching.forms.flow import Question, Typed
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.telling import Shown
from dragwork.teaching.told import claim_of
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
    hint = "In any money; 0 is free; may stay empty"
    return Typed(name, "Cost", hint, read=maybe(parse_cost))


def _within(value, label, low, high, unit="%"):
    """The value; refused in words outside low to high [SI]."""
    if value is not None and not low <= value <= high:
        scale = units.to_percent if unit == "%" else float
        shown, allowed = span(value, unit, scale), span((low, high), unit, scale)
        raise ValueError(f"{label}: {shown} is outside {allowed.replace('up to', '0 to')}.")
    return value


def _areas(rider):
    """The rider's drag area, or those of their yaw curve [m2]."""
    return getattr(rider.drag_area, "drag_area", rider.drag_area)


def _less(rider, area):
    """The rider with that much less drag area, at every yaw."""
    less = _areas(rider) - area
    if isinstance(rider.drag_area, YawCurve):
        less = YawCurve(rider.drag_area.yaw, less)
    return replace(rider, drag_area=less)


def _left_empty(values, name, label):
    """Whether a question is left empty; refused in words where it is filled in by half."""
    if values[name] is None and any(value is not None for value in values.values()):
        raise ValueError(f"{label}: empty, but the rest of this question is not. Fill it in too.")
    return values[name] is None


# -- the questions: each reads into an Option or None -------------------------------------------------


def _position(values, answers):
    cut = _within(values["cut"], "Drag area cut", -0.5, 0.5)
    lost = _within(values["lost"], "Power lost", -0.1, 0.3) or 0.0
    held = _within(values["held"], "Held for", 0.0, 1.0)
    if _left_empty(values, "cut", "Drag area cut by"):
        return None
    rider = answers["rider"].rider
    return Option(
        "lower position", _less(rider, cut * _areas(rider)), values["position_cost"], "position",
        power_factor=1 - lost, held=1.0 if held is None else held,
    )  # fmt: skip


def _equipment(values, answers):
    rider = answers["rider"].rider
    if _left_empty(values, "watts", "Watts saved"):
        return None
    line = values["watts"].with_(speed=values["speed"])
    if line.speed is None:
        raise ValueError("At which speed? Watts without their speed say nothing of the drag area.")
    watts = line.numbers["watts"]
    area = float(drag_area_behind(watts[1], Conditions(), line.speed))
    own = float(np.min(_areas(rider)))
    if area >= own:
        raise ValueError(
            f"{span(watts, 'W')} at {units.to_kmh(line.speed):g} km/h means {area:.3f} m², and you have "
            f"{own:.3f} m² in all. Is the speed right?"
        )
    member, road = answers["rider"], answers["road"]
    claim = claim_of("watts", line)  # as the clinic reads it, and worth the same
    areas = claim.for_rider(rider, road.course, **road.day(member.power)).areas
    middle = float(np.median(areas))
    return Option(
        "equipment", _less(rider, middle), values["equipment_cost"],
        scales=areas / middle if middle else None,
    )  # fmt: skip


def _training(values, answers):
    more = _within(values["more"], "Power gained", -0.2, 0.5)
    if _left_empty(values, "more", "More power"):
        return None
    return Option(
        f"{units.to_percent(more):g} % more power".replace("-", "−"), answers["rider"].rider, values["training_cost"],
        "training", power_factor=1 + more, doubt=DOUBTS["training"],
    )  # fmt: skip


def _tyres(values, answers):
    less, rider = values["less"], answers["rider"].rider
    if _left_empty(values, "less", "Rolling coefficient less by"):
        return None
    if not -0.01 <= less < rider.rolling_coefficient:
        raise ValueError(
            f"Rolling coefficient less by {span(less, '')}: yours is {rider.rolling_coefficient:g} in all."
        )
    after = replace(rider, rolling_coefficient=rider.rolling_coefficient - less)
    return Option("tyres", after, values["tyres_cost"], "tyres")


def _mass(values, answers):
    kilograms, rider = values["kilograms"], answers["rider"].rider
    _within(kilograms, "Mass off the bicycle", -20, 20, "kg")
    if _left_empty(values, "kilograms", "Mass off the bicycle"):
        return None
    after = replace(rider, all_up_mass=rider.all_up_mass - kilograms)
    return Option(
        f"{kilograms:g} kg off the bicycle".replace("-", "−"), after, values["mass_cost"], "mass", doubt=DOUBTS["mass"]
    )


def _less_or_more(number, what):
    """`8 % less drag area`, empty where nothing changes."""
    return f"{abs(number):.3g} {what.format('less' if number > 0 else 'more')}" if number else ""


def _changes(option, rider):
    """What an option changes, beyond what its name says."""
    after = option.after_rider
    was, now = (np.ravel(_areas(r))[0] for r in (rider, after))
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
    cost = f"; cost {option.cost:g} units" if option.cost is not None else ""
    return f"On my list: {option.name}{changes}{held}{cost}."


def _ask(name, prompt, hint, fields, read):
    return Question(name, prompt, hint, fields, read, _in_words)


QUESTIONS = (
    RIDER,
    ROAD,
    _ask(
        "position",
        "A lower position?",
        "Through a qualified fitter, and over weeks. A position that hurts is not an option.",
        (
            _share("cut", "Drag area cut by", _EMPTY),
            _share("lost", "Power lost while held", "Empty: none"),
            _share("held", "Held for", "Share of the way; empty: all of it"),
            _cost("position_cost"),
        ),
        _position,
    ),
    _ask(
        "equipment",
        "A piece of equipment?",
        "A saving in watts at the wheel, and the speed that it was quoted at.",
        (
            Typed("watts", "Watts saved", f"20, or 15 to 20 W at 50 km/h. {_EMPTY}", unit="W",
                  read=maybe(told("watts"))),
            _box("speed", "At", "km/h", units.kmh),
            _cost("equipment_cost"),
        ),
        _equipment,
    ),
    _ask(
        "training",
        "Training?",
        "A new load belongs to qualified people. Say what a season brought riders like you.",
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
    rows = [
        {
            "Option": row.option,
            f"Median ({saved.percent} range)": saved_in_words(saved),
            "Cost": "not told" if row.cost != row.cost else f"{row.cost:g}",
            "Seconds per unit": _per_unit(row.seconds_per_unit),
            "First in": f"{units.to_percent(row.first):.0f} % of the draws",
        }
        for row, saved in zip(found.itertuples(), seconds)
    ]
    order = listed(list(found.option))
    answer = (
        f"For {member.name} on {road.name} the order is: {order}.",
        f"{'' if seconds[0].mid > 0 else 'Nothing on the list saves time. '}First is {found.option[0]}, "
        f"with {saved_in_words(seconds[0])}; it comes first in "
        f"{units.to_percent(found['first'][0]):.0f} % of the draws. The number in front is the median of "
        f"the draws, the range holds {seconds[0].percent} of them.",
    )
    parts = (
        Part("The options in the same unit, seconds", (_picture(found, seconds[0].percent), Table(tuple(rows), "Time saved or lost."))),
        Part(
            "How sure",
            (
                f"Each change was drawn with a doubt, one standard deviation as a share of itself: "
                f"{_doubts()}. These are common practice, without a source. The day was drawn as "
                "well, the same for all options.",
                "What options do to each other is left out.",
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
        table=(),
        settings={"rider": member.name, "road": road.name, "options": order},
        date=Date.today(),
    )


def _doubts():
    return listed([f"{units.to_percent(doubt):.0f} % for {kind}" for kind, doubt in DOUBTS.items()])


def _per_unit(number):
    if number != number:
        return "not told"
    return "free" if number == float("inf") else f"{number:.1f}".replace("-", "−")


def _picture(found, level):
    """The options as dots with ranges on one axis."""
    rows = Rows(
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
    more="2", training_cost="10")`; boxes left out stay empty.
    """

    file_name = draft = "my_options"

    def __init__(self):
        super().__init__(QUESTIONS, lambda answers: _finish(answers, self.progress))
