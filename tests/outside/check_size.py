"""Compares the sizes of the `wattberth` binary with an independent integer program on HiGHS.

    python check_size.py BINARY --seeds 0..299

Each seed is a random setup (generate.py). Its chargers are left out; every device may use a USB-C port of its own,
held at a power that ports are sold with, or USB-A where only such a cable reaches it. Times are those of the aim. Who
gets a cable, the least watts for the time, and every pair of the frontier must be those of an integer program with a
column for each device, cable and contract (model.py). One line per disagreement; exit code 1 on any, or where the
integer program ran out of time on more than a tenth of the setups.
"""

import sys
from dataclasses import dataclass

import checks
import highs
import model
import setups

BY_H = (None, 0.75, 1.5, 3, 5, 9)
# The powers that ports are sold with.
SOLD_W = [15, 20, 30, 45, 65, 100, 140, 180]
# With these beside the generator's, most devices have a cable and many have several.
SPARE = [
    {"name": "spare", "length_m": 2, "awg": 26, "count": 9},
    {"name": "spare marked", "e_marked": True, "max_v": 50, "length_m": 2, "count": 2},
    {"name": "spare micro", "to": "usb-micro-b", "length_m": 2, "count": 9},
]


def disagreements(seed, document, binary, limit_s):
    if seed % 2:
        document["cables"] += SPARE
    by_h = BY_H[seed % len(BY_H)]
    code, size = checks.answer(binary, "size", document, (0, 1), *([] if by_h is None else ["--by", str(by_h)]))
    setup = setups.resolve(largest(document))
    by_h = document.get("session_h") if by_h is None else by_h
    served, pairs = expected(setup, None if by_h is None else model.micro(by_h), limit_s)
    faults = []

    def same(what, theirs, ours):
        if theirs != ours:
            faults.append(f"{what}: {theirs} against {ours}")

    names = [setup.devices[d].name for d in served]
    in_need = {device.name for device in setup.devices if device.needs_berth()}
    without = {entry["device"] for entry in size["unreached"] + size["too_late"]}
    same("served", [port["device"] for port in size["ports"]], names)
    same("left out", without, in_need - set(names))
    same("exit code", code, int(bool(without)))
    same("frontier", [(model.micro(p["longest_h"]), model.micro(p["total_w"])) for p in size["frontier"]], pairs)
    in_time = [pair for pair in pairs if by_h is None or pair[0] <= model.micro(by_h)]
    chosen = (in_time[0] if by_h is None else in_time[-1]) if pairs else (0, 0)
    same("chosen", (model.micro(size["longest_h"]), model.micro(size["total_w"])), chosen)
    same("labels", model.micro(size["labels_sum_w"]), sum(model.micro(setup.devices[d].max_w) for d in served))
    faults += port_faults(setup, size)
    return faults, {"pairs": len(pairs), "setups with a device left out": int(bool(without))}


def largest(document):
    """The document with one 240 W port and one of USB-A, without a session and without pins onto ports.

    Held at a power, the port has the voltages of one that is sold with it, which is what will be bought.
    """
    charger = {"name": "any", "ports": [
        {"name": "P", "pd_w": 240}, {"name": "A", "connector": "usb-a", "offers": "5V 2.4A"},
    ], "tiers_w": SOLD_W, "voltages": "rules"}
    devices = [{k: v for k, v in device.items() if k != "port"} for device in document["devices"]]
    kept = {k: v for k, v in document.items() if k != "session_h"}
    if not document.get("cables"):
        kept["cables"] = [{"name": "a 240 W cable", "watts": 240, "length_m": 1000, "count": 1000}]
    return kept | {"chargers": [charger], "devices": devices}


@dataclass(frozen=True)
class Size:
    """A device on a port of its own; `time_u` is by the aim, `hours_u` at best."""

    device: int
    cable: int
    volts: float
    amps: float
    watts_u: int
    tier_u: int
    hours_u: int
    time_u: int


def options_of(setup):
    """By device, every contract at its least sold power, never below what the device is known or sure to need."""
    return [list(_sizes(setup, d)) for d in range(len(setup.devices))]


