"""A recorded ride over the invented Three Kilns 60, made by a seeded script.

`python -m dragwork.scenario.three_kilns` writes `data/three_kilns.gpx` again, byte for byte. The
coordinates lie in mid-ocean, where no road is; the noise is that of an ordinary receiver.
"""

import numpy as np

from dragwork.scenario.writing import manifest_text, write_again
from dragwork.units import percent

SEED = 60
START = (-40.0, -120.0)  # deg: open ocean
POINT = 25.0  # m from one point to the next
FLAT, HILL, SLOPE = 20_000.0, 10_000.0, percent(4)  # m, m
BEND, BEND_LENGTH = 0.35, 2500.0  # rad to each side, m
PLACE_NOISE, ELEVATION_NOISE = 1.5, 0.6  # m, standard deviations of a point
METRES_A_DEGREE = 111_035.0, 85_393.0  # m at 40 degrees north or south: of latitude, of longitude

ABOUT = (
    "Invented for teaching: nobody rode here, no such road is meant to exist, and the coordinates "
    "lie in the open ocean. 20 km of flat road, 10 km up at 4 %, and the same way back."
)
ASCENT = HILL * SLOPE  # m: what a reader of the file should find


def out_and_back():
    """The true road, point by point: metres east and north, elevation.

    Returns
    -------
    (3, n) array [m]

    Source: COMMON_PRACTICE
    """
    along = np.arange(0.0, FLAT + HILL + POINT / 2, POINT)
    heading = BEND * np.sin(2 * np.pi * along[:-1] / BEND_LENGTH)
    steps = POINT * np.array([np.sin(heading), np.cos(heading)])
    places = np.concatenate([np.zeros((2, 1)), np.cumsum(steps, axis=1)], axis=1)
    out = np.array([*places, 10.0 + SLOPE * np.maximum(along - FLAT, 0.0)])
    return np.concatenate([out, out[:, -2::-1]], axis=1)


def recorded(seed=SEED):
    """The road as the receiver saw it, point by point: metres east and north, elevation.

    Parameters
    ----------
    seed : int

    Returns
    -------
    (3, n) array [m]

    Source: COMMON_PRACTICE
    """
    road = out_and_back()
    spread = np.array([PLACE_NOISE, PLACE_NOISE, ELEVATION_NOISE])[:, None]
    return road + spread * np.random.default_rng(seed).standard_normal(road.shape)


def gpx(seed=SEED):
    """The ride as GPX 1.1 text; with the usual seed it is `data/three_kilns.gpx`.

    Parameters
    ----------
    seed : int

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    east, north, elevation = recorded(seed)
    latitude = START[0] + north / METRES_A_DEGREE[0]
    longitude = START[1] + east / METRES_A_DEGREE[1]
    points = "\n".join(
        f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><ele>{height:.1f}</ele></trkpt>'
        for lat, lon, height in zip(latitude, longitude, elevation)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<gpx version="1.1" creator="dragwork" xmlns="http://www.topografix.com/GPX/1/1">\n'
        f"<metadata><name>Three Kilns 60</name><desc>{ABOUT}</desc></metadata>\n"
        f"<trk><name>Three Kilns 60</name><desc>{ABOUT}</desc><trkseg>\n"
        f"{points}\n</trkseg></trk>\n</gpx>\n"
    )


def manifest():
    """What the file is and what a reader of it should find, as JSON text.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    return manifest_text(
        "three_kilns",
        SEED,
        invented=ABOUT,
        files={"three_kilns.gpx": "GPX 1.1, one track, a point every 25 m, no times"},
        columns={
            "lat, lon": f"degrees, with {PLACE_NOISE} m of noise each way",
            "ele": f"m above the sea, with {ELEVATION_NOISE} m of noise",
        },
        **{"true_length [m]": 2 * (FLAT + HILL), "true_ascent [m]": ASCENT},
    )


if __name__ == "__main__":
    write_again({"three_kilns.gpx": gpx(), "three_kilns_manifest.json": manifest()})
