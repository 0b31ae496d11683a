"""What kind of file is this? By the names of its columns: a tunnel sheet, a road test, drag areas."""

import csv
from dataclasses import dataclass

from dragwork.measurement import tunnel_columns as tunnel
from dragwork.measurement.checks import quoted
from dragwork.measurement.field_sheet import COLUMNS as LAP_COLUMNS
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import name_in, names_of, plain, split_heading, words_of
from dragwork.measurement.sheet_file import SheetError
from dragwork.measurement.sheet_tables import NoHeader, with_header

_POWER, _OF_LAPS = words_of("power"), words_of("of laps")
_KNOWN = names_of((*tunnel.COLUMNS, *LAP_COLUMNS)).union(_POWER, _OF_LAPS)

NOTHING_KNOWN = say("sheet", "nothing known")


@dataclass(frozen=True)
class Recognised:
    """What a file was taken for.

    kind: 'tunnel', 'road test', 'drag areas', or None where nothing tells; why: in words, a sentence.
    """

    kind: str | None
    why: str


def kind_of(path):
    """What kind of sheet a file is, by its columns alone.

    Forces or a tare make a tunnel sheet; power makes a road test; drag areas without either are a table
    of drag areas, which `tunnel.read_sheet` reads as well.

    Parameters
    ----------
    path : str, path or open file

    Returns
    -------
    Recognised

    Source: COMMON_PRACTICE
    """
    try:
        lines, start, delimiter = with_header(path, tunnel.COLUMNS, _KNOWN)
    except NoHeader:
        return Recognised(None, NOTHING_KNOWN)
    except SheetError as error:
        return Recognised(None, str(error))
    header = [cell.strip() for cell in next(csv.reader([lines[start]], delimiter=delimiter)) if cell.strip()]
    header.sort(key=lambda heading: name_in(heading) not in _KNOWN)
    headings = {plain(split_heading(heading)[0]): heading for heading in header}

    def there(*columns):
        return [heading for name, heading in headings.items() if any(c.goes_by(name) for c in columns)]

    power = [heading for name, heading in headings.items() if name in _POWER]
    laps = [heading for name, heading in headings.items() if name in _OF_LAPS]
    rules = (  # the first with headings holds
        ("road test", "a road test", [] if there(tunnel.TARE, tunnel.NET_DRAG) else power, ""),
        ("tunnel", "a tunnel sheet", there(tunnel.NET_DRAG, tunnel.TARE, tunnel.DRAG), ""),
        ("drag areas", "a table of drag areas", there(tunnel.DRAG_AREA), ""),
        ("road test", "a road test", laps if len(laps) > 1 else [], "; power is missing"),
    )
    for kind, named, has, but in rules:
        if has:
            return Recognised(kind, f"It was taken for {named}, because it has {quoted(has[:4])}{but}.")
    return Recognised(None, say("sheet", "kind not clear", headings=quoted(list(headings.values())[:4])))
