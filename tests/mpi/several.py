"""Several processes against one: the same bytes; a process that is killed ends the run with clear words; the next run goes on from there."""
import json
import os
import pathlib
import re
import signal
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "app"))
import support  # noqa: E402
from sowing import add_rasters, make_season  # noqa: E402


def mpirun(n):
    as_root = ["--allow-run-as-root"] if os.geteuid() == 0 else []
    return ["mpirun", *as_root, "--oversubscribe", "-n", str(n)]


def files_of(folder):
    return {path.relative_to(folder): path.read_bytes() for path in sorted(folder.rglob("*")) if path.suffix in (".json", ".csv") and path.name != "manifest.json"}


def check_same_bytes(check, rickyard, season, work):
    expected = None
    for n in (1, 2, 4):
        cache = work / f"cache-{n}"
        done = subprocess.run([*mpirun(n), rickyard, "plan", season, "--threads", "1", "--cache", cache, "--name", f"on-{n}"], capture_output=True, text=True,
                              timeout=600, check=False)
        if not check.equal(done.returncode, 0, f"{n} processes: {done.stderr[-800:]}"):
            continue
        run = support.run_folder_of(done.stdout)
        check.equal(done.stdout.count("Report: "), 1, f"{n} processes say one summary")
        grown = json.loads((run / "manifest.json").read_text())["crop_chunks"]["grown"]
        check.true(grown > 0, f"{n} processes grew {grown} chunks")
        found = files_of(run)
        expected = expected or found
        check.equal(found.keys(), expected.keys(), f"{n} processes write the same files")
        for name in expected:
            check.true(found.get(name) == expected[name], f"{n} processes: {name} is the same, byte for byte")
    alone, folder = support.plan(rickyard, season, "--no-cache", "--threads", "1")
    check.true(files_of(folder) == expected, "and so does one process without mpirun and without a cache")


def check_bad_input(check, rickyard, season):
    done = subprocess.run([*mpirun(3), rickyard, "plan", season / "nothing-here"], capture_output=True, text=True, timeout=120, check=False)
    check.equal(done.returncode, 3, "bad input keeps its exit code")
    check.equal(done.stderr.count("nothing-here"), 1, "and is said once, not by every process")


def wide_season(rickyard, work):
    """The small season with finer rasters, so that there are chunks enough to die between."""
    folder = support.fresh(work / "wide") / "season-2027"
    make_season(rickyard, folder)
    add_rasters(folder)
    for name in ("rain", "tmin", "tmax"):
        coarse = folder / f"{name}-coarse.tif"
        (folder / f"{name}.tif").rename(coarse)
        subprocess.run(["gdal_translate", "-q", "-r", "bilinear", "-outsize", "300", "200", "-co", "COMPRESS=DEFLATE", coarse, folder / f"{name}.tif"], check=True)
    return folder


def workers_of(rickyard):
    found = []
    for pid in filter(str.isdigit, os.listdir("/proc")):
        try:
            if os.readlink(f"/proc/{pid}/exe") == str(rickyard) and b"OMPI_COMM_WORLD_RANK=1\0" in pathlib.Path(f"/proc/{pid}/environ").read_bytes():
                found.append(int(pid))
        except OSError:
            continue
    return found


def killed_run(command, rickyard, cache, delay):
    """Starts the command, kills its second process `delay` seconds after the first crop is begun; returns the ended process and its texts."""
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    deadline = time.monotonic() + 300
    # Drafts are hidden files beside the entries.
    while time.monotonic() < deadline and process.poll() is None and not any("crop" in path.name for path in cache.glob(".*")):
        time.sleep(0.002)
    time.sleep(delay)
    for pid in workers_of(rickyard):
        os.kill(pid, signal.SIGKILL)
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err


def chunks_of(run):
    return json.loads((run / "manifest.json").read_text())["crop_chunks"]["grown"]


def check_killed(check, rickyard, work):
    season = wide_season(rickyard, work)
    expected, counted = support.plan(rickyard, season, "--cache", work / "cache-whole", "--threads", "1", "--name", "whole")
    whole = chunks_of(counted)
    # When to kill depends on the machine: between the first chunk and the last.
    for attempt, delay in enumerate((0.2, 0.1, 0.4, 0.05, 0.8, 1.6)):
        cache = work / f"cache-killed-{attempt}"
        command = [*mpirun(2), rickyard, "plan", season, "--threads", "1", "--cache", cache, "--name", f"killed-{attempt}"]
        code, out, err = killed_run(command, rickyard, cache, delay)
        if code == 0:
            continue
        check.true("another process of this run has ended" in err, f"a killed process ends the run with clear words: {err[-600:]}")
        check.true("Report: " not in out, "and no run is named")
        check.true(not list((season / "runs").rglob(f"killed-{attempt}*")), "nor one written")
        done = subprocess.run(command, capture_output=True, text=True, timeout=600, check=False)
        if not check.equal(done.returncode, 0, f"the same command again: {done.stderr[-600:]}"):
            return
        run = support.run_folder_of(done.stdout)
        check.equal(json.loads((run / "plan.json").read_text()), expected, "plans the same")
        if 0 < chunks_of(run) < whole:
            print(f"killed after {delay} s: {whole - chunks_of(run)} of {whole} chunks were not grown again")
            check.true(True, "the restart grew only what was missing")
            return
    check.true(False, "at no attempt did the restart find chunks that were finished")


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    season = work / "season-2027"
    make_season(args.rickyard, season)
    add_rasters(season)
    check.true(re.search(r"libmpi", subprocess.run(["ldd", args.rickyard], capture_output=True, text=True, check=True).stdout), "the binary links MPI")
    check_same_bytes(check, args.rickyard, season, work)
    check_bad_input(check, args.rickyard, season)
    check_killed(check, args.rickyard.resolve(), work)
    check.done()


if __name__ == "__main__":
    main()
