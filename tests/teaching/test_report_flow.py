"""Questions one at a time: the machinery with toy questions, then the five of the report."""

import re
from pathlib import Path

import ipywidgets as widgets
import numpy as np
import pytest
from answered import answered

from dragwork.measurement.road import legs_table
from dragwork.scenario import data_file
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import LONG_HILL, THREE_KILNS
from dragwork.teaching.forms import flow as flows
from dragwork.teaching.forms.flow import Choice, File, Flow, FlowQuestion, Typed, Upload
from dragwork.teaching.forms.flow_view import FlowView as View
from dragwork.teaching.forms.report_flow import ReportFlow
from dragwork.teaching.forms.rider_and_road import ROAD, read_legs
from dragwork.teaching.printing import CannotPrint
from dragwork.teaching.report import build_report

pytestmark = pytest.mark.usefixtures("few_days", "unpainted")

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
        FlowQuestion("kind", "Which kind?", "Warm or cold.", (kinds,),
                 lambda values, answers: values["kind"], lambda a, _: f"The {a} kind."),
        FlowQuestion("colour", "Which colour?", "One of two.", (Choice("colour", "Colour", options=colours),),
                 lambda values, answers: values["colour"], lambda a, _: f"Colour {a}."),
        FlowQuestion("number", "How many?", "A number.",
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


@pytest.mark.parametrize(
    "bad, words", [("-4", "Less than none"), ("", "Number: could not"), ("100", "do not fit")]
)
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
    assert repr(full()) == full().markdown().replace("**", "")


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


# -- the five questions -----------------------------------------------------------------------------

DEMO = {"sheet": "BL-7", "before": "hoods", "after": "clip-ons", "rider": "Tobin",
        "road": "Long Hill 10", "air": "usual"}  # fmt: skip
SOUND = data_file("BL-7.csv").read_bytes()


def leg_rows(report):
    """The rows of the page's table, leg by leg."""
    (legs,) = next(part.pieces for part in report.parts if part.heading == "How this was found")
    return legs.rows


def demo(**changed):
    """The page of a case, for each test its own; it is made once for the same answers."""
    return answered(ReportFlow, "answer", **DEMO | changed)


def test_five_answers_make_the_page():
    flow = demo()
    assert len(flow.sentences) == len(ReportFlow.questions) == 8 and not any(
        q.optional for q in ReportFlow.questions[:5]
    )
    by_code = build_report(
        flow.answers["sheet"].sheet, "hoods", "clip-ons", TOBIN, LONG_HILL,
        sheet_name=flow.answers["sheet"].name, date=flow.result.date,
    )  # fmt: skip
    assert flow.result.html() == by_code.html()


def test_each_answer_is_told_back():
    sheet, set_ups, rider, road, air, *_ = demo(
        air="weather", temperature="18", pressure="1005", relative_humidity="60 %", road="Three Kilns 60"
    ).sentences
    assert "3 set-ups: hoods, clip-ons and time-trial. 108 runs were used, none left out" in sheet
    assert "clip-ons" in set_ups and "95 % range" in set_ups
    assert "84 kg all up" in rider and "220 W at the crank" in rider
    assert "60 km with 400 m of climbing" in road
    # 18 degC, 100,500 Pa, 60 %: dry-air law with the vapour's 0.378 e taken off, e = 0.6 * 2064 Pa
    # (saturation pressure from any steam table), R 287.05: 1.1969 kg/m3, good to 5 in 10,000.
    told = float(air.split("density of ")[1].split()[0])
    assert told == pytest.approx((100500 - 0.378 * 0.6 * 2064) / (287.05 * 291.15), rel=5e-4)
    assert "18 °C, 1005 hPa and 60 % humidity" in air


def test_faults_are_told_with_the_rows_left_out():
    flow = demo(sheet="BL-7 with faults")
    said, page = flow.sentences[0], flow.result.html()
    assert "7 left out. All reasons are on the page. The first: Row 11" in said
    for row in (11, 48, 53, 81, 95):
        assert (f"Row {row}, column" in said) == (row < 81)
        assert f"Row {row}, column" in page


def test_a_file_of_ones_own_gives_the_demos_numbers(tmp_path):
    path = tmp_path / "mine.csv"
    path.write_bytes(SOUND)
    own = demo(sheet="own", upload=path)
    assert own.result.seconds == demo().result.seconds
    assert own.sentences[0].startswith("mine.csv was taken for a tunnel sheet, because it has '")
    assert "The sheet is mine.csv (fingerprint " in own.sentences[0]
    assert own.answers["sheet"].name in own.result.settings["Sheet"]


def test_another_file_has_another_fingerprint():
    flow, names = ReportFlow(), set()
    for content in (SOUND, SOUND + b"\n"):
        flow.answer(sheet="own", upload=File("a.csv", content))
        names.add(flow.answers["sheet"].name)
    assert len(names) == 2


ONE_SET_UP = b"\n".join(
    line for line in SOUND.split(b"\n") if b"clip-ons," not in line and b"time-trial," not in line
)
NO_REPEATS = b"\n".join(
    line
    for line in SOUND.split(b"\n")
    if line.count(b",") < 9 or line.split(b",")[3] in (b"1", b"repeat")
)
NOTHING_USABLE = SOUND.replace(b",body,", b",bodie,")


@pytest.mark.parametrize(
    "content, words",
    [
        (b"", "empty"),
        (b"hello;this\nis;no sheet\n", "No line of the file names columns"),
        (b"PK\x03\x04 anything", "save it as .xlsx or as CSV"),
        (bytes(range(256)) * 4, "could not be used"),
        (SOUND[:800], "usable runs of one set-up|gives no range"),
        (SOUND.replace(b"[hPa]", b"[lux]"), r"\[lux\], which is not known"),
        (SOUND.replace(b"tare,", b"tyre,", 1), "tare"),
        (ONE_SET_UP, "usable runs of one set-up, hoods"),
        (NO_REPEATS, "Nothing was repeated in this sheet"),
        (NOTHING_USABLE, "None of its 108 rows can be used. It begins with this: Row 7"),
    ],
)
def test_a_broken_upload_helps_and_loses_nothing(content, words):
    flow = demo(rider="own", all_up_mass="78,5", power="200 W")
    page, sentences = flow.result, flow.sentences
    with pytest.raises(ValueError, match=words):
        flow.answer(sheet="own", upload=File("broken.csv", content))
    assert "broken.csv" in flow.remarks["sheet"]
    assert flow.result is page and flow.sentences == sentences
    assert flow.typed["all_up_mass"] == "78,5"


@pytest.mark.parametrize(
    "typed, words",
    [
        ({"all_up_mass": "-84"}, "Mass, all up goes from 20 to 250 kg"),
        ({"all_up_mass": "84 ohm"}, "'ohm' is not a unit of mass"),
        ({"all_up_mass": ""}, "Mass, all up: Nothing typed yet"),
        ({"power": "two hundred"}, "not read as a number"),
        ({"power": "0"}, "Power at the crank goes from 10"),
        ({"rolling_coefficient": "4"}, "Coefficient of rolling resistance goes from 0.0010 to 0.0200"),
        (
            {"air": "weather", "temperature": "18", "pressure": "101"},
            "Air pressure at the place goes",
        ),
        ({"air": "weather", "temperature": "warm"}, "not read as a number"),
        ({"after": "hoods"}, "Both are 'hoods'"),
        ({"road": "Some Other Road"}, "is not there. Choose one of Cinder Lane 40"),
    ],
)
def test_bad_answers_help_and_keep_the_page(typed, words):
    flow = demo(rider="own", all_up_mass="78,5", power="200")
    page = flow.result
    with pytest.raises(ValueError, match=words):
        flow.answer(**typed)
    assert flow.result is page
    assert all(flow.typed[name] == value for name, value in typed.items())


def test_decimal_commas_units_and_a_name():
    flow = demo(rider="own", all_up_mass="78,5 kg", power="0,2 kW", name=" June ")
    rider = flow.answers["rider"]
    assert (rider.name, rider.rider.all_up_mass, rider.power) == ("June", 78.5, 200)
    assert "June saves" in flow.result.answer[0]
    flow.answer(name="")
    assert "the rider saves" in flow.result.answer[0] and flow.sentences[2].startswith("The rider:")


def test_a_sheet_with_other_set_ups_asks_for_them_again_and_keeps_the_rest():
    flow = demo(rider="own", all_up_mass="78,5", power="200")
    flow.answer(sheet="own", upload=File("b.csv", SOUND.replace(b"clip-ons,", b"drops,")))
    assert flow.result is None and flow.open.name == "set-ups"
    assert (
        "'clip-ons' is not there. Choose one of hoods, drops or time-trial"
        in flow.remarks["set-ups"]
    )
    flow.answer(after="drops")
    assert flow.result.seconds == demo(rider="own", all_up_mass="78,5", power="200").result.seconds


def test_the_page_is_saved_beside_the_notebook_and_never_over_another(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    flow = ReportFlow()
    with pytest.raises(ValueError, match="'What was measured\\?' is open"):
        flow.save()
    flow = demo()
    path = flow.save()
    assert path == Path("my_report.html")
    assert path.read_text("utf-8") == flow.result.html()
    assert flow.save() == path  # the same page again: one file
    flow.answer(road="Cinder Lane 40")
    assert flow.save() == Path("my_report_2.html")
    assert len(list(tmp_path.iterdir())) == 2


def test_words_of_the_flow_are_the_questions_then_the_page():
    flow = ReportFlow()
    assert flow.markdown().count("\n") == 7  # eight lines, a sheet to fill in
    flow = demo()
    assert flow.markdown().startswith("1. **What was measured?** The sheet is BL-7")
    assert flow.markdown().endswith(flow.result.markdown())


# -- the widgets ------------------------------------------------------------------------------------


def walk(widget):
    yield widget
    for part in getattr(widget, "children", ()):
        yield from walk(part)


def visible(widget):
    """The widgets that are not hidden, nor within something hidden."""
    if widget.layout.display == "none":
        return
    yield widget
    for part in getattr(widget, "children", ()):
        yield from visible(part)


class Page:
    """A learner in front of a flow: sees what is visible, chooses, types, presses."""

    def __init__(self, flow):
        self.view = View(flow)

    def seen(self, kind, name=None):
        found = [w for w in visible(self.view.box) if isinstance(w, kind)]
        return [w for w in found if name is None or name in w.description]

    def press(self, name, place=0):
        self.seen(widgets.Button, name)[place].click()

    def choose(self, name, value):
        self.seen(widgets.RadioButtons, name)[0].value = value

    def type(self, name, text):
        self.seen(widgets.Text, name)[0].value = text

    def read(self):
        return " ".join(w.value for w in self.seen(widgets.HTML))

    def answer_all(self):
        self.choose("The sheet", "BL-7"), self.press("Answer")
        self.choose("Set-up now", "hoods"), self.choose("Set-up instead", "clip-ons")
        self.press("Answer")
        self.choose("The rider", "Tobin"), self.press("Answer")
        self.choose("The road", "Long Hill 10"), self.press("Answer")
        self.choose("The air", "usual"), self.press("Answer")


def test_the_page_grows_by_one_question_at_a_time():
    page = Page(ReportFlow())
    assert "What was measured?" in page.read() and "Which two" not in page.read()
    page.choose("The sheet", "BL-7")
    assert "Which two" not in page.read()  # nothing happens before the button
    page.press("Answer")
    assert "Which two set-ups?" in page.read() and "Which rider?" not in page.read()
    assert "108 runs" in page.read()
    assert not page.seen(widgets.RadioButtons, "The sheet")  # folded to its sentence


def test_the_whole_way_by_widgets(tmp_path, monkeypatch):
    monkeypatch.setenv("DRAGWORK_LEARNER", str(tmp_path / "learner.json"))  # nothing to go on with
    flow = ReportFlow()
    page = Page(flow)
    page.answer_all()
    assert flow.result.seconds == demo().result.seconds
    assert flow.result.answer[0] in page.read() and "data:image/png;base64" in page.read()
    assert [b.description for b in page.seen(widgets.Button)] == ["Change"] * 8 + [
        "Save the page", "Save it as PDF too"]  # fmt: skip


def test_pressing_too_early_helps():
    page = Page(ReportFlow())
    page.press("Answer")
    assert "nothing chosen yet" in page.read()


def test_bad_input_by_widgets_keeps_what_was_typed_and_the_page():
    flow = ReportFlow()
    page = Page(flow)
    page.answer_all()
    made = flow.result
    page.press("Change", 2)
    page.choose("The rider", "own")
    page.type("Mass", "84 ohm"), page.type("Power", "200")
    page.press("Answer")
    assert "&#x27;ohm&#x27; is not a unit of mass" in page.read()
    assert page.seen(widgets.Text, "Mass")[0].value == "84 ohm"
    assert flow.result is made and made.answer[0] in page.read()
    page.press("Leave")
    assert not page.seen(widgets.Text, "Mass") and "is not a unit" not in page.read()
    page.press("Change", 2)
    assert page.seen(widgets.Text, "Mass")[0].value == "84 ohm"  # nothing typed is lost
    page.type("Mass", "84,5 kg"), page.press("Answer")
    assert "84.5 kg all up" in page.read() and flow.result is not made


def test_an_upload_by_widget(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    flow = ReportFlow()
    page = Page(flow)
    page.choose("The sheet", "own")
    button = page.seen(widgets.FileUpload)[0]
    upload = {"name": "mine.csv", "type": "text/csv", "size": 1, "content": memoryview(b"no sheet"),
              "last_modified": __import__("datetime").datetime(2026, 1, 1)}  # fmt: skip
    button.value = (upload,)
    assert "Chosen: mine.csv." in page.read()
    page.press("Answer")
    assert "mine.csv could not be used." in page.read()
    button.value = ({**upload, "content": memoryview(SOUND)},)
    page.press("Answer")
    assert "The sheet is mine.csv" in page.read()


def test_saving_by_widget_says_where(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    page = Page(demo())
    page.press("Save")
    assert (tmp_path / "my_report.html").exists() and "Saved as my_report.html" in page.read()


def test_saving_where_nothing_can_be_written_says_so(tmp_path, monkeypatch):
    page = Page(demo())
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    page.press("Save")
    assert "could not be written here" in page.read()


def test_every_box_has_a_label_and_every_button_a_name():
    view = View(demo(rider="own", all_up_mass="80", power="200"))
    for widget in walk(view.box):
        if isinstance(
            widget, (widgets.Text, widgets.RadioButtons, widgets.Button, widgets.FileUpload)
        ):
            assert widget.description, widget
        if isinstance(widget, widgets.Text):
            assert widget.tooltip


def test_what_somebody_types_is_shown_as_text():
    page = Page(demo(rider="own", all_up_mass="80", power="200", name="<script>x"))
    assert "<script>x" not in page.read() and "&lt;script&gt;x" in page.read()


def test_the_saved_book_reads_as_the_page_would(monkeypatch):
    shown = []
    monkeypatch.setattr(
        "dragwork.teaching.forms.form.display", lambda data, raw: shown.append(data)
    )
    flow = demo()
    flow._ipython_display_()
    (data,) = shown
    assert data["text/markdown"] == flow.markdown() and data["text/plain"] == flow.text()
    assert "children=(" not in data["text/plain"]
    assert data["application/vnd.jupyter.widget-view+json"]["model_id"]
    flow._ipython_display_()  # shown again: a new view, the old one closed
    assert len(shown) == 2


def test_a_long_answer_tells_how_far_it_is(monkeypatch):
    """With a clock of its own: nothing is shown in the first second, then the share in percent."""
    flow, seen, clock = demo(), [], iter([0.0, *np.arange(0.4, 400, 0.4)])
    monkeypatch.setattr("dragwork.teaching.forms.flow_view.monotonic", lambda: next(clock))
    view = View(flow)
    view.busy.observe(lambda change: seen.append(change["new"]), "value")
    flow.type("road", "Three Kilns 60")
    view.submit(next(q for q in flow.questions if q.name == "road"))
    shares = [int(re.match(r"(\d+) % of the rides are done", text)[1]) for text in seen if text]
    assert len(shares) > 3 and shares == sorted(shares) and shares[-1] >= 50
    assert "Interrupt" in seen[0] and view.busy.value == "" and flow.result is not None


def test_a_long_answer_can_be_stopped_and_loses_nothing(monkeypatch):
    flow, view = demo(), None
    view = View(flow)
    page, road = flow.result, next(q for q in flow.questions if q.name == "road")

    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("dragwork.teaching.forms.report_flow.build_report", stopped)
    flow.type("road", "Cinder Lane 40")
    view.submit(road)
    assert flow.remarks["road"].startswith("Stopped. What you typed is kept")
    assert flow.typed["road"] == "Cinder Lane 40" and flow.result is page


def test_an_unexpected_failure_is_shown_and_raised(monkeypatch):
    flow = ReportFlow()
    page = Page(flow)
    monkeypatch.setattr(flow, "submit", lambda question: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        page.view.submit(flow.open)
    assert "This went wrong: ZeroDivisionError" in page.read()


# -- the other doors, and the questions that may stay as they are --------------------------------------

PAPER = {"sheet": "numbers", "numbers": "hoods 0.320, 0.310 to 0.330; low bar 0,300 ± 0,010",
         "numbers_from": "a leaflet", "before": "hoods", "after": "low bar"}  # fmt: skip


def test_a_page_from_published_numbers():
    page = demo(**PAPER).result
    assert "Nothing was measured for this page" in " ".join(page.sentences)
    assert "low bar 0.3 m²" in page.settings["Numbers"]


def test_a_page_from_a_road_test():
    flow = ReportFlow()
    flow.answer(sheet="Saltpan Lane")
    now, instead = flow.answers["sheet"].set_ups
    flow.answer(**{**DEMO, "sheet": "Saltpan Lane", "before": now, "after": instead})
    said = " ".join(flow.result.sentences)
    assert "a test on a road" in said and "A regression gave one drag area for each position" in said
    assert "wind from the side" in said and any("brakes" in s for s in flow.result.sentences)
    low, mid, high = flow.result.seconds.low, flow.result.seconds.mid, flow.result.seconds.high
    assert low < mid < high


@pytest.mark.parametrize(
    ("name", "kind"), [("saltpan_lane.csv", "road test"), ("BL-7.csv", "tunnel sheet")]
)
def test_one_door_says_first_what_the_file_was_taken_for(name, kind):
    flow = ReportFlow()
    flow.answer(sheet="own", upload=data_file(name))
    assert flow.sentences[0].startswith(f"{name} was taken for a {kind}, because it has '")
    evidence = flow.answers["sheet"]
    assert len(evidence.set_ups) > 1 and evidence.curve(evidence.set_ups[0]).drag_area[0] > 0.2


def test_legs_as_people_type_them():
    legs, wind = read_legs("20 km 3 m/s; 10 km 4 %\n10 km -4 % 50 km/h; 20 km −3 m/s")
    assert [leg.distance for leg in legs] == [20e3, 10e3, 10e3, 20e3]
    assert [leg.gradient for leg in legs] == [0, 0.04, -0.04, 0]
    assert legs[2].speed_limit == pytest.approx(50 / 3.6) and wind.tolist() == [3, 0, 0, -3]


def test_typed_legs_ride_as_the_same_road_of_the_club():
    """Three Kilns typed in, at full power downhill: the flat legs and the climb take the same time."""
    typed = demo(road="legs", legs="20 km 3 m/s; 10 km 4 %; 10 km -4 % 50 km/h; 20 km -3 m/s")
    theirs, mine = (
        [row["Time with hoods"] for row in leg_rows(r)] for r in (demo(road="Three Kilns 60").result, typed.result)
    )
    assert [mine[i] for i in (0, 1, 3)] == [theirs[i] for i in (0, 1, 3)]


@pytest.mark.parametrize(
    "text, words",
    [("", "no leg yet"), ("4 %", "leg 1, '4 %': its length in km is missing"),
     ("10 km; 5 km 60 %", "leg 2.*gradient"), ("10 km uphill", "'uphill' is not understood"),
     ("10 km 99 m/s", "no wind to ride in"), ("-3 km", "distance"), ("10", "a unit is needed")],
)  # fmt: skip
def test_legs_that_cannot_be_help_and_keep_the_page(text, words):
    flow = demo()
    page = flow.result
    with pytest.raises(ValueError, match=words):
        flow.answer(road="legs", legs=text)
    assert flow.result is page and flow.typed["legs"] == text


@pytest.mark.parametrize("content", [b"", b"<gpx></gpx>", b"\x00\xff" * 50, SOUND])
def test_a_broken_track_helps_and_keeps_the_page(content):
    flow = demo()
    page = flow.result
    with pytest.raises(ValueError, match="home.gpx could not be used"):
        flow.answer(road="track", track=File("home.gpx", content))
    assert flow.result is page and flow.typed["track"].name == "home.gpx"


def test_a_track_of_ones_own():
    """Its page is made for the first third of it."""
    text = data_file("three_kilns.gpx").read_text(encoding="utf-8").split("<trkpt")
    third = "<trkpt".join(text[: len(text) // 3]) + "</trkseg></trk></gpx>"
    flow = demo(road="track", track=File("third.gpx", third.encode()), wind_speed="3", wind_from="N")
    assert len(flow.answers["road"].course.legs) > 20 and flow.result.seconds.low > 0
    legs = leg_rows(flow.result)
    assert len(legs) <= 20 and "Legs" in legs[0]
    road = _road_answer(track=data_file("three_kilns.gpx"), wind_speed="3", wind_from="N")
    assert "first and last 300 m are left out" in road.about and 50e3 < road.course.distance < 62e3
    kept = _road_answer(track=data_file("three_kilns.gpx"), ends="keep")
    assert kept.course.distance - road.course.distance == pytest.approx(600, abs=40)


def _road_answer(**typed):
    """The answer to the question about the road alone, with what it starts with for the others."""
    fields = {field.name: field.start for field in ROAD.fields}
    return ROAD.answer(fields | {"road": "track"} | typed, {})


def test_limits_of_a_track_are_proposed_told_and_changed():
    track = data_file("three_kilns.gpx")
    road = _road_answer(track=track, ends="keep")
    said = ROAD.sentence(road, {})
    assert "Limits: 50 km/h on 1 descent (10.0 km) and 11 km/h in 1 bend." in said
    free = _road_answer(track=track, ends="keep", descents="", bends="none")
    assert not np.isfinite(free.course.column("speed_limit")).any()
    assert "No speed limits." in ROAD.sentence(free, {})
    windy = _road_answer(track=track, wind_speed="3", wind_from="W").settings()
    assert windy["Wind"] == "3 m/s at the rider from 270°, where 0 is north"
    assert windy["File of the road"].startswith("three_kilns.gpx (fingerprint ")
    assert windy["Ends of the ride"] == "300 m at each end left out"


def test_a_track_without_elevations_asks_whether_the_road_is_flat():
    text = data_file("three_kilns.gpx").read_text(encoding="utf-8")
    flat = File("zero.gpx", re.sub("<ele>[^<]*", "<ele>0", text).encode())
    with pytest.raises(ValueError, match="zero.gpx has no elevations, or all the same. Is the road flat"):
        _road_answer(track=flat)
    assert _road_answer(track=flat, heights="flat").course.ascent == 0


@pytest.mark.parametrize("bad", ["up", "400", "90 km"])
def test_a_bearing_that_cannot_be_helps(bad):
    with pytest.raises(ValueError, match="It comes from"):
        _road_answer(track=data_file("three_kilns.gpx"), wind_from=bad)


def test_legs_from_a_table():
    table = legs_table(THREE_KILNS.course, THREE_KILNS.power_factor, THREE_KILNS.wind_speed)
    flow = demo(road="track", track=File("legs.csv", table.encode()))
    assert flow.result.seconds.mid == pytest.approx(demo(road="Three Kilns 60").result.seconds.mid, rel=1e-6)


def test_the_three_last_questions_may_stay_as_they_are():
    flow = demo()
    assert flow.answers["claim"] is None and flow.answers["room"] == ()
    assert len(flow.sentences) == 8 and flow.open is None
    sure = demo(doubts="exact")
    assert "assumed to be exact" in sure.sentences[5]
    width = {f: f.result.seconds.high - f.result.seconds.low for f in (flow, sure)}
    assert width[sure] < width[flow]


@pytest.mark.parametrize(
    "claim",
    [{"heard": "20 W", "claim_speed": "50"},
     {"heard": "20 W"},
     {"heard": "15 to 20 W at 30 mph"},
     {"heard": "1 min over 40 km in 1:06:40"},
     {"heard": "1:00", "claim_distance": "40"},
     {"heard": "5 % less drag"}],
    ids=lambda claim: " ".join(claim.values()),
)  # fmt: skip
def test_a_claim_is_held_against_the_page(claim):
    flow = demo()
    flow.answer(claim="heard", **claim)
    part = next(p for p in flow.result.parts if p.heading == "A claim, compared with it")
    said = " ".join(part.pieces)
    assert any(v in said.lower() for v in ("adopt", "test it yourself", "ignore", "ask for data"))
    assert "Not stated" in said and " to " in said
    assert "within their ranges" in said
    assert said.startswith(f"The claim: {flow.result.settings['Claim']}.")


def test_a_claim_or_a_room_added_to_a_page_rides_nothing_again(monkeypatch):
    flow = demo()
    seconds = flow.result.seconds
    monkeypatch.setattr("dragwork.teaching.report.words.Carried", lambda *_: pytest.fail("ridden again"))
    flow.answer(claim="heard", heard="20 W at 50 km/h")
    flow.answer(room="club")
    assert flow.result.seconds is seconds and "In the room" in flow.result.settings
    with pytest.raises(pytest.fail.Exception):
        flow.answer(doubts="careful")


def test_a_claim_about_wheels_is_wider_where_it_tells_no_yaw():
    """Seven times the low end is 70 % for other things and 10 % for wheels."""
    claim = {"claim": "heard", "heard": "20 W at 50"}
    flow, low = demo(), []
    for about in ("other", "wheels"):
        flow.answer(**claim, about=about)
        low.append(flow.answers["claim"][0].drag_area_change.low)
    assert low[0] == pytest.approx(7 * low[1])


def test_the_claim_s_drag_area_stands_beside_the_measured_one():
    """20 W at 50 km/h is 2 P/(rho v^3) = 0.0124 m2; clip-ons on BL-7 gain nearly three times that."""
    flow = demo()
    flow.answer(claim="heard", heard="55 W in the air at 50")
    near = flow.sentences[6]
    flow.answer(heard="20 W in the air at 50")
    far = flow.sentences[6]
    assert "agree within their ranges" in near and "disagree, even within their ranges" in far


@pytest.mark.parametrize(
    "claim, words",
    [({"heard": ""}, "The claim: Nothing typed yet"),
     ({"heard": "20"}, "has no unit"),
     ({"heard": "x"}, "no number in it"),
     ({"heard": "2:00:01", "claim_distance": "40"}, "as long as the whole"),
     ({"heard": "2 % more power"}, "is not about drag or mass alone"),
     ({"heard": "20 W at 50 and 80 g of drag"}, "gives two numbers")],
)  # fmt: skip
def test_a_claim_that_cannot_be_helps_and_keeps_the_page(claim, words):
    flow = demo()
    page = flow.result
    with pytest.raises(ValueError, match=words):
        flow.answer(claim="heard", **claim)
    assert flow.result is page


def test_the_room_gets_its_table():
    flow = demo()
    flow.answer(room="people", people="June 180 W 75 kg; Sam 32 km/h 80 kg")
    part = next(p for p in flow.result.parts if p.heading == "For the people in the room")
    assert [row["Rider"].split(",")[0] for row in part.pieces[0].rows] == ["June", "Sam"]
    assert list(part.pieces[0].rows[0])[1:] == ["hoods (now)", "clip-ons", "time-trial"]
    with pytest.raises(ValueError, match="'Kim': give a power"):
        flow.answer(people="Kim")
    assert part in flow.result.parts
    assert "Claim" not in flow.result.settings
    assert flow.result.settings["In the room"].startswith("June 180 W, 75 kg; Sam ")


def test_the_page_is_printed_beside_it(tmp_path, monkeypatch):
    monkeypatch.setattr(flows, "print_page", str.encode)
    flow = demo()
    path = flow.save(tmp_path, pdf=True)
    assert path.with_suffix(".pdf").read_bytes() == flow.result.html().encode()


def test_printing_by_widget_says_where_or_what_helps(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(flows, "print_page", str.encode)
    page = Page(demo())
    page.press("Save it as PDF")
    assert "Saved as my_report.html and my_report.pdf" in page.read()

    def cannot(html):
        raise CannotPrint("No browser was found here.")

    before = Path("my_report.pdf").read_bytes()
    monkeypatch.setattr(flows, "print_page", cannot)
    page.press("Save it as PDF")
    assert "The page is saved. No browser was found here." in page.read()
    assert Path("my_report.pdf").read_bytes() == before
