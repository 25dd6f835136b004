"""Recomputes the two figures of the plan that rest on random draws: independent regions, and sampling intervals.

Philox4x32-10 after Salmon et al. 2011, "Parallel random numbers: as easy as 1, 2, 3" (constants of table 2 there).
"""
from bisect import bisect_right
from collections import defaultdict
from itertools import accumulate

from figures import quantile_of

MASK = 0xFFFFFFFF
INDEPENDENCE, BOOTSTRAP = 3, 4  # purposes: the second key word


def philox(counter, key):
    """First output word."""
    c0, c1, c2, c3 = counter
    k0, k1 = key
    for _ in range(10):
        p0, p1 = 0xD2511F53 * c0, 0xCD9E8D57 * c2
        c0, c1, c2, c3 = (p1 >> 32) ^ c1 ^ k0, p1 & MASK, (p0 >> 32) ^ c3 ^ k1, p0 & MASK
        k0, k1 = (k0 + 0x9E3779B9) & MASK, (k1 + 0xBB67AE85) & MASK
    return c0


def uniform(seed, purpose, draw, place, index):
    return (philox((0, draw, place, index), (seed, purpose)) + 0.5) / 4294967296.0


def pick(cumulative, u):
    return min(bisect_right(cumulative, u * cumulative[-1]), len(cumulative) - 1)


def parameters(run):
    values = {a["name"]: a["value"] for a in run.plan["assumptions"]}
    names = ("independence_draws", "bootstrap_replicates", "bootstrap_level")
    return [float(values[n]) for n in names] if all(n in values for n in names) else None


def independent(check, run, draws):
    """Every region draws its own year and its own draw of that year."""
    seed = run.plan["season"]["seed"]
    places = list(dict.fromkeys(r["region"] for r in run.scenarios if r["contract"]))  # in the order of the contracts
    tonnes = defaultdict(float)
    for row in run.scenarios:
        if row["contract"]:
            tonnes[(row["region"], int(row["scenario"]))] += row["qualifying_t"]
    of_year = defaultdict(list)
    for s in sorted(run.scenario):
        of_year[run.year_of[s]].append(s)
    cumulative = list(accumulate(sum(run.weight[s] for s in of_year[y]) for y in run.years))
    totals = []
    for j in range(draws):
        total = 0.0
        for r, region in enumerate(places):
            group = of_year[run.years[pick(cumulative, uniform(seed, INDEPENDENCE, j, r, 0))]]
            total += tonnes[(region, group[min(int(uniform(seed, INDEPENDENCE, j, r, 1) * len(group)), len(group) - 1)])]
        totals.append((total, 1.0))
    check.range(run.plan["supply"]["if_regions_were_independent"], totals, "supply.if_regions_were_independent")
    twenty = run.plan["supply"]["one_in_twenty"]
    check.near(twenty["if_regions_were_independent_t"], quantile_of(totals, 0.05), "supply.one_in_twenty, independent")
    together = defaultdict(float)
    for (_, s), t in tonnes.items():
        together[s] += t
    check.near(twenty["t"], quantile_of([(t, run.weight[s]) for s, t in together.items()], 0.05), "supply.one_in_twenty")


def sampling(check, run, replicates, level):
    """Years drawn again with their weights; the spread of each quantile of the total over the replicates."""
    seed = run.plan["season"]["seed"]
    total = defaultdict(float)
    for row in run.scenarios:
        total[int(row["scenario"])] += row["qualifying_t"] or 0.0
    ordered = sorted((t, run.years.index(run.year_of[s])) for s, t in total.items())
    size = [sum(1 for s in run.scenario if run.year_of[s] == y) for y in run.years]
    weights = [sum(run.weight[s] for s in run.scenario if run.year_of[s] == y) for y in run.years]
    cumulative = list(accumulate(weights))
    worth = int(sum(weights) ** 2 / sum(w * w for w in weights) + 0.5)  # years that the weights are worth
    if worth < 2:
        for name, shown in run.plan["supply"]["sampling"].items():
            check.equal(shown, [None, None], f"supply.sampling.{name} from one year")
        return
    found = {0.1: [], 0.5: [], 0.9: []}
    for b in range(replicates):
        count = [0] * len(run.years)
        for i in range(worth):
            count[pick(cumulative, uniform(seed, BOOTSTRAP, b, i, 0))] += 1
        weight = sum(c * n for c, n in zip(count, size))
        n = weight * weight / sum(c * c * k for c, k in zip(count, size))
        lows = {p: p * (n - 1) / n for p in found}
        sums, covered, reach = dict.fromkeys(found, 0.0), dict.fromkeys(found, 0.0), 0.0
        for t, y in ordered:
            if not count[y]:
                continue
            reach += count[y]
            for p in found:
                share = min(max((reach / weight - lows[p]) * n, 0.0), 1.0)
                if share > covered[p]:
                    sums[p] += t * (share - covered[p])
                    covered[p] = share
        for p in found:
            found[p].append((sums[p], 1.0))
    for p, name in ((0.1, "p10"), (0.5, "p50"), (0.9, "p90")):
        shown = run.plan["supply"]["sampling"][name]
        check.near(shown[0], quantile_of(found[p], (1 - level) / 2), f"supply.sampling.{name}[0]")
        check.near(shown[1], quantile_of(found[p], 1 - (1 - level) / 2), f"supply.sampling.{name}[1]")


def all_draws(check, run):
    # Test vector of METHODS.md, "Draws".
    check.equal(philox((2003, 5, 2, 1), (7, 1)), 0x73BF38AD, "Philox test vector")
    found = parameters(run)
    check.true(found is not None, "plan.json lists the numbers of draws among its assumptions")
    if found:
        independent(check, run, int(found[0]))
        sampling(check, run, int(found[1]), found[2])
