from importlib.resources import files

import pytest

from pourwright.sources import Cited, Standing, cited_from, read_table, references

GOOD = {"value": 40, "unit": "psi", "standing": "published", "source": "ufgs07570", "locator": "properties"}


def test_a_number_comes_out_in_si_with_what_was_printed():
    got = cited_from(GOOD)
    assert got.value == pytest.approx(275790.3, rel=1e-6)
    assert (got.unit, got.printed, got.key, got.standing) == ("Pa", "40 psi", "ufgs07570", Standing.PUBLISHED)
    assert "UFGS 07570" in got.words()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"standing": "guess"}, "unknown"),
        ({"unit": "stone"}, "unknown"),
        ({"source": "nowhere2020"}, "references.bib"),
        ({"locator": ""}, "locator"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_a_number_without_honest_papers_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        cited_from(GOOD | change)


def test_references_are_complete():
    for ref in references().values():
        assert ref.fields.get("title"), ref.key
        assert ref.fields.get("author"), ref.key
        assert ref.short, ref.key
    assert references()["carslaw1959"].short == "Carslaw & Jaeger, Conduction of Heat in Solids, 1959"
    assert references()["bodi2012"].short.startswith("Bodi et al.")


def test_every_grade_file_reads_and_cites_known_publications():
    found = 0
    for file in (files("pourwright.foam") / "grades").iterdir():
        for cited in numbers(read_table(file)):
            found += 1
            assert not cited.key or cited.key in references()
    assert found > 90  # three grades of some thirty numbers


def numbers(thing):
    if isinstance(thing, Cited):
        yield thing
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from numbers(value)
