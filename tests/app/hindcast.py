"""The command hindcast: a grower's record (story L4), real barley trials, a daily season with and without deliveries, schema, threads, wrong calls.

Real data: the site-by-year trials of python3-vega-datasets (Immer, Hayes & Powers 1934: six sites, ten varieties, 1931 and 1932).
"""
import copy
import json
import math
import pathlib
import re
import shutil
import signal
import subprocess
import time

import jsonschema

import monthly
import sowing
import support

SCHEMA = json.loads((support.ROOT / "io/hindcast_schema.json").read_text())
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
BARLEY = "/usr/lib/python3/dist-packages/vega_datasets/_data/barley.json"
TONNES_PER_HA = 48 * 0.45359237 / 1000 / 0.40468564224  # of a bushel of 48 lb an acre


def hindcast(rickyard, season, *args):
    """Runs the command and returns (document, run folder, what it printed)."""
    done = support.run(rickyard, "hindcast", season, *args)
    assert done.returncode == 0, f"{done.returncode}\n{done.stdout}\n{done.stderr}"
    folder = pathlib.Path(re.search(r"^All seasons: (.*)$", done.stdout, re.M).group(1)).parent
    return json.loads((folder / "hindcast.json").read_text()), folder, done.stdout


def walk(node, path=()):
    yield path, node
    for key, child in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        yield from walk(child, path + (key,))


def check_schema(check, document):
    problems = [f"{p.json_path}: {p.message[:120]}" for p in VALIDATOR.iter_errors(document)]
    check.equal(problems, [], "hindcast.json is valid")
    seen, refused, tried = set(), 0, 0
    for path, node in list(walk(document)):
        kind = tuple("[]" if isinstance(step, int) else step for step in path)
        if kind in seen or not isinstance(node, dict):
            continue
        seen.add(kind)
        for key in [None, *node]:
            changed = copy.deepcopy(document)
            at = changed
            for step in path:
                at = at[step]
            if key is None:
                at["extra"] = 1
            else:
                del at[key]
            tried += 1
            refused += not VALIDATOR.is_valid(changed)
    check.true(tried > 80, f"{tried} changes were tried")
    check.equal(refused, tried, "an extra key and each missing key are refused, everywhere")


def use_history(folder, rows):
    columns = list(dict.fromkeys(key for row in rows for key in row))
    lines = [",".join(columns)] + [",".join(str(row.get(c, "")) for c in columns) for row in rows]
    (folder / "history.csv").write_text("\n".join(lines) + "\n")
    text = (folder / "season.toml").read_text()
    if not re.search(r"^history *=", text, re.M):
        text = re.sub(r"^#:? ?history *=.*\n", "", text, flags=re.M)
        text = text.replace("[tables]\n", '[tables]\nhistory = "history.csv"\n', 1)
    (folder / "season.toml").write_text(text)


def check_grower(check, rickyard, folder):
    """Story L4 on formulas."""
    region = [6.1, 5.6, 6.4, 5.9, 5.1, 6.3, 6.0, 5.7]
    farm = [0.95, 0.86, 0.90, 1.01, 0.88, 0.93, 0.84, 0.90]
    rows = [{"region": "north", "crop_year": 2019 + i, "planted_ha": 400, "delivered_t": round(400 * y)} for i, y in enumerate(region)]
    rows += [{"region": "north", "grower": "hill farm", "crop_year": 2019 + i, "planted_ha": 30, "delivered_t": round(30 * y * f)}
             for i, (y, f) in enumerate(zip(region, farm))]
    rows += [{"region": "north", "grower": "shore farm", "crop_year": 2023 + i, "planted_ha": 25, "delivered_t": 140} for i in range(4)]
    use_history(folder, rows)
    document, run, printed = hindcast(rickyard, folder)
    check_schema(check, document)
    block = document["hindcast"]
    hill = [r for r in block["growers"] if r["grower"] == "hill farm"]
    check.equal([r["year"] for r in hill], list(range(2019, 2027)), "eight seasons of the grower")
    hits = sum(r["delivered"]["forecast_t"]["p10"] <= r["delivered"]["came_t"] <= r["delivered"]["forecast_t"]["p90"] for r in hill)
    scores = {s["grower"]: s["scores"] for s in block["grower_scores"]}
    check.equal((scores["hill farm"]["n"], scores["hill farm"]["hits"], scores["hill farm"]["hits_interval"]), (8, hits, [4, 8]), "hits counted, 4 to 8 of 8")
    check.true(hits >= 5 and scores["hill farm"]["verdict"] != "too few", f"eight seasons are enough: {scores['hill farm']}")
    check.equal((scores["shore farm"]["n"], scores["shore farm"]["verdict"]), (4, "too few"), "four seasons are too few")
    check.true(re.search(r"^shore farm, north .* too few$", printed, re.M) is not None, f"and the text says so:\n{printed}")
    check.true(re.search(rf"^hill farm, north +{hits} of 8 \(4 to 8\)", printed, re.M) is not None, "hits of the grower in the text")
    for r in hill:
        mean = r["delivered"]["forecast_t"]["mean"]
        check.true(30 * 4.6 < mean < 30 * 5.9, f"predicted like the farm's other seasons: {r['year']} {mean}")
    rows = support.rows_of(run / "hindcast_growers.csv")
    check.equal(len(rows), 12, "hindcast_growers.csv: a row for each season")
    check.near(float(rows[0]["delivered_crps_t"]), hill[0]["delivered"]["crps"], 1e-9, "its cells are fields of the document")
    check.true("Past scores promise nothing" in printed and "Past scores promise nothing" in document["cautions"][0], "the caution is printed")
    check.true(any("knows no weather" in w for w in document["warnings"]), "formulas: one date stands for all, and that is said")


