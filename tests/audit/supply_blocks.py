"""Recomputes years, regions, contracts and supply of the plan from the audit tables."""
import datetime
import math
from collections import defaultdict

from figures import FRACTION, keyed, mean_of, quantile_of

CAUSES = ("nitrogen", "screenings", "germination", "other")
LOSSES = ("sowing", "water", "waterlogging", "heat", "frost", "harvest")


def mean_weighted_by(rows, figure, weight):
    """Mean over rows weighted by another column, rows without weight left out; None if none has any."""
    kept = [(r[figure], r[weight]) for r in rows if r[weight] > 0]
    return mean_of(kept) if kept else None


def region_figures(rows):
    """One region in one scenario, from the rows of its contracts."""
    total = lambda name: math.fsum(r[name] for r in rows)
    plain = lambda name: None if any(r[name] is None for r in rows) else total(name) / len(rows)
    offered, qualifying = total("offered_t"), total("qualifying_t")
    some = offered > 0
    return {
        "harvested_ha": total("harvested_ha"),
        "yield_t_ha": offered / total("harvested_ha") if some else plain("yield_t_ha"),
        "n_pct": mean_weighted_by(rows, "n_pct", "offered_t") if some else plain("n_pct"),
        "screenings_pct": mean_weighted_by(rows, "screenings_pct", "offered_t") if some else plain("screenings_pct"),
        "n_accepted_pct": mean_weighted_by(rows, "n_accepted_pct", "qualifying_t"),
        "qualifying_share": qualifying / offered if some else 0.0,
        "offered_t": offered,
        "qualifying_t": qualifying,
        "with_claim_t": total("with_claim_t"),
        "rejected_t": math.fsum(total(f"rejected_{c}_t") for c in CAUSES),
        **{f"rejected_{c}_t": total(f"rejected_{c}_t") for c in CAUSES},
    }


def in_year(month_day, year):
    """29 February is 28 February in common years."""
    month, day = month_day
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return datetime.date(year, 2, 28)


def date_after(first, day):
    return (first + datetime.timedelta(days=math.floor(day + 0.5))).isoformat()


def dates(check, run, region, rows, where):
    """rows: of forecast.csv for this region. Dates by year and their ranges, losses."""
    by_year = defaultdict(list)
    for row in rows:
        by_year[int(row["year"])].append(row)
    sample = rows[0]
    crop_year = run.plan["season"]["crop_year"]
    month_day = lambda text: tuple(int(part) for part in text.split("-")[1:])
    first = in_year(month_day(sample["first_day"]), crop_year - 1)
    length = (in_year(month_day(sample["last_day"]), crop_year) - first).days + 1
    for name in ("sown", "heading", "ripe", "harvested"):
        days = []
        for year in run.years:
            group = by_year[year]
            reached = all(r[f"{name}_day"] >= 0 for r in group)
            ha = [max(r["planted_ha"], 1e-9) for r in group]
            day = math.fsum(r[f"{name}_day"] * h for r, h in zip(group, ha)) / math.fsum(ha) if reached else None
            days.append((length if day is None else day, group[0]["weight"]))
            if name == "heading":
                continue
            shown = next(y for y in region["by_year"] if y["year"] == year)[name]
            start = datetime.date.fromisoformat(group[0]["first_day"])
            check.equal(shown, None if day is None else date_after(start, day), f"{where}.by_year {year} {name}")
        for quantile, p in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
            day = quantile_of(days, p)
            check.equal(region[name][quantile], None if day >= length else date_after(first, day), f"{where}.{name}.{quantile}")
    for loss in LOSSES:
        pairs = [(r[f"loss_{loss}_t_ha"], r["weight"] * max(r["planted_ha"], 1e-9)) for r in rows]
        check.near(region["loss_t_ha"][loss], mean_of(pairs), f"{where}.loss_t_ha.{loss}")


