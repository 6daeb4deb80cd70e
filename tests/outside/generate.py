"""Random setups by number: the same number always gives the same document.

Three sizes take turns; `night` makes setups with sessions, `tiny` and `tiny_night` such as every plan of them can be
tried. Efficiencies carry an odd prime, so that no time lies on a half of a millionth hour, where two correct programs
could round apart.
"""

import json
import random
import sys

SIZES = ("small", "middle", "large")
BARREL = "other:barrel"
INLETS = ["usb-c", "usb-c", "usb-micro-b", "usb-micro-b", "usb-mini-b"]


def setup(seed):
    rng = random.Random(f"wattberth {seed}")
    size = SIZES[seed % 3]
    ports, devices = {
        "small": (rng.randint(1, 5), rng.randint(1, 5)),
        "middle": (rng.randint(4, 10), rng.randint(4, 9)),
        "large": (rng.randint(10, 18), rng.randint(9, 16)),
    }[size]
    # In ample setups most devices find a berth, and what is hard is to share power; in the others they find none.
    ample = rng.random() < 0.6
    if ample:
        devices = max(devices, ports - rng.randint(0, 2)) if size != "large" else rng.randint(10, 16)
        ports = max(ports, devices + rng.randint(0, 2))
    document = {"version": 1, "name": f"setup {seed}", **_order(rng)}
    if rng.random() < 0.6:
        document["session_h"] = rng.choice([1.5, 2.5, 4, 6.25, 8])
    document["chargers"] = _chargers(rng, ports, size, ample)
    document["cables"] = _cables(rng, devices, ample)
    document["devices"] = _devices(rng, devices, document, ample)
    return document


def tiny(seed):
    """Up to four devices on five ports through few cables, mostly with a pool that is smaller than what is asked."""
    rng = random.Random(f"wattberth tiny {seed}")
    devices = rng.choice([1, 2, 3, 3, 4, 4])
    ports = rng.randint(max(1, devices - 1), 5)
    document = {"version": 1, "name": f"tiny {seed}", **_order(rng)}
    if rng.random() < 0.6:
        document["session_h"] = rng.choice([1.5, 2.5, 4, 6.25, 8])
    if seed % 2:
        return document | _contest(rng, devices)
    document["chargers"] = _chargers(rng, ports, "small", rng.random() < 0.8)
    cables = _cables(rng, devices, True)
    kept = cables[:1] + rng.sample(cables[1:], rng.randint(1, 2))
    document["cables"] = [cable for cable in cables if cable in kept]
    document["devices"] = _devices(rng, devices, document, True)
    return document


