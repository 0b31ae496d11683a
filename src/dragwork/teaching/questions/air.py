"""M22 to M26: how dense the air is, and what that does to speed."""

from dragwork import physics
from dragwork.constants import ISO2533
from dragwork.physics.air import saturation_vapour_pressure
from dragwork.teaching.questions.wording import Printed, speed_change, still
from dragwork.teaching.questions.written import Kind, LikeTobin, Number
from dragwork.units import celsius, hectopascal, percent, to_percent


def _ideal(pressure, temperature):
    """Density by the ideal gas law, in whatever units are put in: so that a slip can be made."""
    return pressure / (round(ISO2533.gas_constant, 2) * temperature)  # as the prompts print it


def _gain(g, thinner=0.0, power=None):
    """Speed gained [%] in air that is thinner by a share, at another power where one is given."""
    thin = still(g, air_density=g.density * (1 - thinner))
    now = physics.steady_speed(g.who.rider, thin, g.who.power if power is None else power)
    return to_percent(now / physics.steady_speed(g.who.rider, still(g), g.who.power) - 1)


def _vapour(g):
    """Pressure of the water vapour in the air [Pa], as the prompt prints it."""
    return round(percent(g.humidity) * float(saturation_vapour_pressure(celsius(g.celsius))))


class M22(Kind):
    """Density of dry air

    The air is dry and at {celsius:g} °C; the station pressure is {pressure:g} hPa. The gas constant
    of dry air is {R} J/(kg K). What is its density?

    Idea: In the gas law, temperature starts at absolute zero and pressure is in pascals.
    Relation: ρ = p / (R T): kg/m³ = Pa / (J/(kg K) × K).
    Work: p = 100 × {pressure:g} = {p:.0f} Pa; T = {celsius:g} + 273.15 = {T:.2f} K. ρ = {p} /
    ({R} × {T}).
    Why: The gas law needs pascals and kelvin.

    Slip: This has the temperature in °C, as the thermometer shows it. The gas law needs kelvin: add
    273.15.
    Slip hectopascal: This has the pressure in hPa, as a forecast gives it. The gas law needs
    pascals: times 100.
    Slip both: This has both readings in °C and hPa. The gas law needs kelvin and pascals.
    """

    unit, digits = "kg/m3", 3
    celsius = Number(20, 13, 20, 0.5, along=("Temperature, °C", 5, 40))
    pressure = Number(1013.25, 980, 1035, 1)

    def answers(g):
        yield "right", _ideal(hectopascal(g.pressure), celsius(g.celsius))
        yield "slip", _ideal(hectopascal(g.pressure), g.celsius)
        yield "slip hectopascal", _ideal(g.pressure, celsius(g.celsius))
        yield "slip both", _ideal(g.pressure, g.celsius)


class M23(Kind):
    """Density up on the hill

    A road is at {altitude:g} m. At the road it is {celsius:g} °C and dry. The forecast says
    {forecast:g} hPa, reduced to sea level; assume that air cools by 0.0065 K per metre on the way
    up. The gas constant of dry air is {R} J/(kg K). What is the density of the air on the road?

    Idea: A forecast gives the pressure at sea level. First convert it to the road.
    Relation: p = p0 exp(-g h / (R Tm)), then ρ = p / (R T). exp(x) is e = 2.718 to the power x; Tm
    is the mean temperature of the air from the sea up to the road, Tm = T + 0.00325 K/m × h.
    Work: T = {celsius:g} + 273.15 = {T:.2f} K; Tm = {T} + 0.00325 × {altitude} = {Tm:.4f} K. p =
    {sea:.0f} × exp(-{gravity} × {altitude} / ({R} × {Tm})) = {p:.1f} Pa. ρ = {p} / ({R} ×
    {T}).
    Why: The density depends on the pressure where you ride, not on the one at sea level.

    Slip: This is the density at the forecast's pressure. Forecasts are reduced to sea level; up
    here the pressure is lower.
    Slip celsius: This has the temperature in °C, as the thermometer shows it. The gas law needs
    kelvin: add 273.15.
    Slip both: This has the temperature in °C and the pressure at sea level. First find the pressure
    at the road, then use kelvin.
    """

    unit, digits = "kg/m3", 3
    altitude = Number(800, 600, 1500, 50, along=("Altitude, m", 0, 2500))
    forecast = Number(1013, 995, 1030, 1)
    celsius = Number(20, 13, 20, 0.5)
    derived = {"sea": lambda g: hectopascal(g.forecast)}

    def answers(g):
        here = physics.station_pressure(g.sea, g.altitude, celsius(g.celsius))
        yield "right", _ideal(here, celsius(g.celsius))
        yield "slip", _ideal(g.sea, celsius(g.celsius))
        yield "slip celsius", _ideal(here, g.celsius)
        yield "slip both", _ideal(g.sea, g.celsius)


