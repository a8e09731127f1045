"""What to measure next: the closed form, what is offered, what each way's hand-in does to the take, words."""

from dataclasses import replace

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from scipy.special import ndtri

from woodlot.deer import imagined
from woodlot.deer import survey_worth as worth
from woodlot.deer.doe_share import give, gives
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, begun, started, through, weighed
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import record
from woodlot.region import shipped
from woodlot.say.reasons import said

BASE = shipped("base")
GROUND = Ground(230.0, 1614.0, 0.15)
COUNT = PelletCount(14, 100, 0.14, 0.2077, 0.3)
BARE = (Fall(2024, (0, 1), None, COUNT), Fall(2025, (1, 1), None, COUNT), Fall(2026))


def fitted(falls=BARE, ground=GROUND):
    """Falls fitted with 8,000 starts."""
    cloud = begun(started(ground, 8000, 1, BASE), ground, falls[0].year, BASE)
    return weighed(through(cloud, falls, ground, 1, BASE))


def ways(falls=BARE, ground=GROUND, region=BASE, level=0.9, seed=1):
    """Worths by the key of what is measured, `measure lines` by how many more."""
    fit = fitted(falls, ground)
    out = worth.measure_next(fit, falls, ground, seed=seed, region=region, level=level)[1]
    return {w.what.key.removeprefix("measure ") + str(dict(w.what.facts).get("more", "")): w for w in out}


def test_a_normal_measurement_of_a_normal_number_by_hand():
    """Prior SD .6, measurement SD .35: 1/sqrt(1/.36 + 1/.1225) = .30232; half of the 90% range 1.645 x .30232 = .4973.

    A measurement that tells nothing leaves 1.645 x .6 = .9869.
    """
    x = 0.6 * ndtri((np.arange(20_000) + 0.5) / 20_000)
    true = x[((np.arange(64) + 0.5) / 64 * len(x)).astype(int)]
    luck = np.random.default_rng(1).permutation(ndtri((np.arange(64) + 0.5) / 64))
    seen = true + 0.35 * luck
    told = -((seen[:, None] - x) ** 2) / (2 * 0.35**2)

    def half(of, level):
        low, high = worth.ranges(x, of, level)
        return np.mean(high - low) / 2

    assert half(told, 0.9) == pytest.approx(0.4973, rel=0.02)
    assert half(np.zeros((1, len(x))), 0.9) == pytest.approx(0.9869, rel=0.005)
    assert half(told, 0.5) == pytest.approx(0.30232 * 0.6745, rel=0.02)
    low, high = worth.ranges(x, told, 0.9)
    assert (low + high) / 2 == pytest.approx(seen * 0.36 / (0.36 + 0.1225), abs=0.05)


def test_all_that_is_not_written_is_offered_the_most_useful_first():
    """Two springs alone: nine ways; no stand without an earlier watch, no first spring where there was one."""
    fit = fitted()
    now, out = worth.measure_next(fit, BARE, GROUND, seed=1, region=BASE)
    assert {w.what.key for w in out} == {
        f"measure {x}" for x in ("lines", "camera weeks", "ages", "kill", "state", "complete", "winter")
    }
    assert len(out) == 9
    order = [(-round(w.narrower_pct), w.hours) for w in out]
    assert order == sorted(order)
    assert all(0 <= w.narrower_pct < 50 for w in out) and out[0].narrower_pct > 5
    assert 0 <= now[0] < now[1]
    assert worth.measure_next(fit, BARE, GROUND, seed=1, region=BASE) == (now, out)


def test_the_range_is_that_of_what_the_ground_can_give():
    """The 90% range of does a square mile by the fit's own weights, on 230 acres."""
    fit = fitted()
    each = gives(fit, GROUND.lost, BASE)
    order = np.argsort(each)
    run = np.cumsum(fit.weights[order])
    low, high = each[order][np.searchsorted(run, [0.05, 0.95])]
    now, _ = worth.measure_next(fit, BARE, GROUND, seed=1, region=BASE)
    assert now == pytest.approx((low * 230 / 640, high * 230 / 640), rel=0.03, abs=0.003)