def _contest(rng, number):
    """One charger that cannot give what all ask, ports that differ, and devices that fit most of them."""
    ports = []
    for i in range(rng.randint(max(2, number), 5)):
        if rng.random() < 0.25:
            ports.append({"name": f"A{i + 1}", "connector": "usb-a", "offers": rng.choice(["5V 2.4A", "5V 3A"])})
        else:
            ports.append({"name": f"C{i + 1}", "pd_w": rng.choice([20, 30, 30, 45, 65, 65, 100])})
            if rng.random() < 0.2:
                ports[-1]["offers"] = "PPS 3.3-11V 3A, 3.3-16V 2A"
    names, caps = [p["name"] for p in ports], {p["name"]: _cap(p) for p in ports}
    charger = {"name": "charger 1", "ports": ports}
    if rng.random() < 0.85:
        charger["max_w"] = round(sum(caps.values()) * rng.uniform(0.25, 0.8), 1) + 5
    if len(ports) > 2 and rng.random() < 0.3:
        charger["pools"] = [_pool(rng, "bank 1", names, caps)]
    if rng.random() < 0.3:
        charger["combinations"] = _combinations(rng, names, caps, True)
    if rng.random() < 0.25:
        charger["reserve"] = "offer"
    if rng.random() < 0.6:
        charger["voltages"] = rng.choice(["kept", "rules"])
    cables = [
        {"name": "cable 1", "length_m": 1, "count": 4}, {"name": "cable 2", "from": "usb-a", "length_m": 1, "count": 2},
        {"name": "cable 3", "watts": rng.choice([100, 240]), "count": 1},
    ]
    devices = []
    for d in range(number):
        device = {"name": f"device {d + 1}"} | rng.choice([
            {"pd_w": 20, "battery_wh": 15.4}, {"pd_w": 30, "battery_wh": [28.6, 38]}, {"pd_w": 45, "battery_wh": 38},
            {"pd_w": 65, "battery_wh": 57.2}, {"pd_w": 100, "battery_wh": [80, 99.5]}, {"accepts": "5V 2A", "battery_wh": 7.4},
            {"kind": "phone"}, {"kind": "tablet"}, {"kind": "laptop"},
            {"accepts": "5V 3A, 9V 3A, PPS 3.3-11V 3A", "battery_wh": 19.3},
        ])
        if rng.random() < 0.6:
            device["start_pct"] = rng.choice([5, 20, 35, 50, 80, [20, 50]])
        if rng.random() < 0.35:
            device["priority"] = rng.choice([1, 3])
        if rng.random() < 0.2:
            device["ready_by_h"] = rng.choice([1, 2, 3.5])
        if rng.random() < 0.15:
            device["usb_a_a"] = 2.4
        if rng.random() < 0.15 and device.get("pd_w", 0) > 30:
            device["running_w"] = rng.choice([6, 12.5])
        devices.append(device)
    return {"chargers": [charger], "cables": cables, "devices": devices}


def _order(rng):
    """What plans are chosen by."""
    chosen = {}
    if rng.random() < 0.6:
        chosen["aim"] = rng.choice(["promise", "best"])
    if rng.random() < 0.6:
        chosen["tolerance_h"] = rng.choice([0, 0, 0.05, 0.25, 1])
    return chosen


def night(seed):
    """With sessions, and mostly with fewer ports than devices."""
    rng = random.Random(f"wattberth night {seed}")
    size = SIZES[seed % 3]
    ports, devices = {
        "small": (rng.randint(1, 2), rng.randint(2, 5)),
        "middle": (rng.randint(2, 4), rng.randint(5, 8)),
        "large": (rng.randint(3, 6), rng.randint(8, 12)),
    }[size]
    ample = rng.random() < 0.7
    document = {"version": 1, "name": f"night {seed}", **_order(rng)}
    if rng.random() < 0.4:
        document["session_h"] = rng.choice([1.5, 2.5, 4, 6.25, 8])
    document["sessions"] = _sessions(rng)
    document["chargers"] = _chargers(rng, ports, size, ample)
    document["cables"] = _cables(rng, devices, ample)
    document["devices"] = _devices(rng, devices, document, ample)
    return _come_and_go(rng, document)


def tiny_night(seed):
    """Two or three sessions, few devices on fewer ports."""
    rng = random.Random(f"wattberth tiny night {seed}")
    document = {"version": 1, "name": f"tiny night {seed}", **_order(rng), "sessions": _sessions(rng)[:3]}
    if rng.random() < 0.3:
        document["session_h"] = rng.choice([2.5, 6.25])
    document |= _contest(rng, rng.choice([2, 2, 3]))
    # On fewer ports than a contest has there is more to swap.
    charger = document["chargers"][0]
    if rng.random() < 0.6:
        charger["ports"] = charger["ports"][:2]
        for field in ("pools", "combinations"):
            charger.pop(field, None)
    return _come_and_go(rng, document)


def _come_and_go(rng, document):
    names = [session["name"] for session in document["sessions"]]
    often = rng.choice([0, 0.2, 0.5])
    for device in document["devices"]:
        if rng.random() < often:
            device["sessions"] = [name for name in names if rng.random() < 0.7]
    return document


