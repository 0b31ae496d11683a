"""The columns of a tunnel sheet; names in the trade, units and ranges are in `tunnel_columns.csv`."""

from dataclasses import replace

from dragwork.measurement.sheet_columns import plain, read_columns, words_of
from dragwork.quantities import Quantity
from dragwork.units import deg, unit_of

# Below 1 m/s a fan makes no steady stream, and dividing by the pressure would blow up any noise.
TUNNEL_SPEED = Quantity("m/s", 1.0, 45.0)
# Tunnels stand below 5,500 m. Thinner and hotter air than this would leave the library's densities.
TUNNEL_PRESSURE = Quantity("Pa", 50e3, 115e3, other="hectopascals", converter="hectopascal")
TUNNEL_YAW = Quantity("rad", -deg(89), deg(89))  # as far as a yaw curve reaches
# In the table: no balance shows more than a million, in any unit of force; of two side forces of 2500 N
# the difference is still a force of the library.

NEWTONS = {name: float(unit_of(name, "force").into_si(1.0)) for name in ("N", "g", "kgf", "lbf")}
COLUMNS = read_columns(
    "tunnel_columns.csv",
    {"tunnel speed": TUNNEL_SPEED, "tunnel pressure": TUNNEL_PRESSURE, "tunnel yaw": TUNNEL_YAW},
)
(
    RUN, ORDER, SET_UP, REPEAT, SPEED, SPEED_KMH, YAW, TEMPERATURE, PRESSURE, HUMIDITY, AIR_DENSITY,
    DRAG, NET_DRAG, DRAG_UNIT, TARE, TARE_UNIT, AXIS, SIDE_FORCE, SIDE_TARE, DRAG_AREA, SPREAD, RUNS,
    WHEELS, RIDER, PHOTO, REMARKS,
) = COLUMNS  # fmt: skip

# Those of our own run sheets: forces and weather, run by run.
OUR_COLUMNS = tuple(
    column for column in COLUMNS if column not in (AIR_DENSITY, NET_DRAG, DRAG_AREA, SPREAD, RUNS)
)

# What a reader of a sheet does where a column is left out; it does without the others.
IF_LEFT_OUT = {column.field: column.if_left_out for column in COLUMNS if column.if_left_out}

# A small table of the empty stand in the same file.
STAND_DRAG = replace(TARE, optional=False, blank=False, plausible=None)
STAND_COLUMNS = (SPEED, SPEED_KMH, replace(YAW, optional=False), STAND_DRAG, TARE_UNIT, SIDE_TARE, REMARKS)

# Set-up names that mean: nobody on it, the empty stand.
EMPTY_STAND = words_of("empty stand")

WEATHER = (TEMPERATURE, PRESSURE, HUMIDITY)


def has_stand(text):
    """Whether a sheet has readings of the empty stand, as rows or as a table beside."""
    return bool(text.beside) or any(plain(name or "") in EMPTY_STAND for name in text.cells["set_up"])
