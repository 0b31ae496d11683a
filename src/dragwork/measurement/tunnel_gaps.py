"""What the header of a tunnel sheet leaves open, and what takes its place.

A drag area needs a force along the bicycle without the stand's share, a speed and an air density; or
the sheet gives drag areas itself. Where a column is missing, the lines above the header may say it,
or whoever read the file; what is assumed instead is a remark, and what only the owner of the sheet
can know is asked (`NotSaid`).
"""

import re
from dataclasses import dataclass, replace

import numpy as np

from dragwork.measurement import tunnel_columns as c
from dragwork.measurement.checks import USUAL_HUMIDITY, humidity_not_known
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import plain, split_heading
from dragwork.measurement.sheet_file import NotSaid, SheetError
from dragwork.measurement.sheet_reading import stated_above
from dragwork.quantities import one_number

REMARK = "Remark of the reader: "

_AXIS_WORDS = re.compile(r"\b(body|bike|bicycle|wind|stream)[- ]?ax[ei]s\b", re.IGNORECASE)
_NET_WORDS = re.compile(
    r"\b(net (of )?(the )?(tare|drag|force)|tares? (is |are |was |were )?(already )?"
    r"(removed|subtracted|taken off|deducted)|tared)\b",
    re.IGNORECASE,
)
_POWER = re.compile(r"power|watt|leistung|puissance|potencia|cadence|heart", re.IGNORECASE)
_ANGLE = re.compile(r"yaw|angle|turntable|winkel|lacet|guinada|angulo|\b(psi|beta|deg|°)\b")
_FORCES = {"drag", "net_drag", "drag_unit", "tare", "tare_unit", "side_force", "side_tare"}
_AIR = {"temperature", "pressure", "relative_humidity", "air_density"}

@dataclass(frozen=True)
class Taken:
    """How a sheet is taken.

    Parameters
    ----------
    by_areas : bool
        The drag areas of the file are used, not its forces.
    net : bool
        The forces are without the stand's share.
    stated : dict of str to float [SI]
        What holds for all rows and has no column; the axis, too: 'body' or 'wind'.
    usual_humidity : bool
        Nothing gives the humidity, and the usual one is in its place.
    remarks : tuple of str
    """

    by_areas: bool
    net: bool
    stated: dict
    usual_humidity: bool
    remarks: tuple

    def density_uncertainty(self, rows):
        """Relative standard uncertainty of density [1] from a humidity that nobody gave, and a remark."""
        weather = rows.loc[rows.used, ["temperature", "pressure"]]
        if not self.usual_humidity or weather.median().isna().any():
            return 0.0, ()
        uncertainty, gaps = humidity_not_known(weather)
        return uncertainty, (say("tunnel", "no humidity", **gaps),)


def taken(text, axis=None, net=None, air_density=None):
    """How a sheet is taken, and the text with the cells in use alone, its readings under 'drag'.

    Parameters
    ----------
    text : SheetText
    axis, net, air_density
        Answers, see `tunnel.read_sheet`.

    Returns
    -------
    (Taken, SheetText)

    Raises
    ------
    SheetError
        Where something is missing that nothing can take the place of, in words.

    Source: COMMON_PRACTICE
    """
    remarks = []
    above = _stated(text)
    stated = dict(above)
    if air_density is not None:
        value, limits = one_number("air_density", air_density), c.AIR_DENSITY.limits
        if not limits.allows(value):
            raise SheetError(say("tunnel", "odd density", value=value, limits=limits))
        stated["air_density"] = value
    has_tare = text.has(c.TARE) or c.has_stand(text)
    said_net = net is True or net is None and _NET_WORDS.search(" ".join(text.above))
    is_net = not has_tare and bool(said_net or text.has(c.NET_DRAG) or not text.has(c.DRAG))
    reading = c.DRAG if text.has(c.DRAG) and not (is_net and text.has(c.NET_DRAG)) else c.NET_DRAG
    has_speed = text.has(c.SPEED) or text.has(c.SPEED_KMH) or "speed" in stated
    has_air = text.has(c.AIR_DENSITY) or "air_density" in stated or all(
        text.has(column) or column.field in stated for column in (c.TEMPERATURE, c.PRESSURE)
    )
    has_force = text.has(reading) and bool(text.has(c.DRAG_UNIT) or reading.unit_in(text.heading(reading)))
    by_areas = text.has(c.DRAG_AREA) and not (has_force and has_speed and has_air and (has_tare or is_net))
    if by_areas:
        reading, passed_over = c.DRAG_AREA, _FORCES | _AIR
        lacking = "the forces lack something to make drag areas from, so"
        why = lacking if text.has(c.DRAG) or text.has(c.NET_DRAG) else "the sheet has no forces;"
        remarks.append(say("tunnel", "areas", why=why, heading=text.heading(c.DRAG_AREA)))
    else:
        _refuse_without(text, reading, has_tare or is_net, net, has_speed, has_air)
        passed_over = {"drag_area", "spread", "runs", "net_drag"}
        if text.has(c.AIR_DENSITY) or "air_density" in stated:
            passed_over |= _AIR - {"air_density"}
            where = f"of the column '{text.heading(c.AIR_DENSITY)}'" if text.has(c.AIR_DENSITY) else "the one given"
            remarks.append(say("tunnel", "density", where=where))
        else:
            passed_over |= {"air_density"}
            if not text.has(c.HUMIDITY) and "relative_humidity" not in stated:
                stated["relative_humidity"] = USUAL_HUMIDITY
        if is_net:
            passed_over |= {"tare", "tare_unit"}
            remarks.append(say("tunnel", "net", heading=text.heading(reading)))
    stated = {name: value for name, value in stated.items() if name not in passed_over}
    said = [say("tunnel", name, value=value) for name, value in stated.items() if name in above]
    if said:
        remarks.append(say("tunnel", "said above", said=", ".join(said)))
    if reading is not c.DRAG:
        headings = text.headings | {"drag": text.heading(reading)}
        text = replace(text, headings=headings, cells=text.cells | {"drag": text.cells[reading.field]})
    if not text.has(c.YAW) and "yaw" not in stated:
        for heading in text.unread:  # what looks like an angle must not be passed over
            if _ANGLE.search(plain(heading)):
                raise SheetError(say("tunnel", "like a yaw", heading=heading))
        stated["yaw"] = 0.0
        remarks.append(say("tunnel", "no yaw"))
    if axis is not None and axis not in ("body", "wind"):
        raise SheetError("Say whether the drag is along the bicycle (body) or along the wind (wind).")
    if not text.has(c.AXIS):
        stated["axis"] = _axis(text, axis, by_areas, stated, remarks)
    used = {name: cells for name, cells in text.cells.items() if name not in passed_over}
    usual_humidity = "relative_humidity" in stated.keys() - above.keys()
    return Taken(by_areas, is_net, stated, usual_humidity, tuple(remarks)), replace(text, cells=used)


