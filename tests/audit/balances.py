"""The balances that hold in every scenario of the audit tables, and between the tables."""
from collections import defaultdict

SUM = 1e-6  # the tables keep nine decimals


def close(check, found, expected, words, terms=1):
    tolerance = SUM + 1e-9 * max(abs(found), abs(expected)) + 5e-10 * terms
    check.true(abs(found - expected) <= tolerance, f"{words}: {found!r} against {expected!r}, {found - expected:+.3g} apart")


def scenarios(check, run):
    seen = set()
    for row in run.scenarios:
        s = int(row["scenario"])
        where = f"scenarios.csv scenario {s} {row['contract']}"
        check.true((s, row["contract"]) not in seen, f"{where}: twice")
        seen.add((s, row["contract"]))
        head = run.scenario[s]
        for name in ("year", "draw", "weight", "in_programme", "programme_weight", "demand_factor"):
            check.true(row[name] == head[name], f"{where}: another {name} than in the scenario's first row")
        check.true((row["in_programme"] == 1) == (row["programme_weight"] is not None), f"{where}: programme weight without being in the programme, or the reverse")
        if row["contract"] == "":
            continue
        rejected = sum(row[f"rejected_{cause}_t"] for cause in ("nitrogen", "screenings", "germination", "other"))
        close(check, row["offered_t"], row["qualifying_t"] + rejected, f"{where}: offered = qualifying + rejected")
        close(check, row["offered_t"], row["yield_t_ha"] * row["harvested_ha"], f"{where}: offered = yield x hectares", 1 + 2 * abs(row["harvested_ha"]) + 2 * abs(row["yield_t_ha"]))
        bands = [row[f"band{b}_t"] for b in (1, 2, 3)]
        close(check, row["qualifying_t"], sum(bands), f"{where}: qualifying = its bands", 3)
        close(check, row["with_claim_t"], bands[2], f"{where}: with a claim = the band above the limit")
        if row["qualifying_t"] > 0:
            nitrogen = sum(row[f"band{b}_n_pct"] * row[f"band{b}_t"] for b in (1, 2, 3))
            close(check, row["n_accepted_pct"] * row["qualifying_t"], nitrogen, f"{where}: nitrogen of what qualifies = that of its bands", 20 + 4 * row["qualifying_t"])
        check.true(min(row[n] for n in row if n.endswith("_t") and row[n] is not None) >= 0, f"{where}: negative tonnes")
    close(check, sum(run.weight.values()), 1, "scenarios.csv: weights")
    close(check, sum(run.programme_weight.values()), 1, "scenarios.csv: programme weights")
    by_year = defaultdict(lambda: [0.0, 0.0])
    for s in run.scenario:
        by_year[run.year_of[s]][0] += run.weight[s]
        by_year[run.year_of[s]][1] += run.programme_weight.get(s, 0.0)
    for year, (supply, programme) in by_year.items():
        close(check, programme, supply, f"scenarios.csv: weight of {year} in the programme and in all draws")


def need(check, run):
    """used, as reference tonnes, + unmet = need, by scenario, month and line."""
    met = defaultdict(float)
    terms = defaultdict(int)
    nitrogen = {}
    for row in run.flows:
        key = (row["scenario"], row["month"], row["line"])
        met[key] += row["t_equiv"]
        terms[key] += 1
        check.true(row["t"] > 0 and row["t_equiv"] > 0, f"flows.csv {key}: nothing flows")
        same = nitrogen.setdefault((row["scenario"], row["heap"], row["source"], row["crop_year"]), row["n_pct"])
        check.true(row["n_pct"] == same, f"flows.csv {key} {row['heap']}: a heap has one nitrogen in a scenario")
    for row in run.unmet:
        met[(row["scenario"], row["month"], row["line"])] += row["unmet_t_equiv"]
    needed = set()
    for row in run.needs:
        key = (row["scenario"], row["month"], row["line"])
        check.true(key not in needed, f"needs.csv {key}: twice")
        needed.add(key)
        close(check, row["need_t"], row["reference_t"] * row["demand_factor"], f"needs.csv {key}: need = reference need x demand factor", row["reference_t"])
        close(check, row["demand_factor"], run.scenario[int(row["scenario"])]["demand_factor"], f"needs.csv {key}: demand factor")
        close(check, met.get(key, 0.0), row["need_t"], f"scenario {int(key[0])} {key[1]} {key[2]}: used + unmet = need", terms[key])
    for key in set(met) - needed:
        check.true(False, f"{key}: used or unmet without a need")


