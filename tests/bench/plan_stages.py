"""What both scripts share: finding programs, a whole `rickyard plan` watched stage by stage, a table of it, growth exponents."""
import math
import os
import pty
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
STAGES = {"reading regions and rasters": "reading", "growing the crop in every weather year": "crop", "forecasting the harvest": "forecast",
          "growing the crop as far as it is known, and under": "season in hand", "drawing the supply": "supply",
          "measuring past seasons": "reference", "solving the sourcing programme": "programme", "writing the run": "writing"}
TICK = os.sysconf("SC_CLK_TCK")


def program(name, build):
    found = sorted(Path(build).rglob(name))
    found = [path for path in found if path.is_file() and os.access(path, os.X_OK)]
    if not found:
        sys.exit(f"bench: no {name} under {build}; build it (tests/bench/run does), or name the folder with --build")
    return str(found[0])


def folder_gb(folder):
    return sum(path.stat().st_size for path in Path(folder).rglob("*") if path.is_file()) / 1e9


class Watch:
    """Wall and CPU seconds and peak memory of a process by the stage it says it is in."""

    def __init__(self):
        self.stages, self.name = {}, "start"
        self.wall = self.cpu = self.begin_wall = self.begin_cpu = 0

    def sample(self, pid):
        try:
            fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
            rss = int(fields[21]) * os.sysconf("SC_PAGE_SIZE") / 1e9
            own = Path(f"/proc/{pid}/status").read_text()
            anonymous = int(re.search(r"RssAnon:\s+(\d+)", own)[1]) / 1e6
        except (OSError, TypeError, IndexError):
            return
        self.cpu = (int(fields[11]) + int(fields[12])) / TICK
        stage = self.stages.setdefault(self.name, {"wall": 0, "cpu": 0, "gb": 0, "own_gb": 0})
        stage["gb"], stage["own_gb"] = max(stage["gb"], rss), max(stage["own_gb"], anonymous)

    def enter(self, name, pid):
        self.sample(pid)
        self.leave()
        self.name = name

    def leave(self):
        now = time.monotonic()
        stage = self.stages.setdefault(self.name, {"wall": 0, "cpu": 0, "gb": 0, "own_gb": 0})
        stage["wall"] += now - self.begin_wall
        stage["cpu"] += self.cpu - self.begin_cpu
        self.begin_wall, self.begin_cpu = now, self.cpu


def plan(rickyard, season, out, cache, threads=0, extra=(), until=None):
    """Runs `plan` with its cache in that folder; until: the stage at which it is stopped. Returns its stages, the folder of the run (None where it
    was stopped) and the peak memory that the system saw."""
    shutil.rmtree(out, ignore_errors=True)
    cache.mkdir(parents=True, exist_ok=True)
    terminal, inside = pty.openpty()
    command = [rickyard, "plan", str(season / "season.toml"), "--out", str(out), "--threads", str(threads), *extra]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=inside, env={**os.environ, "XDG_CACHE_HOME": str(cache)}, text=True)
    os.close(inside)
    os.set_blocking(terminal, False)
    watch, text = Watch(), ""
    watch.begin_wall = time.monotonic()

    def said():
        try:
            return os.read(terminal, 65536).decode(errors="replace")
        except (BlockingIOError, OSError):
            return ""

    status = None
    while status is None:
        text += said()
        # A stage is printed as "\rname ..." when it begins.
        for words in re.findall(r"\r([^\r\033\[]+) \.\.\.", text):
            name = next((short for long, short in STAGES.items() if words.startswith(long)), words)
            if name != watch.name:
                watch.enter(name, child.pid)
        text = text[text.rfind("\r"):] if "\r" in text else text
        watch.sample(child.pid)
        stopped = until is not None and watch.name == until
        if stopped:
            child.send_signal(signal.SIGKILL)
        ended, code, used = os.wait4(child.pid, 0 if stopped else os.WNOHANG)
        if ended:
            status = child.returncode = os.waitstatus_to_exitcode(code)
        else:
            time.sleep(0.05)
    watch.leave()
    text += said()
    os.close(terminal)
    if status != 0 and not stopped:
        sys.exit(f"bench: {' '.join(command)} ended with {status}\n{text}")
    runs = [] if stopped else sorted(path.parent for path in Path(out).rglob("plan.json"))
    watch.stages.pop(until, None)
    return {"stages": watch.stages, "run": runs[0] if runs else None, "peak_gb": used.ru_maxrss / 1e6}


def table(title, result):
    print(f"{title}: {sum(s['wall'] for s in result['stages'].values()):.1f} s, {sum(s['cpu'] for s in result['stages'].values()):.1f} s CPU, "
          f"peak {result['peak_gb']:.2f} GB")
    print(f"  {'stage':16s} {'wall s':>9s} {'CPU s':>9s} {'memory GB':>10s} {'of its own':>11s}")
    for name, stage in result["stages"].items():
        print(f"  {name:16s} {stage['wall']:9.2f} {stage['cpu']:9.2f} {stage['gb']:10.2f} {stage['own_gb']:11.2f}")
    sys.stdout.flush()


def exponent(points):
    """Least squares of log y on log x."""
    points = [(math.log(x), math.log(y)) for x, y in points if x > 0 and y > 0]
    if len(points) < 2:
        return float("nan")
    mean_x, mean_y = (sum(values) / len(points) for values in zip(*points))
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)
