"""The house: which way imports point, what they load, and how a public function is written."""

import ast
import inspect
import json
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from importlib import import_module
from importlib.metadata import packages_distributions
from pathlib import Path

import published
import pytest
from loops import over
from published import table

import dragwork
from dragwork.quantities import QUANTITIES
from dragwork.sources import SOURCES, cite

PACKAGE = Path(dragwork.__file__).parent
ROOMS = {  # each may import from the rooms before it
    "ground": {"escaping", "files", "units", "wording", "constants", "sources", "quantities"},
    "physics": {"physics"},
    "measurement": {"measurement"},
    "decisions": {"decisions"},
    "scenario": {"scenario"},
    "teaching": {"teaching"},
}
ORDER = list(ROOMS)
FILES = sorted(p for p in PACKAGE.rglob("*.py") if "setup" not in p.relative_to(PACKAGE).parts)
HEAVY = {"scipy", "pandas", "matplotlib", "sympy", "IPython", "ipywidgets", "pint", "hypothesis"}


@cache
def nodes(path):
    """All there is in a file's code."""
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def imports(path):
    """Every module that a file imports, at the top or inside a function."""
    found = []
    for node in nodes(path):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide which way they point"
            found.append(node.module)
            if node.module == "dragwork":
                found += [f"dragwork.{alias.name}" for alias in node.names]
    return tuple(found)


def room_of(dotted):
    part = dotted.split(".")[1] if "." in dotted else ""
    return next((room for room, parts in ROOMS.items() if part in parts), None)


def dotted(path):
    return ".".join(["dragwork", *path.relative_to(PACKAGE).with_suffix("").parts])


def test_imports_point_one_way():
    for path in FILES:
        here = room_of(dotted(path))
        if here is None:
            continue
        for name in imports(path):
            there = room_of(name) if name.startswith("dragwork.") else None
            if there is not None:
                assert ORDER.index(there) <= ORDER.index(here), f"{dotted(path)} imports {name}"


def outside(path):
    """Packages from outside the standard library that a file imports."""
    names = {name.split(".")[0] for name in imports(path)}
    return names - set(sys.stdlib_module_names) - {"dragwork"}


@over(FILES)
def test_each_room_uses_its_own_tools(path):
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    used = outside(path)
    if parts == ("equations",):
        assert used == {"sympy"}
    if parts[0] in (ROOMS["ground"] | {"physics"}):
        allowed = {"numpy", "scipy"} if parts == ("physics", "course") else {"numpy"}
        assert used <= allowed
    if "ipywidgets" in used:
        assert parts[:2] in (("teaching", "panels"), ("teaching", "forms"))
    if "matplotlib" in used:
        assert parts[:2] in (("teaching", "panels"), ("teaching", "figures"))
    if parts[0] in ("measurement", "decisions", "scenario"):
        page = {"jinja2"} if parts == ("measurement", "plan") else set()  # the empty run sheet, to print
        assert used <= {"numpy", "scipy", "pandas", "openpyxl", *page}


def test_equations_import_physics_and_sympy_alone():
    standard = {"dataclasses", "functools", "re", "dragwork.files"}
    names = {name for name in imports(PACKAGE / "equations.py") if not name.startswith("dragwork.physics")}
    assert names <= standard | {"sympy"}


TESTS = Path(__file__).parent


def declared(*extras):
    """Names of the distributions that pyproject.toml asks for."""
    text = (TESTS.parent / "pyproject.toml").read_text(encoding="utf-8")
    lists = [re.search(rf"^{name} = \[\n(.*?)^\]", text, re.MULTILINE | re.DOTALL)[1] for name in ("dependencies", *extras)]
    return {re.sub(r"[-_.]+", "-", name).lower() for each in lists for name in re.findall(r'^ *"([\w.-]+)', each, re.MULTILINE)}


brought = cache(packages_distributions)


def undeclared(files, names):
    """(file, module) of each import that no declared distribution brings, or that is of an inner module."""
    bringing, ours = brought(), {"dragwork", *(part.stem for part in TESTS.rglob("*"))}
    for path in files:
        for module in imports(path):
            package = module.split(".")[0]
            if package in sys.stdlib_module_names or package in ours:
                continue
            from_ = {re.sub(r"[-_.]+", "-", name).lower() for name in bringing.get(package, (package,))}
            if not from_ & names or re.search(r"\._[a-z]", module):
                yield path.name, module


