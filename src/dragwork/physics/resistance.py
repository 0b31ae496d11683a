"""What holds a rider back besides the air: tyres, slope, bearings, inertia, and the chain's cut."""

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.quantities import checked


def rolling_force(all_up_mass, rolling_coefficient, gradient=0.0):
    """Rolling resistance of the tyres.

    Equation: F_r = C_rr*m*g*cos(atan(G))

    Parameters
    ----------
    all_up_mass : float or array [kg]
        Rider, bicycle, bottles and clothing; above 0 to 1000.
    rolling_coefficient : float or array
        0 to 0.2; road tyres lie near 0.003 to 0.008 (common practice, no source).
    gradient : float or array
        Rise over run, -0.4 to 0.4.

    Returns
    -------
    float or array [N]
        Taken as independent of speed and of yaw.

    Source: MARTIN1998
    """
    m, G = checked(all_up_mass=all_up_mass, gradient=gradient)
    C_rr = checked(rolling_coefficient=rolling_coefficient)
    return C_rr * m * STANDARD_GRAVITY / np.sqrt(1 + G**2)


def slope_force(all_up_mass, gradient):
    """The part of the weight that points down the road.

    Equation: F_s = m*g*sin(atan(G))

    Parameters
    ----------
    all_up_mass : float or array [kg]
        Above 0 to 1000.
    gradient : float or array
        Rise over run, -0.4 to 0.4; 0.05 is a 5 % climb.

    Returns
    -------
    float or array [N]
        Negative downhill, where it pushes.

    Source: MARTIN1998
    """
    m, G = checked(all_up_mass=all_up_mass, gradient=gradient)
    return m * STANDARD_GRAVITY * G / np.sqrt(1 + G**2)


def bearing_resistance(ground_speed, bearing_force, bearing_slope):
    """Friction of the wheel bearings.

    Equation: F_b = F_b0 + k_b*v

    Parameters
    ----------
    ground_speed : float or array [m/s]
        0 to 45.
    bearing_force : float or array [N]
        The part that does not change with speed; the source measured 0.091.
    bearing_slope : float or array [N/(m/s)]
        The part that does; the source measured 0.0087.

    Returns
    -------
    float or array [N]

    Source: MARTIN1998
    """
    v = checked(ground_speed=ground_speed)
    constant, slope = checked(bearing_force=bearing_force, bearing_slope=bearing_slope)
    return constant + slope * v


def rotating_mass(moment_of_inertia, wheel_radius):
    """The mass that spinning wheels seem to add when speed changes.

    Equation: m_r = J/r^2

    Parameters
    ----------
    moment_of_inertia : float or array [kg m2]
        Of both wheels together, 0 to 10.
    wheel_radius : float or array [m]
        Above 0 to 2.

    Returns
    -------
    float or array [kg]

    Source: MARTIN1998
    """
    J, r = checked(moment_of_inertia=moment_of_inertia, wheel_radius=wheel_radius)
    return J / r**2


def inertia_force(all_up_mass, rotating_mass, acceleration):
    """Force that a change of speed takes.

    Equation: F_a = (m + m_r)*a

    Parameters
    ----------
    all_up_mass : float or array [kg]
        Above 0 to 1000.
    rotating_mass : float or array [kg]
        What the spinning wheels add, see `rotating_mass`; 0 to 100.
    acceleration : float or array [m/s2]
        -20 to 20.

    Returns
    -------
    float or array [N]

    Source: MARTIN1998
    """
    m, m_r = checked(all_up_mass=all_up_mass, rotating_mass=rotating_mass)
    return (m + m_r) * checked(acceleration=acceleration)


def crank_power(wheel_power, drivetrain_efficiency):
    """Power at the crank for a power at the wheel.

    Equation: P = P_wheel/eta

    Parameters
    ----------
    wheel_power : float or array [W]
        What the road asks for. Negative (the road pushes) passes unchanged: the chain then
        carries nothing and the brakes must take it.
    drivetrain_efficiency : float or array
        0.5 to 1; a clean chain drive loses about 2 +- 1.5 %, SMIT2023.

    Returns
    -------
    float or array [W]

    Source: MARTIN1998
    """
    wheel, eta = checked(wheel_power=wheel_power, drivetrain_efficiency=drivetrain_efficiency)
    return np.where(wheel >= 0, wheel / eta, wheel)[()]