def stock(check, run):
    """opening + arrivals - used - lost - sold = closing; closing is the next opening; used is what flows."""
    used = defaultdict(float)
    for row in run.flows:
        used[(row["scenario"], row["heap"], row["crop_year"], row["origin"], row["source"], row["month"])] += row["t"]
    heaps = defaultdict(dict)
    for row in run.stock:
        key = (row["scenario"], row["heap"], row["crop_year"], row["origin"], row["source"])
        check.true(row["month"] not in heaps[key], f"stock.csv {key} {row['month']}: twice")
        heaps[key][row["month"]] = row
        close(check, row["opening_t"] + row["arrivals_t"] - row["used_t"] - row["lost_t"] - row["sold_t"], row["closing_t"], f"stock.csv {key} {row['month']}: balance", 5)
        close(check, row["used_t"], used.pop(key + (row["month"],), 0.0), f"stock.csv {key} {row['month']}: used = flows", 5)
    for key in used:
        check.true(False, f"{key}: flows from a heap without stock")
    months = sorted({row["month"] for row in run.needs} | {row["month"] for row in run.stock})
    for key, rows in heaps.items():
        before = None  # what lies there on the first day is an input
        for month in months:
            row = rows.get(month)
            if before is not None:
                close(check, row["opening_t"] if row else 0.0, before, f"stock.csv {key} {month}: opening = last closing")
            if row or before is not None:
                before = row["closing_t"] if row else 0.0
            elif any(m > month for m in rows):
                before = 0.0


def money(check, run):
    parts = {"contracts", "purchases", "freight", "options", "storage", "interest", "claims", "rejects", "unmet", "outlets"}
    found = defaultdict(list)
    for row in run.costs:
        found[int(row["scenario"])].append(row["part"])
    for s in run.programme:
        check.true(sorted(found.get(s, [])) == sorted(parts), f"costs.csv scenario {s}: every part once")
    check.true(set(found) == set(run.programme), "costs.csv: scenarios of the programme")
    contracts = {row["contract"] for row in run.scenarios if row["contract"]}
    accounts = defaultdict(set)
    for row in run.accounts:
        accounts[int(row["scenario"])].add(row["contract"])
    if contracts:
        check.true(all(accounts[s] == contracts for s in run.programme) and len(run.accounts) == len(contracts) * len(run.programme), "accounts.csv: every contract once a scenario")


def arrivals(check, run):
    """What comes into a backup's heaps is what was bought of it."""
    names = {(row["source"], row["origin"]) for row in run.backup_scenarios}
    bought = defaultdict(float)
    for row in run.purchases:
        bought[(row["scenario"], row["month"], row["source"], row["origin"])] += row["t"]
    came = defaultdict(float)
    for row in run.stock:
        if (row["source"], row["origin"]) in names:
            came[(row["scenario"], row["month"], row["source"], row["origin"])] += row["arrivals_t"]
    for key in set(bought) | set(came):
        found, expected = came.get(key, 0.0), bought.get(key, 0.0)
        check.true(abs(found - expected) <= 2e-6 + 1e-9 * expected, f"{key}: {found!r} t arrive, {expected!r} t are bought")
    now = defaultdict(set)
    for row in run.purchases:
        if row["stage"] == "now":
            now[(row["source"], row["month"])].add((row["scenario"], row["t"]))
    for key, orders in now.items():
        by_scenario = defaultdict(float)
        for scenario, t in orders:
            by_scenario[scenario] += t
        tonnes = list(by_scenario.values())
        same = max(tonnes) - min(tonnes) <= 2e-6
        check.true(same and len(by_scenario) == len(run.programme), f"purchases.csv {key}: ordered before the harvest is known, so the same in every scenario")


def all_balances(check, run):
    for balance in (scenarios, need, stock, money, arrivals):
        balance(check, run)
