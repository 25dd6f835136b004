"""Recomputes need, cover, purchases, decisions, months, stock and cost of the plan from the audit tables."""
import math
from collections import defaultdict

from figures import FRACTION, RANGE, keyed, mean_of, range_of, tail_mean

COVERED = 1e-3  # unmet up to 0.1 % of need counts as covered


def need(check, run):
    reference = defaultdict(set)
    for row in run.needs:
        reference[(row["month"], row["line"])].add(row["reference_t"])
    block = run.plan["need"]
    check.equal(sorted((m["month"], m["line"]) for m in block["by_month"]), sorted(reference), "need.by_month rows")
    for row in block["by_month"]:
        figures = reference[(row["month"], row["line"])]
        check.true(len(figures) == 1, f"need {row['month']} {row['line']}: one reference need in all scenarios")
        check.near(row["need_t"], max(figures, default=0), f"need {row['month']} {row['line']}")
    check.near(block["barley_t"], sum(m["need_t"] for m in block["by_month"]), "need.barley_t = sum of months", slack=1e-6 * len(block["by_month"]))


def cover(check, run):
    block = run.plan["cover"]
    total = lambda rows, figure: keyed(rows, (), figure)[()]
    unmet = total(run.unmet, "unmet_t_equiv")
    check.range(block["backup_t"], run.over_programme(total(run.purchases, "t")), "cover.backup_t")
    check.range(block["unmet_t"], run.over_programme(unmet), "cover.unmet_t")
    check.range(block["surplus_t"], run.over_programme(total(run.stock, "sold_t")), "cover.surplus_t")

    needed = total(run.needs, "need_t")
    month_need = keyed(run.needs, ("month",), "need_t")
    month_unmet = keyed(run.unmet, ("month",), "unmet_t_equiv")
    first, covered = defaultdict(float), 0.0
    for s in run.programme:
        weight = run.programme_weight[s]
        if unmet.get(s, 0.0) <= COVERED * needed[s]:
            covered += weight
            continue
        short = sorted((m, t[s]) for (m,), t in month_unmet.items() if t.get(s, 0.0) > 0)
        over = [m for m, t in short if t > COVERED * month_need[(m,)][s]]
        first[(over or [m for m, _ in short])[0]] += weight
    check.near(block["chance_covered"], covered, "cover.chance_covered", FRACTION)
    shown = dict(block["first_unmet_month"])
    check.near(shown.pop("never"), covered, "cover.first_unmet_month.never", FRACTION)
    check.equal(sorted(shown), sorted(first), "cover.first_unmet_month months")
    for month, probability in first.items():
        check.near(shown.get(month), probability, f"cover.first_unmet_month {month}", FRACTION)
    check.near(sum(block["first_unmet_month"].values()), 1, "first_unmet_month adds up to 1", FRACTION, slack=1e-9 * (1 + len(shown)))


def purchases(check, run):
    tonnes = keyed(run.purchases, ("source", "origin", "stage"), "t")
    value = defaultdict(lambda: defaultdict(float))
    month_mean = defaultdict(lambda: defaultdict(float))
    for row in run.purchases:
        key = (row["source"], row["origin"], row["stage"])
        s = int(row["scenario"])
        value[key][s] += row["t"] * row["price_per_t"]
        month_mean[(row["source"], row["stage"])][row["month"]] += run.programme_weight[s] * row["t"]
    shown = {(p["source"], p["origin"], p["stage"]): p for p in run.plan["purchases"]}
    check.equal(sorted(shown), sorted(tonnes), "purchases")
    for key, block in shown.items():
        t = tonnes[key]
        price = {s: value[key][s] / t[s] if t.get(s, 0.0) > 0 else None for s in run.programme}
        check.range(block["t"], run.over_programme(t), f"purchases {key}.t")
        check.range(block["price"], run.over_programme(price), f"purchases {key}.price")
    check.near(run.plan["cover"]["backup_t"]["mean"], sum(p["t"]["mean"] for p in shown.values()), "backups = sum of purchases", slack=1e-6 * len(shown))

    # Contracts still open to be signed: their mean accepted tonnes.
    accepted = keyed(run.accounts, ("contract",), "accepted_t")
    signs = {d["source"]: d["t"] for d in run.plan["decisions"] if d["what"].startswith("sign ")}
    check.equal(sorted(signs), sorted(c["contract"] for c in run.plan["contracts"] if not c["signed"]), "decisions: a sign for every open contract")
    for contract, t in signs.items():
        check.near(t, mean_of(run.over_programme(accepted[(contract,)])), f"decisions sign {contract}: tonnes")

    ordered = defaultdict(float)
    for decision in run.plan["decisions"]:
        if decision["what"].startswith("sign "):
            continue
        ordered[(decision["source"], decision["stage"])] += decision["t"]
    expected = {key: math.fsum(t for t in months.values() if t > 0.5) for key, months in month_mean.items()}
    for key in set(ordered) | {k for k, t in expected.items() if t > 0}:
        check.near(ordered.get(key, 0.0), expected.get(key, 0.0), f"decisions {key}: tonnes ordered", slack=1e-6 * len(run.plan["decisions"]))
    by = [d["by"] for d in run.plan["decisions"]]
    check.true(by == sorted(by), "decisions are in order of their dates")


