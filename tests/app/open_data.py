"""Real monthly rasters over real counties, from Debian packages: refused until the season file says what the data do not, then planned to the end.

r-cran-stars: bcsd_obs_1999.nc (monthly rain in "mm/m" and mean temperature of 1999); r-cran-sf: nc.gpkg (North Carolina counties, NAD27).
"""
import re
import shutil
import sqlite3
import subprocess

import support

SITE = "/usr/lib/R/site-library"
WEATHER = f"{SITE}/stars/nc/bcsd_obs_1999.nc"
COUNTIES = f"{SITE}/sf/gpkg/nc.gpkg"

SEASON = """crop_year = 2000
as_of = 2000-03-01
currency = "USD"
seed = 1
model = "daily"
start = "field_capacity"
{range}

[tables]
contracts = "contracts.csv"
backups = "backups.csv"
demand = "demand.csv"
stock = "stock.csv"

[regions]
path = "counties.gpkg"
id = "NAME"

[rasters.rain]
path = "bcsd_obs_1999.nc"
variable = "pr"
step = "month"
{crs}
{unit}

[rasters.tmean]
path = "bcsd_obs_1999.nc"
variable = "tas"
step = "month"
unit = "degC"
{crs}

[soil]
sand_pct = 60
clay_pct = 15
organic_matter_pct = 2

[risk]
unmet_price = 900
"""
SAID = {"range": "diurnal_range_c = 12", "crs": 'crs = "EPSG:4326"', "unit": 'unit = "mm/month"'}


def season_text(without=None):
    return SEASON.format(**{key: "" if key == without else words for key, words in SAID.items()})


def county_names(path):
    with sqlite3.connect(path) as database:
        table = database.execute("select table_name from gpkg_contents where data_type = 'features'").fetchone()[0]
        return table, [row[0] for row in database.execute(f'select NAME from "{table}" order by fid')]


def write_tables(folder, counties):
    lines = ["region,form,planted_ha,yield_t_ha,sow_planned"] + [f"{name},area,40,4.5,2000-03-01" for name in counties]
    (folder / "contracts.csv").write_text("\n".join(lines) + "\n")
    (folder / "backups.csv").write_text("source,origin,cap_t_month,price_per_t\nmerchant,north,2000,240\n")
    (folder / "demand.csv").write_text("line,barley_t\nspirit,12000\n")
    (folder / "stock.csv").write_text("origin,crop_year,tonnes\nnorth,1999,8000\n")


def main():
    args = support.arguments()
    check = support.Checks()
    folder = support.fresh(args.work) / "counties"
    folder.mkdir()
    shutil.copy(WEATHER, folder)
    shutil.copy(COUNTIES, folder / "counties.gpkg")
    table, counties = county_names(folder / "counties.gpkg")
    write_tables(folder, counties)
    season = folder / "season.toml"

    for missing, word in (("crs", "coordinate reference system"), ("unit", "unit"), ("range", "diurnal_range_c")):
        season.write_text(season_text(missing))
        done = support.run(args.rickyard, "check", season)
        check.equal(done.returncode, 3, f"refused without {missing}:\n{done.stdout}{done.stderr}")
        check.true(word in done.stdout, f"the refusal speaks of {word}:\n{done.stdout[:1500]}")

    season.write_text(season_text())
    done = support.run(args.rickyard, "check", season)
    check.equal(done.returncode, 3, "counties with too little weather are errors")
    poor = [name for name in counties if re.search(rf"^error: .*\b{re.escape(name)}\b", done.stdout, re.MULTILINE)]
    check.true(0 < len(poor) < 20, f"counties named as errors: {poor}")

    good = [name for name in counties if name not in poor]
    quoted = ",".join("'" + name.replace("'", "''") + "'" for name in poor)
    subprocess.run(["ogr2ogr", "-q", folder / "some.gpkg", COUNTIES, table, "-where", f"NAME NOT IN ({quoted})"], check=True)
    (folder / "some.gpkg").replace(folder / "counties.gpkg")
    write_tables(folder, good)
    done = support.run(args.rickyard, "check", season)
    check.equal(done.returncode, 0, "without them it checks:\n" + done.stdout[-2000:])
    plan, run_folder = support.plan(args.rickyard, season)
    check.equal(len(plan["years"]), 1, "one weather year")
    check.true(any("one year, no range" in w for w in plan["warnings"]), "marked: one year, no range")
    check.true(any("monthly" in w for w in plan["warnings"]), "marked: daily rain was drawn from monthly totals")
    check.equal(len(plan["regions"]), len(good), "every remaining county is planned")
    check.true(all(region["harvested"]["p50"] for region in plan["regions"]), "every county is harvested")
    declared = {a["name"] for a in plan["assumptions"] if "declared" in a["source"]}
    check.true(any("crs" in d for d in declared) and any("unit" in d for d in declared), f"declared by the user: {declared}")
    check.true((run_folder / "qualifying_t_ha.tif").exists(), "the map is written")
    check.done()


main()
