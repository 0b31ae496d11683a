"""Panels of lesson 4, of a tunnel's sheet: a forgotten tare, drag areas over yaw, watts saved over speed."""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.measurement.tunnel import compare
from dragwork.physics.drag import area_from_force, drag_force, dynamic_pressure
from dragwork.teaching.figures import set_up_curves
from dragwork.teaching.figures.rows import Dots
from dragwork.teaching.figures.style import WIDTH
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.sheet_pictures import areas_by_yaw
from dragwork.teaching.telling import sentence

AIR_DENSITY = 1.2  # kg/m3
STAND_SPEED = units.kmh(45)  # m/s, at which the knob gives the stand's force
LIMITS = (0.24, 0.48)  # m2


def forgotten_tare(sheet):
    """The panel for a sheet: turn the force of the stand, the balance's zero and the tunnel speed.

    The two are different slips. The force of a stand grows with the pressure of the air, as the rider's
    does; what a balance shows without wind is the same at every speed.
    """
    areas = areas_by_yaw(sheet, sheet.set_ups)
    ahead = areas.yaw == 0
    of_ahead = {part: getattr(areas, part)[:, ahead] for part in ("drag_area", "low", "high")}
    plain = replace(areas, yaw=areas.yaw[ahead], **of_ahead)

    @model
    def with_tare(tare, zero, air_speed):
        """Drag areas of the sheet at yaw 0, with the stand's force and the balance's zero left in. SI."""
        of_stand = float(area_from_force(tare, AIR_DENSITY, STAND_SPEED))
        of_zero = float(area_from_force(zero, AIR_DENSITY, air_speed))
        invented = of_stand + of_zero
        moved = {part: values + invented for part, values in of_ahead.items()}
        return dict(vars(plain) | moved, of_stand=of_stand, of_zero=of_zero, invented=invented)

    tare = knob("tare", label="Stand left in, at 45 km/h")
    knobs = tare, knob("zero"), knob("air_speed", low=36, reference=45, high=60)
    picture = Dots(plain, limits=LIMITS, width=WIDTH, start=plain.drag_area[0, 0])
    return Panel(knobs, with_tare, picture, tare_in_words, observed="invented")


@sentence
def tare_in_words(result):
    """At {air_speed:.0f km/h} the dynamic pressure is {q:.0f} Pa. {stand} {zeroed} {nothing} To {set_ups[0]} that is
    {share:.0f %}."""
    q = dynamic_pressure(AIR_DENSITY, result.air_speed)
    nothing = "" if result.invented else "Nothing is left in the reading, so nothing is added."
    share = result.invented / (result.drag_area[0, 0] - result.invented)
    return dict(q=q, stand=_stand_in_words(result), zeroed=_zero_in_words(result), nothing=nothing, share=share)


@sentence
def _stand_in_words(result):
    """The stand left in the reading is {force:.1f} N there. It adds {of_stand:.3f} m² to every drag area, at any
    speed."""
    return dict(force=drag_force(result.of_stand, AIR_DENSITY, result.air_speed)) if result.tare else None


@sentence
def _zero_in_words(result):
    """The {zero:.1f} N that the balance shows without wind add {of_zero:.3f} m² to every drag area at this speed."""
    return {} if result.zero else None


# -- drag areas over yaw ---------------------------------------------------------------------------------


def yaw_curves(sheet):
    """The panel for a sheet: turn the yaw and the air speed. Reference: yaw 0 at 45 km/h."""
    curves = {name: sheet.yaw_curve(name) for name in sheet.set_ups}
    areas = areas_by_yaw(sheet, sheet.set_ups)

    @model
    def at_yaw(yaw, air_speed):
        """Drag areas [m2] and balance forces [N] by set-up; .ahead: the drag areas at yaw 0."""
        here = {name: float(curve(yaw)) for name, curve in curves.items()}
        force = {name: float(drag_force(a, AIR_DENSITY, air_speed)) for name, a in here.items()}
        ahead = {name: float(curve(0.0)) for name, curve in curves.items()}
        return dict(drag_area=here, force=force, ahead=ahead)

    low, high = (float(angle) for angle in units.to_deg(areas.yaw[[0, -1]]))
    knobs = knob("yaw", low=low, high=high), knob("air_speed", reference=45)
    return Panel(knobs, at_yaw, set_up_curves.yaw_curves(areas), at_yaw_in_words)


@sentence
def at_yaw_in_words(result):
    """At {yaw:.0f deg} yaw and {air_speed:.0f km/h} of air: {each}. From {first} to {last} it is {gap:.3f m2} here, and
    {straight:.3f m2} with the air from straight ahead."""
    each = (f"{name} {area:.3f} m² ({result.force[name]:.1f} N)" for name, area in result.drag_area.items())
    first, *_, last = result.drag_area
    gap, straight = (areas[first] - areas[last] for areas in (result.drag_area, result.ahead))
    return dict(each=", ".join(each), first=first, last=last, gap=gap, straight=straight)


# -- watts saved over speed ------------------------------------------------------------------------------


def tunnel_savings(sheet):
    """The panel for a sheet: turn the speed. Reference: 36 km/h; the first set-up is the baseline.

    Predictions are the watts that the next set-up saves.
    """
    baseline, *others = sheet.set_ups
    found = {name: compare(sheet, baseline, name) for name in others}
    speed = knob("ground_speed", low=15, high=60)
    speeds = units.kmh(np.linspace(speed.low, speed.high, 181))
    used = sheet.rows.speed_setting[sheet.rows.used]

    @model(ground_speed=speeds)
    def saved(ground_speed):
        """Watts saved at the wheel in still air, by set-up, with the ends of their ranges.

        .measured: slowest and fastest air of the sheet [m/s].
        """
        watts_a_square_metre = dynamic_pressure(AIR_DENSITY, ground_speed) * ground_speed
        watts, low, high = (
            {name: getattr(one, part) * watts_a_square_metre for name, one in found.items()}
            for part in ("difference", "low", "high")
        )
        measured = float(used.min()), float(used.max())
        return dict(baseline=baseline, watts=watts, low=low, high=high, measured=measured)

    picture = set_up_curves.tunnel_savings(saved(speed.at(0)))
    return Panel((speed,), saved, picture, saved_in_words, observed=lambda result: result.watts[others[0]])


@sentence
def saved_in_words(result):
    """At {ground_speed:.1f km/h} in still air, saved at the wheel against {baseline}, with 95 % ranges: {each}. The
    tunnel measured {where}."""
    each = (f"{name} {w:.1f} W ({result.low[name]:.1f} to {result.high[name]:.1f} W)" for name, w in result.watts.items())
    slowest, fastest = result.measured
    ends = f"{units.to_kmh(slowest):.0f} to {units.to_kmh(fastest):.0f} km/h"
    where = f"from {ends}; here its drag areas are carried beyond that"
    if 0.99 * slowest <= result.ground_speed <= 1.01 * fastest:
        where = f"at speeds like this, {ends}"
    return dict(each="; ".join(each), where=where)
