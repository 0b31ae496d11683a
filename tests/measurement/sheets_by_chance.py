"""Tunnel sheets made by chance from a known truth, without the library or the demo's own script.

Density is that of an ideal gas with vapour by Magnus's formula (two parts in ten thousand from the
library's). A rider sits down anew in each sitting, moves a little between runs, the day drifts by a
straight line in the run order, and the balance shows whole steps.
"""

import io
from dataclasses import dataclass, field

import numpy as np

STAND = 0.027  # m2, the empty stand


@dataclass(frozen=True)
class Day:
    """How sheets of one kind are made. Areas in m2, forces in N, speeds in km/h, yaw in degrees.

    `layout`: the set-up of each sitting in the order run, as letters or a list of names; `runs`: back-to-back runs
    in each sitting; `numbered`: whether the repeats are numbered over the day (1 to 9), or left out.
    """

    layout: tuple
    areas: dict = field(default_factory=lambda: {"A": 0.300, "B": 0.290, "C": 0.275})
    runs: int = 1
    speeds: tuple = (45,)
    yaws: tuple = (0,)
    sitting: float = 0.0
    run: float = 0.0015
    wilder: dict = field(default_factory=dict)  # set-up to times its sittings and runs spread more
    drift: float = 0.0
    step: float = 0.01
    noise: float = 0.02
    missing: float = 0.0
    numbered: bool = True
    ordered: bool = True
    temperature: float = 20.0
    pressure: float = 1005.0
    notes: tuple = ()

    def true_areas(self, rng):
        """Each sheet has riders of its own: a balance that shows whole newtons rounds them anew."""
        return {name: area + rng.uniform(-0.01, 0.01) for name, area in self.areas.items()}

    def rows(self, rng):
        """The lines of one sheet: heading to number or word."""
        areas, taken, rows = self.true_areas(rng), {}, []
        for name in self.layout:
            wild = self.wilder.get(name, 1.0)
            sat = self.sitting * wild * rng.standard_normal()
            for _ in range(self.runs):
                taken[name] = taken.get(name, 0) + 1
                for yaw in rng.permutation(self.yaws):
                    for speed in rng.permutation(self.speeds):
                        rows.append((name, taken[name], yaw, speed, sat, wild))
        scale = np.exp(rng.standard_normal() * np.sqrt(0.003**2 + 0.002**2 + 0.008**2))
        tares = {}
        lines = []
        for place, (name, repeat, yaw, speed, sat, wild) in enumerate(rows):
            share = place / max(len(rows) - 1, 1)
            T = self.temperature + 1.5 * share + 0.1 * rng.standard_normal()
            p = self.pressure + 0.1 * rng.standard_normal()
            h = 50 + rng.standard_normal()
            v = speed * (1 + 0.002 * rng.standard_normal())
            T, p, h, v = round(T, 1), round(p, 1), round(h), round(v, 2)
            q = 0.5 * rho(T, p, h) * (v / 3.6) ** 2
            area = areas[name] + sat + self.run * wild * rng.standard_normal()
            area += self.drift * (share - 0.5)
            if (yaw, speed) not in tares:
                tares[yaw, speed] = self._shown(0.5 * 1.19 * (speed / 3.6) ** 2 * STAND * scale, rng)
            force = (area + STAND) * q * scale
            lines.append({
                "order": place + 1, "set-up": name, "repeat": repeat, "speed [km/h]": v, "yaw [deg]": yaw,
                "temperature [degC]": T, "station pressure [hPa]": p, "humidity [%]": h,
                "drag [N]": self._shown(force, rng), "tare [N]": tares[yaw, speed], "axis": "body",
            })  # fmt: skip
        kept = [line for line in lines if rng.random() >= self.missing]
        dropped = [name for name, there in (("repeat", self.numbered), ("order", self.ordered)) if not there]
        return [{k: x for k, x in line.items() if k not in dropped} for line in kept]

    def _shown(self, force, rng):
        return round(round((force + self.noise * rng.standard_normal()) / self.step) * self.step, 6)

    def text(self, seed):
        """One sheet as CSV text."""
        return as_text(self.rows(np.random.default_rng(seed)), self.notes)

    def file(self, seed):
        return io.StringIO(self.text(seed))