WRITTEN = {
    "camera weeks": {"fawns": (20.0, 33.0)},
    "ages": {"ages": (3.0, 4.0)},
    "state": {"state": (20.0, 0.4)},
    "stand": {"an_hour": (9.0, 30.0)},
}


@pytest.mark.parametrize("way", [*WRITTEN, "kill", "complete", "winter"])
def test_what_is_written_is_offered_no_more(way):
    """Each way is offered before and gone once it stands in the record."""
    watched = (BARE[0], replace(BARE[1], an_hour=(12.0, 40.0)), BARE[2])
    before = ways(watched)
    assert way in before
    falls, ground = watched, GROUND
    if way in WRITTEN:
        falls = (*watched[:2], replace(watched[2], **WRITTEN[way]))
    elif way == "kill":
        ground = replace(GROUND, kill=(0.4, 2.0))
    else:
        last = {"complete": {"complete": (20.0, 0.2)}, "winter": {"winter_loss": 0.1}}[way]
        falls = (watched[0], replace(watched[1], **last), watched[2])
    assert way not in ways(falls, ground)


def test_more_of_a_thing_tells_more():
    """Eight times the camera weeks narrow more; plots on a line, hours and size are those of the table."""
    rows = BASE.table("deer_measures")
    size = rows.set_index("measure")["size"]
    told = ways()
    assert [told[f"lines{k}"].hours for k in (0, 1, 3)] == pytest.approx([8.0, 9.6, 12.8])
    assert [dict(told[f"lines{k}"].what.facts)["plots"] for k in (0, 1, 3)] == [100, 120, 160]
    assert dict(told["camera weeks"].what.facts) == {"weeks": size["camera weeks"]}
    far = ways((Fall(2026, pellets=None, state=(20.0, 0.4)),))
    assert "first pellets" in far and "lines0" not in far and "winter" not in far
    assert far["first pellets"].hours == 8


def test_a_winter_is_known_as_the_fit_drew_it():
    """The losses imagined for the last winter are those of the fit: told to it one by one they give the same herds."""
    falls = BARE
    fit = fitted()
    losses = imagined.losses_drawn(fit.cloud.n, falls, 1, BASE)
    told = fitted((falls[0], replace(falls[1], winter_loss=losses), falls[2]))
    assert told.now == pytest.approx(fit.now, rel=1e-12)


def test_what_would_give_a_first_number_is_told_the_cheapest_first():
    """The unit's kill and the state's figure at the table, then a day of plots."""
    told = [said(why) for why in worth.first_number(BASE)]
    assert told[0].startswith("Bucks and does that the neighbors or the unit took a square mile (place.toml")
    assert told[0].endswith("would give a first number: an hour with the state's report.")
    assert told[1] == "The state's own figure for the unit (place.toml, state_per_sqmi) would give one: an hour."
    assert told[2] == (
        "Pellets on 100 plots on 5 lines in spring (pellets.csv) would give a number of your own ground: a day."
    )


def plots(springs):
    """Six lines of 20 plots each spring."""
    rng = np.random.default_rng(3)
    parts = [
        pd.DataFrame(
            {
                "plot_id": [f"{y}-{i}" for i in range(120)],
                "line": [f"L{i // 20}" for i in range(120)],
                "date": pd.Timestamp(y, 4, 25),
                "radius_ft": 4.0,
                "groups": rng.multinomial(groups, np.full(120, 1 / 120)),
                "days": 178.0,
                "parcel_id": "p",
            }
        )
        for y, groups in springs.items()
    ]
    return pd.concat(parts, ignore_index=True)


