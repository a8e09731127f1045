"""Colors can be told apart, by every eye and on gray paper.

The distance is CIEDE2000 (Sharma, Wu and Dalal 2005), the simulation of color blindness Machado, Oliveira and Fernandes
2009 at full severity; both are written out here so that the package needs no library for them.
"""

from itertools import combinations, pairwise

import numpy as np
import pytest

from woodlot.map import paint

#: Machado and others 2009, table of severity 1.0 (from memory of the published matrices; rows sum to 1 below).
MACHADO = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}


def linear(color):
    """Linear light of a #RRGGBB color."""
    c = np.array([int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def lab(light):
    """CIELAB (D65) of linear light."""
    xyz = (
        np.array(
            [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.072175], [0.0193339, 0.119192, 0.9503041]]
        )
        @ light
    )
    t = xyz / np.array([0.95047, 1.0, 1.08883])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def ciede2000(one, two):
    """Color difference of two CIELAB colors."""
    (l1, a1, b1), (l2, a2, b2) = one, two
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(mean**7 / (mean**7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    dh = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    dl, dc, dh2 = l2 - l1, c2 - c1, 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2))
    lm, cm = (l1 + l2) / 2, (c1 + c2) / 2
    hm = h1 + h2 if c1 * c2 == 0 else (h1 + dh / 2) % 360
    t = (
        1
        - 0.17 * np.cos(np.radians(hm - 30))
        + 0.24 * np.cos(np.radians(2 * hm))
        + 0.32 * np.cos(np.radians(3 * hm + 6))
        - 0.2 * np.cos(np.radians(4 * hm - 63))
    )
    sl = 1 + 0.015 * (lm - 50) ** 2 / np.sqrt(20 + (lm - 50) ** 2)
    sc, sh = 1 + 0.045 * cm, 1 + 0.015 * cm * t
    turn = 60 * np.exp(-(((hm - 275) / 25) ** 2))
    rt = -np.sin(np.radians(turn)) * 2 * np.sqrt(cm**7 / (cm**7 + 25.0**7))
    return float(np.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + (dh2 / sh) ** 2 + rt * (dc / sc) * (dh2 / sh)))


def views(color):
    """CIELAB of a color as four kinds of eye see it."""
    light = linear(color)
    seen = {"normal": light} | {k: np.clip(np.array(m) @ light, 0, 1) for k, m in MACHADO.items()}
    return {k: lab(v) for k, v in seen.items()}


@pytest.mark.parametrize(
    ("one", "two", "distance"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((90.8027, -2.0831, 1.441), (91.1528, -1.6435, 0.0447), 1.4441),
    ],
)
def test_the_distance_is_the_one_of_sharma_2005_as_printed(one, two, distance):
    """Pairs of Sharma, Wu and Dalal 2005, table 1 (from memory of that table): four decimals printed."""
    assert ciede2000(np.array(one), np.array(two)) == pytest.approx(distance, abs=5e-5)


def test_the_simulation_keeps_white_white():
    """Each row of the three matrices sums to one: white paper stays white."""
    for matrix in MACHADO.values():
        assert np.sum(matrix, axis=1) == pytest.approx([1, 1, 1], abs=2e-6)


@pytest.mark.parametrize("eye", ["normal", "protan", "deutan", "tritan"])
def test_covers_can_be_told_apart(eye):
    """Every pair of cover fills is 12 or more apart in every view."""
    seen = {k: views(p.fill)[eye] for k, p in paint.COVERS.items()}
    least = min((ciede2000(seen[a], seen[b]), a + b) for a, b in combinations(seen, 2))
    assert least[0] >= 12, least


@pytest.mark.parametrize("eye", ["normal", "protan", "deutan", "tritan"])
@pytest.mark.parametrize("question", sorted(paint.STEPS))
def test_steps_can_be_told_apart_and_run_one_way(question, eye):
    """Neighboring steps are 12 or more apart, and lightness runs one way so that gray paper works."""
    seen = [views(p.fill)[eye] for p in paint.STEPS[question]]
    assert min(ciede2000(a, b) for a, b in pairwise(seen)) >= 12
    falls = [b[0] < a[0] for a, b in pairwise(seen)]
    assert all(falls) or not any(falls)


def test_letters_can_be_read_on_every_fill():
    """Letters have a contrast of 4.7 or more on their fill."""
    every = [*paint.COVERS.values(), paint.OTHER, *(p for steps in paint.STEPS.values() for p in steps)]
    worst = min((paint.contrast(p.fill, p.ink), p.fill) for p in every)
    assert worst[0] >= 4.7, worst


def test_contrast_by_hand():
    """Black on white is (1 + .05) / (0 + .05) = 21; a color on itself is 1."""
    assert paint.contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert paint.contrast(paint.INK, paint.INK) == pytest.approx(1.0)


def test_evergreens_carry_white_letters():
    """Dark evergreens S, C, P and E have white letters, and T in which they stand; leaf trees ink."""
    white = {k for k, p in paint.COVERS.items() if p.ink == "#FFFFFF"}
    assert white == {"S", "C", "P", "E", "T"}
