"""The demo archipelago as a buyer would plan it: what it must show, the same bytes on any threads, audited and validated."""
import json
import subprocess
import sys

import support

AUDIT = support.ROOT / "tests" / "audit"
SCHEMA = support.ROOT / "io" / "plan_schema.json"


def same_bytes(check, folders):
    first = folders[0]
    names = sorted(p.name for p in first.iterdir())
    for other in folders[1:]:
        check.equal(sorted(p.name for p in other.iterdir()), names, "the same files in every run")
        for name in names:
            if name in ("manifest.json",):
                continue
            check.true((first / name).read_bytes() == (other / name).read_bytes(), f"{name} is the same bytes on any number of threads")


def audited(check, folder, work):
    done = subprocess.run([sys.executable, AUDIT / "audit.py", folder], capture_output=True, text=True, check=False)
    check.true(done.returncode == 0, "audit.py recomputes every balance and range:\n" + done.stdout[-2000:] + done.stderr[-2000:])
    done = subprocess.run([sys.executable, AUDIT / "tamper.py", folder, work, "6"], capture_output=True, text=True, check=False)
    check.true(done.returncode == 0, "audit.py fails on every copy with one figure changed, every sixth place of those that audit_sample tries:\n" + done.stdout[-2000:] + done.stderr[-2000:])


def validated(check, folder):
    import jsonschema
    document = json.loads((folder / "plan.json").read_text())
    schema = json.loads(SCHEMA.read_text())
    problems = list(jsonschema.Draft202012Validator(schema).iter_errors(document))
    check.true(not problems, f"plan.json follows its schema: {problems[:3]}")


def year_totals(plan):
    """Per weather year: need, backups and unmet of the whole plan, and unmet of claim lines, in reference tonnes."""
    backups = {s["source"] for s in plan["purchases"]}
    years = [y["year"] for y in plan["years"]]
    totals = {year: {"need": 0.0, "backup": 0.0, "unmet": 0.0} for year in years}
    unmet_by_line = {}
    for month in plan["months"]:
        for i, year in enumerate(years):
            totals[year]["need"] += month["need_t"]
            totals[year]["unmet"] += month["unmet_by_year_t"][i]
            unmet_by_line.setdefault(month["line"], {}).setdefault(year, 0.0)
            unmet_by_line[month["line"]][year] += month["unmet_by_year_t"][i]
            for part in month["blend"]:
                if part["source"] in backups:
                    totals[year]["backup"] += part["by_year_t"][i]
    return totals, unmet_by_line


