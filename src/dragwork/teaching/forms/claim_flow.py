"""The verdict sheet of notebook 10: a claim of one's own, eight boxes, one question at a time."""

from dataclasses import dataclass
from datetime import date as Date

from dragwork import units
from dragwork.decisions.claims import Claim
from dragwork.decisions.verdicts import ON_ME, TELLABLE, Judgement, seconds_in_words
from dragwork.teaching.forms.fields import maybe, number_in
from dragwork.teaching.forms.flow import Choice, Flow, Question, Typed
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.verdicts import capital, dials_picture, judged_on, outcome, watts_in_words

_KINDS = {
    "watts": "watts saved",
    "time": "time saved over a distance",
    "percent of drag": "percent of drag saved",
    "percent of power": "percent of power saved",
    "force": "grams of drag saved",
    "mass": "mass saved",
}
_MEASURED = {"measured": "measured", "computed": "computed", "silent": "it does not say"}
_AT = {"air": "in the air, or at the wheel", "crank": "at the crank", "silent": "it does not say"}
ABOUT = {
    "wheels": "wheels", "frame": "a frame, or a whole bicycle", "position": "a position",
    "shelter": "riding behind others", "other": "a helmet, a suit, or else",
}  # fmt: skip
_SPREAD = {  # into SI, from the unit of the claim
    "force": units.grams_force(1.0), "percent of drag": 0.01, "percent of power": 0.01,
}  # fmt: skip
_WITH_SPEED = ("watts", "time", "percent of power", "force")


@dataclass(frozen=True)
class Said:
    """The claim's number, as it is printed."""

    kind: str
    saved: float
    distance: float | None
    at: str | None
    about: str = "other"


def _text(name, label, hint=""):
    return Typed(name, label, hint or "Empty where it does not say", read=str.strip)


# -- the questions ------------------------------------------------------------------------------------


def _read_said(values, answers):
    kind = values["kind"]
    saved = next(values[name] for name in _NUMBERS if name in values)
    at = values.get("at")
    at = None if at == "silent" else at
    return Said(kind, saved, values.get("distance"), at, values.get("about", "other"))


_NUMBERS = ("watts", "seconds", "percent", "grams", "kilograms")


def _said_in_words(said, answers):
    number = {
        "watts": f"{said.saved:g} W",
        "time": f"{said.saved:g} s",
        "force": f"{units.to_grams_force(said.saved):.3g} grams of drag",
        "mass": f"{said.saved:g} kg",
    }.get(said.kind, f"{units.to_percent(said.saved):g} % {said.kind.removeprefix('percent ')}")
    over = f" over {units.to_kilometres(said.distance):g} km" if said.distance else ""
    by = "" if said.about == "other" else f" by {ABOUT[said.about]}"
    at = {"air": ", in the air", "crank": ", at the crank"}.get(said.at, "")
    return f"It says: {number} saved{by}{over}{at}."


def _read_where(values, answers):
    kind = answers["said"].kind
    told = {name: values[name] for name in ("speed", "yaw", "air_density")}
    if kind not in _WITH_SPEED:
        told.pop("speed")
    if kind in ("percent of drag", "mass"):
        told.pop("air_density")
    if kind == "mass":
        told.pop("yaw")
    return told


def _where_in_words(told, answers):
    stated = [
        words
        for words in (
            f"at {units.to_kmh(told['speed']):.1f} km/h" if told.get("speed") else "",
            f"at {units.to_deg(told['yaw']):.0f}° of yaw" if told.get("yaw") is not None else "",
            f"in air of {told['air_density']:.3f} kg/m³" if told.get("air_density") else "",
        )
        if words
    ]
    if answers["said"].kind == "mass":
        return "For a mass none of this matters."
    return f"Found {listed(stated)}." if stated else "It says nothing about speed, yaw or air."


def _read_against(values, answers):
    return values["compared_with"], values["baseline"]


def _against_in_words(against, answers):
    what, area = against
    start = f" It started from {area:.3f} m²." if area else ""
    return f"Compared with: {what or 'it does not say'}.{start}"


def _read_found(values, answers):
    return {"measured": True, "computed": False}.get(values["measured"]), values["who"]


def _found_in_words(found, answers):
    how = {True: "Measured", False: "Computed", None: "Measured or computed: it does not say"}
    measured, who = found
    return f"{how[measured]}; by {who}." if who else f"{how[measured]}; by whom, it does not say."


def _read_runs(values, answers):
    claim = _claim(answers, values["runs"], values["spread"])
    claim.drag_area_change  # noqa: B018  refuses here, in words, what cannot be worked out
    return claim


