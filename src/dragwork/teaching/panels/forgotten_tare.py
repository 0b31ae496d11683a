"""Panel: how much drag area a forgotten tare invents."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork import units
from dragwork.physics.drag import area_from_force, dynamic_pressure
from dragwork.teaching.figures.dots import Dots, DragAreas, with_intervals
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

AIR_DENSITY = 1.2  # kg/m3
DRAWS, SEED, CONFIDENCE = 2000, 4, 0.95
LIMITS = (0.24, 0.48)  # m2


@dataclass(frozen=True, eq=False, kw_only=True)
class WithTare(DragAreas):
    """Drag areas of a sheet at yaw 0, with the stand's force left in them. SI."""

    tare: float
    air_speed: float
    invented: float


def forgotten_tare(sheet):
    """The panel for a sheet: turn the force of the stand and the tunnel speed."""
    curves = {name: sheet.yaw_curve(name) for name in sheet.set_ups}
    areas = with_intervals(curves, sheet.draws(DRAWS, SEED), CONFIDENCE)
    ahead = np.flatnonzero(areas.yaw == 0)
    plain = replace(
        areas, yaw=areas.yaw[ahead], drag_area=areas.drag_area[:, ahead],
        low=areas.low[:, ahead], high=areas.high[:, ahead],
    )  # fmt: skip

    def with_tare(tare, air_speed):
        invented = float(area_from_force(tare, AIR_DENSITY, air_speed))
        return WithTare(
            set_ups=plain.set_ups,
            yaw=plain.yaw,
            drag_area=plain.drag_area + invented,
            low=plain.low + invented,
            high=plain.high + invented,
            confidence=plain.confidence,
            tare=tare,
            air_speed=air_speed,
            invented=invented,
        )

    air_speed = replace(CATALOGUE["air_speed"], low=36, reference=45, high=60)
    tare = replace(CATALOGUE["tare"], label="Tare left in the reading")
    return Panel((tare, air_speed), with_tare, _TareDots(plain, limits=LIMITS), in_words)


class _TareDots(Dots):
    """The dots; a predicted step is marked from where the first set-up stands without the tare."""

    def guessed(self, guess, result):
        return result.drag_area[0, 0] - result.invented + guess.value


def in_words(result):
    """What the stand adds, as an area and as a share."""
    q = dynamic_pressure(AIR_DENSITY, result.air_speed)
    share = units.to_percent(result.invented / (result.drag_area[0, 0] - result.invented))
    return (
        f"At {units.to_kmh(result.air_speed):.0f} km/h the air presses with {q:.0f} Pa. "
        f"{result.tare:.1f} N of stand left in the reading adds {result.invented:.3f} m² to every "
        f"drag area; to {result.set_ups[0]} that is {share:.0f} %."
    )
