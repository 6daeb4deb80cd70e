"""Checks of this Python itself: hand-worked cases, published values, and the integer program against every plan.

Run as `python test_model.py`. Published values come with their source.
"""

import dataclasses
import itertools
import math
import random
import sys

import documents
import every_plan
import generate
import labels
import milp
import model
import rotas
import setups
import sharing
from labels import AVS, FIXED, PPS, WIDE, Entry

RANDOM_CASES = 400
RANDOM_ROTAS = 150
MOST_STEPS = 12_000
NO_LOSS = {"name": "k", "ohm": 0, "count": 9}
MARKED = {"name": "k", "e_marked": True, "max_a": 5, "max_v": 50, "ohm": 0, "count": 9}


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
    setup = setups.resolve({
        "chargers": [{"name": "c", "ports": [{"name": "C1", **port}]}],
        "cables": [{"name": "k", **cable}], "devices": [{"name": "d", "battery_wh": 10, **device}],
    })
    found = model.options_of(setup)[0]
    return max(found, key=lambda o: o.inlet_w) if found else None


def promised_alone(port, cable, device):
    """What one device is promised on one port that nothing else shares."""
    setup = setups.resolve({
        "chargers": [{"name": "c", "ports": [{"name": "C1", **port}]}],
        "cables": [{"name": "k", **cable}], "devices": [{"name": "d", "battery_wh": 10, **device}],
    })
    return model.promises(setup, [max(model.options_of(setup)[0], key=lambda o: o.inlet_w)])[0]


def beside(charger, devices, cables=(NO_LOSS,), **more):
    """(setup, options) of devices put on the charger's ports in their order, each at its most power."""
    listed = [{"name": f"d{i}", "battery_wh": 10, **device} for i, device in enumerate(devices)]
    ports = [{"name": f"C{i}", **port} for i, port in enumerate(charger["ports"])]
    setup = setups.resolve({
        "chargers": [{"name": "c", **charger, "ports": ports}], "cables": list(cables), "devices": listed, **more,
    })
    options = model.options_of(setup)
    chosen = [max((o for o in own if o.port == d), key=lambda o: o.inlet_w) for d, own in enumerate(options)]
    return setup, chosen


def granted(charger, devices, cables=(NO_LOSS,)):
    """By device, (watts granted, watts of the promised contract or None)."""
    found = model.promises(*beside(charger, devices, cables))
    return [
        (promise.grant_u / model.MICRO, None if promise.watts_u is None else promise.watts_u / model.MICRO)
        for promise in found
    ]


def cable_limits():
    """60 W unmarked, 100 W at 5 A and 20 V, 240 W EPR: USB Type-C R2.1; drop of 0.75 V at full current: its 4.4.1."""
    five, epr = {"e_marked": True, "max_a": 5}, {"e_marked": True, "max_a": 5, "max_v": 50}
    for pd_w, left in ((65, (60, 65, 65)), (100, (60, 100, 100)), (140, (60, 100, 140)), (240, (60, 100, 240))):
        for cable, watts in zip(({}, five, epr), left):
            close(single({"pd_w": pd_w}, cable, {"pd_w": 240}).watts_u, watts * 1e6)
        for printed, watts in zip((60, 100, 240), left):
            close(single({"pd_w": pd_w}, {"watts": printed}, {"pd_w": 240}).watts_u, watts * 1e6)
    # Worst-case efficiencies at the drop limit: 1 - 0.75 / volts by arithmetic.
    for volts, amps, efficiency in (
        (5, 3, 0.85), (9, 3, 0.9167), (15, 3, 0.95), (20, 3, 0.9625), (20, 5, 0.9625), (28, 5, 0.9732), (48, 5, 0.9844),
    ):
        label = f"{volts}V {amps}A"
        option = single({"offers": label}, epr if amps == 5 else {}, {"accepts": label})
        close(option.inlet_w / (volts * amps), efficiency, 5e-5)


def avs():
    """144 W of AVS: 28.8 V 5 A, 36 V 4 A (test lab's article on PD R3.1, 13 September 2021)."""
    epr = {"e_marked": True, "max_a": 5, "max_v": 50, "ohm": 0}
    for accepts, volts, amps in (("AVS 15-28.8V 5A", 28.8, 5), ("AVS 15-36V 5A", 36, 4), ("AVS 15-30V 5A", 30, 4.8)):
        option = single({"offers": "AVS 15-36V 5A 144W"}, epr, {"accepts": accepts})
        close(option.volts, volts)
        close(option.amps, amps)
    assert single({"offers": "AVS 15-28V 5A"}, {"watts": 100}, {"accepts": "AVS 15-20V 5A"}) is None
    assert single({"offers": "AVS 9-20V 5A"}, {"watts": 100}, {"accepts": "AVS 15-20V 5A"}).volts == 20


