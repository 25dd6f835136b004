"""Recomputes years, regions, contracts and supply of the plan from the audit tables."""
import datetime
import math
from collections import defaultdict

from figures import FRACTION, keyed, mean_of, quantile_of

CAUSES = ("nitrogen", "screenings", "germination", "other")
LOSSES = ("sowing", "water", "waterlogging", "frost", "heat", "harvest")
STEPS = tuple(f"{cause}_t" for cause in LOSSES + CAUSES)
AT_HARVEST = ("moisture_pct", "combine_days", "wet_days", "late_share")
WITHIN_REACH = {"a dull or short season": -1, "a bright, long season": 1}


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
            march = lambda start: (min(d for d in (in_year((3, 1), start.year), in_year((3, 1), start.year + 1)) if d >= start) - start).days
            aligned = day
            if day is not None and day >= march(datetime.date.fromisoformat(group[0]["first_day"])):
                aligned = day - march(datetime.date.fromisoformat(group[0]["first_day"])) + march(first)  # the same date in the crop year
            days.append((length if day is None else aligned, group[0]["weight"]))
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


def millionths(t):
    """Tonnes as plan.json writes them, in its last decimal: sums of these are exact."""
    return round(t * 1e6)


def adds_up(check, causes, where):
    rest = millionths(causes["attainable_t"]) - sum(millionths(causes[step]) for step in STEPS) - millionths(causes["qualifying_t"])
    check.true(rest == 0, f"{where}: attainable less causes misses what qualifies by {rest} millionths of a tonne")


def year_words(causes, mean, harvested_ha):
    """Tonnes behind each driver of a year, the largest first: what it lost beyond the mean, or what it was spared."""
    sign = 1 if causes["qualifying_t"] < mean["qualifying_t"] else -1
    apart = [sign * (mean["attainable_t"] - causes["attainable_t"])] + [sign * (causes[step] - mean[step]) for step in STEPS]
    if causes["qualifying_t"] == mean["qualifying_t"] or harvested_ha <= 0:
        return []
    return [t for t in sorted(apart, reverse=True)[:2] if t > 0 and t >= 0.005 * harvested_ha]


def tonnes_said(words):
    """The tonnes in a driver's words, and how far they may be rounded away."""
    text = words.split(": ")[1].split(" t ")[0]
    if text == "under 1":
        return 0.0, 0.5
    t = float(text.replace(",", ""))
    return t, 5.0 + 1e-6 if t >= 1000 else 0.5 + 1e-6


def drivers(check, found, expected, where):
    check.true(len(found) == len(expected), f"{where}: {len(found)} drivers, {len(expected)} expected")
    for words, t in zip(found, expected):
        said, off = tonnes_said(words)
        check.true(abs(said - t) <= off, f"{where}: {words!r}, but the tables give {t:.3f} t")


def causes(check, run, region, figures, hectares, forecast, where):
    """figures: {scenario: region figures}; hectares: {contract: harvested}; forecast: rows of forecast.csv for this region, empty for formulas."""
    everything = sorted(run.scenario)
    shown = [y["causes"] for y in region["by_year"]]
    values = lambda name: {s: f[name] for s, f in figures.items()}
    expected = {f"{cause}_t": run.by_year(values(f"rejected_{cause}_t"), everything) for cause in CAUSES[:3]}
    expected["qualifying_t"] = run.by_year(values("qualifying_t"), everything)
    if not forecast:
        expected["attainable_t"] = run.by_year(values("offered_t"), everything)
        expected.update({f"{loss}_t": [0.0] * len(run.years) for loss in LOSSES})
    else:
        for name, column in [("attainable", "attainable_t_ha")] + [(loss, f"loss_{loss}_t_ha") for loss in LOSSES]:
            by_year = defaultdict(float)
            for row in forecast:
                by_year[int(row["year"])] += hectares[row["contract"]] * row[column]
            expected[f"{name}_t"] = [by_year[year] for year in run.years]
    slack = 1e-9 * math.fsum(hectares.values())  # forecast.csv keeps nine decimals of t/ha
    weights = [y["weight"] for y in run.plan["years"]]
    for name, figures_by_year in expected.items():
        for year, causes_of_year, t in zip(run.years, shown, figures_by_year):
            check.near(causes_of_year[name], t, f"{where}.by_year {year} causes.{name}", slack=slack)
        mean = math.fsum(w * t for w, t in zip(weights, figures_by_year)) / math.fsum(weights)
        check.near(region["causes"][name], mean, f"{where}.causes.{name}", slack=slack + 1e-9 * abs(mean) * len(weights))
    adds_up(check, region["causes"], f"{where}.causes")
    mean, ha = region["causes"], region["harvested_ha"]
    for year in region["by_year"]:
        adds_up(check, year["causes"], f"{where}.by_year {year['year']} causes")
        check.equal(millionths(year["causes"]["qualifying_t"]), millionths(year["qualifying_t"]), f"{where}.by_year {year['year']}: causes end in what qualifies")
        drivers(check, year["drivers"], year_words(year["causes"], mean, ha), f"{where}.by_year {year['year']}.drivers")
        for words in year["drivers"]:
            better = year["causes"]["qualifying_t"] > mean["qualifying_t"]
            head, tail = words.split(": ")
            sign = WITHIN_REACH.get(head, 1 if " less lost than on average" in tail else -1)
            check.true(sign == (1 if better else -1), f"{where}.by_year {year['year']}: {words!r} in a year that is {'better' if better else 'worse'} than the mean")
    largest = [t for t in sorted((mean[step] for step in STEPS), reverse=True)[:2] if ha > 0 and t > 0 and t >= 0.005 * ha]
    drivers(check, region["drivers"], largest, f"{where}.drivers")


