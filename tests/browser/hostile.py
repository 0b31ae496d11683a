"""Names that would do harm if a page took them for more than words, and a sheet that bears them."""

import csv
import io

from dragwork.scenario import data_file

#: `{home}` is a server of the test's own: whatever asks it for something has been taken in.
SET_UPS = (
    "<img src=x onerror=\"evil=fetch('{home}')\">",
    "![p]({home}p) $900 vs $1200",
    "suit_A^2 $x^{2$ *b* _c_ `d`",
)
NICKNAME = "<b onclick=evil()>Ada</b> $1 $2"
ROAD = "[r]({home}r)</title><script>evil=1</script>"
WHO = "<svg/onload=window.evil=1> $3 or $4"
RIDER = "June</td><script>window.evil=1</script>"
FILE = "a <iframe src={home}f>.csv"
NOTE = "# <script src={home}n></script> $5 $6"
SHORT = "\\(x\\) | $$y$$ ~~z~~ www.{bare}"


def named(home):
    """The set-ups' names, with the server's address in them."""
    return [name.replace("{home}", home) for name in SET_UPS]


def sheet(home):
    """The demo sheet with hostile set-ups, a hostile note and a hostile remark, as CSV bytes."""
    rows = list(csv.reader(io.StringIO(data_file("BL-7.csv").read_text("utf-8"))))
    new = dict(zip(("hoods", "clip-ons", "time-trial"), named(home)))
    rows = [[new.get(cell, cell) for cell in row] for row in rows]
    text = io.StringIO()
    text.write(NOTE.replace("{home}", home) + "\n")
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode()