class M24(Kind):
    """Damp air

    Air at {celsius:g} °C and {pressure:g} hPa has a relative humidity of {humidity} %; the vapour
    pressure in it is {vapour} Pa. By what percentage does its density differ from that of dry air?
    Treat both as ideal gases. Give the sign: + is denser.

    Idea: At a given pressure vapour replaces some of the air. Which of the two is lighter?
    Relation: ρ = (p - 0.378 e) / (R T), with e the vapour's pressure in Pa: the change is -0.378 e
    / p.
    Work: p = 100 × {pressure:g} = {p:.0f} Pa. Change: -100 × 0.378 × {vapour} / {p}.
    Why: A molecule of water is lighter than the air it replaces, so damp air is a little thinner.

    Slip: The number is right, the sign is not. Damp air feels heavy, yet water vapour is lighter
    than the air it replaces.
    Slip weightless: This gives the vapour no mass at all. It has about five eighths of the mass of
    the air it replaces.
    Slip added: This adds the vapour on top of the air. At a given pressure, vapour replaces some of
    the air.
    Slip vapour left: This is the mass of the vapour as a fraction. What is missing is the
    difference: 0.378 of the vapour's fraction.
    """

    unit, digits = "%", 2
    celsius = Number(30, 25, 29, 0.5)
    pressure = Number(1013.25, 980, 1035, 1)
    humidity = Number(70, 50, 95, 5, along=("Relative humidity, %", 0, 100))
    derived = {"vapour": _vapour}

    def answers(g):
        change = -to_percent(0.378 * g.vapour / hectopascal(g.pressure))
        yield "right", change
        yield "slip", -change
        yield "slip weightless", -g.vapour / g.pressure
        yield "slip added", g.vapour / g.pressure
        yield "slip vapour left", -0.622 * g.vapour / g.pressure


class M25(LikeTobin):
    """A warmer day

    {about_who} {who.power} W at the crank. {flat_and_calm} It is {celsius} °C. Then the day gets
    {warmer} °C warmer; pressure, power and Crr stay the same. How much faster is the rider, in %?
    {at_the_crank} {solve_again}

    Idea: First how much thinner the air gets, in kelvin. Then what thinner air does to speed.
    Relation: ρ2 = ρ1 × T1 / T2 (K / K); then solve P = ρ2 CdA v³/2 + Crr m g v for v. P is in W at
    the wheel.
    Why: Only about a third of the loss in density shows up as speed.

    Slip: This is how much thinner the air gets. Speed gains only about a third of it, because going
    faster raises the drag again.
    Slip all air: This is the pure cube law, as if the tyres took nothing. They take more at the
    higher speed.
    Slip share: This is the power that warm air would save at the old speed. The speed rises until
    that power is used again.
    Slip celsius: This compares the two temperatures in °C, which doesn't start at absolute zero.
    Convert to kelvin first.
    """

    unit, digits = "%", 2
    celsius = Number(20, 10, 20, 1)
    warmer = Number(10, 8, 15, 1, along=("Warmer by, °C", 0, 20))

    def work(g):
        cold, warm = (Printed(celsius(t), 2) for t in (g.celsius, g.celsius + g.warmer))
        density = Printed(g.density * cold / warm, 5)
        return f"""T1 = {g.celsius} + 273.15 = {cold} K; T2 = {cold} + {g.warmer} = {warm} K. ρ2 = {g.density:.2f} ×
            {cold} / {warm} = {density} kg/m³. {speed_change(g, density=float(density))}"""

    def answers(g):
        thinner = 1 - celsius(g.celsius) / celsius(g.celsius + g.warmer)
        speed = physics.steady_speed(g.who.rider, still(g), g.who.power)
        air_share = physics.power_balance(g.who.rider, still(g), speed).air_share
        yield "right", _gain(g, thinner)
        yield "rule", to_percent(physics.small_change_gain(air_share, thinner))
        yield "slip", to_percent(thinner)
        yield "slip all air", to_percent((1 - thinner) ** (-1 / 3) - 1)
        yield "slip share", to_percent(air_share * thinner)
        yield "slip celsius", to_percent(1 - g.celsius / (g.celsius + g.warmer))


class M26(LikeTobin):
    """Thin air and fewer watts

    {about_who} {who.power} W at the crank. {flat_and_calm} At altitude the air is {thinner} %
    thinner, and the power is {weaker} % less, as the rider reports. By what percentage does the
    speed change? Give the sign: + is faster. {at_the_crank} {solve_again}

    Idea: Two things change at once: the air helps, the lost power hurts. Solve with both.
    Relation: Solve P = ρ CdA v³/2 + Crr m g v for v with the new ρ (kg/m³) and the new P (W at the
    wheel).
    Why: Thin air helps the bike but costs the rider watts, so include both.

    Slip: This is the cube law for thin air alone. The rider also has less power up there, and the
    tyres roll no more easily.
    Slip power kept: This is thin air with the power at sea level. Thin air costs the rider watts
    too: include both.
    Slip air kept: This is the loss of power in the old air. The thinner air gives some of it back.
    """

    unit, digits = "%", 1
    thinner = Number(20, 15, 25, 1, along=("Air thinner by, %", 0, 40))
    weaker = Number(10, 6, 10, 1)
    derived = {"weak": lambda g: round(g.who.power * (1 - percent(g.weaker)), 3)}

    def work(g):
        density = Printed(g.density * (1 - percent(g.thinner)), 4)
        return f"""ρ = {1 - percent(g.thinner):.2f} × {g.density:.2f} = {density} kg/m³. Power:
            {1 - percent(g.weaker):.2f} × {g.who.power} = {g.weak:.1f} W.
            {speed_change(g, density=float(density), power=g.weak)}"""

    def answers(g):
        thinner = percent(g.thinner)
        yield "right", _gain(g, thinner, g.weak)
        yield "slip", to_percent((1 - thinner) ** (-1 / 3) - 1)
        yield "slip power kept", _gain(g, thinner)
        yield "slip air kept", _gain(g, power=g.weak)
