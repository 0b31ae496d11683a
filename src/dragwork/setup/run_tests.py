"""Set up and run the tests: first pytest, then every notebook with nbval in strict mode."""

import os
import subprocess
from pathlib import Path

from dragwork.setup import environment, working_copy
from dragwork.teaching.profile import NOWHERE, PLACE

SPREAD = ["-n", "2", "--dist", "loadfile", "--no-loadscope-reorder"]  # in the order of tests/conftest.py

NOTEBOOKS = ["--nbval", "--nbval-current-env", "--nbval-cell-timeout=60"]

USAGE = """usage: python3 tests [arguments for pytest]

Sets up the environment (the first time) and runs all tests and all notebooks.
With arguments only pytest runs, with these arguments:
    python3 tests tests/physics      one folder
    python3 tests -m tour            the tour: a picture of every notebook in .ci/output"""


def main(arguments: list[str], root: str) -> int:
    """Run the command; return 0 if everything passed."""
    if arguments in (["-h"], ["--help"]):
        print(USAGE)
        return 0
    root = Path(root)

    def work() -> int:
        python = environment.prepare(root, "test")
        codes = [
            subprocess.call([str(python), "-m", "pytest", *run], cwd=root, env=clean())
            for run in runs(arguments, working_copy.shipped(root))
        ]
        return next(filter(None, codes), 0)

    return environment.run(work, "Stopped.")


def clean() -> dict[str, str]:
    """The environment of a test run: no learner's file is read, none is kept."""
    return {**os.environ, PLACE: NOWHERE}


def runs(arguments: list[str], notebooks: list[str]) -> list[list[str]]:
    """The arguments of each pytest run."""
    if arguments:
        return [arguments]
    return [[*SPREAD, "tests"]] + ([[*NOTEBOOKS, *SPREAD, *notebooks]] if notebooks else [])
