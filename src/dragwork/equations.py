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
    "power.air_force": ["F_air = rho*v_a^2*(C + C_w)/2"],
    "power.power_balance": [
        "P_wheel = (F_air + F_r + F_s + F_b + F_a)*v",
        "s = F_air/(F_air + F_r + F_s + F_b)",
    ],
    "speed.steady_speed": ["P*eta = (F_air + F_r + F_s + F_b)*v"],
    "course.ride": ["t = sum(d/v)"],
    "course.ride_dynamic": ["dK_dd = P*eta/v - (F_air + F_r + F_s + F_b)"],
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
            "Power at the wheel. Air grows with the cube of speed, tyres and slope in step with "
            "it; a stands for half the air density times the drag area, b for the other forces.",
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
            "At constant power the one pays for the other. So for each percent that the drag "
            "area falls, speed rises by this many percent.",
            r"-\,\frac{dv}{v} \Big/ \frac{dC_\mathrm{d}A}{C_\mathrm{d}A}",
            gain,
        ),
        Step(
            "The same, written with s, the share of the air in the resisting power.",
            r"-\,\frac{dv}{v} \Big/ \frac{dC_\mathrm{d}A}{C_\mathrm{d}A}",
            in_shares,
        ),
        Step(
            "If air were all the work, s = 1, it would be one third. For a small cut it is never "
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
            "There the air's share of the work is one quarter, for every rider and every slope.",
            "s^*",
            sympy.simplify(ROAD_SHARE.subs(v, peak)),
        ),
    )


def nomenclature():
    """The symbols as a Markdown table."""
    rows = [f"| `{name}` | {entry.words} | {entry.unit or 'any'} |" for name, entry in NAMES.items()]
    return "\n".join(["| symbol | what | unit |", "| --- | --- | --- |", *rows])


if __name__ == "__main__":
    print(nomenclature())
