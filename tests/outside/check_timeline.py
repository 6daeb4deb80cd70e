"""Integrates the nights that the `wattberth` binary tells, with scipy, from the documents alone.

    python check_timeline.py BINARY --seeds 0..99

Each seed is a random setup (generate.py), once with every contract kept and once with `--reshared`. A night is told at
best: the plan's contracts, the mean of what is a range. From the setup, the
plan and the contracts at the events, the charging equation of each device is solved as an initial value problem
(scipy.integrate.solve_ivp): the state of charge at every point of its series within 0.01 %, the moment at which it is
full within a second, the watts at its port by the root of V I - I^2 R = p. Then the watt-hours: the parts must add up
to what the socket gives, what is stored to what the states of charge say, and with sharing anew nobody may be last
later than without. One line per disagreement; exit code 1 on any.
"""

import math
import sys

import numpy
from scipy.integrate import solve_ivp

import checks
import setups

SECOND_H = 1 / 3600
SOC_PCT = 0.01
# Documents print numbers rounded to 1e-6.
PRINTED = 2e-6


def disagreements(seed, document, binary, limit_s):
    _, plan = checks.answer(binary, "assign", document, (0, 1))
    setup = setups.resolve(document)
    ports = {(setup.chargers[port.charger][0], port.name): p for p, port in enumerate(setup.ports)}
    devices = {device.name: device for device in setup.devices}
    ohm = {}
    for berth in plan["berths"]:
        cable = setup.cable_named(ports[berth["charger"], berth["port"]], berth["cable"])
        ohm[berth["device"]] = setup.cables[cable].ohm
    faults, nights = [], {}
    for name, flags in (("held", ()), ("reshared", ("--reshared",))):
        code, night = checks.answer(binary, "timeline", document, (0, 1), *flags)
        nights[name] = night
        if [series["device"] for series in night["series"]] != [berth["device"] for berth in plan["berths"]]:
            faults.append(f"{name}: the series are not the plan's berths")
        for series in night["series"]:
            told = series["device"]
            faults += [f"{name}, {told}: {fault}" for fault in followed(devices[told], ohm[told], series, night)]
        faults += [f"{name}: {fault}" for fault in balance(devices, night)]
    for night in nights.values():
        if abs(night["longest_h"] - plan["longest_h"]) > PRINTED:
            faults.append(f"longest {night['longest_h']}, the plan has {plan['longest_h']}")
        if night["reshared_h"] > night["longest_h"] + PRINTED:
            faults.append(f"later with sharing anew: {night['reshared_h']} > {night['longest_h']}")
    sooner = nights["held"]["reshared_h"] < plan["longest_h"] - PRINTED
    points = sum(len(series["at_h"]) for night in nights.values() for series in night["series"])
    return faults, {"points": points, "sooner with sharing anew": int(sooner)}


def draw(device, pct):
    """Watts that the curve asks for; on a step, what comes after it."""
    points = device.best.draw_w
    after = next((i for i, (at, _) in enumerate(points) if at > pct), len(points))
    if after == 0:
        return points[0][1]
    if after == len(points):
        return points[-1][1]
    (s0, w0), (s1, w1) = points[after - 1], points[after]
    return w0 + (w1 - w0) * (pct - s0) / (s1 - s0)


def held(device, night):
    """(from, volts, amps) of each contract, in order."""
    return [
        (event["at_h"], event["contract"]["volts"], event["contract"]["amps"])
        for event in night["events"] if event.get("device") == device.name and "contract" in event
    ]


