"""Writes four calendar years of seeded weather on a 3 x 2 grid and two regions, by GDAL's command-line tools.

Usage: make_rasters.py FOLDER [month]: a band a day, or with `month` a band a month (totals of rain, means of temperature).
"""
import json
import math
import pathlib
import random
import subprocess
import sys

FOLDER = pathlib.Path(sys.argv[1])
MONTHLY = sys.argv[2:] == ["month"]
WIDTH, HEIGHT, WEST, NORTH, SIZE = 3, 2, -28.0, 56.2, 0.1
FIRST, LAST = (2001, 9, 1), (2004, 10, 31)


def days():
    import datetime
    day, last = datetime.date(*FIRST), datetime.date(*LAST)
    while day <= last:
        yield day
        day += datetime.timedelta(days=1)


def raster(name, values):
    """values: [day][row][column], written as an ESRI ASCII grid a day, stacked into one GeoTIFF."""
    parts = []
    scratch = FOLDER / f"{name}-parts"
    scratch.mkdir()
    for i, grid in enumerate(values):
        path = scratch / f"{i:05d}.asc"
        header = f"ncols {WIDTH}\nnrows {HEIGHT}\nxllcorner {WEST}\nyllcorner {NORTH - HEIGHT * SIZE}\ncellsize {SIZE}\nNODATA_value -9999\n"
        path.write_text(header + "\n".join(" ".join(f"{v:.2f}" for v in row) for row in grid) + "\n")
        parts.append(str(path))
    listing = scratch / "list.txt"
    listing.write_text("\n".join(parts))
    subprocess.run(["gdalbuildvrt", "-q", "-separate", "-input_file_list", listing, scratch / "stack.vrt"], check=True)
    subprocess.run(["gdal_translate", "-q", "-a_srs", "EPSG:4326", "-co", "COMPRESS=DEFLATE", scratch / "stack.vrt", FOLDER / f"{name}.tif"], check=True)
    for path in scratch.iterdir():
        path.unlink()
    scratch.rmdir()


def by_month(dates, values, total):
    months = {}
    for day, grid in zip(dates, values):
        months.setdefault((day.year, day.month), []).append(grid)
    divide = (lambda grids: 1) if total else len
    return [[[sum(g[r][c] for g in grids) / divide(grids) for c in range(WIDTH)] for r in range(HEIGHT)] for grids in months.values()]


def main():
    draw = random.Random(5)
    rain, tmin, tmax, wet = [], [], [], False
    dates = list(days())
    for day in dates:
        season = math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365.25)
        wet = draw.random() < (0.65 if wet else 0.35)
        mean = 9.5 - 5.5 * season + draw.gauss(0, 1.5)
        rain.append([[draw.gammavariate(0.8, 6) if wet else 0.0 for _ in range(WIDTH)] for _ in range(HEIGHT)])
        tmin.append([[mean - 3.5 for _ in range(WIDTH)] for _ in range(HEIGHT)])
        tmax.append([[mean + 3.5 for _ in range(WIDTH)] for _ in range(HEIGHT)])
    if MONTHLY:
        rain, tmin, tmax = (by_month(dates, values, values is rain) for values in (rain, tmin, tmax))
        dates = sorted({day.replace(day=1) for day in dates})
    for name, values in (("rain", rain), ("tmin", tmin), ("tmax", tmax)):
        raster(name, values)
    (FOLDER / "dates.csv").write_text("date\n" + "\n".join(day.isoformat() for day in dates) + "\n")
    south = NORTH - HEIGHT * SIZE

    def square(region, name, west, east):
        ring = [[west, south], [east, south], [east, NORTH], [west, NORTH], [west, south]]
        return {"type": "Feature", "properties": {"region": region, "name": name}, "geometry": {"type": "Polygon", "coordinates": [ring]}}

    features = [square("north", "North shore", WEST, WEST + 0.15), square("south", "South shore", WEST + 0.15, WEST + 0.3)]
    (FOLDER / "regions.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}))


main()
