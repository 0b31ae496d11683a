"""The derivations that the lessons show, step by step, from the twins of the library's equations."""

from dataclasses import dataclass

import sympy
from sympy import Eq, Symbol

from dragwork.equations import EQUATIONS, SYMBOLS, latex
from dragwork.files import rows_of_table


@dataclass(frozen=True)
class Step:
    """One line of a derivation: what is done, in plain words, and what then stands there."""

    words: str
    left: str  # LaTeX
    right: sympy.Basic

    @property
    def latex(self):
        return f"{self.left} = {latex(self.right)}"


_WORDS_OF_STEPS = rows_of_table(__package__, "derivations.csv")


def _steps(derivation, *results):
    """The steps of a derivation, each result with its words and left side from `derivations.csv`.

    A pair is what the left side ends with, a limit of which the result is.
    """
    rows = [row for row in _WORDS_OF_STEPS if row["derivation"] == derivation]
    steps = []
    for row, result in zip(rows, results, strict=True):
        of, right = result if isinstance(result, tuple) else (None, result)
        left = row["left"] if of is None else f"{row['left']} {latex(of)}"
        steps.append(Step(row["words"], left, right))
    return tuple(steps)


# P = a v^3 + b v: air (a = rho CdA/2) and what does not depend on speed (b: tyres and slope).
AIR_FACTOR, CONSTANT_FORCE = Symbol("a", positive=True), Symbol("b", positive=True)
SPEED, DISTANCE, SHARE = SYMBOLS["v"], SYMBOLS["d"], SYMBOLS["s"]
ROAD_POWER = AIR_FACTOR * SPEED**3 + CONSTANT_FORCE * SPEED
ROAD_SHARE = AIR_FACTOR * SPEED**2 / (AIR_FACTOR * SPEED**2 + CONSTANT_FORCE)


def _in_shares(expression):
    """The same, with the constant force written by the share of the air."""
    force = AIR_FACTOR * SPEED**2 * (1 - SHARE) / SHARE
    return sympy.factor(expression.subs(CONSTANT_FORCE, force))


def _steepness(expression, symbol):
    """By how many per cent it changes for each per cent of a symbol."""
    return sympy.simplify(sympy.diff(expression, symbol) * symbol / expression)


def speed_gain_derivation():
    """Why a small cut of the drag area becomes at most a third of itself in speed."""
    a, v = AIR_FACTOR, SPEED
    by_drag, by_speed = sympy.diff(ROAD_POWER, a), sympy.diff(ROAD_POWER, v)
    gain = sympy.cancel(by_drag * a / (by_speed * v))
    in_shares = _in_shares(gain)
    return _steps(
        "speed_gain",
        ROAD_POWER,
        by_drag,
        by_speed,
        gain,
        in_shares,
        (in_shares, sympy.limit(in_shares, SHARE, 1)),
    )


def gain_per_cut():
    """Relative gain of speed for each unit of relative cut, by the share s: from the derivation."""
    return speed_gain_derivation()[4].right


def seconds_saved_derivation():
    """Where the seconds saved over a fixed distance are greatest: s = 1/4."""
    v, d = SPEED, DISTANCE
    seconds = sympy.cancel(d / v * gain_per_cut().subs(SHARE, ROAD_SHARE))
    slope = sympy.factor(sympy.diff(seconds, v))
    (peak,) = sympy.solve(slope, v)
    return _steps("seconds_saved", seconds, slope, peak, sympy.simplify(ROAD_SHARE.subs(v, peak)))


SLOW, FAST = Symbol("v_1", positive=True), Symbol("v_2", positive=True)


def mean_speed_derivation():
    """Why the slow half counts for more: the mean speed over two equal distances."""
    half = DISTANCE / 2
    time = half / SLOW + half / FAST
    mean = sympy.factor(DISTANCE / time)
    return _steps(
        "mean_speed",
        time,
        mean,
        sympy.factor((SLOW + FAST) / 2 - mean),
        sympy.limit(mean, FAST, SLOW),
    )


