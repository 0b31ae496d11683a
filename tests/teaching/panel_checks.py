"""What every panel of a lesson must hold, wherever it is tested."""


def every_knob_moves(panel):
    """Each knob, from end to end with the others as they stand, changes picture and sentence."""
    start = panel.values
    for knob in panel.knobs.values():
        seen = []
        for number in (knob.low, knob.high):
            panel.set(**{knob.quantity: knob.into_si(number)})
            seen.append((panel.sentence, panel.picture.png()))
            panel.set(**start)
        assert seen[0][0] != seen[1][0], f"{knob.label}: the sentence stays"
        assert seen[0][1] != seen[1][1], f"{knob.label}: the picture stays"
