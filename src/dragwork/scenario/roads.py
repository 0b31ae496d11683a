"""The club's courses, invented. Headings are compass bearings; the wind is given per leg."""

from dataclasses import dataclass

import numpy as np

from dragwork.physics.course import Course, Leg
from dragwork.units import deg, kilometres, kmh, percent


@dataclass(frozen=True, eq=False)
class Road:
    """A course with a usual day on it.

    power_factor: what share of the rider's power is ridden on each leg; wind_speed [m/s] at the
    rider's height on each leg; wind_from [rad], the bearing that it comes from.
    """

    name: str
    course: Course
    about: str
    power_factor: np.ndarray
    wind_speed: np.ndarray
    wind_from: float = 0.0

    def day(self, power):
        """What `ride` needs besides course, rider and air: power and wind, one value a leg."""
        return {
            "power": power * self.power_factor,
            "wind_speed": self.wind_speed,
            "wind_from": self.wind_from,
        }


CINDER_LANE = Road(
    "Cinder Lane 40",
    Course([Leg(kilometres(20), heading=deg(0)), Leg(kilometres(20), heading=deg(180))]),
    "Flat, 20 km out and 20 km back, calm.",
    power_factor=np.ones(2),
    wind_speed=np.zeros(2),
)

THREE_KILNS = Road(
    "Three Kilns 60",
    Course(
        [
            Leg(kilometres(20), heading=deg(0)),
            Leg(kilometres(10), percent(4), heading=deg(0)),
            Leg(kilometres(10), percent(-4), heading=deg(180), speed_limit=kmh(50)),
            Leg(kilometres(20), heading=deg(180)),
        ]
    ),
    "20 km into 3 m/s of wind, 10 km up at 4 % and 10 km down again between hedges, out of the "
    "wind, at half power and no faster than 50 km/h; 20 km home with the wind.",
    power_factor=np.array([1, 1, 0.5, 1]),
    wind_speed=np.array([3.0, 0, 0, 3]),
)

LONG_HILL = Road(
    "Long Hill 10",
    Course([Leg(kilometres(10), percent(5))]),
    "10 km up at 5 %, calm.",
    power_factor=np.ones(1),
    wind_speed=np.zeros(1),
)

# What stands in the course editor before anybody types; not in ROADS, which pages offer.
BRICKFIELD_LOOP = Road(
    "Brickfield Loop 27",
    Course(
        [
            Leg(kilometres(8), heading=deg(0)),
            Leg(kilometres(5), percent(2), heading=deg(90)),
            Leg(kilometres(1), heading=deg(180), speed_limit=kmh(30)),
            Leg(kilometres(8), percent(-1), heading=deg(180), speed_limit=kmh(50)),
            Leg(kilometres(5), percent(-0.4), heading=deg(270)),
        ]
    ),
    "A square in 4 m/s of west wind, with a village in it where one rides at 30 km/h.",
    power_factor=np.ones(5),
    wind_speed=np.full(5, 4.0),
    wind_from=deg(270),
)

ROADS = {road.name: road for road in (CINDER_LANE, THREE_KILNS, LONG_HILL)}
