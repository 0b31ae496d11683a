"""Small tunnel sheets for the tests, written down without the library's own writer."""

import io

from dragwork.measurement.tunnel import read_sheet

PLAIN = {
    "order": "1",
    "set-up": "A",
    "repeat": "1",
    "speed [m/s]": "10",
    "yaw [deg]": "0",
    "temperature [degC]": "20",
    "station pressure [hPa]": "1013.25",
    "humidity [%]": "50",
    "drag": "20",
    "drag unit": "N",
    "tare": "2.0000000000",
    "tare unit": "N",
    "axis": "body",
}
AREA_A_NEWTON = 1 / 59.96  # m2: one newton over the pressure of 10 m/s in PLAIN's weather


def text(rows, delimiter=",", notes=()):
    """A sheet's text: each row says what differs from PLAIN; '' leaves a cell empty."""
    names = list(dict.fromkeys([*PLAIN, *(name for row in rows for name in row)]))
    lines = [names, *([{**PLAIN, **row}.get(name, "") for name in names] for row in rows)]
    return "\n".join([*notes, *(delimiter.join(line) for line in lines)]) + "\n"


def sheet(*rows, **options):
    return read_sheet(io.StringIO(text(rows, **options)))


def repeats(areas, **cell):
    """Rows of one cell with these drag areas [m2], as readings with many digits."""
    return [
        {"drag": repr(float(2 + area / AREA_A_NEWTON)), "repeat": str(number), **cell}
        for number, area in enumerate(areas, start=1)
    ]


def in_order(rows):
    """The same rows, numbered in the order run."""
    return [{**row, "order": str(number)} for number, row in enumerate(rows, start=1)]
