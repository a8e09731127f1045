"""What may be taken, in one line."""

from woodlot.deer.answer import Take
from woodlot.say import words

__all__ = ["take_words"]


def take_words(take: Take) -> str:
    """Does and bucks at most, in one line."""
    if not take.measured:
        return "Not measured enough to name does or bucks."
    some = [words.amount(float(n), unit) for n, unit in ((take.does, "does"), (take.bucks, "bucks")) if n]
    return f"{' and '.join(some)} at most this season." if some else "None this season."
