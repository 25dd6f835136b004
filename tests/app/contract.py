"""The contract command: stories B5, B6, B8, M3, M4 and M5 of the trade notes with their figures, the proposed table, limits of time."""
import json
import pathlib
import re
import shutil
import subprocess
import sys

import jsonschema

import support

SCHEMA = json.loads((support.ROOT / "io/plan_schema.json").read_text())
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
AUDIT = support.ROOT / "tests" / "audit" / "audit.py"
ANSWERS = ("frontier", "stability", "waiting", "insurance", "limit_ladder", "price_forms", "lots")


def book(folder, spread, need=6500):
    """Worked book W with closing stock equal to the opening stock, so that the crop is asked for `need`; demand without draws."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(support.HERE / "book_w", folder)
    text = (folder / "season.toml").read_text()
    if spread:
        for name in ("yield_cv", "n_year_sigma_pct", "residual_floor_yield", "residual_floor_n_pct"):
            text = re.sub(rf"^{name} = 0\n", "", text, flags=re.M)
        text = text.replace("[parameters]\n", "[parameters]\nsupply_draws_per_year = 1400\n", 1)
    (folder / "season.toml").write_text(text + "\n[closing]\nany = 4000\n")
    (folder / "demand.csv").write_text(f"line,barley_t,low_factor,high_factor\nspirit,{need},1,1\n")
    return folder / "season.toml"


def from_new_crop(season):
    """From the new crop on and without stock: what the crop does not bring must be bought or goes short."""
    text = season.read_text().replace('stock = "stock.csv"\n', "", 1).replace("any = 4000", "any = 0", 1)
    season.write_text(text.replace("seed = 7\n", 'seed = 7\nplan_from = "2027-11"\nplan_to = "2028-10"\n', 1))


def contract(rickyard, check, season, *args):
    """Runs the command; returns (plan document, run folder, what it printed)."""
    done = support.run(rickyard, "contract", season, *args)
    if done.returncode != 0:
        raise AssertionError(f"contract ended with {done.returncode}:\n{done.stdout}\n{done.stderr}")
    folder = support.run_folder_of(done.stdout)
    plan = json.loads((folder / "plan.json").read_text())
    problems = [f"{p.json_path}: {p.message[:200]}" for p in VALIDATOR.iter_errors(plan)]
    check.true(not problems, f"plan.json follows its schema: {problems[:3]}")
    for block in ANSWERS:
        check.true(block in plan, f"{block} is there")
    long = [line for line in done.stdout.splitlines() if len(line) > 80 and not line.startswith(("Report: ", "Proposed contracts: "))]
    check.true(not long, f"no line is longer than 80 characters: {long[:2]}")
    check.true("need a lawyer or a licensed" in re.sub(r"\s+", " ", done.stdout), "the cautions end the text")
    return plan, folder, done.stdout


def audited(check, folder):
    done = subprocess.run([sys.executable, AUDIT, folder, "--without-draws"], capture_output=True, text=True, check=False)
    check.true(done.returncode == 0, "audit.py recomputes the plan at the proposed amounts:\n" + done.stdout[-2000:] + done.stderr[-2000:])


def hectares_for_eight_years_in_ten(rickyard, check, work):
    """B5 and M5: need 6,500, P20 6,019 from 1,500 ha -> about 1,620 ha, median surplus about 1,390 t; 1 in 20 is 4,575 t or 5,623 t."""
    plan, folder, printed = contract(rickyard, check, book(work / "b5", spread=True))
    found = plan["hectares_needed"]
    check.equal(found["chance"], 0.8, "B5: 8 years in 10")
    check.near(found["asked_t"], 6500, 1e-6, "B5: the crop is asked for 6,500 t")
    check.near(found["qualifying_t"], 6019, 0.015 * 6019, "B5: P20")
    check.near(found["hectares"], 1500, 1e-9, "B5: hectares of the table")
    check.near(found["hectares_needed"], 1620, 0.015 * 1620, "B5: hectares needed")
    check.near(found["hectares_needed"], 1500 * 6500 / found["qualifying_t"], 1e-3, "B5: all rows scaled alike")
    check.near(found["median_surplus_t"], 1390, 0.015 * 7888, "B5: median surplus")
    # Price 200 less feed at 180 net of 300 / 28 a tonne.
    check.near(found["surplus_cost_per_t"], 200 - (180 - 300 / 28), 1e-6, "B5: a tonne over costs")
    check.near(found["median_surplus_cost"], found["median_surplus_t"] * found["surplus_cost_per_t"], 1e-3, "B5: cost of the surplus")
    check.true(re.search(r"sign\s+1,6\d\d\s+ha\s+instead\s+of\s+the\s+table's\s+1,500", printed), f"B5: said in words:\n{printed}")
    twenty = plan["supply"]["one_in_twenty"]
    check.near(twenty["t"], 4575, 0.015 * 4575, "M5: 1 in 20 with shared weather")
    check.near(twenty["if_regions_were_independent_t"], 5623, 0.015 * 5623, "M5: 1 in 20 if independent")
    check.equal([c["proposed"] for c in plan["contracts"]], [c["amount"] for c in plan["contracts"]], "rows without a range stay as they are")
    check.near(plan["dependence"]["share"], 1, 1e-9, "four contracts are all there is")
    check.equal(len(plan["dependence"]["largest"]), 4, "at most five, here four")
    # At a chance of its own.
    plan, _, _ = contract(rickyard, check, work / "b5" / "season.toml", "--chance", 0.5, "--name", "even")
    check.near(plan["hectares_needed"]["hectares_needed"], 1500 * 6500 / 7304, 0.015 * 1335, "1 year in 2")
    check.true(plan["cover"]["chance_covered"] >= 0.5 - 1e-9, "--chance holds")


def price_forms(rickyard, check, work):
    """B6: feed 150/180/220: fixed 200 -> 200/200/200; feed+30 -> 180/210/250; with a 170-210 collar -> 180/210/210."""
    season = book(work / "b6", spread=False)
    support.edit_csv(work / "b6" / "contracts.csv", lambda rows: [
        rows[0].update(price_form="fixed", price="200"), rows[1].update(price_form="feed_plus", price="", premium_per_t="30"),
        rows[2].update(price_form="collar", price="", premium_per_t="30", price_floor="170", price_ceiling="210"), rows.pop()])
    plan, folder, _ = contract(rickyard, check, season)
    forms = plan["price_forms"]
    check.equal(forms["feed_per_t"], [150, 180, 220], "B6: feed")
    own = [c[c["form"] + "_per_t"] for c in forms["contracts"]]
    check.equal(own, [[200, 200, 200], [180, 210, 250], [180, 210, 210]], "B6: each by its own form")
    for row in forms["contracts"]:
        check.equal(len({row[f"{form}_per_t"][1] for form in ("fixed", "feed_plus", "collar")}), 1, f"{row['contract']}: the forms pay the same today")
    check.equal(forms["contracts"][0]["feed_plus_per_t"], [170, 200, 240], "B6: feed + 20 beside fixed 200")
    table = support.rows_of(folder / "price_forms.csv")
    check.equal([float(table[0][c]) for c in ("feed_low_per_t", "feed_as_planned_per_t", "feed_high_per_t")], [150, 180, 220], "price_forms.csv: feed first")
    check.equal(len(table), 1 + 9, "price_forms.csv: three forms a contract")


def real_lots(rickyard, check, work):
    """B8: gap 1,200, merchant cap 600, coaster 3,000: 600 short, 1,800 over, 2,400 over and dominated; the programme never picks the third."""
    season = book(work / "b8", spread=False, need=8686)
    season.write_text(season.read_text().replace("[parameters]\n", "[parameters]\nformula_years = 3\n", 1))  # years are all alike
    from_new_crop(season)
    (work / "b8" / "backups.csv").write_text(
        "source,origin,cap_t_month,cap_t_season,cap_cv,price_per_t,freight_per_t,lot_t,price_slope\n"
        "merchant,mainland,600,600,0,230,0,0,0\n"
        "coaster,overseas,3000,3000,0,225,20,3000,0\n")
    plan, folder, printed = contract(rickyard, check, season)
    gap = plan["lots"][0]
    check.equal(gap["years"], "average", "the average year comes first")
    check.near(gap["gap_t"], 1200, 1, "B8: gap")
    by = {" + ".join(s["source"] for s in c["sources"]): c for c in gap["choices"]}
    check.equal(sorted(by), ["coaster", "merchant", "merchant + coaster"], "B8: each alone and the pair")
    check.near(by["merchant"]["short_t"], 600, 1, "B8: merchant short")
    check.near(by["coaster"]["over_t"], 1800, 1, "B8: vessel over")
    check.near(by["merchant + coaster"]["over_t"], 2400, 1, "B8: both over")
    check.equal({k: c["dominated"] for k, c in by.items()}, {"merchant": False, "coaster": False, "merchant + coaster": True}, "B8: dominated")
    check.near(by["merchant"]["grain_cost"], 600 * 230, 1e-6, "B8: cost of the merchant's grain")
    check.near(by["coaster"]["grain_cost"], 3000 * 245, 1e-6, "B8: cost of the vessel")
    check.near(by["merchant + coaster"]["grain_cost"], 600 * 230 + 3000 * 245, 1e-6, "B8: cost of both")
    check.near(by["merchant"]["short_cost"], by["merchant"]["short_t"] * 900, 1e-3, "B8: what the shortage is priced at")
    bought = {p["source"]: p["t"]["mean"] for p in plan["purchases"] if p["t"]["mean"] > 0}
    check.true(len(bought) == 1, f"B8: the programme never buys from both: {bought}")
    check.near(sum(bought.values()) % 3000, 0, 1e-6, f"B8: whole lots: {bought}")
    check.true("coaster 3,000 t: 1,800 t over" in re.sub(r"\s+", " ", printed), "B8: said in words")
    check.true(all(r["dominated"] == "yes" for r in support.rows_of(folder / "lots.csv") if r["second"]), "lots.csv marks the pair")


def open_season(folder):
    """Book W with spread, amounts to choose, one forward to order by May and a merchant who may be short after harvest."""
    season = book(folder, spread=True, need=7000)
    (folder / "contracts.csv").write_text(
        'region,contract,form,planted_ha,min_ha,max_ha,contracted_t,sign_by,yield_t_ha,harvested_share,typical_n_pct,typical_other_failure_pct,price,origin,kg_co2e_per_t\n'
        'A,"A, upper",area,500,300,600,,2027-03-31,6.0,0.97,1.48,5,200,home,300\n'
        'B,B,area,400,200,450,,2027-03-31,6.3,0.97,1.50,5,198,home,310\n'
        'C,C,area,300,,,,2027-02-01,6.6,0.97,1.53,5,200,home,\n'
        'D,D,tonnage,300,200,400,1450,2027-03-31,6.0,0.97,1.50,5,202,home,300\n')
    (folder / "backups.csv").write_text(
        "source,origin,cap_t_month,cap_t_season,cap_cv,price_per_t,freight_per_t,decide_by,price_slope,kg_co2e_per_t\n"
        "forward,mainland,400,1000,0,215,5,2027-05-01,0,400\n"
        "merchant,mainland,150,300,0.4,225,5,,2,400\n")
    (folder / "stores.csv").write_text("store,capacity_t\nshed,4300\n")
    from_new_crop(season)
    season.write_text(season.read_text().replace("[tables]\n", '[tables]\nstores = "stores.csv"\n', 1).replace("= 1400", "= 100", 1))
    return season


def never_worse(values, slack):
    return all(b >= a - slack for a, b in zip(values, values[1:]))


def decided(rickyard, check, work):
    """M3, the frontier, and the table that takes the place of the user's own."""
    season = open_season(work / "open")
    plan, folder, printed = contract(rickyard, check, season)
    audited(check, folder)
    check.equal(plan["solution"]["status"], "optimal", "solved")
    frontier = plan["frontier"]
    check.true(len(frontier) >= 9, f"{len(frontier)} points of the frontier")
    check.equal([f["lambda"] for f in frontier], sorted(f["lambda"] for f in frontier), "lambda ascending")
    scale = 1e-6 * abs(frontier[0]["expected_cost"])
    check.true(never_worse([f["expected_cost"] for f in frontier], scale), "a higher lambda: expected cost never falls")
    check.true(never_worse([-f["cvar"] for f in frontier], scale), "a higher lambda: the dearest years never get dearer")
    check.true(frontier[-1]["cvar"] < frontier[0]["cvar"] - 100 * scale, "safety can be bought")
    chosen = [f for f in frontier if f["chosen"]]
    check.equal([f["lambda"] for f in chosen], [plan["cost"]["lambda"]], "the season's own weight is among them")
    check.near(chosen[0]["cvar"], plan["cost"]["cvar"], 1e-4 * plan["cost"]["cvar"], "the plan at the proposal costs what the frontier says")
    check.near(chosen[0]["expected_cost"], plan["cost"]["total"]["mean"], 1e-4 * plan["cost"]["cvar"], "on average too")
    check.true(plan["cost"]["value_of_stochastic_solution"] >= 0, "VSS is not negative")
    check.true(plan["cost"]["value_of_perfect_information"] > 0, "EVPI is positive")

    # Amounts: the closed row stays, the others lie in their range and in the document of the frontier.
    rows = {c["contract"]: c for c in plan["contracts"]}
    check.equal(rows["C"]["proposed"], 300, "a signed row stays")
    check.true(300 <= rows["A, upper"]["proposed"] <= 600 and 200 <= rows["B"]["proposed"] <= 450, "proposals lie in their ranges")
    check.equal((rows["A, upper"]["amount"], rows["D"]["amount"], rows["D"]["unit"]), (500, 1450, "t"), "the table's amounts beside them")
    check.true(rows["A, upper"]["one_more"]["value"] is not None, "one more hectare has a value")
    check.true(any(abs(c["proposed"] - c["amount"]) > 1 for c in plan["contracts"]), "something is proposed")
    check.true(all(s["p10"] <= s["p90"] for s in plan["stability"]) and len(plan["stability"]) == 4, "stability of every contract")

    # M3: what insuring costs beside what it saves; the first month, tonnes, source and money of a failure.
    i = plan["insurance"]
    check.true(i["ordered_t"] > 0, f"M3: something is ordered ahead: {i['ordered_t']}")
    check.near(i["net_cost"], i["expected_cost"]["with_orders"] - i["expected_cost"]["without"], 1e-3, "M3: what insuring costs")
    bad = i["weight_of_bad_years"]
    check.near((1 - bad) * i["extra_in_other_years"] - bad * i["saved_in_bad_years"], i["net_cost"], 1e-3 * abs(i["expected_cost"]["without"]), "M3: extra less saved is the net")
    check.true(i["cvar"]["with_orders"] < i["cvar"]["without"], "M3: the dearest years are cheaper insured")
    dry = contract(rickyard, check, season, "--lambda", 0, "--name", "unsafe")[0]
    failure = dry["failure"]
    if check.true(failure["chance"] > 0, "without weight on bad years some year fails"):
        check.near(failure["chance"], 1 - dry["cover"]["chance_covered"], 1e-6, "M3: chance")
        check.equal(failure["first_month"], min(m for m in dry["cover"]["first_unmet_month"] if m != "never"), "M3: first month")
        check.true(failure["unmet_t"] > 0 and failure["unmet_cost"] >= 900 * failure["unmet_t"] - 1e-3, "M3: tonnes and money")
        check.true(failure["source"], "M3: the source that fails")
    check.true("Ordering" in printed and "ahead" in printed, "M3: said in words")

    # Chances by month, the store, carbon.
    until = [m["chance_met_until"] for m in plan["cover"]["by_month"]]
    check.true(never_worse([-c for c in until], 1e-9), "the chance to have met every month never rises")
    full = plan["store"]
    check.equal(full["capacity_t"], 4300, "capacity")
    check.true(full["chance_full"] >= max(m["chance_full"] for m in full["by_month"]) - 1e-9, "full in any month: at least the likeliest month")
    check.true("The store is full in" in printed, "the store is said in words")
    by_source = {s["source"]: s for s in plan["carbon"]["by_source"]}
    check.near(by_source["A, upper"]["t_co2e"], 0.3 * rows["A, upper"]["accepted_t"]["mean"], 1e-3, "carbon of a contract")
    check.near(plan["carbon"]["total_t_co2e"], sum(s["t_co2e"] for s in by_source.values()), 1e-3, "carbon adds up")
    check.near(plan["carbon"]["tonnes_without_figure"], rows["C"]["accepted_t"]["mean"], 1e-3, "tonnes without a figure are named")

    # The limit ladder.
    ladder = plan["limit_ladder"]
    check.equal([s["limit_n_pct"] for s in ladder], [1.65, 1.70, 1.75, 1.80, 1.85], "limits")
    check.true(never_worse([s["qualifying_t"]["mean"] for s in ladder], 1e-6), "a wider limit never brings less")
    check.true(never_worse([s["litres_lost_lpa"] for s in ladder], 1e-6), "barley_t need: no litres are counted")
    check.near(ladder[0]["qualifying_t"]["mean"], plan["supply"]["qualifying_t"]["mean"], 1e-3, "the season's own limit is the plan's")
    check.near(ladder[0]["expected_cost"], plan["cost"]["total"]["mean"], 1e-6 * plan["cost"]["total"]["mean"], "and costs the same")

    replaced(rickyard, check, work, folder, plan)
    return plan


