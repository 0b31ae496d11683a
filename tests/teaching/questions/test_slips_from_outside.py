"""Each right answer and each slip, worked out again from what the prompt says, without the library.

`OUTSIDE` has one function a question: the drawn numbers, which the prompt prints, to the number of
every slip, and to that of the right answer under ''. Speeds come from halving an interval. Standard
gravity is 9.80665 m/s2 (CGPM 1901); the constants of gas and vapour are those that the prompt prints.
Student's t is the integral of its density, the expected largest of n that of Tippett (1925).
"""

import re
from functools import cache
from math import atan, cos, degrees, exp, gamma, hypot, log, pi, prod, radians, sin, sqrt

import pytest

from dragwork.teaching.questions import KINDS, ask
from dragwork.teaching.questions.question import CLOCK

G, ETA, R = 9.80665, 0.975, 287.05


def halved(f, low, high):
    """Where a function that grows passes 0."""
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if f(middle) < 0 else (low, middle)
    return (low + high) / 2


def integral(f, low, high, steps=2000):
    """Simpson's rule."""
    width = (high - low) / steps
    inner = sum((4 if i % 2 else 2) * f(low + i * width) for i in range(1, steps))
    return width / 3 * (f(low) + inner + f(high))


@cache
def student(freedom):
    """t of which 95 % lie between -t and t; without freedom given, the normal 1.96."""
    if freedom is None:
        return halved(lambda t: 2 * integral(phi, 0, t) - 0.95, 1, 4)
    scale = gamma((freedom + 1) / 2) / (sqrt(freedom * pi) * gamma(freedom / 2))
    return halved(
        lambda t: 2 * scale * integral(lambda x: (1 + x * x / freedom) ** (-(freedom + 1) / 2), 0, t)
        - 0.95, 1, 20,
    )  # fmt: skip


def phi(x):
    return exp(-x * x / 2) / sqrt(2 * pi)


@cache
def largest(n):
    """Mean of the largest of n standard normal numbers: n x phi(x) Phi(x)^(n-1), integrated."""
    below, total, width, x = 0.0, 0.0, 0.002, -9.0
    while x < 9:  # midpoints; the distribution is summed on the way
        middle = below + phi(x + width / 4) * width / 2
        total += n * (x + width / 2) * phi(x + width / 2) * middle ** (n - 1) * width
        below, x = below + phi(x + width / 2) * width, x + width
    return total


class R1:
    """A rider as a prompt prints one."""

    def __init__(self, member):
        self.m, self.a = float(member.rider.all_up_mass), float(member.rider.drag_area)
        self.c, self.p = float(member.rider.rolling_coefficient), float(member.power)

    def needs(self, v, rho, wind=0.0, steep=0.0, less=0.0):
        """W at the wheel: air and the rest."""
        air = rho / 2 * self.a * (1 - less) * (v + wind) * abs(v + wind) * v
        return air, self.m * G * (self.c + steep) / hypot(1, steep) * v

    def speed(self, rho, power=None, wind=0.0, steep=0.0, less=0.0):
        watts = ETA * (self.p if power is None else power)
        return halved(lambda v: sum(self.needs(v, rho, wind, steep, less)) - watts, max(0, -wind, 1), 60)

    def share(self, rho, power=None, steep=0.0):
        air, rest = self.needs(self.speed(rho, power, steep=steep), rho, steep=steep)
        return air / (air + rest)


def m01(g):
    k, v = g.density / 2 * R1(g.who).a, g.kmh / 3.6
    return {"": k * v**3, "M01": k * g.kmh**3, "M01-squared": k * g.kmh**2 * v,
            "M01-last-step": k * v**2 * g.kmh, "M01-force": k * v**2, "M01-no-half": 2 * k * v**3}  # fmt: skip


def m02(g):
    k, v = g.density / 2 * R1(g.who).a, g.kmh / 3.6
    return {"": k * v**2, "M02": k * g.kmh**2, "M02-power": k * v**3, "M02-no-half": 2 * k * v**2,
            "M02-not-squared": k * v}  # fmt: skip


