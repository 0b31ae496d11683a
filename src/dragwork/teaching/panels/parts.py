"""Small parts that the widgets of panels and forms are made of."""

import asyncio
from contextlib import suppress

import ipywidgets as widgets
from traitlets import Unicode


class Image(widgets.Image):
    """An image that can carry a text alternative: a tooltip needs a description to stand beside."""

    description = Unicode("").tag(sync=True)


class Later:
    """One delayed call; a new start replaces the one that waits. Nothing waits for it."""

    def __init__(self, delay, call):
        self._delay, self._call, self._timer = delay, call, None

    def start(self):
        """Call after the delay."""
        self.cancel()
        with suppress(RuntimeError):  # plain Python, no kernel: nobody looks
            self._timer = asyncio.get_running_loop().call_later(self._delay, self._call)

    def cancel(self):
        """Do not call."""
        if self._timer:
            self._timer.cancel()
            self._timer = None


def named(name, widget):
    """The widget, with a class name for style sheet, script and tests."""
    widget.add_class(name)
    return widget


def text(name, value=""):
    """A piece of the page that only shows text."""
    return named(name, widgets.HTML(value))


def button(label, press, tooltip="", name="dragwork-button"):
    """A button; a screen reader calls it by its tooltip where that begins with the label, else by its label."""
    made = named(name, widgets.Button(description=label, tooltip=tooltip or label))
    made.on_click(lambda _: press())
    return made


def show_part(widget, visible):
    """Show or hide a part."""
    widget.layout.display = "" if visible else "none"


def close_all(widget):
    """Close a widget and what it holds, its layout and style too, which are widgets themselves."""
    parts = [*getattr(widget, "children", ()), widget.layout, getattr(widget, "style", None)]
    widget.close()
    for part in parts:
        if hasattr(part, "layout"):
            close_all(part)
        elif part is not None:
            part.close()
