"""What is in a file that somebody saved: its bytes, and the text of a sheet in them.

A sheet is text with marks between its columns, or a spreadsheet (.xlsx), whatever its name ends in.
A spreadsheet becomes the text that it would be exported as, one text a sheet.
"""

import csv
import datetime
import io
import warnings
import zipfile
from contextlib import suppress
from pathlib import Path

import openpyxl

from dragwork.measurement.sentences import say

LARGEST = 5_000_000  # bytes; a day in a tunnel fills a hundredth of it
MOST_LINES = 20_000  # a day has some hundred rows
_MOST_COLUMNS, _MOST_SHEETS = 200, 20
_UNPACKED = 20_000_000  # bytes; what a zip may hold, by its own list
_MOST_PARTS = 2_000
_NOT_SENT = b"dragwork: a file of "  # so begins what the page sends in place of a file that is too large
_ZIP, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_SAVE_AS = "Open it in the spreadsheet and save it as .xlsx or as CSV, then read that file."


class SheetError(ValueError):
    """The file as a whole cannot be read; the message says why and what to do."""


class NotSaid(SheetError):
    """A sheet that can be used once its owner says something besides.

    Parameters
    ----------
    needs : dict of str to str
        What is needed, each with the sentence that asks for it; `.needs` are the names alone. Where a
        reader has an argument of that name, it takes the answer.
    """

    def __init__(self, needs):
        super().__init__(" ".join(needs.values()))
        self.needs = tuple(needs)


def file_content(source, most):
    """The content of a path or of an open file, text or binary, as bytes.

    Parameters
    ----------
    source : str, path or open file
    most : int
        Bytes; a larger file is not read to its end.

    Returns
    -------
    bytes

    Raises
    ------
    SheetError
        Where it cannot be opened, or is larger, in words.

    Source: COMMON_PRACTICE
    """
    try:
        if hasattr(source, "read"):
            data = source.read(most + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(most + 1)
        data = data.encode() if isinstance(data, str) else bytes(data)
    except (OSError, TypeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise SheetError(f"The file cannot be opened: {short(str(source))}: {reason}.") from None
    if len(data) > most or data.startswith(_NOT_SENT):
        raise SheetError(say("sheet", "too large", most=most // 10**6))
    return data


def short(text):
    """A cell or a name as far as a message quotes it."""
    return text if len(text) <= 40 else text[:37] + "..."


def texts_of(data):
    """The texts in a file: one, or one for each sheet of a spreadsheet.

    Parameters
    ----------
    data : bytes

    Returns
    -------
    list of str

    Raises
    ------
    SheetError
        For what is neither text nor a spreadsheet of today, in words.

    Source: COMMON_PRACTICE
    """
    if data[:4] == _ZIP:
        return _spreadsheet(data)
    if data[:4] == _OLD:
        raise SheetError(
            f"This is a spreadsheet file of the old kind (.xls), or one with a password. {_SAVE_AS}"
        )
    text = decoded(data)
    if text is None:
        raise SheetError("The file is not text. Export the sheet as CSV with UTF-8 encoding.")
    return [text]


def decoded(data):
    """Bytes as text, in the first encoding that may be meant; None where they are none."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):  # marked
        encodings = ["utf-16"]
    elif b"\0" in data[:2]:  # every other byte is 0 in western text of two bytes
        encodings = ["utf-16-le" if data[1:2] == b"\0" else "utf-16-be"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        with suppress(UnicodeDecodeError):
            text = data.decode(encoding)
            if "\0" not in text:
                return text
    return None


def _spreadsheet(data):
    """The sheets of a spreadsheet as text with tabs, each row where the spreadsheet shows it."""
    try:
        _refuse_what_swells(data)
        with warnings.catch_warnings():  # of drop-down lists and the like that are not kept
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            return [_as_text(sheet) for sheet in book.worksheets[:_MOST_SHEETS]] or [""]
    except SheetError:
        raise
    except Exception as error:  # whatever a damaged file makes its reader raise
        raise SheetError(
            f"The file is a spreadsheet that cannot be read ({type(error).__name__}). {_SAVE_AS}"
        ) from None


def _refuse_what_swells(data):
    """Look at what a zip lists before it is unpacked."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        parts = packed.infolist()
        names = {part.filename for part in parts}
        if sum(part.file_size for part in parts) > _UNPACKED or len(parts) > _MOST_PARTS:
            raise SheetError(say("sheet", "swells", most=_UNPACKED // 10**6))
        if "xl/workbook.xml" not in names:
            kind = "an OpenDocument spreadsheet (.ods)" if "content.xml" in names else "a packed file"
            raise SheetError(f"This is {kind}, which is not read here. {_SAVE_AS}")
        for part in parts:
            if part.filename.endswith((".xml", ".rels")):
                with packed.open(part) as file:
                    if b"<!DOCTYPE" in file.read(2000):
                        raise SheetError(f"The file is not put together as spreadsheets are. {_SAVE_AS}")


def _as_text(sheet):
    out = io.StringIO()
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    for row in sheet.iter_rows(max_row=MOST_LINES + 1, max_col=_MOST_COLUMNS):
        cells = [_shown(cell) for cell in row]
        writer.writerow(cells[: max((i for i, cell in enumerate(cells, 1) if cell), default=0)])
    return out.getvalue()


def _shown(cell):
    """A cell as an export to CSV writes it."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, (int, float)):
        percent = "%" in cell.number_format
        return f"{value * 100 if percent else value:.12g}{'%' if percent else ''}"
    if isinstance(value, (datetime.date, datetime.time)):
        return str(value).removesuffix(" 00:00:00")
    return " ".join(str(value).split())