def months(check, run):
    keys = ("month", "line", "origin", "source", "crop_year")
    t, t_equiv = keyed(run.flows, keys, "t"), keyed(run.flows, keys, "t_equiv")
    used = keyed(run.flows, ("month", "line"), "t")
    nitrogen = defaultdict(lambda: defaultdict(float))
    for row in run.flows:
        nitrogen[(row["month"], row["line"])][int(row["scenario"])] += row["t"] * row["n_pct"]
    unmet = keyed(run.unmet, ("month", "line"), "unmet_t_equiv")
    needed = {(m["month"], m["line"]): m["need_t"] for m in run.plan["need"]["by_month"]}
    demand = mean_of([(run.scenario[s]["demand_factor"], run.programme_weight[s]) for s in run.programme])
    check.equal(sorted((m["month"], m["line"]) for m in run.plan["months"]), sorted(needed), "months")
    shown = set()
    for block in run.plan["months"]:
        key = (block["month"], block["line"])
        where = f"months {key[0]} {key[1]}"
        check.near(block["need_t"], needed.get(key), f"{where}.need_t")
        check.range(block["unmet_t"], run.over_programme(unmet[key]), f"{where}.unmet_t")
        check.list(block["unmet_by_year_t"], run.by_year(unmet[key], run.programme), f"{where}.unmet_by_year_t")
        n = {s: nitrogen[key][s] / used[key][s] if used[key].get(s, 0.0) > 0 else None for s in run.programme}
        check.range(block["n_pct"], run.over_programme(n), f"{where}.n_pct")
        for blend in block["blend"]:
            part = key + (blend["origin"], blend["source"], blend["crop_year"])
            shown.add(part)
            here = f"{where} {blend['origin']} {blend['source']} {blend['crop_year']}"
            check.range(blend["t"], run.over_programme(t[part]), f"{here}.t")
            check.range(blend["t_equiv"], run.over_programme(t_equiv[part]), f"{here}.t_equiv")
            check.list(blend["by_year_t"], run.by_year(t[part], run.programme), f"{here}.by_year_t")
            share = {s: t[part].get(s, 0.0) / used[key][s] if used[key].get(s, 0.0) > 0 else None for s in run.programme}
            expected = range_of(run.over_programme(share))
            all_used = mean_of(run.over_programme(used[key]))
            expected["mean"] = mean_of(run.over_programme(t[part])) / all_used if all_used > 0 else None
            for name in RANGE:
                check.near(blend["share"][name], expected[name], f"{here}.share.{name}", FRACTION)
        met = sum(b["t_equiv"]["mean"] for b in block["blend"]) + block["unmet_t"]["mean"]
        check.near(met, block["need_t"] * demand, f"{where}: blend + unmet = need in the means", slack=1e-6 * (1 + len(block["blend"])))
        shares = [b["share"]["mean"] for b in block["blend"] if b["share"]["mean"] is not None]
        if shares:
            check.near(sum(shares), 1, f"{where}: shares add up to 1", FRACTION, slack=1e-9 * len(shares))
    check.equal(sorted(shown), sorted(t), "blends of all months")
    total_unmet = sum(m["unmet_t"]["mean"] for m in run.plan["months"])
    check.near(run.plan["cover"]["unmet_t"]["mean"], total_unmet, "unmet = sum of months", slack=1e-6 * len(run.plan["months"]))


def stock(check, run):
    names = ("opening_t", "arrivals_t", "used_t", "lost_t", "sold_t", "closing_t")
    keys = ("month", "origin", "crop_year")
    tables = {name: keyed(run.stock, keys, name) for name in names}
    check.equal(sorted((b["month"], b["origin"], b["crop_year"]) for b in run.plan["stock"]), sorted(tables["opening_t"]), "stock rows")
    for block in run.plan["stock"]:
        key = (block["month"], block["origin"], block["crop_year"])
        for name in names:
            check.range(block[name], run.over_programme(tables[name][key]), f"stock {key}.{name}")
        mean = {name: block[name]["mean"] for name in names}
        left = mean["opening_t"] + mean["arrivals_t"] - mean["used_t"] - mean["lost_t"] - mean["sold_t"]
        check.near(left, mean["closing_t"], f"stock {key}: balance of the means", slack=6e-6)


def cost(check, run):
    block = run.plan["cost"]
    parts = keyed(run.costs, ("part",), "amount")
    check.equal(sorted(block["parts"]), sorted(k[0] for k in parts), "cost parts")
    for name, shown in block["parts"].items():
        check.range(shown, run.over_programme(parts[(name,)]), f"cost.parts.{name}")
    total = run.over_programme(keyed(run.costs, (), "amount")[()])
    check.range(block["total"], total, "cost.total")
    check.near(block["cvar"], tail_mean(total, block["alpha"]), "cost.cvar")
    check.near(block["total"]["mean"], sum(p["mean"] for p in block["parts"].values()), "cost = sum of its parts in the means", slack=1e-5)


