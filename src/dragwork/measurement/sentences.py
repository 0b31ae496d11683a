"""What is said about sheets, rides and roads: the sentences of `sentences.json`, by subject."""

from dragwork.wording import Sentences

say = Sentences("dragwork.measurement", "sentences.json")
