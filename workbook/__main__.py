"""Set up and open the workbook: `python3 workbook` (Windows: `py workbook`)."""
# This file must be readable by a Python of any age, so that it can say what is wrong.
# ruff: noqa: UP031, UP036
import os
import sys

if sys.version_info < (3, 10):
    sys.exit(
        "The workbook needs Python 3.10 or newer; this is Python %d.%d.\n"
        "Install a newer Python (python.org, or your system's packages) and start again with it,\n"
        "for example: python3.12 workbook" % sys.version_info[:2]
    )

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path.insert(0, os.path.join(ROOT, "src"))

from dragwork.setup.open_workbook import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], ROOT))
