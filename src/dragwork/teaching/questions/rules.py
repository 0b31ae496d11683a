"""One rule a notebook: a sentence with gaps. The words are in `rules.json`, the right option of each gap first."""

from dataclasses import dataclass

from dragwork.wording import words_in


@dataclass(frozen=True)
class Gap:
    """A gap in a rule.

    Parameters
    ----------
    options : tuple of str
        The right one first; a page shows them sorted.
    hint : str
        What helps where another one was chosen; it does not name the right one.
    """

    options: tuple
    hint: str

    @property
    def right(self):
        return self.options[0]


@dataclass(frozen=True)
class Rule:
    """A rule that covers the three cases of a notebook.

    Parameters
    ----------
    text : str
        With `{}` for each gap.
    gaps : tuple of Gap
    because : str
        Said once all gaps are filled rightly.
    """

    text: str
    gaps: tuple
    because: str

    def __post_init__(self):
        if self.text.count("{}") != len(self.gaps):
            raise ValueError(f"The rule '{self.text}' needs one Gap for each {{}}.")

    @property
    def filled(self):
        """The rule without gaps."""
        return self.text.format(*(gap.right for gap in self.gaps))


RULES = {
    number: Rule(**rule | {"gaps": tuple(Gap(tuple(gap["options"]), gap["hint"]) for gap in rule["gaps"])})
    for number, rule in words_in(__package__, "rules.json").items()
}
