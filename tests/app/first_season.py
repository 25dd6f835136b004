"""The README's first season in ten minutes: new, the required columns only, check, plan; then rasters are added."""
import re
import shutil
import subprocess

import support


def fill(folder):
    """What a user types: the required columns only, and what a tonne short would cost."""
    (folder / "contracts.csv").write_text("region,form,planted_ha,yield_t_ha\nnorth,area,400,5.8\nsouth,area,350,6.2\n")
    (folder / "backups.csv").write_text("source,origin,cap_t_month,price_per_t\nmerchant,mainland,500,235\n")
    (folder / "demand.csv").write_text("line,spirit_lpa\nspirit,1200000\n")
    text = (folder / "season.toml").read_text()
    lines = ["unmet_price = 700" if re.match(r"(#: )?unmet_price *=", line) else line for line in text.splitlines()]
    (folder / "season.toml").write_text("\n".join(lines) + "\n")


def add_rasters(folder, work, script):
    """Two square regions over three years of made-up daily weather, written with GDAL's own tools."""
    done = subprocess.run(["/usr/bin/python3", script, folder], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise AssertionError(done.stderr)
    text = (folder / "season.toml").read_text()
    text = text.replace('model = "formulas"', 'model = "daily"', 1)
    text += """
[regions]
path = "regions.geojson"
id = "region"
name = "name"

[soil]
sand_pct = 40
clay_pct = 20
organic_matter_pct = 2.5

[rasters.rain]
path = "rain.tif"
dates = "dates.csv"
unit = "mm"
[rasters.tmin]
path = "tmin.tif"
dates = "dates.csv"
unit = "degC"
[rasters.tmax]
path = "tmax.tif"
dates = "dates.csv"
unit = "degC"
"""
    (folder / "season.toml").write_text(text)


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    folder = work / "season-2027"
    done = support.run(args.rickyard, "new", folder)
    check.equal(done.returncode, 0, "new makes the folder: " + done.stderr)
    done = support.run(args.rickyard, "new", folder)
    check.true(done.returncode != 0, "new never overwrites")
    fill(folder)
    done = support.run(args.rickyard, "check", folder / "season.toml")
    check.equal(done.returncode, 0, "check passes after filling in:\n" + done.stdout + done.stderr)
    plan, run_folder = support.plan(args.rickyard, folder / "season.toml")
    check.equal([r["region"] for r in plan["regions"]], ["north", "south"], "both regions are planned")
    check.true(plan["supply"]["qualifying_t"]["p50"] > 1000, "there is qualifying grain")
    check.true(any(a["name"] == "contracts.harvested_share" for a in plan["assumptions"]), "the plan lists the defaults it used")
    check.true(sum(m["need_t"] for m in plan["months"]) > 3000, "the year's litres are split over months")

    add_rasters(folder, work, support.HERE / "make_rasters.py")
    done = support.run(args.rickyard, "check", folder / "season.toml")
    check.equal(done.returncode, 0, "check passes with rasters:\n" + done.stdout + done.stderr)
    plan, run_folder = support.plan(args.rickyard, folder / "season.toml")
    check.equal(plan["season"]["model"], "daily", "the same season on past weather")
    check.equal(len(plan["years"]), 3, "three whole seasons in the archive")
    check.true((run_folder / "regions.gpkg").exists() and (run_folder / "qualifying_t_ha.tif").exists(), "maps are written")
    shutil.rmtree(work)
    check.done()


main()
