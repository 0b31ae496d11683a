"""The twins: the text of the docstring, the numbers of the code, the dimensions, the derivations."""

import ast
import inspect
import re
from functools import cache
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import sympy
from loops import over
from scipy.optimize import minimize_scalar

import dragwork
from dragwork import equations
from dragwork.constants import CIPM2007, ISO2533, STANDARD_GRAVITY, ZERO_CELSIUS
from dragwork.equations import EQUATIONS, NAMES, SYMBOLS
from dragwork.physics import air, course, drag, power, resistance, savings, speed, wind
from dragwork.physics.power import Conditions, Rider
from dragwork.quantities import QUANTITIES
from dragwork.teaching import derivations

PACKAGE = Path(dragwork.__file__).parent
FLAT = [(name, twin) for name, twins in EQUATIONS.items() for twin in twins]


def of(name):
    """The function or class behind a twin."""
    module, attribute = name.split(".")
    return getattr(import_module(f"dragwork.physics.{module}"), attribute)


# ---- the text


def test_every_line_of_the_package_is_an_equation_of_physics():
    texts = {twin.text for _, twin in FLAT}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                doc = ast.get_docstring(node) or ""
                found = set(re.findall(r"^Equation: (.+)$", doc, re.MULTILINE))
                assert found <= texts, f"{path}: {node.name}"


@over(FLAT)
def test_twin_uses_named_symbols_alone(name, twin):
    assert twin.text.count("=") == 1
    symbols = twin.left.free_symbols | twin.right.free_symbols
    assert {s.name for s in symbols} <= set(NAMES)
    assert symbols <= set(SYMBOLS.values())  # same assumptions, not only the same name


def test_every_name_is_used():
    used = {s.name for _, twin in FLAT for s in twin.left.free_symbols | twin.right.free_symbols}
    assert set(NAMES) == used


def test_developers_page_has_the_nomenclature():
    page = PACKAGE.parents[1] / "DEVELOPERS.md"
    assert equations.nomenclature() in page.read_text(encoding="utf-8")


# ---- the numbers

RNG = np.random.default_rng(12)
NUMBER = 40
K = CIPM2007
CONSTANTS = {
    **dict(zip(("A_v", "B_v", "C_v", "D_v"), K.vapour)),
    "M_a": K.molar_mass_dry_air, "M_v": K.molar_mass_water, "R": K.molar_gas_constant,
    "T_0": ISO2533.temperature, "p_0": ISO2533.pressure, "L": ISO2533.lapse_rate,
    "R_s": ISO2533.gas_constant, "r_E": ISO2533.earth_radius, "g": STANDARD_GRAVITY,
    "beta": ISO2533.viscosity_factor, "T_S": ISO2533.viscosity_temperature, "t_h": 3600.0,
}  # fmt: skip
ARRAYS = {"mean": lambda x: np.mean(x, axis=-1), "sum": lambda x: np.sum(x, axis=-1)}

# symbol: the argument of the function that it stands for. Angles of the yaw curve: see CASES.
PLAIN = {
    "air.saturation_vapour_pressure": {"T": "temperature"},
    "air.density": {"T": "temperature", "p": "pressure", "h": "relative_humidity"},
    "air.vapour_fraction": {"T": "temperature", "p": "pressure", "h": "relative_humidity"},
    "air.dynamic_viscosity": {"T": "temperature"},
    "air.standard_atmosphere": {"z": "altitude"},
    "air.station_pressure": {"p_sl": "sea_level_pressure", "z": "altitude", "T": "temperature"},
    "wind.apparent_wind": {"v": "ground_speed", "w": "wind_speed", "phi": "angle"},
    "wind.angle_to_road": {"wind_from": "wind_from", "heading": "heading"},
    "wind.wind_at_height": {
        "w": "wind_speed", "z": "height", "z_0": "roughness_length", "z_ref": "reference_height",
    },
    "wind.rayleigh_exceedance": {"w": "wind_speed", "w_mean": "mean_wind_speed"},
    "drag.dynamic_pressure": {"rho": "air_density", "v_a": "air_speed"},
    "drag.drag_force": {"CdA": "drag_area", "rho": "air_density", "v_a": "air_speed"},
    "drag.area_from_force": {"F": "force", "rho": "air_density", "v_a": "air_speed"},
    "drag.from_along_road": {"CdA_along": "drag_area", "yaw": "yaw"},
    "drag.body_from_wind_axes": {"F_D": "drag", "F_S": "side_force", "yaw": "yaw"},
    "drag.wind_from_body_axes": {"F_x": "axial_force", "F_y": "side_force", "yaw": "yaw"},
    "drag.reynolds_number": {
        "rho": "air_density", "v_a": "air_speed", "l": "length", "mu": "dynamic_viscosity",
    },
    "drag.blockage_factor": {"A_m": "model_area", "A_s": "section_area"},
    "resistance.rolling_force": {
        "m": "all_up_mass", "C_rr": "rolling_coefficient", "G": "gradient",
    },
    "resistance.slope_force": {"m": "all_up_mass", "G": "gradient"},
    "resistance.bearing_resistance": {
        "v": "ground_speed", "F_b0": "bearing_force", "k_b": "bearing_slope",
    },
    "resistance.rotating_mass": {"J": "moment_of_inertia", "r": "wheel_radius"},
    "resistance.inertia_force": {
        "m": "all_up_mass", "m_r": "rotating_mass", "a": "acceleration",
    },
    "resistance.crank_power": {"P_wheel": "wheel_power", "eta": "drivetrain_efficiency"},
    "savings.small_change_gain": {"s": "air_share", "x": "drag_area_cut"},
}  # fmt: skip