def _stated(text):
    """What the lines above the header say for all rows, of what has no column."""
    columns = (*c.WEATHER, c.AIR_DENSITY, c.YAW, *(() if text.has(c.SPEED) else (c.SPEED_KMH,)))
    found = stated_above(text.above, [column for column in columns if not text.has(column)])
    if "speed_kmh" in found:
        found["speed"] = found.pop("speed_kmh")
    return found


def _refuse_without(text, reading, tare_known, net, has_speed, has_air):
    """Say what is missing, and what to do: by the first gap that needs an answer."""
    unread = f" Not understood: {', '.join(text.unread)}." if text.unread else ""
    if not text.has(reading):
        road = any(_POWER.search(plain(heading)) for heading in text.unread)
        guess = " It looks like a road test, because it has power." if road else ""
        doors = say("tunnel", "other doors")
        raise SheetError(say("tunnel", "nothing to read", guess=guess, unread=unread, doors=doors))
    if not has_speed:
        raise SheetError(say("tunnel", "no speed", unread=unread, speed=c.SPEED, other=c.SPEED_KMH))
    if not tare_known:
        message = say("tunnel", "no tare", unread=unread)
        raise SheetError(message) if net is False else NotSaid({"net": message})
    if not has_air:
        raise NotSaid({"air_density": say("tunnel", "no air", unread=unread)})
    for column, unit in ((reading, c.DRAG_UNIT), (c.TARE, c.TARE_UNIT)):
        if text.has(column) and not (text.has(unit) or column.unit_in(text.heading(column))):
            gaps = {"heading": text.heading(column), "name": column.name, "unit": unit.name}
            raise SheetError(say("tunnel", "no unit of force", **gaps))


def _axis(text, axis, by_areas, stated, remarks):
    """'body' or 'wind', for all rows of a sheet that has no column of it."""
    yaw, _ = text.read(c.YAW) if text.has(c.YAW) else (np.array([stated["yaw"]]), ())
    turned = bool(np.any(np.nan_to_num(yaw) != 0))
    said = {word.casefold() in ("wind", "stream") for word in _AXIS_WORDS.findall(" ".join(text.above))}
    if axis is None and len(said) == 1:
        axis = "wind" if said.pop() else "body"
        remarks.append(say("tunnel", "axis above", axis=axis))
    name = plain(split_heading(text.heading(c.DRAG))[0])
    if axis is None and (not turned or "axial" in name or by_areas):
        axis = "body"
        if turned:
            remarks.append(say("tunnel", "no axis", heading=text.heading(c.DRAG)))
        elif text.has(c.YAW):
            remarks.append(say("tunnel", "no axis, straight ahead"))
    if axis is None:
        raise NotSaid({"axis": say("tunnel", "which axis")})
    return axis