def m03(g):
    f, v = g.force, g.kmh / 3.6
    return {"": f * v, "M03": f * g.kmh, "M03-force": f, "M03-times": f * g.kmh * 3.6, "M03-divided": f / v}


def m04(g):
    v = g.kmh / 3.6
    f = round(g.density / 2 * R1(g.who).a * v**2, 2)
    return {"": f * v, "M04": f, "M04-kmh": f * g.kmh, "M04-cubed": f * v * v, "M04-divided": f / v}


def m05(g):
    x = 1 + g.faster / 100
    return {"": 100 * (x**3 - 1), "M05": 100 * (x**2 - 1), "M05-in-step": g.faster,
            "M05-tripled": 3 * g.faster, "M05-factor": x**3, "M05-new": 100 * x**3}  # fmt: skip


def m06(g):
    rider = R1(g.who)
    slow, fast = (sum(rider.needs(v / 3.6, g.density)) for v in (g.slow, g.fast))
    x = g.fast / g.slow
    return {"": fast / ETA, "M06": slow / ETA * x**3, "M06-squared": slow / ETA * x**2,
            "M06-in-step": slow / ETA * x, "M06-wheel": fast}  # fmt: skip


def m07(g):
    x, (air, tyres) = g.cut / 100, R1(g.who).needs(g.kmh / 3.6, g.density)
    return {"": x * air / ETA, "M07": x * (air + tyres) / ETA, "M07-wheel": x * air,
            "M07-tyres": x * tyres / ETA, "M07-cubed": (1 - (1 - x) ** 3) * air / ETA}  # fmt: skip


def gain(rider, rho, **after):
    density = after.pop("density", rho)
    return 100 * (rider.speed(density, **after) / rider.speed(rho) - 1)


def m08(g):
    rider, x = R1(g.who), g.cut / 100
    return {"": gain(rider, g.density, less=x), "M08": g.cut, "M08-square": 100 * ((1 - x) ** -0.5 - 1),
            "M08-all-air": 100 * ((1 - x) ** (-1 / 3) - 1), "M08-share": rider.share(g.density) * g.cut}  # fmt: skip


def m09(g):
    rider, x = R1(g.who), 1 + g.more / 100
    return {"": gain(rider, g.density, power=rider.p * x), "M09": g.more,
            "M09-square": 100 * (sqrt(x) - 1), "M09-all-air": 100 * (x ** (1 / 3) - 1)}  # fmt: skip


def m10(g):
    x = g.own / g.quoted_at
    return {"": g.watts * x**3, "M10": g.watts, "M10-in-step": g.watts * x, "M10-square": g.watts * x**2,
            "M10-reversed": g.watts / x**3}  # fmt: skip


def m11(g):
    rider, d = R1(g.who), 1000 * g.distance
    change = 2 * g.watts / (g.density * (g.quoted_at / 3.6) ** 3)

    def minutes(**after):
        return (d / rider.speed(g.density) - d / rider.speed(g.density, **after)) / 60

    right = minutes(less=change / rider.a)
    return {"": right, "M11": minutes(power=rider.p + g.watts / ETA),
            "M11-power-at-crank": minutes(power=rider.p + g.watts),
            "M11-crank": minutes(less=ETA * change / rider.a),
            "M11-whole-cut": d / rider.speed(g.density) / 60 * change / rider.a,
            "M11-seconds": 60 * right}  # fmt: skip


def m12(g):
    cuts = (g.helmet, g.bars, g.suit, g.wheels)
    left = 100 * prod(1 - cut / 100 for cut in cuts)
    return {"": 100 - left, "M12": sum(cuts), "M12-left": left, "M12-mean": sum(cuts) / 4,
            "M12-largest": max(cuts)}  # fmt: skip


