"""The sympy twin of each named equation, and the derivations that the notebooks show.

The text of a twin is the `Equation:` line of the function's docstring, letter for letter; a test
holds the two together, turns the twin into numbers and compares them with the function's.
"""

from dataclasses import dataclass
from functools import cached_property

import sympy
from sympy import Eq, Function, Symbol


@dataclass(frozen=True)
class Name:
    """A symbol of the equations: its unit, what it stands for, and how it is printed."""

    unit: str
    words: str
    latex: str = ""
    real: bool = False  # may be negative

    def symbol(self, name):
        """As the name is written in a text."""
        return Symbol(name, real=True) if self.real else Symbol(name, positive=True)


NAMES = {
    # air
    "rho": Name("kg/m3", "air density", r"\rho"),
    "T": Name("K", "air temperature"),
    "T_0": Name("K", "temperature at sea level"),
    "T_m": Name("K", "mean temperature of the air column"),
    "T_S": Name("K", "Sutherland's temperature"),
    "p": Name("Pa", "pressure where you are"),
    "p_0": Name("Pa", "pressure at sea level, standard"),
    "p_sl": Name("Pa", "forecast pressure, reduced to sea level", r"p_\mathrm{sl}"),
    "p_sv": Name("Pa", "saturation vapour pressure", r"p_\mathrm{sv}"),
    "h": Name("1", "relative humidity"),
    "f": Name("1", "enhancement factor of real air"),
    "x_v": Name("1", "share of molecules that are water"),
    "Z": Name("1", "compressibility"),
    "M_a": Name("kg/mol", "molar mass of dry air"),
    "M_v": Name("kg/mol", "molar mass of water"),
    "R": Name("J/(mol K)", "molar gas constant"),
    "R_s": Name("J/(kg K)", "gas constant of dry air"),
    "A_v": Name("1/K2", "vapour coefficient"),
    "B_v": Name("1/K", "vapour coefficient", real=True),
    "C_v": Name("1", "vapour coefficient, with the pressure in pascals"),
    "D_v": Name("K", "vapour coefficient", real=True),
    "mu": Name("Pa s", "dynamic viscosity", r"\mu"),
    "beta": Name("Pa s/K^0.5", "Sutherland's factor", r"\beta"),
    "L": Name("K/m", "lapse rate"),
    "H": Name("m", "geopotential altitude", real=True),
    "z": Name("m", "altitude, or height above the ground", real=True),
    "r_E": Name("m", "radius of the earth"),
    "g": Name("m/s2", "standard gravity"),
    # wind
    "v": Name("m/s", "ground speed"),
    "w": Name("m/s", "wind speed at the rider"),
    "phi": Name("rad", "wind angle off straight ahead", r"\varphi", real=True),
    "u": Name("m/s", "air speed along the road", real=True),
    "c": Name("m/s", "air speed across the road", real=True),
    "v_a": Name("m/s", "resultant air speed"),
    "yaw": Name("rad", "yaw", r"\psi", real=True),
    "wind_from": Name("rad", "bearing the wind comes from", r"\theta_\mathrm{wind}", real=True),
    "heading": Name("rad", "bearing of travel", r"\theta_\mathrm{road}", real=True),
    "w_z": Name("m/s", "wind speed at height z"),
    "z_0": Name("m", "roughness length"),
    "z_ref": Name("m", "height of the given wind", r"z_\mathrm{ref}"),
    "w_mean": Name("m/s", "long-term mean wind", r"\bar w"),
    "share": Name("1", "share of the time"),
    # drag
    "q": Name("Pa", "dynamic pressure"),
    "q_c": Name("Pa", "dynamic pressure beside the model"),
    "F": Name("N", "axial force", real=True),
    "CdA": Name("m2", "drag area", r"C_\mathrm{d}A"),
    "CdA_along": Name("m2", "drag area, along-road convention", r"C_\mathrm{d}A_\mathrm{along}"),
    "CdA_w": Name("m2", "wind-averaged drag area", r"C_\mathrm{d}A_w"),
    "CdA_part": Name("m2", "drag area of a part", r"C_\mathrm{d}A_\mathrm{part}"),
    "CdA_int": Name("m2", "what parts do to each other", r"C_\mathrm{d}A_\mathrm{int}", real=True),
    "C": Name("m2", "drag area at a yaw", real=True),
    "k_s": Name("1", "shelter, share of the drag area that the air meets"),
    "C_w": Name("m2", "drag area of the spinning wheels", real=True),
    "C_last": Name("m2", "drag area at the last measured yaw", r"C_\mathrm{last}"),
    "yaw_last": Name("rad", "last measured yaw", r"\psi_\mathrm{last}", real=True),
    "F_x": Name("N", "force backwards along the bicycle", real=True),
    "F_y": Name("N", "force towards the rider's left", real=True),
    "F_D": Name("N", "force along the air stream", real=True),
    "F_S": Name("N", "force across the air stream", real=True),
    "Re": Name("1", "Reynolds number", r"\mathrm{Re}"),
    "l": Name("m", "a size of the body", r"\ell"),
    "A_m": Name("m2", "frontal area of the model"),
    "A_s": Name("m2", "cross-section of the tunnel"),
    # the road
    "m": Name("kg", "all-up mass"),
    "m_r": Name("kg", "mass that spinning wheels seem to add"),
    "G": Name("1", "gradient, rise over run", real=True),
    "C_rr": Name("1", "rolling coefficient", r"C_\mathrm{rr}"),
    "J": Name("kg m2", "moment of inertia of the wheels"),
    "r": Name("m", "wheel radius"),
    "a": Name("m/s2", "acceleration", real=True),
    "k_b": Name("N/(m/s)", "bearing slope"),
    "F_b0": Name("N", "bearing force at rest"),
    "F_air": Name("N", "force of the air", r"F_\mathrm{air}", real=True),
    "F_r": Name("N", "rolling force"),
    "F_s": Name("N", "slope force", real=True),
    "F_b": Name("N", "bearing force"),
    "F_a": Name("N", "inertia force", real=True),
    "P": Name("W", "power at the crank"),
    "P_wheel": Name("W", "power at the wheel", r"P_\mathrm{wheel}"),
    "eta": Name("1", "drivetrain efficiency", r"\eta"),
    "s": Name("1", "share of the air in the resisting power"),
    "d": Name("m", "distance"),
    "t": Name("s", "time"),
    "dK_dd": Name("N", "kinetic energy gained a metre", r"\frac{dK}{dd}", real=True),
    # savings
    "dP": Name("W", "power saved", r"\Delta P", real=True),
    "P_before": Name("W", "power before", r"P_\mathrm{before}"),
    "P_after": Name("W", "power after", r"P_\mathrm{after}"),
    "dt": Name("s", "time saved", r"\Delta t", real=True),
    "dt_h": Name("s", "time saved in an hour", r"\Delta t_h", real=True),
    "t_h": Name("s", "an hour"),
    "v_before": Name("m/s", "speed before", r"v_\mathrm{before}"),
    "v_after": Name("m/s", "speed after", r"v_\mathrm{after}"),
    "gain": Name("1", "relative gain of speed", r"\Delta v/v", real=True),
    "x": Name("1", "relative cut of the drag area"),
    "dCdA": Name("m2", "drag area saved", r"\Delta C_\mathrm{d}A", real=True),
    "dv_dx": Name("", "slope of steady speed by an input", r"\partial v/\partial x", real=True),
    "dP_dx": Name("", "slope of power by an input", r"\partial P/\partial x", real=True),
    "dP_dv": Name("", "slope of power by speed", r"\partial P/\partial v"),
}

