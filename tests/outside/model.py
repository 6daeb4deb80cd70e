"""Offers, contracts, exact times, options and promises, written from model.md alone.

Every quantity that plans are compared by is an integer here: micro-hours, micro-watts, micro-watt-hours
(model.md section 5). Contracts and times are worked out in floating point and rounded half up once.
"""

import math
from dataclasses import dataclass, field

from labels import AVS, EPS, FIXED, PPS, WIDE, Entry

MICRO = 1_000_000
DEFAULT_TIERS_W = (7.5, 15, 18, 20, 27, 30, 45, 60, 65, 100, 140, 180, 240)
# Voltage up to which a source of more than so many watts must go (model.md section 2; USB PD R3.2, 10.2).
THETA = ((5.9, 0), (11, 15), (16, 27), (21, 45), (28, 100), (36, 140), (50, 180))
PPS_CUTS = (5.9, 11, 16, 21)
AVS_CUTS = ((15, 27), (20, 45), (28, 100), (36, 140), (48, 180))
DROP_V = 0.75  # 0.5 V on VBUS and 0.25 V on ground (USB Type-C, 4.4.1)
DROP_SHARE = 0.15
PLUG_AMPS = {"usb-micro-b": 1.8, "usb-mini-b": 1.0}
USB_A_AMPS = 1.5  # BC 1.2
PPS_PROMISED_V = 9
FLOOR_U = 7_500_000
COPPER_OHM_M = 1.7241e-8  # IEC 60028, at 20 degrees Celsius
# Later than any time; adding a tolerance to it changes nothing that matters.
NEVER_U = 1 << 60
WEIGHT = {1: 4, 2: 2, 3: 1}


def micro(value):
    """Whole millionths, half up."""
    return math.floor(value * MICRO + 0.5)


def theta(volts):
    return next(watts for top, watts in THETA if volts <= top + EPS)


@dataclass
class Port:
    charger: int
    name: str
    connector: str
    offers: list
    cap_w: float
    voltages: str | None = None
    has_lead: bool = False
    tiers_w: list = field(default_factory=list)

    @property
    def cap_u(self):
        return micro(self.cap_w)


@dataclass
class Pool:
    charger: int
    name: str
    ports: frozenset
    max_u: int


@dataclass
class Line:
    """A combination: port index to micro-watts."""

    charger: int
    watts_u: dict


@dataclass
class Cable:
    name: str
    ends: tuple
    max_a: float
    max_v: float
    e_marked: bool
    length_m: float | None
    ohm: float
    count: int
    lead_of: int | None = None  # the port that it hangs on

    def joins(self, setup, p, device):
        port = setup.ports[p]
        if self.lead_of != p if port.has_lead else self.lead_of is not None:
            return False
        long_enough = device.reach_m <= 0 if self.length_m is None else self.length_m >= device.reach_m - EPS
        return self.ends == (port.connector, device.inlet) and long_enough

    def amps(self, volts, promised):
        amps = self.max_a
        if promised and not self.e_marked and self.ohm > 0 and any(end.startswith("usb-") for end in self.ends):
            amps = min(amps, DROP_SHARE * volts / self.ohm)
        if "usb-c" in self.ends and not self.e_marked:
            amps = min(amps, 3)
        return amps

    def volts(self):
        """The most it carries."""
        if "usb-c" in self.ends and not (self.e_marked and self.max_a >= 5 - EPS):
            return min(self.max_v, 21)
        return self.max_v

    def five_volts_only(self):
        return "usb-a" in self.ends or self.ends[1] in PLUG_AMPS


@dataclass
class Reading:
    """What the labels of a device leave open, answered one way."""

    battery_wh: float
    start_pct: float
    min_w: float
    draw_w: list


