"""A real browser on a real JupyterLab: what the browser tests stand on.

The words of a page are read as a learner finds them, from the page itself. JupyterLab's own
application object is asked for one thing alone: whether all cells have run.
"""

import shutil
from pathlib import Path
from urllib.parse import quote

import nbformat
from axe_playwright_python.sync_playwright import Axe
from nbformat import v4
from playwright.sync_api import expect

from dragwork.teaching.book import KERNEL

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / ".ci" / "output"

SIZE = {"width": 1280, "height": 900}

#: Besides what Playwright sets: no graphics card needed, and nothing fetched that no page asks for.
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

_PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")

_PANELS = ".dragwork-panel:has(.dragwork-knob)"

_PATIENCE = 90_000  # ms for all cells of a notebook, or until a page is at rest
_QUIET = 200  # ms without a change, besides what is known to come: longer than what the page puts off


def find_browser():
    """The path of a Chromium or Chrome of this computer, or None."""
    return next(filter(None, map(shutil.which, _PROGRAMS)), None)


def write_notebook(path, sources):
    """Write a notebook of code cells."""
    cells = [v4.new_code_cell(source) for source in sources]
    nbformat.write(v4.new_notebook(cells=cells, metadata={"kernelspec": dict(KERNEL)}), path)


def check(notebook, panel, *rules):
    """Have axe look at one panel. It must have come to the rules named, or it looked at nothing."""
    panel.scroll_into_view_if_needed()
    panel.evaluate("panel => panel.dataset.checked = ''")
    found = Axe().run(notebook.page, "[data-checked]").response
    panel.evaluate("panel => delete panel.dataset.checked")
    grave = [
        f"{rule['id']} ({rule['impact']}): {node['html'][:160]}"
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]
    assert grave == []
    assert {rule["id"] for rule in found["passes"]} >= set(rules)


def check_panels(notebook, number):
    """Have axe look at every panel of a lesson, which has so many."""
    expect(notebook.page.locator(_PANELS)).to_have_count(number, timeout=60_000)
    for panel in notebook.panels:
        check(
            notebook, panel.root, "aria-input-field-name", "button-name", "color-contrast",
            "image-alt", "label",
        )  # fmt: skip


class Notebook:
    """A notebook open in JupyterLab.

    Parameters
    ----------
    page : playwright.sync_api.Page
        Where JupyterLab is open already, it opens the notebook in place of the last one, as a learner goes on.
    server : dragwork.setup.lab.Server
        A request to any other is a complaint.
    address : str
        Of the notebook on the server.
    """

    def __init__(self, page, server, address):
        self.page = page
        self.complaints = []
        self._home = server.url.rstrip("/")
        self._listeners = {"console": self._hear, "pageerror": self._fail, "request": self._see}
        for event, listener in self._listeners.items():
            page.on(event, listener)
        if page.url.startswith(self._home):
            page.evaluate(_OPEN, address.removeprefix("/lab/tree/"))
        else:  # "reset": open no page of an earlier visit.
            page.goto(f"{self._home}{quote(address)}?token={server.token}&reset")
        page.wait_for_function(_READY, polling=50)

    def _hear(self, message):
        if message.type == "error":
            self.complaints.append(f"console error: {message.text}")

    def _fail(self, error):
        self.complaints.append(f"page error: {error}")

    def _see(self, request):
        if not request.url.startswith((self._home, self._home.replace("http", "ws", 1), "blob:", "data:")):
            self.complaints.append(f"asked another computer: {request.url}")

    def close(self):
        """Stop the kernel, which holds about 100 MB, and hear no more."""
        self.page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.shutdown()")
        for event, listener in self._listeners.items():
            self.page.remove_listener(event, listener)

    def run(self, patience=_PATIENCE):
        """Run all cells, by the lesson's own button where there is one, and wait for the end [ms]."""
        self.page.evaluate(COUNT)
        start = self.page.get_by_role("button", name="Start this lesson")
        if start.count():
            start.focus()
            self.page.keyboard.press("Enter")
        else:
            self.page.get_by_role("menuitem", name="Run", exact=True).click()
            self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        self.page.wait_for_function(RAN, timeout=patience, polling=50)
        failed = self.page.locator(".jp-Notebook [data-mime-type='application/vnd.jupyter.error']")
        said = failed.all_inner_texts()
        if not said and self.page.evaluate("() => replies.some(status => status !== 'ok')"):
            said = ["it is out of view"]
        self.complaints += [f"a cell raised: {text}" for text in said]
        self.rest()
        self.page.evaluate(_LISTEN)

    def rest(self, quiet=_QUIET):
        """Wait until nothing is to come any more.

        The kernel has answered all that the page has sent, each panel's picture is the crisp one, what is shown
        has been read aloud, what is typed is handed over, and nothing on the page has changed for a while [ms].
        """
        self.page.evaluate(_AT_REST, [quiet, _PATIENCE])

    def unfold(self):
        """Open each section that the page opens shut."""
        for button in reversed(self.page.locator(".jp-showHiddenCellsButton").all()):
            button.click()

    def reveal(self):
        """Have every panel show its answer, guessed or not."""
        closed = self.page.get_by_role("button", name="Show it without a guess")  # the visible ones
        while number := closed.count():
            closed.first.click()
            expect(closed).to_have_count(number - 1)
        self.rest()

    @property
    def panels(self):
        """The live panels, from top to bottom; a flow of questions has no knobs and is none."""
        return [Panel(self, panel) for panel in self.page.locator(_PANELS).all()]

    def shoot(self, name):
        """A picture of the whole notebook in `.ci/output/`."""
        for _ in range(2):  # the height is a guess until all cells have been drawn
            height = self.page.evaluate(_HEIGHT)
            self.page.set_viewport_size({**SIZE, "height": int(height) + 100})
            self.rest()
        PICTURES.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=PICTURES / f"{name}.png")
        self.page.set_viewport_size(SIZE)