# Where a sensible range is narrower than the allowed one.
RANGES = {
    "altitude": (1.0, 11_000.0), "air_speed": (1.0, 45.0), "height": (2.0, 100.0),
    "reference_height": (2.0, 100.0), "roughness_length": (1e-4, 0.2), "model_area": (0.1, 2.0),
    "section_area": (3.0, 20.0), "wheel_radius": (0.1, 0.5), "mean_wind_speed": (1.0, 15.0),
    "wheel_power": (1.0, 3000.0), "length": (0.01, 3.0), "dynamic_viscosity": (1e-5, 3e-5),
    "wind_from": (-3.0, 3.0), "heading": (-3.0, 3.0),
}  # fmt: skip


def draw(argument):
    low, high = RANGES.get(argument, (QUANTITIES[argument].low, QUANTITIES[argument].high))
    return RNG.uniform(low, high, NUMBER)


def _moist(known):
    T, p, h = known["T"], known["p"], known["h"]
    alpha, gamma, delta = K.enhancement
    x_v = air.vapour_fraction(T, p, h)
    return {
        "f": alpha + gamma * p + delta * (T - ZERO_CELSIUS) ** 2,
        "p_sv": air.saturation_vapour_pressure(T),
        "x_v": x_v,
        "Z": air._compressibility(T, p, x_v),
    }


# How the answer of a function is split into the left sides of its twins; else it is the one answer.
PARTS = {
    "air.standard_atmosphere": lambda a: {"T": a.temperature, "p": a.pressure, "rho": a.density},
    "wind.apparent_wind": lambda a: {"u": a.along, "c": a.across, "v_a": a.speed, "yaw": a.yaw},
    "drag.body_from_wind_axes": lambda a: {"F_x": a[0], "F_y": a[1]},
    "drag.wind_from_body_axes": lambda a: {"F_D": a[0], "F_S": a[1]},
    "air.station_pressure": lambda a: {"p": a},
}


def plain_case(name):
    """(what is known, what the code answers) for a function of numbers alone."""
    drawn = {symbol: draw(argument) for symbol, argument in PLAIN[name].items()}
    answer = of(name)(**{argument: drawn[symbol] for symbol, argument in PLAIN[name].items()})
    known = drawn | (_moist(drawn) if "h" in drawn else {})
    if name in PARTS:
        return known, PARTS[name](answer)
    return known, {str(EQUATIONS[name][0].left): answer}