def regions(check, run):
    grouped = defaultdict(lambda: defaultdict(list))
    for row in run.scenarios:
        if row["contract"]:
            grouped[row["region"]][int(row["scenario"])].append(row)
    check.equal(sorted(r["region"] for r in run.plan["regions"]), sorted(grouped), "regions")
    everything = sorted(run.scenario)
    for region in run.plan["regions"]:
        where = f"regions {region['region']}"
        figures = {s: region_figures(rows) for s, rows in grouped[region["region"]].items()}
        values = lambda name: {s: f[name] for s, f in figures.items()}
        check.near(region["planted_ha"], math.fsum(r["planted_ha"] for r in grouped[region["region"]][everything[0]]), f"{where}.planted_ha")
        check.near(region["harvested_ha"], figures[everything[0]]["harvested_ha"], f"{where}.harvested_ha")
        for name in ("yield_t_ha", "n_pct", "n_accepted_pct", "screenings_pct", "offered_t", "qualifying_t", "with_claim_t", "rejected_t"):
            check.range(region[name], run.over_supply(values(name)), f"{where}.{name}")
        check.range(region["qualifying_share"], run.over_supply(values("qualifying_share")), f"{where}.qualifying_share", FRACTION)
        for cause in CAUSES:
            check.near(region["rejected_by_cause_t"][cause], mean_of(run.over_supply(values(f"rejected_{cause}_t"))), f"{where}.rejected_by_cause_t.{cause}")
        check.equal([y["year"] for y in region["by_year"]], run.years, f"{where}.by_year years")
        for name in ("yield_t_ha", "n_pct", "screenings_pct", "offered_t", "qualifying_t", "qualifying_share"):
            shown = [y[name] for y in region["by_year"]]
            check.list(shown, run.by_year(values(name), everything), f"{where}.by_year.{name}", FRACTION if name == "qualifying_share" else 6)
        forecast = [r for r in run.forecast or [] if r["region"] == region["region"]]
        if run.plan["season"]["model"] == "formulas":
            for name in ("sown", "heading", "ripe", "harvested"):
                check.true(set(region[name].values()) == {None}, f"{where}.{name}: dates without weather")
            check.true(set(region["loss_t_ha"].values()) == {0}, f"{where}.loss_t_ha: losses without weather")
        elif run.forecast is not None:
            dates(check, run, region, forecast, where)
        # Balances of the document's own means.
        rejected = region["rejected_t"]["mean"]
        check.near(region["offered_t"]["mean"], region["qualifying_t"]["mean"] + rejected, f"{where}: offered = qualifying + rejected", slack=2e-6)
        check.near(rejected, sum(region["rejected_by_cause_t"].values()), f"{where}: rejected = its causes", slack=3e-6)


def supply(check, run):
    block = run.plan["supply"]
    total = defaultdict(float)
    for row in run.scenarios:
        total[int(row["scenario"])] += row["qualifying_t"] or 0.0
    check.range(block["qualifying_t"], run.over_supply(total), "supply.qualifying_t")
    check.equal([y["year"] for y in block["by_year"]], run.years, "supply.by_year years")
    check.list([y["qualifying_t"] for y in block["by_year"]], run.by_year(total, sorted(run.scenario)), "supply.by_year")
    regions_mean = sum(r["qualifying_t"]["mean"] for r in run.plan["regions"])
    check.near(block["qualifying_t"]["mean"], regions_mean, "supply mean = sum of the regions' means", slack=1e-6 * len(run.plan["regions"]))


def years(check, run):
    weight = defaultdict(float)
    for s, w in run.weight.items():
        weight[run.year_of[s]] += w
    check.equal(sorted(set(run.year_of.values())), sorted(run.years), "years of scenarios.csv")
    for year in run.plan["years"]:
        check.near(year["weight"], weight[year["year"]], f"years {year['year']} weight", FRACTION)
    check.near(sum(y["weight"] for y in run.plan["years"]), 1, "year weights", FRACTION, slack=1e-9 * len(run.years))
    if run.forecast:
        facts = {int(r["year"]): r for r in run.forecast}
        shown = {y["year"]: y for y in run.plan["years"]}
        for row in run.forecast:
            year = shown[int(row["year"])]
            check.near(year["rain_mm"], row["rain_mm"], f"years {year['year']} rain_mm")
            check.near(row["weight"], year["weight"], f"forecast.csv {year['year']} weight", FRACTION)
        order = sorted(run.years, key=lambda y: facts[y]["rain_apr_jul_mm"])
        n = len(order)
        kinds = {y: "normal" if n < 3 else "dry" if 3 * i < n else "wet" if 3 * i >= 2 * n else "normal" for i, y in enumerate(order)}
        check.equal({y["year"]: y["kind"] for y in run.plan["years"]}, kinds, "kinds of years")
    for used in run.plan["limit_used"]:
        if run.plan["season"]["limit_policy"] == "fixed":
            check.near(used["limit_n_pct"], run.plan["season"]["limit_n_pct"], f"limit_used {used['year']}")
    check.equal([u["year"] for u in run.plan["limit_used"]], run.years, "limit_used years")


def contracts(check, run):
    tables = {name: keyed(run.accounts, ("contract",), name) for name in ("delivered_t", "accepted_t", "made_good_t", "cost")}
    check.equal(sorted({c["contract"] for c in run.plan["contracts"]}), sorted(k[0] for k in tables["cost"]), "contracts")
    for contract in run.plan["contracts"]:
        for name, table in tables.items():
            check.range(contract[name], run.over_programme(table[(contract["contract"],)]), f"contracts {contract['contract']}.{name}")
        check.near(contract["proposed"], contract["amount"], f"contracts {contract['contract']}: proposed = amount")


def all_supply(check, run):
    for block in (years, regions, supply, contracts):
        block(check, run)