def cuts():
    """Ranges by power: PPS from PD R3.0, Table 10-8; AVS as model.md section 2."""
    port = setups.resolve({
        "chargers": [{"name": "c", "ports": [{"name": "C1", "pd_w": 140, "offers": "PPS 3.3-21V 3A, AVS 15-20V 5A, 15-28V 5A"}]}],
        "devices": [],
    }).ports[0]
    tops = {15: [5.9], 18: [11], 27: [11], 30: [16, 15], 45: [16, 15], 60: [21, 20], 100: [21, 20], 101: [21, 20, 28]}
    for tier, expected in tops.items():
        got = [o.high for o in model.offers_at(port, tier, True) if o.kind != FIXED]
        assert got == expected, (tier, got)
    assert len([o for o in model.offers_at(port, 140, True) if o.kind == AVS]) == 2
    assert [o.high for o in model.offers_at(port, 20, True) if o.kind == FIXED] == [5, 9]
    assert model.offers_at(port, 20, False) == port.offers


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
            known = device.best
            room, span, sum_ = device.max_w * 0.7 - device.running_w, device.target_pct - known.start_pct, 0.0
            for low, high, d0, d1 in model.pieces(known.draw_w, known.start_pct, device.target_pct):
                n = max(1, round(steps * (high - low) / span))
                sum_ += sum((high - low) / n / min(room, d0 + (d1 - d0) * (k + 0.5) / n) for k in range(n))
            close(exact / (known.battery_wh / 100 / device.efficiency * sum_), 1, 1e-6)


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


def floors():
    """Section 6 without a table. Two laptops ask 30 W each of one pool."""
    two = [{"pd_w": 30}, {"pd_w": 30}]
    ports = [{"pd_w": 30}, {"pd_w": 30}]
    for total, expected in (
        (60, (30, 30)), (59, (29, 27)), (50, (20, 20)), (30, (7.5, 7.5)), (12, (6, 6)),
    ):
        # 60: all fits. 59: 59 - 30 = 29, the tier 27. 30: 30 - 30 = 0, the floor. 12: its half, 6 W, is the floor.
        assert granted({"ports": ports, "max_w": total}, two) == [expected] * 2, total
    # 12 W on four ports: a floor of 3 W, below every tier.
    assert granted({"ports": ports * 2, "max_w": 12}, two) == [(3, 3)] * 2
    # No tier at or below 7.5 W: the floor itself.
    assert granted({"ports": ports, "max_w": 30, "tiers_w": [10, 20]}, two) == [(7.5, 7.5)] * 2
    # A port of 5 V 1 A: a floor of 5 W, which is its cap and all that is asked.
    small = granted({"ports": [{"offers": "5V 1A"}, {"pd_w": 30}], "max_w": 30}, [{"accepts": "5V 3A"}, {"pd_w": 30}])
    assert small == [(5, 5), (25, 20)], small
    # The tightest of two pools counts, and of the floors too: 10 W on three ports.
    three = [{"pd_w": 30}] * 3
    assert granted({"ports": three, "max_w": 70, "pools": [{"name": "b", "ports": ["C1", "C2"], "max_w": 40}]}, three) == [
        (10, 7.5), (10, 7.5), (10, 7.5),
    ]
    # With neither pool nor table every port has its cap.
    assert granted({"ports": three}, three) == [(30, 30)] * 3


def loads():
    """What a small device leaves: by `contract` what it asks, by `offer` its port's cap."""
    small_and_large = [{"accepts": "5V 1A"}, {"pd_w": 30}]
    ports = [{"pd_w": 30}, {"pd_w": 30}]
    assert granted({"ports": ports, "max_w": 45}, small_and_large) == [(15, 5), (30, 30)]
    assert granted({"ports": ports, "max_w": 45, "reserve": "offer"}, small_and_large) == [(15, 5), (15, 15)]
    # On a small port it takes no more than that port has, by either.
    ports = [{"offers": "5V 2A"}, {"pd_w": 30}]
    assert granted({"ports": ports, "max_w": 40, "reserve": "offer"}, small_and_large) == [(10, 5), (30, 30)]
    # Through a lesser cable a laptop asks for less: 60 W, not 100.
    laptops, ports = [{"pd_w": 100}, {"pd_w": 100}], [{"pd_w": 100}] * 2
    assert granted({"ports": ports, "max_w": 120}, laptops) == [(60, 60)] * 2
    assert granted({"ports": ports, "max_w": 120}, laptops, [MARKED]) == [(20, 20)] * 2


def promised_tables():
    """Lines are promised; of several that govern, the least, and of loads the most."""
    ports, two = [{"pd_w": 65}] * 3, [{"pd_w": 65}, {"pd_w": 65}]
    table = [{"C0": 45, "C1": 20}, {"C0": 65}]
    assert granted({"ports": ports, "combinations": table}, two, [MARKED]) == [(45, 45), (20, 20)]
    # 60 W asked through 3 A, alone on C0: the cap.
    assert granted({"ports": ports, "combinations": table}, two[:1]) == [(65, 60)]
    # Neither line is a part of the other: both govern C0 and C1.
    table = [{"C0": 45, "C1": 20, "C2": 20}, {"C0": 20, "C1": 45}]
    assert granted({"ports": ports, "combinations": table}, two) == [(20, 20), (45, 45)]
    both = [{"C0": 45, "C1": 20}, {"C1": 45, "C0": 20}]
    setup, chosen = beside({"ports": ports, "combinations": both}, two)
    chosen = [min((o for o in model.options_of(setup)[d] if o.port == d), key=lambda o: o.tier_u) for d in (0, 1)]
    assert [p.grant_u for p in model.promises(setup, chosen)] == [20_000_000] * 2
    # A pool besides: 60 W less a load of 45 W, which is what the line gives at most, though 60 W are asked.
    table = [{"C0": 45, "C1": 45}]
    assert granted({"ports": ports, "max_w": 60, "combinations": table}, two) == [(15, 15)] * 2
    # A line below the floor is the grant and the floor.
    table = [{"C0": 5, "C1": 45}]
    assert granted({"ports": ports, "combinations": table}, [{"accepts": "5V 3A"}, {"pd_w": 65}]) == [(5, 5), (45, 45)]