def density_derivation():
    """Why damp air is thinner: dry air and vapour share the pressure, and vapour is lighter."""
    p, T, R, M_a, M_v, h, p_sv = (SYMBOLS[n] for n in ("p", "T", "R", "M_a", "M_v", "h", "p_sv"))
    e = h * p_sv
    dry = p * M_a / (R * T)
    shared = (p - e) * M_a / (R * T) + e * M_v / (R * T)
    gathered = M_a / (R * T) * (p - (1 - M_v / M_a) * e)
    return _steps(
        "density",
        dry,
        shared,
        gathered,
        _steepness(dry, p),
        _steepness(dry, T),
        sympy.limit(gathered, h, 0),
    )


def gas_law_without_fine_print():
    """The library's own equation of moist air, with compressibility and enhancement left at 1."""
    fraction = EQUATIONS["air.vapour_fraction"][0].right
    moist = EQUATIONS["air.density"][0].right.subs(SYMBOLS["x_v"], fraction)
    return moist.subs({SYMBOLS["Z"]: 1, SYMBOLS["f"]: 1})


PUSH_FACTOR = Symbol("k", positive=True)  # half the air density times the drag area


def cube_derivation():
    """Why the force of still air has the square of the speed in it, and the power the cube."""
    k, v = PUSH_FACTOR, SPEED
    force, power_ = k * v**2, k * v**2 * v

    return _steps(
        "cube",
        force,
        power_,
        _steepness(force, v),
        _steepness(power_, v),
        sympy.simplify(power_.subs(v, 2 * v) / power_),
        sympy.simplify(power_.subs(v, sympy.Rational(18, 5) * v) / power_),
        sympy.limit(power_, v, 0),
    )


def air_share_derivation():
    """The share of the air: nothing at a walk, all at great speed, and one half where."""
    b, v = CONSTANT_FORCE, SPEED
    m, g, C_rr, G = (SYMBOLS[n] for n in ("m", "g", "C_rr", "G"))
    wheel = SYMBOLS["P_wheel"]
    (half,) = sympy.solve(sympy.Eq(ROAD_SHARE, sympy.Rational(1, 2)), v)
    return _steps(
        "air_share",
        ROAD_POWER,
        EQUATIONS["resistance.rolling_force"][0].right + EQUATIONS["resistance.slope_force"][0].right,
        m * g * (C_rr + G),
        ROAD_SHARE,
        sympy.limit(ROAD_SHARE, v, 0),
        sympy.limit(ROAD_SHARE, v, sympy.oo),
        half,
        sympy.solve(ROAD_POWER.subs(v, half) - wheel, b)[0],
        sympy.simplify(_in_shares(_steepness(ROAD_POWER, v))),
    )


def number(expression, **known):
    """The number that an expression takes for numbers of its symbols, by their names: `v=10.0`."""
    values = {symbol: known[symbol.name] for symbol in expression.free_symbols}
    return float(expression.subs(values))


# Into a headwind: r is ground speed over air speed; the share S counts the air with (v + w)^2.
RATIO, WIND_SHARE = Symbol("r", positive=True), Symbol("S", positive=True)


def head_wind_derivation():
    """What drag area costs at one speed, and what a cut buys at one power, into a headwind."""
    rho, area, v, w = (SYMBOLS[name] for name in ("rho", "CdA", "v", "w"))
    b, r, S = CONSTANT_FORCE, RATIO, WIND_SHARE
    power = rho * area * (v + w) ** 2 * v / 2 + b * v
    by_drag = sympy.diff(power, area)
    by_speed = sympy.factor(sympy.diff(power, v) - b) + b
    gain = 2 * by_drag * area / v / (2 * (by_speed - b) + 2 * b)
    air = rho * area * (v + w) ** 2 / 2
    in_shares = sympy.factor(gain.subs(b, air * (1 - S) / S).subs(w, v / r - v))
    still = in_shares.subs(r, 1)
    return _steps(
        "head_wind",
        power,
        by_drag,
        by_speed,
        gain,
        in_shares,
        still.subs(S, SHARE),
        (still.subs(S, SHARE), sympy.limit(still, S, 1)),
    )