class Panel:
    """A live panel: its sliders, its picture, its words; `root` is its place on the page."""

    def __init__(self, notebook, root):
        self._notebook = notebook
        self.root = root

    @property
    def sliders(self):
        return [Slider(self._notebook, row) for row in self.root.locator(".dragwork-knob").all()]

    @property
    def title(self):
        return self.root.get_attribute("aria-label")

    @property
    def sentence(self):
        return self.root.locator(".dragwork-sentence").inner_text()

    @property
    def note(self):
        return self.root.locator(".dragwork-note").inner_text()

    @property
    def read_aloud(self):
        return self.root.locator(".dragwork-live").text_content().strip()

    @property
    def alt(self):
        return self.root.locator("img.dragwork-picture").get_attribute("alt")

    @property
    def picture(self):
        """A digest of the picture's bytes; its address changes even if the picture does not."""
        return self.root.locator("img.dragwork-picture").evaluate(_DIGEST)

    def reset(self):
        self.root.locator("button.dragwork-reset").click()
        self._notebook.rest()

    def shoot(self, name):
        """A picture of the panel in `.ci/output/`."""
        self.root.scroll_into_view_if_needed()
        PICTURES.mkdir(parents=True, exist_ok=True)
        self.root.screenshot(path=PICTURES / f"{name}.png")


class Slider:
    """One knob of a panel, moved as a learner moves it."""

    def __init__(self, notebook, row):
        self._notebook = notebook
        self.handle = row.locator(".noUi-handle")
        self.box = row.locator(".dragwork-box input")
        self.less, self.more = (row.locator("button").nth(place) for place in (0, 1))

    @property
    def name(self):
        return self.handle.get_attribute("aria-label")

    @property
    def words(self):
        """The value as a screen reader says it."""
        return self.handle.get_attribute("aria-valuetext")

    @property
    def value(self):
        return self._number("aria-valuenow")

    @property
    def low(self):
        return self._number("aria-valuemin")

    @property
    def high(self):
        return self._number("aria-valuemax")

    def _number(self, attribute):
        return float(self.handle.get_attribute(attribute))

    def press(self, *keys):
        """Press keys while the slider has the focus, and wait until the panel has followed."""
        for key in keys:
            self.handle.press(key)
        self._notebook.rest()

    def type(self, text):
        """Type into the slider's box, and Enter."""
        self.box.fill(text)
        self.box.press("Enter")
        self._notebook.rest()


