"""The columns of a tunnel sheet: their names in the trade, units, and allowed ranges."""

from dataclasses import replace

from dragwork.measurement.sheet_reading import Column, plain
from dragwork.quantities import QUANTITIES, Quantity
from dragwork.units import deg, unit_of

# Below 1 m/s a fan makes no steady stream, and dividing by the pressure would blow up any noise.
TUNNEL_SPEED = Quantity("m/s", 1.0, 45.0)
# Tunnels stand below 5,500 m. Thinner and hotter air than this would leave the library's densities.
TUNNEL_PRESSURE = Quantity("Pa", 50e3, 115e3, slips=(("hectopascals", "hectopascal"),))
TUNNEL_YAW = Quantity("rad", -deg(89), deg(89))  # as far as a yaw curve reaches
COUNT = Quantity("", 1, 100_000)
READING = Quantity("", -1e6, 1e6)  # in any unit of force; no balance shows more
SIDE = Quantity("N", -2500.0, 2500.0)  # so that the difference of two is a force of the library

NEWTONS = {name: float(unit_of(name, "force").into_si(1.0)) for name in ("N", "g", "kgf", "lbf")}
_YES_NO = {"yes": "yes", "y": "yes", "no": "no", "n": "no"}
_AXES = {
    f"{word}{ending}": axis
    for axis, words in {
        "body": "body bike bicycle rider chassis longitudinal korper rad fahrrad velo corps cuerpo bici",
        "wind": "wind stream stability flow tunnel vent viento stromung",
    }.items()
    for word in words.split()
    for ending in ("", " axis", " axes", " frame")
}
_SPEEDS = (
    "tunnel speed", "air speed", "airspeed", "wind speed", "windspeed", "velocity", "v", "u", "vel",
    "wind", "wind velocity", "air velocity", "free stream speed", "freestream speed", "u inf", "v inf",
    "tunnel velocity", "flow speed",
)  # fmt: skip