def test_every_import_is_a_declared_dependency_and_none_of_an_inner_module():
    serving = sorted((PACKAGE / "serving").glob("*.py"))
    everywhere = sorted(set(PACKAGE.rglob("*.py")) - set(serving))
    assert list(undeclared(everywhere, declared())) == []
    assert list(undeclared(serving, declared("class"))) == []
    assert list(undeclared(sorted(TESTS.rglob("*.py")), declared("test", "class"))) == []
    assert {module for _, module in undeclared(everywhere, declared() - {"pillow"})} == {"PIL"}


def loaded_by(statement):
    """Top-level packages that a fresh Python has loaded after a statement."""
    code = f"{statement}; import sys; print(*{{m.split('.')[0] for m in sys.modules}})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_physics_loads_numpy_and_nothing_heavier():
    physics = [dotted(p) for p in sorted((PACKAGE / "physics").glob("*.py"))]
    statement = "import " + ", ".join(name.removesuffix(".__init__") for name in physics)
    more = loaded_by(statement) - loaded_by("import numpy") - set(sys.stdlib_module_names)
    assert {name for name in more if not name.startswith("_")} == {"dragwork"}
    assert not HEAVY & loaded_by(statement)


def test_dragwork_alone_loads_nothing_heavy():
    assert not HEAVY & loaded_by("import dragwork")


def test_the_library_does_not_print_and_keeps_no_globals():
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        is_a_command = '__name__ == "__main__"' in text
        for node in nodes(path):
            assert not isinstance(node, ast.Global), path
            called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            if called and not is_a_command:
                assert node.func.id != "print", path


# How a public function of physics and measurement is written


def documented():
    """Public functions and classes of physics and measurement with their dotted names."""
    for module in table.modules():
        for name, thing in table.public(module).items():
            yield pytest.param(thing, id=f"{module.__name__.removeprefix('dragwork.')}.{name}")


FUNCTIONS = [p for p in documented() if inspect.isfunction(p.values[0])]
PHYSICS = [p for p in FUNCTIONS if p.id.startswith("physics.")]
HEADINGS = ("Parameters", "Returns", "Raises", "Source")


def sections(thing):
    """The docstring's parts: `purpose` before the first heading, then one a heading."""
    doc = inspect.getdoc(thing)
    found = re.split(r"\n(Parameters|Returns|Raises)\n-+\n|\n(?=Source: )", doc)
    parts = {"purpose": found[0]}
    name = None
    for piece in found[1:]:
        if piece in HEADINGS:
            name = piece
        elif piece and piece.startswith("Source: "):
            parts["Source"] = piece.removeprefix("Source: ")
        elif piece:
            parts[name] = piece
    return parts


@over(FUNCTIONS)
def test_docstring_stands_in_order(thing):
    doc = inspect.getdoc(thing)
    assert doc, "no docstring"
    first = doc.splitlines()[0]
    assert first.endswith((".", ":")) or "\n\n" not in doc, "the purpose is one sentence"
    found = re.findall(r"^(Parameters|Returns|Raises|Source)\b", doc, re.MULTILINE)
    assert found == [h for h in HEADINGS if h in found]
    assert "Returns" in found
    equations = [m.start() for m in re.finditer(r"^Equation: ", doc, re.MULTILINE)]
    if equations and "Parameters" in found:
        assert equations[-1] < doc.index("\nParameters\n")


@over(FUNCTIONS)
def test_parameters_are_those_of_the_signature(thing):
    signature = list(inspect.signature(thing).parameters)
    text = sections(thing).get("Parameters", "")
    listed = re.findall(r"^(\w[\w, ]*?)(?: : .*)?$", text, re.MULTILINE)
    names = [name.strip() for line in listed for name in line.split(",")]
    assert names == signature


WITHOUT_UNIT = ("Rider", "Conditions", "Course", "Leg", "Rows", "callable")  # records, whose fields have theirs
PURE = {  # pure numbers: their parameter line bears no unit
    "relative_humidity", "rolling_coefficient", "gradient", "drivetrain_efficiency", "air_share",
    "drag_area_cut", "number", "weights", "shelter",
}  # fmt: skip


@over(PHYSICS)
def test_parameters_bear_their_unit(thing):
    text = sections(thing).get("Parameters", "")
    lines = re.findall(r"^(\w[\w, ]*) : (.*)$", text, re.MULTILINE)
    for names, kind in lines:
        if any(word in kind for word in WITHOUT_UNIT):
            continue
        for name in names.split(", "):
            unit = re.search(r"\[([^\]]+)\]", kind)
            assert bool(unit) != (name in PURE), f"{name} : {kind}"


