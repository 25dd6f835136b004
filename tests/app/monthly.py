"""A season on monthly rasters only: drawn several times, planned, and the same bytes again."""
import json
import subprocess

import support
from sowing import make_season

RASTERS = """
[regions]
path = "regions.geojson"
id = "region"

[soil]
sand_pct = 40
clay_pct = 20
organic_matter_pct = 2.5

"""


def add_months(folder):
    done = subprocess.run(["/usr/bin/python3", support.HERE / "make_rasters.py", folder, "month"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    text = (folder / "season.toml").read_text().replace('model = "formulas"', 'model = "daily"', 1) + RASTERS
    for name, unit in (("rain", "mm"), ("tmin", "degC"), ("tmax", "degC")):
        text += f'[rasters.{name}]\npath = "{name}.tif"\ndates = "dates.csv"\nunit = "{unit}"\nstep = "month"\n'
    (folder / "season.toml").write_text(text)


def with_parameters(folder, words):
    text = (folder / "season.toml").read_text()
    (folder / "season.toml").write_text(text + "\n[parameters]\n" + words + "\n")


def main():
    args = support.arguments()
    check = support.Checks()
    folder = support.fresh(args.work) / "season-2027"
    make_season(args.rickyard, folder)
    add_months(folder)
    one = support.fresh(args.work / "one") / "season-2027"
    one.parent.mkdir(exist_ok=True)
    subprocess.run(["cp", "-r", folder, one], check=True)
    with_parameters(one, "monthly_draws = 1")

    document, run = support.plan(args.rickyard, folder)
    check.equal([y["year"] for y in document["years"]], [2002, 2003, 2004], "three whole seasons of months")
    check.near(sum(y["weight"] for y in document["years"]), 1, 1e-9, "years keep their weights")
    said = [w for w in document["warnings"] if "drawn 4 times from monthly totals" in w]
    check.equal(len(said), 1, "the plan says how often daily rain was drawn")
    alone, _ = support.plan(args.rickyard, one)
    check.true(any("drawn 1 times" in w for w in alone["warnings"]), "one draw where one is asked for")
    for region, single in zip(document["regions"], alone["regions"]):
        # The user's own yield is the mean of years and draws alike, before residuals.
        check.near(region["yield_t_ha"]["mean"] / single["yield_t_ha"]["mean"], 1, 0.02, f"{region['region']}: the same mean yield")
        check.true(region["by_year"] != single["by_year"], f"{region['region']}: other draws, other years")
    again, other = support.plan(args.rickyard, folder, "--threads", "2")
    check.equal((run / "plan.json").read_bytes(), (other / "plan.json").read_bytes(), "the same bytes on two threads")
    check.equal(json.dumps(again), json.dumps(document), "and the same document")
    check.done()


if __name__ == "__main__":
    main()
