"""Shared by the scripts of this folder: run the program, read a run folder, check figures."""
import argparse
import csv
import json
import os
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent


def arguments():
    parser = argparse.ArgumentParser()
    parser.add_argument("--rickyard", required=True, type=pathlib.Path)
    parser.add_argument("--work", required=True, type=pathlib.Path, help="a folder of this test's own")
    parser.add_argument("--demo", type=pathlib.Path, help="the made demo season folder")
    args = parser.parse_args()
    # What the program keeps between runs stays in the test's own folder.
    os.environ["XDG_CACHE_HOME"] = str(args.work.parent / f"{args.work.name}-cache")
    return args


class Checks:
    """Counts what held and what did not; prints what did not; exit code at the end."""

    def __init__(self):
        self.held = 0
        self.failed = 0

    def true(self, condition, words):
        if condition:
            self.held += 1
        else:
            self.failed += 1
            print("FAILED:", words)
        return bool(condition)

    def equal(self, found, expected, words):
        return self.true(found == expected, f"{words}: found {found!r}, expected {expected!r}")

    def near(self, found, expected, tolerance, words):
        return self.true(abs(found - expected) <= tolerance, f"{words}: found {found}, expected {expected} within {tolerance}")

    def done(self):
        print(f"{self.held} checks held, {self.failed} failed")
        sys.exit(1 if self.failed or not self.held else 0)


def run(program, *args, timeout=600, **more):
    return subprocess.run([str(program), *map(str, args)], capture_output=True, text=True, timeout=timeout, check=False, **more)


def run_folder_of(out):
    """The run folder named by the last line of a plan's output."""
    lines = [line for line in out.splitlines() if line.startswith("Report: ")]
    if not lines:
        raise AssertionError("no line names the report:\n" + out)
    return pathlib.Path(lines[-1][len("Report: "):]).parent


def plan(program, season, *args, timeout=600):
    """Plans and returns (plan document, run folder)."""
    done = run(program, "plan", season, *args, timeout=timeout)
    if done.returncode != 0:
        raise AssertionError(f"plan ended with {done.returncode}:\n{done.stdout}\n{done.stderr}")
    folder = run_folder_of(done.stdout)
    return json.loads((folder / "plan.json").read_text()), folder


def rows_of(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def edit_csv(path, change):
    """Applies change(rows) to a CSV file's list of dicts, keeping the columns."""
    with open(path, newline="", encoding="utf-8") as file:
        reader = csv.DictReader(file)
        columns, rows = reader.fieldnames, list(reader)
    change(rows)
    for row in rows:
        for column in row:
            if column not in columns:
                columns.append(column)
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def fresh(folder):
    """An empty folder."""
    import shutil
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder
