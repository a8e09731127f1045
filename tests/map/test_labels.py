"""Labels, tags and deer marks keep off each other."""

from itertools import combinations

import numpy as np
import pytest
from shapely.geometry import box

from woodlot.map import labels
from woodlot.map.drawing import Sheet


def test_hits_by_hand():
    """A box that ends at 10 and one that begins at 10.5 are nearer than 1; one that begins at 11 is not."""
    taken = np.array([[0.0, 0.0, 10.0, 10.0]])
    assert labels.hits(np.array([[10.5, 0, 20, 10], [11, 0, 20, 10], [3, 3, 4, 4]]), taken).tolist() == [
        True,
        False,
        True,
    ]
    assert labels.hits(np.array([[0, 0, 1, 1]]), np.zeros((0, 4))).tolist() == [False]


def test_a_tag_stands_above_then_below_then_right_then_left():
    """With the sides above, below and right taken one after another, the next free one is used; then none is left."""
    walls = [(48, 20, 52, 30), (48, 70, 52, 80), (80, 48, 90, 52), (10, 48, 20, 52)]
    taken, found = np.zeros((0, 4)), []
    for wall in walls:
        sides, _ = labels.tag_boxes([(50.0, 50.0)], taken)
        found.append(sides[0])
        taken = np.vstack([taken, wall])
    assert found == ["above", "below", "right", "left"]
    assert labels.tag_boxes([(50.0, 50.0)], taken)[0] == ["on"]
    assert labels.tag_boxes([(50.0, 50.0)], np.vstack([taken, (40, 40, 60, 60)]))[0] == [None]


def test_words_stand_in_the_middle_of_a_square_by_hand():
    """In an empty 100 x 100 square the word's center is the point farthest from the edge: (50, 50)."""
    square = labels.Outlines([box(0, 0, 100, 100)])
    x, y, which = labels.word_boxes(square, [((40.0, 40.0), (20.0, 20.0))], np.zeros((0, 4)))[0]
    assert (x, y) == pytest.approx((50, 50), abs=1e-9)
    assert which == 0


def test_words_take_the_small_size_or_none_where_there_is_no_room():
    """A 30-pixel square holds only the small size; a 10-pixel one holds neither."""
    sizes = [((40.0, 40.0), (20.0, 20.0))] * 2
    spots = labels.word_boxes(labels.Outlines([box(0, 0, 30, 30), box(40, 0, 50, 10)]), sizes, np.zeros((0, 4)))
    assert spots[0][2] == 1
    assert spots[1] is None


