"""Recorded rides for the tests, written down without the library's own writer."""

import io

import numpy as np
from scipy.integrate import solve_ivp

METRE = 1 / 111_132.0  # degrees of latitude, about 45 degrees north
STRETCH = 1.409  # degrees of longitude over degrees of latitude for the same metres there


def gpx(points, version="1.1", kind="trk", more=""):
    """GPX text of one track or route; a point is (latitude, longitude) or has an elevation too."""
    name = {"trk": "trkpt", "rte": "rtept"}[kind]
    lines = [
        f'<{name} lat="{point[0]}" lon="{point[1]}">'
        + (f"<ele>{point[2]}</ele>" if len(point) > 2 and point[2] is not None else "")
        + f"</{name}>"
        for point in points
    ]
    inside = "\n".join(lines)
    body = f"<trkseg>{inside}</trkseg>" if kind == "trk" else inside
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="{version}" creator="tests" '
        f'xmlns="{space}">{more}<{kind}>{body}</{kind}></gpx>'
    )


def file(*arguments, **options):
    return io.StringIO(gpx(*arguments, **options))


def ride(profile, length=20_000.0, apart=10.0, places=0.0, elevations=0.0, seed=0, bend=0.4):
    """Points of a winding ride northwards over a profile of elevation, with noise [m]."""
    rng = np.random.default_rng(seed)
    along = np.arange(0.0, length, apart)
    heading = bend * np.sin(2 * np.pi * along / 3000)
    east, north = np.cumsum(np.sin(heading)) * apart, np.cumsum(np.cos(heading)) * apart
    noise = rng.standard_normal((3, along.size))
    latitude = 45 + (north + places * noise[0]) * METRE
    longitude = 7 + (east + places * noise[1]) * METRE * STRETCH
    elevation = profile(along) + elevations * noise[2]
    return [tuple(point) for point in np.array([latitude, longitude, elevation]).T.tolist()]


def climbing(profile, length=20_000.0):
    """Metres that a profile climbs, in steps of a metre."""
    return np.clip(np.diff(profile(np.arange(0.0, length, 1.0))), 0, None).sum()


def join(*tracks, times=()):
    """A file of several tracks; times: when each of them starts and ends."""
    parts = [gpx(points).split("<trk>")[1].split("</trk>")[0] for points in tracks]
    for i, time in enumerate(times):
        parts[i] = parts[i].replace("</trkpt>", f"<time>{time}</time></trkpt>")
    head, tail = gpx(tracks[0]).split("<trk>")[0], "</gpx>"
    return io.StringIO(head + "".join(f"<trk>{part}</trk>" for part in parts) + tail)


def hairpins(radius, straight=150.0, number=20, apart=5.0, noise=0.0, gradient=0.0, seed=0):
    """Level length and points of a road up and down a slope in hairpins, with noise of places [m]."""
    step, heading = 0.5, []
    arc = np.linspace(0, np.pi, int(np.pi * radius / step))
    for i in range(number):
        heading += [np.pi * (i % 2)] * int(straight / step)
        heading += list(np.pi - arc if i % 2 else arc)
    along = np.arange(len(heading)) * step
    places = np.cumsum([np.sin(heading), np.cos(heading)], axis=1) * step
    at = np.arange(0, along.size, int(apart / step))
    east, north = places[:, at] + noise * np.random.default_rng(seed).standard_normal((2, at.size))
    latitude, longitude = 45 + north * METRE, 7 + east * METRE * STRETCH
    return along[-1], list(zip(latitude, longitude, 100 + gradient * along[at]))


def ride_by_ode(distance, gradient, areas=(0.32, 0.304), mass=84.0, power=220.0, start=8.0):
    """Time over stretches for each drag area, with kinetic energy: m v dv/dx = P eta/v - forces."""
    areas, time = np.array(areas), np.zeros(len(areas))
    energy = np.full(areas.shape, start**2 / 2)
    for length, slope in zip(distance, gradient):
        still = mass * 9.80665 * (0.004 + slope) / np.hypot(1, slope)

        def change(_, state):
            speed = np.sqrt(2 * np.maximum(state[: areas.size], 0.05))
            force = power * 0.97 / speed - 0.6 * areas * speed**2 - still
            return np.concatenate([force / mass, 1 / speed])

        end = solve_ivp(change, (0, length), [*energy, *time], rtol=1e-5, atol=1e-5).y[:, -1]
        energy, time = end[: areas.size], end[areas.size :]
    return time
