// Shows the stored frames of each panel as its sliders move. Nothing is computed here.
for (const panel of document.querySelectorAll(".frames")) {
    const [image, caption] = [panel.querySelector("img"), panel.querySelector("figcaption")];
    const inputs = [...panel.querySelectorAll("input")];
    const words = inputs.map(input => input.previousElementSibling);
    const labels = inputs.map(input => input.labels[0].textContent);
    const reference = inputs.map(input => input.value);
    const note = panel.querySelector(".put-back");
    const canvas = document.createElement("canvas");
    let data, latest, putBackBy;
    const read = () => data ??= JSON.parse(panel.querySelector("script").textContent);

    const draw = async state => {
        latest = state;
        const [png, sentence, alt] = read().frames[state];
        const over = new Image();
        over.src = `data:image/png;base64,${png}`;
        await Promise.all([image.decode(), over.decode()]);
        if (state !== latest) return; // another move came first
        const brush = canvas.getContext("2d");
        if (image.isConnected) {
            [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
            canvas.setAttribute("role", "img");
            image.replaceWith(canvas);
        }
        brush.drawImage(image, 0, 0);
        brush.drawImage(over, 0, 0);
        canvas.setAttribute("aria-label", alt);
        caption.textContent = sentence;
    };

    // The slider that moved stays; the others stay too, as far as there is a frame of all of them.
    const move = moved => {
        const wanted = inputs.map(input => input.value);
        const keep = stays => wanted.map((place, knob) => (stays(knob) ? place : reference[knob]));
        const choices = [
            keep(() => true),
            ...inputs.map((_, other) => keep(knob => knob === moved || knob === other)),
            keep(knob => knob === moved),
        ];
        const state = choices.find(choice => choice.join() in read().frames);
        const back = labels.filter((_, knob) => state[knob] !== wanted[knob]);
        if (back.length || moved !== putBackBy) { // it stays to be read while the same slider moves on
            note.textContent = back.length
                ? `${back.join(" and ")} went back to the start: the book has no picture of that combination.`
                : "";
            putBackBy = moved;
        }
        inputs.forEach((input, knob) => {
            input.value = state[knob];
            const [shown, spoken] = read().knobs[knob][state[knob]];
            words[knob].textContent = shown;
            input.setAttribute("aria-valuetext", spoken);
        });
        draw(state.join());
    };
    inputs.forEach((input, knob) => input.addEventListener("input", () => move(knob)));
    panel.querySelector("button").addEventListener("click", () => {
        inputs.forEach((input, knob) => { input.value = reference[knob]; });
        move(undefined);
    });
    caption.setAttribute("aria-live", "polite");
    panel.querySelector(".knobs").hidden = false;
}
