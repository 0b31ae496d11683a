"""The columns of a tunnel sheet: their names in the trade, units, and allowed ranges."""

import numpy as np

from dragwork.measurement.sheet_reading import Column, plain
from dragwork.quantities import QUANTITIES, Quantity
from dragwork.units import celsius, deg, grams_force, hectopascal, kmh, percent

# Below 1 m/s a fan makes no steady stream, and dividing by the pressure would blow up any noise.
TUNNEL_SPEED = Quantity("m/s", 1.0, 45.0)
# Tunnels stand below 5,500 m. Thinner and hotter air than this would leave the library's densities.
TUNNEL_PRESSURE = Quantity("Pa", 50e3, 115e3, slips=(("hectopascals", "hectopascal"),))
TUNNEL_YAW = Quantity("rad", -deg(89), deg(89))  # as far as a yaw curve reaches
COUNT = Quantity("", 1, 100_000)
READING = Quantity("", -1e6, 1e6)  # in any unit of force; no balance shows more
SIDE = Quantity("N", -2500.0, 2500.0)  # so that the difference of two is a force of the library

NEWTONS = {"N": 1.0, "g": float(grams_force(1)), "kgf": float(grams_force(1000))}
_FORCE_WORDS = {
    "n": "N", "newton": "N", "newtons": "N", "g": "g", "gf": "g", "gram": "g", "grams": "g",
    "kgf": "kgf", "kg": "kgf",
}  # fmt: skip
_FORCE_UNITS = {"N": np.asarray, "g": grams_force, "kgf": lambda x: grams_force(1000 * x)}
_YES_NO = {"yes": "yes", "y": "yes", "no": "no", "n": "no"}
_AXES = {"body": "body", "body axes": "body", "wind": "wind", "wind axes": "wind"}
_SPEEDS = ("tunnel speed", "air speed", "airspeed", "wind speed", "velocity", "v")

RUN = Column(
    "run", "run", optional=True, blank=True, synonyms=("run no", "run number", "test no")
)
SET_UP = Column(
    "set_up", "set-up", synonyms=("setup", "set-up code", "configuration", "config", "position")
)
SPEED = Column(
    "speed", "speed", {"m/s": np.asarray}, TUNNEL_SPEED, optional=True, synonyms=_SPEEDS
)
SPEED_KMH = Column(
    "speed_kmh", "speed", {"km/h": kmh}, TUNNEL_SPEED, optional=True, synonyms=_SPEEDS
)
YAW = Column(
    "yaw", "yaw", {"deg": deg}, TUNNEL_YAW,
    synonyms=("yaw angle", "angle", "turntable", "turntable angle", "psi", "beta"),
)  # fmt: skip
TEMPERATURE = Column(
    "temperature", "temperature", {"degC": celsius, "K": np.asarray}, QUANTITIES["temperature"],
    synonyms=("temp", "t", "air temperature", "air temp", "tunnel temperature"),
)  # fmt: skip
PRESSURE = Column(
    "pressure", "station pressure",
    {"hPa": hectopascal, "Pa": np.asarray, "kPa": lambda x: hectopascal(10 * x)}, TUNNEL_PRESSURE,
    synonyms=("pressure", "air pressure", "barometer", "barometric pressure", "p"),
)  # fmt: skip
HUMIDITY = Column(
    "relative_humidity", "humidity", {"%": percent}, QUANTITIES["relative_humidity"],
    synonyms=("relative humidity", "rel humidity", "rh"),
)  # fmt: skip
DRAG = Column(
    "drag", "drag", number=True, limits=READING, may_bear=tuple(NEWTONS),
    synonyms=("drag force", "drag reading", "axial force", "balance reading", "force", "f"),
)  # fmt: skip
DRAG_UNIT = Column(
    "drag_unit", "drag unit", words=_FORCE_WORDS, optional=True,
    synonyms=("unit", "force unit", "unit of drag"),
)  # fmt: skip
TARE = Column(
    "tare", "tare", number=True, limits=READING, optional=True, blank=True,
    may_bear=tuple(NEWTONS), synonyms=("tare force", "tare reading", "tare drag", "stand drag", "f0"),
)  # fmt: skip
TARE_UNIT = Column(
    "tare_unit", "tare unit", words=_FORCE_WORDS, optional=True, blank=True,
    synonyms=("unit of tare",),
)  # fmt: skip
AXIS = Column("axis", "axis", words=_AXES, synonyms=("axes",))
SIDE_FORCE = Column(
    "side_force", "side force", _FORCE_UNITS, SIDE, optional=True, blank=True,
    synonyms=("lateral force", "cross force"),
)  # fmt: skip
SIDE_TARE = Column(
    "side_tare", "side tare", _FORCE_UNITS, SIDE, optional=True, blank=True,
    synonyms=("tare side force",),
)  # fmt: skip
WHEELS = Column(
    "wheels", "wheels turning", words=_YES_NO, optional=True, blank=True, synonyms=("wheels",)
)
RIDER = Column(
    "rider", "rider", words={"still": "still", "pedalling": "pedalling"}, optional=True, blank=True
)
REPEAT = Column(
    "repeat", "repeat", number=True, limits=COUNT, optional=True,
    synonyms=("rep", "repetition", "pass"),
)  # fmt: skip
ORDER = Column(
    "order", "order", number=True, limits=COUNT, optional=True, synonyms=("run order", "sequence")
)
PHOTO = Column("photo", "photo", optional=True, blank=True, synonyms=("photo id", "picture"))
REMARKS = Column(
    "remarks", "remarks", optional=True, blank=True, synonyms=("remark", "comment", "comments", "notes")
)

COLUMNS = (
    RUN, ORDER, SET_UP, REPEAT, SPEED, SPEED_KMH, YAW, TEMPERATURE, PRESSURE, HUMIDITY,
    DRAG, DRAG_UNIT, TARE, TARE_UNIT, AXIS, SIDE_FORCE, SIDE_TARE, WHEELS, RIDER, PHOTO, REMARKS,
)  # fmt: skip

# A small table of the empty stand in the same file.
STAND_DRAG = Column(
    "tare", "tare", number=True, limits=READING, may_bear=tuple(NEWTONS), synonyms=TARE.synonyms
)
STAND_COLUMNS = (SPEED, SPEED_KMH, YAW, STAND_DRAG, TARE_UNIT, SIDE_TARE, REMARKS)

# Set-up names that mean: nobody on it, the empty stand.
EMPTY_STAND = {
    "empty stand", "empty", "stand", "stand alone", "stand only", "tare", "tare run", "no rider",
}  # fmt: skip


def has_stand(text):
    """Whether a sheet has readings of the empty stand, as rows or as a table beside."""
    return bool(text.beside) or any(plain(name or "") in EMPTY_STAND for name in text.cells["set_up"])