def other_plugs():
    """A barrel supply has no floor and no tiers of its own: what it prints, or nothing."""
    supply, two = {"ports": [{"connector": "other:barrel", "offers": "12V 3A"}] * 2}, [
        {"inlet": "other:barrel", "accepts": "12V 3A"}, {"inlet": "other:barrel", "accepts": "12V 1A"},
    ]
    cable = {"name": "k", "from": "other:barrel", "to": "other:barrel", "ohm": 0, "count": 2}
    assert granted(supply | {"max_w": 40}, two, [cable]) == [(28, None), (4, None)]
    assert granted(supply | {"max_w": 48}, two, [cable]) == [(36, 36), (12, 12)]
    # Watts of lines are its tiers.
    table = [{"C0": 20, "C1": 16}]
    assert granted(supply | {"combinations": table}, two, [cable]) == [(20, 20), (16, 12)]
    # USB-A has lines' watts as tiers too, and the floor: 15 - 12 W.
    ports = [{"connector": "usb-a", "offers": "5V 2.4A"}] * 2
    cable = {"name": "k", "from": "usb-a", "ohm": 0, "count": 2}
    known = [{"accepts": "5V 3A", "usb_a_a": 2.4}] * 2
    assert granted({"ports": ports, "max_w": 15}, known, [cable]) == [(7.5, 7.5)] * 2
    assert granted({"ports": ports, "combinations": [{"C0": 10, "C1": 11}]}, known, [cable]) == [(10, 10), (11, 11)]


def usb_a():
    """2.4 A on the label: 12 W at best, 7.5 W promised, and what is known in both."""
    port, cable = {"connector": "usb-a", "offers": "5V 2.4A, 9V 2A"}, {"from": "usb-a", "ohm": 0}
    for device, best, promised in (
        ({"accepts": "5V 3A, 9V 3A"}, 12, 7.5), ({"accepts": "5V 1A"}, 5, 5), ({"accepts": "5V 3A", "usb_a_a": 2.1}, 10.5, 10.5),
        ({"accepts": "9V 3A", "usb_a_a": 1}, 5, 5), ({"accepts": "5V 3A", "max_w": 10, "usb_a_a": 2.4}, 10, 10),
    ):
        close(single(port, cable, device).watts_u / 1e6, best)
        close(promised_alone(port, cable, device).watts_u / 1e6, promised)
    # Elsewhere `usb_a_a` says nothing.
    close(promised_alone({"offers": "5V 3A"}, {"ohm": 0}, {"accepts": "5V 3A", "usb_a_a": 1}).watts_u / 1e6, 15)


def pps():
    """At best the highest common voltage, promised 9 V, or that where it is lower, or the lowest where that is higher."""
    for offers, accepts, best, promised in (
        ("PPS 3.3-11V 3A", "PPS 3.3-11V 3A", 33, 27), ("PPS 3.3-5.9V 3A", "PPS 3.3-11V 3A", 17.7, 17.7),
        ("PPS 10-21V 2A", "PPS 3.3-16V 3A", 32, 20), ("PPS 3.3-11V 5A 45W max", "PPS 3.3-21V 5A", 33, 27),
        # 20 W of the entry: 20 / 11 A at 11 V and 20 / 9 A at 9 V.
        ("PPS 3.3-11V 3A 20W", "PPS 3.3-11V 3A", 20, 20), ("AVS 9-15V 2A", "AVS 9-15V 2A", 30, 30),
    ):
        close(single({"offers": offers}, {"ohm": 0}, {"accepts": accepts}).watts_u / 1e6, best)
        close(promised_alone({"offers": offers}, {"ohm": 0}, {"accepts": accepts}).watts_u / 1e6, promised)


def leads():
    """A fixed lead alone joins its port, and counts as e-marked with its amps."""
    for lead, watts in (({}, 60), ({"watts": 60}, 60), ({"max_a": 5}, 100), ({"watts": 240}, 100), ({"max_a": 3}, 60)):
        option = single({"pd_w": 100, "lead": lead}, {"watts": 240}, {"pd_w": 100})
        close(option.watts_u / 1e6, watts)
        assert option.cable == 1
    assert single({"pd_w": 100, "lead": {}}, {"watts": 240}, {"pd_w": 100, "cable": "k"}) is None
    assert single({"pd_w": 100, "lead": {"length_m": 1}}, {}, {"pd_w": 100, "reach_m": 1.5}) is None
    assert single({"pd_w": 100, "lead": {"to": "usb-micro-b"}}, {}, {"pd_w": 100}) is None
    # 28 AWG over 2 m: without a marker 0.88 A at 5 V would be promised; a lead keeps its 3 A.
    thin = {"length_m": 2, "awg": 28}
    close(promised_alone({"offers": "5V 3A", "lead": thin}, {}, {"accepts": "5V 3A"}).amps, 5 / (2 * setups.loop_ohm(2, 28)))