def replaced(rickyard, check, work, folder, plan):
    """contracts_proposed.csv in the place of contracts.csv: nothing lost, only amounts changed, and plan gives the same amounts."""
    own, proposed = support.rows_of(work / "open" / "contracts.csv"), support.rows_of(folder / "contracts_proposed.csv")
    check.equal(list(proposed[0]), list(own[0]), "the same columns in the same order")
    check.equal(len(proposed), len(own), "the same rows")
    for before, after, block in zip(own, proposed, plan["contracts"]):
        changed = {column for column in before if before[column] != after[column]}
        check.true(changed <= {"planted_ha", "contracted_t"}, f"{block['contract']}: only amounts change: {changed}")
        amount = float(after["contracted_t" if block["unit"] == "t" else "planted_ha"])
        check.near(amount, block["proposed"], 1e-6, f"{block['contract']}: the proposed amount")
        if block["proposed"] == block["amount"]:
            check.equal(after, before, f"{block['contract']}: an amount that stays keeps its text")
    again = work / "again"
    shutil.rmtree(again, ignore_errors=True)
    shutil.copytree(work / "open", again, ignore=shutil.ignore_patterns("runs"))
    shutil.copy(folder / "contracts_proposed.csv", again / "contracts.csv")
    second, _ = support.plan(rickyard, again / "season.toml")
    check.equal([c["amount"] for c in second["contracts"]], [c["proposed"] for c in plan["contracts"]], "plan on the proposed table has the same amounts")
    for a, b in zip(plan["regions"], second["regions"]):
        check.near(b["qualifying_t"]["p10"], a["qualifying_t"]["p10"], 1e-6 * a["qualifying_t"]["p10"], f"{a['region']}: and the same grain")
    check.true("frontier" not in second and any("contract command" in w for w in second["warnings"]), "plan says what contract would answer")


