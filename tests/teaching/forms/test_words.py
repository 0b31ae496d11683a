"""The tables of words: each sentence in them is said by the module beside it, and no other is asked for."""

import json
import re
from pathlib import Path

from loops import over

from dragwork.teaching import forms

FOLDER = Path(forms.__file__).parent
TABLES = [path for path in sorted(FOLDER.glob("*.json")) if "says" in json.loads(path.read_text("utf-8"))]


@over(TABLES)
def test_the_sentences_of_a_table_are_those_that_its_module_says(path):
    code = path.with_suffix(".py").read_text("utf-8")
    assert f'FormWords("{path.name}")' in code
    said = re.findall(r"""WORDS\(\s*["']([^"']+)["']""", code)
    told = json.loads(path.read_text("utf-8"))["says"]
    assert [name for name in said if name not in told] == []
    assert [name for name in told if f'"{name}"' not in code and f"'{name}'" not in code] == []