def _sessions(rng):
    lengths = rng.choice([[0.5, 1, 1.25, 0.3333333], [2, 2.5, 3.5, 5, 8]])
    sessions = []
    for i in range(rng.choice([1, 2, 2, 2, 3, 3, 4])):
        session = {"name": f"session {i + 1}", "hours": rng.choice(lengths)}
        if rng.random() < 0.2:
            session["swap"] = rng.random() < 0.3
        sessions.append(session)
    return sessions


def _chargers(rng, ports, size, ample):
    number = rng.randint(1, min(ports, {"small": 2, "middle": 3, "large": 4}[size]))
    sizes = [1] * number
    for _ in range(ports - number):
        sizes[rng.randrange(number)] += 1
    return [_charger(rng, f"charger {i + 1}", n, size, ample) for i, n in enumerate(sizes)]


def _charger(rng, name, number, size, ample):
    ports = [_port(rng, i, ample) for i in range(number)]
    charger = {"name": name, "ports": ports}
    names = [p["name"] for p in ports]
    caps = {p["name"]: _cap(p) for p in ports}
    total = sum(caps.values())
    if rng.random() < 0.7:
        charger["max_w"] = round(total * rng.uniform(0.2, 1.05), rng.choice([0, 0, 1])) + 5
    if number > 1 and rng.random() < 0.5:
        charger["pools"] = [_pool(rng, f"bank {k + 1}", names, caps) for k in range(rng.randint(1, 3))]
        if rng.random() < 0.2:
            charger["pools"][0]["ports"] = "all"
    if rng.random() < 0.3:
        charger["reserve"] = rng.choice(["offer", "offer", "contract"])
    if rng.random() < 0.6:
        charger["voltages"] = rng.choice(["kept", "rules"])
    if rng.random() < 0.3:
        charger["tiers_w"] = sorted(rng.sample([7.5, 10, 12.5, 15, 18, 22.5, 27, 33, 45, 50, 60, 87, 101, 140], 5))
    if number <= 8 and rng.random() < {"small": 0.45, "middle": 0.45, "large": 0.25}[size]:
        charger["combinations"] = _combinations(rng, names, caps, ample)
    return charger


def _port(rng, index, ample):
    weights = [6, 3, 4, 4, 1, 1] if ample else [6, 3, 3, 2, 3, 2]
    kind = rng.choices(["pd", "label", "pps", "epr", "usb-a", "barrel"], weights)[0]
    if kind == "pd":
        port = {"pd_w": rng.choice([15, 18, 20, 25, 27, 30, 33, 45, 60, 65, 67, 100])}
        if rng.random() < 0.15:
            port["max_w"] = round(port["pd_w"] * rng.uniform(0.5, 1.1), 1)
    elif kind == "label":
        port = {"offers": rng.choice([
            "5V⎓3A, 9V⎓2,22A", "Output: 5V 3A / 9V 3A / 15V 3A / 20V 2.25A", "5V/9V/12V 2A", "5V3A; 9V/2A; 12V=1.5A",
            ["USB-C1: 5V 3A", "9V 3000mA", "12V 2.5A (30W max)"], "5V-2.4A or 9V-2A 18W",
        ])}
    elif kind == "pps":
        port = {"offers": rng.choice([
            "5V 3A, 9V 3A, PPS 3.3-11V 3A", "5V 3A, 9V 3A, 15V 3A, 20V 2.25A, PPS: 3.3–16V⎓3A, 3.3-21V⎓2.25A",
            "5V 3A, 9V 2.77A, 3.3-5.9V 3A, 3.3-11V 2.25A", "5V 3A, 9V 3A, 15V 3A, 20V 5A, PPS 5-21V 5A 80W max",
        ])}
        if rng.random() < 0.3:
            port["max_w"] = rng.choice([20, 25, 40, 45])
    elif kind == "epr":
        watts = rng.choice([120, 140, 180, 240])
        top = {120: 28, 140: 28, 180: 36, 240: 48}[watts]
        ranges = [f"AVS 15-{top}V 5A {watts}W", "AVS 9-15V 3A, 9-20V 2.5A", f"AVS 9-20V 5A, 15-{top}V 5A {watts}W max"]
        port = {"pd_w": watts}
        if rng.random() < 0.7:
            port["offers"] = rng.choice(ranges)
    elif kind == "usb-a":
        port = {"connector": "usb-a", "offers": rng.choice(["5V 2.4A", "5V 1A", "5V 3A, 9V 2A, 12V 1.5A"])}
    else:
        port = {"connector": BARREL, "offers": rng.choice(["12V 3A", "19.5V 4.62A", "15V 2A, 12V 2A"])}
    letter = {"usb-a": "A", "barrel": "B"}.get(kind, "C")
    if rng.random() < 0.08:
        port["lead"] = _lead(rng, kind)
    return {"name": f"{letter}{index + 1}", **port}


