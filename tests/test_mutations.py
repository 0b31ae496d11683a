"""The list of mutations is up to date, and its way of trying one works: caught, and survived."""

import mutations
from mutations import MUTATIONS, Mutation


def test_each_mutation_changes_what_is_there_once_and_names_its_tests():
    assert len(set(MUTATIONS)) == len(MUTATIONS) >= 60
    for mutation in MUTATIONS:
        text = (mutations.ROOT / mutations.PACKAGE / mutation.file).read_text(encoding="utf-8")
        assert text.count(mutation.old) == 1 and mutation.old != mutation.new, str(mutation)
        assert (mutations.ROOT / mutation.tests.split()[0]).is_file(), mutation.tests


def test_what_the_tests_notice_is_caught_and_what_they_cannot_survives():
    """Both in one file, which is made good in between."""
    caught = next(m for m in MUTATIONS if m.file == "physics/resistance.py")
    unseen = Mutation(caught.file, "return J / r**2", "return J / (r * r)", caught.tests)
    assert mutations.survivors([caught, unseen]) == [unseen]
