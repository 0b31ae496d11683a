"""Road tests as people write them down, all from one truth; nothing here uses the workbook's physics.

A table of laps is ridden by Newton's sums: F = rho v^2 CdA/2 + m g Crr + m (v1^2 - v0^2)/2d, and
P = F v/0.975. Each layout turns the same laps into another file.
"""

import csv
import io

import numpy as np

AREA = {"hoods": 0.340, "drops": 0.300}
ROLLING, MASS, EFFICIENCY, LENGTH = 0.0045, 84.0, 0.975, 1200.0
TEMPERATURE, PRESSURE, HUMIDITY = 15.0, 1009.0, 60.0
G = 9.80665


def air_density(t=TEMPERATURE, p=PRESSURE, h=HUMIDITY):
    """Ideal gas of air and vapour, with the Magnus formula (WMO-No. 8)."""
    vapour = h / 100 * 611.2 * np.exp(17.62 * t / (243.12 + t))
    return (100 * p - 0.378 * vapour) / (287.05 * (t + 273.15))


def ridden(speeds=(24, 32, 40), blocks=("hoods", "drops", "drops", "hoods"), noise=0.0, seed=0, wind=0.0,
           offset=0.0, gain=0.0, gain_sd=0.0, scale=1.0, gust=0.0, rolling=ROLLING):  # fmt: skip
    """Laps out and back by turns: a list of dicts in SI and W, as the instruments show them.

    noise: relative, of a lap's power; wind: along the road on the way out [m/s], gust its scatter
    from lap to lap; offset [W] and scale of the meter; gain [m/s]: end less start speed of all
    laps, gain_sd its scatter.
    """
    rng, laps = np.random.default_rng(seed), []
    rho = air_density()
    for code in blocks:
        for v in speeds:
            for way in ("out", "back"):
                v1 = v / 3.6 * (1 + 0.004 * rng.standard_normal())
                along = v1 + (wind if way == "out" else -wind) + gust * rng.standard_normal()
                up = gain + gain_sd * rng.standard_normal()
                force = rho * along**2 / 2 * AREA[code] + MASS * G * rolling + MASS * v1 * up / LENGTH
                power = force * v1 / EFFICIENCY * scale * (1 + noise * rng.standard_normal()) + offset
                laps.append({"code": code, "way": way, "v": v1, "power": power, "start": v1 - up / 2, "end": v1 + up / 2})
    return laps


