"""The wind triangle, seen from above and to scale, with two other riders in the same wind."""

import numpy as np
from matplotlib.patches import FancyArrowPatch

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.curves import Axis, Drawn, Line, Plane, at
from dragwork.teaching.figures.picture import Picture

_OWN, _WIND, _FELT = style.SET_UP["A"], style.SET_UP["B"], style.QUANTITY["air"]
_OTHER = {"color": style.GREY, "linestyle": "--", "linewidth": 1.4, "marker": "o", "markersize": 6}
_ROAD = {"color": style.GREY, "linestyle": "-", "linewidth": 0.8, "marker": "None"}
_ARC = 3.2  # m/s of the drawing, radius of the angle's arc
_LINE = "color", "linewidth", "linestyle"  # of a look, what an arrow has too
_ARROW = {"arrowstyle": "-|>", "mutation_scale": 16, "shrinkA": 0, "shrinkB": 0}
_SEEN = -13.0, 8.5  # m/s of the drawing: words further out would leave it


class WindTriangle(Picture):
    """Above, the triangle; below, the yaw of every speed in the same wind.

    Takes what `panels.wind.triangle` finds, all SI. The wind's arrow ends where the arrow of the
    rider's own speed begins; riders stand on the road to the left of that point, as far as they
    are fast. So the air that each of them feels comes from the far end of the same arrow.
    """

    def __init__(self):
        figure, (plan, yaws) = style.new_figure(height=4.1, nrows=2, height_ratios=(3.2, 1.3))
        figure.subplots_adjust(left=0.08, right=0.97, top=1.0, bottom=0.135, hspace=0.32)
        plan.set(xlim=(-18.5, 13.5), ylim=(-11.8, 6.0), aspect="equal", xticks=[], yticks=[])
        plan.grid(False)
        for side in plan.spines.values():
            side.set_visible(False)
        plan.plot([-18.5, 13.5], [0, 0], **_ROAD)
        plan.plot([-18.2, -13.2], [-11, -11], color=style.BLACK, linewidth=1.8, marker="|")
        style.label_line(plan, "5 m/s", _OWN, -15.7, -11, "above")
        style.label_line(plan, "to scale, from above", {"color": style.GREY}, 13.5, 6, "below left")
        self.own, self.wind, self.felt = (
            plan.add_patch(FancyArrowPatch((0, 0), (1, 0), **_ARROW, **{part: look[part] for part in _LINE}))
            for look in (_OWN, _WIND, _FELT)
        )
        (self.arc,) = plan.plot([], [], **style.bare(_FELT, linewidth=1.8))
        self.others = [plan.plot([], [], **_OTHER)[0] for _ in range(2)]
        self.other_names = [style.label_line(plan, "", _OTHER, side="above") for _ in range(2)]
        for name in self.other_names:
            name.set_y(24)  # points: clear of the words on the rider's own arrow
        self.names = [
            style.label_line(plan, "", look, side=side)
            for look, side in ((_OWN, "above"), (_WIND, "above right"), (_FELT, "below"))
        ]
        across = Axis("Speed on the road, km/h", "km/h", 0, 60)
        up = Axis("Yaw in this wind, degrees", "deg", 0, 180, range(0, 181, 45))
        lines = (
            Line("along.ground_speed", "along.yaw", style.bare(_FELT), trace=True),
            Line("other_speeds", "other_yaws", {**_OTHER, "linestyle": "None"}),
            Line("ground_speed", "yaw", _FELT, lambda r: _degrees(r.yaw), sides=("above right", "above left", "below right")),
        )
        self.planes = [Drawn(Plane(across, up, *lines, guesses=at("ground_speed")), yaws)]
        super().__init__(
            "The wind triangle, and the yaw at each speed", figure,
            [*self.others, self.own, self.wind, self.felt, self.arc, *self.other_names, *self.names, *self.planes[0].artists],
        )  # fmt: skip

    def update(self, result, before=None, predictions=()):
        v, yaw, (own, wind, felt) = result.ground_speed, result.yaw, self.names
        tip = np.array([result.along_road - v, -result.across])  # where the wind's arrow begins
        rider, corner = np.array([-v, 0.0]), np.zeros(2)
        self.own.set_positions(corner, rider)
        self.wind.set_positions(tip, corner)
        self.felt.set_positions(tip, rider)
        angles = np.linspace(0, yaw, 40)
        self.arc.set_data(-v + _ARC * np.cos(angles), -_ARC * np.sin(angles))
        own.xy = (-v / 2, 0)
        own.set_text(f"own speed {v:.1f} m/s")
        style.put(wind, *(tip / 2), "above right" if tip[0] > 0 else "below right")
        wind.set_text(f"wind {result.wind_speed:.1f} m/s")
        # Where its arrow begins: there nothing lies below it but, near the road, the wind's name.
        felt.xy = (np.clip(tip[0], *_SEEN), tip[1])
        felt.set_y(-28 if tip[1] > -2 else -8)
        felt.set_text(f"apparent wind {result.air_speed:.1f} m/s{_degrees(yaw, ', yaw ')}")
        for line, name, speed, angle in zip(self.others, self.other_names, result.other_speeds, result.other_yaws):
            line.set_data([tip[0], -speed], [tip[1], 0])
            name.xy = (-speed, 0)
            name.set_text(f"{units.to_kmh(speed):.0f} km/h\n{_degrees(angle) or 'no air'}")
        self.planes[0].update(result, before, predictions)


def _degrees(yaw, before=""):
    """A yaw in words, after others; nothing where no air moves."""
    return "" if np.isnan(yaw) else f"{before}{units.to_deg(yaw):.0f}°"
