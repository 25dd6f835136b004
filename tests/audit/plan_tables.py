"""The tables that show the plan (regions.csv, blend_by_month.csv, ...) must hold the figures of plan.json, cell by cell."""
import csv

from figures import FRACTION

SUFFIXES = ("_mean", "_p10", "_p50", "_p90")
FRACTIONS = {"share", "qualifying_share", "weight", "factor", "late_share", "chance_met", "chance_met_until", "chance_full"}


def flat(block):
    """A block of the plan as one row: ranges and dates get a suffix, blocks of figures the names that tables use."""
    row = {}
    for name, value in block.items():
        if isinstance(value, dict) and set(value) <= {"mean", "p10", "p50", "p90"}:
            row.update({f"{name}_{part}": v for part, v in value.items()})
        elif name == "harvest_weather":
            row.update(value)
        elif isinstance(value, list) and all(isinstance(v, str) for v in value):
            row[name] = "; ".join(value)
        elif isinstance(value, bool):
            row[name] = "yes" if value else "no"
        else:
            row[name] = value
    return row


def cause_rows(region, block):
    return [{"region": region, "year": block["year"], "cause": name.removesuffix("_t"), "t": t} for name, t in block["causes"].items()]


def expected_rows(plan):
    years = [y["year"] for y in plan["years"]]
    blends = [{"month": m["month"], "line": m["line"], **b} for m in plan["months"] for b in m["blend"]]
    by_year = []
    for m in plan["months"]:
        head = {"month": m["month"], "line": m["line"]}
        for b in m["blend"]:
            by_year += [{**head, "origin": b["origin"], "source": b["source"], "crop_year": b["crop_year"], "year": y, "t": t} for y, t in zip(years, b["by_year_t"])]
        by_year += [{**head, "origin": "", "source": "unmet", "crop_year": None, "year": y, "t": t} for y, t in zip(years, m["unmet_by_year_t"])]
    cost = [{"part": name, "currency": plan["season"]["currency"], "amount": r} for name, r in {"total": plan["cost"]["total"], **plan["cost"]["parts"]}.items()]
    return {
        "years": plan["years"],
        "regions": plan["regions"],
        "region_years": [{"region": r["region"], **y} for r in plan["regions"] for y in r["by_year"]],
        "causes": [cause for r in plan["regions"] for block in [{"year": None, **r}, *r["by_year"]] for cause in cause_rows(r["region"], block)],
        "blend_by_month": blends,
        "blend_by_year": by_year,
        "allocation": plan["months"],
        "contracts": plan["contracts"],
        "orders": plan["decisions"],
        "purchase_ranges": [{**p, "price_per_t": p["price"]} for p in plan["purchases"]],
        "stock_ranges": plan["stock"],
        "cost_ranges": cost,
        "need": plan["need"]["by_month"],
        "need_steps": [{"step": s["name"], **s} for s in plan["need"]["steps"]],
        "month_chances": plan["cover"]["by_month"],
        "store": [{"capacity_t": plan["store"]["capacity_t"], **m} for m in plan["store"]["by_month"]],
        "dependence": plan["dependence"]["largest"],
        "claim_lines": plan["claim_lines"],
        "carbon": plan["carbon"]["by_source"],
        "assumptions": plan["assumptions"],
        "inputs": plan["inputs"],
        "notes": [{"kind": "warning", "words": w} for w in plan["warnings"]] + [{"kind": "caution", "words": w} for w in plan["cautions"]],
    }


def as_text(value):
    """A text of the plan as a table may show it: with an apostrophe where a spreadsheet would run it."""
    return "'" + value if value[:1] in ("=", "+", "-", "@", "\t", "\r", "\n") and value else value


def summary_rows(plan):
    cover, supply, need, cost = plan["cover"], plan["supply"], plan["need"], plan["cost"]
    single = lambda value: {"mean": value, "p10": None, "p50": None, "p90": None}
    return [single(need["barley_t"]), single(need["malt_t"]), single(need["spirit_lpa"]), supply["qualifying_t"], supply["if_regions_were_independent"],
            single(supply["one_in_twenty"]["t"]), single(supply["one_in_twenty"]["if_regions_were_independent_t"]), cover["backup_t"],
            cover["unmet_t"], cover["surplus_t"], single(cover["chance_covered"]), cost["total"], single(cost["cvar"]), single(cost["alpha"])]


def compare(check, where, name, found, expected):
    if isinstance(expected, str):
        check.true(found == as_text(expected), f"{where}: {found!r} against {expected!r}")
    elif expected is None or found == "":
        check.true(found == "" and expected is None, f"{where}: {found!r} against {expected!r}")
    else:
        stem = next((name[: -len(s)] for s in SUFFIXES if name.endswith(s)), name)
        check.near(float(found), expected, where, FRACTION if stem in FRACTIONS else 6)


def all_tables(check, run):
    for name, blocks in expected_rows(run.plan).items():
        with open(run.folder / f"{name}.csv", newline="", encoding="utf-8") as file:
            reader = csv.DictReader(file)
            rows = list(reader)
        check.true(len(rows) == len(blocks), f"{name}.csv: {len(rows)} rows against {len(blocks)}")
        for i, (row, block) in enumerate(zip(rows, map(flat, blocks))):
            for column, found in row.items():
                if column not in block:
                    check.true(False, f"{name}.csv: column {column} is not in the plan")
                    return
                compare(check, f"{name}.csv row {i + 1} {column}", column, found, block[column])
    with open(run.folder / "summary.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    expected = summary_rows(run.plan)
    check.true(len(rows) == len(expected), "summary.csv: rows")
    for row, figures in zip(rows, expected):
        for part, value in figures.items():
            compare(check, f"summary.csv {row['figure']} {part}", part, row[part], value)