def at_harvest(check, run, region, forecast, where):
    by_year = defaultdict(list)
    for row in forecast:
        by_year[int(row["year"])].append(row)
    for name in AT_HARVEST:
        decimals = FRACTION if name == "late_share" else 6
        pairs = []
        for year in region["by_year"]:
            kept = [(r[name], max(r["planted_ha"], 1e-9)) for r in by_year[year["year"]] if r[name] >= 0]
            expected = mean_of(kept) if kept else None
            check.near(year["harvest_weather"][name], expected, f"{where}.by_year {year['year']} {name}", decimals, slack=1e-9)
            if expected is not None:
                pairs.append((expected, by_year[year["year"]][0]["weight"]))
        known = math.fsum(w for _, w in pairs) > 0
        check.near(region["harvest_weather"][name], mean_of(pairs) if known else None, f"{where}.harvest_weather.{name}", decimals, slack=1e-9)


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
            check.true(set(region["harvest_weather"].values()) == {None}, f"{where}.harvest_weather: harvest weather without weather")
        elif run.forecast is not None:
            dates(check, run, region, forecast, where)
            at_harvest(check, run, region, forecast, where)
        if run.forecast is not None or run.plan["season"]["model"] == "formulas":
            hectares = {r["contract"]: r["harvested_ha"] for r in grouped[region["region"]][everything[0]]}
            causes(check, run, region, figures, hectares, forecast, where)
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
            check.near(year["rain_apr_jul_mm"], row["rain_apr_jul_mm"], f"years {year['year']} rain_apr_jul_mm")
            check.near(row["weight"], year["weight"], f"forecast.csv {year['year']} weight", FRACTION)
        order = sorted(run.years, key=lambda y: facts[y]["rain_apr_jul_mm"])
        n = len(order)
        kinds = {y: "normal" if n < 3 else "dry" if 3 * i < n else "wet" if 3 * i >= 2 * n else "normal" for i, y in enumerate(order)}
        check.equal({y["year"]: y["kind"] for y in run.plan["years"]}, kinds, "kinds of years")
    # Grain above the stop is kept in heaps of the fourth band; a year that took any shows the raised limit, the same in every such year.
    raised = {run.year_of[int(r["scenario"])] for r in run.stock if r["heap"].endswith(" n4") and r["arrivals_t"] > 2e-5}
    highest = max(used["limit_n_pct"] for used in run.plan["limit_used"])
    check.true(not raised or highest > run.plan["season"]["stop_n_pct"], "limit_used: raised above the stop")
    for used in run.plan["limit_used"]:
        expected = highest if used["year"] in raised else run.plan["season"]["limit_n_pct"]
        check.near(used["limit_n_pct"], expected, f"limit_used {used['year']}")
    check.equal([u["year"] for u in run.plan["limit_used"]], run.years, "limit_used years")


def contracts(check, run):
    tables = {name: keyed(run.accounts, ("contract",), name) for name in ("delivered_t", "accepted_t", "made_good_t", "cost")}
    check.equal(sorted({c["contract"] for c in run.plan["contracts"]}), sorted(k[0] for k in tables["cost"]), "contracts")
    for contract in run.plan["contracts"]:
        for name, table in tables.items():
            check.range(contract[name], run.over_programme(table[(contract["contract"],)]), f"contracts {contract['contract']}.{name}")
        if "frontier" not in run.plan:  # the contract command proposes other amounts than the table's
            check.near(contract["proposed"], contract["amount"], f"contracts {contract['contract']}: proposed = amount")
        if contract["unit"] == "ha":
            planted = {r["planted_ha"] for r in run.scenarios if r["contract"] == contract["contract"]}
            check.near(max(planted), contract["proposed"], f"contracts {contract['contract']}: planted_ha of the scenarios = proposed")


def all_supply(check, run):
    for block in (years, regions, supply, contracts):
        block(check, run)
