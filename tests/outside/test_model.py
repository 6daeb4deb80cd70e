"""Checks of this Python itself: hand-worked cases, published values, and the integer program against brute force.

Run as `python test_model.py`. Published values come with their source.
"""

import itertools
import math
import sys

import generate
import labels
import milp
import model
import setups
from labels import AVS, FIXED, PPS, WIDE, Entry

RANDOM_CASES = 400
MOST_PLANS = 60_000


def close(got, expected, tolerance=1e-9):
    assert abs(got - expected) <= tolerance, f"{got} is not {expected}"


def power_rules():
    """USB PD R3.2, section 10.2, "Normative voltages and currents"; currents floored to 10 mA.

    The 50 W line is the worked example of the technology-dictionary entries that print the table. EPR bands:
    section 10.2.3, as a test lab's article of 13 September 2021 quotes them.
    """
    rows = {
        7.5: [1.50], 15: [3.00], 18: [3.00, 2.00], 20: [3.00, 2.22], 27: [3.00, 3.00], 30: [3.00, 3.00, 2.00],
        45: [3.00, 3.00, 3.00], 50: [3, 3, 3, 2.5], 60: [3.00, 3.00, 3.00, 3.00], 65: [3.00, 3.00, 3.00, 3.25],
        100: [3.00, 3.00, 3.00, 5.00], 140: [3, 3, 3, 5, 5], 180: [3, 3, 3, 5, 5, 5], 240: [3, 3, 3, 5, 5, 5, 5],
        15.01: [3, 1.66],
    }
    for watts, amps in rows.items():
        offers = model.required_offers(watts)
        assert [o.high for o in offers] == [5, 9, 15, 20, 28, 36, 48][: len(amps)], watts
        for offer, expected in zip(offers, amps):
            close(math.floor(offer.amps * 100 + 1e-6) / 100, expected)


def copper():
    """Ohm per 1000 ft at 20 degrees Celsius: Floyd, Electric Circuit Fundamentals, 2nd ed., as HyperPhysics tabulates it."""
    handbook = {20: 10.15, 22: 16.14, 24: 25.67, 26: 40.81, 28: 64.90, 30: 103.2, 32: 164.1}
    for awg, ohm in handbook.items():
        assert abs(setups.wire_ohm_m(awg) / (ohm / 304.8) - 1) < 0.0005, awg


def single(port, cable, device):
    """The only option of one device on one port, with the most power."""
    device = {"name": "d", "battery_wh": 10, **device}
    setup = setups.resolve({
        "chargers": [{"name": "c", "ports": [{"name": "C1", **port}]}],
        "cables": [{"name": "k", **cable}], "devices": [device],
    })
    found = model.options_of(setup)[0]
    return max(found, key=lambda o: o.inlet_w) if found else None


def cable_limits():
    """60 W unmarked, 100 W at 5 A and 20 V, 240 W EPR: USB Type-C R2.1; drop of 0.75 V at full current: its 4.4.1."""
    five, epr = {"e_marked": True}, {"e_marked": True, "max_v": 50}
    for pd_w, left in ((65, (60, 65, 65)), (100, (60, 100, 100)), (140, (60, 100, 140)), (240, (60, 100, 240))):
        for cable, watts in zip(({}, five, epr), left):
            close(single({"pd_w": pd_w}, cable, {"pd_w": 240}).watts_u, watts * 1e6)
    # Worst-case efficiencies at the drop limit: 1 - 0.75 / volts by arithmetic.
    for volts, amps, efficiency in (
        (5, 3, 0.85), (9, 3, 0.9167), (15, 3, 0.95), (20, 3, 0.9625), (20, 5, 0.9625), (28, 5, 0.9732), (48, 5, 0.9844),
    ):
        label = f"{volts}V {amps}A"
        option = single({"offers": label}, epr if amps == 5 else {}, {"accepts": label})
        close(option.inlet_w / (volts * amps), efficiency, 5e-5)


def avs():
    """144 W of AVS: 28.8 V 5 A, 36 V 4 A (test lab's article on PD R3.1, 13 September 2021)."""
    epr = {"e_marked": True, "max_v": 50, "ohm": 0}
    for accepts, volts, amps in (("AVS 15-28.8V 5A", 28.8, 5), ("AVS 15-36V 5A", 36, 4), ("AVS 15-30V 5A", 30, 4.8)):
        option = single({"offers": "AVS 15-36V 5A 144W"}, epr, {"accepts": accepts})
        close(option.volts, volts)
        close(option.amps, amps)
    assert single({"offers": "AVS 15-28V 5A"}, {"e_marked": True}, {"accepts": "AVS 15-20V 5A"}) is None
    assert single({"offers": "AVS 9-20V 5A"}, {"e_marked": True}, {"accepts": "AVS 15-20V 5A"}).volts == 20