RUN = Column(
    "run", "run", optional=True, blank=True, synonyms=("run no", "run number", "test no", "run id", "test")
)
SET_UP = Column(
    "set_up", "set-up", carried=True, first_words=True,
    synonyms=("setup", "set up code", "setup code", "configuration", "config", "position", "set up name"),
)  # fmt: skip
SPEED = Column(
    "speed", "speed", ("m/s",), TUNNEL_SPEED, optional=True, synonyms=_SPEEDS, alone=True, carried=True,
    passed_over=True,
)  # fmt: skip
SPEED_KMH = Column(
    "speed_kmh", "speed", ("km/h",), TUNNEL_SPEED, optional=True, synonyms=_SPEEDS, carried=True,
    passed_over=True,
)  # fmt: skip
YAW = Column(
    "yaw", "yaw", ("deg",), TUNNEL_YAW, optional=True, usual="deg", carried=True,
    synonyms=("yaw angle", "angle", "turntable", "turntable angle", "psi", "beta", "ψ", "β", "sideslip",
              "sideslip angle", "wind angle", "angle of yaw"),
)  # fmt: skip
TEMPERATURE = Column(
    "temperature", "temperature", ("degC", "K"), QUANTITIES["temperature"], optional=True, usual="degC",
    carried=True,
    synonyms=("temp", "t", "air temperature", "air temp", "tunnel temperature", "tunnel temp", "t air",
              "ambient temperature"),
)  # fmt: skip
PRESSURE = Column(
    "pressure", "station pressure", ("hPa", "Pa", "kPa"), TUNNEL_PRESSURE, optional=True, usual="hPa",
    carried=True,
    synonyms=("pressure", "air pressure", "barometer", "barometric pressure", "p", "baro", "p atm",
              "patm", "atmospheric pressure", "ambient pressure", "static pressure", "p amb"),
)  # fmt: skip
HUMIDITY = Column(
    "relative_humidity", "humidity", ("%",), QUANTITIES["relative_humidity"], optional=True, usual="%",
    carried=True,
    synonyms=("relative humidity", "rel humidity", "rh", "hum", "rel hum", "air humidity"),
)  # fmt: skip
AIR_DENSITY = Column(
    "air_density", "air density", ("kg/m3",), Quantity("kg/m3", 0.6, 1.6), optional=True, usual="kg/m3",
    carried=True, synonyms=("density", "rho", "ρ", "density of air", "rho air"),
)  # fmt: skip
DRAG = Column(
    "drag", "drag", number=True, limits=READING, may_bear=tuple(NEWTONS), optional=True,
    plausible=Quantity("N", 2.0, 300.0),
    synonyms=("drag force", "drag reading", "axial force", "balance reading", "force", "f", "fx", "f x",
              "d", "force x", "x force", "drag raw", "raw drag", "gross drag", "drag total", "total drag",
              "balance", "f d", "fd", "f drag", "aero force"),
)  # fmt: skip
NET_DRAG = Column(
    "net_drag", "net drag", number=True, limits=READING, may_bear=tuple(NEWTONS), optional=True,
    plausible=Quantity("N", 2.0, 300.0),
    synonyms=("drag net", "net force", "net drag force", "drag force net", "drag corrected",
              "corrected drag", "drag tare removed", "drag tare corrected", "tare corrected drag",
              "drag minus tare", "drag less tare", "drag without tare", "drag net of tare", "drag tared",
              "tared drag", "aerodynamic drag", "aero drag", "force net", "net fx", "fx net",
              "net axial force", "axial force net", "drag tare subtracted", "drag force tare removed",
              "fx tare removed", "d net", "net d"),
)  # fmt: skip
DRAG_UNIT = Column(
    "drag_unit", "drag unit", may_bear=tuple(NEWTONS), optional=True, synonyms=("unit", "force unit", "unit of drag"),
)  # fmt: skip
TARE = Column(
    "tare", "tare", number=True, limits=READING, optional=True, blank=True,
    may_bear=tuple(NEWTONS), plausible=Quantity("N", 0.1, 60.0),
    synonyms=("tare force", "tare reading", "tare drag", "stand drag", "f0", "f 0", "stand", "stand force",
              "empty stand", "tare fx", "fx tare", "drag tare", "strut drag", "zero reading"),
)  # fmt: skip
TARE_UNIT = Column(
    "tare_unit", "tare unit", may_bear=tuple(NEWTONS), optional=True, blank=True,
    synonyms=("unit of tare",),
)  # fmt: skip
AXIS = Column(
    "axis", "axis", words=_AXES, optional=True,
    synonyms=("axes", "axis system", "axes system", "coordinate system", "reference axis", "frame"),
)  # fmt: skip
SIDE_FORCE = Column(
    "side_force", "side force", tuple(NEWTONS), SIDE, optional=True, blank=True,
    synonyms=("lateral force", "cross force", "fy", "f y"),
)  # fmt: skip
SIDE_TARE = Column(
    "side_tare", "side tare", tuple(NEWTONS), SIDE, optional=True, blank=True,
    synonyms=("tare side force", "tare fy", "fy tare", "side force tare"),
)  # fmt: skip
DRAG_AREA = Column(
    "drag_area", "drag area", ("m2",), Quantity("m2", 0.0, 20.0), optional=True, usual="m2",
    plausible=Quantity("m2", 0.1, 0.9),
    synonyms=("cda", "cd a", "cd x a", "cda corrected", "corrected cda", "drag area cda", "cda drag area", "cxa", "cx a", "cx x a", "scx", "s cx", "cx s", "cwa", "cw a",
              "a cd", "effective drag area"),
)  # fmt: skip
SPREAD = Column(
    "spread", "spread", ("m2",), Quantity("m2", 0.0, 0.1), optional=True, blank=True, usual="m2",
    synonyms=("sd", "std", "stdev", "st dev", "std dev", "standard deviation", "sigma", "σ", "cda sd",
              "sd cda", "cda std", "cda stdev", "std cda", "sd of cda", "repeatability"),
)  # fmt: skip
RUNS = Column(
    "runs", "runs", number=True, limits=Quantity("", 1, 1000), optional=True, blank=True,
    synonyms=("n", "number of runs", "no of runs", "n runs", "repeats", "number of repeats", "count"),
)  # fmt: skip
WHEELS = Column(
    "wheels", "wheels turning", words=_YES_NO, optional=True, blank=True, synonyms=("wheels",)
)
RIDER = Column("rider", "rider", optional=True, blank=True)  # still, pedalling, or who it was
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
    RUN, ORDER, SET_UP, REPEAT, SPEED, SPEED_KMH, YAW, TEMPERATURE, PRESSURE, HUMIDITY, AIR_DENSITY,
    DRAG, NET_DRAG, DRAG_UNIT, TARE, TARE_UNIT, AXIS, SIDE_FORCE, SIDE_TARE, DRAG_AREA, SPREAD, RUNS,
    WHEELS, RIDER, PHOTO, REMARKS,
)  # fmt: skip

# What a reader of a sheet does where a column is left out; it does without the others.
IF_LEFT_OUT = {
    "order": "the order of the lines counts",
    "set_up": "a column of words takes its place",
    "repeat": "the first run of a set-up is its first repeat, and so on",
    "speed": "the other speed will do",
    "speed_kmh": "the other speed will do",
    "yaw": "air from straight ahead",
    "temperature": "a line above says it, or a column air density [kg/m3]",
    "pressure": "a line above says it, or a column air density [kg/m3]",
    "relative_humidity": "50 %, and the ranges include all from 0 to 100 %",
    "drag": "a column net drag [N] or drag area [m2]",
    "drag_unit": "the unit is in the heading: drag [N]",
    "tare": "lines of the empty stand, or a column net drag [N]",
    "tare_unit": "the unit is in the heading: tare [N]",
    "axis": "along the bicycle where the yaw is 0; else it is asked",
}

# A small table of the empty stand in the same file.
STAND_DRAG = Column(
    "tare", "tare", number=True, limits=READING, may_bear=tuple(NEWTONS), synonyms=TARE.synonyms
)
STAND_COLUMNS = (SPEED, SPEED_KMH, replace(YAW, optional=False), STAND_DRAG, TARE_UNIT, SIDE_TARE, REMARKS)

# Set-up names that mean: nobody on it, the empty stand.
EMPTY_STAND = {
    "empty stand", "empty", "stand", "stand alone", "stand only", "tare", "tare run", "no rider",
    "leerer stander", "stander leer", "leermessung", "tara", "support vide", "soporte vacio",
}  # fmt: skip

WEATHER = (TEMPERATURE, PRESSURE, HUMIDITY)


def has_stand(text):
    """Whether a sheet has readings of the empty stand, as rows or as a table beside."""
    return bool(text.beside) or any(plain(name or "") in EMPTY_STAND for name in text.cells["set_up"])
