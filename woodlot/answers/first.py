"""The first screen: one line that decides, then a row for wood, cut, this winter, heat, deer and what to measure next.

Each row is number, range, title and why, in that order of importance; screen and report show the same rows.

headline   the decision of this winter
rows       the rows of the first screen
"""

from collections.abc import Sequence
from datetime import date

from woodlot.answers.stand_types import Stand, Whole
from woodlot.answers.types import Answers, Changed, Row
from woodlot.say import hunt, words

__all__ = ["headline", "rows"]


def headline(stands: Sequence[Stand], totals: Whole) -> str:
    """The decision of this winter in one line."""
    cut_now = totals.stands_this_winter
    if not stands:
        return "No stands yet. Draw them in stands.geojson; then plots can be counted for each."
    if not totals.acres_with_plots:
        return "No plots yet. Put three in the largest stand for a first figure."
    if not cut_now:
        return "Cut nothing this winter."
    rest = len(stands) - len(cut_now)
    leave = "" if not rest else " Leave the other one." if rest == 1 else f" Leave the other {_number_word(rest)}."
    return f"Cut in {_number_word(len(cut_now))} {'stand' if len(cut_now) == 1 else 'stands'} this winter.{leave}"


def _number_word(n: int) -> str:
    small = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    return small[n] if n < len(small) else str(n)


def rows(of: Answers, heat: Row | None) -> tuple[Row, ...]:
    """First rows of screen and report: what stands, what may be cut, this winter's work, heat, deer, measure next."""
    made = (
        _stands_row(of.totals),
        _cut_row(of.totals, of.stands),
        _winter_row(of),
        heat,
        Row("deer", "Deer", *hunt.number_range_why(of.deer)),
        _changed_row(of.changed),
        _next_row(of),
    )
    return tuple(row for row in made if row)


def _stands_row(totals: Whole) -> Row:
    cords = totals.cords
    if cords.value is None:
        return Row("wood", "What stands", "No number yet", "", f"{cords.why[:1].upper()}{cords.why[1:]}.")
    why = f"On {totals.acres_with_plots:,.1f} acres with plots."
    if cords.low is not None:
        why += (
            f" The plots alone: {words.range_words(totals.cords_sampling_only)}; the rest is the volume table, which "
            "no plot can mend."
        )
    if cords.why:
        why += f" {cords.why[0].upper()}{cords.why[1:]}."
    return Row("wood", "What stands", words.amount(cords.value, "full cords"), words.range_words(cords), why)


def _cut_row(totals: Whole, stands: Sequence[Stand]) -> Row:
    growth, title = totals.growth_cords_per_yr, "What you may take"
    if growth.value is None:
        more = "More plots" if any(s.plots >= 3 for s in stands) else "Three plots"
        why = f"{growth.why[:1].upper()}{growth.why[1:]}. {more} in a stand would give a first figure."
        return Row("cut", title, "No number yet", "plan no cut on it", why)
    number = f"{words.amount(totals.ceiling_cords_per_yr, 'cords')} a year"
    smallest = totals.ceilings.smallest
    range_ = f"low end of {words.rounded(smallest.value or 0.0, 'cords')}; {words.range_words(smallest)}"
    why = " ".join(w for w in (totals.cut_words, totals.cut_caution) if w)
    return Row("cut", title, f"{number} at most", range_, why)


def _winter_row(of: Answers) -> Row:
    cutting = [s for s in of.stands if s.cut.this_winter]
    names, title = {p.parcel_id: p.name for p in of.parcels}, "This winter's work"
    if not cutting:
        none = "No stand is due, or none is measured enough to plan a cut on."
        return Row("winter", title, "Nothing", "", none)
    why = " ".join(
        f"Stand {s.stand_id}, {names.get(s.parcel_id or '', words.NO_PARCEL)}: {_after_colon(s.cut.words)}"
        for s in cutting
    )
    return Row("winter", title, words.amount(of.totals.this_winter_cords, "cords"), "at most", why)


def _after_colon(text: str) -> str:
    """What is to be done this winter, without its stand and without the years to come."""
    return text.split(": ", 1)[-1].split(" Over the years ", 1)[0]


def _changed_row(changed: Changed) -> Row:
    done, since = changed.words, words.day(date.fromisoformat(changed.since))
    number = f"{done[0][:1].upper()}{done[0][1:]}" if done else "Nothing written down"
    rest = "; ".join(done[1:])
    why = f"{rest[:1].upper()}{rest[1:]}." if rest else ""
    return Row("changed", "Since last year", number, f"since {since}", why)


def _next_row(of: Answers) -> Row:
    there = of.next_plots
    if there is None:
        return Row("measure", "Measure next", *_nothing_next(of.stands))
    parcel = next((s.parcel_id for s in of.stands if s.stand_id == there.stand_id), None)
    where = next((p.name for p in of.parcels if p.parcel_id == parcel), words.NO_PARCEL)
    number = f"{there.plots} plots in stand {there.stand_id}"
    return Row("measure", "Measure next", number, where, " ".join(of.measure_next))


def _nothing_next(stands: Sequence[Stand]) -> tuple[str, str, str]:
    """Number, range and why where no stand is named to measure next."""
    if not stands:
        return "Nothing yet", "", "Draw the stands first; then plots can be put in them."
    which = "" if all(stand.plots for stand in stands) else " that can be worked"
    return "Nothing more", "for cords", f"Every stand{which} has plots and none stands out."
