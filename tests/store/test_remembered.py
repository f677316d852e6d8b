"""What is read from content that never changes is read once, and forgotten when there is too much of it."""

from laydown.store.remembered import Remembered


def test_an_answer_is_made_once():
    made = []
    kept = Remembered()

    def make():
        made.append(1)
        return "shop"

    assert [kept.once("sha", make) for _ in range(3)] == ["shop"] * 3
    assert made == [1]


def test_what_was_not_asked_for_longest_is_forgotten():
    kept = Remembered(most=2)
    for key in ("a", "b", "a", "c"):
        kept.once(key, lambda: "first")

    assert kept.once("a", lambda: "again") == "first"
    assert kept.once("b", lambda: "again") == "again"
