"""The clinic of notebook 10: a claim as it was heard, for whom, where; and what it comes to.

The fields of a claim are one set, for this form, for the options of 11 and for the page of 12.
"""

from dataclasses import replace
from functools import partial

from dragwork import units
from dragwork.decisions import claims, conditions, rides, verdicts
from dragwork.teaching.clinic import ending
from dragwork.teaching.forms.flow import Choice, FormWords, PageFlow, kept_answers
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.told import claim_of, left_out, read_road, read_told
from dragwork.teaching.verdicts import BOXES, boxes_of, capital, dials_picture, spread_unit

WORDS = FormWords("claim_flow.json")
_ABOUT = WORDS.table["fields"]["about"]["options"]


# -- the fields of a claim ----------------------------------------------------------------------------


def _shown(name, typed):
    """Whether a field of a claim is: where one is typed, and below it a box for what its words leave out."""
    here = typed.get("claim", "heard") == "heard"
    return here and (name == "heard" or name.removeprefix("claim_") in left_out(typed["heard"]))


_FIELDS = tuple(
    replace(field, when=partial(_shown, field.name))
    for field in WORDS.fields(WORDS.table["fields"], {"heard": read_told, "claim_distance": read_road})
)


def read_claim_fields(values, answers=None):
    """What the fields of a claim tell together: a `Told`."""
    told = values["heard"].with_(**(values.get("claim_distance") or {}))
    if told.sort == "time" and told.distance is None:
        raise ValueError(WORDS("over what"))
    told = told.with_(speed=values.get("claim_speed"))
    of_what = {"whole": ("drag", 1.0), "part": ("drag", conditions.ONE_PART), "power": ("power", told.part)}
    of, part = of_what.get(values.get("of_what"), (told.of, told.part))
    more = {n: values[n] for n in ("at", "about") if values.get(n) not in (None, "silent", "as said")}
    return replace(told, of=of, part=part, **more)


def in_words(told, answers=None):
    """What was understood of a claim: `It says: 20 W saved at 50.0 km/h.`"""
    sorts = WORDS.table["sorts"]
    numbers = [_number_in_words(kind, ends, told) for kind, ends in told.numbers.items()]
    first = sorts.get(told.sort) or (f"It says: {numbers.pop(0)}" if numbers else sorts["no number"])
    not_drag = f" That is {told.sort}, not drag." if told.sort in ("power", "rolling") else ""
    by = f" by {_ABOUT[told.about]}" if told.is_claim and told.about != "other" else ""
    at = {"air": ", in the air", "crank": ", at the crank"}.get(told.at, "")
    too = f" It says {listed(numbers)} too." if numbers and told.is_claim else ""
    outside = rides.outside_riding(told.speed) if told.speed else ""
    return f"{first}{by}{_road_in_words(told)}{at}.{not_drag}{too} {outside}".strip()


def _number_in_words(kind, ends, told):
    if kind == "mass":
        return claim_of(told, "mass").words
    how = {"power": "more power", "rolling": "on tyres"}.get(told.sort, "saved")
    if told.sort == "power" and ends[1] < 0:
        how, ends = "less power", (-ends[1], -ends[0])
    if kind == "time" and max(map(abs, ends)) >= 120:
        return f"{claims.span(ends, 'min', units.clock)} {how}"
    of = {"drag": "% of the drag", "power": "% of the power"}.get(told.of, "%")
    unit, out_of_si = {
        "watts": ("W", float), "time": ("s", float), "force": ("grams of drag", units.to_grams_force), "percent": (of, units.to_percent),
    }[kind]  # fmt: skip
    return f"{claims.span(ends, unit, out_of_si)} {how}"


def _road_in_words(told):
    at = f" at {units.to_kmh(told.speed):.1f} km/h" if told.speed else ""
    over = f" over {units.to_kilometres(told.distance):g} km" if told.distance else ""
    ridden = f" in {units.clock(told.ride_time)}" if told.ride_time else ""
    return at + over + ridden


# -- the questions ------------------------------------------------------------------------------------


def _read_tested(values, answers):
    told = answers["said"].with_(**{name: values[name] for name in ("yaw", "air_density", "drag_area")})
    measured = {"measured": True, "computed": False}.get(values["measured"])
    spread = values["spread"] and values["spread"] * spread_unit(told.sort)
    evidence = {name: values[name] for name in ("compared_with", "who", "runs")} | {"measured": measured, "spread": spread}
    if told.is_claim:
        claim_of(told, **evidence).drag_area_change  # noqa: B018  refuses here, in words, what cannot be worked out
    return told, evidence


def _tested_in_words(answer, answers):
    told, evidence = answer
    if not told.is_claim:
        return "For this kind of claim none of this matters."
    claim = claim_of(told, **evidence)
    stated = list(filter(None, (
        claim.compared_with and f"against {claim.compared_with}",
        {True: "measured", False: "computed"}.get(claim.measured),
        claim.who and f"by {claim.who}",
        claim.runs and f"{claim.runs:g} runs of each",
        claim.spread is not None and f"standard deviation {claim.spread / spread_unit(told.sort):g}",
    )))  # fmt: skip
    found = f"{capital(listed(stated))}. " if stated else ""
    missing = f"Not stated: {listed(claim.missing)}." if claim.missing else "It states all that matters here."
    return f"{found}{missing}"