def cuts():
    """Ranges by power: PPS from PD R3.0, Table 10-8; AVS as model.md section 2."""
    port = setups.resolve({
        "chargers": [{"name": "c", "ports": [{"name": "C1", "pd_w": 140, "offers": "PPS 3.3-21V 3A, AVS 15-20V 5A, 15-28V 5A"}]}],
        "devices": [],
    }).ports[0]
    tops = {15: [5.9], 18: [11], 27: [11], 30: [16, 15], 45: [16, 15], 60: [21, 20], 100: [21, 20], 101: [21, 20, 28]}
    for tier, expected in tops.items():
        got = [o.high for o in model.offers_at(port, tier) if o.kind != FIXED]
        assert got == expected, (tier, got)
    assert len([o for o in model.offers_at(port, 140) if o.kind == AVS]) == 2
    assert [o.high for o in model.offers_at(port, 20) if o.kind == FIXED] == [5, 9]


def label_text():
    cases = [
        ("5V 3A", "offers", [Entry(FIXED, 5, 5, 3)]),
        ("5V⎓3A, 9 V / 2,22 A", "offers", [Entry(FIXED, 5, 5, 3), Entry(FIXED, 9, 9, 2.22)]),
        ("5V3A/9V2A", "offers", [Entry(FIXED, 5, 5, 3), Entry(FIXED, 9, 9, 2)]),
        ("5V-3A or 9V=2000mA", "offers", [Entry(FIXED, 5, 5, 3), Entry(FIXED, 9, 9, 2)]),
        ("Output: 5V/9V/12V 2A 18W", "offers", [Entry(FIXED, v, v, 2, 18) for v in (5, 9, 12)]),
        (["USB-C1: 5V 3A", "3.3V–21V⎓5A (65W max)"], "offers", [Entry(FIXED, 5, 5, 3), Entry(PPS, 3.3, 21, 5, 65)]),
        ("PPS: 5-20V 3A, 5-28V 1A; 9V 1A; 5-28V 2A", "offers",
         [Entry(PPS, 5, 20, 3), Entry(PPS, 5, 28, 1), Entry(FIXED, 9, 9, 1), Entry(AVS, 5, 28, 2)]),
        ("5-20V 3A, 5-16V 3A, 4-20V 1A, AVS 9-15V 3A", "accepts",
         [Entry(WIDE, 5, 20, 3), Entry(PPS, 5, 16, 3), Entry(PPS, 4, 20, 1), Entry(AVS, 9, 15, 3)]),
    ]
    for text, side, expected in cases:
        assert labels.parse(text, side) == expected, text
    for text in ("5V,9V 2A", "PPS 9V 2A", "100-240V~", "", "51V 1A", "20V 3A (65W)"):
        try:
            labels.parse(text, "offers")
        except labels.Fault:
            continue
        raise AssertionError(f"{text!r} was read")


def times():
    """By hand, and against a fine sum."""
    flat = {"accepts": "5V 2A", "draw_w": [[0, 10]], "efficiency": 1}
    option = single({"offers": "5V 2A"}, {"ohm": 0}, flat)
    assert option.hours_u == 1_000_000  # 10 Wh at 10 W
    # 10 W to 50 %, then straight to 5 W: 0.5 h + 5 Wh / 5 W x ln 2
    bent = flat | {"draw_w": [[0, 10], [50, 10], [100, 5]]}
    assert single({"offers": "5V 2A"}, {"ohm": 0}, bent).hours_u == model.micro(0.5 + math.log(2))
    assert single({"offers": "5V 2A"}, {"ohm": 0}, flat | {"draw_w": [[0, 10], [100, 0]]}) is None
    assert single({"offers": "5V 2A"}, {"ohm": 0}, flat | {"draw_w": [[0, 10], [100, 0]], "target_pct": 99})
    assert single({"offers": "5V 2A"}, {"ohm": 0}, flat | {"running_w": 10}) is None
    steps = 200_000
    for seed in range(40):
        setup = setups.resolve(generate.setup(seed))
        for device in setup.devices[:2]:
            exact = model.hours(device, device.max_w * 0.7)
            if exact is None or exact == 0:
                continue
            room, span, sum_ = device.max_w * 0.7 - device.running_w, device.target_pct - device.start_pct, 0.0
            for low, high, d0, d1 in model.pieces(device.draw_w, device.start_pct, device.target_pct):
                n = max(1, round(steps * (high - low) / span))
                sum_ += sum((high - low) / n / min(room, d0 + (d1 - d0) * (k + 0.5) / n) for k in range(n))
            close(exact / (device.battery_wh / 100 / device.efficiency * sum_), 1, 1e-6)


def lines():
    """Governing lines, nested and incomparable, each asked in the words of section 5."""
    table = [{"C1": 65}, {"C1": 45, "C2": 20}, {"C1": 30, "C3": 30}, {"C1": 60, "C2": 60, "C3": 15}]
    document = {
        "chargers": [{"name": "c", "ports": [{"name": f"C{i}", "pd_w": 65} for i in (1, 2, 3)], "combinations": table}],
        "devices": [],
    }
    setup = setups.resolve(document)
    for tiers, legal in (
        ({0: 65}, True), ({1: 65}, True), ({0: 45, 1: 20}, True), ({0: 60, 1: 20}, False), ({0: 45, 1: 30}, False),
        ({0: 30, 2: 30}, True), ({1: 60, 2: 15}, True), ({1: 60, 2: 20}, False), ({0: 60, 1: 60, 2: 15}, True),
    ):
        got = any(
            model.respected(line, {p: t * model.MICRO for p, t in tiers.items()})
            for line in model.governing(setup.lines[0], set(tiers))
        )
        assert got == legal, tiers


