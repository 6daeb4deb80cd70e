"""Compares the sizes of the `wattberth` binary with an independent integer program on HiGHS.

    python check_size.py BINARY --seeds 0..299

Each seed is a random setup (generate.py). Its chargers are left out; every device may use a USB-C port of its own of
240 W. Who gets a cable, the least watts for the time, and every pair of the frontier must be those of an integer
program with a column for each device, cable and contract (model.py). One line per disagreement; exit code 1 on any.
"""

import argparse
import json
import multiprocessing
import shutil
import subprocess
import sys

import highspy
import numpy as np

import generate
import model
import setups

BY_H = (None, 0.75, 1.5, 3, 5, 9)
# With these beside the generator's, most devices have a cable and many have several.
SPARE = [
    {"name": "spare", "length_m": 2, "awg": 26, "count": 9},
    {"name": "spare marked", "e_marked": True, "max_v": 50, "length_m": 2, "count": 2},
    {"name": "spare micro", "to": "usb-micro-b", "length_m": 2, "count": 9},
]


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--seeds", default="0..299", help="first..last, both included (default %(default)s)")
    arguments.add_argument("--jobs", type=int, default=2, help="processes (default %(default)s)")
    given = arguments.parse_args()
    if shutil.which(given.binary) is None:
        arguments.error(f"{given.binary} is not a program")
    try:
        first, last = map(int, given.seeds.split(".."))
    except ValueError:
        arguments.error("--seeds is written as 0..299")
    cases = [(seed, given.binary) for seed in range(first, last + 1)]
    failed = points = left_out = 0
    with multiprocessing.Pool(given.jobs) as workers:
        for seed, faults, pairs, without in workers.imap_unordered(check, cases):
            failed += bool(faults)
            points += pairs
            left_out += bool(without)
            if faults:
                print(f"seed {seed}: {'; '.join(faults)}", flush=True)
    print(f"{len(cases) - failed} passed, {failed} failed; {points} pairs, {left_out} setups with a device left out")
    empty = not cases or points < 2 * len(cases)
    if empty:
        print("too few pairs to say anything")
    return 1 if failed or empty else 0


def check(case):
    """(seed, list of disagreements, number of pairs, number of devices left out)."""
    seed, binary = case
    document = generate.setup(seed)
    if seed % 2:
        document["cables"] += SPARE
    by_h = BY_H[seed % len(BY_H)]
    try:
        return seed, *disagreements(document, by_h, binary)
    except Exception as error:  # a broken size document must not end the run
        return seed, [f"{type(error).__name__}: {error}"], 0, 0


def disagreements(document, by_h, binary):
    arguments = [] if by_h is None else ["--by", str(by_h)]
    run = subprocess.run(
        [binary, "size", "-", "--json", *arguments],
        input=json.dumps(document), capture_output=True, text=True, timeout=300,
    )
    if run.returncode not in (0, 1):
        return [f"exit code {run.returncode}: {' '.join((run.stderr or run.stdout).split())[:300]}"], 0, 0
    size = json.loads(run.stdout)
    setup = setups.resolve(largest(document))
    by_h = document.get("session_h") if by_h is None else by_h
    served, pairs = expected(setup, None if by_h is None else model.micro(by_h))
    faults = []

    def same(what, theirs, ours):
        if theirs != ours:
            faults.append(f"{what}: {theirs} against {ours}")

    names = [setup.devices[d].name for d in served]
    in_need = {device.name for device in setup.devices if device.needs_berth()}
    without = {entry["device"] for entry in size["unreached"] + size["too_late"]}
    same("served", [port["device"] for port in size["ports"]], names)
    same("left out", without, in_need - set(names))
    same("exit code", run.returncode, int(bool(without)))
    same("frontier", [(model.micro(p["longest_h"]), model.micro(p["total_w"])) for p in size["frontier"]], pairs)
    in_time = [pair for pair in pairs if by_h is None or pair[0] <= model.micro(by_h)]
    chosen = (in_time[0] if by_h is None else in_time[-1]) if pairs else (0, 0)
    same("chosen", (model.micro(size["longest_h"]), model.micro(size["total_w"])), chosen)
    same("labels", model.micro(size["labels_sum_w"]), sum(model.micro(setup.devices[d].max_w) for d in served))
    faults += port_faults(setup, size)
    return faults, len(pairs), len(without)


def largest(document):
    """The document with one 240 W port, for all ports are alike, without a session and without pins onto ports."""
    charger = {"name": "any", "ports": [{"name": "P", "pd_w": 240}], "reserve": "contract"}
    devices = [{k: v for k, v in device.items() if k != "port"} for device in document["devices"]]
    kept = {k: v for k, v in document.items() if k != "session_h"}
    return kept | {"chargers": [charger], "devices": devices}