def clock(s, form="{m}:{s:04.1f}"):
    return form.format(m=int(s // 60), s=s % 60, h=int(s // 3600), sec=s)


# A cell from a lap and its number, by heading.
CELLS = {
    "lap": lambda lap, i: str(i),
    "direction": lambda lap, i: lap["way"],
    "position": lambda lap, i: lap["code"],
    "km/h": lambda lap, i: f"{3.6 * lap['v']:.2f}",
    "m/s": lambda lap, i: f"{lap['v']:.3f}",
    "mph": lambda lap, i: f"{lap['v'] / 0.44704:.2f}",
    "W": lambda lap, i: f"{lap['power']:.0f}",
    "1:23.4": lambda lap, i: clock(LENGTH / lap["v"]),
    "0:01:23": lambda lap, i: clock(LENGTH / lap["v"], "0:{m:02d}:{s:04.1f}"),
    "83.4": lambda lap, i: f"{LENGTH / lap['v']:.1f}",
    "1 min 23 s": lambda lap, i: clock(LENGTH / lap["v"], "{m} min {s:.1f} s"),
    "m": lambda lap, i: f"{LENGTH:.0f}",
    "km": lambda lap, i: f"{LENGTH / 1000:.3f}",
    "start": lambda lap, i: f"{3.6 * lap['start']:.2f}",
    "end": lambda lap, i: f"{3.6 * lap['end']:.2f}",
    "kg": lambda lap, i: f"{MASS:g}",
    "degC": lambda lap, i: f"{TEMPERATURE:g}",
    "degF": lambda lap, i: f"{TEMPERATURE * 1.8 + 32:g}",
    "hPa": lambda lap, i: f"{PRESSURE:g}",
    "Pa": lambda lap, i: f"{100 * PRESSURE:g}",
    "inHg": lambda lap, i: f"{PRESSURE / 33.86389:.2f}",
    "%": lambda lap, i: f"{HUMIDITY:g}",
    "no": lambda lap, i: "no",
    "": lambda lap, i: "",
    "0": lambda lap, i: "0",
}


def once(cell, at=1):
    """The cell in one lap alone."""
    return lambda lap, i: CELLS[cell](lap, i) if i == at else ""


def by_block(cell):
    """A cell merged over the laps of a block."""
    last = []

    def made(lap, i):
        text = CELLS[cell](lap, i)
        first = i == 1 or text != last[-1]
        last.append(text)
        return text if first else ""

    return made


def written(laps, columns, notes="", delimiter=",", decimal=".", below="", header=True):
    """The file: columns is a dict of heading to a name in CELLS, or a function of lap and number."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    if header:
        writer.writerow(columns)
    for i, lap in enumerate(laps, 1):
        cells = [(CELLS[c] if isinstance(c, str) else c)(lap, i) for c in columns.values()]
        writer.writerow([cell.replace(".", decimal) if cell[:1].isdigit() else cell for cell in cells])
    return (notes + out.getvalue() + below).encode()


DAY = "15 °C, 1009 hPa, 60 %\nall-up mass 84 kg\n"
BASE = {"position": "position", "direction": "direction", "mean speed [km/h]": "km/h", "mean power [W]": "W"}
SAID = {"all_up_mass": 84.0, "temperature": 288.15, "pressure": 100900.0, "relative_humidity": 0.6}
TURNS = {"position": "position", "mean speed [km/h]": "km/h", "mean power [W]": "W"}
HEAD_UNIT = {"Lap": "lap", "Time": "1:23.4", "Distance [km]": "km", "Avg Power [W]": "W", "Avg Speed [km/h]": "km/h"}
POSITIONS = {str(i): "hoods" if i <= 6 or i > 18 else "drops" for i in range(1, 25)}

# Layout: how it is written, and what is said besides.
LAYOUTS = {
    "four columns, the rest in notes": ((BASE, DAY), {}),
    "four columns, the rest said": ((BASE,), SAID),
    "mass and weather once, in the first row": (
        (BASE | {"all-up mass [kg]": once("kg"), "temperature [degC]": once("degC"), "station pressure [hPa]": once("hPa"),
                 "humidity [%]": once("%")},), {}),
    "mass and weather once, in another row": (
        (BASE | {"mass [kg]": once("kg", 7), "temp [degC]": once("degC", 3), "pressure [hPa]": once("hPa", 5)},), {}),
    "weather in a small table above": (
        (BASE, "temperature [degC],station pressure [hPa],humidity [%],all-up mass [kg]\n15,1009,60,84\n\n"), {}),
    "decimal commas and semicolons": ((BASE, DAY, ";", ","), {}),
    "tabs": ((BASE, DAY, "\t"), {}),
    "miles an hour": ((BASE | {"mean speed [km/h]": "", "Average speed [mph]": "mph"}, DAY), {}),
    "metres a second": ((BASE | {"mean speed [km/h]": "", "speed (m/s)": "m/s"}, DAY), {}),
    "lap time and length": (
        ({"position": "position", "direction": "direction", "lap time": "1:23.4", "distance [m]": "m", "power [W]": "W"}, DAY), {}),
    "time as h:mm:ss": (
        ({"position": "position", "direction": "direction", "time": "0:01:23", "distance [m]": "m", "power [W]": "W"}, DAY), {}),
    "time in seconds": (
        ({"position": "position", "direction": "direction", "time [s]": "83.4", "distance [m]": "m", "power [W]": "W"}, DAY), {}),
    "time in words": (
        ({"position": "position", "direction": "direction", "duration": "1 min 23 s", "distance [km]": "km", "watts": "W"}, DAY), {}),
    "time, and the length in the notes": (
        ({"position": "position", "direction": "direction", "time": "1:23.4", "power [W]": "W"}, "lap length 1200 m\n" + DAY), {}),
    "time, and the length said": (
        ({"position": "position", "direction": "direction", "time": "1:23.4", "power [W]": "W"}, DAY), {"distance": 1200.0}),
    "the length once": (
        ({"position": "position", "direction": "direction", "time": "1:23.4", "distance [m]": once("m"), "power [W]": "W"}, DAY), {}),
    "a head unit's laps": ((HEAD_UNIT, DAY), {"ridden": "out and back", "positions": POSITIONS}),
    "a head unit's laps, with a total": (
        (HEAD_UNIT, DAY, ",", ".", "Summary,45:12.0,28.800,210,36.1\n"), {"ridden": "out and back", "positions": POSITIONS}),
    "a head unit's laps, without units": (
        ({"Lap": "lap", "Time": "1:23.4", "Distance": "km", "Avg Power": "W", "Avg Speed": "km/h"}, DAY),
        {"ridden": "out and back", "positions": POSITIONS}),
    "by turns, said": ((TURNS, DAY), {"ridden": "out and back"}),
    "by turns, in the notes": ((TURNS, "Ridden out and back on the old runway\n" + DAY), {}),
    "rounds of a loop": ((TURNS, DAY), {"ridden": "loop"}),
    "loop in the column": ((BASE | {"direction": lambda lap, i: "loop"}, DAY), {}),
    "north and south": ((BASE | {"direction": lambda lap, i: {"out": "north", "back": "south"}[lap["way"]]}, DAY), {}),
    "outbound and return": ((BASE | {"direction": lambda lap, i: {"out": "Outbound", "back": "Return"}[lap["way"]]}, DAY), {}),
    "merged positions": ((BASE | {"position": by_block("position")}, DAY), {}),
    "Fahrenheit and inches": ((BASE | {"temperature [degF]": "degF", "pressure [inHg]": "inHg", "RH [%]": "%"}, "mass 84 kg\n"), {}),
    "pascals without units": ((BASE | {"temperature": "degC", "pressure": "Pa", "humidity [%]": "%"}, "mass 84 kg\n"), {}),
    "no humidity": ((BASE, "15 °C\n1009 hPa\nsystem mass 84 kg\n"), {}),
    "air density in place of weather": ((BASE, f"air density {air_density():.4f} kg/m3, total mass 84 kg\n"), {}),
    "air density in a column": ((BASE | {"air density [kg/m3]": lambda lap, i: f"{air_density():.4f}"}, "total mass 84 kg\n"), {}),
    "zero, start and end": (
        (BASE | {"meter zero [W]": "0", "distance [m]": "m", "start speed [km/h]": "start", "end speed [km/h]": "end",
                 "brake": "no", "traffic": ""}, DAY), {}),
    "German": (
        ({"Position": "position", "Richtung": lambda lap, i: {"out": "hin", "back": "zurück"}[lap["way"]],
          "Geschwindigkeit [km/h]": "km/h", "Leistung [W]": "W"}, DAY, ";", ","), {}),
    "pounds": ((BASE | {"all-up mass [lb]": lambda lap, i: f"{MASS / 0.45359237:.1f}"}, "15 °C, 1009 hPa\n"), {}),
    "units in the cells": (
        ({"position": "position", "direction": "direction", "speed": lambda lap, i: CELLS["km/h"](lap, i) + " km/h",
          "power": lambda lap, i: CELLS["W"](lap, i) + " W"}, DAY), {}),
    "a speed with its unit beside one without": ((BASE | {"speed": "m/s"}, DAY), {}),
    "a speed without a unit before one with it": (
        ({"position": "position", "direction": "direction", "speed": "m/s", "mean speed [km/h]": "km/h", "power": "W"}, DAY), {}),
    "miles an hour in the cells": (
        ({"position": "position", "direction": "direction", "speed": lambda lap, i: CELLS["mph"](lap, i) + " mph", "power": "W"}, DAY), {}),
    "damp as a share, without a unit": (
        (BASE | {"temperature": "degC", "pressure": "hPa", "humidity": lambda lap, i: f"{HUMIDITY / 100:g}"}, "mass 84 kg\n"), {}),
    "a head unit's many columns": (
        ({"Laps": "lap", "Time": "1:23.4", "Cumulative Time": lambda lap, i: clock(100 * i), "Distance km": "km",
          "Avg Speed km/h": "km/h", "Max Speed km/h": "km/h", "Avg HR bpm": lambda lap, i: "140", "Avg Power W": "W",
          "Max Power W": "W", "Moving Time": "1:23.4"}, DAY), {"ridden": "out and back", "positions": POSITIONS}),
    "tenths behind a comma": (
        ({"position": "position", "direction": "direction", "Time": lambda lap, i: clock(LENGTH / lap["v"]).replace(".", ","),
          "Distance [m]": "m", "Power [W]": "W"}, DAY, ";", ","), {}),
    "homeward": ((BASE | {"direction": lambda lap, i: {"out": "Outward", "back": "Homeward"}[lap["way"]]}, DAY), {}),
    "from A to B": ((BASE | {"direction": lambda lap, i: {"out": "A to B", "back": "B to A"}[lap["way"]]}, DAY), {}),
    "a weight": ((BASE | {"weight (kg)": "kg"}, "Weather: 15C 1009mbar 60%RH, light wind\n"), {}),
    "notes with names and no units": ((BASE, "Temperature: 15\nPressure: 1009\nHumidity: 60\nAll-up mass: 84\n"), {}),
    "notes in other units": ((BASE, "59 F, 29.80 inHg, RH 60 %; system mass 185.2 lb\n"), {}),
    "two readings in the notes": ((BASE, "start 14.5 °C, end 15.5 °C, 1009 hPa, 60 %; mass all-up 84 kg\n"), {}),
    "French": (
        ({"Tour": "lap", "Position": "position", "Sens": lambda lap, i: {"out": "aller", "back": "retour"}[lap["way"]],
          "Vitesse moyenne (km/h)": "km/h", "Puissance moyenne (W)": "W"}, DAY, ";", ","), {}),
    "lap numbers that begin again": ((BASE | {"lap": lambda lap, i: str((i - 1) % 6 + 1)}, DAY), {}),
    "a time of day": ((BASE | {"time": lambda lap, i: f"09:{2 * i:02d}:10"}, DAY), {}),
    "a blank lap column and remarks": ((BASE | {"lap": "", "remarks": ""}, DAY), {}),
}  # fmt: skip
