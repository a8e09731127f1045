"""The whole-tree account: parts sum to trees, ranges, brush and chips, printed shares."""

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.tree import stem
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.volume import volumes
from woodlot.wood import account, products, stick


def told(trees, **how):
    """Volumes, cut lists and account of a table of trees."""
    whole = volumes(trees, region=shipped("base"))
    bucked = stick.buck(whole, products.listed(shipped("lake_states")), region=shipped("base"))
    return whole, bucked, account.account(whole, bucked, **how, region=shipped("base"))


def one(dbh=14.0, height=68.0, species="sugar maple", **more):
    """One tree as a table."""
    return pd.DataFrame(
        {"dbh_in": [dbh], "height_ft": [height], "species": [species], **{k: [v] for k, v in more.items()}}
    )


def test_parts_sum_to_the_tree():
    """Wood, bark and limbs of the parts are the tree's; weights too, lighter only by rot and, when dead, by leaves.

    Two trees of every kind with bark, of drawn sizes, rot and life.
    """
    draw = np.random.default_rng(31)
    kinds = [s for s in shipped("base").species.listed if s not in shipped("base").species.without_bark] * 2
    cull = draw.choice([np.nan, 0.0, 10.0, 45.0, 100.0], len(kinds))
    columns = {"dbh_in": draw.uniform(3, 30, len(kinds)), "height_ft": draw.uniform(25, 100, len(kinds))}
    alive = draw.random(len(kinds)) < 0.5
    whole, _, made = told(pd.DataFrame({"species": kinds, **columns, "cull_pct": cull, "alive": alive}))
    sums = made.parts.groupby("stem")[["dry_lb", "air_dry_lb"]].sum()
    wood = made.parts[~made.parts["part"].isin(["bark", "leaves", "firewood from limbs", "fine tops and brush"])]
    assert (wood.groupby("stem")["cuft"].sum() <= whole["wood_cuft"] + 1e-9).all()
    mass = dry_lb_westfall_2024(columns["dbh_in"], columns["height_ft"], pd.Series(kinds), region=shipped("base"))
    heavy = mass["total_lb"] + np.where(alive, mass["foliage_lb"], 0.0)
    assert (sums["dry_lb"] <= heavy * (1 + 1e-9)).all()
    sound = ~(cull > 0)
    np.testing.assert_allclose(sums["dry_lb"][sound], heavy[sound], rtol=1e-9)
    assert (made.parts["dry_lb"] >= -1e-9).all()
    np.testing.assert_allclose(sums["air_dry_lb"], sums["dry_lb"] / 0.8)
    assert (made.parts["green_lb"] >= made.parts["dry_lb"] - 1e-9).all()


def test_more_diameter_never_gives_less_wood():
    """A thicker tree of one height holds more in all, and gives no less in pieces and stove wood together."""
    draw = np.random.default_rng(32)
    dbh, more, height = draw.uniform(5, 26, 60), draw.uniform(0.1, 3, 60), draw.uniform(40, 90, 60)
    kinds = draw.choice(["sugar maple", "red pine"], 60)
    pairs = pd.DataFrame({"dbh_in": [*dbh, *(dbh + more)], "height_ft": [*height] * 2, "species": [*kinds] * 2})
    _, _, made = told(pairs)
    less, thick = made.parts.groupby("stem")["cuft"].sum().to_numpy().reshape(2, 60)
    assert (thick > less).all()
    used = made.parts[~made.parts["part"].isin(["bark", "leaves", "stump", "fine tops and brush"])]
    less, thick = used.groupby("stem")["cuft"].sum().to_numpy().reshape(2, 60)
    assert (thick > less * 0.97).all()  # a step of 4 inches less may be reached by a thinner top


def test_stem_wood_agrees_with_the_volume_equation():
    """Pieces, stove, tip and stump of a stem are the equation's wood, to the last figure; the scale tells."""
    whole, bucked, made = told(one())
    scale = made.scaling.iloc[0]
    assert scale["scale"] == pytest.approx(scale["equation_cuft"] / scale["taper_cuft"])
    assert scale["equation_cuft"] == pytest.approx(whole["wood_cuft"].iloc[0] - whole["stump_cuft"].iloc[0])
    pieces = bucked.pieces()
    parts = made.parts.set_index("part")["cuft"]
    assert parts["sawlog"] + parts["pole"] + parts["post"] == pytest.approx(
        pieces["taper_cuft"].sum() * scale["scale"], rel=1e-9
    )
    assert 0.85 < scale["scale"] < 1.25


