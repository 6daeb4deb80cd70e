"""Compares the plans of the `wattberth` binary with an independent integer program on HiGHS.

    python check_plans.py BINARY --seeds 0..299

Each seed is a random setup (generate.py). The binary's objective vector, its plan's legality and its document's
numbers must be those of model.md as this folder's Python reads it. One line per disagreement; exit code 1 on any,
or where the integer program ran out of time on more than a tenth of the setups.
"""

import argparse
import json
import multiprocessing
import shutil
import subprocess
import sys
import time

import generate
import milp
import model
import setups

LEVELS = ("priority 1 unserved", "priority 2 unserved", "priority 3 unserved", "missing", "late", "times", "watts")
MOST_SKIPPED = 0.1


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--seeds", default="0..299", help="first..last, both included (default %(default)s)")
    arguments.add_argument("--limit", type=float, default=30, help="seconds per integer program (default %(default)s)")
    arguments.add_argument("--jobs", type=int, default=2, help="processes (default %(default)s)")
    given = arguments.parse_args()
    if shutil.which(given.binary) is None:
        arguments.error(f"{given.binary} is not a program")
    try:
        first, last = map(int, given.seeds.split(".."))
    except ValueError:
        arguments.error("--seeds is written as 0..299")
    cases = [(seed, given.binary, given.limit) for seed in range(first, last + 1)]
    passed = failed = skipped = 0
    began = time.monotonic()
    with multiprocessing.Pool(given.jobs) as workers:
        for done, (seed, faults) in enumerate(workers.imap_unordered(check, cases), 1):
            if faults is None:
                skipped += 1
                print(f"seed {seed}: skipped, the integer program ran out of time", flush=True)
            elif faults:
                failed += 1
                print(f"seed {seed}: {'; '.join(faults)}", flush=True)
            else:
                passed += 1
            if done % 25 == 0:
                print(f"... {done} of {len(cases)}, {time.monotonic() - began:.0f} s", flush=True)
    too_many = skipped > MOST_SKIPPED * len(cases)
    if too_many:
        print(f"more than {MOST_SKIPPED:.0%} skipped: make the setups smaller or the limit longer")
    if not cases:
        print("no seeds")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed or too_many or not cases else 0


def check(case):
    """(seed, list of disagreements; None where the integer program ran out of time)."""
    seed, binary, limit_s = case
    document = generate.setup(seed)
    try:
        return seed, disagreements(document, binary, limit_s)
    except milp.OutOfTime:
        return seed, None
    except Exception as error:  # a broken plan document must not end the run
        return seed, [f"{type(error).__name__}: {error}"]


def disagreements(document, binary, limit_s):
    setup = setups.resolve(document)
    run = subprocess.run(
        [binary, "assign", "-", "--json"], input=json.dumps(document), capture_output=True, text=True, timeout=300,
    )
    if run.returncode not in (0, 1):
        said = run.stderr.strip() or run.stdout
        return [f"exit code {run.returncode}: {' '.join(said.split())[:300]}"]
    plan = json.loads(run.stdout)
    expected, _, _ = milp.solve(setup, limit_s)
    chosen, faults = read_berths(setup, plan)
    if chosen is None:
        return faults
    faults += model.broken_rules(setup, chosen)
    got = model.objective(setup, chosen)
    if got != expected:
        level = next(name for name, a, b in zip(LEVELS, got, expected) if a != b)
        which = "worse than" if got > expected else "better than (a fault of this check?)"
        faults.append(f"{level}: the binary's plan is {which} the integer program's: {got} against {expected}")
    faults += document_faults(setup, plan, chosen)
    served = run.returncode == 0
    if served != (sum(got[:3]) == 0 and got[4] == 0):
        faults.append(f"exit code {run.returncode} with {sum(got[:3])} unserved and {got[4]} late")
    return faults


def near(value, expected):
    """Printed numbers are rounded to 1e-6; where a half falls is not compared here."""
    return abs(value - expected) <= 1.01e-6


def read_berths(setup, plan):
    """The options that the berths name, and what is wrong with them; no options where one cannot be found."""
    devices = {device.name: d for d, device in enumerate(setup.devices)}
    ports = {(setup.chargers[port.charger][0], port.name): p for p, port in enumerate(setup.ports)}
    cables = {cable.name: c for c, cable in enumerate(setup.cables)}
    every = model.options_of(setup)
    chosen, faults = [], []
    for berth in plan["berths"]:
        place = (devices[berth["device"]], ports[berth["charger"], berth["port"]], cables[berth["cable"]])
        matching = [
            option for option in every[place[0]]
            if (option.port, option.cable) == place[1:]
            and near(berth["volts"], option.volts) and near(berth["amps"], option.amps)
        ]
        if not matching:
            return None, [f"{berth['device']}: no such option: {json.dumps(berth)}"]
        option = matching[0]
        chosen.append(option)
        for name, ours, exact in (
            ("tier_w", option.tier_u, True), ("hours", option.hours_u, True), ("port_w", option.watts_u, True),
            ("inlet_w", model.micro(option.inlet_w), False),
        ):
            theirs = model.micro(berth[name])
            if theirs != ours and (exact or abs(theirs - ours) > 1):
                faults.append(f"{berth['device']}: {name} {berth[name]}, here {ours / model.MICRO}")
        if berth["late"] != option.late:
            faults.append(f"{berth['device']}: late is {berth['late']}")
    return chosen, faults


def document_faults(setup, plan, chosen):
    """Numbers of the document that follow from its berths."""
    vector = model.objective(setup, chosen)
    longest = vector[5][0] if vector[5] else 0
    expected = {
        "status": "optimal", "unserved": sum(vector[:3]), "late": vector[4],
        "missing_wh": vector[3], "longest_h": longest, "bound_h": longest,
    }
    faults = []
    for name, ours in expected.items():
        theirs, unit = plan.get(name), ""
        if theirs is not None and name.endswith(("_h", "_wh")):
            theirs, unit = model.micro(theirs), " millionths"
        if theirs != ours:
            faults.append(f"{name} is {theirs!r}, here {ours}{unit}")
    served = {o.device for o in chosen}
    left = {d.name for i, d in enumerate(setup.devices) if i not in served}
    in_need = {d.name for d in setup.devices if d.needs_berth()}
    listed = {entry["device"] for entry in plan["without_berth"]}
    if listed & in_need != left & in_need or not listed <= left:
        faults.append(f"without_berth lists {sorted(listed)}, here {sorted(left & in_need)}")
    pools = {
        (setup.chargers[p.charger][0], p.name): (model.used_u(setup, p, chosen), p.max_u) for p in setup.pools
    }
    shown = {(p["charger"], p["pool"]): (model.micro(p["used_w"]), model.micro(p["max_w"])) for p in plan["pools"]}
    if pools != shown:
        faults.append(f"pools are {shown}, here {pools}")
    return faults


if __name__ == "__main__":
    sys.exit(main())