SYMBOLS = {name: entry.symbol(name) for name, entry in NAMES.items()}
_WORDS = {"mean": Function("mean"), "sum": Function("sum")}
_LATEX = {SYMBOLS[name]: entry.latex for name, entry in NAMES.items() if entry.latex}


@dataclass(frozen=True)
class Equation:
    """An equation as text, `left = right`, and as sympy."""

    text: str

    @cached_property
    def left(self):
        return self._parse(self.text.split("=")[0])

    @cached_property
    def right(self):
        return self._parse(self.text.split("=")[1])

    @property
    def latex(self):
        return latex(Eq(self.left, self.right, evaluate=False))

    @staticmethod
    def _parse(text):
        return sympy.sympify(text, locals=SYMBOLS | _WORDS)


def latex(expression):
    """LaTeX with the library's symbols."""
    return sympy.latex(expression, symbol_names=_LATEX)


EQUATIONS = {
    "air.saturation_vapour_pressure": ["p_sv = exp(A_v*T^2 + B_v*T + C_v + D_v/T)"],
    "air.density": ["rho = p*M_a/(Z*R*T)*(1 - x_v*(1 - M_v/M_a))"],
    "air.vapour_fraction": ["x_v = h*f*p_sv/p"],
    "air.dynamic_viscosity": ["mu = beta*T^(3/2)/(T + T_S)"],
    "air.standard_atmosphere": [
        "H = r_E*z/(r_E + z)",
        "T = T_0 - L*H",
        "p = p_0*(T/T_0)^(g/(L*R_s))",
        "rho = p/(R_s*T)",
    ],
    "air.station_pressure": ["p = p_sl*exp(-g*z/(R_s*T_m))", "T_m = T + L*z/2"],
    "wind.apparent_wind": [
        "u = v + w*cos(phi)",
        "c = w*sin(phi)",
        "v_a = sqrt(u^2 + c^2)",
        "yaw = atan2(c, u)",
    ],
    "wind.angle_to_road": ["phi = atan2(sin(wind_from - heading), cos(wind_from - heading))"],
    "wind.wind_at_height": ["w_z = w*log(z/z_0)/log(z_ref/z_0)"],
    "wind.rayleigh_exceedance": ["share = exp(-pi/4*(w/w_mean)^2)"],
    "wind.rayleigh_speeds": ["w = w_mean*sqrt(-4/pi*log(share))"],
    "drag.dynamic_pressure": ["q = rho*v_a^2/2"],
    "drag.drag_force": ["F = rho*v_a^2*CdA/2"],
    "drag.area_from_force": ["CdA = 2*F/(rho*v_a^2)"],
    "drag.from_along_road": ["CdA = CdA_along*cos(yaw)^2"],
    "drag.body_from_wind_axes": [
        "F_x = F_D*cos(yaw) - F_S*sin(yaw)",
        "F_y = F_D*sin(yaw) + F_S*cos(yaw)",
    ],
    "drag.wind_from_body_axes": [
        "F_D = F_x*cos(yaw) + F_y*sin(yaw)",
        "F_S = -F_x*sin(yaw) + F_y*cos(yaw)",
    ],
    "drag.build_up": ["CdA = sum(CdA_part) + CdA_int"],
    "drag.reynolds_number": ["Re = rho*v_a*l/mu"],
    "drag.blockage_factor": ["q_c/q = 1/(1 - A_m/A_s)^2"],
    "drag.YawCurve": ["C = C_last*cos(yaw)/cos(yaw_last)"],
    "drag.wind_averaged": ["CdA_w = mean(C*v_a^2)/v^2"],
    "resistance.rolling_force": ["F_r = C_rr*m*g*cos(atan(G))"],
    "resistance.slope_force": ["F_s = m*g*sin(atan(G))"],
    "resistance.bearing_resistance": ["F_b = F_b0 + k_b*v"],
    "resistance.rotating_mass": ["m_r = J/r^2"],
    "resistance.inertia_force": ["F_a = (m + m_r)*a"],
    "resistance.crank_power": ["P = P_wheel/eta"],
    "power.air_force": ["F_air = k_s*rho*v_a^2*(C + C_w)/2"],
    "power.power_balance": [
        "P_wheel = (F_air + F_r + F_s + F_b + F_a)*v",
        "s = F_air/(F_air + F_r + F_s + F_b)",
    ],
    "speed.steady_speed": ["P*eta = (F_air + F_r + F_s + F_b)*v"],
    "course.ride": ["dK_dd = P*eta/v - (F_air + F_r + F_s + F_b)"],
    "course.steady_ride": ["t = sum(d/v)"],
    "savings.watts_saved": ["dP = P_before - P_after"],
    "savings.time_saved": ["dt = d/v_before - d/v_after"],
    "savings.speed_gain": ["gain = v_after/v_before - 1"],
    "savings.time_saved_per_hour": ["dt_h = t_h*(1 - v_before/v_after)"],
    "savings.small_change_gain": ["gain = s/(1 + 2*s)*x"],
    "savings.drag_area_behind": ["dCdA = 2*dP/(rho*v_a*u*v)"],
    "savings.sensitivities": ["dv_dx = -dP_dx/dP_dv"],
}
EQUATIONS = {name: tuple(Equation(t) for t in texts) for name, texts in EQUATIONS.items()}


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
AIR_FACTOR, CONSTANT_FORCE = Symbol("a", positive=True), Symbol("b", positive=True)
SPEED, DISTANCE, SHARE = SYMBOLS["v"], SYMBOLS["d"], SYMBOLS["s"]
ROAD_POWER = AIR_FACTOR * SPEED**3 + CONSTANT_FORCE * SPEED
ROAD_SHARE = AIR_FACTOR * SPEED**2 / (AIR_FACTOR * SPEED**2 + CONSTANT_FORCE)


