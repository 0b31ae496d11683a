"""The gap-fill: one rule that covers what was seen."""

from dragwork.teaching.forms.answer_views import RuleView
from dragwork.teaching.forms.form import LINE, Form
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.report import listed


class OneRule(Form):
    """A rule with gaps. By code: `r.check("watts", "squared")`.

    Parameters
    ----------
    number : str
        Of the notebook.

    Attributes
    ----------
    chosen : list of str
        What stands in each gap; empty where nothing does yet.
    says : tuple of str
        What was last said to the gaps.
    """

    view = RuleView

    def __init__(self, number):
        super().__init__()
        self.number, self.rule = number, RULES[number]
        earlier = self.profile.entries("gaps", rule=number)
        was = earlier[-1]["chosen"] if earlier else ()
        was = [*was, *[""] * len(self.rule.gaps)]  # a rule may have had fewer gaps
        self.chosen = [each if each in gap.options else "" for each, gap in zip(was, self.rule.gaps)]
        self.says = ()

    def options(self, place):
        """What can be chosen for a gap, sorted."""
        return tuple(sorted(self.rule.gaps[place].options))

    def choose(self, place, option):
        """Fill a gap. Nothing is said to it yet."""
        self.chosen[place] = option
        self.follow()

    def check(self, *chosen):
        """What there is to say to each gap; it is kept in the learner's file.

        Parameters
        ----------
        *chosen : str
            In the order of the gaps; without any, what stands in them.

        Returns
        -------
        str
            A line for each gap; one line once all of them fit.
        """
        self.chosen[: len(chosen)] = map(str, chosen[: len(self.chosen)])
        fits = all(was == gap.right for was, gap in zip(self.chosen, self.rule.gaps))
        self.says = tuple(map(self._said, range(len(self.chosen))))
        if fits:
            self.says = (f"That covers all the cases. {self.rule.because}",)
        if any(self.chosen):
            self.profile.keep("gaps", rule=self.number, chosen=list(self.chosen), fits=fits)
        self.follow()
        return "\n".join(self.says)

    def _said(self, place):
        gap, was = self.rule.gaps[place], self.chosen[place]
        name = f"Gap {place + 1}"
        if not was:
            return f"{name} is open."
        if was not in gap.options:
            return f"{name}: '{was}' is not there. Choose {listed(self.options(place), 'or')}."
        if was == gap.right:
            return f"{name}: '{was}' fits."
        return f"{name}: '{was}' does not fit all the cases. {gap.hint}"

    @property
    def sentence(self):
        """The rule as it stands, with a line for each open gap."""
        return self.rule.text.format(*(was or LINE for was in self.chosen))

    def markdown(self):
        gaps = range(len(self.chosen))
        lines = [f"- Gap {place + 1}: {listed(self.options(place), 'or')}" for place in gaps]
        return f"{self.sentence}\n\n" + "\n".join(lines)


def one_rule(number):
    """The gap-fill of a notebook.

    Parameters
    ----------
    number : str
        Of the notebook: '08'.

    Returns
    -------
    OneRule

    Raises
    ------
    ValueError
        Where the notebook has no rule.
    """
    if number not in RULES:
        raise ValueError(f"there is no rule '{number}'; there are {', '.join(RULES)}.")
    return OneRule(number)