def _claim(answers, runs, spread):
    """The claim behind the first five boxes."""
    said, where = answers["said"], answers["where"]
    what, area = answers["against"]
    measured, who = answers["found"]
    spread = spread and spread * _SPREAD.get(said.kind, 1.0)
    told = {"who": who, "compared_with": what, "measured": measured, "runs": runs, "spread": spread}
    if said.kind == "mass":
        return Claim.mass(said.saved, **told)
    told["about"] = said.about
    if said.kind == "watts":
        return Claim.watts(said.saved, at=said.at, **where, **told)
    if said.kind == "force":
        return Claim.force(said.saved, **where, **told)
    if said.kind == "time":
        return Claim.time(said.saved, said.distance, drag_area=area, **where, **told)
    of = said.kind.removeprefix("percent of ")
    return Claim.percent(said.saved, of, drag_area=area, **where, **told)


def _runs_in_words(claim, answers):
    runs = f"{claim.runs} runs" if claim.runs else "Runs: it does not say"
    spread = f"standard deviation of a run {claim.spread:g}" if claim.spread is not None else (
        "spread: it does not say")  # fmt: skip
    area = claim.drag_area_change
    behind = (
        "It leaves the drag area as it is."
        if claim.kind == "mass"
        else f"The drag area behind it: {_areas(area)}."
    )
    return f"{runs}; {spread}. {behind}"


def _areas(area):
    low, mid, high = (f"{x:.4f} m²".replace("-", "−") for x in (area.low, area.mid, area.high))
    if low == high:
        return mid
    return f"{mid}, {low.removesuffix(' m²')} to {high} over all it leaves open"


def _read_else(values, answers):
    worthwhile = values["worthwhile"] or 0.0
    judged = judged_on(answers["runs"], answers["rider"], answers["road"], worthwhile)
    return judged, worthwhile, values["besides"]


def _else_in_words(answer, answers):
    _, worthwhile, besides = answer
    least = f"Less than {worthwhile:g} s does not matter" if worthwhile else "Any second counts"
    return f"{least}; besides: {besides or 'nothing noted'}."


QUESTIONS = (
    Question(
        "said",
        "What does it say?",
        "The number as it is printed. What is lost has a minus.",
        (
            Choice("kind", "It speaks of", options=lambda answers: _KINDS),
            Typed("watts", "Watts saved", "20", "", ("kind", "watts"), "W", number_in("W")),
            Choice("at", "Where", options=lambda answers: _AT, when=("kind", "watts"), start="silent"),
            Typed("seconds", "Time saved", "60, or 1:00", "", ("kind", "time"), "s", number_in("s")),
            Typed("distance", "Over", "40; for seconds a kilometre 1", "", ("kind", "time"), "km",
                  number_in("km", units.kilometres)),
            Typed("percent", "Percent saved", "5", "", ("kind", "percent of drag", "percent of power"),
                  "%", number_in("%", units.percent)),
            Typed("grams", "Grams of drag saved", "80", "", ("kind", "force"), "g",
                  number_in("gf", units.grams_force)),
            Typed("kilograms", "Mass saved", "0.3", "", ("kind", "mass"), "kg", number_in("kg")),
            Choice("about", "What kind of thing", "What wheels and frames save hangs on the yaw",
                   "other", ("kind", *(kind for kind in _KINDS if kind != "mass")),
                   options=lambda answers: ABOUT),
        ),
        _read_said,
        _said_in_words,
    ),
    Question(
        "where",
        "At what speed, yaw and air density?",
        "Leave empty what the claim does not say. That is an answer too.",
        (
            Typed("speed", "Speed", "Empty where it does not say", "", None, "km/h",
                  maybe(number_in("km/h", units.kmh))),
            Typed("yaw", "Yaw", "0 is air from ahead", "", None, "°", maybe(number_in("deg", units.deg))),
            Typed("air_density", "Air density", "About 1.2", "", None, "kg/m³",
                  maybe(number_in("kg/m3"))),
        ),
        _read_where,
        _where_in_words,
    ),
    Question(
        "against",
        "Compared with what?",
        "A saving needs an old thing as well as a new one.",
        (
            _text("compared_with", "Compared with", "The old thing; empty where it does not say"),
            Typed("baseline", "Its drag area, rider and all", "Empty where it does not say", "", None,
                  "m²", maybe(number_in("m2"))),
        ),
        _read_against,
        _against_in_words,
    ),
    Question(
        "found",
        "Measured or computed, and by whom?",
        "A computed figure has no spread of its own; it is as good as what went in.",
        (
            Choice("measured", "It was", options=lambda answers: _MEASURED, start="silent"),
            _text("who", "By"),
        ),
        _read_found,
        _found_in_words,
    ),
    Question(
        "runs",
        "How many runs, and how far apart?",
        "Runs of each thing, and the standard deviation of one run, in the unit of the claim.",
        (
            Typed("runs", "Runs", "Empty where it does not say", read=maybe(number_in("1"))),
            Typed("spread", "Standard deviation", "Empty where it does not say",
                  read=maybe(number_in("1"))),
        ),
        _read_runs,
        _runs_in_words,
    ),
    RIDER,
    ROAD,
    Question(
        "else",
        "What else counts?",
        "Cost, comfort, safety, rules. And: how few seconds would not matter to you?",
        (
            Typed("worthwhile", "Seconds that matter", "Empty: any second counts", "", None, "s",
                  maybe(number_in("s"))),
            _text("besides", "Besides", "Cost, comfort, safety, rules"),
        ),
        _read_else,
        _else_in_words,
    ),
)  # fmt: skip


