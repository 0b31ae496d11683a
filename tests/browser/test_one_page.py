"""The report is one page of paper: all up to the small print fits A4 and Letter, whatever it is of."""

from dataclasses import replace
from functools import cache

import pytest

from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import FAROUK, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, THREE_KILNS
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.report import build_report
from dragwork.teaching.report.evidence import FromField, FromNumbers, PublishedArea
from dragwork.teaching.report.page import Part

MARGINS = (36, 20)  # mm, across and up, both sides together: the page's own @page rule
SHEETS = {"A4": (210, 297), "Letter": (215.9, 279.4)}  # mm: ISO 216; ANSI Y14.1
MM = 96 / 25.4  # CSS px

FIRST = """() => {
    const top = document.querySelector(".dragwork-page").getBoundingClientRect().top;
    return document.querySelector(".small").getBoundingClientRect().bottom - top;
}"""


@cache
def tunnel():
    return build_report(bl7(), "hoods", "clip-ons", TOBIN, THREE_KILNS, sheet_name="BL-7 (invented)")


def another_body_with_a_claim():
    claim = Part("A claim", ("All of it.",), brief="The claim, 20 W in the air at 50 km/h: " + "test it yourself. " * 6)
    return build_report(bl7(), "hoods", "clip-ons", FAROUK, THREE_KILNS, sheet_name="BL-7 (invented)", extra=(claim,))


def road_test():
    found = FromField(saltpan_lane())
    return build_report(found, *found.set_ups[:2], TOBIN, CINDER_LANE)


def longest_names():
    areas = {
        "upright on the hoods with the loose rain jacket": PublishedArea(0.35, 0.33, 0.37),
        "low on long clip-on bars with the new helmet": PublishedArea(0.349, 0.33, 0.365),
    }
    found = FromNumbers(areas, "a club's leaflet of long ago, the second edition, page ninety-nine")
    rider = replace(ROSALIND, name="Maximiliana-Rosalinde of the Upper Quillhaven Road")
    return build_report(found, *found.set_ups, rider, THREE_KILNS)


@pytest.mark.parametrize("make", [tunnel, another_body_with_a_claim, road_test, longest_names])
def test_all_up_to_the_small_print_fits_one_page(browser, make):
    html = make().html()
    for width, height in SHEETS.values():
        across, up = (width - MARGINS[0]) * MM, (height - MARGINS[1]) * MM
        with browser.new_page(viewport={"width": round(across), "height": round(up)}) as page:
            page.emulate_media(media="print")
            page.set_content(html)
            assert page.evaluate(FIRST) <= up


def test_the_measure_is_that_of_the_print(browser, tmp_path):
    """A page whose small print ends half a page too low is seen to be too long."""
    html = tunnel().html().replace("<figure>", f'<figure style="padding-bottom: {140 * MM}px">', 1)
    width, height = SHEETS["A4"]
    with browser.new_page(viewport={"width": round((width - MARGINS[0]) * MM), "height": 1000}) as page:
        page.emulate_media(media="print")
        page.set_content(html)
        assert page.evaluate(FIRST) > (height - MARGINS[1]) * MM