@over(PHYSICS)
def test_units_are_those_of_the_table_of_quantities(thing):
    text = sections(thing).get("Parameters", "")
    lines = re.findall(r"^(\w[\w, ]*) : .*\[([^\]]+)\]", text, re.MULTILINE)
    for names, unit in lines:
        for name in names.split(", "):
            if name in QUANTITIES:
                assert unit == QUANTITIES[name].unit, name


@over(FUNCTIONS)
def test_what_is_returned_bears_its_unit(thing):
    returns = sections(thing)["Returns"]
    fraction = re.search(r"fraction|pure number|share|float or array\n", returns, re.IGNORECASE)
    record = re.match(r"\w+\n|\w+$", returns)
    assert re.search(r"\[[^\]]+\]", returns) or fraction or record, returns


@over(list(documented()))
def test_source_keys_exist(thing):
    text = inspect.getdoc(thing) or ""
    for line in re.findall(r"Source: (.+)", text):
        for key in re.split(r"[, ]+", line.strip().rstrip(".")):
            assert key in SOURCES, f"{key} is not in dragwork.sources"


def test_every_source_can_be_cited():
    for key, source in SOURCES.items():
        assert key.isupper() or "_" in key, key
        assert source.reference.endswith((".", ")")) or "doi" in source.reference, key
        assert source.reference in cite(key)


def test_sources_in_constants_exist():
    for name in ("constants", "units", "quantities"):
        text = (PACKAGE / f"{name}.py").read_text(encoding="utf-8")
        for key in re.findall(r"\b([A-Z]{3,}[A-Z_]*\d*(?:_\d+)?)\b(?=[\.,) ]|$)", text):
            if re.fullmatch(r"[A-Z]+_?\d{4}|BIPM_SI|ISO\d+|WMO8", key):
                assert key in SOURCES, key


@over(FUNCTIONS)
def test_arguments_have_full_names_and_no_unit_in_them(thing):
    for name in inspect.signature(thing).parameters:
        assert len(name) > 1 or name in ("a", "b", "f", "u")  # names to keep of the design
        assert not re.search(r"_(kmh|ms|kg|deg|rad|pa|hpa|n|w|m2|celsius|kelvin)$", name), name


# Checks from outside


def test_every_public_function_has_an_outside_check():
    print(table.markdown())
    missing = [name for name, found in table.checks().items() if not table.outside(found)]
    assert not missing, f"no value from outside: {missing}"


def test_the_table_of_outside_checks_is_up_to_date():
    assert table.FILE.read_text(encoding="utf-8") == table.markdown(), (
        "run `python tests/published/table.py`"
    )


def test_outside_checks_name_real_functions():
    for record in published.load():
        for name in record.functions:
            room, module, *rest = name.split(".")
            thing = import_module(f"dragwork.{room}.{module}" if rest else f"dragwork.{room}")
            for part in rest or [module]:
                thing = getattr(thing, part)
            assert callable(thing), name


@over(PHYSICS)
def test_ranges_in_words_are_those_of_the_table_of_quantities(thing):
    """Where a parameter is said to be 'a to b', the check says the same."""
    entry = r"^(\w[\w, ]*) : .*\n((?:    .*\n?)*)"
    for names, text in re.findall(entry, sections(thing).get("Parameters", ""), re.MULTILINE):
        for name in names.split(", "):
            said = _range_in_words(text)
            if said and name in QUANTITIES:
                assert said == (QUANTITIES[name].low, QUANTITIES[name].high), name


def _range_in_words(text):
    """(low, high) in SI; None where there is none, or one written with pi."""
    found = re.search(r"(-?[\d.,]*\d) to (-?[\d.,]*\d)(?![\d.]* ?(?:degC|deg))( kPa)?", text)
    if not found:
        return None
    low, high = (float(end.replace(",", "")) for end in found.group(1, 2))
    return (low * 1e3, high * 1e3) if found[3] else (low, high)


# What runs before anything is installed


def test_setup_needs_the_standard_library_alone():
    setup = sorted((PACKAGE / "setup").glob("*.py"))
    names = ", ".join(f"dragwork.setup.{p.stem}" for p in setup if p.stem != "__init__")
    statement = f"import sys; sys.path.insert(0, {str(PACKAGE.parent)!r}); import {names}"
    bare = [sys.executable, "-I", "-S", "-c", f"{statement}; print(*sys.modules)"]
    shown = subprocess.run(bare, capture_output=True, text=True, check=True).stdout
    packages = {name.split(".")[0] for name in shown.split()} - set(sys.stdlib_module_names)
    assert packages == {"dragwork", "__main__"}