def some_riding():
    """A rider with curves in all weathers, the speed, and each force by its own function."""
    rider = Rider(
        draw_between(50, 110), drag.YawCurve(np.deg2rad([0, 10, 20]), [0.3, 0.31, 0.28]),
        draw_between(0.002, 0.008), draw_between(0.9, 1), drag.YawCurve([0.0, 0.3], [0.004, 0.003]),
        draw_between(0, 0.2), draw_between(0, 0.02), draw_between(0, 2),
    )  # fmt: skip
    weather = Conditions(
        draw_between(0.9, 1.3), draw_between(0, 9), draw_between(-3, 3), draw_between(0.01, 0.08)
    )
    v, a = draw_between(2, 15), draw_between(0.0, 0.5)
    forces = {
        "F_air": power.air_force(rider, weather, v)[0],
        "F_r": resistance.rolling_force(
            rider.all_up_mass, rider.rolling_coefficient, weather.gradient
        ),
        "F_s": resistance.slope_force(rider.all_up_mass, weather.gradient),
        "F_b": resistance.bearing_resistance(v, rider.bearing_force, rider.bearing_slope),
        "F_a": resistance.inertia_force(rider.all_up_mass, rider.rotating_mass, a),
    }
    return SimpleNamespace(rider=rider, weather=weather, v=v, a=a, forces=forces)


def draw_between(low, high):
    return RNG.uniform(low, high, NUMBER)


def rayleigh_speeds():
    mean, number = 4.2, 7
    share = np.array([13, 11, 9, 7, 5, 3, 1]) / 14  # the middles of seven equal shares
    return {"w_mean": mean, "share": share}, {"w": wind.rayleigh_speeds(mean, number)}


def build_up():
    parts, interaction = draw_between(0.05, 0.3)[:, None] * [1.0, 0.5, 0.2], draw_between(-0.05, 0)
    answer = drag.build_up(dict(zip("abc", parts.T)), interaction)
    return {"CdA_part": parts, "CdA_int": interaction}, {"CdA": answer}


def yaw_curve():
    last, area = 0.3, 0.27
    yaw = np.linspace(0.31, np.pi, NUMBER)
    answer = drag.YawCurve([0, last], [0.3, area]).extended(yaw)
    return {"C_last": area, "yaw_last": last, "yaw": yaw}, {"C": answer}


def wind_averaged():
    v, w, phi = draw_between(5, 15), 4.0, np.linspace(-3, 3, 9)
    felt = wind.apparent_wind(v[:, None], w, phi)
    curve = drag.YawCurve([-1.5, 0.1, 1.5], [0.3, 0.33, 0.2])
    answer = drag.wind_averaged(curve, v, w, phi)
    return {"C": curve(felt.yaw), "v_a": felt.speed, "v": v}, {"CdA_w": answer}


def air_force():
    go = some_riding()
    felt = wind.apparent_wind(go.v, go.weather.wind_speed, go.weather.wind_angle)
    known = {
        "k_s": go.weather.shelter, "rho": go.weather.air_density, "v_a": felt.speed,
        "C": go.rider.drag_area.extended(felt.yaw),
        "C_w": go.rider.wheel_drag_area.extended(felt.yaw),
    }  # fmt: skip
    return known, {"F_air": go.forces["F_air"]}


def power_balance():
    go = some_riding()
    balance = power.power_balance(go.rider, go.weather, go.v, go.a)
    return go.forces | {"v": go.v}, {"P_wheel": balance.wheel, "s": balance.air_share}


def steady_speed():
    go = some_riding()
    P = draw_between(20, 500)
    go.v = speed.steady_speed(go.rider, go.weather, P)
    forces = go.forces | {
        "F_air": power.air_force(go.rider, go.weather, go.v)[0],
        "F_b": resistance.bearing_resistance(go.v, go.rider.bearing_force, go.rider.bearing_slope),
    }
    return forces | {"v": go.v}, {"P*eta": P * go.rider.drivetrain_efficiency}


def steady_ride():
    legs = [course.Leg(d, G) for d, G in ((700.0, 0.03), (1500.0, -0.01), (900.0, 0.0))]
    done = course.steady_ride(course.Course(legs), Rider(80, 0.3), 220, wind_speed=3, wind_from=1)
    return {"d": np.array([leg.distance for leg in legs]), "v": done.legs.speed}, {"t": done.time}


