"""Setup documents, offers, contracts, exact times and options, written from model.md alone.

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
MICRO_B_AMPS = 1.8
COPPER_OHM_M = 1.7241e-8  # IEC 60028, at 20 degrees Celsius
LEGACY_PLUGS = ("usb-micro-b", "usb-mini-b")


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
    tiers_w: list = field(default_factory=list)


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

    def joins(self, port, device):
        long_enough = device.reach_m <= 0 if self.length_m is None else self.length_m >= device.reach_m - EPS
        return self.ends == (port.connector, device.inlet) and long_enough

    def amps(self):
        amps = self.max_a
        if any(end.startswith("usb-") for end in self.ends) and self.ohm > 0:
            amps = min(amps, DROP_V / self.ohm)
        if "usb-c" in self.ends and not self.e_marked:
            amps = min(amps, 3)
        return amps

    def volts(self):
        """The most it carries."""
        if "usb-c" in self.ends and not (self.e_marked and self.max_a >= 5 - EPS):
            return min(self.max_v, 21)
        return self.max_v

    def five_volts_only(self):
        return "usb-a" in self.ends or self.ends[1] in LEGACY_PLUGS


@dataclass
class Device:
    name: str
    inlet: str
    accepts: list
    max_w: float
    min_w: float
    battery_wh: float
    start_pct: float
    target_pct: float
    draw_w: list
    efficiency: float
    running_w: float
    ready_by_u: int | None
    priority: int
    reach_m: float
    port: str | None
    cable: str | None
    sessions: frozenset | None = None  # names of those in which it is at hand; all where None

    def needs_berth(self):
        return self.start_pct < self.target_pct or self.running_w > 0

    def missing_u(self):
        return micro(self.battery_wh * max(0, self.target_pct - self.start_pct) / 100)


@dataclass(frozen=True)
class Option:
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


@dataclass
class Setup:
    chargers: list  # (name, reserve)
    ports: list
    pools: list
    lines: dict  # charger index to its lines; absent without combinations
    cables: list
    devices: list
    sessions: list = field(default_factory=list)  # of a rota: (name, hours, swap)

    def takes_u(self, option):
        """What a berth takes from pools, by its charger's `reserve`."""
        by_contract = self.chargers[self.ports[option.port].charger][1] == "contract"
        return option.watts_u if by_contract else option.tier_u


def required_offers(pdp_w):
    """The fixed offers that the power rules ask of a source (USB PD R3.2, 10.2; model.md section 2)."""
    rows = [(5, 3), (9, 3), (15, 3), (20, 5 if pdp_w > 60 else 3)]
    if pdp_w > 100:
        rows += [(28, 5), (36, 5), (48, 5)]
    return [Entry(FIXED, v, v, min(pdp_w / v, most)) for v, most in rows if pdp_w > theta(v)]


def accepted_voltages(pd_w):
    volts = [5, 9, 15, 20] + [v for v, above in ((28, 100), (36, 140), (48, 180)) if pd_w > above]
    return [Entry(FIXED, v, v, 5) for v in volts]


def offers_at(port, tier_w, printed=None):
    """The offers (all of the port's, or the `printed` ones) at a tier, before the limit of tier / volts."""
    printed = port.offers if printed is None else printed
    if port.connector != "usb-c" or micro(tier_w) >= micro(port.cap_w):
        return printed
    kept = []
    for offer in printed:
        if offer.kind == FIXED:
            if tier_w > theta(offer.high):
                kept.append(offer)
            continue
        if offer.kind == PPS:
            cuts = [cut for cut in PPS_CUTS if theta(cut) < tier_w]
        else:
            cuts = [cut for cut, above in AVS_CUTS if tier_w > above]
            if offer.high > 21 + EPS and tier_w <= 100:
                cuts = []
        if cuts and offer.low <= cuts[-1] + EPS:
            kept.append(Entry(offer.kind, offer.low, min(offer.high, cuts[-1]), offer.amps, offer.watts))
    return kept


def printed_for(port, cable):
    """The printed offers that count through a cable: no EPR range where 21 V is the most it carries."""
    if "usb-c" not in cable.ends or cable.volts() > 21 + EPS:
        return port.offers
    return [o for o in port.offers if not (o.kind == AVS and o.high > 21 + EPS)]


def meeting_volts(offer, entry, cable):
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
    volts = min(offer.high, entry.high, most)
    return volts if volts >= max(offer.low, entry.low) - EPS else None


def contract(device, port, tier_w, cable):
    """(volts, amps, watts at the inlet), or None."""
    found = []
    for offer in offers_at(port, tier_w, printed_for(port, cable)):
        for entry in device.accepts:
            volts = meeting_volts(offer, entry, cable)
            if volts is None:
                continue
            amps = min(offer.amps_at(volts), entry.amps_at(volts), cable.amps(), tier_w / volts, device.max_w / volts)
            found.append((volts, amps, volts * amps - amps * amps * cable.ohm))
    if not found:
        return None
    most = max(inlet for _, _, inlet in found)
    best = min((f for f in found if f[2] >= most - 1e-9), key=lambda f: (-f[0], f[1]))
    flows = micro(best[1]) > 0 and micro(best[2]) > 0
    return best if flows and micro(best[2]) >= micro(device.min_w) else None


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


def hours(device, inlet_w):
    """Exact time to full, or None where it never ends (model.md section 4)."""
    room = inlet_w - device.running_w
    if micro(inlet_w) <= micro(device.running_w):
        return None
    if device.start_pct >= device.target_pct:
        return 0.0
    per_watt = 0.0  # the integral of ds / min(room, draw)
    for low, high, d0, d1 in pieces(device.draw_w, device.start_pct, device.target_pct):
        if d0 <= 0 or d1 <= 0:
            return None
        if min(d0, d1) >= room:
            per_watt += (high - low) / room
        elif max(d0, d1) <= room:
            per_watt += _along(high - low, d0, d1)
        else:
            below = (high - low) * (room - min(d0, d1)) / abs(d1 - d0)
            per_watt += (high - low - below) / room + _along(below, min(d0, d1), room)
    return device.battery_wh / 100 / device.efficiency * per_watt


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
            if device.cable not in (None, cable.name) or not cable.joins(port, device):
                continue
            seen = set()
            for tier_w in port.tiers_w:
                made = contract(device, port, tier_w, cable)
                if made is None or (micro(made[0]), micro(made[1])) in seen:
                    continue
                seen.add((micro(made[0]), micro(made[1])))
                time = hours(device, made[2])
                if time is None:
                    continue
                late = device.ready_by_u is not None and micro(time) > device.ready_by_u
                watts_u = micro(made[0] * made[1])
                options.append(Option(d, p, c, *made, watts_u, micro(tier_w), micro(time), late))
    return options


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


def objective(setup, chosen):
    """(without berth by priority 1, 2, 3; missing; late; times, longest first; watts), least is best."""
    served = {o.device for o in chosen}
    left = [d for i, d in enumerate(setup.devices) if d.needs_berth() and i not in served]
    return (
        *(sum(d.priority == level for d in left) for level in (1, 2, 3)),
        sum(d.missing_u() for d in left),
        sum(o.late for o in chosen),
        tuple(sorted((o.hours_u for o in chosen), reverse=True)),
        sum(o.watts_u for o in chosen),
    )
