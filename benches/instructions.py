"""How many instructions fixed calls of the release binary take, held against the numbers of before.

    python3 benches/instructions.py target/release/wattberth
    python3 benches/instructions.py target/release/wattberth --write

A time depends on what else the machine does; a number of instructions hardly does. Each call runs on one thread under
`valgrind --tool=callgrind` with an empty environment, on fixtures or on setups without any randomness, and is compared
with its line in `instructions.txt`. More than 5 % above it is a failure (exit code 1). So is a call that has no line.
Fewer by as much is said: `--write` takes all numbers anew.

Two runs of the same call differ by less than one in a thousand (`--again` shows by how much): hash maps begin with a
random seed, and the names of files have their length. The compiler makes more difference, and so do the C library and
what valgrind knows of the processor. The head of `instructions.txt` names them; where one is another, it is said, and
25 % is allowed. Numbers of another kind of processor are not compared at all (exit code 3).
"""

import argparse
import concurrent.futures
import itertools
import json
import os
import pathlib
import platform
import re
import shutil
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[1]
FIXTURES = ROOT / "fixtures"
HELD = ROOT / "benches" / "instructions.txt"
WORK = ROOT / "target" / "instructions"
sys.path.insert(0, str(ROOT / "tests" / "outside"))

import largest_setups as made  # noqa: E402

COMMAND = "python3 benches/instructions.py target/release/wattberth --write"
# Of the same compiler on the same kind of machine, and of others.
MARGIN, WIDE_MARGIN = 0.05, 0.25
COMPARED, WORSE, NO_COMPARISON = 0, 1, 3
# A call under callgrind takes up to ten seconds on a machine of its own.
PATIENCE_S = 300

# Name, what it stands for, arguments, exit code. The files are those of `write_inputs`.
CALLS = [
    ("check", "32 devices with curves of 1000 points and labels of 1024 lines",
     ["check", "curves.json", "--json"], 0),
    ("list", "half a year of stops and a shop of 45 chargers, as a list", ["read", "residency.txt"], 0),
    ("promise", "the quartet by promise, proven", ["assign", "quartet.json", "--json"], 0),
    ("best", "16 devices at best, proven", ["assign", "best.json", "--json"], 0),
    ("open", "24 devices at best, ended by 1000 steps",
     ["assign", "open.json", "--json", "--budget", "1000"], 0),
    ("rota", "the quartet's rota over two sessions, proven", ["rota", "quartet-night.json", "--json"], 0),
    ("proof", "the quartet once more, with its proof written",
     ["assign", "quartet.json", "--json", "--proof", "written"], 0),
    ("verify", "that plan and its proof checked", ["verify", "quartet.json", "plan.json", "--proof", "proof"], 0),
    ("batch", "six devices with each of 20 chargers, as lines", ["batch", "lines.ndjson", "--threads", "1"], 0),
    ("rank", "two devices' bag with 40 chargers singly and in pairs",
     ["rank", "kiosk-bag.json", "candidates.ndjson", "--up-to", "2", "--threads", "1", "--json"], 1),
    ("timeline", "the quartet's night by a plan at hand, by every rule of sharing",
     ["timeline", "quartet.json", "--plan", "plan.json", "--rules", "--json"], 0),
]  # fmt: skip


class NotCounted(Exception):
    """A call that did not end as it should, or that valgrind could not count."""


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", type=pathlib.Path, help="path of the wattberth binary, built with --release")
    arguments.add_argument("--write", action="store_true", help=f"write {HELD.name} anew")
    arguments.add_argument("--again", action="store_true", help="count each call twice, and say how they differ")
    arguments.add_argument("--only", action="append", metavar="NAME", help="only this call; may be given several times")
    arguments.add_argument("--jobs", type=int, default=2, help="calls at the same time (%(default)s)")
    given = arguments.parse_args()
    if shutil.which(given.binary) is None:
        arguments.error(f"{given.binary} is not a program")
    if shutil.which("valgrind") is None:
        arguments.error("valgrind is not there (Debian's package valgrind)")
    names = [name for name, *_ in CALLS]
    unknown = [name for name in given.only or [] if name not in names]
    if unknown:
        arguments.error(f"no call {unknown[0]}; there are {', '.join(names)}")
    if given.write and given.only:
        arguments.error("--write takes all calls")
    binary = given.binary.resolve()
    calls = [call for call in CALLS if given.only is None or call[0] in given.only]
    try:
        write_inputs(binary)
        now = counts(binary, calls, given.jobs, "first")
        again = counts(binary, calls, given.jobs, "again") if given.again else {}
    except NotCounted as fault:
        print(fault, file=sys.stderr)
        return WORSE
    for name in again:
        print(f"{name:<10}{now[name]:>15}{again[name]:>15}  differ by {abs(again[name] / now[name] - 1):.4%}")
    made_by = makers(binary)
    if given.write:
        HELD.write_text(written(made_by, now), encoding="utf-8")
        return COMPARED
    made_before, before = read(HELD.read_text(encoding="utf-8"))
    if given.only is not None:
        before = {name: count for name, count in before.items() if name in given.only}
    lines, code = compared(made_before, before, made_by, now)
    print("\n".join(lines))
    return code