def drops():
    """0.75 V at 5 V, the same share above it, promised and without a marker only."""
    thin = {"length_m": 3, "awg": 28}
    ohm = 2 * 3 * 1.7241e-8 / (math.pi * (0.127e-3 * 92 ** (8 / 39)) ** 2 / 4)
    close(ohm, 1.2774, 1e-4)
    close(promised_alone({"offers": "5V 3A"}, thin, {"accepts": "5V 3A"}).amps, 0.75 / ohm)
    close(promised_alone({"offers": "20V 3A"}, thin, {"accepts": "20V 3A"}).amps, 3 / ohm)
    close(promised_alone({"offers": "20V 3A"}, {**thin, "e_marked": True}, {"accepts": "20V 3A"}).amps, 3)
    # At best, and with a marker, up to the most that the wire brings: 5 / 2R = 1.957 A, 2.446 W.
    option = single({"offers": "5V 3A"}, thin, {"accepts": "5V 3A"})
    close(option.amps, 5 / (2 * ohm))
    close(option.inlet_w, 25 / (4 * ohm))
    # Between other plugs nothing is said about the drop.
    port, cable = {"connector": "other:b", "offers": "12V 3A"}, {"from": "other:b", "to": "other:b", "ohm": 1}
    close(promised_alone(port, cable, {"inlet": "other:b", "accepts": "12V 3A"}).amps, 3)


def plugs():
    """1.8 A into micro-B, 1 A into mini-B, 3 A with a marker that says no more, none between other plugs."""
    for cable, inlet, amps in (
        ({"to": "usb-micro-b"}, "usb-micro-b", 1.8), ({"to": "usb-mini-b"}, "usb-mini-b", 1),
        ({"e_marked": True}, "usb-c", 3), ({"to": "usb-mini-b", "max_a": 2}, "usb-mini-b", 2),
        ({"to": "other:b"}, "other:b", 3), ({"to": "other:b", "e_marked": True}, "other:b", 4),
    ):
        option = single({"offers": "5V 4A"}, cable, {"accepts": "5V 4A", "inlet": inlet})
        close(option.amps, amps)
    # R of the default amps: 0.75 V / 1 A; nothing where no amps are rated.
    close(single({"offers": "5V 4A"}, {"to": "usb-mini-b"}, {"accepts": "5V 1A", "inlet": "usb-mini-b"}).inlet_w, 4.25)
    close(single({"offers": "5V 4A"}, {"to": "other:b"}, {"accepts": "5V 1A", "inlet": "other:b"}).inlet_w, 5)


def voltages():
    """Laptops at 20 W of 65 W: all voltages kept at less current, or those that the rules ask of 20 W."""
    two, cable = [{"pd_w": 65}, {"pd_w": 65}], {"name": "k", "ohm": 0.25, "count": 2}
    for told, volts, promised_v in (("kept", 20, 20), ("rules", 9, 9), (None, 20, 9)):
        charger = {"ports": [{"pd_w": 65}] * 2, "max_w": 80} | ({} if told is None else {"voltages": told})
        setup, chosen = beside(charger, two, [cable])
        at_20 = next(o for o in model.options_of(setup)[0] if o.port == 0 and o.tier_u == 20_000_000)
        close(at_20.volts, volts)
        close(at_20.inlet_w, 20 - (20 / volts) ** 2 / 4)
        # 80 W less the 60 W that the other asks: 20 W.
        promise = model.promises(setup, chosen)[0]
        close(promise.volts, promised_v)
        assert promise.watts_u == 20_000_000
    # A device of 15 V and more has nothing at 20 W by the rules.
    setup, chosen = beside({"ports": [{"pd_w": 65}] * 2, "max_w": 80}, [{"accepts": "15V 3A, 20V 3A"}, {"pd_w": 65}])
    promise = model.promises(setup, chosen)[0]
    assert (promise.watts_u, promise.hours_u) == (None, model.NEVER_U)
    # A 20 W device takes 5 and 9 V, not 20 V.
    option = single({"pd_w": 65}, {"ohm": 0}, {"pd_w": 20})
    close(option.volts, 9)
    close(option.amps, 20 / 9)
    assert single({"offers": "20V 3A"}, {"ohm": 0}, {"pd_w": 20}) is None


def rate_taper():
    """10 W into 10 Wh is 1C: constant to 80 %, then 2 Wh / 9 W x ln 10; half of that rate bends at 90 %."""
    flat = {"accepts": "5V 2A", "efficiency": 1}
    for battery, knee in ((10, 80), (20, 90), (4, 60), (100, 95)):
        expected = battery * (knee / 1000 + (100 - knee) / 100 * math.log(10) / 9)
        assert single({"offers": "5V 2A"}, {"ohm": 0}, flat | {"battery_wh": battery}).hours_u == model.micro(expected)
    # The promised battery has its own bend: 20 Wh at 90 %, 15 Wh at 86.67 %.
    own = promised_alone({"offers": "5V 2A"}, {"ohm": 0}, flat | {"battery_wh": [10, 20]})
    assert own.hours_u == model.micro(20 * (0.09 + 0.1 * math.log(10) / 9))
    knee = 100 - 20 / 1.5
    close(setups.default_draw(10, 1, 15)[0][0], knee)
    assert single({"offers": "5V 2A"}, {"ohm": 0}, flat | {"battery_wh": [10, 20]}).hours_u == model.micro(
        15 * (knee / 1000 + (100 - knee) / 100 * math.log(10) / 9)
    )