@dataclass
class Device:
    name: str
    inlet: str
    accepts: list
    max_w: float
    best: Reading
    promised: Reading
    target_pct: float
    efficiency: float
    running_w: float
    ready_by_u: int | None
    priority: int
    reach_m: float
    port: str | None
    cable: str | None
    usb_a_a: float | None = None
    assumed: list = field(default_factory=list)  # (field, value, low, high, source)
    sessions: frozenset | None = None  # names of those in which it is at hand; all where None

    def reading(self, promised):
        return self.promised if promised else self.best

    def needs_berth(self):
        return self.promised.start_pct < self.target_pct or self.running_w > 0

    def missing_u(self):
        return micro(self.best.battery_wh * max(0, self.target_pct - self.best.start_pct) / 100)

    def accepts_on(self, port):
        if port.connector == "usb-a" and self.usb_a_a is not None:
            return [Entry(FIXED, 5, 5, self.usb_a_a)]
        return self.accepts

    def is_late(self, time_u):
        return self.ready_by_u is not None and time_u > self.ready_by_u


@dataclass(frozen=True)
class Option:
    """A device on a port through a cable, with its at-best contract; `demand_u` is D of section 6."""

    device: int
    port: int
    cable: int
    volts: float
    amps: float
    inlet_w: float
    watts_u: int
    tier_u: int
    hours_u: int
    late: bool
    demand_u: int

    @property
    def place(self):
        return self.device, self.port, self.cable


@dataclass(frozen=True)
class Promise:
    """What a charger promises to a berth: the contract, or None in its place, and the time, or never."""

    grant_u: int
    volts: float | None
    amps: float | None
    watts_u: int | None
    hours_u: int


@dataclass
class Setup:
    chargers: list  # (name, reserve)
    ports: list
    pools: list
    lines: dict  # charger index to its lines; absent without combinations
    cables: list  # those in the bag as listed, then the fixed leads
    devices: list
    sessions: list = field(default_factory=list)  # of a rota: (name, hours, swap)
    aim: str = "promise"
    tolerance_u: int = 50_000
    held: dict = field(default_factory=dict)  # promised contracts already worked out

    def by_offer(self, charger):
        return self.chargers[charger][1] == "offer"

    def takes_u(self, option):
        """What a berth takes from pools at best, by its charger's `reserve`."""
        return option.tier_u if self.by_offer(self.ports[option.port].charger) else option.watts_u

    def load_u(self, option):
        """What a berth can take from others, by section 6."""
        port = self.ports[option.port]
        return port.cap_u if self.by_offer(port.charger) else option.demand_u

    def cable_named(self, port, name):
        leads = {cable.lead_of: c for c, cable in enumerate(self.cables) if cable.lead_of is not None}
        if port in leads:
            return leads[port] if name == "lead" else None
        return next((c for c, k in enumerate(self.cables) if k.lead_of is None and k.name == name), None)


def required_offers(pdp_w):
    """The fixed offers that the power rules ask of a source (USB PD R3.2, 10.2; model.md section 2)."""
    rows = [(5, 3), (9, 3), (15, 3), (20, 5 if pdp_w > 60 else 3)]
    if pdp_w > 100:
        rows += [(28, 5), (36, 5), (48, 5)]
    return [Entry(FIXED, v, v, min(pdp_w / v, most)) for v, most in rows if pdp_w > theta(v)]


def accepted_voltages(pd_w):
    """The fixed voltages that a source of that PDP must have, at up to 5 A."""
    return [Entry(FIXED, offer.high, offer.high, 5) for offer in required_offers(pd_w)]


def offers_at(port, held_w, by_rules, printed=None):
    """The offers (all of the port's, or the `printed` ones) of a port held at a power, before the limit of its watts."""
    printed = port.offers if printed is None else printed
    if not by_rules or port.connector != "usb-c" or micro(held_w) >= port.cap_u:
        return printed
    kept = []
    for offer in printed:
        if offer.kind == FIXED:
            if held_w > theta(offer.high):
                kept.append(offer)
            continue
        if offer.kind == PPS:
            cuts = [cut for cut in PPS_CUTS if theta(cut) < held_w]
        else:
            cuts = [cut for cut, above in AVS_CUTS if held_w > above]
            if offer.high > 21 + EPS and held_w <= 100:
                cuts = []
        if cuts and offer.low <= cuts[-1] + EPS:
            kept.append(Entry(offer.kind, offer.low, min(offer.high, cuts[-1]), offer.amps, offer.watts))
    return kept


