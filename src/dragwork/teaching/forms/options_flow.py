"""The decision table of notebook 11: one's own options, one question at a time."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.decisions.claims import span
from dragwork.decisions.options import DOUBTS, Option, break_even_power, rank
from dragwork.quantities import true_minus
from dragwork.teaching import clinic
from dragwork.teaching.answers import parse_cost
from dragwork.teaching.figures.rows import Ranges
from dragwork.teaching.forms.claim_flow import chosen_claim, claim_choice, kept_claims
from dragwork.teaching.forms.flow import FormWords, PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.telling import Shown
from dragwork.teaching.verdicts import as_assumed, estimates, option_rows, saved_in_words

WORDS = FormWords("options_flow.json")


# -- the questions: each reads into an Option or None -------------------------------------------------


def _item(make, values, answers):
    """What make(number, rider, ...) makes of one's own numbers; None where the first box is empty."""
    for name, (label, low, high, unit) in WORDS.table["limits"].items():
        shown = units.UNITS[unit].out_of_si(values.get(name) or 0.0)  # which all of them allow
        if not low <= round(shown, 9) <= high:
            allowed = span((low, high), unit).replace("up to", "0 to")
            raise ValueError(f"{label}: {span(shown, unit)} is outside {allowed}.")
    (first, number), *others, (_, cost) = values.items()
    if number is not None:
        return make(number, answers["rider"].rider, **dict(others), **_costs(cost))
    if any(value is not None for value in values.values()):
        raise ValueError(WORDS("empty", WORDS.by_name[first].label))
    return None


def _costs(cost):
    """A cost and its unit, as an `Option` takes them."""
    return dict(zip(("cost", "cost_unit"), cost or (None, "")))


def _position(cut, rider, lost, held, **costs):
    after, factor = replace(rider, drag_area=rider.drag_area * (1 - cut)), 1 - (lost or 0.0)
    held = 1.0 if held is None else held
    return Option("lower position", after, kind="position", power_factor=factor, held=held, **costs)


def _equipment(values, answers):
    chosen, cost = chosen_claim(values), values["equipment_cost"]
    if chosen is not None:  # worth what it is worth in 10
        return clinic.option_of(chosen[0], answers["rider"], answers["road"], chosen[1], **_costs(cost))
    if cost is not None:
        raise ValueError(WORDS("empty", "The claim"))
    return None


def _changes(option, rider):
    """What an option changes, beyond what its name says: `, 8 % less drag area`."""
    after = option.after_rider
    was, now = (np.ravel(clinic.own_areas(r))[0] for r in (rider, after))
    changes = [(was - now, "m²", "drag area")]
    if option.kind == "position":
        changes = [(units.to_percent(1 - now / was), "%", "drag area")]
        changes += [(units.to_percent(1 - option.power_factor), "%", "power")]
    told = [f"{abs(x):.3g} {unit} {'less' if x > 0 else 'more'} {of}" for x, unit, of in changes if x]
    if rolling := rider.rolling_coefficient - after.rolling_coefficient:
        told.append(f"rolling coefficient less by {rolling:.2g}")
    return f", {listed(told)}" if told else ""


def _in_words(option, answers):
    if option is None:
        return WORDS("unused")
    changes, most = _changes(option, answers["rider"].rider), _most_power(option, answers)
    held = f", held for {units.to_percent(option.held):.3g} % of the way" if option.held < 1 else ""
    cost = f"; cost {_price(option.cost, option.cost_unit)}" if option.cost is not None else ""
    return WORDS("listed", option=option, changes=changes, held=held, cost=cost, most=most).strip()


def _price(cost, unit):
    return f"{cost:g} {unit or 'units'}" if cost else "nothing"


def _most_power(option, answers):
    """What a position may cost before its seconds are gone."""
    if option.kind != "position" or not option.held:
        return ""
    member, road = answers["rider"], answers["road"]
    try:
        most = break_even_power(option, member.rider, road.course, **road.day(member.power))
    except ValueError:
        return ""
    return f" {WORDS('most power', most)}" if most > 0 else ""