def ranges():
    """At best the mean, promised the lower start and the higher battery; a berth is needed by what is promised."""
    flat = {"accepts": "5V 2A", "draw_w": [[0, 10]], "efficiency": 1}
    device = flat | {"battery_wh": [8, 12], "start_pct": [20, 40]}
    assert single({"offers": "5V 2A"}, {"ohm": 0}, device).hours_u == 700_000
    assert promised_alone({"offers": "5V 2A"}, {"ohm": 0}, device).hours_u == 960_000
    full = flat | {"start_pct": [60, 100], "target_pct": 80}
    assert single({"offers": "5V 2A"}, {"ohm": 0}, full).hours_u == 0
    assert promised_alone({"offers": "5V 2A"}, {"ohm": 0}, full).hours_u == 200_000
    assert single({"offers": "5V 2A"}, {"ohm": 0}, full | {"start_pct": 80}) is None


def kinds():
    """What a kind stands in for, and that it is said."""
    setup = setups.resolve({"chargers": [{"name": "c", "ports": [{"name": "C1", "pd_w": 100}]}], "devices": [
        {"name": "a", "kind": "laptop"}, {"name": "b", "kind": "laptop", "max_w": 20, "battery_mah": 5000},
        {"name": "e", "kind": "watch", "accepts": "5V 1A", "min_w": 0, "battery_wh": [1, 2]},
    ]})
    first, second, third = setup.devices
    assert [e.high for e in first.accepts] == [5, 9, 15, 20] and first.max_w == 65
    assert (first.best.battery_wh, first.promised.battery_wh) == (54, 76)
    assert (first.best.min_w, first.promised.min_w) == (0, 27)
    assert [a[:4] for a in first.assumed] == [
        ("inlet", "usb-c", None, None), ("pd_w", 65, None, None), ("battery_wh", 54, 41, 76), ("min_w", 27, None, None),
    ]
    assert [e.high for e in second.accepts] == [5, 9] and second.promised.min_w == 20
    close(second.best.battery_wh, 57)
    assert [a[0] for a in second.assumed] == ["inlet", "battery_v", "min_w"]
    assert third.inlet == "other:puck" and [a[0] for a in third.assumed] == ["inlet"]
    assert (third.best.battery_wh, third.promised.battery_wh) == (1.5, 2)
    # Held at 20 W a laptop of unknown needs charges at best, and no charge is promised.
    setup, chosen = beside({"ports": [{"pd_w": 65}] * 2, "max_w": 80}, [{"kind": "laptop"}, {"pd_w": 65}])
    assert [p.watts_u for p in model.promises(setup, chosen)] == [None, 20_000_000]
    assert chosen[0].hours_u < model.NEVER_U


def least_watts():
    """`min_w` counts at the port: 20 W there are 20 W, whatever the cable loses."""
    option = single({"pd_w": 20}, {"ohm": 0.5}, {"pd_w": 20, "min_w": 20})
    close(option.inlet_w, 20 - (20 / 9) ** 2 / 2)
    assert single({"pd_w": 18}, {"ohm": 0}, {"pd_w": 20, "min_w": 20}) is None


def tolerances():
    """Place after place, each within the tolerance of its own least; synthetic lists of two and three times."""
    class Of:
        tolerance_u = 100

    def kept(lists):
        every, real = list(range(len(lists))), model.places_u
        model.places_u = lambda _setup, chosen, times, _priorities: lists[chosen]
        try:
            leasts, plans = every_plan.shortest_places(Of, [(n, None) for n in every], model.URGENT)
        finally:
            model.places_u = real
        return leasts, [n for n, _ in plans]

    assert kept([[2000, 1900], [2050, 1000], [2200, 500]]) == ((2000, 1000), [1])
    assert kept([[2000, 1080], [2100, 1000], [2101, 0]]) == ((2000, 1000), [0, 1])
    assert kept([[2000, 1500, 900], [2100, 1400, 950], [2050, 1501, 0]]) == ((2000, 1400, 900), [0, 1])
    never = model.NEVER_U
    assert kept([[never, 900], [never, 800]]) == ((never, 800), [0, 1])
    assert kept([[never, 10], [2000, 1000]]) == ((2000, 1000), [1])