def test_a_stem_as_drawn_is_summed_to_its_tip_by_hand():
    """A stem of 12 in, 40 ft and power 1 (a cone above breast height) by fine sections against its sum of steps."""
    trees = one(12.0, 40.0, "red maple")
    stems = stick.stems(trees, region=shipped("base"))
    feet = np.linspace(1.0, 40.0, 200_001)
    dib = stem.diameter_in(stems.form, np.zeros(len(feet), dtype=int), feet)
    fine = float(np.trapezoid(np.pi / 576 * dib**2, feet))
    assert account._drawn(stems)[0] == pytest.approx(fine, rel=2e-3)


def test_dead_and_rotten_trees_give_no_logs_and_the_rot_is_told_apart():
    """A dead tree has no leaves and no pieces; 40 percent cull of an oak is 40 percent of stem wood, 0.54 as heavy."""
    _, _, dead = told(one(alive=False))
    parts = dead.parts.set_index("part")
    assert parts["dry_lb"]["leaves"] == 0.0
    assert parts["cuft"][["sawlog", "pole", "post"]].sum() == 0.0
    _, _, rotten = told(one(species="white oak", cull_pct=40.0))
    parts = rotten.parts.set_index("part")
    sound = parts["cuft"][["sawlog", "pole", "post", "firewood from stems"]].sum()
    assert parts["cuft"]["rot and hollow"] / (sound + parts["cuft"]["rot and hollow"]) == pytest.approx(0.4)
    per = parts["dry_lb"] / parts["cuft"]
    assert per["rot and hollow"] / per["stump"] == pytest.approx(0.54)


def test_an_account_that_does_not_add_up_stops():
    """Cut lists of thicker stems on thinner trees, or of other trees, are refused."""
    whole, bucked, _ = told(one())
    tight = whole.assign(wood_cuft=whole["wood_cuft"] * 0.5)
    tight["bark_cuft"] = np.nan
    with pytest.raises(InputError):
        account.account(tight, bucked, region=shipped("base"))
    with pytest.raises(InputError, match="2 trees but 1 stems"):
        account.account(pd.concat([whole, whole]), bucked, region=shipped("base"))


def test_the_check_can_fail(monkeypatch):
    """Were the tip left out, the parts would not sum to the tree, and the run would stop."""
    plain = account._stem_parts

    def without_tip(*args, **more):
        out = plain(*args, **more)
        out["tip"] = out["tip"] * 0.5
        return out

    monkeypatch.setattr(account, "_stem_parts", without_tip)
    with pytest.raises(InputError, match="the whole tree is"):
        told(one())


def test_totals_carry_their_ranges_and_cords():
    """Limbs and brush are ranges of assumptions; cords of the stove are cubic feet over the chosen 79."""
    _, _, made = told(pd.concat([one(), one(10.0), one(18.0, species="northern red oak")]))
    rows = made.totals.set_index("part")
    assert rows["kind"]["firewood from limbs"] == rows["kind"]["fine tops and brush"] == "assumptions"
    assert (rows["low_share"] < 1).all() and (rows["high_share"] > 1).all()
    stove = rows.loc[["firewood from stems", "firewood from limbs"]]
    assert stove["cords"].to_numpy() == pytest.approx(stove["cuft"].to_numpy() / 79)
    assert made.parts.groupby("part")["dry_lb"].sum()["bark"] == pytest.approx(rows["dry_lb"]["bark"])
    low, high = made.chips_cuyd
    assert 1.5 < high / low < 4


def test_brush_and_chips_by_hand():
    """60.3 solid cubic feet: 241 to 603 of pile; a cord: 79 x 2.5 / 27 = 7.3 to 79 x 2.86 / 27 = 8.4 cubic yards."""
    assert account.brush_pile_cuft(60.3, region=shipped("base")) == pytest.approx((241.2, 603.0))
    assert account.chips_cuyd(79.0, region=shipped("base")) == pytest.approx((7.31, 8.37), abs=0.005)
    assert account.limb_share(12.0, "sugar maple", 3.0, region=shipped("base"))[0] == pytest.approx(1 - 3 / 5.4)
    assert account.limb_share(6.0, "sugar maple", 3.0, region=shipped("base"))[0] == 0.0
    assert account.limb_share(16.0, "red pine", 3.0, region=shipped("base"))[0] == 0.0


def test_what_is_left_is_the_accounts_own():
    """Firewood of stems and limbs, brush and chips with their ends in order, and the green pounds of all parts."""
    _, _, made = told(pd.concat([one(), one(10.0)]))
    left, rows = made.left(), made.totals.set_index("part")
    assert (left.stem_firewood_cords, left.limb_firewood_cords) == tuple(
        rows.loc[["firewood from stems", "firewood from limbs"], "cords"]
    )
    assert (left.brush_pile_cuft_low, left.brush_pile_cuft_high) == made.brush_pile_cuft
    assert (left.chips_cuyd_low, left.chips_cuyd_high) == made.chips_cuyd
    assert left.green_lb == rows["green_lb"].sum() and left.brush_solid_cuft == made.brush_solid_cuft