def m13(g):
    s, t = g.before, g.before - g.fewer
    tyres = 1.0  # W, the same before and after
    before, after = (tyres * x / (100 - x) for x in (s, t))
    return {"": 100 * (after - before) / before, "M13": t - s, "M13-shares": 100 * (t - s) / s,
            "M13-tyres": 100 * ((100 - t) / (100 - s) - 1),
            "M13-total": 100 * ((after + tyres) / (before + tyres) - 1)}  # fmt: skip


def m14(g):
    k = g.density / 2 * R1(g.who).a
    slow, fast = (k * (v / 3.6) ** 3 for v in (g.slow, g.fast))
    return {"": (slow + fast) / 2, "M14": k * ((g.slow + g.fast) / 7.2) ** 3, "M14-sum": slow + fast,
            "M14-kmh": k * (g.slow**3 + g.fast**3) / 2, "M14-fast": fast / 2}  # fmt: skip


def m15(g):
    hours = g.each / g.slow + g.each / g.fast
    return {"": 2 * g.each / hours, "M15": (g.slow + g.fast) / 2, "M15-geometric": sqrt(g.slow * g.fast),
            "M15-half": g.each / hours}  # fmt: skip


def m16(g):
    rider, d = R1(g.who), 1000 * g.distance / 60
    calm, out, back = (rider.speed(g.density, wind=w) for w in (0, g.wind, -g.wind))
    return {"": d / out + d / back, "M16": 2 * d / calm, "M16-mean-speed": 2 * d / ((out + back) / 2),
            "M16-subtracted": d / (calm - g.wind) + d / (calm + g.wind), "M16-out-twice": 2 * d / out}  # fmt: skip


def m17(g):
    k, v, w = g.density / 2 * R1(g.who).a, g.speed, g.wind
    return {"": k * (v + w) ** 2 * v, "M17": k * v**3, "M17-air-speed-cubed": k * (v + w) ** 3,
            "M17-last-step": k * v * v * (v + w), "M17-from-behind": k * (v - w) ** 2 * v}  # fmt: skip


def m18(g):
    k, v, w = g.density / 2 * R1(g.who).a, g.speed, g.wind
    felt = hypot(v, w)
    return {"": k * felt**2 * v, "M18": k * v**3, "M18-added": k * (v + w) ** 2 * v,
            "M18-air-speed-cubed": k * felt**3, "M18-cosine": k * felt * v * v}  # fmt: skip


def m19(g):
    across, along = g.wind * sin(radians(g.angle)), g.wind * cos(radians(g.angle))
    yaw = degrees(atan(across / (g.speed + along)))
    return {"": yaw, "M19": g.angle, "M19-left": -yaw, "M19-no-head-part": degrees(atan(across / g.speed)),
            "M19-whole-wind": degrees(atan(g.wind / g.speed)),
            "M19-swapped": degrees(atan(along / (g.speed + across)))}  # fmt: skip


def m20(g):
    return {"": g.wind * log(g.height / 0.03) / log(10 / 0.03), "M20": g.wind,
            "M20-in-step": g.wind * g.height / 10,
            "M20-no-roughness": g.wind * log(1 + g.height) / log(11),
            "M20-seventh": g.wind * (g.height / 10) ** (1 / 7)}  # fmt: skip


def m21(g):
    fall = g.fall * g.yaw * g.yaw
    return {"": g.straight - fall, "M21": g.straight, "M21-half": g.straight - fall / 2,
            "M21-added": g.straight + fall}  # fmt: skip


def m22(g):
    p, t = 100 * g.pressure, g.celsius + 273.15
    return {"": p / (R * t), "M22": p / (R * g.celsius), "M22-hectopascal": g.pressure / (R * t),
            "M22-both": g.pressure / (R * g.celsius)}  # fmt: skip


def m23(g):
    t, sea = g.celsius + 273.15, 100 * g.forecast
    p = sea * exp(-G * g.altitude / (R * (t + 0.0065 * g.altitude / 2)))
    return {"": p / (R * t), "M23": sea / (R * t), "M23-celsius": p / (R * g.celsius),
            "M23-both": sea / (R * g.celsius)}  # fmt: skip


