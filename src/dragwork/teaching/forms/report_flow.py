"""The questions behind the page of notebook 12: what was measured, for whom, where, in which air."""

from dataclasses import replace
from functools import cache

from dragwork.decisions.rides import CAREFUL, EXACT, Unstated
from dragwork.physics import Conditions, steady_speed
from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.riders import MEMBERS
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.claim_flow import chosen_claim, claim_choice
from dragwork.teaching.forms.field_flow import kept_field_tests
from dragwork.teaching.forms.flow import FormWords, PageFlow
from dragwork.teaching.forms.own_file import FIELDS, AskingQuestion, published, read_file
from dragwork.teaching.forms.rider_and_road import AIR, RIDER, ROAD, USUAL_AIR, rider_in_words
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import FromField, FromTunnel, build_report, listed
from dragwork.teaching.report.audience import audience, audience_part, read_members
from dragwork.teaching.report.evidence import change_of_drag_area, difference_in_words
from dragwork.teaching.told import claim_of
from dragwork.teaching.verdicts import claim_part

WORDS = FormWords("report_flow.json")
OWN, KEPT = "own", "06: "

# -- 1 what was measured ------------------------------------------------------------------------------

_TOLD = 3  # reasons told at once; the page tells all
# Name in the list -> what makes the evidence under the name of a page.
DEMO = {
    "BL-7": cache(lambda name: FromTunnel(bl7(), name)),
    "BL-7 with faults": cache(lambda name: FromTunnel(bl7_with_faults(), name)),
    "Saltpan Lane": cache(lambda name: FromField(saltpan_lane(), name)),
}


def _sheets(answers):
    tests = Profile().named("field test")
    kept = {f"{KEPT}{name}": f"{name}, your field test of notebook 06" for name in tests}
    return kept | {name: f"{name}: {about}" for name, about in WORDS.table["demo"].items()}


def _read_sheet(values, answers):
    chosen = values["sheet"]
    if chosen in DEMO:
        return DEMO[chosen](f"{chosen} ({WORDS.table['demo'][chosen]})")
    if chosen == OWN:
        return read_file(values["upload"], values["said"])
    if chosen.startswith(KEPT):
        return _from_notebook_06(chosen.removeprefix(KEPT))
    return published(values["numbers"], values["numbers_from"].strip() or "somebody", values["said"])


def _from_notebook_06(name):
    """A field test as it was analysed there, with the errors that its positions share."""
    test = kept_field_tests(Profile()).get(name)
    if test is None:
        raise ValueError(WORDS("lost", name))
    evidence = FromField(name=f"{name} (your field test of notebook 06)", **test)
    if len(evidence.set_ups) < 2:
        raise ValueError(WORDS("one position", name))
    return evidence


def _sheet_in_words(evidence, answers):
    opening = " ".join(evidence.opening).replace("; the reasons are below.", ".")
    lead = "All reasons are on the page. The first:" if len(evidence.faults) > _TOLD else "Left out:"
    faults = [lead, *map(str, evidence.faults[:_TOLD])] if evidence.faults else []
    return " ".join(filter(None, [evidence.taken, opening, *faults, *evidence.told]))


# -- 2 the set-ups ------------------------------------------------------------------------------------


def _set_ups(answers):
    return {name: name for name in answers["sheet"].set_ups} if "sheet" in answers else {}


def _measured(answers):
    """The rider with the drag areas of the set-up now."""
    return replace(answers["rider"].rider, drag_area=answers["sheet"].curve(answers["set-ups"][0]))


def _read_set_ups(values, answers):
    before, after = values["before"], values["after"]
    if before == after:
        raise ValueError(WORDS("same", before))
    difference_in_words(answers["sheet"], before, after)  # refuses what cannot be compared
    return before, after


# -- 3 the rider --------------------------------------------------------------------------------------


def _rider_in_words(member, answers):
    (before, _), told = answers["set-ups"], rider_in_words(member, answers)
    speed = steady_speed(_measured(answers), Conditions(air_density=USUAL_AIR), member.power)
    return WORDS("rider", rider=told, before=before, speed=speed, air=USUAL_AIR)


# -- 6 the doubts -------------------------------------------------------------------------------------

