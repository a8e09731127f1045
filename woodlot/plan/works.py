"""Jobs of a schedule: consecutive winters in one stand are one job, however many entries the plan makes of it.

A family works through a stand winter by winter and wants to be told so once, not once a winter.

works   entries -> one row a job
"""

import pandas as pd

__all__ = ["COLUMNS", "works"]

COLUMNS = [
    "stand_id",
    "first_winter",
    "last_winter",
    "winters",
    "acres",
    "cords",
    "stove_cords",
    "acres_a_winter",
    "cords_a_winter",
    "stove_cords_a_winter",
    "days_a_winter",
]


def works(entries: pd.DataFrame, start: int, step: int) -> pd.DataFrame:
    """Jobs, the soonest first: years in which the first and the last winter begin, how many, and the mean of a winter.

    entries: stand_id, period, acres, cords, stove_cords, days; start: year in which the first winter begins; step:
    years in a period. No acre is entered in two winters of one job, since each acre of a stand has one way.
    """
    if not len(entries):
        return pd.DataFrame(columns=COLUMNS)
    rows = entries.sort_values(["stand_id", "period"], kind="stable")
    new = (rows["stand_id"] != rows["stand_id"].shift()) | (rows["period"] != rows["period"].shift() + 1)
    jobs = rows.assign(job=new.cumsum()).groupby("job")
    out = jobs.agg(
        stand_id=("stand_id", "first"),
        first=("period", "min"),
        last=("period", "max"),
        acres=("acres", "sum"),
        cords=("cords", "sum"),
        stove_cords=("stove_cords", "sum"),
        days=("days", "sum"),
    )
    out["winters"] = step * (out["last"] - out["first"] + 1)
    out["first_winter"] = start + step * out["first"]
    out["last_winter"] = start + step * (out["last"] + 1) - 1
    for name in ("acres", "cords", "stove_cords", "days"):
        out[f"{name}_a_winter"] = out[name] / out["winters"]
    order = ["first_winter", "cords"]
    return out.sort_values(order, ascending=[True, False], kind="stable").reset_index(drop=True)[COLUMNS]
