"""The two legs of an out-and-back, each alone and both together: how they are drawn everywhere."""

from dragwork.teaching.figures.style import BLACK, BLUE, VERMILLION

OUT = {"color": VERMILLION, "linestyle": "--", "linewidth": 2.0, "marker": "^"}
BACK = {"color": BLUE, "linestyle": "-.", "linewidth": 2.0, "marker": "v"}
PAIR = {"color": BLACK, "linestyle": "-", "linewidth": 2.2, "marker": "o"}

WORDS = {"out": "out alone", "back": "back alone", "pair": "both, averaged"}
LOOKS = {"out": OUT, "back": BACK, "pair": PAIR}
