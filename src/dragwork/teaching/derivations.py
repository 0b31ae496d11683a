"""The derivations that the lessons show, step by step, from the twins of the library's equations."""

from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

import sympy
from sympy import Symbol

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


# P = a v^3 + b v: air (a = rho CdA/2) and what does not depend on speed (b: tyres and slope).
AIR_FACTOR, CONSTANT_FORCE = sympy.symbols("a b", positive=True)
SPEED, DISTANCE, SHARE = SYMBOLS["v"], SYMBOLS["d"], SYMBOLS["s"]
ROAD_SHARE = AIR_FACTOR * SPEED**2 / (AIR_FACTOR * SPEED**2 + CONSTANT_FORCE)
SLOW, FAST, PUSH_FACTOR = sympy.symbols("v_1 v_2 k", positive=True)  # k: half the air density times the drag area
# Into a headwind: r is ground speed over air speed; the share S counts the air with (v + w)^2.
RATIO, WIND_SHARE = sympy.symbols("r S", positive=True)
# A drag area that bends with yaw: C_0 straight ahead, and k for each square of the yaw.
STRAIGHT, BEND, AWAY = Symbol("C_0", positive=True), Symbol("k", real=True), Symbol("delta", positive=True)
TEST_SPEED, MASS_SAVED = Symbol(r"v_\mathrm{test}", positive=True), Symbol(r"\Delta m", positive=True)
STAND_FORCE = Symbol("F_0", real=True)  # what the balance shows with the empty stand: the tare
RUNS, RUN_SPREAD, WANTED, OF_INTERVAL, OF_POWER = sympy.symbols("n s d z_1 z_2", positive=True)


def _quantiles():
    """Of the normal distribution: 97.5 %, and 80 %."""
    parts = {OF_INTERVAL: sympy.Rational(975, 1000), OF_POWER: sympy.Rational(8, 10)}
    return {symbol: sympy.sqrt(2) * sympy.erfinv(2 * part - 1) for symbol, part in parts.items()}


def field_drag_area():
    """The drag area that a steady lap says, from the power balance with a wind along the road."""
    P, eta, v, w, rho, C, m, g, C_rr, G = (
        SYMBOLS[name] for name in ("P", "eta", "v", "w", "rho", "CdA", "m", "g", "C_rr", "G")
    )
    balance = sympy.Eq(P * eta, (rho * C * (v + w) ** 2 / 2 + C_rr * m * g + G * m * g) * v)
    (area,) = sympy.solve(balance, C)
    return sympy.factor(area, m * g)


def gain_per_cut():
    """Relative gain of speed for each unit of relative cut, by the share s: from the derivation."""
    return steps_of("speed_gain")[4].right


_OWN = (AIR_FACTOR, CONSTANT_FORCE, SLOW, FAST, PUSH_FACTOR, RATIO, WIND_SHARE, STRAIGHT, AWAY, STAND_FORCE, RUNS, OF_INTERVAL, OF_POWER)
_FORCE_BY_SHARE = AIR_FACTOR * SPEED**2 * (1 - SHARE) / SHARE  # the constant one, by the share of the air
_NAMES = {
    **SYMBOLS,
    **{symbol.name: symbol for symbol in _OWN},
    **{name.partition(".")[2]: twins[0].right for name, twins in EQUATIONS.items() if name.partition(".")[2] not in SYMBOLS},
    "bend": BEND,
    "v_test": TEST_SPEED,
    "mass_saved": MASS_SAVED,
    "road_share": ROAD_SHARE,
    "field_drag_area": field_drag_area,
    "gain_per_cut": gain_per_cut,
    "in_shares": lambda expression: sympy.factor(expression.subs(CONSTANT_FORCE, _FORCE_BY_SHARE)),
    "steepness": lambda y, x: sympy.simplify(sympy.diff(y, x) * x / y),  # per cent for each per cent
    "solution": lambda expression, symbol: sympy.solve(expression, symbol)[0],  # where it is zero
    "subs": lambda expression, old, new: expression.subs(old, new),
    "with_quantiles": lambda expression: expression.subs(_quantiles()).evalf(3),
}
_LINES = rows_of_table(__package__, "derivations.csv")
DERIVATIONS = {name: list(lines) for name, lines in groupby(_LINES, itemgetter("derivation"))}


def steps_of(derivation):
    """The steps of a derivation: what is done in words, and what then stands there, worked out.

    A line of `derivations.csv` is written in symbols, names of equations and the lines before it, L1, L2 and so
    on. `of` is what its left side ends with, a limit of which the result is.

    Parameters
    ----------
    derivation : str
        - 'speed_gain': why a small cut of the drag area becomes at most a third of itself in speed.
        - 'seconds_saved': where the seconds saved over a fixed distance are greatest: s = 1/4.
        - 'mean_speed': why the slow half counts for more: the mean speed over two equal distances.
        - 'density': why damp air is thinner: dry air and vapour share the pressure, and vapour is
          lighter.
        - 'cube': why the force of still air has the square of the speed in it, the power the cube.
        - 'air_share': the share of the air: nothing at a walk, all at great speed, one half where.
        - 'head_wind': what drag area costs at one speed, and what a cut buys at one power, into a
          headwind.
        - 'yaw': the angle of the wind that a rider feels, and what it comes to at the ends.
        - 'mean_of_curve': why the drag area at the mean yaw is not the mean drag area.
        - 'all_round': why a wind from all directions alike costs drag, even where the drag area
          never changes.
        - 'claim': what a claim in watts hangs on: power one on the watts, minus three on the
          test's speed.
        - 'break_even': what a cut of the drag area may cost: s x of the power; and where mass
          weighs as much.
        - 'field_drag_area': a drag area from a lap, and what a wrong input does to it.
        - 'drag_area': from a balance reading to a drag area, and what a small error of each reading
          does to it.
        - 'runs_needed': how many runs a difference takes: Var(A - B) = 2 s^2/n, n near 16 (s/d)^2.

    Returns
    -------
    tuple of Step
    """
    lines, steps = dict(_NAMES), []
    for number, row in enumerate(DERIVATIONS[derivation], 1):
        right = lines[f"L{number}"] = sympy.sympify(row["right"], locals=lines)
        of = f" {latex(sympy.sympify(row['of'], locals=lines))}" if row["of"] else ""
        steps.append(Step(row["words"], row["left"] + of, right))
    return tuple(steps)


def head_wind_gain():
    """Relative gain of speed for each unit of relative cut into a headwind, by S and r."""
    return steps_of("head_wind")[4].right


def runs_for_known_spread():
    """Runs of each set-up, from the derivation, by s and d: 95 % interval, four sessions of five."""
    return steps_of("runs_needed")[3].right.subs(_quantiles())


def gas_law_without_fine_print():
    """The library's own equation of moist air, with compressibility and enhancement left at 1."""
    fraction = EQUATIONS["air.vapour_fraction"][0].right
    moist = EQUATIONS["air.density"][0].right.subs(SYMBOLS["x_v"], fraction)
    return moist.subs({SYMBOLS["Z"]: 1, SYMBOLS["f"]: 1})


def number(expression, **known):
    """The number that an expression takes for numbers of its symbols, by their names: `v=10.0`."""
    values = {symbol: known[symbol.name] for symbol in expression.free_symbols}
    return float(expression.subs(values))
