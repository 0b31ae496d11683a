"""The clinic of notebook 10: a claim as it was heard, for whom, where; and what it comes to.

The fields of a claim are one set, for this form, for the options of 11 and for the page of 12.
"""

from dataclasses import replace

from dragwork import units
from dragwork.decisions.claims import span
from dragwork.decisions.conditions import ONE_PART
from dragwork.decisions.rides import outside_riding
from dragwork.decisions.verdicts import ON_ME, TELLABLE
from dragwork.teaching.clinic import ending
from dragwork.teaching.forms.fields import maybe, number_in
from dragwork.teaching.forms.flow import Choice, Flow, FlowQuestion, Typed
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.told import claim_of, left_out, read_road, read_told
from dragwork.teaching.verdicts import BOXES, boxes_of, capital, dials_picture, spread_unit

NOT_SAID = "Empty where it does not say"
_MEASURED = {"measured": "measured", "computed": "computed", "silent": "it does not say"}
_AT = {"air": "in the air, or at the wheel", "crank": "at the crank", "silent": "it does not say"}
_OF_WHAT = {
    "whole": "of the drag of rider and bike together", "part": "of the drag of one part, such as a frame",
    "power": "of the power", "silent": "it does not say",
}  # fmt: skip
ABOUT = {
    "as said": "as its words say", "wheels": "wheels", "frame": "a frame, or a whole bicycle", "position": "a position",
    "shelter": "riding behind others", "other": "a helmet, a suit, or else",
}  # fmt: skip


# -- the fields of a claim ----------------------------------------------------------------------------


def claim_fields(when=None):
    """The claim as it was heard, and below it a box for what its words leave out.

    Parameters
    ----------
    when : (str, str), optional
        Another field and its value: asked only then.

    Returns
    -------
    tuple of Field
    """

    def shown(name):
        return lambda typed: (when is None or typed[when[0]] == when[1]) and (
            name == "heard" or name in left_out(typed["heard"])
        )

    return (
        Typed("heard", "The claim", "As you heard it: 20 W at 50 km/h, 20 minutes over 180 km, 4 % less drag, 80 g lighter", "",
              shown("heard"), read=read_told, wide=True),
        Typed("claim_distance", "Over", "40, or 40 km in 1:06:40", "", shown("distance"), "km", maybe(read_road)),
        Typed("claim_speed", "At which speed", NOT_SAID, "", shown("speed"), "km/h", maybe(number_in("km/h", units.kmh))),
        Choice("at", "Watts where", "", "silent", shown("at"), options=_AT),
        Choice("of_what", "Percent of what", "", "silent", shown("of_what"), options=_OF_WHAT),
        Choice("about", "What kind of thing", "What wheels and frames save hangs on the yaw", "as said", shown("about"),
               options=ABOUT),
    )  # fmt: skip


def read_claim_fields(values):
    """What the fields of a claim tell together: a `Told`."""
    told = values["heard"].with_(**(values.get("claim_distance") or {}))
    if told.sort == "time" and told.distance is None:
        raise ValueError("Over what distance? A time says little without its road. Fill in the box below, or type it: 60 s over 40 km.")
    told = told.with_(speed=values.get("claim_speed"))
    at, of_what, about = (values.get(name) for name in ("at", "of_what", "about"))
    more = {"at": at} if at in ("air", "crank") else {}
    more |= {"whole": {"of": "drag", "part": 1.0}, "part": {"of": "drag", "part": ONE_PART}, "power": {"of": "power"}}.get(of_what, {})
    more |= {"about": about} if about not in (None, "as said") else {}
    return replace(told, **more)


def in_words(told):
    """What was understood of a claim: `It says: 20 W saved at 50.0 km/h.`"""
    sorts = {
        "sense": "It says that the faster gain more", "crosswind": "It says that it is better in a crosswind",
        "share": "It says that one item gives most of a step",
    }  # fmt: skip
    numbers = [_number_in_words(kind, ends, told) for kind, ends in told.numbers.items()]
    first = sorts.get(told.sort) or f"It says: {numbers.pop(0)}" if numbers or told.sort in sorts else "It says that training does more"
    not_drag = {"power": " That is power, not drag.", "rolling": " That is rolling, not drag."}.get(told.sort, "")
    by = f" by {ABOUT[told.about]}" if told.is_claim and told.about != "other" else ""
    at = {"air": ", in the air", "crank": ", at the crank"}.get(told.at, "")
    too = f" It says {listed(numbers)} too." if numbers and told.is_claim else ""
    outside = outside_riding(told.speed) if told.speed else ""
    return f"{first}{by}{_road_in_words(told)}{at}.{not_drag}{too} {outside}".strip()


