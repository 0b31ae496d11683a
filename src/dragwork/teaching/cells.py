"""Which notebook cell shows which live thing, so that a cell that runs again leaves none behind."""

from IPython import get_ipython

WIDGET = "application/vnd.jupyter.widget-view+json"  # what is live, among the data of an output
# cell -> (its last run, what that run showed). It belongs to the kernel, as the widget library's
# own list of widgets does: without it every run would leave its sliders behind, observed for ever.
_shown = {}


def close_what_stood_here(shown):
    """Close what the running cell showed when it ran before, unless another cell shows it too.

    Outside a notebook that names its cells, nothing happens.

    Parameters
    ----------
    shown : object with a method close
        What the running cell shows now.
    """
    request = getattr(get_ipython(), "parent_header", None) or {}
    cell = request.get("metadata", {}).get("cellId")
    run = request.get("header", {}).get("msg_id")
    if cell is None:
        return
    last_run, earlier = _shown.get(cell, (None, []))
    if run != last_run:
        _shown[cell] = (run, [])
        elsewhere = [id(thing) for _, things in _shown.values() for thing in things]
        for thing in earlier:
            if id(thing) not in elsewhere:
                thing.close()
    _shown[cell][1].append(shown)