def check_barley(check, rickyard, folder):
    """Real trials through the reader, calibration and scoring."""
    plots = [(p["site"].lower().replace(" ", "_"), p["variety"].replace(" ", "_").replace(".", ""), p["year"], p["yield"] * TONNES_PER_HA)
             for p in json.load(open(BARLEY, encoding="utf-8"))]
    check.equal(len(plots), 120, "120 plots")
    sites = sorted({p[0] for p in plots})
    mean = sum(p[3] for p in plots) / len(plots)
    check.near(mean / TONNES_PER_HA, 34.42056, 5e-5, "their mean in bushels an acre")
    done = support.run(rickyard, "new", folder)
    assert done.returncode == 0, done.stderr
    (folder / "contracts.csv").write_text("region,form,planted_ha,harvested_share,yield_t_ha\n" + "".join(f"{s},area,10,1,{mean:.4f}\n" for s in sites))
    (folder / "backups.csv").write_text("source,origin,cap_t_month,price_per_t\nmerchant,mainland,500,235\n")
    (folder / "demand.csv").write_text("line,spirit_lpa\nspirit,10000\n")
    text = (folder / "season.toml").read_text()
    (folder / "season.toml").write_text(re.sub(r"^(#: )?unmet_price *=.*$", "unmet_price = 700", text, flags=re.M))
    use_history(folder, [{"region": s, "grower": v, "crop_year": y, "planted_ha": 1, "delivered_t": f"{t:.5f}"} for s, v, y, t in plots])
    document, _, printed = hindcast(rickyard, folder)
    block, backtest = document["hindcast"], document["backtest"]
    check.equal((backtest["kind"], backtest["of"], backtest["n"], backtest["verdict"]), ("deliveries", "delivered", 2, "too few"), "two seasons are too few")
    for year, bushels in ((1931, 37.07778), (1932, 31.76333)):
        total = next(r for r in block["rows"] if r["year"] == year and r["region"] is None)
        check.near(total["delivered"]["came_t"], 60 * bushels * TONNES_PER_HA, 1e-3, f"{year}: what came is the sum of sixty plots")
    for site, bushels in (("waseca", 54.3467), ("morris", 29.2867)):
        row = next(r for r in block["rows"] if r["year"] == 1931 and r["region"] == site)
        check.near(row["delivered"]["came_t"], 10 * bushels * TONNES_PER_HA, 1e-3, f"{site} 1931")
        # The forecast of 1931 knows 1932 only: Waseca's 41.87 pulls it up from the mean of all, Morris's 41.51 too.
        check.true(row["delivered"]["forecast_t"]["p50"] > 10 * mean * 0.9, f"{site}: learnt from the other season")
    hits = sum(r["delivered"]["hit"] for r in block["rows"] if r["region"])
    scores = next(s["scores"] for s in block["scores"] if s["region"] is None)
    print(f"barley trials: {hits} of 12 site seasons inside P10 to P90; all sites together {scores['hits']} of 2, bias {scores['bias']:.1f} t of {scores['mean_came']:.1f}, "
          f"CRPS {scores['crps']:.1f} t, RMSE {scores['rmse']:.1f} t")
    check.true(all(s["scores"]["verdict"] == "too few" for s in block["scores"] + block["grower_scores"]), "no verdict from two seasons, of nobody")
    check.equal(len(block["grower_scores"]), 60, "sixty plots as growers")
    check.true("too few" in printed, "and that is printed")


