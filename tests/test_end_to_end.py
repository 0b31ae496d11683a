"""The whole chain, from a file to the page: three invented cases through the questions of notebook 12.

Each page's seconds, exactly as assumed, are held against a second ride over the same road, by scipy's
adaptive solver on the forces of Martin et al. (1998, their equations), apart from the library. Drag
areas are read off the page's evidence, where they were measured; what is checked is all that comes
after.
"""

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest
from ode_ride import ode_ride

from dragwork.decisions.rides import EXACT
from dragwork.scenario import data_file
from dragwork.teaching.forms.flow import File
from dragwork.teaching.forms.report_flow import ReportFlow

pytestmark = pytest.mark.usefixtures("few_days")  # the seconds exactly as assumed are of no drawn day

FLAT_FAST = {
    "sheet": "own", "upload": data_file("BL-7.csv"), "before": "hoods", "after": "time-trial",
    "rider": "Imke", "road": "Cinder Lane 40", "air": "weather", "temperature": "24 °C",
    "pressure": "1008", "relative_humidity": "55",
    "claim": "heard", "heard": "25 W at 50 km/h", "room": "club",
}  # fmt: skip
HILLY_SLOW = {
    "sheet": "own", "upload": data_file("saltpan_lane.csv"), "before": "P", "after": "K",
    "rider": "own", "name": "Ida", "all_up_mass": "92,5", "rolling_coefficient": "0.006",
    "power": "115", "road": "legs", "road_name": "The Ladder",
    "legs": "8 km 1 %; 5 km 6 %; 5 km −6 % 35 km/h; 3 km 9 %; 3 km −9 % 30 km/h; 8 km −1 %",
    "air": "usual", "doubts": "careful", "room": "people",
    "people": "June 150 W 66 kg; Sam 22 km/h 81 kg",
}  # fmt: skip
WINDY = {
    "sheet": "numbers", "numbers": "upright 0.420 ± 0.015; low 0.360 ± 0.012",
    "numbers_from": "an invented leaflet", "before": "upright", "after": "low", "rider": "Farouk",
    "road": "track", "track": data_file("three_kilns.gpx"), "ends": "drop", "wind_speed": "6",
    "wind_from": "SW", "air": "usual", "claim": "heard", "heard": "2:00",
    "claim_distance": "40", "claim_speed": "30",
}  # fmt: skip
CASES = {"flat fast": FLAT_FAST, "hilly slow": HILLY_SLOW, "windy": WINDY}


def finished(case):
    flow = ReportFlow()
    flow.answer(**case)
    return flow


@cache
def kept(name):
    """A case, answered once for the tests below, which leave it as it was."""
    return finished(CASES[name])


def ridden(flow, set_up):
    """Time over the road by an adaptive solver, apart from the library."""
    evidence, road, member = (flow.answers[name] for name in ("sheet", "road", "rider"))
    rider = replace(member.rider, drag_area=evidence.curve(set_up))
    density = flow.answers["air"]["air_density"]
    return ode_ride(road.course, rider, air_density=density, **road.day(member.power), rtol=1e-8).time


@pytest.mark.parametrize("name", CASES)
def test_the_seconds_of_the_page_are_those_of_a_second_ride(name):
    case, flow = CASES[name], kept(name)
    page = flow.result
    if len(flow.answers["sheet"].curve(case["before"]).yaw) > 1:
        assert not any("air came from beyond" in sentence for sentence in page.sentences)
    saved = ridden(flow, case["before"]) - ridden(flow, case["after"])
    assert page.assumed == pytest.approx(saved, rel=2e-3, abs=0.01)
    assert page.seconds.low < page.seconds.high and page.planning.low < page.planning.high


@pytest.mark.parametrize("name", CASES)
def test_the_page_is_whole(name, tmp_path):
    case, flow = CASES[name], kept(name)
    text = flow.save(tmp_path).read_text("utf-8")
    seen = _Tags(text)
    assert seen.count("img") == 2 and seen.count("table") >= 2 and not seen.count("script")
    assert all(alt for alt in seen.alts)
    for words in ("80 % range", "95 % range", "What the ranges leave out", "Before you act on it", "Sources", "Uncertain"):
        assert words in text, words
    assert ("For the people in the room" in text) == ("room" in case)
    assert ("A claim, compared with it" in text) == ("claim" in case)
    said = re.sub('base64,[^"]*', "", text)  # letters of a picture may spell anything
    assert "NaN" not in said and "nan " not in said


def test_the_same_answers_make_the_same_page():
    assert finished(HILLY_SLOW).result.html() == kept("hilly slow").result.html()


def test_the_audience_reads_ranges_of_their_own():
    said = kept("hilly slow").result.markdown()
    june = next(line for line in said.splitlines() if line.startswith("| June"))
    assert len(re.findall(r"\d+ to \d+ (?:s|W)|− ?\d+ to", june)) >= 2


@pytest.mark.parametrize(
    ("name", "broken"),
    [
        ("flat fast", (b"", b"\xff\xfe\x00", b"a;b\n1,2;3\n", b"PK\x03\x04")), ("hilly slow", (b"<gpx",)),
        ("windy", (b"<gpx",)),
    ],
)  # fmt: skip
def test_a_broken_upload_gets_a_sentence_and_loses_nothing(name, broken):
    case, flow = CASES[name], kept(name)
    made, typed = flow.result, dict(flow.typed)
    where = "track" if case is WINDY else "upload"
    for content in broken:
        with pytest.raises(ValueError) as said:
            flow.answer(**{where: File("mine.dat", content)})
        assert "mine.dat" in str(said.value) and len(str(said.value).split()) > 6
        assert flow.result is made
        assert {k: v for k, v in flow.typed.items() if k != where} == {
            k: v for k, v in typed.items() if k != where
        }
    flow.answer(**{where: case[where]})
    assert flow.result.html() == made.html()


def test_no_doubt_at_all_leaves_the_doubt_of_the_sheet():
    exact = finished({**FLAT_FAST, "doubts": "exact"})
    assert exact.answers["doubts"] == EXACT
    usual = kept("flat fast").result.seconds
    assert 0 < exact.result.seconds.high - exact.result.seconds.low < usual.high - usual.low


class _Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.names, self.alts = [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.names.append(tag)
        if tag == "img":
            self.alts.append(dict(attributes).get("alt"))

    def count(self, tag):
        return self.names.count(tag)
