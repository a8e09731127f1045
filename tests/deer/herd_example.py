"""The record of the herd model page's example: six falls, five springs of pellets, fawns, a unit's kill."""

from woodlot.deer import herd_fit
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.winter import herd_loss

#: Fall, winter's points, groups next spring, error of their mean, fawns and does next fall, family's does and bucks.
ROWS = (
    (2021, 55, 17, 0.31, (24, 38), 0, 1),
    (2022, 40, 19, 0.28, (25, 35), 1, 1),
    (2023, 98, 11, 0.36, None, 0, 1),
    (2024, 62, 12, 0.34, (11, 33), 0, 0),
    (2025, 48, 14, 0.31, (18, 31), 0, 1),
)
DAYS = 0.00115394 * 180
GROUND = herd_fit.Ground(230.0, 1614.0, 0.15, kill=(0.45, 2.1))


def record(region, groups=1.0, last_winter=None, last_fawns=None):
    """The falls; groups times so many; the last winter and the last fawns other than they were."""
    falls, before = [], None
    for year, points, found, cv, young, does, bucks in ROWS:
        loss = herd_loss(points if year < 2025 or last_winter is None else last_winter, "wisconsin", region)
        count = PelletCount(found * groups, 100, found * groups / 100, DAYS, cv)
        falls.append(herd_fit.Fall(year, (does, bucks), loss, count, fawns=before))
        before = young if year < 2025 or last_fawns is None else last_fawns
    return (*falls, herd_fit.Fall(2026, fawns=before))
