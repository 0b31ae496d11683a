"""The learner's own rider, who travels through all notebooks."""

from dragwork.physics.power import Rider
from dragwork.scenario.riders import TOBIN, Member
from dragwork.teaching.profile import Profile

MINE = "mine"
BORROWED = f"borrowed from {TOBIN.name} until you have one"


def my_rider():
    """The learner's own rider as kept in their file; Tobin of the club where there is none.

    Returns
    -------
    Member
        .name .rider .power .about; the last says where the drag area came from.

    Raises
    ------
    ValueError
        Where the file holds a rider that cannot be used, in words.
    """
    return rider_of(Profile())


def rider_of(profile):
    """The rider that a learner's file holds, or Tobin; see `my_rider`."""
    if profile.rider is None:
        return TOBIN
    try:
        return _member(profile.name, profile.rider)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        again = "Answer the questions about your rider in notebook 00 again."
        file = profile.path.name
        raise ValueError(f"The rider in your file {file} cannot be used ({error}). {again}") from None


def my_riders():
    """The learner's own rider, and those that came with work from another computer; none of the club's."""
    profile = Profile()
    first = [] if profile.rider is None else [rider_of(profile)]
    return first + [_member(name, facts["kept"]) for name, facts in profile.named("rider").items()]


def _member(name, kept):
    drag_area, origin = kept.get("drag_area"), kept.get("drag_area_from") or "own number"
    if drag_area is None:
        drag_area, origin = TOBIN.rider.drag_area, BORROWED
    mass, rolling = kept["all_up_mass"], kept["rolling_coefficient"]
    rider = Rider(all_up_mass=mass, drag_area=drag_area, rolling_coefficient=rolling)
    return Member(name or "my rider", rider, kept["power"], origin)


def by_choice(things):
    """The learner's own things as the values of a `Choice`: 'mine', 'mine 2' and so on."""
    return {MINE if place == 1 else f"{MINE} {place}": thing for place, thing in enumerate(things, 1)}


def keep_rider(profile, drag_area, origin, all_up_mass, rolling_coefficient, **more):
    """Keep a drag area that was measured [m2] with the learner's rider, and what it was found with, in SI.

    Returns
    -------
    Path
        The learner's file.

    Raises
    ------
    ValueError
        Where the file cannot be written.
    """
    found = {"all_up_mass": float(all_up_mass), "drag_area": round(drag_area, 3), "drag_area_sd": None}
    tyres = {"drag_area_from": origin, "rolling_coefficient": float(rolling_coefficient)}
    profile.keep_me(rider=found | tyres | more)
    if profile.remark:
        raise ValueError(profile.remark)
    return profile.path
