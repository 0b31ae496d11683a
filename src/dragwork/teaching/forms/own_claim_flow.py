"""A claim of one's own in notebook 08: from the watts that it quotes to the watts at my speed."""

from dataclasses import dataclass, replace

from dragwork import units
from dragwork.decisions import claims, conditions, verdicts
from dragwork.physics import Conditions, drag_area_behind, power_balance, steady_speed, time_saved
from dragwork.quantities import Estimate
from dragwork.scenario.riders import Member
from dragwork.teaching.forms.claim_flow import SAID
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import MINE, my_riders
from dragwork.teaching.forms.rider_and_road import RIDER
from dragwork.teaching.report import Found, listed
from dragwork.teaching.told import claim_of

WORDS = FormWords("own_claim_flow.json")
CALM, DISTANCE = Conditions(), units.kilometres(40)


@dataclass(frozen=True, eq=False)
class AtMySpeed(Found):
    """A claim converted for a rider on a flat road in still air. Ranges: over all that the claim leaves open."""

    claim: claims.Claim
    member: Member

    @property
    def speed(self):
        """The rider's steady speed [m/s]."""
        return float(steady_speed(self.member.rider, CALM, self.member.power))

    @property
    def own_area(self):
        """The rider's drag area, air from ahead [m2]."""
        air = power_balance(self.member.rider, CALM, self.speed).air
        return float(air * drag_area_behind(1.0, CALM, self.speed))

    @property
    def area(self):
        """The drag area behind the claim [m2]; it ends at what the rider has."""
        area, most = self.claim.drag_area_change, self.own_area
        return Estimate(*(min(end, most) for end in (area.low, area.mid, area.high)), area.level)

    @property
    def watts(self):
        """Watts saved at the wheel at the rider's speed."""
        return self._each(lambda area: float(area / drag_area_behind(1.0, CALM, self.speed)))

    @property
    def seconds(self):
        """Seconds saved over 40 km at the rider's own power."""
        before = replace(self.member.rider, drag_area=self.own_area)
        return self._each(lambda area: float(
            time_saved(before, replace(before, drag_area=self.own_area - area), CALM, self.member.power, DISTANCE)
        ))  # fmt: skip

    def _each(self, f):
        return Estimate(f(self.area.low), f(self.area.mid), f(self.area.high), self.area.level)

    @property
    def sentences(self):
        """What the claim means, and what it is worth to this rider; or why no number is given."""
        claim, area = self.claim, self.claim.drag_area_change
        if claim.kind == "mass":
            return (WORDS("mass"),)
        own = WORDS("own", self.own_area, self.member.name)
        if area.mid >= self.own_area:
            return (WORDS("too much", area=area.mid, most=own),)
        if area.mid > verdicts.WHOLE_STEP and claim.about != "shelter":
            return (WORDS("too much", area=area.mid, most=WORDS("step", verdicts.WHOLE_STEP)),)
        left = [condition.words for condition in claim.conditions if not condition.stated]
        return tuple(filter(None, (
            "" if claim.asks_for_a_speed else self._behind(),
            self._worth(),
            WORDS("beyond", self.own_area, self.member.name) if area.high > self.own_area else "",
            f"{WORDS('leaves out', listed(left))} {WORDS('verdict')}" if left else WORDS("verdict"),
        )))  # fmt: skip

    def _behind(self):
        area = self.claim.drag_area_change
        ends = area.in_words(_square_metres, "less", "more").removesuffix(" less")
        around = "" if area.low == area.high else WORDS("around", ends)
        less = "less" if area.mid >= 0 else "more"
        return WORDS("behind", area=_square_metres(abs(area.mid)), less=less, around=around)

    def _worth(self):
        member, watts, seconds = self.member, self.watts, self.seconds
        rides = WORDS("rides", member=member, speed=self.speed)
        if self.claim.asks_for_a_speed:
            return WORDS("no speed", rides=rides, watts=_ends(watts, _watts), speeds=conditions.TEST_SPEEDS)
        return WORDS(
            "worth", rides=rides, does="saves" if watts.mid >= 0 else "costs", wheel=_watts(abs(watts.mid)),
            around="" if watts.low == watts.high else f" ({_ends(watts, _watts)})",
            crank=_watts(abs(watts.mid / member.rider.drivetrain_efficiency)), seconds=_seconds(abs(seconds.mid)),
            times="" if seconds.low == seconds.high else f" ({_ends(seconds, _seconds)})",
        )  # fmt: skip

    pieces = sentences


_square_metres, _watts, _seconds = "{:.4f} m²".format, "{:.1f} W".format, "{:.0f} s".format


def _ends(found, words):
    """`4.9 to 8.1 W`; a loss says so."""
    return found.in_words(words).removesuffix(" saved")


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
        return AtMySpeed(claim_of(answers["said"]), answers["rider"])
