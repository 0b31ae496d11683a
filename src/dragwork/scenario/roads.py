"""The club's courses, invented. Headings are compass bearings; the wind is given per leg."""

from dataclasses import dataclass

import numpy as np

from dragwork.files import rows_of_table
from dragwork.measurement.road import COLUMNS, table_of
from dragwork.physics.course import Course, Leg
from dragwork.units import kilometres, kmh, to_deg, to_kilometres, to_kmh, to_percent

_FAR = kilometres(500)  # further than people ride in a day; common practice, no source
_SLOW, _FAST = kmh(6), kmh(60)  # mean speeds outside which something is wrong; common practice, no source


@dataclass(frozen=True, eq=False)
class Road:
    """A course with a usual day on it.

    power_factor: what share of the rider's power is ridden on each leg; wind_speed [m/s] at the
    rider's height on each leg; wind_from [rad], the bearing that it comes from. Where it was read
    from a file: its name, its fingerprint, and how much was left out at each end of a ride [m].
    """

    name: str
    course: Course
    about: str
    power_factor: np.ndarray
    wind_speed: np.ndarray
    wind_from: float = 0.0
    file: str = ""
    fingerprint: str = ""
    dropped: float | None = None

    def day(self, power):
        """What `ride` needs besides course, rider and air: power and wind, one value a leg."""
        return {
            "power": power * self.power_factor,
            "wind_speed": self.wind_speed,
            "wind_from": self.wind_from,
        }

    def settings(self):
        """What makes the road, in words: a dict for the settings of a page."""
        limit, share = self.course.column("speed_limit"), to_percent(self.power_factor)
        limited = np.isfinite(limit)
        far = to_kilometres(self.course.column("distance")[limited].sum())
        slow = f"{_span(to_kmh(limit[limited]))} km/h on {far:.3g} km" if limited.any() else "none"
        ends = f"{self.dropped:.0f} m at each end left out" if self.dropped else "both ends kept"
        found = {
            "Legs": f"{limit.size}, {to_kilometres(self.course.distance):.4g} km together",
            "File of the road": self.file and f"{self.file} (fingerprint {self.fingerprint})",
            "Ends of the ride": "" if self.dropped is None else ends,
            "Wind": self._wind(),
            "Speed limits": slow,
            "Power by leg": f"{_span(share)} % of the rider's power" if (share != 100).any() else "",
        }
        return {name: said for name, said in found.items() if said}

    def _wind(self):
        speed, bearing = np.broadcast_arrays(self.wind_speed, np.mod(self.wind_from, 2 * np.pi))
        blows = speed > 0
        if not blows.any():
            return "calm"
        calm = "" if blows.all() else "; calm elsewhere"
        where = _span(np.round(to_deg(bearing[blows])) % 360)
        return f"{_span(speed[blows])} m/s at the rider from {where}°, where 0 is north{calm}"

    def questions(self, time=None):
        """What to ask back about a road that nobody rides like that: sentences, mostly none.

        time [s]: for which the rider is on it.
        """
        asked = []
        if self.course.distance > _FAR:
            asked.append(
                f"{to_kilometres(self.course.distance):,.0f} km is further than people ride in a "
                "day. Are the lengths in kilometres?"
            )
        if time and not _SLOW <= (speed := self.course.distance / time) <= _FAST:
            usual = "faster" if speed > _FAST else "slower"
            asked.append(
                f"That is a mean speed of {to_kmh(speed):.3g} km/h, {usual} than people ride. Are "
                "the gradients, the wind and the power right, and do the descents have a limit?"
            )
        return tuple(asked)


def _span(values):
    low, high = (f"{value:.3g}" for value in (np.min(values), np.max(values)))
    return low if low == high else f"{low} to {high}"


def _road(name, about):
    """A road of `roads.csv`, whose columns are those of a table of legs."""
    legs = [row for row in rows_of_table("dragwork.scenario", "roads.csv") if row["road"] == name]
    cells = {c.field: [float(leg[c.heading] or "nan") for leg in legs] for c in COLUMNS}
    read = table_of({c.field: c.into_si(np.array(cells[c.field]), c.units[0]) for c in COLUMNS})
    wind_from = float(read.wind_from[0])
    return Road(name, read.course, about, read.power_factor, read.wind_speed, wind_from)


CINDER_LANE = _road("Cinder Lane 40", "Flat, 20 km out and 20 km back, calm.")
THREE_KILNS = _road(
    "Three Kilns 60",
    "20 km into 3 m/s of wind, 10 km up at 4 % and 10 km down again between hedges, out of the "
    "wind, at half power and no faster than 50 km/h; 20 km home with the wind.",
)
LONG_HILL = _road("Long Hill 10", "10 km up at 5 %, calm.")


def waves_of(hills, gradient=0.03):
    """24 km of hills, all as long: half of the way up, half down and no faster than 50 km/h."""
    half = kilometres(12) / hills
    return Course([Leg(half, gradient), Leg(half, -gradient, speed_limit=kmh(50))] * hills)


# Rolling ground, for lessons 09 and 11.
WAVES = Road(
    "Ripple Lane 24",
    waves_of(24),
    "24 hills, each 500 m up at 3 % and 500 m down, no faster than 50 km/h, calm.",
    power_factor=np.ones(48),
    wind_speed=np.zeros(48),
)

# What stands in the course editor before anybody types; not in ROADS, which pages offer.
BRICKFIELD_LOOP = _road(
    "Brickfield Loop 27",
    "A square in 4 m/s of west wind, with a village in it where riders keep to 30 km/h.",
)

ROADS = {road.name: road for road in (CINDER_LANE, THREE_KILNS, LONG_HILL)}