def printed_for(port, cable):
    """The printed offers that count through a cable: no EPR range where 21 V is the most it carries."""
    if "usb-c" not in cable.ends or cable.volts() > 21 + EPS:
        return port.offers
    return [o for o in port.offers if not (o.kind == AVS and o.high > 21 + EPS)]


def meeting_volts(offer, entry, cable, promised):
    """The voltage at which an offer meets an accepted entry through a cable, or None."""
    most = cable.volts()
    if offer.kind == FIXED:
        volts = offer.high
        if entry.kind == FIXED:
            meets = abs(entry.high - volts) <= 0.05 * volts + EPS
        else:
            meets = entry.kind == WIDE and entry.low - EPS <= volts <= entry.high + EPS
        if cable.five_volts_only() and abs(volts - 5) > 0.25 + EPS:
            meets = False
        return volts if meets and volts <= most + EPS else None
    if offer.kind != entry.kind or cable.five_volts_only():
        return None
    low, high = max(offer.low, entry.low), min(offer.high, entry.high, most)
    if high < low - EPS:
        return None
    if promised and offer.kind == PPS:
        return min(max(PPS_PROMISED_V, low), high)
    return high


def matches(device, port, held_w, cable, promised, by_rules):
    """Every (volts, amps, watts at the inlet) at which an offer meets what the device accepts."""
    found = []
    for offer in offers_at(port, held_w, by_rules, printed_for(port, cable)):
        for entry in device.accepts_on(port):
            volts = meeting_volts(offer, entry, cable, promised)
            if volts is None:
                continue
            limits = [
                offer.amps_at(volts), entry.amps_at(volts), cable.amps(volts, promised), held_w / volts,
                device.max_w / volts,
            ]
            if cable.ohm > 0:
                limits.append(volts / (2 * cable.ohm))
            if promised and port.connector == "usb-a" and device.usb_a_a is None:
                limits.append(USB_A_AMPS)
            amps = min(limits)
            found.append((volts, amps, volts * amps - amps * amps * cable.ohm))
    return found


def contract_by(device, port, held_w, cable, promised, by_rules):
    """(volts, amps, watts at the inlet) with the port's voltages kept or by the rules, or None."""
    found = matches(device, port, held_w, cable, promised, by_rules)
    if not found:
        return None
    most = max(inlet for _, _, inlet in found)
    best = min((f for f in found if f[2] >= most - 1e-9), key=lambda f: (-f[0], f[1]))
    flows = micro(best[1]) > 0 and micro(best[2]) > 0
    enough = micro(best[0] * best[1]) >= micro(device.reading(promised).min_w)
    return best if flows and enough else None


def contract(device, port, held_w, cable, promised=False):
    """(volts, amps, watts at the inlet) of a port held at a power, in one of the readings, or None."""
    kept, by_rules = (contract_by(device, port, held_w, cable, promised, rules) for rules in (False, True))
    if port.voltages is not None:
        return by_rules if port.voltages == "rules" else kept
    if not promised or kept is None or by_rules is None:
        return None if promised else kept
    return by_rules if by_rules[2] < kept[2] - 1e-9 else kept


def demand_u(device, port, cable):
    """D of section 6: the most volts x amps of the at-best matches with the port at its cap."""
    found = matches(device, port, port.cap_w, cable, False, False)
    return micro(max((volts * amps for volts, amps, _ in found), default=0))


def pieces(points, start, target):
    """The draw curve between two states of charge: (from, to, draw at from, draw at to)."""
    ends = [(-math.inf, points[0][0], points[0][1], points[0][1])]
    ends += [(a[0], b[0], a[1], b[1]) for a, b in zip(points, points[1:])]
    ends += [(points[-1][0], math.inf, points[-1][1], points[-1][1])]
    for s0, s1, d0, d1 in ends:
        low, high = max(s0, start), min(s1, target)
        if high <= low:
            continue
        slope = 0 if d0 == d1 else (d1 - d0) / (s1 - s0)
        at_low = d0 if low == s0 or slope == 0 else d0 + slope * (low - s0)
        at_high = d1 if high == s1 or slope == 0 else d0 + slope * (high - s0)
        yield low, high, at_low, at_high