def ride():
    """Over a metre the kinetic energy rises by the twin's slope at its middle."""
    rider = Rider(80, 0.3, bearing_force=0.1, bearing_slope=0.01, rotating_mass=1.5)
    found, known = [], []
    for v, watts, G in ((6.0, 300.0, 0.02), (11.0, 150.0, -0.01), (9.0, 50.0, 0.04)):
        leg = course.Course([course.Leg(1.0, G)])
        done = course.ride(leg, rider, watts, wind_speed=2.0, start_speed=v)
        middle = (v + done.legs.end_speed[-1]) / 2
        weather = Conditions(wind_speed=2.0, gradient=G)
        known.append({
            "P": watts, "eta": 0.975, "v": middle,
            "F_air": power.air_force(rider, weather, middle)[0],
            "F_r": resistance.rolling_force(80, 0.004, G), "F_s": resistance.slope_force(80, G),
            "F_b": resistance.bearing_resistance(middle, 0.1, 0.01),
        })  # fmt: skip
        found.append(done.kinetic)
    return {k: np.array([row[k] for row in known]) for k in known[0]}, {"dK_dd": np.array(found)}


def saving(left):
    """A change of drag area at one power, or at one speed."""
    before, after, weather = Rider(80, 0.33), Rider(78, 0.30), Conditions(gradient=0.01)
    P, v, d = draw_between(50, 500), draw_between(3, 15), draw_between(100, 1e5)
    was, now = (speed.steady_speed(r, weather, P) for r in (before, after))
    totals = [power.power_balance(r, weather, v).total for r in (before, after)]
    known = {
        "P_before": totals[0], "P_after": totals[1], "d": d, "v_before": was, "v_after": now,
    }  # fmt: skip
    answers = {
        "dP": lambda: savings.watts_saved(before, after, weather, v),
        "dt": lambda: savings.time_saved(before, after, weather, P, d),
        "gain": lambda: savings.speed_gain(before, after, weather, P),
        "dt_h": lambda: savings.time_saved_per_hour(before, after, weather, P),
    }
    return known, {left: answers[left]()}


def drag_area_behind():
    watts, v = draw_between(-50, 50), draw_between(3, 15)
    weather = Conditions(draw_between(0.9, 1.3), draw_between(0, 2), draw_between(-3, 3))
    felt = wind.apparent_wind(v, weather.wind_speed, weather.wind_angle)
    known = {"dP": watts, "rho": weather.air_density, "v_a": felt.speed, "u": felt.along, "v": v}
    return known, {"dCdA": savings.drag_area_behind(watts, weather, v)}


def sensitivities():
    """For the rolling coefficient, with the slopes of wheel power by central differences."""
    go, step = some_riding(), 1e-4
    P = draw_between(50, 400)
    by = savings.sensitivities(go.rider, go.weather, P)

    def wheel(C_rr, v):
        fields = vars(go.rider) | {"rolling_coefficient": C_rr}
        return power.power_balance(Rider(**fields), go.weather, v).wheel

    C_rr, v = go.rider.rolling_coefficient, by.speed
    known = {
        "dP_dx": (wheel(C_rr + step, v) - wheel(C_rr - step, v)) / (2 * step),
        "dP_dv": (wheel(C_rr, v + step) - wheel(C_rr, v - step)) / (2 * step),
    }
    return known, {"dv_dx": by.rolling_coefficient}


CASES = {
    **{name: (lambda name=name: plain_case(name)) for name in PLAIN},
    "wind.rayleigh_speeds": rayleigh_speeds,
    "drag.build_up": build_up,
    "drag.YawCurve": yaw_curve,
    "drag.wind_averaged": wind_averaged,
    "power.air_force": air_force,
    "power.power_balance": power_balance,
    "speed.steady_speed": steady_speed,
    "course.ride": ride,
    "course.steady_ride": steady_ride,
    "savings.watts_saved": lambda: saving("dP"),
    "savings.time_saved": lambda: saving("dt"),
    "savings.speed_gain": lambda: saving("gain"),
    "savings.time_saved_per_hour": lambda: saving("dt_h"),
    "savings.drag_area_behind": drag_area_behind,
    "savings.sensitivities": sensitivities,
}
# A case that differentiates or integrates cannot agree to the last digits.
TOLERANCE = {"course.ride": 1e-4, "savings.sensitivities": 1e-6}


def value(expression, known):
    symbols = sorted(expression.free_symbols, key=str)
    function = sympy.lambdify(symbols, expression, modules=[ARRAYS, "numpy"])
    return function(*(known[symbol.name] for symbol in symbols))


def test_every_twin_has_a_case():
    assert set(CASES) == set(EQUATIONS)