def generator():
    """What the random setups must reach among their options, so that agreement means something."""
    reached = dict.fromkeys((
        "fixed above 21 V", "a range's own voltage", "AVS above 21 V", "barrel", "usb-a", "micro or mini-B", "pinned to a port",
        "pinned to a cable", "reach", "below min_w at some tier", "reserve by contract", "lines not comparable",
        "a larger line gives more", "throttled by the cable's drop", "16 devices", "18 ports", "overlapping pools",
    ), 0)
    for seed in range(150):
        setup = setups.resolve(generate.setup(seed))
        for option in itertools.chain(*model.options_of(setup)):
            device, port, cable = setup.devices[option.device], setup.ports[option.port], setup.cables[option.cable]
            fixed = any(o.kind == FIXED and o.high == option.volts for o in port.offers)
            drop = drop_amps(cable)
            for what, there in {
                "fixed above 21 V": fixed and option.volts > 21, "a range's own voltage": not fixed,
                "AVS above 21 V": not fixed and option.volts > 21, "barrel": "other:barrel" in cable.ends,
                "usb-a": "usb-a" in cable.ends, "micro or mini-B": device.inlet in model.LEGACY_PLUGS,
                "pinned to a port": device.port is not None, "pinned to a cable": device.cable is not None,
                "reach": device.reach_m > 0, "throttled by the cable's drop": drop and abs(option.amps - drop) < 1e-9,
                "reserve by contract": setup.chargers[port.charger][1] == "contract",
                "below min_w at some tier": 0 < device.min_w > port.tiers_w[0],
            }.items():
                reached[what] += bool(there)
        for one, two in itertools.chain(*(itertools.permutations(lines, 2) for lines in setup.lines.values())):
            small, large = set(one.watts_u), set(two.watts_u)
            reached["lines not comparable"] += bool(small & large and small - large and large - small)
            reached["a larger line gives more"] += small < large and any(two.watts_u[p] > w for p, w in one.watts_u.items())
        for one, two in itertools.permutations(setup.pools, 2):
            reached["overlapping pools"] += bool(one.ports & two.ports and one.ports - two.ports and two.ports - one.ports)
        reached["16 devices"] += len(setup.devices) == 16
        reached["18 ports"] += len(setup.ports) == 18
        assert len(setup.devices) <= 16 and len(setup.ports) <= 18, seed
    assert all(reached.values()), reached


def drop_amps(cable):
    """The current at which the cable drops 0.75 V, where that is less than its rated one."""
    drop = model.DROP_V / cable.ohm if cable.ohm > 0 else None
    return drop if drop is not None and drop < cable.max_a - 1e-6 else None


def brute_force(setup, options):
    """The best objective vector over all plans, or None where there are too many."""
    choices = [[None, *own] for own in options]
    if math.prod(len(c) for c in choices) > MOST_PLANS:
        return None
    best = None
    for plan in itertools.product(*choices):
        chosen = [o for o in plan if o is not None]
        if len({o.port for o in chosen}) < len(chosen) or model.broken_rules(setup, chosen):
            continue
        vector = model.objective(setup, chosen)
        best = vector if best is None else min(best, vector)
    return best


def programs():
    """The integer program finds what trying every plan finds; the cases reach what they must."""
    reached, compared, seed = {}, 0, 0
    while compared < RANDOM_CASES:
        seed += 1
        setup = setups.resolve(generate.setup(3 * seed))  # small ones
        expected = brute_force(setup, model.options_of(setup))
        if expected is None:
            continue
        compared += 1
        got, plan, _ = milp.solve(setup)
        assert got == expected, f"seed {3 * seed}: program {got}, every plan {expected}"
        assert not model.broken_rules(setup, plan)
        for what, there in {
            "someone is left out": sum(got[:3]) > 0, "energy is missing": got[3] > 0, "someone is late": got[4] > 0,
            "two or more times": len(got[5]) > 1, "a combination table": bool(setup.lines),
            "a table holds back": bool(setup.lines) and holds_back(setup, got, "lines"),
            "a pool holds back": bool(setup.pools) and holds_back(setup, got, "pools"),
        }.items():
            reached[what] = reached.get(what, 0) + there
    assert all(reached.values()), reached
    print("  reached:", ", ".join(f"{what} {n}" for what, n in reached.items()))


def holds_back(setup, vector, what):
    kept = getattr(setup, what)
    setattr(setup, what, type(kept)())
    free, _, _ = milp.solve(setup)
    setattr(setup, what, kept)
    return free < vector


def main():
    for check in (power_rules, copper, cable_limits, avs, cuts, label_text, times, lines, generator, programs):
        print(check.__name__, flush=True)
        check()
    print("all agree")


if __name__ == "__main__":
    sys.exit(main())
