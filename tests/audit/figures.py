"""Reading a run folder, weighted statistics and the list of what does not agree. Standard library only.

Written from the definitions of the plan document and its audit tables, without looking at how the program computes them.
"""
import csv
import json
import math
import pathlib
from collections import defaultdict

RANGE = ("mean", "p10", "p50", "p90")
FIGURE = 6  # decimals of figures in plan.json
FRACTION = 9  # decimals of shares, chances, weights and factors


class Table(list):
    """Rows of one CSV file as dicts; numbers are floats, empty cells None."""

    TEXT = {"month", "line", "origin", "source", "heap", "contract", "region", "stage", "part", "kind", "first_day", "last_day"}

    def __init__(self, path):
        super().__init__()
        with open(path, newline="", encoding="utf-8") as file:
            reader = csv.DictReader(file)
            self.columns = reader.fieldnames
            for row in reader:
                if None in row or None in row.values():
                    raise ValueError(f"{path}: a row has another number of fields than the header")
                self.append({name: self.value(name, text) for name, text in row.items()})

    @classmethod
    def value(cls, name, text):
        if name in cls.TEXT:
            return text
        return None if text == "" else float(text)


class Run:
    """One run folder: plan.json, manifest.json and the audit tables."""

    TABLES = ("scenarios", "backup_scenarios", "needs", "flows", "stock", "unmet", "purchases", "accounts", "costs")

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        with open(self.folder / "plan.json", encoding="utf-8") as file:
            self.plan = json.load(file)
        for name in self.TABLES:
            setattr(self, name, Table(self.folder / f"{name}.csv"))
        path = self.folder / "forecast.csv"
        self.forecast = Table(path) if path.exists() else None
        self.years = [y["year"] for y in self.plan["years"]]

        # Supply scenarios: one entry each, whatever the number of contracts.
        self.scenario = {}
        for row in self.scenarios:
            self.scenario.setdefault(int(row["scenario"]), row)
        self.weight = {s: row["weight"] for s, row in self.scenario.items()}
        self.programme = [s for s, row in sorted(self.scenario.items()) if row["in_programme"] == 1]
        self.programme_weight = {s: self.scenario[s]["programme_weight"] for s in self.programme}
        self.year_of = {s: int(row["year"]) for s, row in self.scenario.items()}

    def over_programme(self, values):
        """(value, weight) pairs; values: {scenario: value}, 0 where a scenario is missing, None where undefined."""
        return [(values.get(s, 0.0), self.programme_weight[s]) for s in self.programme]

    def over_supply(self, values):
        return [(values[s], self.weight[s]) for s in sorted(self.scenario)]

    def by_year(self, values, scenarios):
        """Plain mean over the scenarios of each weather year, in the order of the plan's years; None if one is undefined."""
        groups = defaultdict(list)
        for s in scenarios:
            groups[self.year_of[s]].append(values.get(s, 0.0))
        means = []
        for year in self.years:
            group = groups.get(year, [])
            means.append(None if None in group else math.fsum(group) / max(len(group), 1))
        return means


def mean_of(pairs):
    total = math.fsum(w for _, w in pairs)
    return math.fsum(x * w for x, w in pairs) / total


def quantile_of(pairs, p):
    """Weighted type 7: with n = (sum w)^2 / sum w^2, the share of (p(n-1)/n, p(n-1)/n + 1/n) that each value's weight covers."""
    pairs = sorted((x, w) for x, w in pairs if w > 0)
    total = math.fsum(w for _, w in pairs)
    n = total * total / math.fsum(w * w for _, w in pairs)
    low = p * (n - 1) / n
    result = covered = reach = 0.0
    for i, (x, w) in enumerate(pairs):
        reach = 1.0 if i == len(pairs) - 1 else reach + w / total
        share = min(max((reach - low) * n, 0.0), 1.0)
        result += x * (share - covered)
        covered = share
    return min(max(result, pairs[0][0]), pairs[-1][0])


def range_of(pairs):
    """Range over the pairs whose value is defined and whose weight is positive; all None without any."""
    kept = [(x, w) for x, w in pairs if x is not None and w > 0]
    if not kept:
        return dict.fromkeys(RANGE)
    return {"mean": mean_of(kept), "p10": quantile_of(kept, 0.1), "p50": quantile_of(kept, 0.5), "p90": quantile_of(kept, 0.9)}


def tail_mean(pairs, alpha):
    """Mean cost of the worst (1 - alpha) share of scenarios, the scenario on its edge counted in part."""
    pairs = sorted((x, w) for x, w in pairs if w > 0)
    total = math.fsum(w for _, w in pairs)
    reached, edge = 0.0, pairs[-1][0]
    for x, w in pairs:
        reached += w / total
        if reached >= alpha - 1e-12:
            edge = x
            break
    return edge + math.fsum(max(x - edge, 0.0) * w for x, w in pairs) / total / (1 - alpha)


class Check:
    """Compares what the plan says with what the tables give, and remembers the differences."""

    def __init__(self):
        self.held = 0
        self.failures = []

    def true(self, condition, words):
        if condition:
            self.held += 1
        else:
            self.failures.append(words)

    def equal(self, found, expected, words):
        self.true(found == expected, f"{words}: the plan says {found!r}, the tables give {expected!r}")

    def near(self, found, expected, words, decimals=FIGURE, slack=0.0):
        """Equal to one unit of the last decimal kept, or 1e-9 of the figure where that is more."""
        if found is None or expected is None:
            self.true(found is None and expected is None, f"{words}: {found} against {expected}")
            return
        tolerance = max(10.0**-decimals + slack, 1e-9 * abs(expected))
        self.true(abs(found - expected) <= tolerance, f"{words}: {found!r} against {expected!r}, {found - expected:+.3g} apart")

    def range(self, found, pairs, words, decimals=FIGURE):
        expected = range_of(pairs)
        for name in RANGE:
            self.near(found[name], expected[name], f"{words}.{name}", decimals)

    def list(self, found, expected, words, decimals=FIGURE):
        if len(found) != len(expected):
            self.true(False, f"{words}: {len(found)} entries against {len(expected)}")
            return
        for i, (f, e) in enumerate(zip(found, expected)):
            self.near(f, e, f"{words}[{i}]", decimals)


def keyed(rows, keys, figure, scenario=True):
    """{(key values): {scenario: sum of figure}} over rows."""
    sums = defaultdict(lambda: defaultdict(float))
    for row in rows:
        key = tuple(int(row[k]) if k == "crop_year" else row[k] for k in keys)
        sums[key][int(row["scenario"]) if scenario else None] += row[figure]
    return sums
