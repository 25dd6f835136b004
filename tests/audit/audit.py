#!/usr/bin/python3
"""Audits a run folder: recomputes every balance and every range of plan.json from the audit tables.

usage: audit.py RUN_FOLDER [--without-draws] [--without-tables] [--first]

Checks, to one unit of the last decimal that plan.json keeps (1e-6; shares and chances 1e-9) or 1e-9 of larger figures:
the balances of every scenario and between the tables (balances.py); years, regions, contracts, supply (supply_blocks.py);
need, cover, purchases, decisions, months, stock, cost (programme_blocks.py); the figures that rest on random draws
(draws.py; some seconds, left out with --without-draws); the tables that show the plan (plan_tables.py; left out with
--without-tables). --first stops after the first of these parts in which something differs.
Exit 0 and a count if all hold; exit 1 with the first differences; exit 2 if the folder cannot be read.
"""
import json
import sys

import balances
import draws
import plan_tables
import programme_blocks
import supply_blocks
from figures import Check, Run

SHOWN = 20


def manifest(check, run):
    """manifest.json speaks of the same run."""
    path = run.folder / "manifest.json"
    if not path.exists():
        return
    with open(path, encoding="utf-8") as file:
        said = json.load(file)
    check.equal(run.plan["inputs"], said["inputs"], "inputs and manifest")
    check.equal(run.plan["season"]["seed"], said["seed"], "seed and manifest")
    check.equal(run.plan["rickyard"]["version"], said["rickyard"]["version"], "version and manifest")
    for year, weight in zip(run.plan["years"], said["year_weights"]):
        check.true(year["year"] == weight["year"], "years and manifest")
        check.near(year["weight"], weight["weight"], f"manifest weight of {year['year']}", 9)


def main(arguments):
    folders = [a for a in arguments if not a.startswith("--")]
    if len(folders) != 1:
        print(__doc__)
        return 2
    try:
        run = Run(folders[0])
    except (OSError, ValueError, KeyError) as error:
        print(f"{folders[0]} cannot be read: {error}")
        return 2
    check = Check()
    parts = [manifest, programme_blocks.all_programme, balances.all_balances, supply_blocks.all_supply]
    parts += [plan_tables.all_tables] * ("--without-tables" not in arguments) + [draws.all_draws] * ("--without-draws" not in arguments)
    for part in parts:
        if check.failures and "--first" in arguments:
            break
        try:
            part(check, run)
        except (KeyError, IndexError, TypeError, ValueError, ZeroDivisionError, StopIteration, OSError) as error:
            check.true(False, f"{part.__module__}.{part.__name__} cannot go on: {type(error).__name__} {error}")
    for words in check.failures[:SHOWN]:
        print("differs:", words)
    if len(check.failures) > SHOWN:
        print(f"and {len(check.failures) - SHOWN} more")
    print(f"{check.held} figures and balances hold, {len(check.failures)} do not")
    return 1 if check.failures or not check.held else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
