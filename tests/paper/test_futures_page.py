"""The page of the next hundred years: the words of the screen, all ways to go, and nothing where nothing is told."""

from types import SimpleNamespace

from woodlot.answers.future_types import Futures, FutureWay, StockThen
from woodlot.paper.wood_pages import futures_page

LAYERS = {"head": {"name": "Home", "winter": "2026–27"}}


def answers(told):
    """Answers of a place that hold no more than its futures."""
    return SimpleNamespace(totals=SimpleNamespace(futures=told))


def test_words_and_all_ways_stand_on_one_page():
    """Every sentence once and as it is told; chances to a tenth, stock with its range, cords to two figures."""
    stock = tuple(StockThen(year, 70.0 + year, 100.0, 130.0) for year in (10, 20, 50, 100))
    chances = {"under_20_pct": 0.0, "under_50_pct": 2.24, "under_100_pct": 3.0}
    today = {"under_today_50_pct": 4.0, "under_today_100_pct": 5.0}
    cut = {"cords_per_yr_1_to_50": 64.4, "cords_per_yr_51_to_100": 31.6}
    way = FutureWay(growth_pct=70.0, cruises="one missed", stock=stock, **chances, **today, **cut)
    words = ("In 3 of 100 futures the stock is <low>.", "Beyond 30 years this is a picture.")
    (page,) = futures_page(answers(Futures(words=words, number=500, ways=(way,))), LAYERS, "foot")
    assert page.count("&lt;low&gt;.") == 1 and words[1] in page
    row = page[page.index("<tr><td>70%") :]
    for cell in (">one missed<", ">0.0<", ">2.2<", ">3.0<", "<b>100</b> (90 to 130)", "(120 to 130)", ">64<", ">32<"):
        assert cell in row, cell
    assert "(80 to 130)" not in page and "500 futures" in page


def test_where_no_chance_is_told_the_page_says_why_and_without_the_chapter_there_is_none():
    """A place without plots has the reason alone; a map's answers hold no futures at all."""
    (page,) = futures_page(answers(Futures(words=("No stand has plots.",))), LAYERS, "foot")
    assert "No stand has plots." in page and "<table" not in page
    assert futures_page(answers(None), LAYERS, "foot") == []