def followed(device, ohm, series, night):
    contracts = held(device, night)
    ends = [start for start, _, _ in contracts[1:]] + [math.inf]
    at_h, told = numpy.array(series["at_h"]), numpy.array(series["soc_pct"])
    pct, full_h = device.best.start_pct, 0.0 if device.best.start_pct >= device.target_pct else None
    knots = sorted({point[0] for point in device.best.draw_w})
    for (start_h, volts, amps), end_h in zip(contracts, ends):
        inlet_w = volts * amps - amps * amps * ohm
        now_h, end_h = start_h, min(end_h, night["until_h"] + 1)
        while now_h < end_h and full_h is None:
            # From knot to knot, so that the solver meets no step of the curve.
            goal = next((knot for knot in knots if pct + 1e-9 < knot < device.target_pct), device.target_pct)
            middle = (pct + goal) / 2

            def rate(_, state, middle=middle, goal=goal):
                inside = state[0] if abs(state[0] - middle) < abs(goal - middle) else middle + (goal - middle) * (
                    0.999999999 if state[0] > middle else -0.999999999
                )
                power_w = min(inlet_w - device.running_w, draw(device, inside))
                return [device.efficiency * power_w / device.best.battery_wh * 100]

            reached = lambda _, state, goal=goal: state[0] - goal
            reached.terminal, reached.direction = True, 1
            solved = solve_ivp(
                rate, (now_h, end_h), [pct], events=reached, dense_output=True, rtol=1e-8, atol=1e-8,
                max_step=max((end_h - now_h) / 20, 1e-9),
            )
            until_h = solved.t[-1]
            inside = (at_h >= now_h) & (at_h <= until_h)
            off = numpy.abs(solved.sol(at_h[inside])[0] - told[inside]) if inside.any() else numpy.zeros(1)
            if off.max() > SOC_PCT:
                return [f"{off.max():.4f} % off between {now_h} and {until_h} h"]
            pct, now_h = solved.y[0][-1], until_h
            if solved.status == 1:
                pct = goal
                if goal >= device.target_pct:
                    full_h = until_h
    # Doubles of a night of years have no seconds to a ten millionth.
    if full_h is None or abs(full_h - series["full_h"]) > SECOND_H + 1e-6 * series["full_h"]:
        return [f"full after {full_h} h, not {series['full_h']} h"]
    return port_watts(device, ohm, series, contracts)


def port_watts(device, ohm, series, contracts):
    for at_h, pct, watts in zip(series["at_h"], series["soc_pct"], series["watts"]):
        possible = []
        for i, (start_h, volts, amps) in enumerate(contracts):
            end_h = contracts[i + 1][0] if i + 1 < len(contracts) else math.inf
            if start_h - PRINTED <= at_h <= end_h + PRINTED:
                spare_w = volts * amps - amps * amps * ohm - device.running_w
                # On a step of the curve, and where it gets full, either side may be meant.
                for charging_w in [0] * (pct >= device.target_pct - PRINTED) + [
                    min(spare_w, draw(device, pct + off)) for off in (-PRINTED, 0, PRINTED)
                ]:
                    inlet_w = device.running_w + charging_w
                    root = math.sqrt(max(volts * volts - 4 * ohm * inlet_w, 0))
                    possible.append(2 * volts * inlet_w / (volts + root))
        slack = 1e-4 + 1e-5 * watts
        if not any(abs(watts - value) <= slack for value in possible):
            return [f"{watts} W at {at_h} h, not {possible}"]
    return []


def balance(devices, night):
    energy = night["energy"]
    if abs(sum(energy.values()) - night["wall_wh"]) > 1e-5:
        yield f"the parts are {sum(energy.values())} Wh, the socket gives {night['wall_wh']} Wh"
    stored_wh = sum(
        (series["soc_pct"][-1] - devices[series["device"]].best.start_pct) / 100
        * devices[series["device"]].best.battery_wh
        for series in night["series"]
    )
    if abs(stored_wh - energy["stored_wh"]) > 1e-5 * max(1, stored_wh):
        yield f"stored {energy['stored_wh']} Wh, by the states of charge {stored_wh} Wh"
    at_h, watts = numpy.array(night["wall"]["at_h"]), numpy.array(night["wall"]["watts"])
    # A sum of falling exponentials hangs below its chords: the trapezoids are a bound from above.
    drawn_wh = float(numpy.sum(numpy.diff(at_h) * (watts[1:] + watts[:-1]) / 2))
    if not night["wall_wh"] - 1e-4 * max(1, drawn_wh) <= drawn_wh <= 1.2 * night["wall_wh"] + 1e-3:
        yield f"the socket's watts make {drawn_wh} Wh, not {night['wall_wh']} Wh"
    if watts.size and abs(watts.max() - night["wall"]["peak_w"]) > PRINTED:
        yield "the peak is not the most of the socket's watts"


def too_little(cases, counts):
    if cases >= 50 and not counts["sooner with sharing anew"]:
        return "sharing anew never helped: the setups are too simple"
    return None


if __name__ == "__main__":
    sys.exit(checks.run(__doc__, "0..99", disagreements, too_little))
