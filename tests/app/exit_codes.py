"""Every documented exit code, quiet standard error where all is well, and no run folder left behind by a failed run."""
import os
import shutil
import signal
import subprocess
import time

import support


def season_copy(work, name):
    folder = work / name
    shutil.copytree(support.HERE / "book_w", folder)
    return folder


def leftovers(folder):
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if "runs" in p.parts or p.name.startswith("."))


def edit(path, old, new):
    text = path.read_text()
    assert old in text, old
    path.write_text(text.replace(old, new))


def main():
    args = support.arguments()
    check = support.Checks()
    work = support.fresh(args.work)
    program = args.rickyard

    good = season_copy(work, "good")
    done = support.run(program, "plan", good / "season.toml")
    check.equal(done.returncode, 0, "a plan exits with 0")
    check.equal(done.stderr, "", "standard error is quiet when all is well")
    done = support.run(program, "check", good / "season.toml")
    check.equal(done.returncode, 0, "check exits with 0 on a good season")
    for command in ("new", "check", "plan"):
        done = support.run(program, command, "--help")
        check.equal(done.returncode, 0, f"{command} --help exits with 0")
        check.true("Example: rickyard" in done.stdout, f"{command} --help shows an example")
    done = support.run(program, "--version")
    check.true(done.returncode == 0 and done.stdout.startswith("rickyard "), "the version line")

    for words in ([], ["plan"], ["plan", good / "season.toml", "--no-such-flag"], ["reckon"]):
        done = support.run(program, *words)
        check.equal(done.returncode, 2, f"a wrong call exits with 2: {words}")

    bad = season_copy(work, "bad")
    edit(bad / "contracts.csv", "A,area,500,6.0", "A,area,500,60")
    for command in ("check", "plan"):
        done = support.run(program, command, bad / "season.toml")
        check.equal(done.returncode, 3, f"bad input exits with 3: {command}")
        check.true("contracts.csv:2:4 (yield_t_ha)" in done.stdout + done.stderr, f"{command} names the cell:\n{done.stdout}{done.stderr}")
    check.equal(leftovers(bad), [], "bad input leaves nothing behind")
    done = support.run(program, "plan", good / "season.toml", "--case", "no-such-case")
    check.equal(done.returncode, 3, "an unknown case is bad input")
    check.true("dry-1.75" in done.stderr, "the cases there are are named")
    done = support.run(program, "plan", work / "nowhere" / "season.toml")
    check.equal(done.returncode, 3, "a missing season file is bad input")

    contradiction = season_copy(work, "contradiction")
    (contradiction / "backups.csv").write_text(
        "source,origin,cap_t_month,price_per_t,min_take_t,min_take_kind,cap_t_season\nmerchant,mainland,60000,230,600000,standing,600000\n")
    (contradiction / "stores.csv").write_text("store,capacity_t,intake_t_day\nbarn,12000,100\n")
    edit(contradiction / "season.toml", 'stock = "stock.csv"', 'stock = "stock.csv"\nstores = "stores.csv"')
    done = support.run(program, "plan", contradiction / "season.toml")
    check.equal(done.returncode, 4, f"rules that contradict exit with 4:\n{done.stdout}{done.stderr}")
    check.true("merchant" in done.stderr, "the contradiction names the source:\n" + done.stderr)
    check.equal(leftovers(contradiction), [], "a contradiction leaves nothing behind")

    unwritable = season_copy(work, "unwritable")
    (unwritable / "runs").write_text("a file where the folder of runs should be")
    done = support.run(program, "plan", unwritable / "season.toml")
    check.equal(done.returncode, 5, f"a folder that cannot be written exits with 5:\n{done.stderr}")

    if args.demo:
        process = subprocess.Popen([program, "plan", args.demo / "season.toml", "--out", work / "interrupted"], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                                   text=True, preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler))
        time.sleep(1.0)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=120)
        check.equal(process.returncode, 130, "an interrupt exits with 130")
        left = list((work / "interrupted").rglob("*")) if (work / "interrupted").exists() else []
        check.equal([str(p) for p in left if p.is_file()], [], "an interrupted run leaves no files")
    assert os.name == "posix"
    check.done()


main()
