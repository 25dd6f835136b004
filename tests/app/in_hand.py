"""The demo's season of 2026 as it looked on 1 March and on 15 June 2026: its own weather so far, its sowing dates, its declared hectares."""
import csv
import re
import shutil

import support

CROP = 2026
REGIONS = ("gruvnish", "mirrowdale", "pennuld", "brumsay")


def a_year_back(text):
    return re.sub(r"\b20(\d\d)-(\d\d)\b", lambda m: f"20{int(m[1]) - 1:02d}-{m[2]}", text)


def rows_of(path):
    with path.open(newline="") as file:
        return list(csv.DictReader(file))


def write_rows(path, rows):
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def season_of_2026(demo, folder):
    """The demo, one year earlier and with fewer regions. Its archive holds all of 2026; a plan may read it up to as_of only."""
    shutil.copytree(demo, folder, ignore=shutil.ignore_patterns("runs"))
    for name in ("contracts", "backups", "demand", "prices", "stock"):
        path = folder / f"{name}.csv"
        path.write_text(a_year_back(path.read_text()))
    stock = rows_of(folder / "stock.csv")
    for row in stock:
        row["crop_year"] = CROP - 1
    write_rows(folder / "stock.csv", stock)
    write_rows(folder / "contracts.csv", [row for row in rows_of(folder / "contracts.csv") if row["region"] in REGIONS])
    write_rows(folder / "history.csv", [row for row in rows_of(folder / "history.csv") if int(row["crop_year"]) < CROP])


def set_as_of(folder, as_of):
    text = (folder / "season.toml").read_text().split("[[case]]")[0]
    text = re.sub(r"crop_year = .*", f"crop_year = {CROP}", text)
    text = re.sub(r"as_of = .*", f'as_of = {as_of}\nplan_from = "2026-07"', text, count=1) if "plan_from" not in text else re.sub(r"as_of = .*", f"as_of = {as_of}", text)
    if "[parameters]" not in text:
        text += "\n[parameters]\nsupply_draws_per_year = 40\n"
    (folder / "season.toml").write_text(text)
    # The demand before July is past on 15 June; both plans look at the same months.
    demand = [row for row in rows_of(folder / "demand.csv") if row["month"] >= "2026-07"]
    write_rows(folder / "demand.csv", demand)


def width(span):
    return span["p90"] - span["p10"]


def main():
    args = support.arguments()
    check = support.Checks()
    folder = support.fresh(args.work) / "season"
    season_of_2026(args.demo, folder)

    set_as_of(folder, "2026-03-01")
    march, _ = support.plan(args.rickyard, folder)
    set_as_of(folder, "2026-06-15")
    june, _ = support.plan(args.rickyard, folder)

    for document, known in ((march, "2026-03-01"), (june, "2026-06-15")):
        check.equal(document["season"].get("weather_known_through"), known, "the plan says how far the weather is known")
        check.true(CROP not in [y["year"] for y in document["years"]], "the season in hand is not its own past")
        check.equal(len(document["years"]), 29, "the other seasons of the archive remain")
    # Story L7: the range on 15 June is narrower than in March; two main drivers are named.
    check.true(width(june["supply"]["qualifying_t"]) < width(march["supply"]["qualifying_t"]), "qualifying tonnes: June knows more than March")
    for early, late in zip(march["regions"], june["regions"]):
        check.true(width(late["yield_t_ha"]) < width(early["yield_t_ha"]), f"{late['region']}: the yield's range is narrower in June")
        check.equal(len(late["drivers"]), 2, f"{late['region']}: two main drivers")
        check.equal(len({year["sown"] and year["sown"][5:] for year in late["by_year"]}), 1, f"{late['region']}: sown by one spring in all years")

    rows = rows_of(folder / "contracts.csv")
    for row in rows:
        row["sown"], row["declared_ha"] = ("2026-04-20", "700") if row["region"] == "mirrowdale" else ("", "")
    write_rows(folder / "contracts.csv", rows)
    told, _ = support.plan(args.rickyard, folder)
    region = next(r for r in told["regions"] if r["region"] == "mirrowdale")
    check.equal(set(region["sown"].values()), {"2026-04-20"}, "the known sowing date stands in every year")
    check.near(region["planted_ha"], 700, 1e-9, "declared hectares replace the planned ones")
    before = next(r for r in june["regions"] if r["region"] == "mirrowdale")
    check.true(region["yield_t_ha"]["mean"] != before["yield_t_ha"]["mean"], "and the date moves the yield")
    check.done()


main()
