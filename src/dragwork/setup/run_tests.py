"""Set up and run the tests: all of `tests/`, and every notebook with nbval in strict mode."""

import os
import subprocess
from pathlib import Path

from dragwork.setup import environment, working_copy
from dragwork.teaching.profile import NOWHERE, PLACE

# Three for two processors: one of them often waits for a browser. In the order of tests/conftest.py.
WORKERS = ["-n", "3", "--dist", "loadfile", "--no-loadscope-reorder"]
NOTEBOOKS = ["--nbval", "--nbval-current-env", "--nbval-cell-timeout=60"]

USAGE = """usage: python3 tests [arguments for pytest]

Sets up the environment (the first time) and runs all tests and all notebooks.
With arguments pytest runs with these alone:
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
        whole = [*WORKERS, *NOTEBOOKS, "tests", *working_copy.shipped(root)]
        return subprocess.call([str(python), "-m", "pytest", *(arguments or whole)], cwd=root, env=clean())

    return environment.run(work, "Stopped.")


def clean() -> dict[str, str]:
    """The environment of a test run: no learner's file is read, none is kept."""
    return {**os.environ, PLACE: NOWHERE}
