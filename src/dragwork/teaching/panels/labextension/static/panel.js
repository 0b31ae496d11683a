// Lets the panels be read aloud in JupyterLab. Python puts the words on the page; this copies them
// to where a screen reader looks for them. Written by hand as JupyterLab loads it: no build step.
(() => {
  "use strict";

  const set = (node, attribute, text) => {
    if (node && node.getAttribute(attribute) !== text) node.setAttribute(attribute, text);
  };

  // A knob: name and unit to the slider and the box, the slider's value in words.
  function nameKnob(row) {
    const words = row.querySelector(".dragwork-spoken [data-name]")?.dataset;
    const handle = row.querySelector(".noUi-handle");
    if (!words) return;
    set(row, "role", "group");
    set(row, "aria-label", words.name);
    const withUnit = words.unit ? `${words.name}, ${words.unit}` : words.name;
    set(row.querySelector("input"), "aria-label", withUnit);
    if (!handle) return;
    // The slider counts steps; the library writes the one it stands on into a hidden readout.
    const step = Number(row.querySelector(".widget-readout")?.textContent);
    const there = Math.min(Number(words.low) + step * words.step, Number(words.high));
    const now = step === Number(words.position) ? words.now : there.toFixed(words.digits).replace("-", "−");
    set(handle, "aria-valuetext", `${now} ${words.unit}`.trim());
    set(handle, "aria-valuenow", now.replace("−", "-")); // a number to machines, whose minus is a hyphen
    set(handle, "aria-label", withUnit);
    set(handle, "aria-valuemin", words.low);
    set(handle, "aria-valuemax", words.high);
  }

  // What is said of a field: its hint, and where it cannot be used the remark of its group.
  let count = 0;
  const idOf = (node) => (node.id ||= `dragwork-${++count}`);
  function nameField(field) {
    const isGroup = field.matches(".widget-radio");
    const control = isGroup || field.matches("button") ? field : field.querySelector("input, select, textarea");
    const group = field.closest(".dragwork-question, .dragwork-form");
    if (!control || !group) return;
    const wrong = field.matches(".dragwork-wrong");
    const words = [...(field.closest(".dragwork-row")?.querySelectorAll(".dragwork-field-hint") ?? [])];
    if (wrong) words.unshift(...group.querySelectorAll(".dragwork-remark"));
    const ids = words.filter((node) => node.textContent.trim()).map(idOf).join(" ");
    if (ids) set(control, "aria-describedby", ids);
    else control.removeAttribute("aria-describedby");
    if (wrong && !control.matches("button")) set(control, "aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
    if (!isGroup) return;
    // Of one name they are one stop of the Tab key, and arrow keys move among them.
    set(field, "role", "radiogroup");
    set(field, "aria-label", field.querySelector(".widget-label")?.textContent ?? "");
    field.querySelectorAll("input").forEach((radio) => set(radio, "name", `${idOf(field)}-choice`));
  }

  // What stands in a box counts however it came there: typed, pasted, dictated, filled in.
  const BOXES = ".dragwork-field :is(input[type=text], textarea)";
  const handOver = (panel) =>
    panel.querySelectorAll(`${BOXES}:not(.dragwork-leg *), ${BOXES}[data-typed]`).forEach((box) => {
      delete box.dataset.typed;
      box.dispatchEvent(new Event("change", { bubbles: true }));
    });

  function onEnter(event) {
    const { target, key } = event;
    const other = event.shiftKey || event.ctrlKey || event.altKey || event.metaKey || event.isComposing;
    if (key !== "Enter" || other || !target.matches(".dragwork-field :is(input, select)")) return;
    const group = target.closest(".dragwork-question, .dragwork-form");
    const answer = group.querySelector(":scope button.dragwork-answer");
    if (!answer) return;
    event.preventDefault();
    event.stopPropagation();
    answer.click();
  }

  // While the kernel is busy, what a field has just told it waits in the page, but a press does not: it
  // would overtake the answer that it is about. So a press waits too, until the kernel has been idle twice.
  let lab, passing = null;
  function whenSettled(done, idle = 0) {
    const kernel = lab?.shell.currentWidget?.sessionContext?.session?.kernel;
    if (kernel?.status === "busy") idle = -1;
    if (idle < 2) setTimeout(whenSettled, 25, done, idle + 1);
    else done();
  }

  // Widgets without their kernel look alive and do nothing: say what to press.
  const LOST =
    "This form has lost its connection, so its buttons do nothing now. Press 'Start this lesson' at the " +
    "top of the page, or in the menu Run, Run All Cells. What you answered is kept: the form then offers " +
    "to go on where you were.";
  function onClick(event) {
    const panel = event.currentTarget;
    const button = event.target.closest("button");
    if (!button) return;
    handOver(panel);
    if (button.matches(".dragwork-answer") && button !== passing) {
      event.preventDefault();
      event.stopPropagation();
      whenSettled(() => { passing = button; button.click(); passing = null; });
      return;
    }
    const lost = ".jupyter-widgets-disconnected";
    if (!event.target.closest(lost) || panel.querySelector(".dragwork-lost")) return;
    const note = document.createElement("p");
    note.className = "dragwork-lost";
    set(note, "role", "alert");
    note.textContent = LOST;
    panel.prepend(note);
  }

  // Who speaks to a computer says the words that are seen: a tooltip is the name of a button only where
  // it begins with them, or where the button shows a sign. Otherwise it describes the button.
  function nameButton(button) {
    const shown = button.textContent.trim();
    const isName = !/\p{L}/u.test(shown) || button.title.startsWith(shown);
    if (isName) set(button, "aria-label", button.title);
    else button.removeAttribute("aria-label");
  }

  // What was read aloud is on the page already: it is not left there to be met a second time.
  const SAID = 10_000; // ms
  function forget(live) {
    let soon;
    const empty = () => live.querySelector(".widget-html-content")?.replaceChildren();
    new MutationObserver(() => {
      clearTimeout(soon);
      soon = setTimeout(empty, SAID);
    }).observe(live, { subtree: true, childList: true, characterData: true });
    live.dataset.dragwork = "forgets";
  }

  function namePanel(panel) {
    set(panel, "role", "group");
    set(panel, "aria-label", panel.querySelector(".dragwork-title")?.textContent.trim() ?? "Panel");
    // Keys turn knobs here, they delete no cells. JupyterLab's shortcuts match the focused node
    // itself, so every node that can have the focus must say so.
    panel.querySelectorAll("button, input, select, textarea, [tabindex]").forEach((node) =>
      set(node, "data-lm-suppress-shortcuts", "true"));
    panel.querySelectorAll(".dragwork-question").forEach((group) => {
      const heading = group.querySelector("h3");
      if (!heading) return;
      set(group, "role", "group");
      set(group, "aria-label", heading.textContent);
    });
    panel.querySelectorAll(".dragwork-field").forEach(nameField);
    panel.querySelectorAll(".dragwork-knob").forEach(nameKnob);
    panel.querySelectorAll("button[title]").forEach(nameButton);
    const live = panel.querySelector(".dragwork-live");
    set(live, "role", "status");
    set(live, "aria-live", "polite");
    if (live && !live.dataset.dragwork) forget(live);
    panel.querySelectorAll(".dragwork-tables details").forEach((fold) => { fold.open = "open" in panel.dataset; });
    const picture = panel.querySelector("img.dragwork-picture");
    if (picture?.title) {
      set(picture, "alt", picture.title);
      picture.removeAttribute("title"); // no bubble over the picture
    }
  }

  function watch(panel) {
    panel.dataset.dragwork = "named";
    namePanel(panel);
    if (panel.matches(".dragwork-flow")) {
      let soon;
      panel.addEventListener("input", ({ target }) => {
        target.dataset.typed = "";
        clearTimeout(soon);
        if (!target.closest(".dragwork-leg")) soon = setTimeout(handOver, 700, panel);
      });
      panel.addEventListener("keydown", onEnter, true);
      panel.addEventListener("click", onClick, true);
    }
    // A table that was opened stays open when its numbers change.
    panel.addEventListener("toggle", ({ target }) => {
      if (target.matches(".dragwork-tables details")) panel.toggleAttribute("data-open", target.open);
    }, true);
    new MutationObserver(() => namePanel(panel)).observe(panel, {
      subtree: true,
      childList: true,
      attributeFilter: ["title", "class", "aria-valuetext", "aria-valuenow", "aria-valuemin"],
    });
  }

  // Saved pictures carry their text alternative in the output's metadata, which viewers leave out.
  function nameSavedPictures(app) {
    for (const page of app.shell.widgets("main")) {
      for (const cell of page.content?.widgets ?? []) {
        const outputs = cell.outputArea;
        outputs?.widgets.forEach((output, place) => {
          const alt = outputs.model.get(place)?.metadata?.["image/png"]?.alt;
          if (alt) set(output.node.querySelector(".jp-RenderedImage img"), "alt", String(alt));
        });
      }
    }
  }

  // A table of a page: what is in its first column names the row, and the title of its cell, or the heading
  // above it, is its caption, which is on the page already and so read aloud alone.
  const LATER = ".jp-RenderedMarkdown table:not([data-dragwork])";
  function nameTables(app) {
    for (const { content } of app.shell.widgets("main")) {
      let heading = "";
      for (const cell of content?.widgets ?? []) {
        const isCode = cell.model?.type === "code";
        const title = isCode ? cell.model.sharedModel.source.split("\n")[0].replace(/^#\s*/, "") : "";
        cell.node?.querySelectorAll(`.jp-RenderedMarkdown :is(h1, h2, h3, h4), ${LATER}`).forEach((node) => {
          if (!node.matches("table")) heading = node.textContent.replace("¶", "").trim();
          else nameTable(node, title || heading);
        });
      }
    }
  }
  function nameTable(table, words) {
    table.dataset.dragwork = "named";
    table.querySelectorAll("thead th").forEach((head) => set(head, "scope", "col"));
    table.querySelectorAll("tbody tr > td:first-child").forEach((cell) => {
      const head = document.createElement("th");
      set(head, "scope", "row");
      head.style.fontWeight = "normal";
      head.align = cell.align;
      head.append(...cell.childNodes);
      cell.replaceWith(head);
    });
    if (table.caption || !words) return;
    table.createCaption().textContent = words;
    table.caption.className = "dragwork-unseen";
  }

  // Folds as tall as a finger needs; words that are for the ear alone.
  const LOOK =
    ".jp-RenderedMarkdown summary { min-height: 24px; line-height: 24px; }" +
    ".dragwork-unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }";
  function addLook() {
    const style = document.createElement("style");
    style.textContent = LOOK;
    document.head.append(style);
  }

  // "Start this lesson" runs all cells and would leave the reader, and the keyboard, at the last one.
  const START = '[data-commandlinker-command="runmenu:run-all"]';
  function keepThePlace(app) {
    document.addEventListener("click", (event) => {
      if (!event.target.closest?.(START)) return;
      const notebook = app.shell.currentWidget?.content;
      const scroller = notebook?.node.querySelector(".jp-WindowedPanel-outer") ?? notebook?.node;
      if (notebook?.activeCellIndex === undefined) return;
      const cell = notebook.widgets.findIndex((each) => each.node.contains(event.target));
      const top = scroller.scrollTop;
      let left = false; // the reader went on while the cells ran
      const leave = () => { left = true; };
      const back = () => {
        if (left) return;
        notebook.activeCellIndex = cell;
        scroller.scrollTop = top;
        notebook.widgets[cell]?.node.querySelector(START)?.focus({ preventScroll: true });
      };
      const soon = () => [0, 50, 200, 500].forEach((wait) => setTimeout(back, wait));
      const heard = (_, done) => {
        if (done.id !== "runmenu:run-all") return;
        app.commands.commandExecuted.disconnect(heard);
        ["pointerdown", "keydown", "wheel"].forEach((kind) =>
          document.addEventListener(kind, leave, { capture: true, once: true, passive: true }));
        soon();
        Promise.resolve(done.result).finally(soon);
      };
      app.commands.commandExecuted.connect(heard);
    }, true);
  }

  // A file too large to be sent would cut the page off from its kernel, which would then go on with
  // the file chosen before. A few words go in its place; the library answers them.
  const LARGEST = 30e6; // bytes
  function sendNoGiants() {
    const inPlaceOfGiants = ({ currentTarget: box }) => {
      const giant = box.files?.[0];
      if (!giant || giant.size <= LARGEST) return;
      const words = `dragwork: a file of ${Math.ceil(giant.size / 1e6)} MB was not sent`;
      const instead = new DataTransfer();
      instead.items.add(new File([words], giant.name, { type: giant.type }));
      box.files = instead.files;
    };
    // The box of files is on no page: it is met when the button that is on one clicks it.
    let pressed = null;
    document.addEventListener("click", ({ target }) => { pressed = target; }, true);
    const { click } = HTMLInputElement.prototype;
    HTMLInputElement.prototype.click = function () {
      if (this.type === "file" && pressed?.closest?.(".dragwork-panel"))
        this.addEventListener("change", inPlaceOfGiants, true); // before the widget's own
      click.call(this);
    };
  }

  function activate(app) {
    lab = app;
    keepThePlace(app);
    addLook();
    sendNoGiants();
    let planned = false;
    const look = () => {
      planned = false;
      document.querySelectorAll(".dragwork-panel:not([data-dragwork])").forEach(watch);
      nameSavedPictures(app);
      nameTables(app);
    };
    const plan = () => {
      if (!planned) setTimeout(look, 100);
      planned = true;
    };
    new MutationObserver(plan).observe(document.body, { subtree: true, childList: true });
    plan();
  }

  const plugin = { id: "dragwork-panels:read-aloud", autoStart: true, activate };
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["dragwork-panels"] = {
    init: async () => {},
    get: async () => () => ({ __esModule: true, default: plugin }),
  };
})();