def _in_shares(expression):
    """The same, with the constant force written by the share of the air."""
    force = AIR_FACTOR * SPEED**2 * (1 - SHARE) / SHARE
    return sympy.factor(expression.subs(CONSTANT_FORCE, force))


def speed_gain_derivation():
    """Why a small cut of the drag area becomes at most a third of itself in speed."""
    a, v = AIR_FACTOR, SPEED
    by_drag, by_speed = sympy.diff(ROAD_POWER, a), sympy.diff(ROAD_POWER, v)
    gain = sympy.cancel(by_drag * a / (by_speed * v))
    in_shares = _in_shares(gain)
    return (
        Step(
            "Power at the wheel. Air power grows with the cube of speed, tyre and slope power in "
            "proportion to it; a is half the air density times the drag area, b the sum of the "
            "other forces.",
            "P",
            ROAD_POWER,
        ),
        Step(
            "A little more drag at the same speed costs this much.",
            r"\frac{\partial P}{\partial a}",
            by_drag,
        ),
        Step(
            "A little more speed with the same drag costs this much.",
            r"\frac{\partial P}{\partial v}",
            by_speed,
        ),
        Step(
            "At constant power the one pays for the other. So for each per cent that the drag area "
            "falls, speed rises by this many per cent.",
            r"-\,\frac{dv}{v} \Big/ \frac{dC_\mathrm{d}A}{C_\mathrm{d}A}",
            gain,
        ),
        Step(
            "The same, written with s, the air share of the power at the wheel.",
            r"-\,\frac{dv}{v} \Big/ \frac{dC_\mathrm{d}A}{C_\mathrm{d}A}",
            in_shares,
        ),
        Step(
            "If air took all the power, s = 1, it would be one third. For a small cut it is never "
            "more.",
            rf"\lim_{{s \to 1}} {latex(in_shares)}",
            sympy.limit(in_shares, SHARE, 1),
        ),
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
    return (
        Step(
            "Time is distance over speed, so the seconds saved for each unit of relative cut are "
            "d/v times the gain just found.",
            "T",
            seconds,
        ),
        Step(
            "As the rider pedals harder and v rises, that changes by:",
            r"\frac{dT}{dv}",
            slope,
        ),
        Step("It is zero, and the saving greatest, at one speed.", "v^*", peak),
        Step(
            "There the air share is one quarter, for every rider and every slope.",
            "s^*",
            sympy.simplify(ROAD_SHARE.subs(v, peak)),
        ),
    )


SLOW, FAST = Symbol("v_1", positive=True), Symbol("v_2", positive=True)


def mean_speed_derivation():
    """Why the slow half counts for more: the mean speed over two equal distances."""
    half = DISTANCE / 2
    time = half / SLOW + half / FAST
    mean = sympy.factor(DISTANCE / time)
    return (
        Step("Times add up. Half the road at each speed takes", "t", time),
        Step("The average speed is the whole road over the whole time.", r"\bar v = \frac{d}{t}", mean),
        Step(
            "The mean of the two speeds minus this is never below zero. It grows with the square "
            "of the gap between them.",
            r"\frac{v_1 + v_2}{2} - \bar v",
            sympy.factor((SLOW + FAST) / 2 - mean),
        ),
        Step(
            "With equal speeds both are the same.",
            r"\lim_{v_2 \to v_1} \bar v",
            sympy.limit(mean, FAST, SLOW),
        ),
    )


def density_derivation():
    """Why damp air is thinner: dry air and vapour share the pressure, and vapour is lighter."""
    p, T, R, M_a, M_v, h, p_sv = (SYMBOLS[n] for n in ("p", "T", "R", "M_a", "M_v", "h", "p_sv"))
    e = h * p_sv
    dry = p * M_a / (R * T)
    shared = (p - e) * M_a / (R * T) + e * M_v / (R * T)
    gathered = M_a / (R * T) * (p - (1 - M_v / M_a) * e)
    return (
        Step(
            "The gas law for dry air. M is the mass of a mole, R the gas constant, T in kelvin, "
            "p in pascals.",
            r"\rho",
            dry,
        ),
        Step(
            "In damp air the vapour provides part of the pressure: relative humidity times the "
            "saturation pressure. Dry air provides the remainder. Each weighs what its own moles "
            "weigh.",
            r"\rho",
            shared,
        ),
        Step(
            "Rearranged: like dry air, but with less pressure. How much less depends on the two "
            "molar masses.",
            r"\rho",
            gathered,
        ),
        Step(
            "1 % more pressure at the same temperature: 1 % more density.",
            r"\frac{d \ln \rho}{d \ln p}",
            sympy.simplify(sympy.diff(sympy.log(dry), p) * p),
        ),
        Step(
            "1 % more temperature, in kelvin: 1 % less density.",
            r"\frac{d \ln \rho}{d \ln T}",
            sympy.simplify(sympy.diff(sympy.log(dry), T) * T),
        ),
        Step(
            "Without vapour the third line becomes the first.",
            r"\lim_{h \to 0} \rho",
            sympy.limit(gathered, h, 0),
        ),
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

    def steepness(expression):
        return sympy.simplify(sympy.diff(sympy.log(expression), v) * v)

    return (
        Step(
            "The force of still air. At twice the speed you meet twice the air in a second, and it "
            "hits you twice as fast. k is half the air density times the drag area.",
            "F",
            force,
        ),
        Step("Power is force times the speed over the ground.", "P = F\\,v", power_),
        Step(
            "1 % more speed means 2 % more force. On a log-log picture this is the steepness of "
            "the line.",
            r"\frac{d \ln F}{d \ln v}",
            steepness(force),
        ),
        Step(
            "And 3 % more power.",
            r"\frac{d \ln P}{d \ln v}",
            steepness(power_),
        ),
        Step(
            "That holds for small changes. For a doubling, write 2v instead of v.",
            r"\frac{P(2v)}{P(v)}",
            sympy.simplify(power_.subs(v, 2 * v) / power_),
        ),
        Step(
            "The slip: the speed in km/h is a number 3.6 times larger than in m/s. The cube makes "
            "of it",
            r"\frac{P(3.6\,v)}{P(v)}",
            sympy.simplify(power_.subs(v, sympy.Rational(18, 5) * v) / power_),
        ),
        Step(
            "Standing still, you lose nothing to the air.",
            r"\lim_{v \to 0} P",
            sympy.limit(power_, v, 0),
        ),
    )


def air_share_derivation():
    """The share of the air: nothing at a walk, all at great speed, and one half where."""
    b, v = CONSTANT_FORCE, SPEED
    m, g, C_rr, G = (SYMBOLS[n] for n in ("m", "g", "C_rr", "G"))
    wheel = SYMBOLS["P_wheel"]
    (half,) = sympy.solve(sympy.Eq(ROAD_SHARE, sympy.Rational(1, 2)), v)
    steepness = sympy.simplify(sympy.diff(sympy.log(ROAD_POWER), v) * v)
    return (
        Step(
            "Power at the wheel in still air. a is half the air density times the drag area, b the "
            "sum of the forces that do not depend on speed.",
            "P",
            ROAD_POWER,
        ),
        Step(
            "Those forces are tyres and slope; both are proportional to the all-up mass.",
            "b",
            EQUATIONS["resistance.rolling_force"][0].right
            + EQUATIONS["resistance.slope_force"][0].right,
        ),
        Step("On slopes of a few per cent that is nearly the same as", r"b", m * g * (C_rr + G)),
        Step("The air share of the power.", "s", ROAD_SHARE),
        Step(
            "Very slowly, all of it goes into tyres and slope.",
            r"\lim_{v \to 0} s",
            sympy.limit(ROAD_SHARE, v, 0),
        ),
        Step(
            "Very fast, all of it goes into the air.",
            r"\lim_{v \to \infty} s",
            sympy.limit(ROAD_SHARE, v, sympy.oo),
        ),
        Step("It is one half at one speed.", r"v_{1/2}", half),
        Step(
            "At that speed both halves are equal, so b follows from the rider's power.",
            r"b_{1/2}",
            sympy.solve(ROAD_POWER.subs(v, half) - wheel, b)[0],
        ),
        Step(
            "1 % more speed costs between 1 % and 3 % more power, depending on s.",
            r"\frac{d \ln P}{d \ln v}",
            sympy.simplify(_in_shares(steepness)),
        ),
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
    ratio = r"-\,\frac{dv}{v} \Big/ \frac{dC_\mathrm{d}A}{C_\mathrm{d}A}"
    return (
        Step(
            "Power at the wheel into a headwind w. The force of the air grows with the square of "
            "the air speed, and it is multiplied by the ground speed; b is the force of tyres and "
            "slope.",
            "P",
            power,
        ),
        Step(
            "The same speed: each square metre less saves this many watts. It is the rule for "
            "taking a claim to your own speed.",
            r"\frac{\partial P}{\partial C_\mathrm{d}A}",
            by_drag,
        ),
        Step(
            "A little more speed with the same drag area costs this much.",
            r"\frac{\partial P}{\partial v}",
            by_speed,
        ),
        Step(
            "The same watts: what the cut saves is spent on speed. So for each per cent that the "
            "drag area falls, speed rises by this many per cent.",
            ratio,
            gain,
        ),
        Step(
            "The same in two pure numbers: S, the air share of the power at the wheel, and r, the "
            "ground speed over the air speed.",
            ratio,
            in_shares,
        ),
        Step("In still air r is 1, and S becomes s.", ratio, still.subs(S, SHARE)),
        Step(
            "If air took all the power, s = 1, it would be one third. For a small cut in still air "
            "it is never more.",
            rf"\lim_{{s \to 1}} {latex(still.subs(S, SHARE))}",
            sympy.limit(still, S, 1),
        ),
    )


def head_wind_gain():
    """Relative gain of speed for each unit of relative cut into a headwind, by S and r."""
    return head_wind_derivation()[4].right


def yaw_derivation():
    """The angle of the wind that a rider feels, and what it comes to at the ends."""
    v, w, phi = (SYMBOLS[name] for name in ("v", "w", "phi"))
    along, across = v + w * sympy.cos(phi), w * sympy.sin(phi)
    speed = sympy.sqrt(sympy.expand(along**2 + across**2).simplify())
    yaw, symbol = sympy.atan2(across, along), latex(SYMBOLS["yaw"])
    equal = sympy.sin(phi) / (1 + sympy.cos(phi))  # tangent of the yaw where w = v
    return (
        Step("Along the road, your own speed v and the wind's part from ahead add up.", "u", along),
        Step("Across the road there is only the wind.", "c", across),
        Step("Both together, by Pythagoras: the speed of the apparent wind.",
             "v_a", speed),
        Step("Its angle from straight ahead is the yaw.", symbol, yaw),
        Step(
            "Limit one: the faster you ride, the nearer the air comes from straight ahead.",
            rf"\lim_{{v \to \infty}} {symbol}",
            sympy.limit(sympy.atan(across / along), v, sympy.oo),
        ),
        Step(
            "Limit two: with as much wind as your own speed, the yaw is half the wind's angle.",
            rf"\tan {symbol} \Big|_{{w = v}} = {latex(equal)}",
            sympy.tan(phi / 2),
        ),
    )  # fmt: skip


# A drag area that bends with yaw: C_0 straight ahead, and k for each square of the yaw.
STRAIGHT, BEND = Symbol("C_0", positive=True), Symbol("k", real=True)


def mean_of_curve_derivation():
    """Why the drag area at the mean yaw is not the mean drag area."""
    yaw, away = SYMBOLS["yaw"], Symbol("delta", positive=True)
    here, left, right = (STRAIGHT + BEND * angle**2 for angle in (yaw, yaw - away, yaw + away))
    mean = sympy.expand((left + right) / 2)
    symbol = latex(yaw)
    return (
        Step("The simplest drag area that bends with yaw.", f"C({symbol})", here),
        Step(
            "Half the time the yaw is a little smaller, half the time a little larger. This is the "
            "mean of the two drag areas.",
            rf"\tfrac12 C({symbol} - \delta) + \tfrac12 C({symbol} + \delta)",
            mean,
        ),
        Step(
            "Subtract the drag area at the mean yaw. What is left does not depend on the yaw.",
            rf"\overline{{C}} - C(\overline{{{symbol}}})",
            sympy.factor(mean - here),
        ),
        Step(
            "Limit: it vanishes where the curve is straight, that is, without the bend k.",
            rf"\lim_{{k \to 0}} \left[\overline{{C}} - C(\overline{{{symbol}}})\right]",
            sympy.limit(mean - here, BEND, 0),
        ),
    )


def all_round_derivation():
    """Why a wind from all directions alike costs drag, even where the drag area never changes."""
    v, w, phi, area = (SYMBOLS[name] for name in ("v", "w", "phi", "C"))
    squared = sympy.simplify(sympy.expand((v + w * sympy.cos(phi)) ** 2 + (w * sympy.sin(phi)) ** 2))
    mean = sympy.integrate(squared, (phi, 0, 2 * sympy.pi)) / (2 * sympy.pi)
    averaged = area * sympy.expand(mean / v**2)
    return (
        Step("The square of the air speed, for a wind from the angle φ.", "v_a^2", squared),
        Step(
            "Its mean over all directions: headwind and tailwind cancel in the middle term, and "
            "the square of the wind remains.",
            r"\overline{v_a^2}",
            sympy.expand(mean),
        ),
        Step(
            "Times a drag area C that is the same at every yaw, over your speed squared: the "
            "wind-averaged drag area.",
            latex(SYMBOLS["CdA_w"]),
            averaged,
        ),
        Step(
            "Limit: without wind it is the drag area itself.",
            rf"\lim_{{w \to 0}} {latex(SYMBOLS['CdA_w'])}",
            sympy.limit(averaged, w, 0),
        ),
    )


TEST_SPEED = Symbol(r"v_\mathrm{test}", positive=True)
MASS_SAVED = Symbol(r"\Delta m", positive=True)


def claim_derivation():
    """What a claim in watts hangs on: power one on the watts, minus three on the test's speed."""
    rho, dP = SYMBOLS["rho"], SYMBOLS["dP"]
    area = 2 * dP / (rho * TEST_SPEED**3)
    mine = sympy.cancel(rho / 2 * area * SPEED**3)
    left = r"\Delta C_\mathrm{d}A"
    by = r"\frac{\partial \ln \Delta C_\mathrm{d}A}{\partial \ln %s}"
    return (
        Step("The drag area behind watts quoted in still air.", left, area),
        Step(
            "1 % more watts is 1 % more drag area.",
            by % r"\Delta P",
            sympy.cancel(sympy.diff(area, dP) * dP / area),
        ),
        Step(
            "1 % denser air is 1 % less of it.",
            by % r"\rho",
            sympy.cancel(sympy.diff(area, rho) * rho / area),
        ),
        Step(
            "1 % more test speed is 3 % less. So ask for the test speed first.",
            by % r"v_\mathrm{test}",
            sympy.cancel(sympy.diff(area, TEST_SPEED) * TEST_SPEED / area),
        ),
        Step("Your own watts, at your speed v, in the same air.", r"\Delta P_\mathrm{mine}", mine),
        Step(
            "Tested at your own speed, the printed watts are yours.",
            r"\lim_{v_\mathrm{test} \to v} \Delta P_\mathrm{mine}",
            sympy.limit(mine, TEST_SPEED, SPEED),
        ),
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
    return (
        Step(
            "Power at the wheel: a for the air, b for tyres and slope, as before.", "P", ROAD_POWER
        ),
        Step("The drag area is cut by x, and the speed stays the same. That saves:", r"\Delta P", spared),
        Step("As a share of the power:", r"\frac{\Delta P}{P}", share),
        Step(
            "The same, written with s, the air share. It holds for any cut.",
            r"\frac{\Delta P}{P}",
            in_shares,
        ),
        Step(
            "If air took all the power, a cut of x would pay for a loss of x.",
            rf"\lim_{{s \to 1}} {latex(in_shares)}",
            sympy.limit(in_shares, SHARE, 1),
        ),
        Step(
            "Drag area against mass: on a gentle slope both save the same force, at the same "
            "speed, where the gradient is:",
            "G",
            sympy.expand(gradient),
        ),
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
    area_latex = r"C_\mathrm{d}A"
    return (
        Step(
            "Crank power times the efficiency is what reaches the wheel. It overcomes the air, "
            "with the square of the air speed v + w, the tyres, and a small slope G.",
            r"P_\mathrm{wheel}",
            (rho * C * (v + w) ** 2 / 2 + (C_rr + G) * m * g) * v,
        ),
        Step("Solved for the drag area.", area_latex, area.subs(P * eta, wheel)),
        Step(
            "If you assume too high a coefficient of rolling resistance, the drag area comes out "
            "too low by this much for each unit. A slope does exactly the same.",
            rf"\frac{{\partial {area_latex}}}{{\partial C_\mathrm{{rr}}}}"
            rf" = \frac{{\partial {area_latex}}}{{\partial G}}",
            slopes["C_rr"],
        ),
        Step(
            "An unnoticed wind counts twice: if the air speed is 1 % wrong, the drag area is 2 % "
            "wrong.",
            rf"\frac{{\partial {area_latex}}}{{\partial w}}",
            by_wind,
        ),
        Step(
            "Out and back at the same speed, the wind is there once as w and once as −w. The mean "
            "of the squares contains only its square.",
            r"\tfrac12\left[(v + w)^2 + (v - w)^2\right]",
            sympy.expand(both),
        ),
        Step(
            "What is left of the wind, as a share: in a light wind it vanishes.",
            r"\lim_{w \to 0} \frac{v^2 + w^2}{v^2}",
            sympy.limit(sympy.expand(both) / v**2, w, 0),
        ),
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

    def relative(symbol):
        return rf"\frac{{1}}{{C_\mathrm{{d}}A}}\frac{{\partial C_\mathrm{{d}}A}}{{\partial {latex(symbol)}}}"

    return (
        Step(
            "The balance measures rider, bike and stand. Subtract what the empty stand shows, and "
            "divide by the dynamic pressure.",
            r"C_\mathrm{d}A",
            by_pressure,
        ),
        Step("With the dynamic pressure written out.", r"C_\mathrm{d}A", area),
        Step(
            "If the reading is one newton too high, the drag area is too large by this share. The "
            "smaller the net force, the larger the share.",
            relative(F),
            share_of(F),
        ),
        Step("If the tare is one newton too high, the drag area is too small by the same share.", relative(F_0), share_of(F_0)),
        Step(
            "If the density is 1 % too high, the drag area is 1 % too small.",
            relative(rho),
            share_of(rho),
        ),
        Step("Speed counts twice, because it is squared.", relative(v), share_of(v)),
        Step(
            "Without a stand it is again the relation between force and drag area.",
            r"\lim_{F_0 \to 0} C_\mathrm{d}A",
            sympy.limit(area, F_0, 0),
        ),
    )


RUNS, RUN_SPREAD, WANTED = (Symbol(name, positive=True) for name in ("n", "s", "d"))
OF_INTERVAL, OF_POWER = Symbol("z_1", positive=True), Symbol("z_2", positive=True)


def runs_needed_derivation():
    """How many runs a difference takes: Var(A - B) = 2 s^2/n, and n near 16 (s/d)^2."""
    n, s, d, z = RUNS, RUN_SPREAD, WANTED, OF_INTERVAL + OF_POWER
    variance = 2 * s**2 / n
    (needed,) = sympy.solve(sympy.Eq(d**2, z**2 * variance), n)
    needed = sympy.factor(needed)
    return (
        Step(
            "One run scatters about the truth with a variance of s squared. In the mean of n "
            "independent runs, high and low ones partly cancel.",
            r"\mathrm{Var}(\bar A)",
            s**2 / n,
        ),
        Step(
            "A difference of two means has the scatter of both.",
            r"\mathrm{Var}(\bar A - \bar B)",
            variance,
        ),
        Step(
            "Its square root is the standard uncertainty of the difference.",
            "u",
            sympy.sqrt(variance),
        ),
        Step(
            "The interval reaches z1 of them to either side: 1.96 for 95 %. For four sessions out "
            "of five to detect it, the true difference d must be another z2 larger: 0.84. Solved "
            "for n:",
            "n",
            needed,
        ),
        Step(
            "With these two numbers it is nearly sixteen times the square of s over d.",
            "n",
            needed.subs(_quantiles()).evalf(3),
        ),
        Step("Half the difference takes four times the runs.", r"\frac{n(d/2)}{n(d)}",
             sympy.simplify(needed.subs(d, d / 2) / needed)),
        Step(
            "And the mean of very many runs no longer scatters.",
            r"\lim_{n \to \infty} \mathrm{Var}(\bar A - \bar B)",
            sympy.limit(variance, n, sympy.oo),
        ),
    )  # fmt: skip


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


def nomenclature():
    """The symbols as a Markdown table."""
    rows = [f"| `{name}` | {entry.words} | {entry.unit or 'any'} |" for name, entry in NAMES.items()]
    return "\n".join(["| symbol | what | unit |", "| --- | --- | --- |", *rows])


if __name__ == "__main__":
    print(nomenclature())
