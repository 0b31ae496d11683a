"""A curve for each set-up of a sheet, with its range: drag area over yaw, and watts saved over speed."""

import numpy as np

from dragwork import units
from dragwork.teaching.figures import style
from dragwork.teaching.figures.curves import Axis, Line, at, plot, ranges
from dragwork.teaching.figures.rows import set_up_looks
from dragwork.teaching.figures.style import bare


def yaw_curves(areas):
    """The picture of lines over yaw, with a ring on each at the yaw looked at.

    It takes a result with `.yaw` [rad], and by set-up `.drag_area` [m2] and `.force` [N].

    Parameters
    ----------
    areas : rows.DragAreas
        Of the sheet: all set-ups at all measured angles.
    """
    first, last = units.to_deg(areas.yaw[[0, -1]])
    curves, rings, ends = [], [], {}
    for i, (name, look) in enumerate(set_up_looks(areas.set_ups).items()):
        bars = bare(look, linestyle="-", linewidth=1.5, marker="_", markersize=8)
        ring = bare(look, linestyle="None", marker="o", markersize=15, fillstyle="none")
        curves += (
            Line(areas.yaw, areas.drag_area[i], look),
            Line(np.repeat(areas.yaw, 3), ranges(areas.low[i], areas.high[i]), bars),
        )
        rings.append(Line("yaw", lambda r, name=name: r.drag_area[name], ring))
        ends[name] = areas.yaw[-1] + units.deg(0.6), areas.drag_area[i, -1], look
    return _picture(
        "Drag area of each set-up against yaw",
        Axis("Yaw, degrees; positive when the air comes from the right", "deg", first - 1, last + 1,
             np.arange(np.ceil(first / 5) * 5, last + 1, 5)),
        Axis("Drag area, m²", "m2", np.nanmin(areas.low) - 0.015, np.nanmax(areas.high) + 0.015),
        "yaw", [*curves, *rings], ends, lambda r, name: f"{r.force[name]:.1f} N", beside=1.19,
    )  # fmt: skip


def tunnel_savings(saved):
    """The picture of watts saved over speed, with bands; bars at the speed chosen, the measured speeds marked.

    Parameters
    ----------
    saved : record
        What the model of `panels.tunnel` finds, one of them.
    """
    along, speeds = saved.along, saved.along.ground_speed
    low, high = min(0.0, min(map(np.min, along.low.values()))), max(map(np.max, along.high.values()))
    slowest, fastest = units.to_kmh(np.array(saved.measured))
    curves, marks, ends = [], [], {}
    _, *looks = set_up_looks((saved.baseline, *saved.watts)).items()
    for name, look in looks:
        band = {"facecolor": look["color"], "alpha": 0.15, "linewidth": 0}
        bar = bare(look, linestyle="-", marker="_", markersize=9)
        curves += (
            Line([*speeds, *speeds[::-1]], [*along.low[name], *along.high[name][::-1]], band),
            Line(speeds, along.watts[name], bare(look)),
        )
        marks += (
            Line("ground_speed", lambda r, name=name: (r.low[name], r.high[name]), bar),
            Line("ground_speed", lambda r, name=name: r.watts[name], {**look, "linestyle": "None"}),
        )
        ends[name] = speeds[-1], along.watts[name][-1], look

    def measured(axes):
        axes.axvspan(slowest, fastest, color=style.GREY, alpha=0.10, linewidth=0)
        middle, quiet = (slowest + fastest) / 2, {"color": style.QUIET_INK}
        style.label_line(axes, "measured in the tunnel", quiet, middle, 1.07 * high, "above", xytext=(0, 0))

    return _picture(
        "Watts saved at the wheel by each set-up, against speed",
        Axis("Speed on the road in still air, km/h", "km/h", *units.to_kmh(speeds[[0, -1]])),
        Axis("Watts saved at the wheel", "W", 1.05 * low, 1.05 * high),
        "ground_speed", [*curves, *marks], ends, lambda r, name: f"{r.watts[name]:.1f} W", beside=1.12,
        least=0.14 * (high - low), top=0.87, guesses=at("ground_speed"), still=measured,
    )  # fmt: skip


def _picture(title, across, up, knob, lines, ends, reading, beside, least=0.0, top=0.88, **more):
    """Lines of set-ups, and one where the knob is; at the end of each its name, with its number below.

    ends: of each set-up where its name would be, (x, y) [SI], and its look; `least` is between two of
    them, `beside` is free at the right of the axes [inch], at the least.
    """
    x, y, looks = zip(*ends.values())
    names = {name: style.wrapped(name, style.BESIDE) for name in ends}
    lines_high = max(name.count("\n") for name in names.values()) + 2  # with its number
    height = style.LINE * lines_high * (up.high - up.low) / (4.0 * (top - 0.14))
    named = [
        Line(*here, bare(look, linewidth=0), lambda r, name=name: f"{names[name]}\n{reading(r, name)}", sides="right")
        for name, *here, look in zip(names, x, style.apart(y, max(least, height)), looks)
    ]
    where = Line(knob, None, {**style.BEFORE, "linestyle": "-", "linewidth": 1.2}, trace=True)
    room = 1 - max(beside, style.LETTER * style.widest(names.values()) + 0.3) / style.WIDTH
    return plot(title, across, up, where, *lines, *named, told=False, top=top, right=room, **more)
