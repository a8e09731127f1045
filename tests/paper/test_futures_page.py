"""The pages of the years to come and of the next hundred: the words of the screen, nothing where nothing is told."""

from types import SimpleNamespace

from woodlot.answers.future_types import Futures, FutureWay, StockThen
from woodlot.paper.wood_pages import futures_page
from woodlot.paper.years_page import years_pages

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
    assert ">4.0<" not in row and "of today" not in row
    fuller = Futures(words=words, number=500, ways=(way,), stock_cords=1000.0, goal_cords=900.0)
    (page,) = futures_page(answers(fuller), LAYERS, "foot")
    assert ">3.0<" in page and ">4.0<" in page and "of today&#x27;s, in 50" in page.replace("today's", "today&#x27;s")


def test_where_no_chance_is_told_the_page_says_why_and_without_the_chapter_there_is_none():
    """A place without plots has the reason alone; a map's answers hold no futures at all."""
    (page,) = futures_page(answers(Futures(words=("No stand has plots.",))), LAYERS, "foot")
    assert "No stand has plots." in page and "<table" not in page
    assert futures_page(answers(None), LAYERS, "foot") == []


def test_what_the_head_says_of_all_stands_is_not_said_of_each():
    """The last sentence of the head leaves the lines of the stands, wherever it ends them; other sentences stay."""
    far = "Beyond 30 years this is a picture, not a forecast."
    told = SimpleNamespace(
        years_words=f"Ranges are assumptions. {far}",
        stands=[
            SimpleNamespace(stand_id=sid, parcel_id="home", acres=7.0, years_words=words, years_told=(1,))
            for sid, words in (("1", f"Pine. Uncut: 90. {far}"), ("2", "Oak. Cut by its guide: 80."), ("3", "Bare."))
        ],
    )
    (page,) = years_pages(told, LAYERS | {"parcels": [{"id": "home", "name": "Home"}]}, "foot")
    assert page.count(far) == 1 and page.index(far) < page.index("Stand 1")
    for words in ("Pine. <b>Uncut:</b> 90.</p>", "Oak. <b>Cut by its guide:</b> 80.</p>", "Bare.</p>"):
        assert words in page, words