def check_daily(check, rickyard, folder):
    sowing.add_rasters(folder)
    (folder / "history.csv").unlink()
    text = (folder / "season.toml").read_text()
    (folder / "season.toml").write_text(re.sub(r"^history *=.*\n", "", text, flags=re.M))
    document, run, printed = hindcast(rickyard, folder, "--threads", 1)
    check_schema(check, document)
    years = document["hindcast"]["years"]
    check.equal(document["backtest"]["kind"], "self-test", "without deliveries a self-test")
    check.true(document["backtest"]["verdict"] is None and all(s["scores"]["verdict"] is None for s in document["hindcast"]["scores"]), "and no verdict")
    check.true("not evidence of skill" in printed and "Verdict" not in printed and "verdict" not in printed, f"said in words:\n{printed}")
    check.equal([d["name"] for d in document["hindcast"]["dates"]], ["sowing", "05-01", "06-01", "07-15"], "four dates")
    check.equal(sorted(p.name for p in run.iterdir()), ["hindcast.csv", "hindcast.json", "hindcast_ranks.csv", "hindcast_scores.csv", "manifest.json"], "what a run leaves")
    rows = support.rows_of(run / "hindcast.csv")
    check.equal(len(rows), len(years) * 4 * 3, "hindcast.csv: a row for each season, date and region, and all together")
    ranks = support.rows_of(run / "hindcast_ranks.csv")
    check.true(all(sum(int(r[f"class_{i}"]) for i in range(1, 11)) == len(years) for r in ranks), "every season has a rank")
    check.true(all(len(line) <= 110 for line in printed.splitlines() if not line.startswith("All seasons")), f"lines fit a terminal:\n{printed}")
    for threads in (2, 4):
        _, again, _ = hindcast(rickyard, folder, "--threads", threads)
        for path in sorted(p for p in run.iterdir() if p.name != "manifest.json"):
            check.true(path.read_bytes() == (again / path.name).read_bytes(), f"{path.name}: the same bytes on {threads} threads")

    use_history(folder, [{"region": r, "crop_year": y, "planted_ha": 300, "delivered_t": 1500, "qualifying_t": 600, "n_pct": 1.70, "limit_n_pct": 1.65}
                         for r in ("north", "south") for y in years])
    document, run, printed = hindcast(rickyard, folder, "--date", "06-01", "--date", "sowing", "--year", years[-1], "--year", years[0], "--name", "two",
                                      "--note", "for the meeting")
    check.equal((document["hindcast"]["years"], document["backtest"]["date"], document["backtest"]["verdict"]), ([years[0], years[-1]], "06-01", "too few"),
                "two seasons, the headline on the first date")
    check.true(all(r["lost_to"] == "limit" and r["limit_n_pct"] == 1.65 for r in document["hindcast"]["rows"]), "high nitrogen: lost to the limit")
    check.true("lost to the limit of 1.65 % N" in printed, "in words")
    check.true(run.name.startswith("two-") and json.loads((run / "manifest.json").read_text())["note"] == "for the meeting", "name and note")
    for r in document["hindcast"]["rows"]:
        check.near(r["field_t"] + r["intake_t"], r["qualifying"]["came_t"] - r["qualifying"]["forecast_t"]["mean"], 1e-5, "field and intake are what is missing")
    done = support.run(rickyard, "hindcast", folder, "--date", "05-01", "--json")
    check.equal(json.loads(done.stdout)["hindcast"]["dates"], [{"name": "05-01", "day": "05-01"}], "--json prints the document")


def check_plan(check, rickyard, folder):
    """plan --backtest: the block beside the plan, and nothing else moved."""
    schema = jsonschema.Draft202012Validator(json.loads((support.ROOT / "io/plan_schema.json").read_text()))
    plain, _ = support.plan(rickyard, folder)
    plan, _ = support.plan(rickyard, folder, "--backtest")
    check.true("backtest" not in plain and any("the command hindcast makes it" in w for w in plain["warnings"]), "without it a line says where it is")
    check.equal([p.message for p in schema.iter_errors(plan)], [], "plan.json with a back-test is valid")
    block = plan["backtest"]
    check.equal((block["kind"], block["n"], block["verdict"]), ("deliveries", 3, "too few"), "three seasons beside the plan are too few")
    document, _, _ = hindcast(rickyard, folder, "--date", block["date"])
    check.equal(document["backtest"], block, "the same as the command hindcast on that date")
    for key in plain:
        if key not in ("warnings", "cautions"):
            check.equal(plan[key], plain[key], f"{key} is the plan's, with or without")
    check.true(any("Past scores promise nothing" in c for c in plan["cautions"]), "with its caution")
    broken = copy.deepcopy(plan)
    broken["backtest"]["extra"] = 1
    check.true(not schema.is_valid(broken), "the block is strict")


