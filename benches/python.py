#!/usr/bin/env python3
"""Plans a second from Python: the package beside the command, a process for each setup and a pipe.

    target/venv/bin/python benches/python.py target/release/wattberth [--setups 400] [--rounds 3]

The interpreter is one in which the package is installed, built with `--release` as the command
was. Three and six devices on as many ports of random chargers, the same for everybody. What is
compared gives the same answers, which is checked: dicts in and dicts out, or lines in and lines
out. CPU time of all processes and threads is counted, which other programs on the machine change
least; each way has its turn in every round, and its best round counts. The exit code is 1 where
of three devices `assign` by its defaults makes less than five plans in the time of a process
for one, or `plan_many` is slower than the pipe.
"""

import argparse
import json
import platform
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import wattberth

BAG = {
    "session_h": 8,
    "cables": [
        {"name": "braided", "length_m": 2, "count": 4},
        {"name": "laptop lead", "max_a": 5, "e_marked": True, "length_m": 1.5},
        {"name": "A to C", "from": "usb-a", "length_m": 1, "count": 2},
        {"name": "A to micro", "from": "usb-a", "to": "usb-micro-b", "length_m": 1},
    ],
    "devices": [
        {"name": "score tablet", "accepts": ["5V 3A, 9V 2.77A", "15V 2A"], "max_w": 30,
         "battery_wh": 28.6, "start_pct": 20, "priority": 1},
        {"name": "laptop", "accepts": "5V 3A, 9V 3A, 15V 3A, 20V 3.25A", "battery_wh": 60,
         "start_pct": 30},
        {"name": "phone", "accepts": "5V 3A, 9V 3A, PPS 3.3-11V 3A", "max_w": 27,
         "battery_wh": 15.5, "start_pct": 25},
        {"name": "recorder", "inlet": "usb-micro-b", "accepts": "5V 1.5A", "battery_wh": 11,
         "start_pct": 40, "priority": 1},
        {"name": "second tablet", "accepts": ["5V 3A, 9V 2.77A", "15V 2A"], "max_w": 30,
         "battery_wh": 28.6, "start_pct": 35},
        {"name": "battery pack", "accepts": "5V 3A, 9V 3A, 12V 2.5A, 15V 3A, 20V 2.25A",
         "max_w": 45, "battery_wh": 74, "start_pct": 10, "priority": 3},
    ],
}


def setup(seed, devices):
    """So many devices, and a charger of as many ports from its seed."""
    dice = random.Random(seed)
    ports = [{"name": f"C{n}", "pd_w": dice.choice([20, 30, 45, 65, 100])} for n in range(devices - 1)]
    ports.append({"name": "A1", "connector": "usb-a", "offers": "5V 2.4A"})
    hub = {"name": "hub", "ports": ports, "max_w": dice.randrange(15 * devices, 33 * devices)}
    return {**BAG, "devices": BAG["devices"][:devices], "chargers": [hub]}


def cpu_s():
    """CPU time of this process and of those that it has waited for."""
    own, others = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(used.ru_utime + used.ru_stime for used in (own, others))


def of_processes(binary, files):
    """A process for each setup, which reads a file and prints the plan."""
    words = [[binary, "assign", file, "--json"] for file in files]
    return [json.loads(subprocess.run(one, stdout=subprocess.PIPE).stdout) for one in words]


def piped(binary, lines):
    """The lines through `batch`; they are written beside the reading, or the pipes fill up."""
    with subprocess.Popen([binary, "batch"], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as filter:

        def write():
            with filter.stdin as pipe:
                pipe.writelines(lines)

        writer = threading.Thread(target=write)
        writer.start()
        yield from filter.stdout
        writer.join()


def unsigned(plan):
    """A plan without what `batch` leaves out of it."""
    return {name: plan[name] for name in plan if name not in ("program", "setup_sha256")}


def ways_of(binary, setups, folder):
    """Each way of planning the setups, by its name."""
    files = [Path(folder, f"{n}.json") for n in range(len(setups))]
    for file, setup in zip(files, setups):
        file.write_text(json.dumps(setup))
    lines = [json.dumps({"id": n, "setup": setup}) + "\n" for n, setup in enumerate(setups)]
    full = {"reshared": True, "because": True}

    def dicts_piped():
        given = (json.dumps({"id": n, "setup": one}).encode() + b"\n" for n, one in enumerate(setups))
        return [json.loads(line)["plan"] for line in piped(binary, given)]

    return {
        "process": lambda: of_processes(binary, files),
        "full": lambda: [wattberth.assign(one, **full) for one in setups],
        "assign": lambda: [wattberth.assign(one) for one in setups],
        "pipe": dicts_piped,
        "many": lambda: wattberth.plan_many(setups),
        "lines piped": lambda: [line.decode() for line in piped(binary, (line.encode() for line in lines))],
        "lines": lambda: list(wattberth.batch_lines(lines)),
    }


ROWS = [
    ("process", "a process for each, `wattberth assign FILE --json`", "process"),
    ("full", "`assign`, the same answer", "process"),
    ("assign", "`assign` by its defaults", "process"),
    ("pipe", "`wattberth batch`, dicts through a pipe", "pipe"),
    ("many", "`plan_many`, dicts", "pipe"),
    ("lines piped", "`wattberth batch`, lines through a pipe", "lines piped"),
    ("lines", "`batch_lines`, lines", "lines piped"),
]


def measured(binary, setups, rounds):
    """Plans in a second of CPU time, by way, once all have the same answers."""
    rates, answers = {}, {}
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(rounds):
            for name, way in ways_of(binary, setups, folder).items():
                started = cpu_s()
                answers[name] = way()
                rates[name] = max(rates.get(name, 0), len(setups) / (cpu_s() - started))
    assert answers["process"] == answers["full"], "a process for each setup gives other plans"
    for name in ("many", "assign"):
        assert [unsigned(plan) for plan in answers[name]] == answers["pipe"], f"{name} gives other plans"
    assert answers["lines piped"] == answers["lines"], "the pipe gives other lines"
    return rates


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    arguments.add_argument("binary")
    arguments.add_argument("--setups", type=int, default=400)
    arguments.add_argument("--rounds", type=int, default=3)
    args = arguments.parse_args()
    print(f"{args.setups} setups, best of {args.rounds} rounds, plans in a second of CPU time; CPython")
    print(f"{platform.python_version()}, {platform.machine()}, {time.strftime('%d %B %Y')}\n")
    held = True
    for devices in (3, 6):
        setups = [setup(seed, devices) for seed in range(args.setups)]
        rates = measured(args.binary, setups, args.rounds)
        print(f"| {devices} devices | Plans a second | Times |\n|---|---|---|")
        for name, what, beside in ROWS:
            print(f"| {what} | {rates[name]:.0f} | {rates[name] / rates[beside]:.2f} |")
        print(flush=True)
        held = held and rates["many"] >= rates["pipe"]
        held = held and (devices > 3 or rates["assign"] >= 5 * rates["process"])
    sys.exit(0 if held else 1)


if __name__ == "__main__":
    main()