def rho(T, p, h):
    """Moist air [kg/m3] from degC, hPa, %: ideal gases, and Magnus's formula for the vapour."""
    e = h / 100 * 6.112 * np.exp(17.62 * T / (243.12 + T))
    return 100 * ((p - e) / 287.055 + e / 461.52) / (T + 273.15)


def as_text(rows, notes=()):
    names = list(rows[0])
    lines = [",".join(names), *(",".join(str(row[name]) for name in names) for row in rows)]
    return "\n".join([*notes, *lines]) + "\n"


# The kinds of sheets whose ranges are tried. Spreads of sittings and runs are those of club riders.
def full(drift=0.006, sitting=0.002):
    """Two passes, unequal repeats, a fifth of the runs missing, A B C C B A A, with a drift."""
    return Day(tuple("ABCCBAA"), speeds=(36, 45, 54), yaws=(0, 5, 10), sitting=sitting, run=0.002,
               drift=drift, missing=0.2)  # fmt: skip


KINDS = {
    "full": full(),
    "two rounds": Day(tuple("ABCCBA"), speeds=(36, 45, 54), yaws=(0, 10), sitting=0.002, drift=0.006),
    "one sitting": Day(tuple("AB"), runs=4, sitting=0.0025),
    "one sitting, grid": Day(tuple("ABC"), runs=4, speeds=(36, 45), yaws=(0, 10), sitting=0.0025),
    "three of three": Day(tuple("ABABAB"), runs=3, sitting=0.0025),
    "three of three, mirrored": Day(tuple("ABBAAB"), runs=3, sitting=0.0025),
    "three of three, no repeats": Day(tuple("ABABAB"), runs=3, sitting=0.0025, numbered=False),
    "AABB": Day(tuple("AABB"), speeds=(36, 45, 54), sitting=0.0012, drift=0.008),
    "AABB, many": Day(tuple("AAAABBBB"), speeds=(45,), sitting=0.0012, drift=0.008),
    "ABAB": Day(tuple("ABAB"), speeds=(36, 45, 54), sitting=0.0012, drift=0.008),
    "ABCABC": Day(tuple("ABCABCABC"), speeds=(36, 45, 54), sitting=0.0012, drift=0.008),
    "1 N": Day(tuple("ABCCBAABC"), speeds=(36, 45, 54), sitting=0.0012, run=0.0025, step=1.0),
    "1 N, one speed": Day(tuple("ABBAAB"), sitting=0.0012, run=0.0015, step=1.0),
    "1 N, two passes": Day(tuple("ABCCBA"), speeds=(36, 45), sitting=0.0012, run=0.0015, step=1.0),
    "wild": Day(tuple("ABCCBAABC"), speeds=(36, 45, 54), sitting=0.001, run=0.001, wilder={"A": 5}),
    "wild, one speed": Day(tuple("ABCCBAABC"), sitting=0.001, run=0.001, wilder={"A": 4}),
}  # fmt: skip


def coverage(day, sheets, read, compare, pairs=None, yaw=0.0, seed=0):
    """Sheets tried: how often the 95 % range holds the truth, its median half width, the draws' 80 %."""
    held, width, drawn, bias, kept = [], [], [], [], []
    names = list(dict.fromkeys(day.layout))
    for number in range(sheets):
        sheet = read(day.file([seed, number]))
        a, b = names[:2] if pairs is None else pairs
        found = compare(sheet, a, b, yaw)
        truth = day.true_areas(np.random.default_rng([seed, number]))
        true = truth[a] - truth[b]
        held.append(found.low <= true <= found.high)
        width.append((found.high - found.low) / 2)
        bias.append(found.difference - true)
        draws = sheet.draws(400, number)
        low, high = np.quantile(draws[a](yaw) - draws[b](yaw), [0.1, 0.9])
        drawn.append(low <= true <= high)
        kept.append(len(sheet.faults))
    return {"held": np.mean(held), "width": np.median(width), "draws": np.mean(drawn),
            "sd": np.std(bias), "bias": np.mean(bias), "faults": np.mean(kept)}  # fmt: skip