def head_wind_gain():
    """Relative gain of speed for each unit of relative cut into a headwind, by S and r."""
    return head_wind_derivation()[4].right


def yaw_derivation():
    """The angle of the wind that a rider feels, and what it comes to at the ends."""
    v, w, phi = (SYMBOLS[name] for name in ("v", "w", "phi"))
    along, across = v + w * sympy.cos(phi), w * sympy.sin(phi)
    speed = sympy.sqrt(sympy.expand(along**2 + across**2).simplify())
    yaw = sympy.atan2(across, along)
    equal = sympy.sin(phi) / (1 + sympy.cos(phi))  # tangent of the yaw where w = v
    return _steps(
        "yaw",
        along,
        across,
        speed,
        yaw,
        sympy.limit(sympy.atan(across / along), v, sympy.oo),
        (equal, sympy.tan(phi / 2)),
    )


# A drag area that bends with yaw: C_0 straight ahead, and k for each square of the yaw.
STRAIGHT, BEND = Symbol("C_0", positive=True), Symbol("k", real=True)


def mean_of_curve_derivation():
    """Why the drag area at the mean yaw is not the mean drag area."""
    yaw, away = SYMBOLS["yaw"], Symbol("delta", positive=True)
    here, left, right = (STRAIGHT + BEND * angle**2 for angle in (yaw, yaw - away, yaw + away))
    mean = sympy.expand((left + right) / 2)
    return _steps(
        "mean_of_curve",
        here,
        mean,
        sympy.factor(mean - here),
        sympy.limit(mean - here, BEND, 0),
    )


def all_round_derivation():
    """Why a wind from all directions alike costs drag, even where the drag area never changes."""
    v, w, phi, area = (SYMBOLS[name] for name in ("v", "w", "phi", "C"))
    squared = sympy.simplify(sympy.expand((v + w * sympy.cos(phi)) ** 2 + (w * sympy.sin(phi)) ** 2))
    mean = sympy.integrate(squared, (phi, 0, 2 * sympy.pi)) / (2 * sympy.pi)
    averaged = area * sympy.expand(mean / v**2)
    return _steps("all_round", squared, sympy.expand(mean), averaged, sympy.limit(averaged, w, 0))


TEST_SPEED = Symbol(r"v_\mathrm{test}", positive=True)
MASS_SAVED = Symbol(r"\Delta m", positive=True)


def claim_derivation():
    """What a claim in watts hangs on: power one on the watts, minus three on the test's speed."""
    rho, dP = SYMBOLS["rho"], SYMBOLS["dP"]
    area = 2 * dP / (rho * TEST_SPEED**3)
    mine = sympy.cancel(rho / 2 * area * SPEED**3)
    return _steps(
        "claim",
        area,
        _steepness(area, dP),
        _steepness(area, rho),
        _steepness(area, TEST_SPEED),
        mine,
        sympy.limit(mine, TEST_SPEED, SPEED),
    )


def break_even_derivation():
    """What a cut of the drag area may cost: s x of the power; and where mass weighs as much."""
    a, v, x = AIR_FACTOR, SPEED, SYMBOLS["x"]
    rho, area, g = SYMBOLS["rho"], SYMBOLS["dCdA"], SYMBOLS["g"]
    after = ROAD_POWER.subs(a, a * (1 - x))
    spared = sympy.factor(ROAD_POWER - after)
    share = sympy.cancel(spared / ROAD_POWER)
    in_shares = _in_shares(share)
    force = rho * area * v**2 / 2
    (gradient,) = sympy.solve(
        Eq(force, MASS_SAVED * g * (SYMBOLS["C_rr"] + SYMBOLS["G"])), SYMBOLS["G"]
    )
    return _steps(
        "break_even",
        ROAD_POWER,
        spared,
        share,
        in_shares,
        (in_shares, sympy.limit(in_shares, SHARE, 1)),
        sympy.expand(gradient),
    )


