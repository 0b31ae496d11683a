"""Recorded rides for the tests, written down without the library's own writer."""

import io

import numpy as np

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