def orders():
    """Whole plans by hand."""
    flat = {"draw_w": [[0, 100]], "efficiency": 1, "accepts": "5V 2A"}

    def plan(devices, watts, **more):
        document = {
            "chargers": [{"name": "c", "ports": [
                {"name": f"C{i}", "offers": f"5V {w / 5}A"} for i, w in enumerate(watts)
            ]}],
            "cables": [NO_LOSS],
            "devices": [{"name": f"d{i}", "battery_wh": 10, **flat, **d} for i, d in enumerate(devices)], **more,
        }
        best = every_plan.best(setups.resolve(document))
        return {o.device: o.port for o in best.plan}, best

    # One port: priority 1 goes first, then who misses more at best.
    assert plan([{}, {"priority": 1, "battery_wh": 1}], [10])[0] == {1: 0}
    assert plan([{"battery_wh": [9, 20]}, {"battery_wh": 15}], [10])[0] == {1: 0}
    # Late of priority 1 before late of 2, though the longest time is longer: 10 W go to the one of priority 1.
    devices = [{"priority": 1, "ready_by_h": 1.5}, {"battery_wh": 20, "ready_by_h": 2}]
    assert plan(devices, [10, 5])[0] == {0: 0, 1: 1}
    assert plan([{**devices[0], "priority": 2}, {**devices[1], "priority": 1}], [10, 5])[0] == {0: 1, 1: 0}
    # Without times to be ready by, the longest time: 20 Wh at 10 W.
    assert plan([{}, {"battery_wh": 20}], [10, 5])[0] == {0: 1, 1: 0}
    # Priority 3 delays nobody, however long it takes: 20 Wh at 5 W.
    found, best = plan([{}, {"battery_wh": 20, "priority": 3}], [10, 5])
    assert found == {0: 0, 1: 1} and best.urgent_u == (1_000_000,) and best.spare_u == (4_000_000,)
    assert best.bound_u == 2_000_000  # the other way round it would be 2 h for both
    # 10.4 Wh and 10 Wh on 10 W and 10.4 W: 1 h and 1 h, or 1.04 h and 0.96 h. The second has the lesser sum where the
    # 10 Wh are of priority 1 (4 x 0.96 + 2 x 1.04 against 6), and is within the tolerance.
    devices = [{"battery_wh": 10.4, "accepts": "5V 3A"}, {"priority": 1, "accepts": "5V 3A"}]
    assert plan(devices, [10, 10.4], tolerance_h=0)[0] == {0: 1, 1: 0}
    assert plan(devices, [10, 10.4], tolerance_h=0.03)[0] == {0: 1, 1: 0}
    assert plan(devices, [10, 10.4])[0] == {0: 0, 1: 1}
    # Alike in all else: the first device on the first port.
    assert plan([{}, {}], [10, 10])[0] == {0: 0, 1: 1}


def aims():
    """One pool of 40 W, a laptop that takes 30 W and a phone that takes 15 W on either port of 30 W or on USB-A."""
    charger = {"name": "c", "max_w": 40, "voltages": "kept", "ports": [
        {"name": "C1", "pd_w": 30}, {"name": "C2", "pd_w": 30}, {"name": "A1", "connector": "usb-a", "offers": "5V 2A"},
    ]}
    flat = {"draw_w": [[0, 100]], "efficiency": 1}
    document = {
        "chargers": [charger], "cables": [NO_LOSS, {"name": "a", "from": "usb-a", "ohm": 0}],
        "devices": [
            {"name": "laptop", "pd_w": 30, "battery_wh": 60, **flat},
            {"name": "phone", "accepts": "5V 3A", "battery_wh": 10, **flat},
        ],
    }
    # At best the phone may take 10 W anywhere and the laptop 30 W: 2 h; C2 at a tier of 7.5 W leaves 30 W.
    best = every_plan.best(setups.resolve(document | {"aim": "best"}))
    assert best.urgent_u == (2_000_000, 1_000_000)
    # Promised, on C2 the phone may take 15 W: 25 W are left, the tier 20 W, 3 h. On USB-A it asks for 10 W: 2 h, and
    # the phone itself is promised 7.5 W of 40 - 30 = 10 W, for 1.5 A is all that is sure there: 10 / 7.5 h.
    promise = every_plan.best(setups.resolve(document))
    assert promise.urgent_u == (2_000_000, 1_333_333)
    assert {o.device: o.port for o in promise.plan} == {0: 0, 1: 2}
    told = documents.plan_document(setups.resolve(document), promise.plan, promise.bound_u)
    assert [(b["hours"], b["promised_w"], b["promised_h"]) for b in told["berths"]] == [(2, 30, 2), (1, 7.5, 1.333333)]
    assert (told["bound_h"], told["promised_longest_h"], told["pools"][0]["used_w"]) == (2, 2, 40)


def published_sharing():
    """No rule of the published ones grants less than section 6 promises, on pools of one to six berths."""
    rng, compared, tight = random.Random("sharing"), 0, 0
    for _ in range(2_000):
        number = rng.randint(1, 6)
        caps = [rng.choice([5, 12, 15, 20, 30, 45, 65, 100]) for _ in range(number)]
        asked = [rng.choice([0, 1, rng.uniform(0.1, 1)]) * cap for cap in caps]
        pool_w = round(sum(caps) * rng.uniform(0.2, 1.1), 1)
        floors = [min(7.5, cap, pool_w / number) for cap in caps]
        sure = [
            min(max(floor, pool_w - (sum(asked) - want)), cap) for floor, want, cap in zip(floors, asked, caps)
        ]
        for name, given in sharing.rules(pool_w, caps, asked, rng):
            assert name == "assured" or sum(given) <= pool_w + 1e-9, (name, pool_w, caps, asked, given)
            for want, least, got in zip(asked, sure, given):
                assert got >= min(least, want) - 1e-9, (name, pool_w, caps, asked, given, sure)
                compared, tight = compared + 1, tight + (want > 0 and got < least + 1e-6 and got < want - 1e-6)
    assert tight > 1_000, "the promise is never what a rule gives"
    print(f"  {compared} grants, {tight} of them no more than promised and less than asked")


