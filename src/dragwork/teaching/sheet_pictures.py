"""Still pictures of a tunnel sheet, each with the sentence that says it."""

import numpy as np

from dragwork.measurement.tunnel_results import yaw_bands
from dragwork.quantities import true_minus
from dragwork.teaching.figures.rows import Dots, DragAreas
from dragwork.teaching.telling import Shown
from dragwork.units import to_deg, to_percent


def dots_by_yaw(sheet):
    """Dots with ranges, one axis a yaw: every set-up at every angle of a sheet.

    Parameters
    ----------
    sheet : TunnelSheet

    Returns
    -------
    Shown
    """
    areas = areas_by_yaw(sheet, sheet.set_ups)
    return Shown(lambda: Dots(areas), areas, _in_words(areas))


def areas_by_yaw(sheet, set_ups, confidence=0.95):
    """Drag areas of some set-ups at every angle, with the range that every page gives them.

    Parameters
    ----------
    sheet : TunnelSheet
    set_ups : sequence of str
    confidence : float

    Returns
    -------
    DragAreas
    """
    bands = yaw_bands(sheet, confidence)
    bands = bands[bands.set_up.isin(set_ups)]
    parts = [
        bands.pivot(index="set_up", columns="yaw", values=part).loc[list(set_ups)]
        for part in ("drag_area", "low", "high")
    ]
    return DragAreas(tuple(set_ups), parts[0].columns.to_numpy(), *(p.to_numpy() for p in parts), confidence)


def _in_words(areas):
    at = int(np.argmin(np.abs(areas.yaw)))
    each = ", ".join(
        f"{name} {area:.3f} m² ({low:.3f} to {high:.3f})"
        for name, area, low, high in zip(
            areas.set_ups, areas.drag_area[:, at], areas.low[:, at], areas.high[:, at]
        )
    )
    angles = true_minus(", ".join(f"{angle:.0f}°" for angle in to_deg(areas.yaw)))
    return (
        f"Drag areas at yaw {angles}, with {to_percent(areas.confidence):.0f} % ranges. At "
        f"{to_deg(areas.yaw[at]):.0f}°: {each}."
    )
