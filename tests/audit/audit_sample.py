"""The audit scripts on the sample season: they pass on it, and fail on every changed figure.

usage: audit_sample.py WRITE_SAMPLE_RUN WORK_FOLDER
"""
import pathlib
import shutil
import subprocess
import sys

import draws
from figures import quantile_of, range_of, tail_mean

HERE = pathlib.Path(__file__).resolve().parent


def near(found, expected, tolerance, words):
    if abs(found - expected) > tolerance:
        sys.exit(f"{words}: {found} instead of {expected}")


def known_figures():
    # Nine years of check-values 11: yields with the weights of an outlook of 0.5, 0.3, 0.2; weighted type 7 as the design gives it.
    yields = [4.0, 4.6, 5.0, 5.8, 6.0, 6.2, 6.4, 6.6, 6.9]
    pairs = list(zip(yields, [1 / 6] * 3 + [0.1] * 3 + [1 / 15] * 3))
    for p, expected in ((0.1, 4.224211), (0.5, 5.4), (0.9, 6.450526)):
        near(quantile_of(pairs, p), expected, 5e-7, f"quantile {p}")
    near(range_of(pairs)["mean"], 5.393333, 5e-7, "weighted mean")
    # Equal weights are type 7 of Hyndman and Fan 1996: for 1..10 the tenth percentile is 1.9.
    near(quantile_of([(x, 1.0) for x in range(1, 11)], 0.1), 1.9, 1e-12, "type 7")
    # Worst fifth of four equally likely costs 1, 2, 3, 4: all of it lies in the scenario that costs 4.
    near(tail_mean([(x, 1.0) for x in (1, 2, 3, 4)], 0.8), 4, 1e-12, "tail mean")
    near(tail_mean([(x, 1.0) for x in (1, 2, 3, 4)], 0.6), (0.25 * 4 + 0.15 * 3) / 0.4, 1e-12, "tail mean with a scenario in part")
    # Zero counter and zero key: known-answer test of the authors' Random123 distribution, kat_vectors, philox4x32 10.
    if draws.philox((0, 0, 0, 0), (0, 0)) != 0x6627E8D5:
        sys.exit("philox: another first word than in the known-answer test")


def main():
    writer, work = sys.argv[1], pathlib.Path(sys.argv[2])
    known_figures()
    shutil.rmtree(work, ignore_errors=True)
    for model in ("daily", "formulas"):
        folder = work / model
        subprocess.run([writer, folder, model], check=True, stdout=subprocess.DEVNULL)
        done = subprocess.run([sys.executable, HERE / "audit.py", folder, "--without-draws"], check=False)
        if done.returncode != 0:
            sys.exit(f"the sample season, {model}, does not pass its audit")
        done = subprocess.run([sys.executable, HERE / "tamper.py", folder, work / f"{model}-tampered"], check=False)
        if done.returncode != 0:
            sys.exit(f"the sample season, {model}: a changed figure was not seen")
    again = work / "again"
    subprocess.run([writer, again, "daily"], check=True, stdout=subprocess.DEVNULL)
    for path in sorted((work / "daily").iterdir()):
        if path.read_bytes() != (again / path.name).read_bytes():
            sys.exit(f"{path.name}: other bytes when written again")


main()
