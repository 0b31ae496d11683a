"""The audience's table: riders down, set-ups across, watts at their own speed, minutes on the road."""

from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations

import numpy as np

from dragwork import units
from dragwork.decisions import PLANNING
from dragwork.decisions.rides import DRAWS, SEED, Unstated
from dragwork.escaping import a_name
from dragwork.physics import Conditions, power_balance
from dragwork.quantities import Estimate
from dragwork.scenario.riders import Member
from dragwork.teaching.answers import read_entries, read_line
from dragwork.teaching.report.evidence import as_evidence
from dragwork.teaching.report.numbers import Case, as_assumed, drawn_rides, drawn_watts
from dragwork.teaching.report.page import Part, Table, listed, say

_POWERS = np.geomspace(60, 450, 60)  # W, searched for a flip of the order
_MOST = 20  # riders: more do not fit on a page


@dataclass(frozen=True, eq=False)
class Cell:
    """One rider with one set-up: minutes on the road [s], and what it saves against the first.

    .time, .seconds [s] and .watts [W at the crank, at the rider's own speed], each an `Estimate`.
    """

    time: Estimate
    seconds: Estimate
    watts: Estimate


@dataclass(frozen=True, eq=False)
class Audience:
    """Riders by set-ups on one road: .members, .set_ups, .cells[member][set_up], .order, .flips.

    .order: for each rider the set-ups from fast to slow, by their medians; .flips: (power [W],
    faster below, faster above) where two set-ups change places as the first rider's power rises.
    """

    members: tuple
    set_ups: tuple
    road: object
    cells: tuple
    order: tuple
    flips: tuple


def audience(given, members, road, air_density=1.2, unstated=None, set_ups=None, seed=SEED):
    """What each set-up means to each of several riders on one road.

    The drag areas are those of the evidence for everybody: the same set-ups on other bodies are
    another measurement, and the page says so.

    Parameters
    ----------
    given : TunnelSheet or Evidence
    members : sequence of Member
        One to twenty.
    road : Road
    air_density : float [kg/m3]
    unstated : Unstated, optional
    set_ups : sequence of str, optional
        By default all; savings are against the first.
    seed : int

    Returns
    -------
    Audience

    Raises
    ------
    ValueError
        For no rider, too many, or a set-up that is not there, in words.

    Source: JCGM101
    """
    evidence = as_evidence(given)
    names = tuple(set_ups or evidence.set_ups)
    evidence.check(*names)
    members = tuple(members)
    if not 1 <= len(members) <= _MOST:
        raise ValueError(f"The table holds one to {_MOST} riders, got {len(members)}.")
    given = air_density, unstated or Unstated(), DRAWS, seed
    cases = [Case(evidence, names, m.rider, road, m.power, *given) for m in members]
    drawn = evidence.draws(DRAWS, seed)
    rows = tuple(_row(case, drawn) for case in cases)
    order = tuple(tuple(sorted(names, key=lambda name: row[name].time.mid)) for row in rows)
    return Audience(members, names, road, rows, order, _flips(cases[0]))


def _row(case, drawn):
    """The cells of one rider, by set-up."""
    rides, days = drawn_rides(case, drawn)
    watts, was = drawn_watts(case, drawn, days), rides[case.names[0]].time
    drawn = {name: (rides[name].time, was - rides[name].time, watts[name]) for name in case.names}
    return {name: Cell(*(Estimate.of(each, PLANNING) for each in of)) for name, of in drawn.items()}


def _flips(case):
    """Where two set-ups change places on this road as the rider's power rises."""
    times = {name: found.time for name, found in as_assumed(replace(case, power=_POWERS[:, None])).items()}
    found = []
    for a, b in combinations(case.names, 2):
        ahead = np.sign(times[b] - times[a])  # 1 where a is the faster
        for at in np.flatnonzero(ahead[:-1] * ahead[1:] < 0):
            pair = (a, b) if ahead[at] > 0 else (b, a)
            found.append((float(np.sqrt(_POWERS[at] * _POWERS[at + 1])), *pair))
    return tuple(found)


# -- in words -----------------------------------------------------------------------------------------


def audience_part(table):
    """The table as a part of the page."""
    first = table.set_ups[0]
    rows = []
    for member, cells in zip(table.members, table.cells):
        row = {"Rider": f"{member.name}, {member.power:.0f} W, {member.rider.all_up_mass:.0f} kg"}
        for name, cell in cells.items():
            time = f"{units.clock(cell.time.low)} to {units.clock(cell.time.high)}"
            if name == first:
                row[f"{name} (now)"] = time
            else:
                seconds, watts = cell.seconds.in_words("{:.0f} s".format), cell.watts.in_words("{:.0f} W".format)
                row[name] = f"{time}; {seconds}; {watts}"
        rows.append(row)
    caption = say("audience", "caption", road=table.road.name, first=first, level=table.cells[0][first].time.percent)
    pieces = (Table(tuple(rows), caption), *order_in_words(table))
    return Part("For the people in the room", pieces, new_page=True)


def order_in_words(table):
    """Who should pick which, where the order flips, and what cannot be told."""
    fastest, first = [order[0] for order in table.order], table.set_ups[0]
    said = partial(say, "audience")
    if len(set(table.order)) == 1:
        yield said("same", order=listed(table.order[0]))
    else:
        for name in dict.fromkeys(fastest):
            who = listed([m.name for m, best in zip(table.members, fastest) if best == name])
            yield said("fastest", who=who, name=name)
    for power, below, above in table.flips:
        yield said("flip", member=table.members[0].name, power=power, below=below, above=above)
    if not table.flips:
        yield said("no flip", low=_POWERS[0], high=_POWERS[-1])
    of_riders = zip(table.members, table.cells)
    every = [(member.name, *cell) for member, cells in of_riders for cell in cells.items()]
    close = [f"{who}, {name}" for who, name, cell in every if name != first and not cell.seconds.sign]
    if close:
        yield said("close", first=first, whom="; ".join(close))
    yield said("body")


# -- from the room ------------------------------------------------------------------------------------


def read_members(text, rider):
    """Riders as somebody types them: `June 180 W 75 kg; Sam 32 km/h 80 kg`.

    Each has a name, a power or a speed on the flat in still air, and an all-up mass; a semicolon or
    a new line parts them. What is not said (tyres, drivetrain) is that of `rider`.

    Parameters
    ----------
    text : str
    rider : Rider
        Its drag area turns a speed into a power.

    Returns
    -------
    tuple of Member

    Raises
    ------
    ValueError
        Where one cannot be read, in words.

    Source: COMMON_PRACTICE
    """
    nobody = "Nobody is named yet. Write, for example: June 180 W 75 kg; Sam 32 km/h 80 kg"
    return read_entries(text, partial(_read_member, rider), nobody)


def _read_member(rider, line):
    name, numbers = read_line(line, ("W", "km/h", "kg"))
    if "kg" not in numbers or not numbers.keys() & {"W", "km/h"}:
        raise ValueError("give a power or a speed, and a mass, as in June 180 W 75 kg.")
    rider = replace(rider, all_up_mass=numbers["kg"])
    power = numbers.get("W")
    if power is None:
        power = float(power_balance(rider, Conditions(), units.kmh(numbers["km/h"])).total)
    if not 10 <= power <= 1500:
        raise ValueError(f"{power:.0f} W is outside 10 to 1500 W.")
    return Member(a_name(name) or "somebody", rider, power, "from the room")
