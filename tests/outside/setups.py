"""A setup document (JSON) to a resolved setup: every default of model.md section 1, in both readings."""

import csv
import math
import pathlib

import labels
from labels import Fault
from model import (
    COPPER_OHM_M, DEFAULT_TIERS_W, DROP_V, PLUG_AMPS,
    Cable, Device, Line, Pool, Port, Reading, Setup, accepted_voltages, micro, required_offers,
)

# What the watts printed on a cable stand for: its marker, amps and volts.
PRINTED_WATTS = {60: (False, 3, 21), 100: (True, 5, 21), 240: (True, 5, 50)}
NUMBERS = ("w_typical", "wh_low", "wh_typical", "wh_high", "cell_v", "w_surely")


def _kinds():
    with open(pathlib.Path(__file__).with_name("kinds.csv"), newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row |= {name: float(row[name]) if row[name] else None for name in NUMBERS}
    return {row["kind"]: row for row in rows}


KINDS = _kinds()


def resolve(document):
    setup = Setup([], [], [], {}, [], [])
    setup.aim = document.get("aim", "promise")
    setup.tolerance_u = micro(document.get("tolerance_h", 0.05))
    setup.cables = [_cable(c) for c in document.get("cables", [])]
    for charger in document["chargers"]:
        _add_charger(setup, charger)
    for device in document["devices"]:
        count = device.get("count", 1)
        for i in range(count):
            name = device["name"] if count == 1 else f"{device['name']} {i + 1}"
            setup.devices.append(_device(device, name, document.get("session_h")))
    setup.sessions = [(s["name"], s["hours"], s.get("swap", True)) for s in document.get("sessions", [])]
    _check_pins(setup)
    return setup


def _add_charger(setup, charger):
    index, first = len(setup.chargers), len(setup.ports)
    setup.chargers.append((charger["name"], charger.get("reserve", "contract")))
    ports = [_port(index, p, charger.get("voltages")) for p in charger["ports"]]
    place = {port.name: first + i for i, port in enumerate(ports)}
    setup.ports += ports
    for port, described in zip(ports, charger["ports"]):
        if "lead" in described:
            setup.cables.append(_lead(described["lead"], port.connector, place[port.name]))
    everything = frozenset(place.values())
    if "max_w" in charger:
        setup.pools.append(Pool(index, "total", everything, micro(charger["max_w"])))
    for pool in charger.get("pools", []):
        held = everything if pool["ports"] == "all" else frozenset(place[name] for name in pool["ports"])
        setup.pools.append(Pool(index, pool["name"], held, micro(pool["max_w"])))
    combinations = charger.get("combinations", [])
    if combinations:
        setup.lines[index] = _lines(index, combinations, ports, place)
    for port in ports:
        steps = [line[port.name] for line in combinations if port.name in line]
        if port.connector == "usb-c":
            steps += charger.get("tiers_w", DEFAULT_TIERS_W)
        below = {micro(w): w for w in steps if micro(w) < port.cap_u}
        port.tiers_w = [below[u] for u in sorted(below)] + [port.cap_w]


def _lines(index, combinations, ports, place):
    """The lines of a table, with those that are implied: each port alone, at its cap."""
    lines = [Line(index, {place[n]: micro(w) for n, w in line.items()}) for line in combinations]
    alone = {next(iter(line.watts_u)) for line in lines if len(line.watts_u) == 1}
    return lines + [Line(index, {place[p.name]: p.cap_u}) for p in ports if place[p.name] not in alone]


def _port(charger, port, voltages):
    offers = labels.parse(port["offers"], "offers") if "offers" in port else []
    pd_w = port.get("pd_w")
    if pd_w is not None:
        offers = offers + required_offers(pd_w)
    if not offers:
        raise Fault(f"{port['name']} says neither offers nor pd_w")
    cap = port.get("max_w", pd_w)
    if cap is None:
        cap = max(offer.most_watts() for offer in offers)
    return Port(charger, port["name"], port.get("connector", "usb-c"), offers, cap, voltages, "lead" in port)


def _cable(cable):
    ends = (cable.get("from", "usb-c"), cable.get("to", "usb-c"))
    marked, max_a, max_v = cable.get("e_marked", False), cable.get("max_a"), cable.get("max_v", 21)
    if "watts" in cable:
        if {"e_marked", "max_a", "max_v"} & set(cable) or cable["watts"] not in PRINTED_WATTS:
            raise Fault(f"{cable['name']}: watts are 60, 100 or 240 and exclude e_marked, max_a and max_v")
        marked, max_a, max_v = PRINTED_WATTS[cable["watts"]]
    if max_a is None:
        max_a = PLUG_AMPS.get(ends[1], math.inf if any(end.startswith("other:") for end in ends) else 3)
    length = cable.get("length_m")
    if "ohm" in cable:
        ohm = cable["ohm"]
    elif "awg" in cable and length is not None:
        ohm = loop_ohm(length, cable["awg"])
    else:
        ohm = DROP_V / max_a
    return Cable(cable["name"], ends, max_a, max_v, marked, length, ohm, cable.get("count", 1))


def _lead(lead, connector, port):
    """A charger's own fixed lead: as e-marked with its amps, and on that port alone."""
    made = _cable({**lead, "name": "lead", "from": connector})
    made.e_marked, made.count, made.lead_of = True, 1, port
    return made


def wire_ohm_m(awg):
    """One conductor's ohms per metre (diameters of ASTM B258)."""
    diameter_m = 0.127e-3 * 92 ** ((36 - awg) / 39)
    return COPPER_OHM_M / (math.pi * diameter_m**2 / 4)


def loop_ohm(length_m, awg):
    return 2 * length_m * wire_ohm_m(awg)


def _device(device, name, session_h):
    device, assumed = _with_kind(device)
    accepts, max_w = _intake(device)
    efficiency = device.get("efficiency", 0.88)
    ready_by = device.get("ready_by_h", session_h)

    def reading(battery_wh, start_pct, min_w):
        draw = device.get("draw_w") or default_draw(max_w, efficiency, battery_wh)
        return Reading(battery_wh, start_pct, min_w, draw)

    (best_wh, promised_wh), (start, low_start) = _battery(device), _start(device)
    min_w = device.get("min_w", 0)
    surely_w = min(device["w_surely"], max_w) if device.get("w_surely") is not None else None
    if surely_w is not None:
        assumed.append(("min_w", surely_w, None, None, device["source"]))
    return Device(
        name=name, inlet=device.get("inlet", "usb-c"), accepts=accepts, max_w=max_w,
        best=reading(best_wh, start, min_w),
        promised=reading(promised_wh, low_start, min_w if surely_w is None else surely_w),
        target_pct=device.get("target_pct", 100), efficiency=efficiency, running_w=device.get("running_w", 0),
        ready_by_u=None if ready_by is None else micro(ready_by), priority=device.get("priority", 2),
        reach_m=device.get("reach_m", 0), port=device.get("port"), cable=device.get("cable"),
        usb_a_a=device.get("usb_a_a"), assumed=assumed,
        sessions=frozenset(device["sessions"]) if "sessions" in device else None,
    )


def _with_kind(device):
    """The device with what its kind stands in for, and the list of that."""
    if "kind" not in device:
        return device, []
    if device["kind"] not in KINDS:
        raise Fault(f"there is no kind {device['kind']!r}")
    row, filled, assumed = KINDS[device["kind"]], dict(device), []

    def take(field, value, low=None, high=None):
        filled[field] = value
        assumed.append((field, value, low, high, row["source"]))

    if "inlet" not in device:
        take("inlet", row["inlet"])
    if not {"pd_w", "accepts"} & set(device):
        if "max_w" in device:
            filled["pd_w"] = device["max_w"]
        else:
            take("pd_w", row["w_typical"])
    if "battery_mah" in device and "battery_v" not in device:
        take("battery_v", row["cell_v"])
    if not {"battery_wh", "battery_mah"} & set(device):
        take("battery_wh", row["wh_typical"], row["wh_low"], row["wh_high"])
        filled["battery_promised_wh"] = row["wh_high"]
    if "min_w" not in device:
        filled["w_surely"], filled["source"] = row["w_surely"], row["source"]
    return filled, assumed


def _intake(device):
    """(accepted entries, most watts)."""
    accepts = labels.parse(device["accepts"], "accepts") if "accepts" in device else []
    pd_w = device.get("pd_w")
    largest = max((entry.most_watts() for entry in accepts), default=None)
    if pd_w is not None:
        accepts = accepts + accepted_voltages(pd_w)
    if not accepts:
        raise Fault(f"{device['name']} says neither accepts nor pd_w, and no kind")
    return accepts, device.get("max_w", largest if pd_w is None else pd_w)


def _battery(device):
    """Watt-hours (at best, promised)."""
    battery = device.get("battery_wh")
    if battery is None:
        battery = device["battery_mah"] * device.get("battery_v", 3.7) / 1000
    if isinstance(battery, list):
        return (battery[0] + battery[1]) / 2, battery[1]
    return battery, device.get("battery_promised_wh", battery)


def _start(device):
    """Percent (at best, promised)."""
    start = device.get("start_pct", 0)
    return ((start[0] + start[1]) / 2, start[0]) if isinstance(start, list) else (start, start)


def default_draw(max_w, efficiency, battery_wh):
    """The usual charging curve: the faster, the sooner the voltage limit is reached."""
    knee = min(95, max(60, 100 - 20 * max_w * efficiency / battery_wh))
    return [[knee, max_w], [100, max_w / 10]]


def _check_pins(setup):
    names = [port.name for port in setup.ports]
    full = {f"{setup.chargers[port.charger][0]}/{port.name}" for port in setup.ports}
    for device in setup.devices:
        if device.port is not None and device.port not in full and names.count(device.port) != 1:
            raise Fault(f"{device.name} is pinned to {device.port!r}, which is not one port")
        if device.cable is not None and device.cable not in {c.name for c in setup.cables}:
            raise Fault(f"{device.name} is pinned to an unknown cable")