def _sizes(setup, d):
    device = setup.devices[d]
    if not device.needs_berth():
        return
    joining = [
        (p, c) for p in range(len(setup.ports)) for c, cable in enumerate(setup.cables)
        if cable.joins(setup, p, device) and device.cable in (None, cable.name)
    ]
    least_u, any_c = model.micro(device.promised.min_w), any(p == 0 for p, _ in joining)
    seen = set()
    for p, c in joining:
        if p == 1 and any_c:
            continue
        for tier_w in setup.ports[p].tiers_w:
            size = _size(setup, (d, p, c), tier_w)
            if size is None or size.tier_u < least_u:
                continue
            key = (c, model.micro(size.volts), model.micro(size.amps), size.time_u)
            if key not in seen:
                seen.add(key)
                yield size


def _size(setup, place, tier_w):
    d, p, c = place
    device, cable = setup.devices[d], setup.cables[c]
    made = model.contract(device, setup.ports[p], tier_w, cable)
    hours = None if made is None else model.hours(device, made[2])
    if hours is None:
        return None
    hours_u = time_u = model.micro(hours)
    if setup.aim == "promise":
        _, time_u = model.promised_contract(setup, place, model.micro(tier_w))
    if time_u >= model.NEVER_U:
        return None
    return Size(d, c, *made[:2], model.micro(made[0] * made[1]), model.micro(tier_w), hours_u, time_u)


def port_faults(setup, size):
    """Every port is an option of the model, its tier the least, no cable used too often, the sums right."""
    options = options_of(setup)
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
        if theirs not in [(o.tier_u, o.watts_u, o.hours_u) for o in ours]:
            faults.append(f"no such option: {port}")
    for c, cable in enumerate(setup.cables):
        if used.count(c) > cable.count:
            faults.append(f"{cable.name} is used {used.count(c)} times")
    for name, field in (("total_w", "port_w"), ("tiers_sum_w", "tier_w")):
        if model.micro(size[name]) != sum(model.micro(port[field]) for port in size["ports"]):
            faults.append(f"{name} is {size[name]}")
    return faults


def expected(setup, by_u, limit_s):
    """(devices with a cable, the frontier's pairs of micro-hours and micro-watts, the shortest time first)."""
    in_time = []
    for d, own in enumerate(options_of(setup)):
        ready = setup.devices[d].ready_by_u
        in_time += [o for o in own if ready is None or o.time_u <= ready]
    served = most_that_matter(setup, [o for o in in_time if by_u is None or o.time_u <= by_u], limit_s)
    pairs, options = [], [o for o in in_time if o.device in served]
    while options:
        chosen = solve(setup, options, {i: o.watts_u / 1000 for i, o in enumerate(options)}, served, limit_s)
        if chosen is None:
            break
        pair = max(o.time_u for o in chosen), sum(o.watts_u for o in chosen)
        if pairs and pairs[-1][1] == pair[1]:
            pairs.pop()
        pairs.append(pair)
        options = [o for o in options if o.time_u < pair[0]]
    return served, pairs[::-1]


def most_that_matter(setup, options, limit_s):
    """One after the other, those first that matter most: who can have a cable beside those before."""
    def weight(d):
        device = setup.devices[d]
        return device.priority, -device.missing_u(), d

    served = []
    for d in sorted({o.device for o in options}, key=weight):
        tried = [*served, d]
        own = [o for o in options if o.device in tried]
        if solve(setup, own, {}, tried, limit_s) is not None:
            served = tried
    return sorted(served)


def solve(setup, options, cost, served, limit_s):
    """A least-cost choice of one option for each served device, or None."""
    def row(low, high, test):
        return low, high, [(i, 1) for i, o in enumerate(options) if test(o)]

    rows = [row(1, 1, lambda o: o.device == d) for d in served]
    rows += [row(0, cable.count, lambda o: o.cable == c) for c, cable in enumerate(setup.cables)]
    values = highs.solve(len(options), rows, cost, limit_s)
    return None if values is None else [options[i] for i, x in enumerate(values) if x > 0.5]


def too_little(cases, counts):
    return "too few pairs to say anything" if counts["pairs"] < 2 * cases else None


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..299", disagreements, too_little))
