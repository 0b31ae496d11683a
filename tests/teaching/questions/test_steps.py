"""Worked solutions recomputed from their own printed digits, by the arithmetic below alone.

Wherever a step says that one sum equals another, both are worked out from what is printed; the
last sum of each solution must come to the printed answer. Angles are in degrees.
"""

import math
import re
from decimal import Decimal
from random import Random

import pytest
from loops import over

from dragwork.teaching.questions import KINDS, ask
from dragwork.teaching.questions.question import CLOCK

SERIES = {"M16": 10, "M11": 10, "M38": 10, "M39": 10, "M40": 6}  # whose draws need long sums
SUM = re.compile(r"[-(]*(?:\d|sqrt|exp|ln|sin|cos|atan)(?:[-+×/()²³°.\d\s]|sqrt|exp|ln|sin|cos|atan)*$")
UNIT = re.compile(r"\s(?:kg/m³|m²/s²|m/s|km/h|m²|m⁴|Pa|kg|[WNKsh])\b.*$")


def worth(text):
    """What a printed sum comes to."""
    python = re.sub(r"(sin|cos)\((\d+)°\)", r"\1(radians(\2))", text.strip())
    for sign, code in (("×", "*"), ("²", "**2"), ("³", "**3")):
        python = python.replace(sign, code)
    names = {name: getattr(math, name) for name in ("sqrt", "exp", "sin", "cos", "radians")}
    names |= {"ln": math.log, "atan": lambda x: math.degrees(math.atan(x))}
    return float(eval(python, {"__builtins__": {}}, names))


def half_a_digit(number):
    return 0.5 * 10.0 ** Decimal(number).as_tuple().exponent * (1 + 1e-6)


def sums_in(steps):
    """(sum, printed result) of each step that has both, and the last sum, whose result is left out."""
    pairs = []
    sentences = [s for s in re.split(r"(?<=\S)[.;:,]\s+", steps.rstrip(".")) if "=" in s or SUM.search(s)]
    for sentence in sentences:
        *sides, last = sentence.split("=")
        for left, right in zip(sides, [*sides[1:], last]):
            left, right = SUM.search(left.strip()), UNIT.sub("", " " + right.strip()).strip()
            if left and re.fullmatch(r"-?[\d.]+(?: times.*| is left| reach.*)?", right):
                pairs.append((left[0], re.match(r"-?[\d.]+", right)[0]))
    return pairs, SUM.search(sentences[-1].split("=")[-1].strip())[0]


def contradictions(question):
    """What the printed steps say that their own digits do not give."""
    pairs, last = sums_in(question.steps)
    found = [
        f"{left} is {worth(left)}, not {right}"
        for left, right in pairs
        if abs(worth(left) - float(right)) > half_a_digit(right)
    ]
    if question.unit == CLOCK:
        minutes, seconds = map(int, question.answer.split(":"))
        printed, half = 60 * minutes + seconds, 0.5
    else:
        text = question.worked(prompt=False).rpartition("Answer: ")[2]
        text = re.match(r"-?\d+(?:\.\d+)?", text)[0]
        printed, half = float(text), half_a_digit(text)
    if abs(worth(last) - printed) > half * (1 + 1e-6):
        found.append(f"{last} is {worth(last)}, not the answer {printed}")
    return found


def draws(id, number):
    """The lesson's numbers, a few learners, and those learners' siblings."""
    yield ask(id)
    for place in range(number):
        yield ask(id, f"step {place}")


@over(KINDS)
def test_each_step_follows_from_the_digits_before_it(id):
    for question in draws(id, SERIES.get(id, 15)):
        assert not contradictions(question), (question.given, question.worked())


@pytest.mark.tour
@pytest.mark.parametrize("id", KINDS)
def test_each_step_follows_over_many_draws(id):
    for question in draws(id, 1000):
        assert not contradictions(question), (question.given, question.worked())


COUNTED = {  # sums with a printed result in each solution, counted on paper
    **dict.fromkeys(["M04", "M17", "M35", "M30", "M31", "M32"], 0),
    **dict.fromkeys(["M01", "M02", "M03", "M12", "M18", "M05", "M21", "M24", "M33", "M34", "M42", "M45", "M46"], 1),
    **dict.fromkeys(["M07", "M13", "M15", "M19", "M20", "M22", "M27", "M29", "M36", "M41", "M44"], 2),
    **dict.fromkeys(["M06", "M08", "M10", "M16", "M23", "M28", "M38", "M39", "M43"], 3),
    **dict.fromkeys(["M09", "M11", "M14", "M25", "M26", "M37", "M40", "M47"], 4),
}


@over(KINDS)
def test_one_changed_digit_is_noticed(id):
    """In any printed result of a step; and as many sums are read as stand there."""
    question = ask(id)
    pairs, _ = sums_in(question.steps)
    assert len(pairs) >= COUNTED.get(id, 0), pairs
    random = Random(id)
    for left, right in pairs:
        place = random.choice([i for i, c in enumerate(right) if c.isdigit()])
        other = right[:place] + str((int(right[place]) + 5) % 10) + right[place + 1 :]
        assert abs(worth(left) - float(other)) > half_a_digit(other), (left, right, other)
