"""What DEVELOPERS.md says that a change touches is enough: each is made in a copy, whose tests then pass."""

import pytest
from mutations import PACKAGE, passes, project

QUESTION = '''

class M{next}(Kind):
    """From the crank to the wheel

    A rider gives {{crank}} W at the crank. The drivetrain's efficiency is {{efficiency:g}}. How many watts
    are left at the wheel?

    Idea: Power goes from the crank to the wheel, and some is lost on the way.
    Relation: wheel = crank × efficiency, W = W.
    Work: P = {{crank}} × {{efficiency:g}}.
    Why: The drivetrain loses a little, so the wheel gets less than the crank.

    Slip: This adds the loss. The wheel gets less than the crank.
    Slip same: This is the power at the crank, as if nothing were lost.
    """

    unit, digits = "W", 0
    crank = Number(240, 150, 300, 10)
    efficiency = Number(0.95, 0.9, 0.94, 0.01)

    def answers(g):
        yield "right", g.crank * g.efficiency
        yield "slip", g.crank / g.efficiency
        yield "slip same", g.crank
'''

OUTSIDE = '''def m{next}(g):
    return {{"": g.crank * g.efficiency, "M{next}": g.crank / g.efficiency, "M{next}-same": g.crank}}


OUTSIDE = '''

PANEL = '''"""Panel: what a drivetrain leaves of the power at the crank."""

from dataclasses import dataclass
from functools import partial
from operator import attrgetter

import numpy as np

from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.knobs import Knob
from dragwork.teaching.panels.panel import Panel

CRANK = 220.0  # W


@dataclass(frozen=True, eq=False)
class Left:
    """A loss, and the watts at the wheel: here, and over all losses of the picture."""

    loss: float
    wheel: float
    losses = np.linspace(0, 0.1, 21)
    wheels = CRANK * (1 - np.linspace(0, 0.1, 21))


def left(loss):
    """Watts at the wheel of the watts at the crank."""
    return Left(loss, CRANK * (1 - loss))


PICTURE = partial(
    Curves,
    "Watts at the wheel, of 220 W at the crank",
    Plane(
        Axis("Drivetrain loss, %", "%", 0, 10),
        Axis("Watts at the wheel", "W", 190, 230),
        Line("losses", "wheels", bare(QUANTITY["total"])),
        Line("loss", "wheel", QUANTITY["total"], lambda r: f"{r.wheel:.0f} W"),
        guesses=at("loss"),
    ),
)


def in_words(result):
    """The watts in one sentence."""
    return f"A drivetrain that loses {100 * result.loss:.1f} % leaves {result.wheel:.0f} W of {CRANK:.0f} W."


def chain_loss():
    """The panel: turn the loss."""
    loss = Knob("loss", "Drivetrain loss", "", "%", 1, 2.5, 8, 0.5, 1)
    return Panel((loss,), left, PICTURE(), in_words, observed=attrgetter("wheel"))
'''


FORCE = '''def spin_force(air_density, drag_area, ground_speed):
    """What it takes to spin the wheels in still air.

    Equation: F_air = rho*CdA*v^2/2

    Parameters
    ----------
    air_density : float or array [kg/m3]
        0.3 to 2.
    drag_area : float or array [m2]
        Of the spinning wheels, 0 to 5.
    ground_speed : float or array [m/s]
        0 to 45.

    Returns
    -------
    float or array [N]

    Source: SPIN2026
    """
    rho, area, v = checked(air_density=air_density, drag_area=drag_area, ground_speed=ground_speed)
    return rho * area * v**2 / 2


def rotating_mass('''

FOLLOWED = '''"""With 0.004 m2 that spin, every solver follows: 0.6 * 0.004 * v**2 more newtons, by hand."""

import numpy as np
import pytest

from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.speed import steady_speed

RIDER, CALM = Rider(80, 0.3, 0.005, 0.975), Conditions(air_density=1.2)
WATTS = (0.6 * 0.304 * 10**2 + 0.005 * 80 * 9.80665) * 10 / 0.975  # at 10 m/s


def test_spin_is_in_the_balance():
    assert power_balance(RIDER, CALM, 10.0).total == pytest.approx(WATTS, rel=1e-12)


def test_spin_is_in_the_steady_speed_and_the_ride():
    assert steady_speed(RIDER, CALM, WATTS) == pytest.approx(10, rel=1e-9)
    done = ride(Course([Leg(5000.0)]), RIDER, WATTS, air_density=1.2, start_speed=10.0)
    assert done.time == pytest.approx(500, rel=1e-6)


def test_spin_is_in_the_slope_of_speed_by_power():
    more = [steady_speed(RIDER, CALM, WATTS + step) for step in (-0.01, 0.01)]
    slope = (3 * 0.6 * 0.304 * 10**2 + 0.005 * 80 * 9.80665) / 0.975  # dP/dv
    assert np.diff(more)[0] / 0.02 == pytest.approx(1 / slope, rel=1e-4)
'''