_DOUBTS = {"usual": Unstated(), "careful": CAREFUL, "exact": EXACT}


# -- 7 a claim ----------------------------------------------------------------------------------------


def _read_claim(values, answers):
    """A claim, and the part of the page that holds it against what was measured; or None."""
    chosen = chosen_claim(values)
    if chosen is None:
        return None
    told, evidence = chosen
    claim = claim_of(told.only(), **evidence)
    member = replace(answers["rider"], rider=_measured(answers))
    _, found = change_of_drag_area(answers["sheet"], *answers["set-ups"])
    density, worthwhile = answers["air"]["air_density"], Profile().worthwhile
    return claim, claim_part(claim, member, answers["road"], density, found, worthwhile)


# -- 8 the people in the room -------------------------------------------------------------------------


def _read_room(values, answers):
    if values["room"] == "people":
        return read_members(values["people"], _measured(answers))
    return tuple(MEMBERS.values()) if values["room"] == "club" else ()


def _room_in_words(members, answers):
    if not members:
        return "The page is for this rider alone."
    return f"The page has a table for {listed([member.name for member in members])}."


# -- together -----------------------------------------------------------------------------------------

_SHEET, _SET_UPS, *_MORE = WORDS.questions(
    {
        "sheet": _read_sheet,
        "set-ups": _read_set_ups,
        "doubts": lambda values, answers: _DOUBTS[values["doubts"]],
        "claim": _read_claim,
        "room": _read_room,
    },
    {
        "sheet": _sheet_in_words,
        "set-ups": lambda answer, answers: difference_in_words(answers["sheet"], *answer),
        "doubts": lambda doubt, _: WORDS("exact" if doubt == EXACT else "doubts", doubt=doubt),
        "claim": lambda held, _: " ".join(held[1].pieces) if held else WORDS("no claim"),
        "room": _room_in_words,
    },
    {"sheet": AskingQuestion},
    options={"sheet": _sheets, "before": _set_ups, "after": _set_ups},
    shared={"what a file leaves open": FIELDS, "the claim, if any": claim_choice("no claim")},
)
# Whose drag area it is, the sheet says.
_RIDER = replace(RIDER, fields=RIDER.fields[:-1], sentence=_rider_in_words)

#: What the rides of the page come from; the claim and the room add to it.
_RIDDEN = "sheet", "set-ups", "rider", "road", "air", "doubts"


class ReportFlow(PageFlow):
    """Five questions, then the page; three more that make it richer.

    As the last line of a cell it shows itself. By code: `flow.answer(sheet="BL-7", before="A",
    after="B", rider="Tobin", road="Long Hill 10", air="usual")`, then `flow.result` is the `Report`
    and `flow.save()` writes it. An own sheet is `sheet="own", upload="my_sheet.csv"`; own numbers
    are `rider="own", all_up_mass="84 kg", power="220"`, as text, in the units that the question
    shows. `claim="heard", heard="20 W at 50 km/h"` and `room="club"` add parts.
    """

    file_name = "my_report"
    words = PageFlow.words | WORDS.table
    questions = (_SHEET, _SET_UPS, _RIDER, ROAD, AIR, *_MORE)

    def finish(self, answers):
        """The page; one that differs in the claim or the room alone rides nothing again."""
        before, after = answers["set-ups"]
        air_density, evidence = answers["air"]["air_density"], answers["sheet"]
        extra, made_with = [], {}
        if answers["claim"]:
            claim, part = answers["claim"]
            extra.append(part)
            made_with["Claim"] = claim.words
        if answers["room"]:
            names = dict.fromkeys((before, after, *evidence.set_ups))
            table = audience(evidence, answers["room"], answers["road"], air_density, answers["doubts"], tuple(names))
            extra.append(audience_part(table))
            room = [f"{m.name} {m.power:.4g} W, {m.rider.all_up_mass:g} kg" for m in answers["room"]]
            made_with["In the room"] = "; ".join(room)
        same = self.result and all(answers[name] is self.answers[name] for name in _RIDDEN)
        return build_report(
            evidence, before, after, answers["rider"], answers["road"], air_density=air_density,
            unstated=answers["doubts"], extra=extra, made_with=made_with,
            carried=self.result.carried if same else None, progress=self.progress,
        )  # fmt: skip
