"""Panels of lessons 8 to 11: what a change of drag area saves, at which speed, power and slope, and against what."""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.decisions.options import power_worth
from dragwork.physics.drag import drag_force
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import drag_area_behind, time_saved, watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching.figures.curves import GUIDE, ZERO, Axis, Curves, Line, Plane, at, curve, plot
from dragwork.teaching.figures.style import BEFORE, GREY, QUANTITY, QUIET_INK, SET_UP, bare
from dragwork.teaching.panels.knobs import into_wind, knob, on_a_slope, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import capital, sentence

SPEEDS = units.kmh(np.linspace(0, 60, 121))
CUT = units.percent(5)
DISTANCE = units.kilometres(10)
_AIR, _TOTAL = QUANTITY["air"], QUANTITY["total"]


def _less_drag(rider, share):
    """A rider with so much less drag area."""
    return replace(rider, drag_area=rider.drag_area * (1 - share))


# -- a saving in watts, elsewhere -----------------------------------------------------------------------

QUOTED_SPEED = units.kmh(50)


@model(ground_speed=SPEEDS)
def quoted_saving(quoted, ground_speed, wind_speed=0.0):
    """Take watts quoted in still air to another speed and headwind.

    A quoted saving, the drag area behind it, and what it comes to elsewhere. All SI, wheel.
    """
    drag_area = drag_area_behind(quoted, Conditions(), QUOTED_SPEED)
    item, wind = Rider(ROSALIND.rider.all_up_mass, drag_area), Conditions(wind_speed=wind_speed)
    return dict(drag_area=drag_area, saving=power_balance(item, wind, ground_speed).air)


def quoted_watts():
    """The panel: turn your speed, the wind and the quoted watts. It opens where they were quoted."""
    line, point = curve("ground_speed", "saving", _AIR, "{saving:.1f W}")
    picture = plot(
        "Watts saved at each speed by the same change of drag area",
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Watts saved at the wheel", "W", -7.5, 60),
        Line(None, 0.0, ZERO),
        Line(None, "quoted", GUIDE, "the same watts everywhere"),
        Line(SPEEDS, lambda r: r.quoted * SPEEDS / QUOTED_SPEED, GUIDE, "in proportion to speed"),
        line,
        Line(QUOTED_SPEED, "quoted", {**_TOTAL, "markersize": 10}, "quoted here"),
        point,
        guesses=at("ground_speed"),
    )
    knobs = knob("ground_speed", reference=50, step=0.1), knob("wind_speed", label="Headwind"), "quoted"
    return Panel(knobs, quoted_saving, picture, quoted_in_words, observed="saving")


@sentence
def quoted_in_words(result):
    """At {ground_speed:.1f km/h}{air} the same {drag_area:.4f m2} saves {saving:.1f W} at the wheel, {share:.0f %}
    of the {quoted:.0f W} quoted at {at:.0f km/h}."""
    air = into_wind(result.wind_speed) or " in still air"
    return dict(air=air, share=result.saving / result.quoted, at=QUOTED_SPEED)


# -- all the watts that a seller can honestly print -----------------------------------------------------

AIR_DENSITY = 1.2
AHEAD = 0.006  # m2 below a usual helmet, air from ahead; invented
BY_YAW = 0.00006  # m2 more for each square degree of yaw; invented


@model(air_speed=units.kmh(np.linspace(25, 60, 141)))
def printed(air_speed, yaw, baseline):
    """Watts printed of one helmet: force on the difference times the speed of the tunnel.

    What is printed [W in the air], what is of a usual helmet in still air, and what it comes to for Tobin. SI.
    """
    drag_area = AHEAD + BY_YAW * units.to_deg(yaw) ** 2 + baseline
    own_speed = steady_speed(TOBIN.rider, Conditions(AIR_DENSITY), TOBIN.power)
    printed, plain, own = (
        drag_force(area, AIR_DENSITY, speed) * speed
        for area, speed in ((drag_area, air_speed), (AHEAD, air_speed), (AHEAD, own_speed))
    )
    return dict(drag_area=drag_area, printed=printed, plain=plain, own_speed=own_speed, own=own)


