"""Set up, bring the learner's copy up to date, and open it in JupyterLab."""

import argparse
import os
import subprocess
import sys
import webbrowser
from collections.abc import Callable
from functools import partial
from importlib.util import find_spec
from pathlib import Path

from dragwork.setup import classroom, environment, lab, own_file, working_copy
from dragwork.teaching.profile import NAME, PLACE

FIRST_NOTEBOOK = "00_start_here"
FOLDER = "dragwork"  # in the home folder: the copy of a learner who installed the package

SIGN = "from nbformat.sign import TrustNotebookApp as App; App.launch_instance()"


def main(arguments: list[str], root: str) -> int:
    """Run `python3 workbook` in the project's folder; return its exit code."""
    root = Path(root)
    folders, prepared = (root / ".my-workbook", root / ".class"), partial(environment.prepare, root)
    return _run(arguments, "python3 workbook", root, folders, prepared)


def installed() -> int:
    """Run `dragwork`, the command of the installed package; return its exit code."""
    root = working_copy.origin()
    if working_copy.is_project(root):
        return main(sys.argv[1:], str(root))
    home = Path.home()
    return _run(sys.argv[1:], "dragwork", root, (home / FOLDER, home / f"{FOLDER}-class"), _as_it_is)


def _as_it_is(extra: str = "") -> Path:
    """The Python that runs this."""
    if extra and not find_spec("jupyterhub"):
        raise environment.SetupProblem(f"This needs a few packages more: pip install 'dragwork[{extra}]'")
    return Path(sys.executable)


def _run(arguments, name, root, folders, prepared) -> int:
    mine, of_class = folders

    def work() -> int:
        if "--class" in arguments:
            others = [each for each in arguments if each != "--class"]
            return classroom.main(others, name, of_class, prepared)
        return _open(_options(name, mine).parse_args(arguments), root, prepared)

    return environment.run(work, "Stopped. Start again whenever you like.")


def _open(options: argparse.Namespace, root: Path, prepared: Callable[[], Path]) -> int:
    copy = options.folder.absolute()
    if options.my_file:
        print(*own_file.run(options.my_file, copy), sep="\n")
        return 0
    with lab.alone(copy) as note:
        if isinstance(note, str):
            return show_running(note, copy, options)
        python = prepared()
        written, notes = working_copy.prepare(root, copy)
        print(*notes, sep="\n", end="\n" if notes else "")
        trust(python, written)
        os.environ.setdefault(PLACE, str(copy / NAME))
        page = find_page(copy, options.notebook)
        return run_lab(python, copy, page, options.port, not options.no_browser, note)


def _options(name: str, folder: Path) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog=name,
        description="Open the workbook in JupyterLab: your own copy of it, which an update never overwrites.",
    )
    more = parser.add_argument
    more("notebook", nargs="?", default=FIRST_NOTEBOOK, help="which notebook to open, e.g. 08")
    more("--folder", type=Path, default=folder,
         help="where your copy is kept; without it in %(default)s")
    more("--port", type=lab.port, default=8888, help="the port to try first")
    more("--no-browser", action="store_true", help="print the link, open no browser")
    more("--my-file", choices=own_file.ACTIONS,
         help="show or delete what the notebooks keep of you, and do nothing else")
    more("--class", action="store_true",
         help="serve a class; `python3 workbook --class --help` says more")
    return parser


def show_running(link: str, copy: Path, options: argparse.Namespace) -> int:
    """Open the workbook that is running already."""
    home, _, token = link.partition("/lab")
    page = find_page(copy, options.notebook)
    link = f"{home}{page}?{token.partition('?')[2]}"
    print(f"\nThe workbook is already running at\n\n    {link}\n")
    if not options.no_browser:
        webbrowser.open(link)
    return 0


def find_page(copy: Path, wanted: str) -> str:
    """The address of a notebook within JupyterLab, from its name or the start of its name."""
    names = sorted(path.stem for path in (copy / "workbook").glob("*.ipynb"))
    found = [name for name in names if name.startswith(wanted.removesuffix(".ipynb"))]
    if found:
        return f"/lab/tree/workbook/{found[0]}.ipynb"
    if wanted == FIRST_NOTEBOOK:
        return "/lab"
    raise environment.SetupProblem(
        "\n    ".join([f"There is no notebook whose name begins with {wanted!r}. There are:", *names])
    )


def trust(python: Path, notebooks: list[Path]) -> None:
    """Sign notebooks as trusted, so that their saved pictures and the start button work."""
    if notebooks:
        command = [str(python), "-c", SIGN, *map(str, notebooks)]
        subprocess.run(command, check=False, capture_output=True)


def run_lab(python: Path, copy: Path, page: str, port: int, browser: bool, note=print) -> int:
    """Open JupyterLab, print the link, note it for a second start, and stay until it is stopped."""
    with lab.running(python, copy, page, port, browser) as server:
        note(server.link)
        print(f"\nThe workbook is open at\n\n    {server.link}\n")
        print(f"Your copies are in {copy}. Leave this window open; Ctrl-C here stops it.")
        sys.stdout.flush()
        return lab.wait(server.process)