@pytest.mark.parametrize("name", EQUATIONS)
def test_twin_gives_the_numbers_of_the_code(name):
    known, answers = CASES[name]()
    known = CONSTANTS | known
    asked, left_over = dict(answers), list(EQUATIONS[name])
    while left_over:  # an equation that needs another's left side waits for it
        ready = [t for t in left_over if {s.name for s in t.right.free_symbols} <= set(known)]
        assert ready, f"nothing gives {[t.text for t in left_over]}"
        for twin in ready:
            left_over.remove(twin)
            left, found = str(twin.left), value(twin.right, known)
            if left in asked:
                tolerance = TOLERANCE.get(name, 1e-11)
                expected = asked.pop(left)
                size = np.max(np.abs(expected))
                assert found == pytest.approx(expected, rel=tolerance, abs=tolerance * size)
            known = {left: found} | known
    assert not asked


# ---- the dimensions

GENERAL = {"savings.sensitivities": "x is any input, so its slopes have any unit"}
# The exponential is a pure number; the pascal is hidden in C_v, as the source has it.
HIDDEN = {"air.saturation_vapour_pressure": "pascal"}


@cache
def pints():
    """The units of a reference library, which is slow to load."""
    import pint

    return pint.UnitRegistry()


def quantity(unit):
    """Some number between 0 and 1 in that unit; no two alike, so that no logarithm is 0."""
    spelled = re.sub(r"([A-Za-z])(\d)", r"\1**\2", unit).replace(" ", "*").replace("^", "**")
    return pints().Quantity(RNG.uniform(0.1, 0.9), pints().parse_units(spelled) if unit != "1" else "")


WITH_UNITS = {"mean": lambda x: x, "sum": lambda x: x}


def dimension(expression):
    symbols = sorted(expression.free_symbols, key=str)
    function = sympy.lambdify(symbols, expression, modules=[WITH_UNITS, "numpy"])
    found = function(*(quantity(NAMES[symbol.name].unit) for symbol in symbols))
    return pints().Quantity(found).dimensionality


@over(FLAT)
def test_dimensions_agree(name, twin):
    if name in GENERAL:
        assert {NAMES[s.name].unit for s in twin.right.free_symbols} == {""}
        return
    left, right = dimension(twin.left), dimension(twin.right)
    if name in HIDDEN:
        right = right * pints().Quantity(1, HIDDEN[name]).dimensionality
    assert left == right


def test_dimensions_would_tell():
    from pint import DimensionalityError

    with pytest.raises(DimensionalityError):
        dimension(SYMBOLS["v"] + SYMBOLS["F"])
    with pytest.raises(DimensionalityError):
        dimension(sympy.exp(SYMBOLS["v"]))
    assert dimension(SYMBOLS["rho"] * SYMBOLS["v_a"] ** 2) != dimension(SYMBOLS["F"])


@over(PLAIN)
def test_symbols_have_the_unit_of_their_arguments(name):
    for symbol, argument in PLAIN[name].items():
        assert NAMES[symbol].unit == (QUANTITIES[argument].unit or "1"), symbol


NOT_RETURNED = {  # steps on the way, or sides of a balance
    "H", "T_m", "P*eta", "dK_dd",
}  # fmt: skip


@over(FLAT)
def test_docstring_returns_the_unit_of_the_twin(name, twin):
    returns = re.search(r"Returns\n-+\n(.+?)(?:\n\n(?:Raises|Source)|$)", inspect.getdoc(of(name)), re.DOTALL)
    if str(twin.left) in NOT_RETURNED or name == "drag.YawCurve":
        return
    unit = NAMES[str(twin.left)].unit if twin.left.is_Symbol else "1"
    if unit not in ("", "1"):
        assert re.search(rf"\[{re.escape(unit)}( at the \w+)?[\];]", returns[1])


# ---- the derivations


def test_speed_gain_is_s_over_one_plus_two_s():
    s = derivations.SHARE
    gain = derivations.gain_per_cut()
    assert sympy.simplify(gain - s / (1 + 2 * s)) == 0
    assert sympy.limit(gain, s, 0) == 0
    assert derivations.steps_of("speed_gain")[-1].right == sympy.Rational(1, 3)


def test_speed_gain_before_and_after_it_is_written_in_shares():
    """The step in a, b and v with the share put in is the step in s."""
    steps = derivations.steps_of("speed_gain")
    shares = steps[4].right.subs(derivations.SHARE, derivations.ROAD_SHARE)
    assert sympy.simplify(shares - steps[3].right) == 0


