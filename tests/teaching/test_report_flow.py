"""Questions one at a time: the machinery with toy questions, then the five of the report."""

import pytest

from dragwork.teaching.forms.flow import Choice, File, Flow, Question, Typed, Upload

COLOURS = {"warm": ("red", "amber"), "cold": ("blue", "teal")}


def toy():
    """Kind, then a colour of that kind, then how many; the result is a line of words."""

    def colours(answers):
        return {name: name for name in COLOURS[answers["kind"]]} if "kind" in answers else {}

    def number(values, answers):
        if values["number"] < 0:
            raise ValueError("Less than none is not possible. Type 0 or more.")
        return values["number"]

    def finish(answers):
        if answers["number"] > 99:
            raise ValueError("So many do not fit in the box.")
        return f"{answers['number']:g} {answers['colour']}"

    kinds = Choice("kind", "Kind", options=lambda answers: {"warm": "Warm", "cold": "Cold"})
    questions = (
        Question("kind", "Which kind?", "Warm or cold.", (kinds,),
                 lambda values, answers: values["kind"], lambda a, _: f"The {a} kind."),
        Question("colour", "Which colour?", "One of two.", (Choice("colour", "Colour", options=colours),),
                 lambda values, answers: values["colour"], lambda a, _: f"Colour {a}."),
        Question("number", "How many?", "A number.",
                 (Choice("count", "Count", options=lambda a: {"one": "one", "own": "my own"}),
                  Typed("number", "Number", "0 or more", "1", ("count", "own"), read=float)),
                 lambda v, a: number({"number": 1.0, **v}, a), lambda a, _: f"{a:g} of them."),
    )  # fmt: skip
    return Flow(questions, finish)


def full():
    flow = toy()
    flow.answer(kind="warm", colour="red", count="own", number="3")
    return flow


# -- the machinery ----------------------------------------------------------------------------------


def test_one_question_at_a_time():
    flow = toy()
    assert flow.open.name == "kind" and flow.sentences == () and flow.result is None
    flow.answer(kind="warm")
    assert flow.open.name == "colour" and flow.sentences == ("The warm kind.",)
    flow.answer(colour="red", count="one")
    assert flow.open is None and flow.result == "1 red"


def test_options_follow_the_answers_before():
    flow = toy()
    flow.answer(kind="cold")
    with pytest.raises(ValueError, match="'red' is not there. Choose one of blue or teal"):
        flow.answer(colour="red")


def test_a_later_question_waits_for_the_earlier_one():
    with pytest.raises(ValueError, match="First comes the question 'Which kind\\?'"):
        toy().answer(colour="red")


def test_changing_an_early_answer_updates_what_follows():
    flow = full()
    flow.answer(count="one")
    assert flow.result == "1 red"
    flow.answer(colour="amber")
    assert flow.result == "1 amber" and flow.sentences[-1] == "1 of them."


def test_what_no_longer_fits_is_asked_again_and_the_rest_waits():
    flow = full()
    flow.answer(kind="cold")
    assert flow.open.name == "colour" and flow.result is None
    assert "'red' is not there" in flow.remarks["colour"]
    assert flow.typed["number"] == "3" and flow.typed["colour"] == "red"
    flow.answer(colour="teal")  # the number comes back by itself
    assert flow.result == "3 teal" and not flow.remarks


@pytest.mark.parametrize("bad, words", [("-4", "Less than none"), ("", "Number: could not"), ("100", "do not fit")])
def test_bad_input_says_what_helps_and_changes_nothing(bad, words):
    flow = full()
    with pytest.raises(ValueError, match=words):
        flow.answer(number=bad)
    assert words in flow.remarks["number"]
    assert flow.typed["number"] == bad  # what was typed stays
    assert flow.result == "3 red" and flow.sentences[-1] == "3 of them."  # so does the good state
    flow.answer(number="4")
    assert flow.result == "4 red" and not flow.remarks


def test_a_hidden_field_is_not_read():
    flow = full()
    flow.type("number", "nonsense")
    flow.answer(count="one")
    assert flow.result == "1 red" and flow.typed["number"] == "nonsense"


def test_nothing_happens_while_somebody_types():
    flow = full()
    flow.type("kind", "cold")
    assert flow.result == "3 red" and flow.sentences[0] == "The warm kind."
    flow.answer(number="5")  # another question: what is merely typed above is not read
    assert flow.result == "5 red"


def test_an_unknown_field_is_refused_by_name():
    with pytest.raises(ValueError, match="'kynd' is not asked here; asked are kind, colour"):
        toy().answer(kynd="warm")


def test_words_of_an_open_and_of_a_finished_flow():
    lines = toy().markdown().splitlines()
    assert lines == ["1. **Which kind?** Warm or cold.", "2. **Which colour?** One of two.",
                     "3. **How many?** A number."]  # fmt: skip
    assert full().markdown().splitlines()[1] == "2. **Which colour?** Colour red."
    assert repr(full()) == full().markdown()


def test_an_upload_is_a_file_or_a_path(tmp_path):
    field = Upload("upload", "Your sheet", "Save it as CSV.")
    path = tmp_path / "mine.csv"
    path.write_bytes(b"a,b")
    assert field.check(path, {}) == field.check(str(path), {}) == File("mine.csv", b"a,b")
    assert field.check(File("x", b""), {}) == File("x", b"")
    with pytest.raises(ValueError, match="no file chosen yet. Save it as CSV"):
        field.check("", {})
    with pytest.raises(ValueError, match="gone.csv cannot be opened"):
        field.check(tmp_path / "gone.csv", {})
