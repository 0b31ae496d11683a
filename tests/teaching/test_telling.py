"""Words, tables and sentences as a notebook shows them."""

from dragwork.teaching.printing import html_table
from dragwork.teaching.telling import reference_case


def test_a_number_and_its_unit_stay_on_one_line():
    page = html_table([{"Leg": "2: 10 km 4 % up", "Saved": "0.7 s (0.2 to 1.2 s), 8.0 m/s & <b>"}], "Legs")
    assert "2: 10\u00a0km 4\u00a0% up" in page
    assert "0.7\u00a0s (0.2 to 1.2\u00a0s), 8.0\u00a0m/s &amp; &lt;b&gt;" in page


def test_a_word_that_only_begins_like_a_unit_is_left_alone():
    assert "3 sheets, 4 helmets" in html_table([{"Held": "3 sheets, 4 helmets"}], "What there is")


def test_a_sentence_that_stays_says_so():
    assert reference_case("It takes 20 W.") == "*Reference case.* It takes 20 W."