def check_monthly(check, rickyard, folder):
    """Daily rain drawn four times from monthly rasters: every draw begins with its own water, kept or not."""
    sowing.make_season(rickyard, folder)
    monthly.add_months(folder)
    document, run, _ = hindcast(rickyard, folder)
    check_schema(check, document)
    check.true(any("drawn 4 times" in w for w in document["warnings"]), "monthly rain is said to be drawn")
    check.equal(document["backtest"]["n"], 3, "three seasons")
    _, again, _ = hindcast(rickyard, folder, "--no-cache", "--threads", 3)
    check.true((run / "hindcast.json").read_bytes() == (again / "hindcast.json").read_bytes(), "the same bytes with nothing kept")


def check_interrupt(check, rickyard, demo, work):
    """Stopped in the middle of past seasons: exit code 130, nothing left."""
    season = support.fresh(work / "stopped")
    for path in demo.iterdir():
        if path.name != "runs":
            (season / path.name).symlink_to(path)
    process = subprocess.Popen([str(rickyard), "hindcast", str(season)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                               preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler))
    time.sleep(4)
    process.send_signal(signal.SIGINT)
    said = process.communicate(timeout=300)[1]
    check.equal(process.returncode, 130, "interrupted")
    check.true("nothing was written" in said, "and said so")
    check.equal(sorted((season / "runs").rglob("*.json")), [], "nothing is left")


def check_refusals(check, rickyard, folder):
    for args, code, words in ((["--date", "june"], 3, "MM-DD"), (["--date", "02-30"], 3, "MM-DD"), (["--year", "1850"], 3, "choose years from"), (["--year", "x"], 2, ""),
                              (["--threads", "-1"], 2, "")):
        before = sorted((folder / "runs").rglob("*"))
        done = support.run(rickyard, "hindcast", folder, *args)
        check.equal(done.returncode, code, f"hindcast {args}: {done.stderr}")
        check.true(words in done.stderr, f"hindcast {args} says: {done.stderr}")
        check.equal(sorted((folder / "runs").rglob("*")), before, "a refused call leaves nothing")
    done = support.run(rickyard, "hindcast", "--help")
    check.true(done.returncode == 0 and "Example: rickyard hindcast" in done.stdout, "help has an example")


def check_demo(check, rickyard, demo, work):
    """Eight seasons of deliveries with planted faults: the limit of the drought year is the one of that year."""
    season = support.fresh(work / "demo")
    for path in demo.iterdir():
        if path.name != "runs":
            (season / path.name).symlink_to(path)
    document, _, printed = hindcast(rickyard, season, *[a for y in range(2019, 2027) for a in ("--year", y)], "--date", "sowing", "--date", "07-15")
    check_schema(check, document)
    b = document["backtest"]
    check.equal((b["kind"], b["of"], b["n"], b["hits_interval"]), ("deliveries", "qualifying", 8, [4, 8]), "eight seasons of deliveries")
    limits = {r["year"]: r["limit_n_pct"] for r in document["hindcast"]["rows"] if r["region"] is None}
    check.equal([limits[y] for y in range(2019, 2027)], [1.65, 1.65, 1.65, 1.75, 1.65, 1.65, 1.65, 1.65], "the limit in force each year")
    total = sum(float(r["qualifying_t"]) * (100 - float(r["moisture_pct"])) / 85.5 for r in support.rows_of(demo / "history.csv") if r["crop_year"] == "2024")
    row = next(r for r in document["hindcast"]["rows"] if r["year"] == 2024 and r["region"] is None and r["date"] == "sowing")
    check.near(row["qualifying"]["came_t"], total, 1e-3, "what came in 2024, at 14.5 %")
    check.true(b["verdict"] in ("good", "no better than a five-year mean", "ranges too narrow", "ranges too wide"), f"a verdict: {b['verdict']}")
    check.true(math.isclose(b["crps"], next(s["scores"]["crps"] for s in document["hindcast"]["scores"] if s["region"] is None)), "the headline is the total's")
    print(printed)


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    folder = work / "season-2027"
    sowing.make_season(args.rickyard, folder)
    check_grower(check, args.rickyard, folder)
    check_barley(check, args.rickyard, work / "trials")
    check_daily(check, args.rickyard, folder)
    check_plan(check, args.rickyard, folder)
    check_refusals(check, args.rickyard, folder)
    check_monthly(check, args.rickyard, work / "monthly")
    check_demo(check, args.rickyard, args.demo, work)
    check_interrupt(check, args.rickyard, args.demo, work)
    shutil.rmtree(work)
    check.done()


if __name__ == "__main__":
    main()
