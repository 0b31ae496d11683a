"""Panel: the gap between two set-ups in a wind from any side, in watts at one's own speed."""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.wind import all_directions, apparent_wind
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.wheels import WHEELS
from dragwork.teaching.figures.curves import GUIDE, ZERO, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import BEFORE, QUANTITY, SET_UP, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.wind_triangle import yaw_of

ANGLES = units.deg(np.arange(0, 181, 2.0))


def gap_between(curves):
    """The model for two set-ups: a function of ground speed, wind speed and wind angle."""
    riders = [replace(TOBIN.rider, drag_area=curve) for curve in curves.values()]

    def saved(ground_speed, wind_speed, angles):
        wind = Conditions(wind_speed=wind_speed, wind_angle=angles)
        first, second = (power_balance(rider, wind, ground_speed) for rider in riders)
        return first.air - second.air, first.beyond_yaw | second.beyond_yaw

    @model
    def gap(ground_speed, wind_speed, wind_angle):
        """Watts of air that the second set-up saves at the wheel, and the drag areas behind; SI.

        `drag_areas` at this yaw; `saved_at` and `beyond_at` at each of ANGLES of the wind;
        `mean_saved` over all directions alike, `share_beyond` of which lie beyond the measured yaw.
        """
        yaw = yaw_of(apparent_wind(ground_speed, wind_speed, wind_angle))
        here, beyond = saved(ground_speed, wind_speed, wind_angle)
        everywhere, unmeasured = saved(ground_speed, wind_speed, all_directions())
        saved_at, beyond_at = saved(ground_speed, wind_speed, ANGLES)
        areas = tuple(float(curve.extended(yaw).drag_area) for curve in curves.values()) if np.isfinite(yaw) else ()
        return dict(
            names=tuple(curves),
            yaw=yaw,
            beyond=bool(beyond) and bool(np.isfinite(yaw)),
            drag_areas=areas,
            saved=here,
            calm_saved=saved(ground_speed, 0.0, 0.0)[0],
            mean_saved=everywhere.mean(),
            share_beyond=unmeasured.mean(),
            saved_at=saved_at,
            beyond_at=beyond_at,
        )

    return gap


def _measured(values):
    """Watts at the angles whose yaw was measured."""
    return np.where(values.beyond_at, np.nan, values.saved_at)


def _picture(curves, watts=(-2, 30)):
    """Drag area over yaw above, watts over the wind's angle below; the lower of a claim comes second.

    watts: ends of the lower axis.
    """
    every = np.concatenate([curve.drag_area for curve in curves.values()])
    low, high = every.min() - 0.25 * np.ptp(every), every.max() + 0.25 * np.ptp(every)
    last = next(iter(curves.values())).yaw[-1]
    areas = [Line(last, None, GUIDE, "not measured beyond here", sides=("right",))]
    areas += [Line("yaw", None, bare(BEFORE, linestyle="-", linewidth=1.2))]
    for row, ((name, curve), look) in enumerate(zip(curves.items(), (SET_UP["A"], SET_UP["C"]))):
        ring = {**look, "marker": "o", "markersize": 15, "fillstyle": "none", "linestyle": "None"}
        areas += [
            Line(lambda r, curve=curve: curve.yaw, lambda r, curve=curve: curve.drag_area, look, name),
            Line("yaw", lambda r, row=row: None if r.beyond or not r.drag_areas else r.drag_areas[row], ring),
        ]
    yaw_reading = Line(
        "yaw", high, bare(BEFORE, linewidth=0), lambda r: f"yaw {units.to_deg(r.yaw):.0f}°",
        sides=("right", "left", "below right", "below left"),
    )  # fmt: skip
    return Curves(
        "Drag area of two set-ups against yaw, and the watts between them against wind angle",
        Plane(
            Axis("Yaw, degrees", "deg", 0, 40), Axis("Drag area, m²", "m2", low, high),
            (*areas, yaw_reading),
        ),
        Plane(
            Axis("Where the wind comes from: 0° ahead, 180° behind", "deg", 0, 180, range(0, 181, 30)),
            Axis(f"Watts of air saved by {list(curves)[-1]}, at the wheel", "W", *watts),
            (
                Line(None, 0.0, ZERO),
                Line(None, "mean_saved", GUIDE, lambda r: f"mean {r.mean_saved:.1f} W"),
                Line(ANGLES, "saved_at", bare(QUANTITY["air"], linestyle=":"), trace=True),
                Line(ANGLES, _measured, bare(QUANTITY["air"])),
                Line("wind_angle", "saved", QUANTITY["air"], lambda r: f"{r.saved:.1f} W"),
            ),
            guesses=at("wind_angle"),
        ),
        height=4.1, left=0.11, hspace=0.75, top=0.915, bottom=0.13,
    )  # fmt: skip


def in_words(result):
    """The gap here, in still air, and averaged over all directions."""
    first, second = result.names
    yaw = "no air moves past the rider"
    saving = f"{second} save {result.saved:.1f} W of air power at the wheel"
    if result.drag_areas:
        yaw = f"the yaw is {units.to_deg(result.yaw):.0f}°"
        b, a = (f"{area:.4f} m²" for area in result.drag_areas)
        if result.beyond:
            yaw, saving = f"{yaw}, beyond the measured angles", f"extrapolated, {saving}"
        else:
            saving = f"{second} have {a} there against {b} for {first}. They {saving.removeprefix(second)}"
    own = f"At {units.to_kmh(result.ground_speed):.1f} km/h in"
    if not result.wind_speed:
        return f"{own} still air {yaw}: {saving}."
    beyond = units.to_percent(result.share_beyond)
    unmeasured = f" For {beyond:.0f} % of the directions the yaw was not measured." if beyond else ""
    return (
        f"{own} {result.wind_speed:.1f} m/s of wind from {units.to_deg(result.wind_angle):.0f}° {yaw}: {saving}. "
        f"In still air they save {result.calm_saved:.1f} W; averaged over all directions of this wind, "
        f"{result.mean_saved:.1f} W.{unmeasured}"
    )


def crosswind_gap():
    """The panel: turn your speed, the wind and its angle; two pairs of wheels, invented."""
    wind = knob("wind_speed", reference=3, high=6)
    knobs = knob("ground_speed", high=50), wind, knob("wind_angle", reference=60)
    return Panel(knobs, gap_between(WHEELS), _picture(WHEELS), in_words, observed="saved")
