"""Interactive pictures: sliders, a picture that follows them, a sentence that says the numbers.

Each name here makes one panel; show it as the last line of a cell.
"""

from dragwork.teaching.panels.forgotten_tare import forgotten_tare
from dragwork.teaching.panels.my_road import my_road
from dragwork.teaching.panels.panel import Panel
from dragwork.teaching.panels.quoted_watts import quoted_watts
from dragwork.teaching.panels.savings_by_speed import savings_by_speed
from dragwork.teaching.panels.two_ways import two_ways
from dragwork.teaching.panels.watts_curve import watts_curve
from dragwork.teaching.panels.yaw_curves import yaw_curves

__all__ = [
    "Panel", "forgotten_tare", "my_road", "quoted_watts", "savings_by_speed", "two_ways",
    "watts_curve", "yaw_curves",
]  # fmt: skip
