"""What is said about claims: the sentences of `sentences.json`, by subject; verdicts have their own table."""

from dragwork.wording import Sentences

say = Sentences("dragwork.decisions", "sentences.json")