def shows(check, plan, claim_line):
    totals, unmet_by_line = year_totals(plan)
    supply = {y["year"]: y["qualifying_t"] for y in plan["supply"]["by_year"]}
    middle = sorted(supply, key=supply.get)[len(supply) // 2]
    need = totals[middle]["need"]
    check.near(totals[middle]["unmet"], 0, 1e-3 * need, f"unmet in the P50 year ({middle})")
    check.true(totals[middle]["backup"] < 0.15 * need, f"backups in the P50 year {middle}: {totals[middle]['backup']:.0f} t of {need:.0f}")
    rain = {y["year"]: y["rain_mm"] for y in plan["years"]}
    kinds = {y["year"]: y["kind"] for y in plan["years"]}
    check.equal(len(rain), 30, "thirty weather years")
    check.equal(sorted(kinds.values()).count("dry"), 10, "ten dry years")
    driest = sorted(supply, key=supply.get)[:3]
    for year in driest:
        share = (totals[year]["backup"] + totals[year]["unmet"]) / totals[year]["need"]
        check.true(share > 0.25, f"{year}: backups and unmet are {100 * share:.0f} % of need")
        check.equal(kinds[year], "dry", f"{year} is a dry year")
    check.true(any(unmet_by_line[claim_line][year] > 1 for year in driest), "the claim line is short in at least one of the three driest years")
    swing = {}
    for month in plan["months"]:
        shares = {}
        for part in month["blend"]:
            shares[part["origin"]] = shares.get(part["origin"], 0) + (part["share"]["mean"] or 0)
        if month["line"] != claim_line and month["need_t"] > 0:
            for origin in {p["origin"] for m in plan["months"] for p in m["blend"]}:
                swing.setdefault(origin, []).append(shares.get(origin, 0))
    wide = [origin for origin, shares in swing.items() if max(shares) - min(shares) > 0.05]
    check.true(len(wide) >= 3, f"origins whose share differs by over 5 points between months: {wide}")


def merchant_follows_shortage(check, folder, plan):
    """In the three years with least supply the merchant's cap is below and its price above their medians."""
    rows = [r for r in support.rows_of(folder / "backup_scenarios.csv") if r["kind"] == "merchant"]
    supply = {y["year"]: y["qualifying_t"] for y in plan["supply"]["by_year"]}
    driest = sorted(supply, key=supply.get)[:3]
    by_year = {}
    for row in rows:
        by_year.setdefault(int(row["year"]), []).append((float(row["cap_factor"]), float(row["price_per_t"])))
    mean = {y: tuple(sum(v[i] for v in values) / len(values) for i in (0, 1)) for y, values in by_year.items()}
    cap = sorted(v[0] for v in mean.values())[len(mean) // 2]
    price = sorted(v[1] for v in mean.values())[len(mean) // 2]
    for year in driest:
        check.true(mean[year][0] < cap, f"{year}: the merchant's cap {mean[year][0]:.2f} is below its median {cap:.2f}")
        check.true(mean[year][1] > price, f"{year}: the merchant's price {mean[year][1]:.1f} is above its median {price:.1f}")


def wet_coast_against_lee(check, folder, season, plan):
    """Before anchoring the wet coast yields 5-30 % less than the lee and has at least 10 more waterlogged days."""
    manifest = json.loads((folder / "manifest.json").read_text())
    contracts = {row["contract"]: row for row in support.rows_of(season / "contracts.csv")}
    forecast = support.rows_of(folder / "forecast.csv")
    loss_per_day = next(float(a["value"]) for a in plan["assumptions"] if a["name"] == "waterlogging_loss_pct_day") / 100
    yields = {r["region"]: r["yield_t_ha"]["mean"] for r in plan["regions"]}
    rows = []
    for anchor in manifest["anchors"]:
        contract = contracts[anchor["contract"]]
        if contract["yield_basis"] == "in_field":
            continue
        years = [r for r in forecast if r["contract"] == anchor["contract"]]
        mean = {name: sum(float(r[name]) for r in years) / len(years) for name in years[0] if name.startswith("loss_")}
        # The losses are taken one after the other, so this share is that of what stood before waterlogging; at most 30 %, so days are a lower bound.
        before = yields[contract["region"]] + sum(mean[f"loss_{cause}_t_ha"] for cause in ("waterlogging", "heat", "frost", "harvest"))
        rain = next(s for r in plan["regions"] if r["region"] == contract["region"] for s in r["suitability"] if s.startswith("annual rain"))
        rows.append((float(rain.split()[2]), float(contract["yield_t_ha"]) / anchor["yield_a"], mean["loss_waterlogging_t_ha"] / before / loss_per_day))
    wet = [r for r in rows if r[0] > 1300]
    dry = [r for r in rows if r[0] < 700]
    check.true(len(wet) >= 2 and len(dry) >= 4, f"rows on the wet coast and in the lee: {len(wet)}, {len(dry)}")
    less = 1 - (sum(r[1] for r in wet) / len(wet)) / (sum(r[1] for r in dry) / len(dry))
    more = sum(r[2] for r in wet) / len(wet) - sum(r[2] for r in dry) / len(dry)
    check.true(0.05 <= less <= 0.30, f"the wet coast yields {100 * less:.1f} % less before anchoring")
    check.true(more >= 10, f"the wet coast has {more:.1f} more waterlogged days")


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    season = args.demo / "season.toml"
    folders = []
    for threads in (1, 2, 4):
        plan, folder = support.plan(args.rickyard, season, "--threads", threads, "--out", work / f"threads-{threads}")
        folders.append(folder)
    same_bytes(check, folders)
    validated(check, folders[0])
    audited(check, folders[0], work / "tampered")
    claim_line = next(r["line"] for r in support.rows_of(args.demo / "demand.csv") if r["origin_rule"])
    shows(check, plan, claim_line)
    merchant_follows_shortage(check, folders[0], plan)
    wet_coast_against_lee(check, folders[0], args.demo, plan)
    check.true((folders[0] / "report.html").stat().st_size < 3_000_000, "report.html is under 3 MB")
    check.done()


main()