# -- the sheet ----------------------------------------------------------------------------------------


def _finish(answers):
    """The verdict sheet as a page: what to say, the range, the one question; then how it was found."""
    judged, _, besides = answers["else"]
    claim, member, road = answers["runs"], answers["rider"], answers["road"]
    answer = (
        f"The verdict: {capital(judged.verdict)}. {judged.spoken}",
        outcome(judged, member, road),
    )
    if judged.ask:
        answer += (f"The one question to the seller: {judged.ask}",)
    return Report(
        title=f"Verdict sheet: {claim.words}",
        answer=answer,
        parts=_parts(answers, claim, judged, besides),
        watts=judged.watts,
        seconds=judged.seconds,
        planning=judged.seconds,
        table=(),
        settings={"claim": claim.words, "rider": member.name, "road": road.name},
        date=Date.today(),
    )


def _parts(answers, claim, judged: Judgement, besides):
    told = {q.name: q.sentence(answers[q.name], answers) for q in QUESTIONS}
    boxes = (
        ("1 Who says, at what speed, yaw, density", f"{told['said']} {told['where']}"),
        ("2 Compared with what", told["against"]),
        ("3 Measured or computed", told["found"]),
        ("4 How many runs, what spread", told["runs"].split(". ")[0] + "."),
        ("5 Drag area behind it", _areas(claim.drag_area_change)),
        ("6 My watts", watts_in_words(judged.watts)),
        ("7 My time on my road", f"{told['road']} {seconds_in_words(judged.seconds)}"),
        ("8 Cost, comfort, safety, rules", besides or "not noted"),
    )
    rows = tuple({"Box": name, "What stands in it": text} for name, text in boxes)
    level = judged.seconds.percent
    parts = [
        Part("Why", judged.reasons),
        Part("The eight boxes", (Table(rows, f"The claim, box by box. Ranges are {level}."),)),
    ]
    if judged.missing:
        parts.append(Part("What to ask for", tuple([tuple(capital(w) for w in judged.missing)])))
    dials = [dial for dial in claim.dials if dial.width > 0]
    if dials:
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
    """Eight questions, then the verdict sheet.

    By code: `flow.answer_all(kind="watts", watts="20", at="air", speed="50", rider="Tobin",
    road="Cinder Lane 40")`; boxes left out stay empty. Then `flow.result` is the sheet, and
    `flow.save()` writes it beside the notebook.

    The seconds that matter to the learner are kept in their own file, and stand in the box next
    time; an example on the page, `ClaimFlow(example=True)`, leaves the file as it is.
    """

    file_name = "my_verdict"

    def __init__(self, example=False):
        super().__init__(QUESTIONS, _finish)
        self.draft = "" if example else "claim"
        if self.draft and self.profile.worthwhile:
            self.typed["worthwhile"] = f"{self.profile.worthwhile:g}"

    def submit(self, question):
        """Read an answer, as `Flow.submit`; the learner's threshold is kept."""
        accepted = super().submit(question)
        if accepted and question.name == "else" and self.draft:
            self.profile.keep_me(worthwhile=self.answers["else"][1])
        if accepted and self.result is not None and self.draft:
            typed = {name: text for name, text in self.typed.items() if name in _OF_CLAIM}
            self.profile.keep_named("claim", self.answers["runs"].words, typed=typed)
        return accepted


_OF_CLAIM = [field.name for question in QUESTIONS[:5] for field in question.fields]


def kept_claims(profile):
    """The claims that were judged in notebook 10, newest first: what each says, to the Claim."""
    claims = {}
    for words, kept in profile.named("claim").items():
        flow = Flow(QUESTIONS[:5], lambda answers: answers["runs"], profile)
        try:
            flow.answer_all(**{name: text for name, text in kept["typed"].items() if name in flow.typed})
        except ValueError:  # as it was typed in a workbook that read it otherwise
            continue
        claims[words] = flow.result
    return claims
