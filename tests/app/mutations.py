"""Seeded single-cell changes of the demo tables: each ends with exit 3 naming the cell, or in a valid plan that is not the base plan's bytes."""
import concurrent.futures
import csv
import random
import re
import shutil

import support

COUNT = 500
SEED = 20270301


def formulas(demo, folder):
    """The demo tables without rasters and with few drawn years, so that 500 plans take minutes, not hours."""
    folder.mkdir(parents=True)
    for path in demo.iterdir():
        if path.is_file() and path.suffix in (".csv", ".toml"):
            shutil.copy(path, folder)
    text = (folder / "season.toml").read_text()
    text = text.replace('model = "daily"', 'model = "formulas"')
    text = re.sub(r"(?ms)^\[(rasters\.[a-z_]+|regions|soil)\]\n.*?(?=^\[|\Z)", "", text)
    small = "formula_years = 4\nsupply_draws_per_year = 4\n"
    text = text.replace("[parameters]\n", "[parameters]\n" + small, 1) if "[parameters]\n" in text else text + "\n[parameters]\n" + small
    (folder / "season.toml").write_text(text)


def mutant(value, draw):
    """Another text for one cell: what slips of the hand and of spreadsheets look like."""
    choices = ["", "-1", "x", "1e99", "nan", "0", value + "0", "-" + value, value.replace(".", ","), " " + value, value + " t", "2027-13-01", "\u00e9", "=1+1", "<b>", value[::-1], value * 2]
    try:
        number = float(value)
        choices += [str(number * 10), str(number / 100), str(number + 1), str(number * 1.07)]
    except ValueError:
        pass
    while True:
        found = draw.choice(choices)
        if found != value and found.strip() != value.strip():
            return found


def all_cells(folder, tables):
    cells = []
    for table in tables:
        with open(folder / table, newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file))
        cells += [(table, r, c) for r in range(1, len(rows)) for c in range(len(rows[0]))]
    return cells


def write_mutant(base, folder, table, row, column, text):
    shutil.copytree(base, folder, ignore=shutil.ignore_patterns("runs"))
    with open(folder / table, newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    rows[row][column] = text
    with open(folder / table, "w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    return rows[0][column]


def one(program, base, folder, cell, text, base_bytes):
    """Nothing where all is well, else what went wrong."""
    table, row, column = cell
    name = write_mutant(base, folder, table, row, column, text)
    what = f"{table}:{row + 1}:{column + 1} ({name}) = {text!r}"
    done = support.run(program, "plan", folder / "season.toml", "--threads", "1", timeout=300)
    runs = folder / "runs"
    left = [p for p in runs.rglob("*") if p.is_file()] if runs.exists() else []
    try:
        if done.returncode == 0:
            plan = support.run_folder_of(done.stdout) / "plan.json"
            return f"{what}: the plan is the base plan's bytes" if plan.read_bytes() == base_bytes else None
        if left:
            return f"{what}: a failed run left {left[0]}"
        if done.returncode == 3:
            # A value that clashes with another row may be reported there, but must be named.
            named = re.search(rf"{re.escape(table)}:{row + 1}\b|{re.escape(table)}:\d+:.*\brow {row + 1}\b", done.stderr)
            return None if named else f"{what}: exit 3 does not name the row:\n{done.stderr[:600]}"
        if done.returncode == 4:
            return None if done.stderr.strip() else f"{what}: exit 4 without a word"
        return f"{what}: exit {done.returncode}\n{done.stderr[:600]}"
    finally:
        shutil.rmtree(folder)


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    base = work / "base"
    formulas(args.demo, base)
    plan, run_folder = support.plan(args.rickyard, base / "season.toml")
    check.equal(plan["season"]["model"], "formulas", "the base is planned without rasters")
    base_bytes = (run_folder / "plan.json").read_bytes()
    shutil.rmtree(base / "runs")

    draw = random.Random(SEED)
    tables = sorted(p.name for p in base.glob("*.csv"))
    cells = all_cells(base, tables)
    jobs = []
    for i in range(COUNT):
        cell = draw.choice(cells)
        with open(base / cell[0], newline="", encoding="utf-8") as file:
            value = list(csv.reader(file))[cell[1]][cell[2]]
        jobs.append((i, cell, mutant(value, draw)))
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        futures = [pool.submit(one, args.rickyard, base, work / f"m{i}", cell, text, base_bytes) for i, cell, text in jobs]
        for future in futures:
            trouble = future.result()
            check.true(trouble is None, trouble)
    check.done()


main()
