"""The outside values that the library is held against, as data.

Each `.json` file here is a list of records, one a line:

id         a short name, unique
function   the public function that is checked, dotted below `dragwork` (or a list of them)
inputs     its arguments in SI; `[value, "kmh"]` is turned into SI by `units.kmh`. `rider`, `before`
           and `after` are the fields of a Rider, `conditions` those of Conditions
part       what is compared, where the result has parts: a field's name or a number
expected   what the source says, in `unit`: SI, or the name of a function in `units`
tolerance  what the source's rounding allows, in `unit`; `"relative": true` makes it a fraction
source     key in `dragwork.sources`; `place`: table, page, equation
mark       how the value came here, see MARKS
note       where needed: what the tolerance covers, what was converted
again      for what was recalled: an expression in the names of `again.py` that works it out anew, in `unit`
test       for a record that does not fit a plain call: the name of the test that reads it
"""

import json
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider

MARKS = (
    "seen",  # read in the source, or in a public file that transcribes it
    "recomputed",  # written down from memory, and worked out again when the tests run, apart from the library
    "memory",  # written down from memory
    "exact",  # algebra, true without a source
    "reference library",  # computed at test time by a general-purpose library
    "common practice, no source",
)
_PREFIXED = {"kPa": 1e3}


@dataclass(frozen=True)
class Record:
    """One outside value."""

    id: str
    function: str
    inputs: dict
    expected: object
    unit: str
    tolerance: float
    source: str
    place: str
    mark: str
    part: object = None
    relative: bool = False
    note: str = ""
    again: str = ""
    test: str = ""
    file: str = field(default="", compare=False)

    @property
    def functions(self):
        return [self.function] if isinstance(self.function, str) else self.function

    @property
    def si(self):
        """The inputs in SI."""
        return {name: _into_si(value) for name, value in self.inputs.items()}

    @property
    def arguments(self):
        """The inputs as the function takes them."""
        return {name: _record_or_value(name, value) for name, value in self.si.items()}

    def result(self):
        """What the library says, for a record that is a plain call."""
        module, name = self.functions[0].rsplit(".", 1)
        answer = getattr(import_module(f"dragwork.{module}"), name)(**self.arguments)
        if self.part is None:
            return answer
        return answer[self.part] if isinstance(self.part, int) else getattr(answer, self.part)

    def assert_close(self, actual):
        """Fail unless `actual` (SI) is the expected value within the tolerance."""
        into_si = _scale(self.unit)
        expected = into_si(np.asarray(self.expected, dtype=float))
        slack = self.tolerance * abs(expected if self.relative else into_si(1.0) - into_si(0.0))
        miss = abs(np.asarray(actual) - expected)
        assert np.all(miss <= slack * (1 + 1e-9)), (
            f"{self.id}: {actual} is not {expected} within {slack} ({self.source}, {self.place})"
        )


def load():
    """All records of all files."""
    return [
        Record(**line, file=path.name)
        for path in sorted(Path(__file__).parent.glob("*.json"))
        for line in json.loads(path.read_text(encoding="utf-8"))
    ]


def record(id):
    """The one record of that id."""
    (found,) = [r for r in load() if r.id == id]
    return found


def for_test(name):
    """The records that the test of that name reads."""
    found = [r for r in load() if r.test == name]
    assert found, f"no record names the test {name}"
    return found


def _into_si(value):
    if isinstance(value, dict):
        return {name: _into_si(part) for name, part in value.items()}
    if isinstance(value, list):
        if len(value) == 2 and isinstance(value[1], str):
            return getattr(units, value[1])(_into_si(value[0]))
        return np.array(value, dtype=float)
    return value


def _record_or_value(name, value):
    if name in ("rider", "before", "after"):
        return Rider(**value)
    return Conditions(**value) if name == "conditions" else value


def _scale(unit):
    if unit in _PREFIXED:
        return lambda x: x * _PREFIXED[unit]
    return getattr(units, unit, lambda x: x)