def _number_in_words(kind, ends, told):
    if kind == "mass":
        return claim_of(told, "mass").words
    how = {"power": "more power", "rolling": "on tyres"}.get(told.sort, "saved")
    if told.sort == "power" and ends[1] < 0:
        how, ends = "less power", (-ends[1], -ends[0])
    if kind == "time" and max(map(abs, ends)) >= 120:
        return f"{span(ends, 'min', units.clock)} {how}"
    of = {"drag": "% of the drag", "power": "% of the power"}.get(told.of, "%")
    unit, out_of_si = {
        "watts": ("W", float), "time": ("s", float), "force": ("grams of drag", units.to_grams_force), "percent": (of, units.to_percent),
    }[kind]  # fmt: skip
    return f"{span(ends, unit, out_of_si)} {how}"


def _road_in_words(told):
    at = f" at {units.to_kmh(told.speed):.1f} km/h" if told.speed else ""
    over = f" over {units.to_kilometres(told.distance):g} km" if told.distance else ""
    ridden = f" in {units.clock(told.ride_time)}" if told.ride_time else ""
    return at + over + ridden


# -- the questions ------------------------------------------------------------------------------------


def _text(name, label, hint=NOT_SAID):
    return Typed(name, label, hint, read=str.strip)


def _read_tested(values, answers):
    told = answers["said"].with_(**{name: values[name] for name in ("yaw", "air_density", "drag_area")})
    measured = {"measured": True, "computed": False}.get(values["measured"])
    spread = values["spread"]
    if spread is not None:
        spread *= spread_unit(told.sort)
    evidence = {name: values[name] for name in ("compared_with", "who", "runs")} | {"measured": measured, "spread": spread}
    if told.is_claim:
        claim_of(told, **evidence).drag_area_change  # noqa: B018  refuses here, in words, what cannot be worked out
    return told, evidence


def _tested_in_words(answer, answers):
    told, evidence = answer
    if not told.is_claim:
        return "For this kind of claim none of this matters."
    claim = claim_of(told, **evidence)
    how = {True: "measured", False: "computed"}.get(claim.measured, "")
    stated = [
        words
        for words in (
            f"against {claim.compared_with}" if claim.compared_with else "", how, f"by {claim.who}" if claim.who else "",
            f"{claim.runs:g} runs of each" if claim.runs else "",
            f"standard deviation {claim.spread / spread_unit(told.sort):g}" if claim.spread is not None else "",
        )
        if words
    ]  # fmt: skip
    found = f"{capital(listed(stated))}. " if stated else ""
    return f"{found}Not stated: {listed(claim.missing)}." if claim.missing else f"{found}It states all that matters here."


def _read_else(values, answers):
    told, evidence = answers["tested"]
    worthwhile = values["worthwhile"]
    return ending(told, answers["rider"], answers["road"], worthwhile, **evidence), worthwhile, values["besides"]


def _else_in_words(answer, answers):
    _, worthwhile, besides = answer
    least = f"Less than {worthwhile:g} s does not matter" if worthwhile else "Any second counts"
    return f"{least}; besides: {besides or 'nothing noted'}."


SAID = FlowQuestion(
    "said",
    "What did you hear?",
    "One line, in the words in which it was said. Type a minus for a loss.",
    claim_fields(),
    lambda values, answers: read_claim_fields(values),
    lambda told, answers: in_words(told),
)
TESTED = FlowQuestion(
    "tested",
    "How was it tested?",
    "Leave empty what the claim does not say. That is an answer too.",
    (
        Typed("yaw", "Yaw", "0 is air from ahead", "", None, "°", maybe(number_in("deg", units.deg))),
        Typed("air_density", "Air density", "About 1.2", "", None, "kg/m³", maybe(number_in("kg/m3"))),
        _text("compared_with", "Compared with", "The old thing; empty where it does not say"),
        Typed("drag_area", "Drag area it started from", f"Rider and all. {NOT_SAID}", "", None, "m²", maybe(number_in("m2"))),
        Choice("measured", "It was", "A computed figure has no spread of its own", "silent", options=_MEASURED),
        _text("who", "By"),
        Typed("runs", "Runs of each", NOT_SAID, read=maybe(number_in("1"))),
        Typed("spread", "Standard deviation of one run", f"In watts, seconds, percent or grams, as the claim. {NOT_SAID}", read=maybe(number_in("1"))),
    ),
    _read_tested,
    _tested_in_words,
    optional=True,
)
QUESTIONS = (
    SAID,
    RIDER,
    ROAD,
    TESTED,
    FlowQuestion(
        "else",
        "What is it worth to you?",
        "How few seconds would not matter to you? And cost, comfort, safety, rules.",
        (
            Typed("worthwhile", "Seconds that matter", "0: any second counts", "0", None, "s",
                  lambda text: (maybe(number_in("s"))(text) or 0.0)),
            _text("besides", "Besides", "Cost, comfort, safety, rules"),
        ),
        _read_else,
        _else_in_words,
        optional=True,
    ),
)  # fmt: skip


