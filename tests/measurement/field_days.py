"""Field days made by their own sums, apart from the workbook's physics and its demo day.

A day is a plan (positions in the order ridden, speeds) and a truth that the analyst does not know.
Newtons and watts are summed here from the formulas themselves: q = rho v^2/2, F = q CdA and so on.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from dragwork.measurement.field_sheet import sort_out

G = 9.80665
AREA = {"P": 0.320, "K": 0.304}
ROLLING, MASS, EFFICIENCY, LENGTH = 0.0046, 84.0, 0.975, 1200.0
SPEEDS = np.array([22.0, 29.0, 36.0, 43.0]) / 3.6


@dataclass(frozen=True)
class Truth:
    """What a day does to its readings, in SI; standard deviations where a name ends in `_sd`."""

    wind_sd: float = 0.5  # along the road, all day
    slope_sd: float = 0.001
    gust_sd: float = 0.3  # along the road, from leg to leg
    pedalling_sd: float = 0.010  # of the power of a leg
    scale_sd: float = 0.010  # of the meter
    chain_sd: float = 0.010
    wheel_sd: float = 0.002  # of speed and distance
    air_sd: float = 0.003
    mass_sd: float = 0.5
    side_wind_sd: float = 0.0  # across the road, all day
    side_gust_sd: float = 0.0  # across the road, from leg to leg
    rise_with_yaw: float = 0.0  # of the drag area, a radian
    offset: float = 0.0  # W that the meter shows too much and its zero does not
    fall_with_speed: float = 0.0  # m2 for each m/s
    drift: float = 0.0  # m2, of both drag areas, from the first lap to the last


SOUND = Truth()
CALM = Truth(gust_sd=0.12, pedalling_sd=0.008)  # as calm as the workbook's demo day


def day(rng, truth=SOUND, blocks="PKKP", speeds=SPEEDS):
    """The laps of one day as read from a sheet."""
    z = rng.standard_normal(8)
    return laps_of(z, rng.standard_normal((7, 2 * len(blocks) * len(speeds))), truth, blocks, speeds)


def laps_of(z, leg, truth, blocks="PKKP", speeds=SPEEDS):
    """The laps of a day whose deviations are given, in standard deviations.

    z: of the day: wheel, wind, side wind, mass, air, slope, chain, scale of the meter. leg: a row each
    for speed, start speed, end speed, gust, pedalling, zero, side gust of the laps.
    """
    position = np.repeat(list(blocks), 2 * len(speeds))
    n = len(position)
    way, part = np.tile([1.0, -1.0], n // 2), np.linspace(0, 1, n)
    v = np.tile(np.repeat(speeds, 2), len(blocks)) * (1 + 0.008 * leg[0])
    start, end = v + 0.15 * leg[1], v + 0.15 * leg[2]
    temperature, pressure, humidity = 287.15 + 3 * part, 101700 - 100 * part, 0.62 - 0.08 * part
    vapour = humidity * 611.2 * np.exp(17.62 * (temperature - 273.15) / (temperature - 30.03))
    rho = (pressure - 0.378 * vapour) / (287.05 * temperature)
    true_v = v * (1 + truth.wheel_sd * z[0])
    along = true_v + way * truth.wind_sd * z[1] + truth.gust_sd * leg[3]
    across = truth.side_wind_sd * z[2] + truth.side_gust_sd * leg[6]
    yaw = np.arctan2(across, along)
    area = np.array([AREA[code] for code in position]) + truth.drift * (part - 0.5)
    area = area * (1 + truth.rise_with_yaw * np.abs(yaw))
    area = area - truth.fall_with_speed * (true_v - np.mean(speeds))
    mass = MASS + truth.mass_sd * z[3]
    air = 0.5 * rho * (1 + truth.air_sd * z[4]) * (along**2 + across**2) * area
    climb = way * truth.slope_sd * z[5]
    gain = mass * (end**2 - start**2) * (1 + truth.wheel_sd * z[0]) / (2 * LENGTH)
    wheel = true_v * (air + mass * G * (ROLLING + climb) + gain)
    crank = wheel / min(EFFICIENCY + truth.chain_sd * z[6], 1.0) * (1 + truth.scale_sd * z[7])
    zero = np.round(1.5 + leg[5])
    shown = crank * (1 + truth.pedalling_sd * leg[4]) + truth.offset + zero
    return sort_out(
        pd.DataFrame(
            {
                "row": np.arange(n) + 2, "lap": [str(i + 1) for i in range(n)],
                "order": np.arange(n) + 1.0, "direction": np.where(way > 0, "out", "back"),
                "position": position, "distance": LENGTH, "start_speed": start, "end_speed": end,
                "speed": v, "power": shown, "zero": zero, "head_wind": np.nan,
                "temperature": temperature, "pressure": pressure, "relative_humidity": humidity,
                "all_up_mass": MASS, "tyre": "", "tyre_pressure": np.nan, "surface": "",
                "gradient": np.nan, "traffic": "no", "brake": "no", "remarks": "", "used": True,
                "air_density": rho,
            }
        )
    )  # fmt: skip


def known_half_widths(laps, truth, side_wind=0.0, drift=0.0):
    """Half the 95 % range of P, and of P less K, by an analyst who knows the error model.

    Least squares on pairs with the true noise; side_wind [m/s] and drift [m2] are the standard
    deviations that this analyst allows for.
    """
    used = laps.used[laps.used.pair > 0].sort_values("order")
    used = used[used.groupby("pair").pair.transform("size") == 2]
    v, rho, w = (used.groupby("pair")[n].mean().to_numpy() for n in ("speed", "air_density", "all_up_mass"))
    code = used.groupby("pair").position.first().to_numpy()
    order = used.groupby("pair").order.mean().to_numpy()
    q = rho * v**2 / 2
    x = np.column_stack([q * (code == "P"), q * (code == "K"), w * G])
    force = 0.312 * q + ROLLING * w * G
    u = np.hypot(truth.pedalling_sd * force, 0.312 * rho * v * truth.gust_sd) / np.sqrt(2)
    root = np.linalg.pinv(x / u[:, None])
    part = (order - order.mean()) / max(np.ptp(order), 1)
    shifts = [
        root @ (rho / 2 * 0.312 * v * side_wind * np.sqrt(1 - 2 / np.pi) / u),  # of |w|, k = 1 a radian
        root @ (q * part * drift / u),
        np.array([0.32, 0.304, 0.0]) * np.hypot(0.014, np.hypot(3 * truth.wheel_sd, truth.air_sd)),
    ]
    covariance = root @ root.T + sum(np.outer(s, s) for s in shifts)
    rows = np.array([[1.0, 0, 0], [1.0, -1, 0]])
    return 1.96 * np.sqrt(np.einsum("ij,jk,ik->i", rows, covariance, rows))