def claims_kept_honest(rickyard, check, work):
    """M4: claim lines are filled first by claim grain; if short they are marked, never topped up silently."""
    season = book(work / "m4", spread=True)
    season.write_text(season.read_text().replace("= 1400", "= 100", 1))
    (work / "m4" / "demand.csv").write_text("line,spirit_lpa,low_factor,high_factor,origin_rule\nblend,700000,1,1,\nsingle farm,2600000,1,1,A\n")
    plan, folder, printed = contract(rickyard, check, season)
    check.equal([c["line"] for c in plan["claim_lines"]], ["single farm"], "one claim line")
    line = plan["claim_lines"][0]
    check.true(line["unmet_t"]["mean"] > 1, f"M4: it is short: {line['unmet_t']}")
    check.equal(line["topped_up_t"], 0, "M4: nothing from elsewhere")
    check.true(line["others_filled_while_short_t"] > 500, "M4: while other grain was there for the other line")
    flows = support.rows_of(folder / "flows.csv")
    check.equal({f["origin"] for f in flows if f["line"] == "single farm"}, {"A"}, "M4: flows of the claim line")
    check.true(len({f["origin"] for f in flows if f["line"] == "blend"}) > 1, "M4: other lines take other grain")
    check.true("none from anywhere else in any year" in re.sub(r"\s+", " ", printed), f"M4: said in words: {line['words']}")
    unmet = sum(float(r["unmet_t_equiv"]) for r in support.rows_of(folder / "unmet.csv") if r["line"] == "single farm") if (folder / "unmet.csv").exists() else None
    if unmet is not None:
        check.near(unmet / 30, line["unmet_t"]["mean"], 1e-3, "M4: unmet of the audit tables")
    # Litres: grain over N 1.50 loses, more of it at a wider limit.
    lost = [s["litres_lost_lpa"] for s in plan["limit_ladder"]]
    check.true(lost == sorted(lost) and lost[-1] > lost[0] + 100, f"a wider limit costs litres: {lost}")


