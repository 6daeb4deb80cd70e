"""Compares the plans of the `wattberth` binary with an independent integer program on HiGHS.

    python check_plans.py BINARY --seeds 0..299

Each seed is a random setup (generate.py). The binary's objective vector, its plan's legality and its document's
numbers must be those of model.md as this folder's Python reads it. One line per disagreement; exit code 1 on any,
or where the integer program ran out of time on more than a tenth of the setups.
"""

import json
import sys

import checks
import milp
import model
import setups

LEVELS = ("priority 1 unserved", "priority 2 unserved", "priority 3 unserved", "missing", "late", "times", "watts")


def disagreements(_seed, document, binary, limit_s):
    setup = setups.resolve(document)
    code, plan = checks.answer(binary, "assign", document, (0, 1))
    expected, _, _ = milp.solve(setup, limit_s)
    chosen, faults = read_berths(setup, plan)
    if chosen is None:
        return faults, {}
    faults += model.broken_rules(setup, chosen)
    got = model.objective(setup, chosen)
    if got != expected:
        level = next(name for name, a, b in zip(LEVELS, got, expected) if a != b)
        which = "worse than" if got > expected else "better than (a fault of this check?)"
        faults.append(f"{level}: the binary's plan is {which} the integer program's: {got} against {expected}")
    faults += document_faults(setup, plan, chosen)
    served = code == 0
    if served != (sum(got[:3]) == 0 and got[4] == 0):
        faults.append(f"exit code {code} with {sum(got[:3])} unserved and {got[4]} late")
    return faults, {}


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
    sys.exit(checks.run(__doc__, "0..299", disagreements))