def _lead(rng, kind):
    if kind == "barrel":
        return {"to": BARREL, "length_m": 1.5, "ohm": 0.1}
    lead = {"to": "usb-c", "length_m": rng.choice([1, 1.5, 2])}
    return lead | rng.choice([{}, {"max_a": 5}, {"watts": 240}, {"watts": 60}, {"awg": 28}, {"to": "usb-micro-b"}])


def _cap(port):
    return port.get("max_w", port.get("pd_w", 30))


def _pool(rng, name, names, caps):
    held = sorted(rng.sample(names, rng.randint(1, len(names))))
    most = sum(caps[n] for n in held)
    return {"name": name, "ports": held, "max_w": round(most * rng.uniform(0.35, 1), 1) + 3}


def _combinations(rng, names, caps, ample):
    """Lines that may nest, overlap, repeat a port set, or give more for a larger set."""
    lines = []
    for _ in range(rng.randint(1, 4)):
        held = rng.sample(names, rng.randint(1, len(names)))
        share = rng.choice([1, 0.75, 0.5])
        lines.append({n: rng.choice([round(caps[n] * share, 1), 15, 18, 20, 45]) for n in sorted(held)})
    if ample or rng.random() < 0.5:
        lines.append({n: rng.choice([15, 18, 20, 30, 45]) for n in names})
    return lines


