"""The words of a form: a JSON table beside it holds its questions, and the sentences with gaps."""

from dragwork.teaching.forms.fields import field_of
from dragwork.teaching.forms.flow import FlowQuestion
from dragwork.teaching.telling import filled_in, words_in


class FormWords:
    """The words of a form; `words("fits", booked="3 h")` is a sentence of its table, filled as by `filled_in`.

    Parameters
    ----------
    name : str
        A JSON file beside the forms. "questions": by name "prompt", "hint", "optional", "fields" (by
        name what `field_of` takes, or a name of fields that are shared) and "says", the sentence of an
        answer, with its fields, in their own words, and what else it holds in braces. "says": sentences
        by name.

    Attributes
    ----------
    table : dict
        All that the file holds.
    knobs : dict
        Field name to the knob that has the words for its values.
    """

    def __init__(self, name):
        self.table, self.knobs = words_in(__package__, name), {}

    def __call__(self, name, /, *values, **named):
        return filled_in(self.table["says"][name], named, values)

    def value(self, field, value):
        """A value of a field [SI] as a sentence has it: `0.320 m²`."""
        return self.knobs[field].words(value)

    def questions(self, code=(), **more):
        """The questions of the table, in its order.

        Parameters
        ----------
        code : dict, optional
            Question name to (read, sentence); read None where the answer is the values of the fields,
            sentence None where the table says it.
        **more
            As of `fields`; "numbers" fill a question's hint too.

        Returns
        -------
        tuple of FlowQuestion
        """

        def question(name, about):
            fields = self.fields(about["fields"], **more)
            read, sentence = dict(code).get(name, (None, None))
            hint = about["hint"].format(**more.get("numbers", {}))
            return FlowQuestion(
                name, about["prompt"], hint, fields, read or _values, sentence or _sentence(about["says"], fields),
                about.get("optional", False),
            )  # fmt: skip

        return tuple(question(name, about) for name, about in self.table["questions"].items())

    def fields(self, table, reads=(), options=(), shared=(), numbers=()):
        """Fields of a table.

        Parameters
        ----------
        table : dict
            Field name to what `field_of` takes; or to a name of fields that are shared.
        reads, options : dict, optional
            Field name to what reads what was typed, or gives the options of a `Choice`.
        shared : dict, optional
            Fields that several forms have, by the names that the table uses.
        numbers : dict, optional
            What hints, labels and starts have in braces.

        Returns
        -------
        tuple of Field
        """
        reads, options, shared, numbers = map(dict, (reads, options, shared, numbers))
        made = []
        for name, about in table.items():
            if isinstance(about, str):
                made += shared[about]
                continue
            told = {key: about[key].format(**numbers) for key in ("label", "hint", "start") if key in about}
            given = {"options": options[name]} if name in options else {}
            made.append(field_of(name, **about | told | given, read=reads.get(name)))
            self.knobs[name] = getattr(made[-1], "knob", None)
        return tuple(made)


def _values(values, answers):
    return values


def _sentence(template, fields):
    def sentence(answer, answers):
        words = {field.name: field.words(answer[field.name], answers) for field in fields if field.name in answer}
        return filled_in(template, answer | words)

    return sentence