def _read_else(values, answers):
    told, evidence = answers["tested"]
    worthwhile = values["worthwhile"] or 0.0
    return ending(told, answers["rider"], answers["road"], worthwhile, **evidence), worthwhile, values["besides"]


def _else_in_words(answer, answers):
    _, worthwhile, besides = answer
    least = f"Less than {worthwhile:g} s does not matter" if worthwhile else "Every second counts"
    return f"{least}; besides: {besides or 'nothing noted'}."


SAID, TESTED, WORTH = WORDS.questions(
    {"said": read_claim_fields, "tested": _read_tested, "else": _read_else},
    {"said": in_words, "tested": _tested_in_words, "else": _else_in_words},
    shared={"the claim": _FIELDS},
)


# -- the sheet ----------------------------------------------------------------------------------------


def _of_claim(claim, judged, besides):
    rows = tuple({"Box": name, "What is in it": text} for name, text in zip(BOXES, boxes_of(claim, judged, besides)))
    parts = [Part("The eight boxes", (Table(rows, f"The claim, box by box. Ranges are {judged.seconds.percent}."),))]
    if judged.missing:
        parts.append(Part("What to ask for", (tuple(capital(w) for w in judged.missing),)))
    if any(dial.width > 0 for dial in claim.dials):
        parts.append(Part("How far each open condition moves it", (dials_picture(claim),)))
    drawn = WORDS("drawn", units.to_percent(verdicts.ON_ME[0]), units.to_percent(verdicts.ON_ME[-1]))
    parts.append(Part("How the range was made", (drawn, WORDS("usual test", verdicts.TELLABLE))))
    return tuple(parts)


class ClaimFlow(PageFlow):
    """The claim, for whom and where; then what to say to a friend, and how it was found.

    By code: `flow.answer_all(heard="20 W at 50 km/h", rider="Tobin", road="Cinder Lane 40")`; then
    `flow.result` is the sheet, `flow.result.spoken` what to say, and `flow.save()` writes it beside the
    notebook. How it was tested, and what it is worth, may be answered afterwards.

    The seconds that matter to the learner are kept in their own file, and are in the box next time;
    an example on the page, `ClaimFlow(example=True)`, leaves the file as it is.
    """

    file_name = "my_verdict"
    words = PageFlow.words | WORDS.table
    questions = (SAID, RIDER, ROAD, TESTED, WORTH)

    def __init__(self, example=False):
        super().__init__()
        if example:
            self.draft = ""
        if self.draft and self.profile.worthwhile:
            self.typed["worthwhile"] = f"{self.profile.worthwhile:g}"
            self._given["else"] = self._typed_for(WORTH)

    def finish(self, answers):
        """What to say to a friend, the range, the one question; then how it was found."""
        end, _, besides = answers["else"]
        told, evidence = answers["tested"]
        member, road = answers["rider"], answers["road"]
        name = claim_of(told).words if told.is_claim else told.text
        answer = (end.spoken, end.outcome, *end.lines) + ((f"The one question to ask: {end.ask}",) if end.ask else ())
        return Report(
            title=f"Verdict sheet: {name}",
            answer=answer,
            parts=(
                Part("The verdict", (f"{capital(end.verdict)}.", *end.reasons)),
                *end.parts,
                *(_of_claim(claim_of(told, **evidence), end.judged, besides) if told.is_claim else ()),
            ),
            watts=end.watts,
            seconds=end.seconds,
            planning=end.seconds,
            settings={"claim": name, "rider": member.name, "road": road.name},
            spoken=end.spoken,
            fold="How this was found",
        )

    def submit(self, *questions):
        """Read answers, as `Flow.submit`; the learner's threshold and claim are kept."""
        accepted = super().submit(*questions)
        if accepted and self.result is not None and self.draft:
            if WORTH in questions:
                self.profile.keep_me(worthwhile=self.answers["else"][1])
            typed = {field.name: self.typed[field.name] for q in (SAID, TESTED) for field in q.fields}
            self.profile.keep_named("claim", self.result.settings["claim"], typed=typed)
        return accepted


# -- the claims that were judged here, for 11 and 12 ----------------------------------------------------


def kept_claims(profile):
    """What was judged in notebook 10, newest first: the claim's words to (Told, evidence)."""
    return {words: answers["tested"] for words, answers in kept_answers(profile, "claim", (SAID, TESTED), "heard").items()}


def claim_choice(none="", judged=lambda told: told.is_claim):
    """The fields of a claim where there may be none: one judged in notebook 10, or one to type.

    Parameters
    ----------
    none : str
        What is offered first, where no claim is the usual answer; else an empty line is none.
    judged : callable
        Which of the judged claims are offered: judged(told) -> bool.

    Returns
    -------
    tuple of Field
    """

    def options(answers):
        kept = {words: f"{words}, judged in notebook 10" for words, (told, _) in kept_claims(Profile()).items() if judged(told)}
        return ({"none": none} if none else {}) | kept | {"heard": "one that I type"}

    heard, *boxes = _FIELDS
    if not none:
        heard = replace(heard, read=lambda text: read_told(text) if text.strip() else None)
    start = "none" if none else "heard"
    return Choice("claim", "The claim", start=start, options=options), heard, *boxes


def chosen_claim(values):
    """What was chosen of `claim_choice`: (Told, evidence), or None."""
    if values["claim"] not in ("none", "heard"):
        return kept_claims(Profile())[values["claim"]]
    return (read_claim_fields(values), {}) if values.get("heard") else None