def ends(rickyard, check, work):
    """Exit codes: rules that contradict, too little time, a wrong call."""
    season = open_season(work / "ends")
    (work / "ends" / "backups.csv").write_text("source,origin,cap_t_month,price_per_t\nmerchant,mainland,1,225\n")
    (work / "ends" / "demand.csv").write_text("line,barley_t\nspirit,14000\n")
    support.edit_csv(work / "ends" / "contracts.csv", lambda rows: [r.update(min_ha="", max_ha="") for r in rows])
    done = support.run(rickyard, "contract", season, "--chance", 1)
    check.equal(done.returncode, 4, f"a chance out of reach is a contradiction: {done.stderr[-300:]}")
    check.true("cannot be met with a chance of 1 (risk.p)" in done.stderr and "it is met with" in done.stderr, f"said in words: {done.stderr}")
    done = support.run(rickyard, "contract", season, "--time-limit", 0.001)
    check.equal(done.returncode, 130, f"no plan in a millisecond: {done.stdout[-200:]}{done.stderr[-200:]}")
    check.true("nothing was written" in done.stderr, "and said so")
    check.true(not (work / "ends" / "runs").exists() or not any((work / "ends" / "runs").rglob("plan.json")), "no run is left")
    for call in (["--lambda", "-1"], ["--alpha", "1"], ["--chance", "2"], ["--time-limit", "0"]):
        check.equal(support.run(rickyard, "contract", season, *call).returncode, 2, f"{call} is a wrong call")
    helped = support.run(rickyard, "contract", "--help")
    check.true(helped.returncode == 0 and "Example: rickyard contract" in helped.stdout, "--help has an example")


def same_on_threads(rickyard, check, work):
    season = open_season(work / "threads")
    folders = [contract(rickyard, check, season, "--threads", n, "--out", work / f"threads-{n}")[1] for n in (1, 3)]
    for name in sorted(p.name for p in folders[0].iterdir() if p.name != "manifest.json"):
        check.true((folders[0] / name).read_bytes() == (folders[1] / name).read_bytes(), f"{name} is the same bytes on any number of threads")


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    hectares_for_eight_years_in_ten(args.rickyard, check, work)
    price_forms(args.rickyard, check, work)
    real_lots(args.rickyard, check, work)
    decided(args.rickyard, check, work)
    claims_kept_honest(args.rickyard, check, work)
    ends(args.rickyard, check, work)
    same_on_threads(args.rickyard, check, work)
    check.done()


main()
