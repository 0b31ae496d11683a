"""The rule with gaps, for every notebook that has one."""

import pytest

from dragwork.teaching.forms import one_rule
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.profile import Profile
from dragwork.teaching.questions.rules import RULES, Gap, Rule

each_rule = pytest.mark.parametrize("number", RULES)


def rights(number):
    return [gap.right for gap in RULES[number].gaps]


@each_rule
def test_filled_rightly_it_says_why(number):
    form = one_rule(number)
    assert form.markdown().count(LINE) == len(RULES[number].gaps)
    said = form.check(*rights(number))
    assert said.endswith(RULES[number].because)
    assert one_rule(number).chosen == rights(number)
    assert Profile().entries("gaps", rule=number)[-1]["fits"] is True


@each_rule
def test_every_other_option_gets_its_hint_and_the_right_one_is_not_told(number):
    for place, gap in enumerate(RULES[number].gaps):
        for option in gap.options[1:]:
            form = one_rule(number)
            form.check(*rights(number)[:place], option, *rights(number)[place + 1 :])
            assert f"'{option}' does not fit" in form.says[place] and gap.hint in form.says[place]
            assert f"'{gap.right}'" not in form.says[place]
            assert all("fits." in said for i, said in enumerate(form.says) if i != place)


@each_rule
def test_a_rule_is_well_made(number):
    rule = RULES[number]
    sentences = [rule.because, *(gap.hint for gap in rule.gaps)]
    assert all(sentence.endswith((".", "?")) for sentence in (rule.text, *sentences))
    for gap in rule.gaps:
        assert 2 <= len(set(gap.options)) == len(gap.options) <= 5
    form = one_rule(number)
    sorted_as_shown = [form.options(place) for place in range(len(rule.gaps))]
    assert sorted_as_shown == [tuple(sorted(gap.options)) for gap in rule.gaps]


def test_the_right_option_is_not_always_at_the_same_place():
    places = {sorted(gap.options).index(gap.right) for r in RULES.values() for gap in r.gaps}
    assert len(places) > 1


def test_open_gaps_and_words_that_are_not_there():
    form = one_rule("08")
    assert form.check().split("\n") == ["Gap 1 is open.", "Gap 2 is open.", "Gap 3 is open."]
    assert Profile().entries() == [], "nothing was filled, nothing is kept"
    assert "'aero' is not there. Choose change of drag area, percentage of my power" in form.check("aero")
    assert form.check(*rights("08"), "more").startswith("That covers all the cases.")


def test_what_was_filled_comes_back_where_it_still_is_an_option(own_file):
    Profile().keep("gaps", rule="08", chosen=["watts", "gone", "squared", "more"], fits=False)
    assert one_rule("08").chosen == ["watts", "", "squared"]


def test_no_rule_and_a_rule_without_its_gaps():
    with pytest.raises(ValueError, match="there is no rule '77'; there are "):
        one_rule("77")
    with pytest.raises(ValueError, match="needs one Gap"):
        Rule("Nothing {} here.", (), "Because.")
    assert Gap(("a", "b"), "?").right == "a"
