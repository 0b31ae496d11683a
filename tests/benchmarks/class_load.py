"""A class at work: how long servers take to start, how much memory they take, and how late a picture comes.

`.venv/bin/python tests/benchmarks/class_load.py [LEARNERS [SECONDS]]` opens a class on this computer. Its
learners sign in at once, run lesson 08, and for so many seconds each moves a slider every two. It
prints what that cost. The learners' own work, a browser's elsewhere, is done here too but for the
painting. 30 and 60 unless said. Not a timed test.
"""

import random
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import psutil

sys.path.append(str(Path(__file__).parents[1]))
from a_class import Learner, open_class  # noqa: E402

from dragwork.serving.class_hub import memory_taken  # noqa: E402

LESSON = Path(__file__).parents[2] / "workbook" / "08_watts_at_my_speed.ipynb"
EVERY = 2.0  # seconds from one step of a slider to the next
AT_ONCE = 10  # learners who arrive together, as the start is measured


def work(learner, seconds):
    """A learner's times from a step of a slider to the picture [s]."""
    slider, (low, high, value) = next(iter(learner.sliders().items()))
    taken, end = [], time.monotonic() + seconds
    learner.rest(random.uniform(0, EVERY))
    while time.monotonic() < end:
        value = low + (value - low + random.randint(1, high - low)) % (high - low + 1)  # never where it is
        taken.append(learner.move(slider, value))
        learner.rest(EVERY - taken[-1])
    return taken


def main(arguments):
    """Open a class and print the table."""
    number, seconds = [int(each) for each in arguments] + [30, 60][len(arguments) :]
    with tempfile.TemporaryDirectory() as folder, open_class(folder) as (address, _):
        measure(address, number, seconds)


def measure(address, number, seconds):
    """Print the table of a class that is open."""
    learners = [Learner(address, f"learner {each}") for each in range(1, number + 1)]
    starts = []
    for first in range(0, number, AT_ONCE):
        with ThreadPoolExecutor(AT_ONCE) as together:
            arriving = learners[first : first + AT_ONCE]
            assert not any(together.map(Learner.sign_in, arriving))
            starts += together.map(Learner.start, arriving)
    print(f"start of a server, {AT_ONCE} at once: median {np.median(starts):.1f} s, longest {max(starts):.1f} s")
    for learner in learners:
        learner.run(LESSON)
    with ThreadPoolExecutor(number) as together:
        begun = time.monotonic(), sum(_processor_times())
        steps = np.concatenate(list(together.map(lambda each: work(each, seconds), learners)))
        busy = (sum(_processor_times()) - begun[1]) / (time.monotonic() - begun[0])
    taken = sum(memory_taken(each.pid) for each in psutil.Process().children()) / 1e9
    print(f"memory of {number} learners with a running lesson: {taken:.2f} GB, {1e3 * taken / number:.0f} MB each")
    for learner in learners:
        learner.leave()
    late = np.percentile(1e3 * steps, [50, 95])
    print(f"from a step to the picture, {len(steps)} steps: median {late[0]:.0f} ms, 95th percentile {late[1]:.0f} ms")
    print(f"processors busy meanwhile, learners' side and all else on this computer too: {busy:.2f}")


def _processor_times():
    times = psutil.cpu_times()
    return times.user, times.system, times.nice


if __name__ == "__main__":
    main(sys.argv[1:])