# Texts that go out into the world

ROOT = PACKAGE.parents[1]
LOOK_FOR_THEM = {"tests/notebook_rules.py", "tests/teaching/test_book.py"}  # as this one does
OURS_ALONE = re.compile(  # written so that this line does not match itself
    r"/(?:tm[p]|wor[k]|roo[t]|far[m]|hom[e])/|[A-Z]:\\User[s]|/User[s]/"
    r"|pyp[i]\.org|pythonhoste[d]|npmj[s]|anacond[a]\.|jsdeliv[r]|unpk[g]"
)


def test_no_path_of_a_machine_and_no_registry_in_a_tracked_text():
    git = ["git", "ls-files", "-z"]
    listed = subprocess.run(git, cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout, so there is no list of what belongs to it")
    found = []
    for name in set(listed.stdout.split("\0")) - {""} - LOOK_FOR_THEM:
        path = ROOT / name
        try:
            text = path.read_text(encoding="utf-8") if path.is_file() else ""
        except UnicodeDecodeError:
            continue  # a picture
        found += [f"{name}: {match[0]}" for match in OURS_ALONE.finditer(text)]
    assert not found


def test_no_import_is_hidden_inside_a_function():
    """But for what one system has and another does not."""
    hidden = [
        f"{path.name}: {ast.unparse(node)}"
        for path in PACKAGE.rglob("*.py")
        for function in nodes(path)
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom) and ast.unparse(node) not in ("import fcntl", "import msvcrt")
    ]
    assert hidden == []


def test_no_two_classes_share_a_name():
    """A name that is met in a message or a traceback says which class it is."""
    found = Counter(node.name for path in PACKAGE.rglob("*.py") for node in nodes(path) if isinstance(node, ast.ClassDef))
    assert [name for name, times in found.items() if times > 1] == []


def test_no_two_test_files_share_a_name():
    """pytest imports them by that name alone."""
    names = [path.name for path in sorted((ROOT / "tests").rglob("test_*.py"))]
    assert [name for name in names if names.count(name) > 1] == []


_CODE_S_WORDS = re.compile(r"[a-z]_[a-z]|\bunits\.[a-z]|`|\bm2\b|\bkg/m3\b|\bNone\b(?! of)")


def refusals(path):
    """The words of what a module raises or refuses: (line, text without what is filled in)."""
    for node in nodes(path):
        call = node.exc if isinstance(node, ast.Raise) else node
        called = isinstance(call, ast.Call) and getattr(call.func, "id", "")
        if not called or not (isinstance(node, ast.Raise) or called == "refuse"):
            continue
        filled = {id(part) for each in ast.walk(call) if isinstance(each, ast.FormattedValue)
                  for part in ast.walk(each)}  # fmt: skip
        for each in ast.walk(call):
            if isinstance(each, ast.Constant) and isinstance(each.value, str) and id(each) not in filled:
                words = re.sub(r"\{[^{}]*\}|\[[^]]*\]", "", each.value)  # nor headings' units
                if " " in words:  # a word alone names a box of the form
                    yield each.lineno, words


def sentences_in(table):
    """The sentences of a table of words, without what is filled in."""
    if isinstance(table, str):
        yield from [re.sub(r"\{[^{}]*\}|\[[^]]*\]", "", table)] if " " in table else []
    elif isinstance(table, (dict, list)):
        for each in table.values() if isinstance(table, dict) else table:
            yield from sentences_in(each)


def test_no_refusal_speaks_a_programmer_s_words():
    """What is raised may reach a page: no name of an argument, no call, no unit as code writes it.

    Those of the forms, of sheets, rides and roads are in tables, with all else that is said of them.
    """
    found = [(path.name, *said) for path in FILES for said in refusals(path)]
    tables = [*(PACKAGE / "teaching" / "forms").glob("*.json"), *PACKAGE.glob("*/sentences.json")]
    for path in sorted(tables):
        words_of = json.loads(path.read_text("utf-8"))
        if "fault" in words_of:  # of a cell: in the units of the sheet's headings
            words_of = {**words_of, "fault": ()}
        found += [(path.name, 0, words) for words in sentences_in(words_of)]
    assert len(found) > 500, "the search finds what is refused"
    assert not [said for said in found if _CODE_S_WORDS.search(said[2])]