def m24(g):
    vapour = int(re.search(r"vapour pressure in it is (\d+) Pa", ask("M24").kind.asks(g))[1])
    part = vapour / g.pressure  # percent: Pa over hPa
    return {"": -0.378 * part, "M24": 0.378 * part, "M24-weightless": -part, "M24-added": part,
            "M24-vapour-left": -0.622 * part}  # fmt: skip


def m25(g):
    rider, cold = R1(g.who), g.celsius + 273.15
    left = cold / (cold + g.warmer)
    thinner = 100 * (1 - left)
    return {"": gain(rider, g.density, density=g.density * left), "M25": thinner,
            "M25-all-air": 100 * (left ** (-1 / 3) - 1), "M25-share": rider.share(g.density) * thinner,
            "M25-celsius": 100 * g.warmer / (g.celsius + g.warmer)}  # fmt: skip


def m26(g):
    rider = R1(g.who)
    thin, weak = g.density * (1 - g.thinner / 100), rider.p * (1 - g.weaker / 100)
    return {"": gain(rider, g.density, density=thin, power=weak),
            "M26": 100 * ((g.density / thin) ** (1 / 3) - 1),
            "M26-power-kept": gain(rider, g.density, density=thin),
            "M26-air-kept": gain(rider, g.density, power=weak)}  # fmt: skip


def m27(g):
    q, wrong = (g.density / 2 * v**2 for v in (g.kmh / 3.6, g.kmh))
    net = g.force - g.tare
    return {"": net / q, "M27": g.force / q, "M27-added": (g.force + g.tare) / q, "M27-kmh": net / wrong,
            "M27-no-half": net / (2 * q), "M27-tare-and-kmh": g.force / wrong}  # fmt: skip


def m28(g):
    q, wrong = (g.density / 2 * v**2 for v in (g.kmh / 3.6, g.kmh))
    force = g.grams * 0.00980665
    return {"": force / q, "M28": g.grams / 1000 / q, "M28-grams": g.grams / q,
            "M28-no-kilo": 1000 * force / q, "M28-kmh": force / wrong, "M28-no-half": force / (2 * q)}  # fmt: skip


def m29(g):
    a, b = g.cd_a * g.area_a, g.cd_b * g.area_b
    return {"": 100 * (b - a) / a, "M29": 100 * (g.cd_b / g.cd_a - 1),
            "M29-area": 100 * (g.area_b / g.area_a - 1), "M29-reversed": 100 * (a - b) / b}  # fmt: skip


def m30(g):
    of_difference, t = g.sd * sqrt(2 / g.runs), student(2 * g.runs - 2)
    return {"": t * of_difference, "M30": student(None) * of_difference, "M30-no-root": t * g.sd * sqrt(2),
            "M30-one-mean": t * g.sd / sqrt(g.runs), "M30-fewer-degrees": student(g.runs - 1) * of_difference,
            "M30-one-more-degree": student(2 * g.runs - 1) * of_difference, "M30-sd": g.sd,
            "M30-difference": g.difference}  # fmt: skip


def m31(g):
    best = largest(g.runs) * g.sd
    return {"": best, "M31": g.sd, "M31-none": 0, "M31-gap": 2 * best, "M31-mean": g.sd / sqrt(g.runs)}


def m32(g):
    best = largest(g.helmets) * g.sd
    return {"": 2 * best, "M32": 0, "M32-sd": g.sd, "M32-pair": g.sd * sqrt(2), "M32-best": best,
            "M32-all": g.sd * g.helmets}  # fmt: skip


def m33(g):
    low, mean = g.low / 100, (g.before + g.after) / 2
    return {"": (1 - low) * (g.before - g.after), "M33": sqrt(2) * low * mean, "M33-one-test": low * mean,
            "M33-only-one": (1 - low) * g.before - g.after, "M33-unchanged": g.before - g.after}  # fmt: skip