def port_faults(setup, size):
    """Every port is an option of the model, its tier the least, no cable used too often, the sums right."""
    options = model.options_of(setup)
    devices = {device.name: d for d, device in enumerate(setup.devices)}
    cables = {cable.name: c for c, cable in enumerate(setup.cables)}
    faults, used = [], []
    for port in size["ports"]:
        used.append(cables[port["cable"]])
        ours = [
            o for o in options[devices[port["device"]]]
            if o.cable == used[-1] and abs(o.volts - port["volts"]) < 2e-6 and abs(o.amps - port["amps"]) < 2e-6
        ]
        theirs = tuple(model.micro(port[name]) for name in ("tier_w", "port_w", "hours"))
        if [(o.tier_u, o.watts_u, o.hours_u) for o in ours] != [theirs]:
            faults.append(f"no such option: {port}")
    for c, cable in enumerate(setup.cables):
        if used.count(c) > cable.count:
            faults.append(f"{cable.name} is used {used.count(c)} times")
    for name, field in (("total_w", "port_w"), ("tiers_sum_w", "tier_w")):
        if model.micro(size[name]) != sum(model.micro(port[field]) for port in size["ports"]):
            faults.append(f"{name} is {size[name]}")
    if size["ports"] and model.micro(size["longest_h"]) != max(model.micro(port["hours"]) for port in size["ports"]):
        faults.append(f"longest_h is {size['longest_h']}")
    return faults


def expected(setup, by_u):
    """(devices with a cable, the frontier's pairs of micro-hours and micro-watts, the shortest time first)."""
    in_time = []
    for d, own in enumerate(model.options_of(setup)):
        ready = setup.devices[d].ready_by_u
        in_time += [o for o in own if ready is None or o.hours_u <= ready]
    served = most_that_matter(setup, [o for o in in_time if by_u is None or o.hours_u <= by_u])
    pairs, options = [], [o for o in in_time if o.device in served]
    while options:
        chosen = solve(setup, options, [o.watts_u / 1000 for o in options], served)
        if chosen is None:
            break
        pair = max(o.hours_u for o in chosen), sum(o.watts_u for o in chosen)
        if pairs and pairs[-1][1] == pair[1]:
            pairs.pop()
        pairs.append(pair)
        options = [o for o in options if o.hours_u < pair[0]]
    return served, pairs[::-1]


def most_that_matter(setup, options):
    """One after the other, those first that matter most: who can have a cable beside those before."""
    def weight(d):
        device = setup.devices[d]
        return device.priority, -device.missing_u(), d

    served = []
    for d in sorted({o.device for o in options}, key=weight):
        tried = [*served, d]
        own = [o for o in options if o.device in tried]
        if solve(setup, own, [0] * len(own), tried) is not None:
            served = tried
    return sorted(served)


def solve(setup, options, cost, served):
    """A least-cost choice of one option for each served device, or None."""
    rows = [(1, 1, [i for i, o in enumerate(options) if o.device == d]) for d in served]
    rows += [(0, cable.count, [i for i, o in enumerate(options) if o.cable == c]) for c, cable in enumerate(setup.cables)]
    if any(low > 0 and not columns for low, _, columns in rows):
        return None
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(options), len(rows)
    lp.col_cost_ = np.array(cost, dtype=float)
    lp.col_lower_, lp.col_upper_ = np.zeros(len(options)), np.ones(len(options))
    lp.row_lower_ = np.array([low for low, _, _ in rows], dtype=float)
    lp.row_upper_ = np.array([high for _, high, _ in rows], dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0] + [len(columns) for _, _, columns in rows]).astype(np.int32)
    lp.a_matrix_.index_ = np.array([i for _, _, columns in rows for i in columns], dtype=np.int32)
    lp.a_matrix_.value_ = np.ones(len(lp.a_matrix_.index_))
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(options)
    solver = highspy.Highs()
    for name, setting in (
        ("output_flag", False), ("threads", 1), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.0),
        ("mip_feasibility_tolerance", 1e-9), ("primal_feasibility_tolerance", 1e-9), ("dual_feasibility_tolerance", 1e-9),
    ):
        assert solver.setOptionValue(name, setting) == highspy.HighsStatus.kOk, name
    assert solver.passModel(lp) == highspy.HighsStatus.kOk
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    assert status == highspy.HighsModelStatus.kOptimal, status
    return [options[i] for i, x in enumerate(solver.getSolution().col_value) if x > 0.5]


if __name__ == "__main__":
    sys.exit(main())
