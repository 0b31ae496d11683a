"""Interactive pictures: sliders, a picture that follows them, a sentence that says the numbers.

Each name here makes one panel; show it as the last line of a cell.
"""

from dragwork.teaching.panels.air_density import air_density
from dragwork.teaching.panels.air_share import air_share
from dragwork.teaching.panels.crosswind_gap import crosswind_gap
from dragwork.teaching.panels.drag_or_mass import drag_or_mass
from dragwork.teaching.panels.field_fit import field_fit
from dragwork.teaching.panels.forgotten_tare import forgotten_tare
from dragwork.teaching.panels.hidden_wind import hidden_wind
from dragwork.teaching.panels.honest_claim import honest_claim
from dragwork.teaching.panels.identical import identical_helmets
from dragwork.teaching.panels.my_road import edited_road, my_road
from dragwork.teaching.panels.pacing import pacing
from dragwork.teaching.panels.panel import Panel
from dragwork.teaching.panels.planner import planner
from dragwork.teaching.panels.position_map import position_map
from dragwork.teaching.panels.quoted_watts import quoted_watts
from dragwork.teaching.panels.savings_by_speed import savings_by_speed
from dragwork.teaching.panels.squares_and_cubes import squares_and_cubes
from dragwork.teaching.panels.tunnel_savings import tunnel_savings
from dragwork.teaching.panels.two_ways import two_ways
from dragwork.teaching.panels.venue_air import venue_air
from dragwork.teaching.panels.watt_bars import watt_bars
from dragwork.teaching.panels.watts_curve import watts_curve
from dragwork.teaching.panels.waves import rolling_waves
from dragwork.teaching.panels.what_first import what_first
from dragwork.teaching.panels.who_saves_more import who_saves_more
from dragwork.teaching.panels.wind_triangle import wind_triangle
from dragwork.teaching.panels.yaw_curves import yaw_curves
from dragwork.teaching.panels.yaw_day import yaw_day

__all__ = [
    "Panel", "air_density", "air_share", "crosswind_gap", "drag_or_mass", "field_fit", "forgotten_tare", "hidden_wind",
    "edited_road", "honest_claim", "identical_helmets", "my_road", "pacing", "planner", "position_map", "quoted_watts", "rolling_waves",
    "savings_by_speed", "squares_and_cubes", "tunnel_savings", "two_ways", "venue_air", "watt_bars", "watts_curve", "what_first",
    "who_saves_more", "wind_triangle", "yaw_curves", "yaw_day",
]  # fmt: skip
