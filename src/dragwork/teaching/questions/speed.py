"""M01 to M06 and M41: squares and cubes, and the unit that has to be right before them."""

from dragwork.constants import STANDARD_GRAVITY
from dragwork.physics.drag import drag_force
from dragwork.physics.power import power_balance
from dragwork.physics.resistance import crank_power, rolling_force
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.questions.drawing import Number, Someone
from dragwork.teaching.questions.question import Along
from dragwork.teaching.questions.wording import DENSITY, still
from dragwork.teaching.questions.written import near, question
from dragwork.units import kmh, percent, to_percent

_KMH = Number(39.6, 37.8, 45.0, 0.9)  # not 10 m/s, where force and power differ by ten


def _half_rho_area(g):
    return 0.5 * g.density * g.who.rider.drag_area


def _air_power(g):
    return power_balance(g.who.rider, still(g), kmh(g.kmh)).air


def _air_force(g):
    return drag_force(g.who.rider.drag_area, g.density, kmh(g.kmh))


def _crank(g, speed):
    return power_balance(g.who.rider, still(g), kmh(speed)).total


def _more_air_power(g):
    was, now = (power_balance(TOBIN.rider, still(g), v).air for v in (11, 11 * _factor(g)))
    return to_percent(now / was - 1)


def _factor(g):
    return 1 + percent(g.faster)


def _force_given(g):
    """The force of the air as a prompt prints it."""
    return round(float(_air_force(g)), 2)


def _rolling(g, speed):
    return rolling_force(g.who.rider.all_up_mass, g.more) * kmh(speed)


@question
class M01:
    """Air power at a speed in km/h

    {about_who} {flat_and_calm} How much power does the air take at {kmh:g} km/h? {at_the_wheel}

    Idea: Turn the speed into m/s first. What is the force of the air, and what is its power?
    Relation: P = 1/2 ρ CdA v³: W = kg/m³ × m² × (m/s)³.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. P = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³.
    Why: In m/s the cube of the speed gives watts.
    """

    unit, digits = "W", 0
    who = Someone(TOBIN)
    density = DENSITY
    kmh = _KMH
    along = Along("kmh", "Speed, km/h", 10, 60)
    right = _air_power

    def slip(g):
        """This is the cube of the km/h, the unit on every bike computer. Turn km/h into m/s first:
        the slip is cubed too."""
        return _half_rho_area(g) * g.kmh**3

    def slip_squared(g):
        """This has km/h in the square and m/s in the last step. Turn the speed into m/s first, and
        only once."""
        return _half_rho_area(g) * g.kmh**2 * kmh(g.kmh)

    def slip_last_step(g):
        """This is the right force times km/h. Newtons times metres per second gives watts."""
        return _air_force(g) * g.kmh

    def slip_force(g):
        """This is the force of the air in newtons, which comes first. Power is that force times the
        speed over the ground."""
        return _air_force(g)

    def slip_no_half(g):
        """This leaves out the half in 1/2 ρ v². It is easy to forget."""
        return 2 * _air_power(g)


@question
class M02:
    """Air force at a speed in km/h

    {about_who} {flat_and_calm} What is the force of the air on the rider at {kmh:g} km/h?

    Idea: A force grows with the square of the speed. Which unit must the speed have?
    Relation: F = 1/2 ρ CdA v²: N = kg/m³ × m² × (m/s)².
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. F = 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}².
    Why: In m/s the square of the speed gives newtons.
    """

    unit, digits = "N", 1
    who = Someone(TOBIN)
    density = DENSITY
    kmh = _KMH
    along = Along("kmh", "Speed, km/h", 10, 60)
    shown = {"kilograms": lambda g: _half_rho_area(g) * g.kmh**2 / STANDARD_GRAVITY}
    right = _air_force

    def slip(g):
        """This is drag with km/h squared. It would be like holding up {kilograms:.0f} kg: turn km/h
        into m/s first."""
        return _half_rho_area(g) * g.kmh**2

    def slip_power(g):
        """This is the power, with the cube of the speed. The force grows with the square; power is
        force times speed."""
        return _air_power(g)

    def slip_no_half(g):
        """This leaves out the half in 1/2 ρ v². It is easy to forget."""
        return 2 * _air_force(g)

    def slip_not_squared(g):
        """This uses the speed only once. At twice the speed you meet twice the air, and hit it
        twice as hard."""
        return _half_rho_area(g) * kmh(g.kmh)


