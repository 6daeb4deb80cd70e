"""A setup document (JSON) to a resolved setup: every default of model.md section 1."""

import math

import labels
from labels import Fault
from model import (
    COPPER_OHM_M, DEFAULT_TIERS_W, DROP_V, LEGACY_PLUGS, MICRO_B_AMPS,
    Cable, Device, Line, Pool, Port, Setup, accepted_voltages, micro, required_offers,
)


def resolve(document):
    setup = Setup([], [], [], {}, [], [])
    for charger in document["chargers"]:
        _add_charger(setup, charger)
    setup.cables = [_cable(c) for c in document.get("cables", [])]
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
    setup.chargers.append((charger["name"], charger.get("reserve", "offer")))
    ports = [_port(index, p) for p in charger["ports"]]
    place = {port.name: first + i for i, port in enumerate(ports)}
    setup.ports += ports
    everything = frozenset(place.values())
    if "max_w" in charger:
        setup.pools.append(Pool(index, "total", everything, micro(charger["max_w"])))
    for pool in charger.get("pools", []):
        held = everything if pool["ports"] == "all" else frozenset(place[name] for name in pool["ports"])
        setup.pools.append(Pool(index, pool["name"], held, micro(pool["max_w"])))
    combinations = charger.get("combinations", [])
    if combinations:
        lines = [Line(index, {place[n]: micro(w) for n, w in line.items()}) for line in combinations]
        alone = {next(iter(line.watts_u)) for line in lines if len(line.watts_u) == 1}
        lines += [
            Line(index, {place[p.name]: micro(p.cap_w)}) for p in ports if place[p.name] not in alone
        ]
        setup.lines[index] = lines
    for port in ports:
        steps = [line[port.name] for line in combinations if port.name in line]
        if port.connector == "usb-c":
            steps += charger.get("tiers_w", DEFAULT_TIERS_W)
        below = {micro(w): w for w in steps if micro(w) < micro(port.cap_w)}
        port.tiers_w = [below[u] for u in sorted(below)] + [port.cap_w]


def _port(charger, port):
    offers = labels.parse(port["offers"], "offers") if "offers" in port else []
    pd_w = port.get("pd_w")
    if pd_w is not None:
        offers = offers + required_offers(pd_w)
    cap = port.get("max_w", pd_w)
    if cap is None:
        cap = max(offer.most_watts() for offer in offers)
    return Port(charger, port["name"], port.get("connector", "usb-c"), offers, cap)


def _cable(cable):
    ends = (cable.get("from", "usb-c"), cable.get("to", "usb-c"))
    marked = cable.get("e_marked", False)
    max_a = cable.get("max_a", 5 if marked else MICRO_B_AMPS if ends[1] in LEGACY_PLUGS else 3)
    length = cable.get("length_m")
    if "ohm" in cable:
        ohm = cable["ohm"]
    elif "awg" in cable and length is not None:
        ohm = loop_ohm(length, cable["awg"])
    else:
        ohm = DROP_V / max_a
    return Cable(
        cable["name"], ends, max_a, cable.get("max_v", 21), marked, length, ohm, cable.get("count", 1)
    )


def wire_ohm_m(awg):
    """One conductor's ohms per metre (diameters of ASTM B258)."""
    diameter_m = 0.127e-3 * 92 ** ((36 - awg) / 39)
    return COPPER_OHM_M / (math.pi * diameter_m**2 / 4)


def loop_ohm(length_m, awg):
    return 2 * length_m * wire_ohm_m(awg)


def _device(device, name, session_h):
    accepts = labels.parse(device["accepts"], "accepts") if "accepts" in device else []
    pd_w = device.get("pd_w")
    largest = max((entry.most_watts() for entry in accepts), default=None)
    if pd_w is not None:
        accepts = accepts + accepted_voltages(pd_w)
    max_w = device.get("max_w", largest if pd_w is None else pd_w)
    ready_by = device.get("ready_by_h", session_h)
    battery = device.get("battery_wh")
    if battery is None:
        battery = device["battery_mah"] * device.get("battery_v", 3.7) / 1000
    return Device(
        name=name, inlet=device.get("inlet", "usb-c"), accepts=accepts, max_w=max_w,
        min_w=device.get("min_w", 0), battery_wh=battery,
        start_pct=device.get("start_pct", 0), target_pct=device.get("target_pct", 100),
        draw_w=device.get("draw_w", [[80, max_w], [100, max_w / 10]]),
        efficiency=device.get("efficiency", 0.88), running_w=device.get("running_w", 0),
        ready_by_u=None if ready_by is None else micro(ready_by), priority=device.get("priority", 2),
        reach_m=device.get("reach_m", 0), port=device.get("port"), cable=device.get("cable"),
        sessions=frozenset(device["sessions"]) if "sessions" in device else None,
    )


def _check_pins(setup):
    names = [port.name for port in setup.ports]
    full = {f"{setup.chargers[port.charger][0]}/{port.name}" for port in setup.ports}
    for device in setup.devices:
        if device.port is not None and device.port not in full and names.count(device.port) != 1:
            raise Fault(f"{device.name} is pinned to {device.port!r}, which is not one port")
        if device.cable is not None and device.cable not in {c.name for c in setup.cables}:
            raise Fault(f"{device.name} is pinned to an unknown cable")
