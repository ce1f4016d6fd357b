from service.engine.site.condition import runs


def test_three_and_more_numbers_that_follow_one_another_are_told_together() -> None:
    assert runs((1, 2, 3, 5, 6, 9)) == ("1–3", "5", "6", "9")
    assert runs((4, 3, 2)) == ("2–4",)
    assert runs(()) == ()