@question
class M03:
    """Power from a force

    At {kmh:g} km/h, flat and calm, the force of the air on a rider is {force:.1f} N. How much power
    does that take? {at_the_wheel}

    Idea: Power is force times speed over the ground. Which unit must the speed have?
    Relation: P = F v: W = N × m/s.
    Work: v = {kmh:g} / 3.6 = {v:.2f} m/s. P = {force:.1f} × {v}.
    Why: Newtons times metres per second gives watts.
    """

    unit, digits = "W", 0
    force = Number(23.2, 16, 32, 0.4)
    kmh = _KMH
    along = Along("kmh", "Speed, km/h", 10, 60)

    def right(g):
        return g.force * kmh(g.kmh)

    def slip(g):
        """This is newtons times km/h. Newtons times m/s gives watts, so divide the km/h by 3.6
        first."""
        return g.force * g.kmh

    def slip_force(g):
        """This is the force. Power is the force times the speed over the ground."""
        return g.force

    def slip_times(g):
        """This multiplies the km/h by 3.6, the right number used the other way round. Divide
        instead."""
        return g.force * g.kmh * 3.6

    def slip_divided(g):
        """This is the force divided by the speed. Going faster takes more power, so multiply."""
        return g.force / kmh(g.kmh)


@question
class M04:
    """From force to power

    {about_who} {flat_and_calm} At {speed:.2f} m/s the force of the air is {force:.2f} N. How much
    power goes into the air? {at_the_wheel}

    Idea: If you lean on a wall, nothing moves and the power is zero. What is missing from the
    force?
    Relation: P = F v: W = N × m/s.
    Work: P = {force:.2f} × {speed:.2f}.
    Why: Power is the force times the speed over the ground.
    """

    unit, digits = "W", 0
    who = Someone(TOBIN)
    density = DENSITY
    kmh = _KMH
    along = Along("kmh", "Speed, km/h", 10, 60)
    shown = {"speed": lambda g: kmh(g.kmh), "force": _force_given}

    def right(g):
        return _force_given(g) * kmh(g.kmh)

    def slip(g):
        """This is the force given in the question. Power is the force times the speed over the
        ground."""
        return _force_given(g)

    def slip_kmh(g):
        """This is newtons times km/h. The speed is given in m/s, which is what watts need."""
        return _force_given(g) * g.kmh

    def slip_cubed(g):
        """This has one factor of speed too many. The force already has the square, and power takes
        one more."""
        return _force_given(g) * kmh(g.kmh) ** 2

    def slip_divided(g):
        """This is the force divided by the speed. Going faster takes more power, so multiply."""
        return _force_given(g) / kmh(g.kmh)


@question
class M05:
    """Power for more speed

    A rider goes {faster} % faster. {flat_and_calm} How much more power goes into the air, in %? Use
    the exact cube.

    Idea: The force grows with the square of the speed. And power is force times speed.
    Relation: P2 / P1 = (v2 / v1)³: no unit, W over W.
    Work: The power grows to {factor:.2f}³ = {cubed:.5f} times as much. More: 100 × ({cubed} - 1).
    Why: Force grows with the square, and you cover ground faster too: the cube.
    """

    unit, digits = "%", 1
    faster = Number(10, 7, 20, 1)
    density = DENSITY
    along = Along("faster", "Faster by, %", 0, 40)
    shown = {"factor": _factor}
    right = _more_air_power

    def slip(g):
        """This is how the force grows, with the square. You also cover ground faster, so power
        grows with the cube."""
        return to_percent(_factor(g) ** 2 - 1)

    def slip_in_step(g):
        """This makes power proportional to speed. Three things grow with speed: the air you meet,
        how hard you hit it, the ground you cover."""
        return g.faster

    def slip_tripled(g):
        """This is three times the percentage, the small-change rule. The change is not small:
        multiply by the factor three times."""
        return 3 * g.faster

    def slip_factor(g):
        """This is the factor by which the power grows. Take away 1 to see how much more it is, then
        turn it into %."""
        return _factor(g) ** 3

    def slip_new(g):
        """This is the new power as a percentage of the old. Take away the 100 % that was there
        before."""
        return to_percent(_factor(g) ** 3)


