"""What the sentences of several panels say alike."""

from dragwork.units import to_percent


def into_wind(speed):
    """A headwind, where there is one: ` into 3.0 m/s of wind`."""
    return f" into {speed:.1f} m/s of wind" if speed else ""


def on_a_slope(gradient, so="at"):
    """`on the flat`, or `at 3.0 %`."""
    return f"{so} {to_percent(gradient):.1f} %" if gradient else "on the flat"
