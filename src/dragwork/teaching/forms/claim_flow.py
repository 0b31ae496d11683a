"""The verdict sheet of notebook 10: a claim of one's own, eight boxes, one question at a time."""

from dataclasses import dataclass
from datetime import date as Date

from dragwork import units
from dragwork.decisions.claims import span
from dragwork.decisions.rides import outside_riding
from dragwork.decisions.verdicts import ON_ME, TELLABLE, Judgement, seconds_in_words
from dragwork.teaching.forms.fields import maybe, number_in
from dragwork.teaching.forms.flow import Choice, Flow, Question, Typed
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import RIDER, ROAD
from dragwork.teaching.report import Part, Report, Table, listed
from dragwork.teaching.told import Told, claim_of, read_told
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


@dataclass(frozen=True)
class Said:
    """The claim's number as it is printed, and all that is told beside it."""

    kind: str
    told: Told
    at: str | None
    about: str = "other"

    @property
    def number(self):
        """The kind as `claim_of` calls it."""
        return self.kind.partition(" ")[0]

    @property
    def of(self):
        """A percentage of what: `drag` or `power`."""
        return self.kind.removeprefix("percent of ")


def _text(name, label, hint=""):
    return Typed(name, label, hint or "Empty where it does not say", read=str.strip)


# -- the questions ------------------------------------------------------------------------------------


def told(kind):
    """Reads a box of a claim in the words in which it is heard: `told.read_told`."""
    return lambda text: read_told(text, kind)


def saying(number, over=None):
    """What the box of the number tells, and the box of the road where there is one."""
    if over is None:
        return number
    return number.with_(distance=over.distance, ride_time=over.ride_time)


def _read_said(values, answers):
    number = next(values[name] for name in _NUMBERS if name in values)
    at = values.get("at")
    at = number.at or (None if at == "silent" else at)
    said = Said(values["kind"], saying(number, values.get("distance")), at, values.get("about", "other"))
    if said.kind == "time" and said.told.distance is None:
        raise ValueError("Over: over what distance? A time saved says little without its road.")
    return said


_NUMBERS = ("watts", "seconds", "percent", "grams", "kilograms")


def _said_in_words(said, answers):
    numbers = {kind: _number_in_words(kind, ends, said) for kind, ends in said.told.numbers.items()}
    first = numbers.pop(said.number)
    by = "" if said.about == "other" else f" by {ABOUT[said.about]}"
    at = {"air": ", in the air", "crank": ", at the crank"}.get(said.at, "")
    too = f" It says {listed(list(numbers.values()))} too." if numbers else ""
    return f"It says: {first}{by}{_road_in_words(said.told)}{at}.{too}"


def _number_in_words(kind, ends, said):
    if kind == "time" and max(map(abs, ends)) >= 120:
        return f"{span(ends, 'min', units.clock)} saved"
    unit, out_of_si = {
        "watts": ("W", float), "time": ("s", float), "force": ("grams of drag", units.to_grams_force),
        "mass": ("kg", float), "percent": ("% of the " + said.of, units.to_percent),
    }[kind]  # fmt: skip
    return f"{span(ends, unit, out_of_si)} saved"


def _road_in_words(line):
    over = f" over {units.to_kilometres(line.distance):g} km" if line.distance else ""
    ridden = f" in {units.clock(line.ride_time)}" if line.ride_time else ""
    return over + ridden


def _read_where(values, answers):
    said = answers["said"]
    if said.kind == "mass":
        return said.told
    beside = {name: values[name] for name in ("speed", "yaw", "air_density")}
    return said.told.with_(**beside)