_READS = {
    "position": partial(_item, _position),
    "equipment": _equipment,
    "training": partial(_item, clinic.power_option),
    "tyres": partial(_item, clinic.tyre_option),
    "mass": partial(_item, clinic.mass_option),
}
_ITEMS = WORDS.questions(
    _READS,
    dict.fromkeys(_READS, _in_words),
    reads={f"{name}_cost": parse_cost for name in _READS},
    shared={"the claim": claim_choice(judged=lambda told: told.is_claim or told.sort in ("power", "rolling"))},
)


def _doubts():
    doubts = {kind: units.to_percent(doubt) for kind, doubt in DOUBTS.items() if doubt and kind != "equipment"}
    return listed([f"{doubt:.0f} % for {kind}" for kind, doubt in doubts.items()])


def _per_unit(number, unit):
    if number != number:
        return "not told"
    one = unit[:-1] if unit.endswith("s") and len(unit) > 3 else unit or "unit"
    return "free" if number == float("inf") else true_minus(f"{number:.1f} s per {one}")


def _picture(found, level):
    """The options as dots with ranges on one axis."""
    rows, title = option_rows(found), "Seconds saved by each option"
    across = f"Seconds saved. Dot: median. Line: {level} range."
    said = listed([f"{row.option} {row.seconds:.0f} s" for row in found.itertuples()])
    return Shown(lambda: Ranges(title, across, rows), rows, true_minus(f"{title}: {said}."))


class OptionsFlow(PageFlow):
    """Seven questions, then the decision table.

    By code: `flow.answer_all(rider="Tobin", road="Three Kilns 60", cut="8", lost="2", held="60",
    more="2", training_cost="10 hours")`; `heard="20 W at 50"` puts a claim on the list. Boxes left out stay
    empty. More power that was claimed in notebook 10 is in its box.
    """

    file_name = "my_options"
    words = PageFlow.words | WORDS.table
    questions = (RIDER, ROAD, *_ITEMS)

    def __init__(self):
        super().__init__()
        for told, _ in kept_claims(self.profile).values():
            if told.sort == "power" and not told.drivetrain and "percent" in told.numbers and not self.typed["more"]:
                self.typed["more"] = f"{units.to_percent(sum(told.numbers['percent']) / 2):g}"

    def finish(self, answers):
        """The decision table as a page."""
        member, road = answers["rider"], answers["road"]
        options = [answers[q.name] for q in _ITEMS if answers[q.name] is not None]
        if not options:
            raise ValueError(WORDS("nothing"))
        found = rank(options, member.rider, road.course, **road.day(member.power), progress=self.progress)
        seconds = estimates(found)
        unit_of = {option.name: option.cost_unit for option in options}
        rows = [
            {
                "Option": row.option,
                f"Median ({saved.percent} range)": saved_in_words(saved),
                "Cost": "not told" if row.cost != row.cost else _price(row.cost, unit_of[row.option]),
                "Seconds per unit of cost": _per_unit(row.seconds_per_unit, unit_of[row.option]),
                "First in": f"{units.to_percent(row.first):.0f} % of the draws",
            }
            for row, saved in zip(found.itertuples(), seconds)
        ]
        order, first, best = listed(found.option), seconds[0], found.iloc[0]
        said = WORDS("first", option=best.option, saved=first, words=saved_in_words(first), share=best["first"])
        if first.mid <= 0:
            said = f"{WORDS('nothing saves')} {said}"
        elif len(found) > 1 and best.kind == "training":
            said = f"{WORDS('fitness')} {said}"
        notes = [f"{option.name}: {option.note}" for option in options if option.note]
        how_sure = (WORDS("drawn", _doubts()), WORDS("together"), *notes, *filter(None, [as_assumed(found)]))
        table = Table(tuple(rows), "Time saved or lost.")
        return Report(
            title=f"What to change first: {member.name} on {road.name}",
            answer=(WORDS("order", member=member.name, road=road.name, order=order), said),
            parts=(
                Part("The options in the same unit, seconds", (_picture(found, first.percent), table)),
                Part("How sure", how_sure),
                Part("My reasons", (WORDS("reasons"), "")),
            ),
            watts=None,  # options are compared in seconds
            seconds=first,
            planning=first,
            assumed=float(best.as_assumed),
            settings={"rider": member.name, "road": road.name, "options": order},
        )