def field_drag_area():
    """The drag area that a steady lap says, from the power balance with a wind along the road."""
    P, eta, v, w, rho, C, m, g, C_rr, G = (
        SYMBOLS[name] for name in ("P", "eta", "v", "w", "rho", "CdA", "m", "g", "C_rr", "G")
    )
    balance = sympy.Eq(P * eta, (rho * C * (v + w) ** 2 / 2 + C_rr * m * g + G * m * g) * v)
    (area,) = sympy.solve(balance, C)
    return sympy.factor(area, m * g)


def field_drag_area_derivation():
    """A drag area from a lap, and what a wrong input does to it."""
    P, eta, v, w, rho, C, m, g, C_rr, G = (
        SYMBOLS[name] for name in ("P", "eta", "v", "w", "rho", "CdA", "m", "g", "C_rr", "G")
    )
    wheel, area = SYMBOLS["P_wheel"], field_drag_area()
    slopes = {name: sympy.diff(area, SYMBOLS[name]) for name in ("C_rr", "G", "w")}
    by_wind = sympy.simplify(slopes["w"] / area) * C
    both = ((v + w) ** 2 + (v - w) ** 2) / 2
    return _steps(
        "field_drag_area",
        (rho * C * (v + w) ** 2 / 2 + (C_rr + G) * m * g) * v,
        area.subs(P * eta, wheel),
        slopes["C_rr"],
        by_wind,
        sympy.expand(both),
        sympy.limit(sympy.expand(both) / v**2, w, 0),
    )


STAND_FORCE = Symbol("F_0", real=True)  # what the balance shows with the empty stand: the tare


def drag_area_derivation():
    """From a balance reading to a drag area, and what a small error of each reading does to it."""
    F, q, rho, v = (SYMBOLS[name] for name in ("F", "q", "rho", "v_a"))
    F_0 = STAND_FORCE
    by_pressure = (F - F_0) / q
    area = by_pressure.subs(q, EQUATIONS["drag.dynamic_pressure"][0].right)

    def share_of(symbol):
        return sympy.simplify(sympy.diff(area, symbol) / area)

    return _steps(
        "drag_area",
        by_pressure,
        area,
        share_of(F),
        share_of(F_0),
        share_of(rho),
        share_of(v),
        sympy.limit(area, F_0, 0),
    )


RUNS, RUN_SPREAD, WANTED = (Symbol(name, positive=True) for name in ("n", "s", "d"))
OF_INTERVAL, OF_POWER = Symbol("z_1", positive=True), Symbol("z_2", positive=True)


def runs_needed_derivation():
    """How many runs a difference takes: Var(A - B) = 2 s^2/n, and n near 16 (s/d)^2."""
    n, s, d, z = RUNS, RUN_SPREAD, WANTED, OF_INTERVAL + OF_POWER
    variance = 2 * s**2 / n
    (needed,) = sympy.solve(sympy.Eq(d**2, z**2 * variance), n)
    needed = sympy.factor(needed)
    return _steps(
        "runs_needed",
        s**2 / n,
        variance,
        sympy.sqrt(variance),
        needed,
        needed.subs(_quantiles()).evalf(3),
        sympy.simplify(needed.subs(d, d / 2) / needed),
        sympy.limit(variance, n, sympy.oo),
    )


def runs_for_known_spread():
    """Runs of each set-up, from the derivation, by s and d: 95 % interval, four sessions of five."""
    return runs_needed_derivation()[3].right.subs(_quantiles())


def _quantiles():
    """Of the normal distribution: 97.5 %, and 80 %."""

    def quantile(part):
        return sympy.sqrt(2) * sympy.erfinv(2 * part - 1)

    return {
        OF_INTERVAL: quantile(sympy.Rational(975, 1000)), OF_POWER: quantile(sympy.Rational(8, 10))
    }  # fmt: skip