def honest_claim():
    """The panel: turn the speed of the test, its yaw, and what the helmet is compared with."""
    line, point = curve("air_speed", "printed", _AIR, "{printed:.1f W}")
    picture = plot(
        "Watts that can honestly be printed for one helmet, against the speed of the test",
        Axis("Air speed of the test, km/h", "km/h", 25, 60),
        Axis("Watts printed, in the air", "W", -5, 70, range(0, 71, 10)),
        Line("along.air_speed", "along.plain", GUIDE, "still air, a usual helmet"),
        line,
        Line("own_speed", "own", {**_TOTAL, "markersize": 10}, "Tobin: {own:.1f W}"),
        point,
        guesses=at("air_speed"),
    )
    speed = knob("air_speed", label="Air speed of the test", low=30, reference=40, high=60)
    yaw = knob("yaw", label="Yaw of the test", high=10)
    return Panel((speed, yaw, "baseline"), printed, picture, printed_in_words, observed="printed")


@sentence
def printed_in_words(result):
    """The seller prints {printed:.1f W} of air power, tested at {air_speed:.1f km/h} and {yaw:.0f deg} of yaw against
    {against}. Tobin, with a usual helmet, without wind and at {own_speed:.1f km/h}, saves {own:.1f W} of air power.
    The seller's number is {times:.1f} times his."""
    worse = f"an old one, worse than usual by {result.baseline:.3f} m²"
    return dict(against=worse if result.baseline else "a usual helmet", times=result.printed / result.own)


# -- as watts at one speed, or as speed at the same watts -----------------------------------------------


@model
def cut(drag_area_cut, power, gradient=0.0):
    """Tobin before and after a cut of his drag area, at one power and along all speeds.

    All SI; powers are at the crank.
    """
    before, road = TOBIN.rider, Conditions(gradient=gradient)
    after = _less_drag(before, drag_area_cut)
    speed = steady_speed(before, road, power)
    return dict(
        speed_before=speed,
        speed_after=steady_speed(after, road, power),
        watts_saved=watts_saved(before, after, road, speed),
        powers_before=power_balance(before, road, SPEEDS).total,
        powers_after=power_balance(after, road, SPEEDS).total,
    )


def two_ways():
    """The panel: turn the cut, the power and the slope. Reference: Tobin, 20 %, flat.

    Both steps are large enough to see; the lesson asks first what 10 % brings.
    """
    easier, faster = bare(QUANTITY["slope"], linewidth=4, linestyle="-"), bare(_TOTAL, linewidth=4)
    picture = plot(
        "Power against speed before and after a cut of the drag area",
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Power at the crank, W", "W", 0, 480),
        Line(SPEEDS, "powers_before", bare(SET_UP["A"]), "before", sides=("left", "above left")),
        Line(SPEEDS, "powers_after", bare(SET_UP["C"]), "after", trace=True, sides=("right", "below right")),
        Line("speed_before", lambda r: (r.power, r.power - r.watts_saved), easier,
             lambda r: f"same speed: {signed(-r.watts_saved)} W", sides=("below right", "right", "below")),
        Line(lambda r: (r.speed_before, r.speed_after), "power", faster,
             lambda r: f"same watts: {signed(units.to_kmh(r.speed_after - r.speed_before), 1)} km/h",
             sides=("above left", "above", "above right", "below right")),
        Line("speed_before", "power", SET_UP["A"]),
    )  # fmt: skip
    knobs = knob("drag_area_cut", reference=20), "power", knob("gradient", low=0)
    return Panel(knobs, cut, picture, cut_in_words)


@sentence
def cut_in_words(result):
    """At {power:.0f W} Tobin rides {speed_before:.1f km/h}; with {drag_area_cut:.0f %} less drag area
    {speed_after:.1f km/h}, {gain:.1f %} faster. Or he keeps his speed and saves {watts_saved:.1f W} at the crank,
    {share:.1f %} of his power."""
    return dict(gain=result.speed_after / result.speed_before - 1, share=result.watts_saved / result.power)


# -- in which sense a saving grows with speed -----------------------------------------------------------

FASTEST = units.kmh(160)  # further right than the picture goes