def _cables(rng, devices, ample):
    makes = [
        {"from": "usb-c", "to": "usb-c", **rng.choice([{}, {"watts": 60}])},
        {"from": "usb-c", "to": "usb-c", "length_m": rng.choice([1, 2, 3]), "awg": rng.choice([22, 24, 26, 28, 30])},
        rng.choice([{"e_marked": True, "max_a": 5, "max_v": 50}, {"watts": 240}, {"watts": 100}]) | {"length_m": 2},
        {"e_marked": True, "max_a": rng.choice([3, 5]), "max_v": 50, "length_m": 1, "awg": rng.choice([20, 30])},
        {"e_marked": True, "length_m": 1.5, "ohm": rng.choice([0, 0.12, 0.21])},
        {"from": "usb-a", "to": "usb-c", "length_m": 1},
        {"from": "usb-a", "to": "usb-micro-b", "length_m": 1, "awg": 24},
        {"from": "usb-c", "to": "usb-micro-b", "length_m": 0.5},
        {"from": "usb-c", "to": "usb-mini-b"},
        {"from": BARREL, "to": BARREL, "max_a": 5, "length_m": 2, "ohm": 0.1},
        {"from": "usb-c", "to": BARREL, "e_marked": True, "length_m": 1.5, "ohm": 0.2},
    ]
    if ample:
        chosen = makes[:1] + rng.sample(makes[1:5], rng.randint(2, 3)) + makes[5:8] + [makes[9]]
    else:
        chosen = makes[:1] + rng.sample(makes[1:], rng.randint(1, min(6, 1 + devices // 2)))
    cables = []
    for i, make in enumerate(chosen):
        counts = [2, devices, devices] if ample else [1, 1, 2, 3]
        cables.append({"name": f"cable {i + 1}", **make, "count": rng.choice(counts)})
    if ample:
        cables[0]["length_m"] = 2
    return cables


def _devices(rng, number, document, ample):
    devices, names = [], _pins(document)
    barrels = any(p.get("connector") == BARREL for c in document["chargers"] for p in c["ports"])
    while number > 0:
        device = {"name": f"device {len(devices) + 1}", **_device(rng, ample and not barrels)}
        count = rng.choice([1, 1, 1, 2, 3])
        count = min(count, number)
        if count > 1 or rng.random() < 0.1:
            device["count"] = count
        number -= count
        if rng.random() < 0.08 and not (ample and count > 1):
            device["port"] = rng.choice(names)
        if rng.random() < 0.06:
            # Some fit nothing: a pin that cannot hold leaves its device without a berth.
            fitting = [c for c in document["cables"] if c.get("to", "usb-c") == device.get("inlet", "usb-c")]
            device["cable"] = rng.choice(fitting if fitting and ample else document["cables"])["name"]
        devices.append(device)
    return devices


def _pins(document):
    every = [(c["name"], p["name"]) for c in document["chargers"] for p in c["ports"]]
    ports = [port for _, port in every]
    return [port if ports.count(port) == 1 else f"{charger}/{port}" for charger, port in every]


def _device(rng, usb_only):
    weights = [4, 4, 4, 3, 3, 0 if usb_only else 1, 4]
    kind = rng.choices(["phone", "tablet", "laptop", "large laptop", "gadget", "barrel", "by kind"], weights)[0]
    if kind == "by kind":
        device = _by_kind(rng)
    elif kind == "phone":
        device = {"battery_mah": rng.choice([3000, 4410, 5000])}
        device |= rng.choice([
            {"accepts": "5V 3A, 9V 2.22A"}, {"pd_w": 20}, {"accepts": "5V 3A, 9V 2A, PPS 3.3-11V 4.05A", "max_w": 25},
            {"accepts": "5V⎓2A / 9V⎓2A / 12V⎓1.5A, 3.3-5.9V⎓3A"},
        ])
        if rng.random() < 0.3:
            device["battery_v"] = 3.85
    elif kind == "tablet":
        device = {"battery_wh": rng.choice([20.5, 28.6, 38])}
        device |= rng.choice([
            {"accepts": "5V 3A, 9V 3A, 15V 3A", "max_w": 35}, {"pd_w": 30}, {"accepts": "5V 3A, 9V 3A, 3.3-16V 3A"},
            {"accepts": "5V 3A, AVS 9-15V 3A", "max_w": 30},
        ])
    elif kind == "laptop":
        device = {"battery_wh": rng.choice([50, 57.2, 70])}
        device |= rng.choice([
            {"pd_w": 65}, {"accepts": "5-20V 3.25A", "max_w": 61}, {"accepts": "15V 3A, 20V 3.25A", "min_w": 27},
            {"accepts": "5V 3A, 9V 3A, 15V 3A, 20V 5A", "max_w": 96}, {"accepts": "20V 3A, AVS: 9-20V 3A"},
        ])
        if rng.random() < 0.4:
            device["running_w"] = rng.choice([6, 12.5, 22])
    elif kind == "large laptop":
        device = {"battery_wh": rng.choice([86, 99.5])}
        device |= rng.choice([
            {"pd_w": 140}, {"pd_w": 240, "min_w": 45}, {"accepts": "9V 3A, 15V 3A, 20V 5A, AVS 15-28V 5A", "max_w": 140},
            {"accepts": "20V 5A, 28V 5A, 36V 5A, AVS 15-48V 5A 220W"},
            {"accepts": "9V 3A, 20V 3A, AVS 15-25.5V 5A"}, {"accepts": "15V 3A, 20V 5A, AVS 15-33V 5A"},
        ])
        if rng.random() < 0.3:
            device["running_w"] = rng.choice([20, 55])
    elif kind == "gadget":
        device = {"battery_wh": rng.choice([1.9, 4.07, 7.4]), "accepts": rng.choice(["5V 1A", "5V 500mA", "Input 5V⎓2A"])}
        device["inlet"] = rng.choice(INLETS[: 4 if usb_only else 5])
    else:
        device = {"battery_wh": rng.choice([24, 48]), "inlet": BARREL}
        device |= rng.choice([{"accepts": "12V 3A"}, {"accepts": "15-20V 4A", "max_w": 70}, {"accepts": "9V-20V 2A"}])
    if isinstance(device.get("battery_wh"), float | int) and rng.random() < 0.2:
        device["battery_wh"] = [device["battery_wh"], round(device["battery_wh"] * rng.choice([1.1, 1.4]), 2)]
    if device.get("inlet", "usb-c") != BARREL and rng.random() < 0.15:
        device["usb_a_a"] = rng.choice([0.5, 1, 2, 2.4, 3])
    return device | _circumstances(rng, device)


KINDS = (
    "phone", "small phone", "tablet", "tablet", "laptop", "laptop", "large laptop", "earbuds", "headphones", "game console",
    "handheld computer", "e-reader", "camera", "drone battery", "speaker", "power bank",
)


def _by_kind(rng):
    device = {"kind": rng.choice(KINDS)}
    return device | rng.choice([
        {}, {}, {}, {"max_w": rng.choice([10, 30, 65])}, {"pd_w": rng.choice([15, 45])}, {"battery_mah": 4000},
        {"battery_wh": [30, 50]}, {"accepts": "5V 3A, 9V 2A"}, {"accepts": "5V 2A", "inlet": "usb-micro-b"},
        {"min_w": rng.choice([0, 15])}, {"battery_mah": 10000, "battery_v": 3.7},
    ])


def _circumstances(rng, device):
    about = {}
    if rng.random() < 0.7:
        about["start_pct"] = rng.choice([0, 5, 12.5, 20, 35, 50, 65, 80, 90, 100, [10, 40], [0, 100], [70, 90]])
    if rng.random() < 0.3:
        about["target_pct"] = rng.choice([60, 80, 85, 95, 100])
    if rng.random() < 0.4:
        about["efficiency"] = rng.choice([0.86, 0.87, 0.91, 0.93])
    if rng.random() < 0.3:
        about["priority"] = rng.choice([1, 1, 2, 3, 3])
    if rng.random() < 0.25:
        about["ready_by_h"] = rng.choice([0.5, 1, 2, 3.5])
    if rng.random() < 0.2:
        about["reach_m"] = rng.choice([0.5, 1, 1.5, 2])
    if rng.random() < 0.05 and "running_w" not in device:
        about["running_w"] = 1.5
    if rng.random() < 0.35:
        about["draw_w"] = _curve(rng, device)
    return about


def _curve(rng, device):
    top = device.get("max_w", device.get("pd_w", 30 if "kind" in device else 18)) * rng.choice([0.6, 1])
    bend = rng.choice([40, 55, 75])
    kinds = [
        [[0, top]],
        [[0, top], [bend, top], [100, top / 8]],
        [[10, top / 2], [bend, top], [bend, top / 2], [90, top / 3], [100, 0.9]],  # a step
        [[0, top], [bend, top * 0.6], [100, 0]],  # ends at nothing: full only short of 100 %
    ]
    return rng.choices(kinds, [3, 3, 3, 1])[0]


if __name__ == "__main__":
    make = {"night": night, "tiny": tiny, "tiny night": tiny_night}.get(" ".join(sys.argv[2:]), setup)
    print(json.dumps(make(int(sys.argv[1])), indent=1, ensure_ascii=False))
