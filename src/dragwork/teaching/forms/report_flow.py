"""The questions behind the page of notebook 12: what was measured, for whom, where, in which air."""

from dataclasses import replace
from typing import NamedTuple

from dragwork.decisions.claims import Claim
from dragwork.decisions.unstated import CAREFUL, EXACT, Unstated
from dragwork.physics import Conditions, steady_speed
from dragwork.scenario.riders import MEMBERS
from dragwork.teaching.forms import report_sheets as sheets
from dragwork.teaching.forms.claim_flow import chosen_claim, claim_choice
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.page_flow import PageFlow
from dragwork.teaching.forms.rider_and_road import AIR, RIDER, ROAD, USUAL_AIR, rider_in_words
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import Part, build_report, listed
from dragwork.teaching.report.audience import audience, audience_part, read_members
from dragwork.teaching.report.evidence import change_of_drag_area, difference_in_words
from dragwork.teaching.told import claim_of
from dragwork.teaching.verdicts import claim_part

WORDS = FormWords("report_flow.json")

# -- 2 the set-ups ------------------------------------------------------------------------------------


def _set_ups(answers):
    return {name: name for name in answers["sheet"].set_ups} if "sheet" in answers else {}


def _read_set_ups(values, answers):
    before, after = values["before"], values["after"]
    if before == after:
        raise ValueError(WORDS("same", before))
    difference_in_words(answers["sheet"], before, after)  # refuses what cannot be compared
    return before, after


# -- 3 the rider --------------------------------------------------------------------------------------


def _rider_in_words(member, answers):
    before, _ = answers["set-ups"]
    rider = replace(member.rider, drag_area=answers["sheet"].curve(before))
    speed = steady_speed(rider, Conditions(air_density=USUAL_AIR), member.power)
    return WORDS(
        "rider", rider=rider_in_words(member, answers), before=before, speed=speed, air=USUAL_AIR
    )


# -- 6 the doubts -------------------------------------------------------------------------------------

_DOUBTS = {"usual": Unstated(), "careful": CAREFUL, "exact": EXACT}


def _doubts_in_words(doubt, answers):
    if doubt == EXACT:
        return WORDS("exact")
    return WORDS("doubts", doubt=doubt)


# -- 7 a claim ----------------------------------------------------------------------------------------

class Held(NamedTuple):
    """A claim, and the part of the page that holds it against what was measured."""

    claim: Claim
    part: Part


def _read_claim(values, answers):
    chosen = chosen_claim(values)
    if chosen is None:
        return None
    told, evidence = chosen
    claim = claim_of(told.only(), **evidence)
    (before, after), member, sheet = answers["set-ups"], answers["rider"], answers["sheet"]
    member = replace(member, rider=replace(member.rider, drag_area=sheet.curve(before)))
    _, found = change_of_drag_area(sheet, before, after)
    density, worthwhile = answers["air"]["air_density"], Profile().worthwhile
    return Held(claim, claim_part(claim, member, answers["road"], density, found, worthwhile))


def _claim_in_words(held, answers):
    if held is None:
        return "No claim is compared with it."
    return " ".join(held.part.pieces)


# -- 8 the people in the room -------------------------------------------------------------------------


def _read_room(values, answers):
    if values["room"] == "nobody":
        return ()
    if values["room"] == "club":
        return tuple(MEMBERS.values())
    before, _ = answers["set-ups"]
    curve = answers["sheet"].curve(before)
    return read_members(values["people"], replace(answers["rider"].rider, drag_area=curve))


def _room_in_words(members, answers):
    if not members:
        return "The page is for this rider alone."
    return f"The page has a table for {listed([member.name for member in members])}."


# -- together -----------------------------------------------------------------------------------------

_SET_UPS, *_MORE = WORDS.questions(
    {
        "set-ups": (_read_set_ups, lambda answer, answers: difference_in_words(answers["sheet"], *answer)),
        "doubts": (lambda values, answers: _DOUBTS[values["doubts"]], _doubts_in_words),
        "claim": (_read_claim, _claim_in_words),
        "room": (_read_room, _room_in_words),
    },
    options={"before": _set_ups, "after": _set_ups},
    shared={"the claim, if any": claim_choice("no claim")},
)
# Whose drag area it is, the sheet says.
_RIDER = replace(RIDER, fields=RIDER.fields[:-1], sentence=_rider_in_words)
QUESTIONS = (sheets.QUESTION, _SET_UPS, _RIDER, ROAD, AIR, *_MORE)


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

    questions = QUESTIONS

    def finish(self, answers):
        """The page; one that differs in the claim or the room alone rides nothing again."""
        before, after = answers["set-ups"]
        air_density, evidence = answers["air"]["air_density"], answers["sheet"]
        extra, made_with = [], {}
        if answers["claim"] is not None:
            extra.append(answers["claim"].part)
            made_with["Claim"] = answers["claim"].claim.words
        if answers["room"]:
            names = dict.fromkeys((before, after, *evidence.set_ups))
            table = audience(evidence, answers["room"], answers["road"], air_density, answers["doubts"], tuple(names))
            extra.append(audience_part(table))
            made_with["In the room"] = "; ".join(
                f"{m.name} {m.power:.4g} W, {m.rider.all_up_mass:g} kg" for m in answers["room"]
            )
        same = self.result and all(answers[name] is self.answers[name] for name in _RIDDEN)
        return build_report(
            evidence, before, after, answers["rider"], answers["road"], air_density=air_density,
            unstated=answers["doubts"], extra=extra, made_with=made_with,
            carried=self.result.carried if same else None, progress=self.progress,
        )  # fmt: skip
