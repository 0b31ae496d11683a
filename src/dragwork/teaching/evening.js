// Moves through the steps of an evening and keeps its time. The pictures are moved by pocket_book.js.
{
    const steps = [...document.querySelectorAll(".step")];
    const clock = document.querySelector(".clock");
    const shown = clock.querySelector("p");
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    let now = 0, stop = 0, arrived = Date.now(), began = kept();

    function kept(time) { // over a reload; a browser may forbid it
        try {
            if (time) sessionStorage.setItem("began", time);
            return time || Number(sessionStorage.getItem("began")) || undefined;
        } catch { return time; }
    }

    const slider = () => steps[now].querySelector("input");
    const stops = () => JSON.parse(steps[now].querySelector(".stops")?.dataset.stops ?? "[]");
    const place = value => {
        slider().value = value;
        slider().dispatchEvent(new Event("input"));
    };

    const go = (to, fromBehind = false) => {
        now = Math.max(0, Math.min(to, steps.length - 1));
        steps.forEach((step, number) => step.classList.toggle("now", number === now));
        stop = fromBehind ? Math.max(0, stops().length - 1) : 0;
        if (stops().length) place(stops()[stop]);
        if (now && !began) began = kept(Date.now());
        arrived = Date.now();
        history.replaceState(null, "", `#${steps[now].id}`);
        scrollTo(0, 0);
        steps[now].querySelector("h2").focus({ preventScroll: true });
        tick();
    };
    const on = () => (stop + 1 < stops().length ? place(stops()[++stop]) : now + 1 < steps.length && go(now + 1));
    const back = () => (stop ? place(stops()[--stop]) : now && go(now - 1, true));

    const time = seconds => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
    const since = start => (start ? (Date.now() - start) / 1000 : 0);
    const tick = () => {
        const { minutes, begins } = steps[now].dataset;
        shown.textContent = `${now + 1} of ${steps.length}. This step: ${time(since(arrived))} of ${time(60 * minutes)}. `
            + `The evening: ${time(since(began))} of ${time(60 * clock.dataset.whole)}, by the plan ${time(60 * begins)}.`;
    };

    // A clicker sends PageDown and PageUp: they work wherever one is. A slider keeps its own arrows.
    document.addEventListener("keydown", event => {
        if (event.altKey || event.ctrlKey || event.metaKey) return;
        const own = event.target.matches("input") ? ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End"]
            : event.target.matches("button") ? [" "] : [];
        const turn = way => slider() && (way > 0 ? slider().stepUp() : slider().stepDown(), place(slider().value));
        const act = {
            PageDown: on, PageUp: back, ArrowRight: on, ArrowLeft: back, " ": event.shiftKey ? back : on,
            Home: () => go(0), End: () => go(steps.length - 1), ArrowUp: () => turn(1), ArrowDown: () => turn(-1),
        }[event.key];
        if (!act || own.includes(event.key)) return;
        event.preventDefault();
        act();
    });
    clock.querySelector(".on").addEventListener("click", on);
    clock.querySelector(".back").addEventListener("click", back);

    let finger;
    document.addEventListener("touchstart", event => {
        finger = event.target.matches("input") ? undefined : event.touches[0];
    }, { passive: true });
    document.addEventListener("touchend", event => {
        if (!finger) return;
        const across = event.changedTouches[0].clientX - finger.clientX;
        const down = event.changedTouches[0].clientY - finger.clientY;
        finger = undefined;
        if (Math.abs(across) > 60 && Math.abs(across) > 2 * Math.abs(down)) (across < 0 ? on : back)();
    });

    document.body.classList.add("moving");
    clock.hidden = false;
    go(Math.max(0, steps.findIndex(step => `#${step.id}` === location.hash)));
    setInterval(tick, calm ? 30000 : 1000);
}
