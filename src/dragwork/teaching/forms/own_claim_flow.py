"""A claim of one's own in notebook 08: from the watts that it quotes to the watts at my speed."""

from dataclasses import replace

from dragwork import units
from dragwork.decisions import conditions, verdicts
from dragwork.physics import Conditions, drag_area_behind, power_balance, steady_speed, time_saved
from dragwork.quantities import Estimate
from dragwork.teaching.forms.claim_flow import SAID
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import MINE, my_riders
from dragwork.teaching.forms.rider_and_road import RIDER
from dragwork.teaching.report import Found, listed
from dragwork.teaching.told import claim_of

WORDS = FormWords("own_claim_flow.json")
CALM, DISTANCE = Conditions(), units.kilometres(40)


_square_metres, _watts, _seconds = "{:.4f} m²".format, "{:.1f} W".format, "{:.0f} s".format


def _ends(found, words):
    """`4.9 to 8.1 W`; a loss says so."""
    return found.in_words(words).removesuffix(" saved")


def _around(found, words):
    """The ends in brackets, where they differ."""
    return "" if found.low == found.high else f" ({_ends(found, words)})"


def at_my_speed(claim, member):
    """A claim converted for a rider on a flat road in still air.

    Parameters
    ----------
    claim : Claim
    member : Member

    Returns
    -------
    Found
        .sentences: what the claim means, and what it is worth to this rider, or why no number is
        given. With a number also .watts, saved at the wheel at the rider's steady speed [W], and
        .seconds, saved over 40 km at the rider's own power [s]: estimates, whose ranges go over all
        that the claim leaves open.
    """
    area, rider = claim.drag_area_change, member.rider
    if claim.kind == "mass":
        return _told(WORDS("mass"))
    speed = float(steady_speed(rider, CALM, member.power))
    area_of_a_watt = drag_area_behind(1.0, CALM, speed)
    own = float(power_balance(rider, CALM, speed).air * area_of_a_watt)  # m2, air from ahead
    if area.mid >= own:
        return _told(WORDS("too much", area=area.mid, most=WORDS("own", own, member.name)))
    if area.mid > verdicts.WHOLE_STEP and claim.about != "shelter":
        return _told(WORDS("too much", area=area.mid, most=WORDS("step", verdicts.WHOLE_STEP)))

    def saved(f):  # the drag area behind the claim ends at what the rider has
        return Estimate(*(float(f(min(end, own))) for end in (area.low, area.mid, area.high)), area.level)

    before = replace(rider, drag_area=own)
    watts = saved(lambda less: less / area_of_a_watt)
    seconds = saved(lambda less: time_saved(
        before, replace(before, drag_area=own - less), CALM, member.power, DISTANCE
    ))  # fmt: skip
    rides = WORDS("rides", member=member, speed=speed)
    if claim.asks_for_a_speed:
        said = [WORDS("no speed", rides=rides, watts=_ends(watts, _watts), speeds=conditions.TEST_SPEEDS)]
    else:
        ends = area.in_words(_square_metres, "less", "more").removesuffix(" less")
        around = "" if area.low == area.high else WORDS("around", ends)
        less = "less" if area.mid >= 0 else "more"
        said = [WORDS("behind", area=_square_metres(abs(area.mid)), less=less, around=around), WORDS(
            "worth", rides=rides, does="saves" if watts.mid >= 0 else "costs", wheel=_watts(abs(watts.mid)),
            around=_around(watts, _watts), crank=_watts(abs(watts.mid / rider.drivetrain_efficiency)),
            seconds=_seconds(abs(seconds.mid)), times=_around(seconds, _seconds),
        )]  # fmt: skip
    if area.high > own:
        said.append(WORDS("beyond", own, member.name))
    left = [condition.words for condition in claim.conditions if not condition.stated]
    said.append(f"{WORDS('leaves out', listed(left))} {WORDS('verdict')}" if left else WORDS("verdict"))
    return _told(*said, watts=watts, seconds=seconds)


def _told(*sentences, **found):
    return Found(sentences, sentences=sentences, **found)


def _read_said(values, answers):
    told = SAID.read(values, answers)
    if not told.is_claim:
        raise ValueError(WORDS("not drag"))
    claim_of(told).drag_area_change  # noqa: B018  refuses here, in words, what cannot be worked out
    return told


class OwnClaimFlow(Flow):
    """What a claim says, for whom; then what it is worth to that rider. As the last line of a cell it shows itself.

    Its questions are the first two of notebook 10's form, which goes on with the same answers.
    By code: `flow.answer_all(heard="20 W at 50 km/h", rider="Tobin")`, then `flow.result.watts` [W] and
    `flow.result.seconds` [s].
    """

    words = WORDS.table
    questions = (replace(SAID, read=_read_said), RIDER)

    def __init__(self):
        super().__init__()
        if my_riders():
            self.typed["rider"] = MINE

    def finish(self, answers):
        return at_my_speed(claim_of(answers["said"]), answers["rider"])