@pytest.fixture(scope="module")
def copy():
    with project() as folder:
        yield folder


def write(path, *changes):
    """Changes of a text, each old one there once."""
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def hold(folder, tests, at_least):
    """Tests of the copy pass, so many at least."""
    good, said = passes(folder, tests)
    assert good, said[-3000:]
    assert int(said.split(" passed")[0].split()[-1]) >= at_least, said


@pytest.mark.tour
def test_a_question_with_two_slips_is_one_file_and_its_outside_numbers(copy):
    from dragwork.teaching.questions import KINDS

    number = {"next": len(KINDS) + 1}
    with (copy / PACKAGE / "teaching/questions/power.py").open("a", encoding="utf-8") as theme:
        theme.write(QUESTION.format(**number))
    outside = "tests/teaching/questions/test_slips_from_outside.py"
    write(copy / outside, ("OUTSIDE = ", OUTSIDE.format(**number)))
    which = f"'M{number['next']} or habits or numbered'"
    hold(copy, f"tests/teaching/questions tests/teaching/test_voice.py -k {which}", 15)


@pytest.mark.tour
def test_a_panel_with_one_slider_is_two_files(copy):
    panels = copy / PACKAGE / "teaching/panels"
    (panels / "chain_loss.py").write_text(PANEL, encoding="utf-8")
    write(
        panels / "__init__.py",
        ('from dragwork.teaching.panels.chance import',
         'from dragwork.teaching.panels.chain_loss import chain_loss\nfrom dragwork.teaching.panels.chance import'),
        ('"Panel", ', '"Panel", "chain_loss", '),
    )  # fmt: skip
    hold(copy, "tests/teaching/test_every_panel.py -k chain_loss", 5)


def test_a_term_in_a_force_is_a_function_a_place_in_the_sum_and_a_source(copy):
    physics = copy / PACKAGE / "physics"
    write(physics / "resistance.py", ("def rotating_mass(", FORCE))
    write(
        physics / "forces.py",
        ("import rolling_force, slope_force", "import rolling_force, slope_force, spin_force"),
        ('            "head_wind":', '            "spin": spin_force(conditions.air_density, 0.004, 1.0),\n            "head_wind":'),
        ('        air *= air_speed\n', '        air *= air_speed\n        air += self["spin"] * speed**2\n'),
        ('            by_speed += self["bearing_slope"]\n',
         '            by_speed += self["bearing_slope"]\n            by_speed += 2 * self["spin"] * speed\n'),
    )  # fmt: skip
    write(copy / PACKAGE / "sources.csv", ("ISO2533,", 'SPIN2026,Invented for a test.,page 1\nISO2533,'))
    # What the tests then ask for: names for its twin's symbols, a good call, a value from outside.
    write(copy / "tests/test_equations.py", (
        '    "resistance.rotating_mass":',
        '    "resistance.spin_force": {"rho": "air_density", "CdA": "drag_area", "v": "ground_speed"},\n    "resistance.rotating_mass":',
    ))  # fmt: skip
    write(copy / "tests/physics/test_bad_input.py", (
        "    resistance.rotating_mass:",
        '    resistance.spin_force: {"air_density": 1.2, "drag_area": 0.004, "ground_speed": 10.0},\n    resistance.rotating_mass:',
    ))  # fmt: skip
    (copy / "tests/physics/test_spin.py").write_text(FOLLOWED, encoding="utf-8")
    which = "'spin or symbols_alone or dimensions or docstring or good or range or nan or not_a_number'"
    hold(copy, f"tests/test_equations.py tests/physics/test_bad_input.py tests/physics/test_spin.py -k {which}", 10)