def up(mass, g, gravity=G):
    return mass * gravity * sin(atan(g.steep / 100)) * g.speed


def m34(g):
    m = R1(g.who).m
    return {"": up(m, g), "M34": m * G * sin(radians(g.steep)) * g.speed, "M34-crank": up(m, g) / ETA,
            "M34-ten": up(m, g, 10), "M34-no-gravity": up(m, g, 1),
            "M34-percent": m * G * g.steep * g.speed}  # fmt: skip


def m35(g):
    return {"": g.wheel / g.efficiency, "M35": g.wheel * g.efficiency, "M35-same": g.wheel,
            "M35-cut-alone": g.wheel * (1 / g.efficiency - 1)}  # fmt: skip


def m36(g):
    m = g.body + g.bicycle + g.carried
    return {"": up(m, g), "M36": up(g.body, g), "M36-crank": up(m, g) / ETA, "M36-ten": up(m, g, 10),
            "M36-degrees": m * G * sin(radians(g.steep)) * g.speed,
            "M36-alone-in-degrees": g.body * G * sin(radians(g.steep)) * g.speed}  # fmt: skip


def m37(g):
    push, weight = g.density / 2 * g.area * (g.kmh / 3.6) ** 2, g.mass * G

    def even(rolling):  # the gradient where the forces of slope and tyres on the mass are the push
        return 100 * halved(lambda x: weight * (sin(atan(x)) + rolling * cos(atan(x))) - push, -0.5, 1)

    return {"": even(g.rolling), "M37": 0, "M37-rolling": even(0), "M37-added": even(-g.rolling),
            "M37-kmh": 100 * (3.6**2 * push / weight - g.rolling)}  # fmt: skip


def won(rider, g, distance, **case):
    return distance / rider.speed(g.density, **case) - distance / rider.speed(
        g.density, less=g.cut / 100, **case
    )


def m38(g):
    fast, slow, d = R1(g.fast), R1(g.slow), 1000 * g.distance
    v, u = fast.speed(g.density), slow.speed(g.density)
    return {"": won(fast, g, d), "M38": won(slow, g, d) * v / u, "M38-same": won(slow, g, d),
            "M38-whole-cut": g.cut / 100 * d / v}  # fmt: skip


def m39(g):
    rider, d, s = R1(g.who), 1000 * g.distance, g.steep / 100
    slow, fast = (rider.speed(g.density, p, steep=s) for p in (g.low, g.high))
    low = won(rider, g, d, power=g.low, steep=s)
    return {"": won(rider, g, d, power=g.high, steep=s), "M39": low * slow / fast, "M39-same": low,
            "M39-cubed": low * (fast / slow) ** 3}  # fmt: skip


def m40(g):
    rider, s = R1(g.who), g.steep / 100

    def time(less, steep=s, limit=g.limit / 3.6, wind=g.wind, down=0.5):
        out, back = (rider.speed(g.density, wind=w, less=less) for w in (wind, -wind))
        climb = rider.speed(g.density, steep=steep, less=less)
        fall = min(rider.speed(g.density, down * rider.p, steep=-steep, less=less), limit)
        return 1000 * (g.flat * (1 / out + 1 / back) + g.hill * (1 / climb + 1 / fall))

    def saved(**case):
        return time(0, **case) - time(g.cut / 100, **case)

    return {"": saved(), "M40": saved(steep=0, limit=99, wind=0, down=1), "M40-no-limit": saved(limit=99),
            "M40-flat-alone": saved(wind=0), "M40-whole-cut": g.cut / 100 * time(0)}  # fmt: skip


def m41(g):
    force = R1(g.who).m * G * g.more
    given = force * g.fast / 3.6
    return {"": given / 2, "M41": given / 8, "M41-squared": given / 4, "M41-same": given,
            "M41-crank": given / 2 / ETA}  # fmt: skip


def m42(g):
    part = 0.6 * g.hundredths
    return {"": 60 * g.whole + part, "M42": 60 * g.whole + g.hundredths,
            "M42-hours": 60 * (60 * g.whole + part), "M42-decimals-alone": part}  # fmt: skip