def test_speed_gain_is_that_of_the_cubic():
    """Solve P = a v^3 + b v for a little more and a little less a."""
    a, b, P, h = 0.19, 3.3, 215.0, 1e-6

    def solved(factor):
        (real,) = (x.real for x in np.roots([a * factor, 0, b, -P]) if abs(x.imag) < 1e-9)
        return real

    v = solved(1)
    elasticity = -(solved(1 + h) - solved(1 - h)) / (2 * h * v)
    share = a * v**2 / (a * v**2 + b)
    assert float(derivations.gain_per_cut().subs(derivations.SHARE, share)) == pytest.approx(
        elasticity, rel=1e-7
    )


@pytest.mark.parametrize("power_", [40.0, 220.0, 600.0])
@pytest.mark.parametrize("gradient", [0.0, 0.06])
def test_speed_gain_is_that_of_the_sensitivities(power_, gradient):
    rider, weather = Rider(80, 0.3), Conditions(gradient=gradient)
    by = savings.sensitivities(rider, weather, power_)
    share = power.power_balance(rider, weather, by.speed).air_share
    expected = float(derivations.gain_per_cut().subs(derivations.SHARE, share))
    assert -by.drag_area * 0.3 / by.speed == pytest.approx(expected, rel=1e-12)


def test_speed_gain_departs_where_its_conditions_fail():
    """With wind, or bearings that grow with speed, s/(1 + 2 s) is no longer the answer."""
    for rider, weather in (
        (Rider(80, 0.3), Conditions(wind_speed=4.0)),
        (Rider(80, 0.3, bearing_slope=0.2), Conditions()),
    ):
        by = savings.sensitivities(rider, weather, 220)
        share = power.power_balance(rider, weather, by.speed).air_share
        rule = float(derivations.gain_per_cut().subs(derivations.SHARE, share))
        assert abs(-by.drag_area * 0.3 / by.speed / rule - 1) > 0.01


def test_seconds_saved_peak_at_a_quarter():
    seconds, slope, peak, share = (s.right for s in derivations.steps_of("seconds_saved"))
    v = derivations.SPEED
    assert share == sympy.Rational(1, 4)
    assert sympy.simplify(sympy.diff(seconds, v) - slope) == 0
    assert sympy.simplify(slope.subs(v, peak)) == 0
    assert sympy.simplify(sympy.diff(seconds, v, 2).subs(v, peak)).is_negative
    assert sympy.limit(seconds, v, 0) == 0 and sympy.limit(seconds, v, sympy.oo) == 0


@pytest.mark.parametrize("gradient", [0.04, 0.10])
def test_the_peak_is_where_solving_again_finds_it(gradient):
    """Search for the power that makes the exact saving of a tiny cut greatest."""
    before, weather = Rider(80, 0.3), Conditions(gradient=gradient)
    after = Rider(80, 0.3 * (1 - 1e-6))

    def saved(watts):
        return -savings.time_saved(before, after, weather, watts, 1e5)

    best = minimize_scalar(saved, bounds=(20, 2999), method="bounded", options={"xatol": 1e-3}).x
    v = speed.steady_speed(before, weather, best)
    peak = derivations.steps_of("seconds_saved")[2].right
    a, b = derivations.AIR_FACTOR, derivations.CONSTANT_FORCE
    force = power.power_balance(before, weather, v)
    expected = float(peak.subs({a: 0.5 * 1.2 * 0.3, b: (force.rolling + force.slope) / v}))
    assert v == pytest.approx(expected, rel=1e-3)
    assert force.air_share == pytest.approx(0.25, abs=1e-3)


@pytest.mark.parametrize("name", ["speed_gain", "seconds_saved"])
def test_steps_can_be_read(name):
    for step in derivations.steps_of(name):
        assert step.words[0].isupper() and step.words[-1] in ".:"
        assert max(len(s.split()) for s in re.split(r"[.;:,] ", step.words)) <= 25
        assert step.latex.startswith(step.left)


# ---- the wind


def test_head_wind_gain_is_that_of_the_sensitivities():
    rider = Rider(80, 0.3)
    for wind_speed, angle in ((0.0, 0.0), (4.0, 0.0), (3.0, np.pi)):
        weather = Conditions(wind_speed=wind_speed, wind_angle=angle)
        by = savings.sensitivities(rider, weather, 220)
        share = power.power_balance(rider, weather, by.speed).air_share
        ratio = by.speed / (by.speed + wind_speed * np.cos(angle))
        expected = derivations.head_wind_gain().subs(
            {derivations.WIND_SHARE: share, derivations.RATIO: ratio}
        )
        assert -by.drag_area * 0.3 / by.speed == pytest.approx(float(expected), rel=1e-9)


