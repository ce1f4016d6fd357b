"""The words by which a quote is found."""

from service.usecases.work.terms import folded, terms_of, words


def test_words_are_in_one_case_and_form() -> None:
    assert words("Ahornweg 14, 1010 Wien") == ["ahornweg", "14", "1010", "wien"]
    assert folded("STRASSE") == folded("Straße")
    assert folded("Mu\u0308ller") == folded("MÜLLER")
    assert len(folded("x" * 200)) == 80


def test_a_quote_is_found_by_reference_client_place_and_labels() -> None:
    client = {"name": "Ada Muster", "email": "ada@example.org"}
    cavities = [{"label": "W1", "build_up": "EW-360"}, {"label": "A 1"}]
    found = set(terms_of("SO 1", client, "Hof 3", cavities))
    assert {("reference", "so 1"), ("client", "muster"), ("client", "ada muster"), ("place", "hof")} <= found
    assert {("client", "ada@example.org"), ("build_up", "ew-360"), ("build_up", "a 1")} <= found
