"""A page on paper: a real browser prints it; without one the words help."""

import subprocess

import pytest

from dragwork.teaching import printing

PAGE = "<!doctype html><html lang='en'><title>A page</title><p>Tobin saves 180 s.</p></html>"
browser = pytest.mark.skipif(printing.find_browser() is None, reason="no browser on this computer")


@browser
def test_a_browser_prints_the_page():
    made = printing.print_page(PAGE)
    assert made.startswith(b"%PDF-") and len(made) > 1000


def test_without_a_browser_the_words_help(monkeypatch):
    monkeypatch.setattr(printing, "find_browser", lambda: None)
    with pytest.raises(printing.CannotPrint, match="print it from there"):
        printing.print_page(PAGE)


@pytest.mark.parametrize(
    "error", [subprocess.TimeoutExpired("x", 1), OSError("gone"),
              subprocess.CalledProcessError(1, "x")]
)  # fmt: skip
def test_a_browser_that_fails_is_named(monkeypatch, error):
    def fail(*_, **__):
        raise error

    monkeypatch.setattr(printing, "find_browser", lambda: "chromium")
    monkeypatch.setattr(subprocess, "run", fail)
    with pytest.raises(printing.CannotPrint, match="chromium could not print"):
        printing.print_page(PAGE)


def test_a_browser_is_found_where_windows_puts_it(tmp_path, monkeypatch):
    place = tmp_path / "Microsoft" / "Edge" / "Application" / "msedge.exe"
    place.parent.mkdir(parents=True)
    place.touch()
    monkeypatch.setattr(printing.shutil, "which", lambda _: None)
    monkeypatch.setenv("ProgramFiles", str(tmp_path))
    assert printing.find_browser() == str(place)