_READY = """() => {
    const open = window.jupyterapp?.shell.currentWidget;
    return open?.isRevealed && open.sessionContext?.isReady && open.sessionContext.session?.kernel;
}"""

COUNT = """() => {
    const { content, sessionContext } = jupyterapp.shell.currentWidget;
    const isCode = cell => cell.type === "code" && cell.sharedModel.source.trim();
    window.toRun = [...content.model.cells].filter(isCode).length;
    const hear = (_, { msg }) => {
        if (msg.header.msg_type === "execute_reply") replies.push(msg.content.status);
    };
    if (!window.replies) sessionContext.session.kernel.anyMessage.connect(hear);
    window.replies = [];
}"""

RAN = """() => replies.length >= toRun || replies.some(status => status !== "ok")"""

_OPEN = """async path => {
    const { commands, shell } = jupyterapp;
    const others = [...shell.widgets("main")];
    await commands.execute("docmanager:open", { path });
    others.forEach(each => each.dispose());
    shell.expandLeft();
    delete window.replies;
}"""

# Which words each panel has read aloud last; until it first does, those that it showed at the start.
_LISTEN = """() => {
    const spoken = window.spoken = new WeakMap();
    for (const live of document.querySelectorAll(".dragwork-stage .dragwork-live")) {
        const listen = () => live.textContent.trim() && spoken.set(live, live.textContent);
        const words = [".dragwork-sentence", ".dragwork-note"].map(part => live.parentNode.querySelector(part).textContent);
        spoken.set(live, words.join(" "));
        listen();
        new MutationObserver(listen).observe(live, { subtree: true, childList: true, characterData: true });
    }
}"""

_AT_REST = """async ([quiet, patience]) => {
    const page = document.querySelector(".jp-Notebook");
    const all = where => [...page.querySelectorAll(where)];
    const pause = time => new Promise(done => setTimeout(done, time));
    const answered = async () => {
        const kernel = jupyterapp.shell.currentWidget.sessionContext.session?.kernel;
        await Promise.race([kernel?.requestCommInfo({ target_name: "none" }), pause(patience)]);
        await pause(20);
    };
    const plain = words => words.replace(/\\s+/g, " ").trim();
    const isToCome = panel => {
        const [picture, live, ...words] = ["img.dragwork-picture", ".dragwork-live", ".dragwork-sentence", ".dragwork-note"]
            .map(part => panel.querySelector(part));
        if (!picture.complete || picture.naturalWidth < 1.5 * picture.getAttribute("width")) return true;
        const said = window.spoken?.get(live);
        return said !== undefined && plain(said) !== plain(words.map(part => part.textContent).join(" "));
    };
    const typed = ".dragwork-flow .dragwork-field :is(input[type=text], textarea)[data-typed]:not(.dragwork-leg *)";
    const limit = performance.now() + patience;
    let changes;
    const watch = new MutationObserver(() => { changes++; });
    watch.observe(page, { subtree: true, childList: true, characterData: true, attributes: true });
    try {
        do {
            if (performance.now() > limit) throw Error("the page does not come to rest");
            changes = 0;
            await answered(); // twice: what the page holds back while the kernel is busy is sent after the first
            await pause(quiet);
            await answered();
        } while (changes || all(typed).length || all(".dragwork-stage:has(.dragwork-knob)").some(isToCome));
    } finally {
        watch.disconnect();
    }
}"""

_HEIGHT = """() => {
    document.querySelector(".jp-WindowedPanel-outer").scrollTop = 0;
    return [...document.querySelectorAll(".jp-Cell")].at(-1).getBoundingClientRect().bottom;
}"""

_DIGEST = """async picture => {
    const bytes = await (await fetch(picture.src)).arrayBuffer();
    return String(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
}"""

CELLS = """() => {
    const { content } = jupyterapp.shell.currentWidget;
    const cells = [...content.model.cells].map(cell => [cell.id, cell.type, cell.sharedModel.source]);
    return [cells, content.activeCellIndex, content.mode];
}"""