def m43(g):
    rider, x = R1(g.who), g.cut / 100
    return {"": gain(rider, g.density, less=x), "M43": g.cut, "M43-square": 100 * (1 / sqrt(1 - x) - 1),
            "M43-all-air": 100 * ((1 / (1 - x)) ** (1 / 3) - 1), "M43-share": rider.share(g.density) * g.cut}  # fmt: skip


def m44(g):
    a, b = [g.drift * i for i in range(g.runs)], [g.drift * i for i in range(g.runs, 2 * g.runs)]
    return {"": sum(b) / g.runs - sum(a) / g.runs, "M44": 0, "M44-neighbours": b[0] - a[-1],
            "M44-ends": b[-1] - a[0], "M44-one-mean": sum(a) / g.runs}  # fmt: skip


def m45(g):
    x = g.wind / g.speed
    return {"": 100 * (2 * x + x * x), "M45": 100 * x, "M45-cubed": 100 * (3 * x + 3 * x**2 + x**3),
            "M45-from-behind": 100 * (x * x - 2 * x), "M45-both-ways": 100 * x * x}  # fmt: skip


def m46(g):
    u = (g.wind, g.slope, g.tyres)
    return {"": hypot(*u), "M46": sum(u), "M46-largest": max(u), "M46-mean": sum(u) / 3}


def m47(g):
    rider = R1(g.who)
    s = rider.share(g.density)
    worth = s * g.cut
    return {"": worth, "M47": g.cut, "M47-speed": gain(rider, g.density, less=g.cut / 100),
            "M47-from-below": 100 * worth / (100 - worth), "M47-tyres": (1 - s) * g.cut}  # fmt: skip


OUTSIDE = {id: globals()[id.lower()] for id in KINDS}
DRAWS = 8
ROUGH = {"M31": 1e-5, "M32": 1e-5, "M23": 1e-5}  # of the integral above, of R in the exponent


@pytest.mark.parametrize("id", KINDS)
def test_the_answer_and_each_slip_are_what_the_prompt_gives(id):
    for question in (ask(id), *(ask(id, f"outside {number}") for number in range(DRAWS))):
        expected = OUTSIDE[id](question.given)
        assert set(question.slips) <= set(expected)
        assert set(question.kind.slips) == set(expected) - {""}
        found = {"": question._answer, **question._slips}
        for name, value in found.items():
            within = ROUGH.get(id, 2e-6)
            assert value == pytest.approx(expected[name], rel=within, abs=1e-9), (name, question.given)


@pytest.mark.parametrize("id", KINDS)
def test_what_is_typed_from_outside_is_known(id):
    """The outside's own numbers, typed as the prompt asks."""
    question = ask(id, "outside")
    for name, value in OUTSIDE[id](question.given).items():
        if name in question.slips or not name:
            text = f"{value:.10g} s" if question.unit == CLOCK else f"{value:.10g}"
            feedback = question.check(text)
            assert feedback.slip == (name or None), (name, feedback)


SAID_OTHERWISE = {  # given numbers that a prompt prints in another form
    "M04": {"kmh"}, "M13": {"fewer"}, "M42": {"whole", "hundredths"}, "M44": {"runs"},
}  # fmt: skip


@pytest.mark.parametrize("id", KINDS)
def test_the_prompt_prints_the_numbers_that_are_used(id):
    question = ask(id, "outside")
    printed = {float(number) for number in re.findall(r"\d+(?:\.\d+)?", question.prompt)}
    for name in question.kind.given:
        if name in SAID_OTHERWISE.get(id, ()):
            continue
        value = getattr(question.given, name)
        rider = getattr(value, "rider", None)
        for number in (rider.all_up_mass, rider.drag_area, rider.rolling_coefficient) if rider else [value]:
            assert any(abs(number - other) < 1e-9 for other in printed), (name, question.prompt)
