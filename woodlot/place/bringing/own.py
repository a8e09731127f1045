"""Words for trees and covers in the parts: what each means, and questions for what nobody knows or may be several.

own_words   the family's words as what they mean; the questions; what was answered, to be remembered
read_as     the note of what was understood by words that are not the name itself
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from woodlot import covers
from woodlot.place.bringing.cruise import NO_TREE
from woodlot.place.bringing.model import Answers, Note, Part, Question, There
from woodlot.place.cover_words import Meant, known_words, likely, plain, understood
from woodlot.species import spaced

__all__ = ["cover_words", "own_words", "read_as", "said_words"]

#: Tables whose species must stand on the region's list.
_STRICT = ("trees", "tally", "cores")


def said_words(there: There, answers: Answers, about: str) -> dict[str, str]:
    """The family's own words of one kind, those of its place and those just answered, as they are compared."""
    just = {spaced(word): meant for (key, _, word), meant in answers.said.items() if key == about}
    return {**there.words.get(about, {}), **just}


def cover_words(there: There, answers: Answers) -> dict[str, Meant]:
    """All words for covers: of the region, of the place and those just answered."""
    return known_words(there.region, said_words(there, answers, "cover"))


@dataclass(frozen=True)
class _Trees:
    """Words for trees."""

    there: There
    own: Mapping[str, str]
    about = "species"
    tables = _STRICT

    def key(self, word: str) -> str:
        return spaced(word)

    def bare(self, word: str, table: str) -> bool:
        """Whether a cell says that there is none."""
        return not spaced(word) or (table == "trees" and spaced(word) in NO_TREE)

    def kinds(self, word: str) -> tuple[str, ...]:
        """What a word may mean by the region's list."""
        return self.there.region.species.means(word)

    def sure(self, word: str) -> str:
        """The one kind that a word means, "" where it is none or several."""
        kinds = self.kinds(word)
        return kinds[0] if len(kinds) == 1 else ""

    def ways(self, word: str) -> tuple[str, ...]:
        """What may be answered; none: any kind."""
        return self.kinds(word)

    def guess(self, word: str) -> str:
        """What a word that nobody knows is likely meant for: one kind, never across genera."""
        near = self.there.region.species.closest(word)
        return near[0] if len(near) == 1 else ""


@dataclass(frozen=True)
class _Covers:
    """Words for covers."""

    there: There
    own: Mapping[str, str]
    about = "cover"
    tables = ("stands",)

    @property
    def _words(self) -> dict[str, Meant]:
        return known_words(self.there.region, {})

    def key(self, word: str) -> str:
        return plain(word)

    def bare(self, word: str, table: str) -> bool:
        """Whether a cell says nothing."""
        return not plain(word)

    def kinds(self, word: str) -> tuple[str, ...]:
        """What a word may mean by the region's words."""
        return understood(word, self._words).covers

    def sure(self, word: str) -> str:
        """The one cover that a word means, "" where it is none or several."""
        meant = understood(word, self._words)
        return meant.covers[0] if meant.sure else ""

    def ways(self, word: str) -> tuple[str, ...]:
        """What may be answered: what it may mean, where nobody knows every cover."""
        return self.kinds(word) or covers.known(self.there.region)

    def guess(self, word: str) -> str:
        """The cover of the word most like one that nobody knows."""
        near = () if self.kinds(word) else likely(word, self._words)
        return near[0] if len(near) == 1 else ""


def _list(about: str, there: There, answers: Answers) -> _Trees | _Covers:
    return (_Trees if about == "species" else _Covers)(there, said_words(there, answers, about))


def own_words(
    parts: list[Part], about: str, there: There, answers: Answers
) -> tuple[list[Part], list[Question], list[tuple[str, str, str]]]:
    """Species or covers with the family's own words as what they mean; words nobody knows are asked once.

    A cover that is not sure stays as it is written when --yes is said: reading takes it as no cover and asks.
    """
    known, lenient = _list(about, there, answers), about == "cover" and answers.yes
    own = {known.key(word): meant for word, meant in known.own.items()}
    out, questions = list[Part](), dict[str, Question]()
    for part in parts:
        if part.table in known.tables and about in part.frame:
            words = part.frame[about]
            for word in words.unique():
                if lenient or known.bare(word, part.table) or known.key(word) in own or known.sure(word):
                    continue
                facts = {"called": part.called, "word": word, "rows": int((words == word).sum())}
                facts |= {"kinds": known.kinds(word)}
                ways, guess = known.ways(word), known.guess(word)
                questions.setdefault(known.key(word), Question(about, part.file, word, guess, False, ways, facts))
            meant = {word: own[known.key(word)] for word in words.unique() if known.key(word) in own}
            part = replace(part, frame=part.frame.assign(**{about: words.map(lambda one, m=meant: m.get(one, one))}))
            if part.table in ("tally", "cores"):
                kept = ~part.frame[about].str.lower().isin(NO_TREE).to_numpy()
                part = replace(part, frame=part.frame[kept], rows=np.asarray(part.rows)[kept])
        out.append(part)
    with_it = [part for part in parts if part.table in known.tables and about in part.frame]
    here = {known.key(word) for part in with_it for word in part.frame[about]}
    for word, said in own.items():
        if word in here and not known.sure(said) and not (about == "species" and said.lower() in NO_TREE):
            facts = {"word": word, "said": said}
            questions[word] = Question(f"{about}_unknown", "", word, known.guess(said), False, (), facts)
    answered = [(word, told) for (key, _, word), told in answers.said.items() if key == about]
    return out, list(questions.values()), [(about, *one) for one in answered if one[1].lower() not in NO_TREE]


def read_as(part: Part, there: There, answers: Answers) -> Note | None:
    """What is understood by each word of a column that is not the name itself: trees, or covers."""
    for words in (_list("species", there, answers), _list("cover", there, answers)):
        if part.table in words.tables and words.about in part.headings.values():
            own = {words.key(word): meant for word, meant in words.own.items()}
            written = [word for word in part.frame[words.about].unique() if word]
            kinds = {word: words.sure(own.get(words.key(word), word)) for word in written}
            read = {word: kind for word, kind in kinds.items() if kind and words.key(word) != words.key(kind)}
            facts = {"called": part.called, "of": words.about, "read": dict(sorted(read.items()))}
            return Note("words", facts) if read else None
    return None
