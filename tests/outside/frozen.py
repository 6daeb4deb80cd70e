#!/usr/bin/env python3
"""Holds the bytes of what the binary answers while code is moved.

usage: frozen.py BINARY [--write]

Every subcommand on every fixture, and on setups made by number, under small budgets too: a
search that takes another step somewhere ends elsewhere there. A line of `frozen.txt` is one
case with the digest of its standard output, standard error, exit code and written files.
With --write, the lines are written anew; otherwise each that differs is named, and the exit
code is 1.
"""

import hashlib
import json
import os
import pathlib
import shutil
import subprocess
import sys

import generate

HERE = pathlib.Path(__file__).resolve().parent
FIXTURES = HERE.parents[1] / "fixtures"
HELD = HERE / "frozen.txt"
WORK = HERE.parents[1] / "target" / "frozen"
BUDGETS = ["1", "7", "50", "300", "2000", "12000"]
MADE = 60
NIGHTS = 40


def cases():
    """Each case: its name, and its command lines, run one after the other in one folder."""
    setups = sorted(path.name for path in FIXTURES.glob("*.json") if '"devices"' in path.read_text())
    bags = [name for name in setups if '"chargers"' not in (FIXTURES / name).read_text()]
    nights = [name for name in setups if '"sessions"' in (FIXTURES / name).read_text()]
    trips = [name for name in setups if '"trip"' in (FIXTURES / name).read_text()]
    for name in setups:
        yield f"check {name}", [["check", name]]
        if name in bags:
            continue
        for form in [[], ["--json"], ["--card"]]:
            yield " ".join(["assign", name, *form]), [["assign", name, *form]]
        yield (
            f"assign {name} and what follows from it",
            [
                ["assign", name, "--json", "--proof", "proof", "--svg", "plan.svg", "--html", "plan.html"],
                ["assign", name, "--json", ">", "plan.json"],
                ["verify", name, "plan.json"],
                ["verify", name, "plan.json", "--proof", "proof"],
                ["timeline", name, "--plan", "plan.json"],
            ],
        )
        for budget in BUDGETS:
            yield f"assign {name} in {budget}", [["assign", name, "--json", "--budget", budget]]
        for form in [[], ["--json"], ["--rota"]]:
            yield " ".join(["timeline", name, *form]), [["timeline", name, *form]]
        for form in [[], ["--json"]]:
            for more in [[], ["--budget", "3000"]]:
                yield " ".join(["improve", name, *form, *more]), [["improve", name, *form, *more]]
    for name in nights:
        for form in [[], ["--json"], ["--card"], ["--svg", "rota.svg", "--html", "rota.html"]]:
            yield " ".join(["rota", name, *form]), [["rota", name, *form]]
        for budget in BUDGETS:
            yield f"rota {name} in {budget}", [["rota", name, "--json", "--budget", budget]]
    for name in trips:
        for form in [[], ["--json"], ["--html", "trip.html"], ["--budget", "500", "--json"]]:
            yield " ".join(["trip", name, *form]), [["trip", name, *form]]
    for name in setups:
        for form in [[], ["--json"], ["--by", "6"], ["--svg", "size.svg", "--html", "size.html"]]:
            yield " ".join(["size", name, *form]), [["size", name, *form]]
    for name in bags:
        for form in [[], ["--json"], ["--up-to", "2"], ["--svg", "rank.svg", "--html", "rank.html"]]:
            line = ["rank", name, "candidates.ndjson", *form]
            yield " ".join(line), [line]
    for form in [[], ["--json"]]:
        line = ["score", "quartet.json", "quartet-berths.json", *form]
        yield " ".join(line), [line]
    yield "batch", [["batch", "lines.ndjson"], ["batch", "lines.ndjson", "--reshared"]]
    for what in ["setup", "plan", "rota", "score", "improve", "size", "rank", "timeline", "trip"]:
        yield f"schema {what}", [["schema", what]]
    for what in [[], *([command] for command in sorted(COMMANDS))]:
        yield " ".join([*what, "--help"]), [[*what, "--help"]]
    yield "example", [["example"]]
    faulty = sorted(path.name for path in FIXTURES.glob("faults/*.json"))
    yield "faults", [["assign", f"faults/{name}"] for name in faulty]
    yield "made", [["assign", f"made-{seed}.json", "--json", "--proof", f"proof-{seed}"] for seed in range(MADE)]
    yield "made in 400", [["assign", f"made-{seed}.json", "--budget", "400"] for seed in range(MADE)]
    yield "made, changed", [["improve", f"made-{seed}.json", "--budget", "20000"] for seed in range(0, MADE, 4)]
    yield "nights", [["rota", f"night-{seed}.json", "--json"] for seed in range(NIGHTS)]
    yield "nights in 400", [["rota", f"night-{seed}.json", "--budget", "400"] for seed in range(NIGHTS)]
    yield "nights moment by moment", [["timeline", f"night-{seed}.json", "--rota"] for seed in range(NIGHTS)]


COMMANDS = "assign rota check verify score improve size rank trip batch timeline example schema".split()


def digest(binary, lines):
    """The digest of what the lines answer and leave, and nothing of where they ran."""
    before = set(os.listdir(WORK))
    seen = hashlib.sha256()
    for line in lines:
        line, kept = (line[:-2], line[-1]) if line[-2:-1] == [">"] else (line, None)
        # Under the name that the held bytes have, whatever the file is called.
        called = ["wattberth", *line]
        run = subprocess.run(
            called, executable=binary, cwd=WORK, capture_output=True, env={"NO_COLOR": "1"}, check=False
        )
        if run.returncode not in (0, 1, 2, 3):
            sys.exit(f"{' '.join(line)}: exit code {run.returncode}\n{run.stderr.decode()}")
        if kept:
            (WORK / kept).write_bytes(run.stdout)
        for part in [str(run.returncode).encode(), run.stdout, run.stderr]:
            seen.update(len(part).to_bytes(8, "big") + part)
    for name in sorted(set(os.listdir(WORK)) - before):
        made = WORK / name
        if made.is_dir():
            for path in sorted(made.iterdir()):
                seen.update(f"{name}/{path.name}".encode() + path.read_bytes())
            shutil.rmtree(made)
            continue
        seen.update(name.encode() + made.read_bytes())
        made.unlink()
    return seen.hexdigest()[:24]


def main():
    if len(sys.argv) not in (2, 3) or sys.argv[2:] not in ([], ["--write"]):
        sys.exit(__doc__)
    binary = str(pathlib.Path(sys.argv[1]).resolve())
    shutil.rmtree(WORK, ignore_errors=True)
    shutil.copytree(FIXTURES, WORK)
    for seed in range(MADE):
        (WORK / f"made-{seed}.json").write_text(json.dumps(generate.setup(seed), ensure_ascii=False))
    for seed in range(NIGHTS):
        (WORK / f"night-{seed}.json").write_text(json.dumps(generate.night(seed), ensure_ascii=False))
    found = {name: digest(binary, lines) for name, lines in cases()}
    if sys.argv[2:]:
        HELD.write_text("".join(f"{value} {name}\n" for name, value in found.items()))
        print(f"frozen: {len(found)} cases written")
        return
    held = dict(reversed(line.split(" ", 1)) for line in HELD.read_text().splitlines())
    other = [name for name in {**held, **found} if held.get(name) != found.get(name)]
    for name in other:
        print(f"differs: {name}")
    print(f"frozen: {len(found) - len(other)} of {len(found)} cases as held")
    sys.exit(bool(other))


if __name__ == "__main__":
    main()