def hours(device, inlet_w, promised=False):
    """Exact time to full in one of the readings, or None where it never ends (model.md section 4)."""
    known = device.reading(promised)
    room = inlet_w - device.running_w
    if micro(inlet_w) <= micro(device.running_w):
        return None
    if known.start_pct >= device.target_pct:
        return 0.0
    per_watt = 0.0  # the integral of ds / min(room, draw)
    for low, high, d0, d1 in pieces(known.draw_w, known.start_pct, device.target_pct):
        if d0 <= 0 or d1 <= 0:
            return None
        if min(d0, d1) >= room:
            per_watt += (high - low) / room
        elif max(d0, d1) <= room:
            per_watt += _along(high - low, d0, d1)
        else:
            below = (high - low) * (room - min(d0, d1)) / abs(d1 - d0)
            per_watt += (high - low - below) / room + _along(below, min(d0, d1), room)
    return known.battery_wh / 100 / device.efficiency * per_watt


def _along(length, d0, d1):
    """The integral of ds / draw over a straight piece."""
    rise = (d1 - d0) / d0
    return length / d0 * (1 if abs(rise) < 1e-12 else math.log1p(rise) / rise)


def options_of(setup):
    """Every option, by device: (device, port, cable, contract), each with the least tier that gives it."""
    return [_options_of_device(setup, d) for d in range(len(setup.devices))]


def _options_of_device(setup, d):
    device, options = setup.devices[d], []
    if not device.needs_berth():
        return options
    for p, port in enumerate(setup.ports):
        if device.port not in (None, port.name, f"{setup.chargers[port.charger][0]}/{port.name}"):
            continue
        for c, cable in enumerate(setup.cables):
            if device.cable in (None, cable.name) and cable.joins(setup, p, device):
                options += _options_at(device, port, cable, (d, p, c))
    return options


def _options_at(device, port, cable, place):
    seen = set()
    for tier_w in port.tiers_w:
        made = contract(device, port, tier_w, cable)
        if made is None or (micro(made[0]), micro(made[1])) in seen:
            continue
        seen.add((micro(made[0]), micro(made[1])))
        time = hours(device, made[2])
        if time is None:
            continue
        watts_u, time_u = micro(made[0] * made[1]), micro(time)
        yield Option(
            *place, *made, watts_u, micro(tier_w), time_u, device.is_late(time_u), demand_u(device, port, cable)
        )


# The rules that a plan keeps (section 5).


def broken_rules(setup, chosen):
    """Every rule of section 5 that a list of options breaks, in exact integers."""
    faults = []
    for what, names in (("device", setup.devices), ("port", setup.ports)):
        used = [getattr(o, what) for o in chosen]
        faults += [f"{what} {names[i].name} used twice" for i in set(used) if used.count(i) > 1]
    for c, cable in enumerate(setup.cables):
        if sum(o.cable == c for o in chosen) > cable.count:
            faults.append(f"cable {cable.name} used more than {cable.count} times")
    for pool in setup.pools:
        if used_u(setup, pool, chosen) > pool.max_u:
            faults.append(f"pool {pool.name} overdrawn")
    for charger, lines in setup.lines.items():
        tiers = {o.port: o.tier_u for o in chosen if setup.ports[o.port].charger == charger}
        if tiers and not any(respected(line, tiers) for line in governing(lines, set(tiers))):
            faults.append(f"no combination of {setup.chargers[charger][0]} allows its berths")
    return faults


def used_u(setup, pool, chosen):
    return sum(setup.takes_u(o) for o in chosen if o.port in pool.ports)