def plainly(shapes, sizes, taken):
    """The rule of ``word_boxes`` one point after the other: largest shape first, large words first, roomiest first."""
    out = [None] * len(shapes)
    for i in sorted(range(len(shapes)), key=lambda k: (-shapes[k].area, k)):
        tries = [(which, size, at) for which, size in enumerate(sizes[i]) for at in labels.spots(shapes[i])]
        for which, (w, h), (x, y) in tries:
            own = (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
            free = all(
                own[0] >= t[2] + 1 or own[2] <= t[0] - 1 or own[1] >= t[3] + 1 or own[3] <= t[1] - 1 for t in taken
            )
            if free and shapes[i].contains(box(*own)):
                out[i], taken = (x, y, which), [*taken, own]
                break
    return out


def test_words_stand_where_trying_every_point_puts_them():
    """Against each point tried by itself, on shapes with a notch, among ground taken already, under two questions."""
    draw = np.random.default_rng(11)
    shapes = [
        box(0, 0, 90, 70).difference(box(30, 0, 45, 50)),
        box(95, 0, 180, 60),
        box(0, 80, 60, 100),
        box(70, 80, 75, 85),
        box(20, 30, 130, 95),
    ]
    drawn, seen = labels.Outlines(shapes), set()
    for _ in range(25):
        corners = draw.uniform((0, 0), (170, 90), (6, 2))
        taken = np.hstack([corners, corners + draw.uniform(3, 25, (6, 2))])
        sizes = [((50.0, 44.0), (40.0, 26.0), (18.0, 17.0)), ((61.5, 44.0), (30.0, 26.0), (18.0, 17.0))] * 3
        told = labels.word_boxes(drawn, sizes, taken)
        assert told == plainly(shapes, sizes, taken.tolist())
        seen |= {None if t is None else t[2] for t in told}
    assert seen == {0, 1, 2, None}


def test_the_parts_of_a_shape_hold_each_of_its_points_once():
    """However many points there are: none, as many as the first part, one more, and a full grid."""
    for many in (0, 40, 41, 441):
        points = np.arange(many)
        assert np.concatenate([points[part] for part in labels.PARTS]).tolist() == points.tolist()


def test_what_fits_into_a_stand_is_worked_out_once(monkeypatch):
    """Two questions with the same words on one stand, with other ground taken, ask for its boxes once."""
    asked = []
    once = labels.Outlines._inside
    monkeypatch.setattr(
        labels.Outlines,
        "_inside",
        staticmethod(lambda shape, points, w, h: asked.append(w) or once(shape, points, w, h)),
    )
    drawn = labels.Outlines([box(0, 0, 100, 100)])
    for taken in (np.zeros((0, 4)), np.array([[60.0, 60.0, 70.0, 70.0]])):
        labels.word_boxes(drawn, [((40.0, 20.0), (20.0, 20.0))], taken)
    assert asked == [40.0]


def _boxes(drawn, parcel_id, long_px, question):
    parcel = next(p for p in drawn["parcels"] if p["id"] == parcel_id)
    (south, west), (north, east) = parcel["bounds"]
    sheet = Sheet.fit((west, south, east, north), long_px)
    room = drawn["room"][parcel_id][str(long_px)]
    out = []
    deer = [p for p in drawn["deer"] if p["parcel"] == parcel_id]
    for p in deer:
        x, y = sheet.px(p["lon"], p["lat"])
        r = 5 if room["dots"] else 10
        out.append((x - r, y - r, x + r, y + r))
    for i, right, down in room["shares"]:
        x, y = sheet.px(deer[i]["lon"], deer[i]["lat"])
        if right or down:
            out.append((x + right - 18, y + down - 10, x + right + 18, y + down + 10))
    for i, side in room["tags"]:
        note = drawn["notes"][i]
        out.append(labels.tag_box(*sheet.px(note["lon"], note["lat"]), side))
    stands = {s["id"]: s for s in drawn["stands"]}
    for sid, lon, lat, which in room["words"][question]:
        x, y = sheet.px(lon, lat)
        big = stands[sid]["marks"][question][1]
        w = len(big) * (14.5 if len(big) <= 4 else 8.6)
        h = 40 if which == 0 else 22
        out.append((x - w / 2, y - h / 2, x + w / 2, y + h / 2))
    return np.array(out, dtype=float).reshape(-1, 4)


def test_nothing_overlaps_at_any_scale(drawn):
    """Deer marks, tags and words of every parcel, question and scale keep off each other; many are placed."""
    count = 0
    for parcel in drawn["parcels"]:
        for scale in drawn["room"][parcel["id"]]:
            for question in drawn["questions"]:
                boxes = _boxes(drawn, parcel["id"], int(scale), question["key"])
                count += len(boxes)
                for a, b in combinations(boxes, 2):
                    apart = a[2] <= b[0] + 0.3 or b[2] <= a[0] + 0.3 or a[3] <= b[1] + 0.3 or b[3] <= a[1] + 0.3
                    assert apart, (parcel["id"], scale, question["key"], a, b)
    assert count > 500


def test_every_stand_has_its_words_at_the_wide_scale(drawn):
    """On the wide page no stand of the made-up place is left without its answer."""
    for parcel in drawn["parcels"]:
        for question in drawn["questions"]:
            placed = {w[0] for w in drawn["room"][parcel["id"]]["560"]["words"][question["key"]]}
            assert placed == {s["id"] for s in drawn["stands"] if s["parcel"] == parcel["id"]}


def test_words_stay_inside_their_stand(drawn):
    """Each word's center lies in its own stand."""
    from shapely.geometry import Point, shape

    for parcel in drawn["parcels"]:
        for room in drawn["room"][parcel["id"]].values():
            for words in room["words"].values():
                for sid, lon, lat, _ in words:
                    assert shape(drawn["shapes"]["stands"][sid]).contains(Point(lon, lat))