@model(power=np.geomspace(2, 2500, 120))
def savings(power, gradient=0.0, wind_speed=0.0):
    """Tobin's savings by a 5 % cut of his drag area; a wind below 0 comes from behind. SI, watts at the crank."""
    before, after = TOBIN.rider, _less_drag(TOBIN.rider, CUT)
    behind = np.pi if wind_speed < 0 else 0.0
    road = Conditions(gradient=gradient, wind_speed=abs(wind_speed), wind_angle=behind)
    speed, faster = (steady_speed(rider, road, power) for rider in (before, after))
    slow = power_balance(before, road, 1.0)  # at 1 m/s the power is the force
    # Where air takes a quarter of the power, in still air: 3 rho CdA v^2 / 2 is the rest.
    peak_speed = np.sqrt(max(slow.rolling + slow.slope, 0) / (1.5 * road.air_density * before.drag_area))
    return dict(
        air_share=power_balance(before, road, speed).air_share,
        speed=speed,
        watts=watts_saved(before, after, road, np.minimum(speed, FASTEST)),
        per_hour=units.hours(1) * (1 - speed / faster),
        per_distance=DISTANCE / speed - DISTANCE / faster,
        pushed=speed < -wind_speed,
        peak_speed=peak_speed,
    )


def savings_by_speed():
    """The panel: turn power, slope and wind. Reference: Tobin on the flat in still air."""
    # In wind the quarter is not where the peak is.
    quarter = Line(lambda r: None if r.wind_speed else r.peak_speed, None, GUIDE, "air takes ¼ of the power")
    picture = Curves(
        "Watts, seconds an hour and seconds over 10 km saved by the same cut, against speed",
        _saved("watts", "Watts saved at the crank, at the same speed", "W", 60, "{watts:.1f W}"),
        _saved(
            "per_hour", "Seconds saved in each hour, at the same power", "s", 80, "{per_hour:.0f s}",
            Line(None, units.hours(1) * CUT / 3, GUIDE, "a third of the cut"),
        ),
        _saved(
            "per_distance", "Seconds saved over 10 km, at the same power", "s", 80, "{per_distance:.0f s}",
            quarter, below="Steady speed of the rider, km/h", guesses=_guessed,
        ),
        height=4.1, hspace=0.62, top=0.915, bottom=0.13,
    )  # fmt: skip
    wind = knob("wind_speed", label="Headwind (tailwind below 0)", low=-6, high=6)
    knobs = "power", knob("gradient", low=0), wind
    return Panel(knobs, savings, picture, savings_in_words, observed="per_distance")