def grants_of_setups():
    """The same on whole random setups without tables, from `promises` itself, pool by pool."""
    rng, compared = random.Random("grants"), 0
    for seed in range(300):
        setup = setups.resolve(generate.tiny(seed))
        chosen, used = [], set()
        for own in model.options_of(setup):
            free = [o for o in own if o.port not in used]
            if free:
                chosen.append(rng.choice(free))
                used.add(chosen[-1].port)
        for pool in setup.pools:
            charger = pool.charger
            mine = [o for o in chosen if setup.ports[o.port].charger == charger]
            alone = sum(p.charger == charger for p in setup.pools) == 1 and charger not in setup.lines
            plugs = any(setup.ports[o.port].connector.startswith("other:") for o in mine)
            if not alone or plugs or setup.by_offer(charger) or not pool.ports >= {o.port for o in mine}:
                continue
            ports = sorted(pool.ports)
            asked = [next((o.demand_u for o in mine if o.port == p), 0) / model.MICRO for p in ports]
            caps = [setup.ports[p].cap_w for p in ports]
            sure = {o.port: g / model.MICRO for o, (g, _) in zip(chosen, model.grants(setup, chosen))}
            for _, given in sharing.rules(pool.max_u / model.MICRO, caps, asked, rng):
                for p, want, got in zip(ports, asked, given):
                    if want > 0:
                        assert got >= min(sure[p], want) - 1e-6, (seed, p)
                        compared += 1
    assert compared > 1_000


def generator():
    """What the random setups must reach among their options, so that agreement means something."""
    reached = dict.fromkeys((
        "fixed above 21 V", "a range's own voltage", "AVS above 21 V", "barrel", "usb-a", "micro or mini-B", "pinned to a port",
        "pinned to a cable", "reach", "below min_w at some tier", "reserve by offer", "lines not comparable",
        "a larger line gives more", "the wire's own limit", "16 devices", "18 ports", "overlapping pools", "a lead",
        "known on usb-a", "by kind", "a range of starts", "a range of batteries", "aim best", "no tolerance", "priority 3",
        "voltages by the rules", "voltages not known", "less promised on usb-a", "less promised by the drop",
        "less promised by PPS", "less promised than asked", "nothing promised", "a floor below every tier",
    ), 0)
    for seed in range(150):
        setup = setups.resolve(generate.setup(seed))
        for option in itertools.chain(*model.options_of(setup)):
            device, port, cable = setup.devices[option.device], setup.ports[option.port], setup.cables[option.cable]
            fixed = any(o.kind == FIXED and o.high == option.volts for o in port.offers)
            at_cap = model.contract(device, port, port.cap_w, cable)
            sure = model.contract(device, port, port.cap_w, cable, promised=True)
            for what, there in {
                "fixed above 21 V": fixed and option.volts > 21, "a range's own voltage": not fixed,
                "AVS above 21 V": not fixed and option.volts > 21, "barrel": "other:barrel" in cable.ends,
                "usb-a": "usb-a" in cable.ends, "micro or mini-B": device.inlet in model.PLUG_AMPS,
                "pinned to a port": device.port is not None, "pinned to a cable": device.cable is not None,
                "reach": device.reach_m > 0, "a lead": cable.lead_of is not None,
                "the wire's own limit": cable.ohm > 0 and abs(option.amps - option.volts / 2 / cable.ohm) < 1e-9,
                "reserve by offer": setup.by_offer(port.charger), "priority 3": device.priority == 3,
                "below min_w at some tier": 0 < device.best.min_w > port.tiers_w[0],
                "known on usb-a": port.connector == "usb-a" and device.usb_a_a, "by kind": bool(device.assumed),
                "a range of starts": device.best.start_pct > device.promised.start_pct,
                "a range of batteries": device.best.battery_wh < device.promised.battery_wh,
                "voltages by the rules": port.voltages == "rules", "voltages not known": port.voltages is None,
                "less promised on usb-a": port.connector == "usb-a" and sure and at_cap[1] > sure[1] == model.USB_A_AMPS,
                "less promised by the drop": sure and cable.ohm > 0 and abs(sure[1] * cable.ohm - 0.15 * sure[0]) < 1e-9
                and at_cap[1] > sure[1] + 1e-6,
                "less promised by PPS": sure and at_cap[0] > sure[0] == model.PPS_PROMISED_V,
            }.items():
                reached[what] += bool(there)
        reach_of_setup(setup, reached)
        assert len(setup.devices) <= 16 and len(setup.ports) <= 18, seed
    assert all(reached.values()), reached