@question
class M06:
    """Crank power at a higher speed

    {about_who} {flat_and_calm} At {slow:g} km/h the ride takes {slow_watts:.0f} W. How many watts
    does it take at {fast:g} km/h? {at_the_crank}

    Idea: Split the power into air and tyres. Each grows in its own way.
    Relation: P = (1/2 ρ CdA v³ + Crr m g v) / 0.975: W at the crank, v in m/s.
    Work: v = {fast:g} / 3.6 = {v:.3f} m/s. Air: 1/2 × {density:.2f} × {who.rider.drag_area:.3f} ×
    {v}³ = {air:.2f} W. Tyres: {who.rider.rolling_coefficient:.4f} × {who.rider.all_up_mass:g} ×
    {gravity} × {v} = {tyres:.2f} W. At the crank: ({air} + {tyres}) / 0.975.
    Why: Air power grows with the cube of speed; rolling power is proportional to it.
    """

    unit, digits = "W", 0
    who = Someone(TOBIN)
    density = DENSITY
    slow = Number(39.6, 28.8, 36, 0.9)
    fast = Number(49.5, 39.6, 48.6, 0.9)
    along = Along("fast", "The higher speed, km/h", 20, 60)
    shown = {"slow_watts": lambda g: _crank(g, g.slow)}

    def right(g):
        return _crank(g, g.fast)

    def where(g):
        return g.fast >= 1.25 * g.slow

    def slip(g):
        """This cubes all of the power. Only the air power grows with the cube; rolling power is
        proportional to speed."""
        return _crank(g, g.slow) * (g.fast / g.slow) ** 3

    def slip_squared(g):
        """This grows with the square, as the force does. Power is force times speed."""
        return _crank(g, g.slow) * (g.fast / g.slow) ** 2

    def slip_in_step(g):
        """This is proportional to speed, as rolling power is. Air power grows with the cube."""
        return _crank(g, g.slow) * g.fast / g.slow

    @near
    def slip_wheel(g):
        """This is the power at the wheel. The crank gives more: divide by the efficiency."""
        return power_balance(g.who.rider, still(g), kmh(g.fast)).wheel


@question
class M41:
    """Worse tyres at half the speed

    {about_who} Flat and calm. Worse tyres raise the Crr by {more:g}, which costs {watts:.2f} W at
    {fast:g} km/h. What do they cost at {half:g} km/h? {at_the_wheel}

    Idea: The force of the tyres does not change with speed. What does their power do?
    Relation: P = Crr m g v: W = kg × m/s² × m/s.
    Work: F = {more:g} × {who.rider.all_up_mass:g} × {gravity} = {F:.5f} N at any speed. v =
    {half:g} / 3.6 = {v:.5f} m/s. P = {F} × {v}.
    Why: Rolling power is proportional to speed, not to its cube.
    """

    unit, digits = "W", 2
    who = Someone(TOBIN)
    more = Number(0.001, 0.0008, 0.002, 0.0002)
    fast = Number(36, 30, 45, 1)
    along = Along("fast", "The speed of the given cost, km/h", 10, 60)
    shown = {"watts": lambda g: _rolling(g, g.fast), "half": lambda g: g.fast / 2}

    def right(g):
        return _rolling(g, g.fast / 2)

    def slip(g):
        """This is an eighth, as air power would fall. The force of the tyres is the same at any
        speed."""
        return _rolling(g, g.fast) / 8

    def slip_squared(g):
        """This is a quarter, as drag would fall. The force of the tyres is the same at any speed."""
        return _rolling(g, g.fast) / 4

    def slip_same(g):
        """This is the cost at the higher speed. The force stays the same; the power is that force
        times a lower speed."""
        return _rolling(g, g.fast)

    @near
    def slip_crank(g):
        """This is the cost at the crank. The question asks for power at the wheel."""
        return crank_power(_rolling(g, g.fast / 2), 0.975)
