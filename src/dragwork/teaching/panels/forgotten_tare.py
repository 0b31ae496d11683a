"""Panel: how much drag area a forgotten tare invents, and a balance that does not show 0.

The two are different slips. The force of a stand grows with the pressure of the air, as the rider's
does; what a balance shows without wind is the same at every speed.
"""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.physics.drag import area_from_force, dynamic_pressure
from dragwork.teaching.figures.dots import Dots
from dragwork.teaching.figures.style import WIDTH
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.sheet_pictures import areas_by_yaw

AIR_DENSITY = 1.2  # kg/m3
STAND_SPEED = units.kmh(45)  # m/s, at which the knob gives the stand's force
LIMITS = (0.24, 0.48)  # m2


def forgotten_tare(sheet):
    """The panel for a sheet: turn the force of the stand, the balance's zero and the tunnel speed."""
    areas = areas_by_yaw(sheet, sheet.set_ups)
    ahead = np.flatnonzero(areas.yaw == 0)
    plain = replace(
        areas, yaw=areas.yaw[ahead], drag_area=areas.drag_area[:, ahead],
        low=areas.low[:, ahead], high=areas.high[:, ahead],
    )  # fmt: skip

    @model
    def with_tare(tare, zero, air_speed):
        """Drag areas of the sheet at yaw 0, with the stand's force and the balance's zero left in. SI."""
        of_stand = float(area_from_force(tare, AIR_DENSITY, STAND_SPEED))
        of_zero = float(area_from_force(zero, AIR_DENSITY, air_speed))
        invented = of_stand + of_zero
        moved = {name: getattr(plain, name) + invented for name in ("drag_area", "low", "high")}
        return dict(vars(plain) | moved, of_stand=of_stand, of_zero=of_zero, invented=invented)

    air_speed = knob("air_speed", low=36, reference=45, high=60)
    tare = knob("tare", label="Stand left in, at 45 km/h")
    return Panel(
        (tare, knob("zero"), air_speed), with_tare, _TareDots(plain, limits=LIMITS, width=WIDTH), in_words,
        observed="invented",
    )  # fmt: skip


class _TareDots(Dots):
    """The dots; a predicted step is marked from where the first set-up stands without the tare."""

    def guessed(self, guess, result):
        return result.drag_area[0, 0] - result.invented + guess.value


def in_words(result):
    """What stand and zero add, as areas and as a share."""
    q = dynamic_pressure(AIR_DENSITY, result.air_speed)
    share = units.to_percent(result.invented / (result.drag_area[0, 0] - result.invented))
    parts = [f"At {units.to_kmh(result.air_speed):.0f} km/h the dynamic pressure is {q:.0f} Pa."]
    if result.tare:
        parts.append(
            f"The stand left in the reading is {result.of_stand * q:.1f} N there. It adds "
            f"{result.of_stand:.3f} m² to every drag area, at any speed."
        )
    if result.zero:
        parts.append(
            f"The {result.zero:.1f} N that the balance shows without wind add {result.of_zero:.3f} m² to "
            "every drag area at this speed."
        )
    if not result.invented:
        parts.append("Nothing is left in the reading, so nothing is added.")
    return " ".join([*parts, f"To {result.set_ups[0]} that is {share:.0f} %."])
