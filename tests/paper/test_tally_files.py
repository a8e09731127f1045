"""New plots come behind the old ones; nothing is doubled, nothing overwritten."""

import pytest

from woodlot.errors import PlaceError
from woodlot.paper.tally_files import joined

OLD = "plot_id,stand_id,baf_sqft_per_ac\n1p1,1,10\n"


def test_new_rows_come_behind_the_old_by_hand():
    """The old column order stays; a column that only the new file has is added at the end."""
    assert joined(OLD, "plot_id,stand_id,date\n1p2,1,2026-11-25\n", "plots") == (
        "plot_id,stand_id,baf_sqft_per_ac,date\n1p1,1,10,\n1p2,1,,2026-11-25\n"
    )


def test_the_same_file_twice_doubles_nothing():
    """Rows that stand there in full are left out."""
    assert joined(OLD, OLD, "plots") == OLD


def test_another_plot_of_the_same_name_is_refused():
    """A plot name that is taken by other words stops with the row and the name."""
    with pytest.raises(PlaceError, match=r"new plots\.csv, row 2, plot_id: 1p1"):
        joined(OLD, "plot_id,stand_id\n1p1,2\n", "plots")


def test_without_an_old_file_the_new_one_stands():
    """The first tally is the file."""
    assert joined("", "\ufeffplot_id,tree,species\n1p1,1,oak\n", "trees") == "plot_id,tree,species\n1p1,1,oak\n"


def test_only_tables_of_the_tally_page_are_joined():
    """The ledger only grows by notes."""
    with pytest.raises(PlaceError, match="saves plots, trees"):
        joined("", "a\n1\n", "ledger")


def test_a_note_that_a_spreadsheet_would_work_out_is_made_neutral_once():
    """The new row's text gets an apostrophe, its numbers none; what stood there stays; the same file adds nothing."""
    old = "plot_id,stand_id,lon,notes\n1p1,1,-89.4,=1+1\n"
    new = 'plot_id,stand_id,lon,notes\n1p2,1,-89.5,"=HYPERLINK(""x"")"\n1p1,1,-89.4,=1+1\n'
    told = joined(old, new, "plots")
    assert told == old + '1p2,1,-89.5,"\'=HYPERLINK(""x"")"\n' and joined(told, new, "plots") == told
