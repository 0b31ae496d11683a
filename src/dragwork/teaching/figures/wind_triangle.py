"""The wind triangle, seen from above and to scale, with two other riders in the same wind."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import bare

_OWN, _WIND, _FELT = style.SET_UP["A"], style.SET_UP["B"], style.QUANTITY["air"]
_OTHER = {"color": style.GREY, "linestyle": "--", "linewidth": 1.4, "marker": "o", "markersize": 6}
_ROAD = {"color": style.GREY, "linestyle": "-", "linewidth": 0.8, "marker": "None"}
_LEFT, _RIGHT = -18.5, 13.5  # m/s of the drawing, its ends
_ARC = 3.2  # m/s of the drawing, radius of the angle's arc
_SEEN = -13.0, 8.5  # m/s of the drawing: words further out would leave it
_HIGHER, _LOWER = 1.82, 2.27  # m/s of the drawing: words as far off are clear of others


def triangle_picture():
    """Above, the triangle; below, the yaw of every speed in the same wind.

    Takes what `panels.wind.triangle` finds, all SI. The wind's arrow ends where the arrow of the
    rider's own speed begins; riders stand on the road to the left of that point, as far as they
    are fast. So the air that each of them feels comes from the far end of the same arrow.
    """
    return Curves(
        "The wind triangle, and the yaw at each speed",
        Plane(
            Axis("", "m/s", _LEFT, _RIGHT, ()),
            Axis("", "m/s", -11.8, 6.0, ()),
            *_other(0),
            *_other(1),
            Line(lambda r: (0, -r.ground_speed), 0.0, _arrow(_OWN)),
            Line(lambda r: (r.tip[0], 0), lambda r: (r.tip[1], 0), _arrow(_WIND)),
            Line(lambda r: (r.tip[0], -r.ground_speed), lambda r: (r.tip[1], 0), _arrow(_FELT)),
            Line(lambda r: _ARC * np.cos(np.linspace(0, r.yaw, 40)) - r.ground_speed,
                 lambda r: -_ARC * np.sin(np.linspace(0, r.yaw, 40)), bare(_FELT, linewidth=1.8)),
            Line(lambda r: -r.ground_speed / 2, 0.0, bare(_OWN, linewidth=0),
                 "own speed {ground_speed:.1f m/s}", sides="above"),
            Line(lambda r: r.tip[0] / 2, lambda r: r.tip[1] / 2, bare(_WIND, linewidth=0),
                 "wind {wind_speed:.1f m/s}", sides=lambda r: "above right" if r.tip[0] > 0 else "below right"),
            # Where its arrow begins: there nothing lies below it but, near the road, the wind's name.
            Line(lambda r: np.clip(r.tip[0], *_SEEN), lambda r: r.tip[1] - _LOWER * (r.tip[1] > -2),
                 bare(_FELT, linewidth=0),
                 lambda r: f"apparent wind {r.air_speed:.1f} m/s{_degrees(r.yaw, ', yaw ')}", sides="below"),
            still=_road,
            share=3.2,
        ),
        Plane(
            Axis("Speed on the road, km/h", "km/h", 0, 60),
            Axis("Yaw in this wind, degrees", "deg", 0, 180, range(0, 181, 45)),
            Line("along.ground_speed", "along.yaw", bare(_FELT), trace=True),
            Line("other_speeds", "other_yaws", {**_OTHER, "linestyle": "None"}),
            Line("ground_speed", "yaw", _FELT, lambda r: _degrees(r.yaw),
                 sides=("above right", "above left", "below right")),
            guesses=at("ground_speed"),
            share=1.3,
        ),
        told=False, height=4.1, left=0.08, right=0.97, top=1.0, bottom=0.135, hspace=0.32,
    )  # fmt: skip


def _road(plan):
    """The road, and to which scale it is drawn."""
    plan.set_aspect("equal")
    plan.grid(False)
    for side in plan.spines.values():
        side.set_visible(False)
    plan.plot([_LEFT, _RIGHT], [0, 0], **_ROAD)
    plan.plot([-18.2, -13.2], [-11, -11], color=style.BLACK, linewidth=1.8, marker="|")
    style.label_line(plan, "5 m/s", _OWN, -15.7, -11, "above")
    style.label_line(plan, "to scale, from above", {"color": style.GREY}, _RIGHT, 6, "below left")


def _arrow(look):
    """The look of an arrow."""
    line = {part: look[part] for part in ("color", "linewidth", "linestyle")}
    return {"arrowstyle": "-|>", "mutation_scale": 16, "shrinkA": 0, "shrinkB": 0, **line}


def _other(number):
    """Another rider: a line from where the air comes from, and above its end speed and yaw."""

    def words(result):
        yaw = _degrees(result.other_yaws[number]) or "no air"
        return f"{units.to_kmh(result.other_speeds[number]):.0f} km/h\n{yaw}"

    name = bare(_OTHER, linewidth=0)
    return (
        Line(lambda r: (r.tip[0], -r.other_speeds[number]), lambda r: (r.tip[1], 0), _OTHER),
        Line(lambda r: -r.other_speeds[number], _HIGHER, name, words, sides="above"),
    )


def _degrees(yaw, before=""):
    """A yaw in words, after others; nothing where no air moves."""
    return "" if np.isnan(yaw) else f"{before}{units.to_deg(yaw):.0f}°"