def test_head_wind_gain_in_still_air_is_the_gain_per_cut():
    still = derivations.head_wind_gain().subs(
        {derivations.RATIO: 1, derivations.WIND_SHARE: derivations.SHARE}
    )
    assert sympy.simplify(still - derivations.gain_per_cut()) == 0
    assert derivations.steps_of("head_wind")[-1].right == sympy.Rational(1, 3)


def test_head_wind_before_and_after_it_is_written_in_shares():
    v, w, rho, area = (SYMBOLS[name] for name in ("v", "w", "rho", "CdA"))
    steps = derivations.steps_of("head_wind")
    air = rho * area * (v + w) ** 2 / 2
    shares = {derivations.WIND_SHARE: air / (air + derivations.CONSTANT_FORCE)}
    shares[derivations.RATIO] = v / (v + w)
    assert sympy.simplify(steps[4].right.subs(shares) - steps[3].right) == 0
    assert sympy.simplify(steps[0].right.diff(area) - steps[1].right) == 0
    assert sympy.simplify(steps[0].right.diff(v) - steps[2].right) == 0


def test_yaw_is_that_of_the_library_and_half_the_angle_where_speeds_are_equal():
    v, w, phi = (SYMBOLS[name] for name in ("v", "w", "phi"))
    steps = [step.right for step in derivations.steps_of("yaw")]
    at = {v: 8.3623, w: 2.94, phi: -np.pi / 6}  # the worked example of Martin et al. (1998)
    felt = wind.apparent_wind(8.3623, 2.94, -np.pi / 6)
    found = [float(step.subs(at)) for step in steps[:4]]
    assert found == pytest.approx([felt.along, felt.across, felt.speed, felt.yaw], rel=1e-12)
    assert steps[4] == 0
    tangent = (steps[1] / steps[0]).subs(w, v)
    for angle in (0.3, 1.2, -2.5):
        assert float((tangent - steps[5]).subs({phi: angle, v: 4.0})) == pytest.approx(0, abs=1e-12)


def test_mean_of_a_bent_curve_lies_off_the_curve_by_the_bend():
    here, mean, off, straight = (step.right for step in derivations.steps_of("mean_of_curve"))
    at = {SYMBOLS["yaw"]: 4, derivations.STRAIGHT: 0.24, derivations.BEND: -0.0001, "delta": 10}
    at = {sympy.Symbol("delta", positive=True) if k == "delta" else k: n for k, n in at.items()}
    by_hand = 0.24 - 0.0001 * (14**2 + 6**2) / 2
    assert float(mean.subs(at)) == pytest.approx(by_hand)
    assert float(off.subs(at)) == pytest.approx(by_hand - (0.24 - 0.0001 * 16))
    assert straight == 0


def test_all_round_is_the_wind_averaged_drag_area_of_a_flat_curve():
    v, w, area = (SYMBOLS[name] for name in ("v", "w", "C"))
    flat = drag.YawCurve(np.deg2rad([0, 80]), [0.3, 0.3])
    averaged = derivations.steps_of("all_round")[2].right.subs({v: 10, w: 4, area: 0.3})
    assert drag.wind_averaged(flat, 10, 4) == pytest.approx(float(averaged), rel=1e-12)


@pytest.mark.parametrize("name", ["head_wind", "yaw", "mean_of_curve", "all_round"])
def test_steps_of_the_wind_can_be_read(name):
    test_steps_can_be_read(name)


def test_mean_speed_over_two_halves():
    steps = [step.right for step in derivations.steps_of("mean_speed")]
    at = {derivations.SLOW: 20, derivations.FAST: 40, derivations.DISTANCE: 20}
    assert float(steps[0].subs(at)) == pytest.approx(10 / 20 + 10 / 40)
    assert float(steps[1].subs(at)) == pytest.approx(26.667, abs=1e-3)  # a lesson's number
    assert float(steps[2].subs(at)) == pytest.approx(30 - 26.667, abs=1e-3)
    assert steps[3] == derivations.SLOW
