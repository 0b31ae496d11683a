"""Interactive pictures: sliders, a picture that follows them, a sentence that says the numbers.

Each name here makes one panel; show it as the last line of a cell.
"""

from dragwork.teaching.panels.air import air_density, venue_air
from dragwork.teaching.panels.chance import identical_helmets, planner
from dragwork.teaching.panels.field import field_fit, hidden_wind
from dragwork.teaching.panels.panel import Panel
from dragwork.teaching.panels.power import air_share, squares_and_cubes, watt_bars, watts_curve
from dragwork.teaching.panels.road import edited_road, my_road, pacing, rolling_waves, what_first
from dragwork.teaching.panels.savings import (
    drag_or_mass,
    honest_claim,
    position_map,
    quoted_watts,
    savings_by_speed,
    two_ways,
    who_saves_more,
)
from dragwork.teaching.panels.tunnel import forgotten_tare, tunnel_savings, yaw_curves
from dragwork.teaching.panels.wind import crosswind_gap, wind_triangle, yaw_day

__all__ = [
    "Panel", "air_density", "air_share", "crosswind_gap", "drag_or_mass", "field_fit", "forgotten_tare", "hidden_wind",
    "edited_road", "honest_claim", "identical_helmets", "my_road", "pacing", "planner", "position_map", "quoted_watts", "rolling_waves",
    "savings_by_speed", "squares_and_cubes", "tunnel_savings", "two_ways", "venue_air", "watt_bars", "watts_curve", "what_first",
    "who_saves_more", "wind_triangle", "yaw_curves", "yaw_day",
]  # fmt: skip