def reach_of_setup(setup, reached):
    for one, two in itertools.chain(*(itertools.permutations(lines, 2) for lines in setup.lines.values())):
        small, large = set(one.watts_u), set(two.watts_u)
        reached["lines not comparable"] += bool(small & large and small - large and large - small)
        reached["a larger line gives more"] += small < large and any(two.watts_u[p] > w for p, w in one.watts_u.items())
    for one, two in itertools.permutations(setup.pools, 2):
        reached["overlapping pools"] += bool(one.ports & two.ports and one.ports - two.ports and two.ports - one.ports)
    reached["16 devices"] += len(setup.devices) == 16
    reached["18 ports"] += len(setup.ports) == 18
    reached["aim best"] += setup.aim == "best"
    reached["no tolerance"] += setup.tolerance_u == 0
    seated, used = [], set()
    for own in model.options_of(setup):
        free = [o for o in own if o.port not in used and setup.ports[o.port].charger not in setup.lines]
        if free:
            seated.append(free[-1])
            used.add(free[-1].port)
    for option, (grant, floor), promise in zip(seated, model.grants(setup, seated), model.promises(setup, seated)):
        reached["less promised than asked"] += grant < option.demand_u
        reached["nothing promised"] += promise.watts_u is None
        reached["a floor below every tier"] += grant < min(option.demand_u, model.micro(setup.ports[option.port].tiers_w[0]))


def programs():
    """The integer program finds what trying every plan finds, level by level and to the last tie."""
    reached, compared, seed = {}, 0, -1
    while compared < RANDOM_CASES:
        seed += 1
        # Setups of few cables, and every fifth of any.
        setup = setups.resolve(generate.setup(3 * seed) if seed % 5 == 0 else generate.tiny(seed))
        try:
            expected = every_plan.best(setup, MOST_STEPS)
        except every_plan.TooMany:
            continue
        compared += 1
        got = milp.solve(setup)
        assert got == expected, f"seed {seed}: program {got}, every plan {expected}"
        assert not model.broken_rules(setup, got.plan)
        for what, there in features(setup, got).items():
            reached[what] = reached.get(what, 0) + bool(there)
    assert all(reached.values()), reached
    print("  reached:", ", ".join(f"{what} {n}" for what, n in reached.items()))


def rota_programs():
    """The same over sessions."""
    reached, compared, seed = {}, 0, -1
    while compared < RANDOM_ROTAS:
        seed += 1
        setup = setups.resolve(generate.tiny_night(seed))
        rota = rotas.Rota(setup)
        try:
            expected = rotas.best(setup, MOST_STEPS)
        except every_plan.TooMany:
            continue
        compared += 1
        got = rotas.solve(setup)
        assert got == expected, f"seed {seed}: program {got}, every rota {expected}"
        assert not rota.broken_rules(got.plan)
        promised = rota.promises(got.plan)
        alone = [model.promises(setup, rotas.there(got.plan, o.first)) for o in got.plan]
        for what, there in {
            "a swap": got.sums[0], "a berth of several sessions": any(o.last > o.first for o in got.plan),
            "late by what is promised": setup.aim == "promise" and sum(got.late) > sum(o.late for o in got.plan),
            "the least grant is not the first session's": any(
                promise.grant_u < next(p.grant_u for p, o in zip(own, rotas.there(got.plan, option.first)) if o is option)
                for option, promise, own in zip(got.plan, promised, alone)
            ),
            "nobody is late": not sum(got.late), "someone is left out": sum(got.unserved[:3]),
        }.items():
            reached[what] = reached.get(what, 0) + bool(there)
    assert all(reached.values()), reached
    print("  reached:", ", ".join(f"{what} {n}" for what, n in reached.items()))


def features(setup, best):
    """What of the order and of the promises a best plan shows."""
    promised, granted_u = model.promises(setup, best.plan), model.grants(setup, best.plan)
    times = model.places_u(setup, best.plan, every_plan.OneSession(setup).times(best.plan), model.URGENT)
    short = [o for o, (grant, _) in zip(best.plan, granted_u) if grant < o.demand_u]
    return {
        "someone is left out": sum(best.unserved[:3]), "energy is missing": best.unserved[3], "someone is late": sum(best.late),
        "two or more times": len(best.urgent_u) > 1, "priority 3 has a berth": best.spare_u,
        "within the tolerance, not least": times != list(best.urgent_u),
        "shorter if all counted alike": best.bound_u < max((*best.urgent_u, *best.spare_u), default=0),
        "never by promise": setup.aim == "promise" and model.NEVER_U in (*best.urgent_u, *best.spare_u),
        "a grant below what is asked": short,
        "a grant at the floor": any(grant == floor < o.demand_u for o, (grant, floor) in zip(best.plan, granted_u)),
        "a table holds back": any(setup.ports[o.port].charger in setup.lines for o in short),
        "a table and a pool hold back": any(
            setup.ports[o.port].charger in setup.lines and any(o.port in pool.ports for pool in setup.pools) for o in short
        ),
        "another plan at best": setup.aim == "promise" and short and milp.solve(with_aim(setup, "best")).plan != best.plan,
        "promised less than at best": any(p.hours_u > o.hours_u for o, p in zip(best.plan, promised)),
    }


def with_aim(setup, aim):
    return dataclasses.replace(setup, aim=aim)


CHECKS = (
    power_rules, copper, cable_limits, avs, cuts, label_text, times, lines, floors, loads, promised_tables, other_plugs,
    usb_a, pps, leads, drops, plugs, voltages, rate_taper, ranges, kinds, least_watts, tolerances, orders, aims,
    published_sharing, grants_of_setups, generator, programs, rota_programs,
)


def main():
    for check in CHECKS:
        print(check.__name__, flush=True)
        check()
    print("all agree")


if __name__ == "__main__":
    sys.exit(main())