def _saved(field, title, unit, top, reading, *lines, below="", guesses=None):
    """A plane of what is saved in one sense, over speed."""
    return Plane(
        Axis(below, "km/h", 0, 60, None if below else dict.fromkeys(range(0, 61, 10), "")),
        Axis(title, unit, -top / 4, top, (0, top // 2, top)),
        Line(None, 0.0, ZERO), *lines, *curve("speed", field, _AIR, reading), guesses=guesses,
    )


def _guessed(guess, result):
    """Where a prediction is marked, while slope and wind are those it is for."""
    if (guess.at["gradient"], guess.at["wind_speed"]) != (result.gradient, result.wind_speed):
        return None
    return np.interp(guess.at["power"], result.along.power, result.along.speed), guess.value


@sentence
def savings_in_words(result):
    """At {power:.0f W} {slope}{air} Tobin rides {speed:.1f km/h}{where}. {cut:.0f %} less drag area {does}
    {gained:.1f} W at the crank, or {hourly:.0f} s in each hour, or {over:.1f} s over 10 km."""
    wind = f" in a {'tail' if result.wind_speed < 0 else 'head'}wind of {abs(result.wind_speed):.1f} m/s"
    air, slope = wind if result.wind_speed else "", on_a_slope(result.gradient, "on")
    where, does, sign = f"; air takes {units.to_percent(result.air_share):.0f} % of the power", "saves", 1
    if result.pushed:
        where, does, sign = ", slower than the wind, which pushes him", "costs", -1
    saved = dict(gained=sign * result.watts, hourly=sign * result.per_hour, over=sign * result.per_distance)
    return dict(slope=slope, air=air, where=where, cut=CUT, does=does) | saved


# -- a slow and a fast rider, from the flat to a climb --------------------------------------------------

_SLOPES = units.percent(np.linspace(0, 8, 81))


@model
def two_riders(gradient):
    """Rosalind and Imke over 10 km at steady speed in still air, before and after the cut.

    Seconds saved by each of them, each at their own power: here, and at all gradients;
    `even`: the gradient at which both save the same. SI.
    """
    road = Conditions(gradient=np.append(_SLOPES, gradient))
    both = (time_saved(m.rider, _less_drag(m.rider, CUT), road, m.power, DISTANCE) for m in (ROSALIND, IMKE))
    (*slow, here), (*fast, there) = both
    return dict(here=(here, there), seconds=(slow, fast), even=crossing(_SLOPES, np.subtract(slow, fast)))


def crossing(x, y):
    """Where y goes through 0, by straight line between two of its points."""
    through = np.flatnonzero((y[:-1] > 0) & (y[1:] <= 0))
    return next((np.interp(0, -y[i : i + 2], x[i : i + 2]) for i in through), None)


def who_saves_more():
    """The panel: turn the slope; 5 % less drag area for both. Reference: on the flat."""
    picture = plot(
        "Seconds saved over 10 km by the same cut of the drag area, for two riders, against the gradient",
        Axis("Gradient, %", "%", 0, 8),
        Axis("Seconds saved over 10 km, at their own power", "s", 0, 25),
        Line("even", None, GUIDE, "even at {even:.1f %}", sides=("right", "left")),
        *_rider(0, ROSALIND, SET_UP["B"]),
        *_rider(1, IMKE, SET_UP["C"]),
    )
    return Panel([knob("gradient", low=0, high=8)], two_riders, picture, riders_in_words)


def _rider(number, member, look):
    """The curve of a rider, and the point: its seconds above it where the rider saves more, else below."""

    def sides(result):
        there = "above" if result.here[number] >= result.here[1 - number] else "below"
        return f"{there} right", f"{there} left"

    name, reading = f"{member.name}, {member.power:.0f} W", f"{{here[{number}]:.0f s}}"
    return (
        Line(_SLOPES, lambda r: r.seconds[number], bare(look), name),
        Line("gradient", lambda r: r.here[number], look, reading, sides=sides),
    )


@sentence
def riders_in_words(result):
    """{slope}, {cut:.0f %} less drag area saves Rosalind {here[0]:.1f s} over 10 km and Imke {here[1]:.1f s}:
    {more.name} saves more than {less.name}. They are even at {even:.1f %}."""
    slow, fast = result.here
    more, less = (ROSALIND, IMKE) if slow >= fast else (IMKE, ROSALIND)
    return dict(slope=capital(on_a_slope(result.gradient)), cut=CUT, more=more, less=less)


# -- less drag area or less mass ------------------------------------------------------------------------

_STEEPER = units.percent(np.linspace(0, 10, 51))


@model
def choice(drag_area_saved, mass_saved, power):
    """Tobin with less drag area, or with less mass, at the same power.

    Seconds by each, over the gradients; `balance`, where they are the same, or None. SI.
    """
    rider, roads = TOBIN.rider, Conditions(gradient=_STEEPER)
    low = replace(rider, drag_area=rider.drag_area - drag_area_saved)
    light = replace(rider, all_up_mass=rider.all_up_mass - mass_saved)
    by_drag, by_mass = (time_saved(rider, after, roads, power, DISTANCE) for after in (low, light))
    return dict(by_drag=by_drag, by_mass=by_mass, balance=crossing(_STEEPER, by_drag - by_mass))


def drag_or_mass():
    """The panel: turn the drag area, the mass and the power. Reference: Tobin, 0.010 m2, 1 kg."""
    picture = plot(
        "Seconds saved over 10 km by less drag area and by less mass, against the gradient",
        Axis("Gradient, %", "%", 0, 10),
        Axis("Seconds saved over 10 km, at the same power", "s", 0, 150),
        Line("balance", None, GUIDE, "even at {balance:.1f %}", sides=("right", "left")),
        Line(_STEEPER, "by_drag", bare(_AIR), "less drag area", trace=True),
        Line(_STEEPER, "by_mass", bare(QUANTITY["slope"]), "less mass", trace=True),
    )
    knobs = "drag_area_saved", "mass_saved", knob("power", low=90, high=400)
    return Panel(knobs, choice, picture, choice_in_words)


@sentence
def choice_in_words(result):
    """At {power:.0f W} on the flat {drag_area_saved:.3f m2} less drag area saves Tobin {drag:.0f} s over 10 km,
    {mass_saved:.1f kg} less {mass:.1f} s. {where}"""
    first = "drag area" if result.by_drag[-1] > result.by_mass[-1] else "mass"
    where = f"From 0 to 10 % the {first} saves more all the way."
    if result.balance is not None:
        where = f"They are even at {units.to_percent(result.balance):.1f} %; steeper, mass leads."
    return dict(drag=result.by_drag[0], mass=result.by_mass[0], where=where)


# -- a lower position costs power: where is the line of no gain? ----------------------------------------

FURTHER = units.kilometres(40)


@model(drag_area_cut=units.percent(np.linspace(0, 20, 41)))
def position(drag_area_cut, power_lost, gradient=0.0):
    """Tobin before and after, over 40 km: less drag area, less power.

    A position on the map, and what power its cut is worth. SI, fractions.
    """
    before, road = TOBIN.rider, Conditions(gradient=gradient)
    was = steady_speed(before, road, TOBIN.power)
    now = steady_speed(_less_drag(before, drag_area_cut), road, TOBIN.power * (1 - power_lost))
    share = power_balance(before, road, was).air_share
    return dict(air_share=share, worth=power_worth(share, drag_area_cut), seconds=FURTHER / was - FURTHER / now)


def position_map():
    """The panel: turn the cut, the power lost and the slope. Reference: Tobin, 8 %, flat."""
    side = {"color": QUIET_INK, "linestyle": "None", "marker": "None"}
    dashed = bare(_TOTAL, color=GREY, linewidth=1.2, linestyle="--")
    picture = plot(
        "Drag area cut against power lost: above the line the position makes Tobin faster",
        Axis("Power lost holding the position, %", "%", 0, 20, range(0, 21, 5)),
        Axis("Drag area cut, %", "%", 0, 20, range(0, 21, 5)),
        Line("along.worth", "along.drag_area_cut", bare(_TOTAL), "no gain", trace=True,
             sides=("above left", "right", "left")),
        Line(lambda r: (r.power_lost, r.worth), "drag_area_cut", dashed),
        Line("power_lost", "drag_area_cut", {**_AIR, "markersize": 10, "clip_on": False},
             lambda r: f"{signed(r.seconds)} s"),
        Line("worth", "drag_area_cut", {**BEFORE, "linestyle": "None"}, _worth),
        Line(units.percent(0.2), units.percent(18.5), side, "faster", sides=("right",)),
        Line(units.percent(19.8), units.percent(1.5), side, "slower", sides=("left",)),
        guesses=lambda guess, result: (guess.value, guess.at["drag_area_cut"]),
    )  # fmt: skip
    knobs = knob("drag_area_cut", reference=8, high=20), "power_lost", knob("gradient", low=0, high=8)
    return Panel(knobs, position, picture, position_in_words, observed="worth")


def _worth(result):
    """What the cut is worth, where there is room between the point and the line."""
    if abs(result.power_lost - result.worth) < 0.003:
        return ""
    return f"worth {units.to_percent(result.worth):.1f} %\nof the power"


@sentence
def position_in_words(result):
    """{slope} air takes {air_share:.1f %} of Tobin's power at the wheel, so a cut of {drag_area_cut:.0f %} is worth
    {worth:.1f %} of his power. {cost}, he {gained} {time:.0f} s over 40 km."""
    lost, slope = units.to_percent(result.power_lost), capital(on_a_slope(result.gradient))
    cost = f"If he loses {lost:.1f} % of it" if lost >= 0.05 else "If it costs him no power"
    gained = "saves" if result.seconds >= 0 else "loses"
    return dict(slope=slope, cost=cost, gained=gained, time=abs(result.seconds))
