"""A claim of one's own in notebook 08: from the watts that it quotes to the watts at my speed."""

from dataclasses import dataclass, replace

from dragwork import units
from dragwork.decisions.claims import Claim
from dragwork.decisions.conditions import TEST_SPEEDS
from dragwork.decisions.verdicts import WHOLE_STEP
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.savings import drag_area_behind, time_saved
from dragwork.physics.speed import steady_speed
from dragwork.quantities import Estimate
from dragwork.scenario.riders import Member
from dragwork.teaching.forms.claim_flow import SAID
from dragwork.teaching.forms.flow import Flow
from dragwork.teaching.forms.learner_rider import my_riders
from dragwork.teaching.forms.rider_and_road import MINE, RIDER
from dragwork.teaching.report import Found, listed
from dragwork.teaching.told import claim_of

CALM, DISTANCE = Conditions(), units.kilometres(40)


@dataclass(frozen=True, eq=False)
class AtMySpeed(Found):
    """A claim converted for a rider on a flat road in still air. Ranges: over all that the claim leaves open."""

    claim: Claim
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
            return (
                "It leaves the drag area as it is. What a mass is worth depends on the hills: the form in notebook 10 "
                "works it out on your road.",
            )
        if area.mid >= self.own_area or area.mid > WHOLE_STEP and claim.about != "shelter":
            most = f"{self.own_area:.3f} m² that {self.member.name} has" if area.mid >= self.own_area else (
                f"{WHOLE_STEP:.3f} m² between the hoods and a time-trial bike")  # fmt: skip
            return (
                f"It means a drag area of {area.mid:.3f} m², more than the {most}. Nothing you can buy does that, so "
                "there is no number for you here. Check the unit, and ask for the data.",
            )
        return tuple(filter(None, (self._behind, self._worth, self._beyond, self._open)))

    @property
    def _behind(self):
        if self.claim.asks_for_a_speed:
            return ""
        area = self.claim.drag_area_change
        ends = area.in_words(_square_metres, "less", "more").removesuffix(" less")
        around = "" if area.low == area.high else f", {ends} over all the claim leaves open"
        return f"It means {_square_metres(abs(area.mid))} {'less' if area.mid >= 0 else 'more'} drag area{around}."

    @property
    def _worth(self):
        member, watts, seconds = self.member, self.watts, self.seconds
        rides = (
            f"At {member.power:.0f} W {member.name} rides {units.to_kmh(self.speed):.1f} km/h on a flat road in still air."
        )
        if self.claim.asks_for_a_speed:
            slow, *_, fast = (f"{units.to_kmh(speed):.0f} km/h" for speed in TEST_SPEEDS)
            return (
                f"It names no speed, and nearly everything depends on that, so there is no single number. {rides} There "
                f"it saves {_ends(watts, _watts)} at the wheel: the first if it was tested at {fast}, the second if at "
                f"{slow}, with whatever else it leaves open. Ask: at what speed was it tested?"
            )
        crank = watts.mid / member.rider.drivetrain_efficiency
        around = "" if watts.low == watts.high else f" ({_ends(watts, _watts)})"
        times = "" if seconds.low == seconds.high else f" ({_ends(seconds, _seconds)})"
        does = "saves" if watts.mid >= 0 else "costs"
        return (
            f"{rides} There it {does} {_watts(abs(watts.mid))} at the wheel{around}, or {_watts(abs(crank))} at the crank. "
            f"At the same power instead it {does} {_seconds(abs(seconds.mid))} over 40 km{times}."
        )

    @property
    def _beyond(self):
        if self.claim.drag_area_change.high <= self.own_area:
            return ""
        return f"At its widest it would take more than the {self.own_area:.3f} m² that {self.member.name} has."

    @property
    def _open(self):
        left = [condition.words for condition in self.claim.conditions if not condition.stated]
        said = f"The claim leaves out {listed(left)}. " if left else ""
        return f"{said}For a verdict on your road, in wind, go to notebook 10: its form has these answers."

    pieces = sentences


def _square_metres(area):
    return f"{area:.4f} m²"


def _watts(power):
    return f"{power:.1f} W"


def _seconds(time):
    return f"{time:.0f} s"


def _ends(found, words):
    """`4.9 to 8.1 W`; a loss says so."""
    return found.in_words(words).removesuffix(" saved")


def _read_said(values, answers):
    told = SAID.read(values, answers)
    if not told.is_claim:
        raise ValueError(
            "This speaks of something other than drag, so there is nothing to convert here. The form of notebook 10 "
            "answers it."
        )
    claim_of(told).drag_area_change  # noqa: B018  refuses here, in words, what cannot be worked out
    return told


def _finish(answers):
    return AtMySpeed(claim_of(answers["said"]), answers["rider"])


class OwnClaimFlow(Flow):
    """What a claim says, for whom; then what it is worth to that rider. As the last line of a cell it shows itself.

    Its questions are the first two of notebook 10's form, which goes on with the same answers.
    By code: `flow.answer_all(heard="20 W at 50 km/h", rider="Tobin")`, then `flow.result.watts` [W] and
    `flow.result.seconds` [s].
    """

    title = "A claim at my speed"
    made = "What it is worth is below."
    draft = "claim"

    def __init__(self):
        super().__init__((replace(SAID, read=_read_said), RIDER), _finish)
        if my_riders():
            self.typed["rider"] = MINE