def totals(check, run):
    block = run.plan["totals"]
    check.near(block["need_t"], math.fsum({(r["month"], r["line"]): r["reference_t"] for r in run.needs}.values()), "totals.need_t")
    opening = keyed((r for r in run.stock if r["month"] == run.plan["horizon"]["first_month"]), (), "opening_t")[()]
    check.near(block["opening_stock_t"], mean_of(run.over_programme(opening)), "totals.opening_stock_t")
    unmet = run.by_year(keyed(run.unmet, (), "unmet_t_equiv")[()], run.programme)
    check.list(block["unmet_by_year_t"], unmet, "totals.unmet_by_year_t")
    kinds = defaultdict(list)
    for year, t in zip(run.plan["years"], unmet):
        if year["weight"] > 0:
            kinds[year["kind"]].append((t, year["weight"]))
    check.equal([k["kind"] for k in block["unmet_by_kind_t"]], [k for k in ("dry", "normal", "wet", "drawn") if k in kinds], "totals.unmet_by_kind_t kinds")
    for kind in block["unmet_by_kind_t"]:
        check.near(kind["unmet_t"], mean_of(kinds[kind["kind"]]), f"totals.unmet_by_kind_t {kind['kind']}")
    used = {origin: mean_of(run.over_programme(t)) for (origin,), t in keyed(run.flows, ("origin",), "t").items()}
    check.equal(sorted(o["origin"] for o in block["blend"]), sorted(used), "totals.blend origins")
    for origin in block["blend"]:
        check.near(origin["t"], used[origin["origin"]], f"totals.blend {origin['origin']}", slack=1e-6)
        check.near(origin["share"], used[origin["origin"]] / math.fsum(used.values()), f"totals.blend {origin['origin']} share", FRACTION, slack=1e-9)
    check.true([o["t"] for o in block["blend"]] == sorted((o["t"] for o in block["blend"]), reverse=True), "totals.blend: the largest first")


def security(check, run):
    """Chances by month, what fails where the plan fails, contracts it hangs on, tonnes behind the carbon."""
    needed, unmet = keyed(run.needs, ("month",), "need_t"), keyed(run.unmet, ("month",), "unmet_t_equiv")
    until = {s: True for s in run.programme}
    shown = run.plan["cover"]["by_month"]
    check.equal([m["month"] for m in shown], sorted(m for (m,) in needed), "cover.by_month months")
    for block in shown:
        key = (block["month"],)
        met = {s: unmet[key].get(s, 0.0) <= COVERED * needed[key][s] for s in run.programme}
        until = {s: until[s] and met[s] for s in run.programme}
        check.near(block["chance_met"], math.fsum(run.programme_weight[s] for s in run.programme if met[s]), f"cover.by_month {key[0]}", FRACTION)
        check.near(block["chance_met_until"], math.fsum(run.programme_weight[s] for s in run.programme if until[s]), f"cover.by_month {key[0]} until", FRACTION)

    total_need, total_unmet = keyed(run.needs, (), "need_t")[()], keyed(run.unmet, (), "unmet_t_equiv")[()]
    fails = [s for s in run.programme if total_unmet.get(s, 0.0) > COVERED * total_need[s]]
    chance, block = math.fsum(run.programme_weight[s] for s in fails), run.plan["failure"]
    check.near(block["chance"], chance, "failure.chance", FRACTION)
    if fails:
        cost = keyed((r for r in run.costs if r["part"] == "unmet"), (), "amount")[()]
        check.near(block["unmet_t"], math.fsum(run.programme_weight[s] * total_unmet[s] for s in fails) / chance, "failure.unmet_t")
        check.near(block["unmet_cost"], math.fsum(run.programme_weight[s] * cost.get(s, 0.0) for s in fails) / chance, "failure.unmet_cost", slack=1e-4)
        check.equal(block["first_month"], min(m for (m,), t in unmet.items() if any(t.get(s, 0.0) > 0 for s in fails)), "failure.first_month")

    grain = {c: mean_of(run.over_supply(t)) for (c,), t in keyed(run.scenarios, ("contract",), "qualifying_t").items() if c}
    total = math.fsum(grain.values())
    for one in run.plan["dependence"]["largest"]:
        check.near(one["share"], grain[one["contract"]] / total if total else 0, f"dependence {one['contract']}", FRACTION, slack=1e-9)
    check.near(run.plan["dependence"]["share"], math.fsum(sorted(grain.values())[-5:]) / total if total else 0, "dependence.share", FRACTION, slack=1e-9)

    accepted, bought = keyed(run.accounts, ("contract",), "accepted_t"), keyed(run.purchases, ("source",), "t")
    for one in run.plan["carbon"]["by_source"]:
        t = mean_of(run.over_programme((accepted if one["kind"] == "contract" else bought)[(one["source"],)]))
        check.near(one["t"], t, f"carbon {one['source']}", slack=1e-6)
        check.near(one["t_co2e"], t * (one["kg_co2e_per_t"] or 0) / 1000, f"carbon {one['source']} t CO2e", slack=1e-6)


def all_programme(check, run):
    for block in (need, cover, purchases, months, stock, cost, totals, security):
        block(check, run)
