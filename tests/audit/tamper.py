#!/usr/bin/python3
"""Shows that audit.py sees a single changed figure.

usage: tamper.py RUN_FOLDER WORK_FOLDER [EVERY]

EVERY n takes every n-th place only: for a large run, where one audit takes seconds, beside a small one that tries them all.

Copies the run, checks that the copy passes, then changes one figure at a time in more than twenty different places and
expects audit.py to fail on each. The change is one part in a thousand, or 0.001 where the figure is nought: small beside
any figure that matters, large beside rounding. Exit 0 if every change was seen.
"""
import csv
import functools
import io
import json
import pathlib
import shutil
import subprocess
import sys

AUDIT = pathlib.Path(__file__).resolve().parent / "audit.py"

# Table, column, and which row: the one whose figure (or that of another column) is largest, so that the figure matters.
TABLE_PLACES = [
    ("scenarios", "offered_t"), ("scenarios", "qualifying_t"), ("scenarios", "rejected_nitrogen_t"), ("scenarios", "n_pct"), ("scenarios", "weight"),
    ("scenarios", "demand_factor"), ("scenarios", "n_accepted_pct"), ("scenarios", "band1_t"), ("flows", "t"), ("flows", "t_equiv"), ("flows", "n_pct"), ("stock", "arrivals_t"),
    ("stock", "closing_t"), ("stock", "used_t"), ("needs", "need_t"), ("costs", "amount"), ("accounts", "accepted_t"), ("accounts", "cost"),
    ("purchases", "t"), ("purchases", "price_per_t"), ("unmet", "unmet_t_equiv"), ("forecast", "loss_water_t_ha"), ("forecast", "rain_mm"),
    ("forecast", "attainable_t_ha"), ("forecast", "late_share"), ("causes", "t"),
    ("regions", "yield_t_ha_p50"), ("blend_by_month", "share_mean"), ("cost_ranges", "amount_p90"),
]  # fmt: skip

# Path into plan.json; a number picks a list entry, "largest" the entry with the largest figure below it.
PLAN_PLACES = [
    ("cover", "by_month", 0, "chance_met"), ("dependence", "share"), ("carbon", "by_source", 0, "t"),
    ("supply", "qualifying_t", "p10"), ("supply", "by_year", 0, "qualifying_t"), ("regions", 0, "yield_t_ha", "p50"), ("regions", 0, "by_year", 1, "n_pct"),
    ("regions", 0, "qualifying_share", "p90"), ("cover", "chance_covered"), ("cover", "unmet_t", "mean"), ("cover", "first_unmet_month", "never"),
    ("cover", "backup_t", "p90"), ("months", 0, "need_t"), ("months", 0, "unmet_by_year_t", 0), ("months", 0, "blend", 0, "share", "mean"),
    ("months", 0, "blend", 0, "by_year_t", 0), ("months", 0, "n_pct", "p50"), ("stock", 0, "closing_t", "mean"), ("cost", "total", "p50"), ("cost", "cvar"),
    ("cost", "parts", "storage", "p90"), ("contracts", 0, "accepted_t", "p10"), ("need", "barley_t"), ("years", 0, "weight"), ("purchases", 0, "price", "mean"),
    ("decisions", 0, "t"), ("limit_used", 0, "limit_n_pct"), ("regions", 0, "causes", "water_t"), ("regions", 0, "causes", "other_t"),
    ("regions", 0, "by_year", 1, "causes", "nitrogen_t"), ("regions", 0, "by_year", 1, "causes", "other_t"), ("regions", 0, "by_year", 1, "harvest_weather", "moisture_pct"),
    ("totals", "need_t"), ("totals", "opening_stock_t"), ("totals", "unmet_by_year_t", 0), ("totals", "unmet_by_kind_t", 0, "unmet_t"), ("totals", "blend", 0, "share"),
]  # fmt: skip


def changed(value):
    return value + max(abs(value) * 1e-3, 1e-3)


def audit(folder, *options):
    done = subprocess.run([sys.executable, "-B", AUDIT, folder, "--without-draws", *options], capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


@functools.cache
def weightless(folder):
    """Scenarios that decide nothing, because a seasonal outlook gives their year no weight: their figures may go unseen."""
    with open(folder / "scenarios.csv", newline="", encoding="utf-8") as file:
        return {row["scenario"] for row in csv.DictReader(file) if float(row["weight"]) == 0}


def table_change(folder, name, column):
    """The new text of a table with one figure changed, or None where the run has no such figure."""
    path = folder / f"{name}.csv"
    if not path.exists():
        return None
    with open(path, newline="", encoding="utf-8") as file:
        reader = csv.DictReader(file)
        columns, rows = reader.fieldnames, list(reader)
    heavy = [r for r in rows if r[column] != "" and not (r.get("scenario") in weightless(folder) or r.get("weight") == "0")]
    if not heavy:
        return None
    row = max(heavy, key=lambda r: abs(float(r[column])))
    row[column] = repr(changed(float(row[column])))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns)
    writer.writeheader()
    writer.writerows(rows)
    return path, out.getvalue()


def plan_change(folder, place):
    path = folder / "plan.json"
    plan = json.loads(path.read_text(encoding="utf-8"))
    node = plan
    try:
        for step in place[:-1]:
            node = node[step]
        if node[place[-1]] is None:
            return None
        node[place[-1]] = changed(node[place[-1]])
    except (IndexError, KeyError):
        return None
    return path, json.dumps(plan, indent=2) + "\n"


def main(arguments):
    if len(arguments) not in (2, 3):
        print(__doc__)
        return 2
    folder, work = map(pathlib.Path, arguments[:2])
    every = int(arguments[2]) if len(arguments) == 3 else 1
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(folder, work)
    code, words = audit(work)
    if code != 0:
        print("the run does not pass as it is:\n" + words)
        return 1
    tried, missed = 0, []
    places = [(f"{name}.csv {column}", table_change(work, name, column)) for name, column in TABLE_PLACES]
    places += [("plan.json " + ".".join(map(str, place)), plan_change(work, place)) for place in PLAN_PLACES]
    for words, change in places[::every]:
        if change is None:
            print("not in this run:", words)
            continue
        path, text = change
        before = path.read_bytes()
        path.write_bytes(text.encode("utf-8"))
        # The tables that show the plan repeat its figures; a changed plan.json must be seen by recomputing it.
        code, _ = audit(work, "--first", *["--without-tables"] * (path.name == "plan.json"))
        path.write_bytes(before)
        tried += 1
        if code != 1:
            missed.append(words)
            print(f"not seen (exit {code}):", words)
    print(f"{tried} changes, {tried - len(missed)} seen")
    return 0 if not missed and tried >= 20 // every else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