def governing(lines, in_use):
    holding = [line for line in lines if in_use <= set(line.watts_u)]
    return [l for l in holding if not any(set(other.watts_u) < set(l.watts_u) for other in holding)]


def respected(line, tiers):
    return all(tier_u <= line.watts_u[port] for port, tier_u in tiers.items())


# What a charger promises (section 6).


def floor_u(setup, p):
    """The least that a port gives whatever the others take, before its table is asked; none on another plug."""
    port = setup.ports[p]
    if port.connector.startswith("other:"):
        return 0
    shares = [(2 * pool.max_u + len(pool.ports)) // (2 * len(pool.ports)) for pool in setup.pools if p in pool.ports]
    return min([FLOOR_U, port.cap_u, *shares])


def table_limits(setup, chosen):
    """(least, most) that the governing lines give each port in use; only ports of chargers with a table."""
    limits = {}
    for charger, lines in setup.lines.items():
        in_use = {o.port for o in chosen if setup.ports[o.port].charger == charger}
        ruling = governing(lines, in_use) if in_use else []
        for p in in_use:
            given = [line.watts_u[p] for line in ruling]
            limits[p] = (min(given), max(given))
    return limits


def grants(setup, chosen):
    """(grant, floor) of every berth, in micro-watts."""
    limits = table_limits(setup, chosen)
    loads = {o.port: min(setup.load_u(o), limits.get(o.port, (0, NEVER_U))[1]) for o in chosen}
    found = []
    for option in chosen:
        p = option.port
        least_line = limits.get(p, (NEVER_U, 0))[0]
        floor = min(floor_u(setup, p), least_line)
        rests = [
            pool.max_u - sum(load for other, load in loads.items() if other in pool.ports and other != p)
            for pool in setup.pools if p in pool.ports
        ]
        grant = min(max(floor, min(rests, default=NEVER_U)), setup.ports[p].cap_u, least_line)
        found.append((grant, floor))
    return found


def held_power_u(port, demand, grant, floor):
    """The power at which a berth's port is surely held: its cap where the grant is all that is asked, or None."""
    if grant >= demand:
        return port.cap_u
    tiers = [micro(w) for w in port.tiers_w if micro(w) <= grant]
    held = max([*tiers, floor])
    return held if held > 0 else None


def promised_contract(setup, place, held):
    """(contract or None, time) of a place whose port is held at a power, promised."""
    if (place, held) not in setup.held:
        d, p, c = place
        device, port = setup.devices[d], setup.ports[p]
        held_w = port.cap_w if held == port.cap_u else held / MICRO
        made = contract(device, port, held_w, setup.cables[c], promised=True)
        time = None if made is None else hours(device, made[2], promised=True)
        setup.held[place, held] = (made, NEVER_U if time is None else micro(time))
    return setup.held[place, held]


def promise_of(setup, option, grant, floor):
    """What is promised to an option with this grant."""
    held = held_power_u(setup.ports[option.port], option.demand_u, grant, floor)
    made, time = (None, NEVER_U) if held is None else promised_contract(setup, option.place, held)
    if made is None:
        return Promise(grant, None, None, None, NEVER_U)
    return Promise(grant, made[0], made[1], micro(made[0] * made[1]), time)


def promises(setup, chosen):
    """What is promised to each of the chosen options beside the others, in their order."""
    return [promise_of(setup, option, *granted) for option, granted in zip(chosen, grants(setup, chosen))]


# The order of plans (section 5).


def unserved(setup, chosen):
    """(without berth by priority 1, 2, 3; missing)."""
    served = {o.device for o in chosen}
    left = [d for i, d in enumerate(setup.devices) if d.needs_berth() and i not in served]
    return *(sum(d.priority == level for d in left) for level in (1, 2, 3)), sum(d.missing_u() for d in left)


def places_u(setup, chosen, times, priorities):
    """The list of times of devices of these priorities, longest first."""
    owners = [setup.devices[o.device].priority for o in chosen]
    return sorted((time for owner, time in zip(owners, times) if owner in priorities), reverse=True)


URGENT, SPARE = (1, 2), (3,)
