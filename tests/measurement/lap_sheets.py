"""Laps for the tests, made by the power balance itself."""

import csv
import io

import numpy as np
import pandas as pd

from dragwork.measurement.field_sheet import COLUMNS, read_laps, sort_out
from dragwork.physics.power import Conditions, Rider, power_balance

RHO, MASS, EFFICIENCY = 1.2, 84.0, 0.975


def laps(
    speeds=(6.0, 9.0, 12.0, 7.0, 11.0), drag_area=0.32, rolling=0.0046, head_wind=0.0, gradient=0.0,
    surge=0.0, position="K", way=None, **cells,
):  # fmt: skip
    """A sheet of legs out and back by turns at each speed, with the power that the balance asks for.

    `surge` is how much faster a leg ends than it starts; drag areas may come one a pair.
    """
    v = np.repeat(np.asarray(speeds, dtype=float), 2)
    way = np.tile([1.0, -1.0], len(speeds)) if way is None else np.asarray(way)
    wind = way * head_wind
    start, end = v - surge / 2, v + surge / 2
    rider = Rider(MASS, np.repeat(np.broadcast_to(drag_area, len(speeds)), 2), rolling, EFFICIENCY)
    weather = Conditions(RHO, np.abs(wind), np.where(wind < 0, np.pi, 0.0), way * gradient)
    power = power_balance(rider, weather, v, (end**2 - start**2) / 2000).total
    table = pd.DataFrame(
        {
            "row": np.arange(len(v)) + 2, "lap": [str(i + 1) for i in range(len(v))],
            "order": np.arange(len(v)) + 1.0, "direction": np.where(way > 0, "out", "back"),
            "position": np.repeat(np.broadcast_to(position, len(speeds)), 2), "distance": 1000.0,
            "start_speed": start, "end_speed": end, "speed": v, "power": power, "zero": 0.0,
            "head_wind": np.nan, "gradient": np.nan, "temperature": 288.0, "pressure": 1e5,
            "relative_humidity": 0.5, "all_up_mass": MASS, "traffic": "no", "brake": "no",
            "used": True, "air_density": RHO,
        }
    )  # fmt: skip
    return sort_out(table.assign(**cells))


ROW = {
    "lap": "1", "order": "1", "direction": "out", "position": "K", "distance [m]": "1000",
    "start speed [km/h]": "36", "end speed [km/h]": "36", "mean speed [km/h]": "36",
    "mean power [W]": "240", "meter zero [W]": "4", "head wind [m/s]": "", "temperature [degC]": "15",
    "station pressure [hPa]": "1000", "humidity [%]": "50", "all-up mass [kg]": "80",
    "traffic": "no", "brake": "no", "remarks": "",
}  # fmt: skip


def text(*changes, delimiter=",", notes=""):
    """A sheet of text; each change is a row that differs from ROW."""
    rows = [ROW | {"lap": str(i), "order": str(i), "direction": ("back", "out")[i % 2]} | change
            for i, change in enumerate(changes, 1)]  # fmt: skip
    headings = list(dict.fromkeys(name for row in rows for name in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, headings, delimiter=delimiter, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return notes + out.getvalue()


def sheet(*changes, **how):
    return read_laps(io.StringIO(text(*changes, **how)))


def heading(field):
    return next(column.heading for column in COLUMNS if column.field == field)