def _where_in_words(line, answers):
    if answers["said"].kind == "mass":
        return "For a mass none of this matters."
    stated = [
        words
        for words in (
            f"at {units.to_kmh(line.speed):.1f} km/h" if line.speed else "",
            f"at {units.to_deg(line.yaw):.0f}° of yaw" if line.yaw is not None else "",
            f"in air of {line.air_density:.3f} kg/m³" if line.air_density else "",
        )
        if words
    ]
    found = f"Found {listed(stated)}." if stated else "It says nothing about speed, yaw or air."
    return f"{found} {outside_riding(line.speed)}" if line.speed else found


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


def _claim(answers, runs, spread, kind=None):
    """The claim behind the first five boxes, or that of its other number."""
    said = answers["said"]
    line = answers["where"].for_(kind or said.number, said.number)
    what, area = answers["against"]
    measured, who = answers["found"]
    spread = spread and spread * _SPREAD.get(said.kind, 1.0)
    return claim_of(
        kind or said.number, line, said.about, said.at, area,
        said.of if said.number == "percent" else "drag", who=who, compared_with=what, measured=measured, runs=runs, spread=spread,
    )  # fmt: skip


def _agreement(answers, claim):
    """Whether the numbers of one claim can be true of one item; empty where there is one number."""
    said = answers["said"]
    others = [kind for kind in said.told.numbers if kind not in (said.number, "mass")]
    if said.kind == "mass" or not others:
        return ""
    return " ".join(
        claim.consistency_with(_claim(answers, None, None, kind)).sentence for kind in others
    )


def _runs_in_words(claim, answers):
    runs = f"{claim.runs:g} runs" if claim.runs else "Runs: it does not say"
    spread = f"standard deviation of a run {claim.spread / _SPREAD.get(claim.kind, 1.0):g}" if claim.spread is not None else (
        "spread: it does not say")  # fmt: skip
    area = claim.drag_area_change
    behind = (
        "It leaves the drag area as it is."
        if claim.kind == "mass"
        else f"The drag area behind it: {_areas(area)}."
    )
    return f"{runs}; {spread}. {behind} {_agreement(answers, claim)}".strip()


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
            Typed("watts", "Watts saved", "20, 15 to 20, or 20 W at 50 km/h", "", ("kind", "watts"), "W",
                  told("watts")),
            Choice("at", "Where", options=lambda answers: _AT, when=("kind", "watts"), start="silent"),
            Typed("seconds", "Time saved", "60, 1:00, or 1 min over 40 km", "", ("kind", "time"), "s",
                  told("time")),
            Typed("distance", "Over", "40, or 40 km in 1:06:40; for seconds a kilometre 1", "",
                  ("kind", "time"), "km", maybe(told("distance"))),
            Typed("percent", "Percent saved", "5", "", ("kind", "percent of drag", "percent of power"),
                  "%", told("percent")),
            Typed("grams", "Grams of drag saved", "80", "", ("kind", "force"), "g", told("force")),
            Typed("kilograms", "Mass saved", "0.3, or 300 g", "", ("kind", "mass"), "kg", told("mass")),
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
    words = {q.name: q.sentence(answers[q.name], answers) for q in QUESTIONS}
    boxes = (
        ("1 Who says, at what speed, yaw, density", f"{words['said']} {words['where']}"),
        ("2 Compared with what", words["against"]),
        ("3 Measured or computed", words["found"]),
        ("4 How many runs, what spread", words["runs"].split(". ")[0] + "."),
        ("5 Drag area behind it", _areas(claim.drag_area_change)),
        ("6 My watts", watts_in_words(judged.watts)),
        ("7 My time on my road", f"{words['road']} {seconds_in_words(judged.seconds)}"),
        ("8 Cost, comfort, safety, rules", besides or "not noted"),
    )
    rows = tuple({"Box": name, "What stands in it": text} for name, text in boxes)
    level = judged.seconds.percent
    parts = [
        Part("Why", judged.reasons),
        Part("The eight boxes", (Table(rows, f"The claim, box by box. Ranges are {level}."),)),
    ]
    agreement = _agreement(answers, claim)
    if agreement:
        parts.append(Part("Its two numbers", (agreement,)))
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