def write_inputs(binary):
    """What the calls read, in one folder: of names that are the same everywhere, so that their length is, too."""
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    fixtures = ["residency.txt", "quartet.json", "quartet-night.json", "kiosk-bag.json", "candidates.ndjson"]
    for name in fixtures:
        shutil.copyfile(FIXTURES / name, WORK / name)

    best, larger = ({**made.setup(devices, 8, devices), "aim": "best"} for devices in (16, 24))
    for name, document in ("curves", made.curves(32)), ("best", best), ("open", larger):
        (WORK / f"{name}.json").write_text(json.dumps(document), encoding="utf-8")
    bag = json.loads((FIXTURES / "quartet-bag.json").read_text(encoding="utf-8"))
    bag["devices"] = bag["devices"][:6]
    with open(FIXTURES / "candidates.ndjson", encoding="utf-8") as chargers, open(
        WORK / "lines.ndjson", "w", encoding="utf-8"
    ) as out:
        for number, charger in enumerate(itertools.islice(chargers, 20)):
            out.write(json.dumps({"id": number, "setup": bag, "charger": json.loads(charger)}) + "\n")

    ended = subprocess.run(
        [binary, "assign", "quartet.json", "--json", "--proof", "proof"],
        cwd=WORK, env={}, stdin=subprocess.DEVNULL, capture_output=True, timeout=PATIENCE_S, check=False,
    )  # fmt: skip
    if ended.returncode != 0:
        raise NotCounted(f"the quartet's plan and proof: exit code {ended.returncode}")
    (WORK / "plan.json").write_bytes(ended.stdout)


def counts(binary, calls, jobs, which):
    """The number of instructions of each call."""
    with concurrent.futures.ThreadPoolExecutor(jobs) as workers:
        found = list(workers.map(lambda call: counted(binary, call, which), calls))
    return {call[0]: count for call, count in zip(calls, found)}


def counted(binary, call, which):
    name, _, arguments, code = call
    # A folder of its own for what is written; what is read is reached from there by the same names.
    folder = WORK / which / name
    folder.mkdir(parents=True)
    for path in WORK.iterdir():
        if path.name in arguments:
            (folder / path.name).symlink_to(path)
    out = folder / "callgrind.out"
    command = ["valgrind", "--tool=callgrind", f"--callgrind-out-file={out}", str(binary), *arguments]
    # Valgrind itself is a script that needs a path; the rest of the environment would only lie in the way.
    ended = subprocess.run(
        command, cwd=folder, env={"PATH": os.defpath}, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE, timeout=PATIENCE_S, check=False,
    )  # fmt: skip
    if ended.returncode != code:
        raise NotCounted(f"{name}: exit code {ended.returncode}, not {code}: {ended.stderr.decode()[-600:]}")
    totals = re.search(r"^totals: (\d+)$", out.read_text(encoding="utf-8", errors="replace"), re.MULTILINE)
    if not totals:
        raise NotCounted(f"{name}: callgrind's file has no totals")
    return int(totals[1])


def makers(binary):
    """What the numbers depend on beside the code itself."""
    # The compiler leaves its version in what it makes, stripped or not.
    rustc = re.search(rb"rustc version ([^\0]+)", binary.read_bytes())
    valgrind = subprocess.run(["valgrind", "--version"], capture_output=True, text=True, check=True).stdout.strip()
    return {
        "rustc": rustc[1].decode() if rustc else "unknown",
        "profile": "release",
        "processor": platform.machine(),
        "valgrind": valgrind.removeprefix("valgrind-"),
        "libc": " ".join(platform.libc_ver()),
    }


def written(made_by, now):
    head = [f"# {what}: {value}" for what, value in [("command", COMMAND), *made_by.items()]]
    return "\n".join([*head, *(f"{name} {count}" for name, count in now.items())]) + "\n"


def read(text):
    """What the numbers were made by, and the numbers by call."""
    made_by, before = {}, {}
    for line in text.splitlines():
        if line.startswith("# "):
            what, _, value = line[2:].partition(": ")
            if what != "command":
                made_by[what] = value
        elif line:
            name, count = line.split()
            before[name] = int(count)
    return made_by, before


def compared(made_before, before, made_by, now):
    """(a table and what is said below it, exit code)."""
    if made_before["processor"] != made_by["processor"]:
        return [f"not compared: the numbers are of {made_before['processor']}, this is {made_by['processor']}"], (
            NO_COMPARISON
        )
    lines = []
    others = [what for what in made_before if made_before[what] != made_by.get(what)]
    margin = WIDE_MARGIN if others else MARGIN
    for what in others:
        lines.append(f"{what} was {made_before[what]} and is {made_by.get(what)}: {margin:.0%} is allowed")
    lines.append(f"{'call':<10}{'before':>15}{'now':>15}{'ratio':>8}")
    worse, fewer, without = [], [], []
    for name, count in now.items():
        if name not in before:
            without.append(name)
            lines.append(f"{name:<10}{'-':>15}{count:>15}{'-':>8}")
            continue
        ratio = count / before[name]
        said = ""
        if ratio > 1 + margin:
            worse.append(name)
            said = "  MORE"
        elif ratio < 1 - margin:
            fewer.append(name)
            said = "  fewer"
        lines.append(f"{name:<10}{before[name]:>15}{count:>15}{ratio:>8.3f}{said}")
    gone = [name for name in before if name not in now]
    if worse:
        lines.append(f"more than {margin:.0%} above what it was: {', '.join(worse)}")
    if fewer:
        lines.append(f"more than {margin:.0%} below what it was: {', '.join(fewer)}; take them anew with --write")
    if without or gone:
        lines.append(f"calls and lines do not match ({', '.join(without + gone)}); take them anew with --write")
    return lines, WORSE if worse or without or gone else COMPARED


if __name__ == "__main__":
    sys.exit(main())
