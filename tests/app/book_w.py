"""Worked book W (trade notes, section 5) planned without rasters; figures read from plan.json."""
import shutil

import support

# Qualifying tonnes by region A-D and total. Trade notes, section 5; parts are rounded to 1 t, so 0.5 t each.
BOOK = {
    None: ((2501, 2034, 1500, 1453), 7486),
    "dry": ((1412, 1057, 679, 755), 3902),
    "dry-1.75": ((2068, 1646, 1170, 1176), 6061),
    "dry-1.85": ((2402, 1982, 1502, 1416), 7302),
    "wet-harvest": ((2084, 1720, 1303, 1228), 6335),
}


def main():
    args = support.arguments()
    check = support.Checks()
    season = support.fresh(args.work) / "w"
    shutil.copytree(support.HERE / "book_w", season)
    for case, (parts, total) in BOOK.items():
        more = ["--case", case] if case else []
        plan, _ = support.plan(args.rickyard, season / "season.toml", *more)
        for region, expected in zip(plan["regions"], parts):
            check.near(region["qualifying_t"]["mean"], expected, 0.51, f"{case or 'mean year'}: region {region['region']}")
        check.equal(len(plan["regions"]), 4, "four regions")
        check.near(plan["supply"]["qualifying_t"]["mean"], total, 0.51, f"{case or 'mean year'}: total")
        if case is None:
            check.near(sum(r["offered_t"]["mean"] for r in plan["regions"]), 9021, 0.51, "all harvested grain")
            check.near(sum(r["planted_ha"] for r in plan["regions"]), 1500, 1e-9, "planted hectares")
    check.done()


main()