PARCEL = gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -89.9885, 46.0098)], crs=4326)
SEEN = {"date": pd.Timestamp(2026, 9, 12), "station": "a", "unknown": 0.0, "complete": False, "baited": False}
STAND = SEEN | {"method": "sighting", "bucks": 4.0, "does": 6.0, "fawns": 2.0, "hours": 40.0}
HAND_INS = {
    "lines0": {"pellets": plots({2025: 15, 2026: 17, 2027: 30}), "year": 2027},
    "camera weeks": {"counts": [SEEN | {"method": "camera", "bucks": 6.0, "does": 90.0, "fawns": 6.0}]},
    "ages": {"bag": [{"year": 2026, "sex_age": "buck", "number": 4, "age_yr": a} for a in (3.5, 4.5, 5.5)]},
    "kill": {"options": {"neighbor_bucks_per_sqmi": 3.0, "neighbor_does_per_sqmi": 0.9}},
    "state": {"options": {"state_per_sqmi": 35.0}},
    "complete": {
        "counts": [
            SEEN
            | {"date": pd.Timestamp(2026, 1, 10), "method": "drive", "bucks": 1.0, "does": 2.0, "fawns": 1.0}
            | {"unknown": 8.0, "acres": 240.0, "complete": True}
        ]
    },
    "winter": {"winters": [{"winter": 2025, "points": 130.0, "scale": "wisconsin"}]},
    "stand": {"counts": [STAND | {"bucks": 30.0}, STAND | {"date": pd.Timestamp(2025, 11, 7)}]},
}


def given_by(pellets=None, counts=None, bag=None, winters=None, options=None, year=2026):
    """What the herd can give on average, and the ways still offered, from tables as they are handed in."""
    tables = {"counts": counts, "bag": bag, "winters": winters}
    kept = record(
        PARCEL,
        year=year,
        pellets=plots({2025: 15, 2026: 17}) if pellets is None else pellets,
        options=DeerSettings(**(options or {})),
        region=BASE,
        **{name: None if rows is None else pd.DataFrame(rows) for name, rows in tables.items()},
    )
    fit = fitted(kept.falls, kept.ground)
    told = worth.measure_next(fit, kept.falls, kept.ground, seed=1, region=BASE)[1]
    return give(fit, kept.ground.lost, BASE), {w.what.key for w in told}


@pytest.fixture(scope="module")
def plain():
    """Two springs of pellets and a watch of last fall."""
    return given_by(counts=HAND_INS["stand"]["counts"][1:])


@pytest.mark.parametrize("way", HAND_INS)
def test_each_way_enters_by_a_hand_in_and_moves_the_take(way, plain):
    """A row or two in the family's files: what the herd can give is another number, and the way is offered no more."""
    before, offered = plain
    key = "measure lines" if way == "lines0" else f"measure {way}"
    assert key in offered
    told = dict(HAND_INS[way])
    if way not in ("stand", "lines0"):
        told["counts"] = [*told.get("counts", []), *HAND_INS["stand"]["counts"][1:]]
    after, left = given_by(**told)
    assert abs(after / before - 1) > 0.01, (before, after)
    if way != "lines0":
        assert key not in left


def test_more_lines_are_those_of_the_last_spring_with_a_smaller_error(monkeypatch):
    """The last spring's 100 plots at .30, not the first's 60: one line more .30 x sqrt(100/120), three .30 x
    sqrt(100/160).
    """
    seen = []
    monkeypatch.setattr(
        worth.imagined, "pellets", lambda h, new, one, region: seen.append(new) or np.zeros(worth.DRAWS)
    )
    ways((replace(BARE[0], pellets=replace(COUNT, plots=60)), *BARE[1:]))
    told = sorted({(new.plots, round(new.cv, 6)) for new in seen})
    assert told == [(100, 0.3), (120, round(0.3 * (100 / 120) ** 0.5, 6)), (160, round(0.3 * (100 / 160) ** 0.5, 6))]