# -- the sheet ----------------------------------------------------------------------------------------


def _finish(answers):
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


def _of_claim(claim, judged, besides):
    rows = tuple({"Box": name, "What is in it": text} for name, text in zip(BOXES, boxes_of(claim, judged, besides)))
    parts = [Part("The eight boxes", (Table(rows, f"The claim, box by box. Ranges are {judged.seconds.percent}."),))]
    if judged.missing:
        parts.append(Part("What to ask for", (tuple(capital(w) for w in judged.missing),)))
    if any(dial.width > 0 for dial in claim.dials):
        parts.append(Part("How far each open condition moves it", (dials_picture(claim),)))
    parts.append(
        Part(
            "How the range was made",
            (
                "Each condition that the claim leaves open was drawn from its usual range. These "
                "ranges are common practice of the trade, without a source. How much of the test "
                f"holds on another rider was drawn as well, from {units.to_percent(ON_ME[0]):.0f} to "
                f"{units.to_percent(ON_ME[-1]):.0f} %, and so was the day: its wind, air, tyres and "
                "power. Notebooks 11 and 12 draw the same days.",
                f"A usual test is taken to detect {TELLABLE:.3f} m².",
            ),
        )
    )
    return tuple(parts)


class ClaimFlow(PageFlow):
    """The claim, for whom and where; then what to say to a friend, and how it was found.

    By code: `flow.answer_all(heard="20 W at 50 km/h", rider="Tobin", road="Cinder Lane 40")`; then
    `flow.spoken` is what to say, `flow.result` the sheet, and `flow.save()` writes it beside the
    notebook. How it was tested, and what it is worth, may be answered afterwards.

    The seconds that matter to the learner are kept in their own file, and are in the box next time;
    an example on the page, `ClaimFlow(example=True)`, leaves the file as it is.
    """

    file_name = "my_verdict"

    def __init__(self, example=False):
        super().__init__(QUESTIONS, _finish)
        self.draft = "" if example else "claim"
        if self.draft and self.profile.worthwhile:
            self.typed["worthwhile"] = f"{self.profile.worthwhile:g}"
            self._given["else"] = self._typed_for(QUESTIONS[-1])

    @property
    def spoken(self):
        """What to say to a friend; empty while a question is open."""
        return self.result.spoken if self.result else ""

    def submit(self, question):
        """Read an answer, as `Flow.submit`; the learner's threshold and claim are kept."""
        accepted = super().submit(question)
        if accepted and self.result is not None and self.draft:
            if question.name == "else":
                self.profile.keep_me(worthwhile=self.answers["else"][1])
            typed = {field.name: self.typed[field.name] for q in (SAID, TESTED) for field in q.fields}
            self.profile.keep_named("claim", self.result.settings["claim"], typed=typed)
        return accepted


# -- the claims that were judged here, for 11 and 12 ----------------------------------------------------


def kept_claims(profile):
    """What was judged in notebook 10, newest first: the claim's words to (Told, evidence)."""
    claims = {}
    for words, kept in profile.named("claim").items():
        flow = Flow((SAID, TESTED), lambda answers: answers["tested"], profile)
        typed = {name: text for name, text in kept.get("typed", {}).items() if name in flow.typed}
        try:
            flow.answer_all(**{"heard": words} | typed)
        except ValueError:  # as it was typed in a workbook that read it otherwise
            continue
        claims[words] = flow.result
    return claims


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

    heard, *boxes = claim_fields(("claim", "heard"))
    start = "none" if none else "heard"
    return (
        Choice("claim", "The claim", start=start, options=options),
        heard if none else replace(heard, read=maybe(read_told)), *boxes,
    )  # fmt: skip


def chosen_claim(values):
    """What was chosen of `claim_choice`: (Told, evidence), or None."""
    if values["claim"] == "none":
        return None
    if values["claim"] != "heard":
        return kept_claims(Profile())[values["claim"]]
    return (read_claim_fields(values), {}) if values["heard"] else None
