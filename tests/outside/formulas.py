"""The formulas of a proof, written from the guide's page on formulas and from model.md as this folder reads it.

A formula is the number of its variables and its rows: each a tuple of (variable from 1, coefficient), rising, and what
they come to at least. Rows are compared as a multiset: their order is the writer's.
"""

import re
from dataclasses import dataclass

import claims
import model

MOST_SETS = 256
NUMBERS = ("unserved-1", "unserved-2", "unserved-3", "missing", "late-1", "late-2", "late-3")


class TooManySets(Exception):
    """A table has more sets of ports than are told apart."""


@dataclass(frozen=True)
class Way:
    """A device without a berth (`option` is None), or an option with a claim: a grant needed, and the time by then."""

    device: int
    option: object
    need_u: int
    time_u: int
    late: bool


def first_of(option):
    return getattr(option, "first", 0)


def last_of(option):
    return getattr(option, "last", 0)


def claims_of(question, option):
    """(need, time) by rising need, each time shorter than those before."""
    found = [(0, model.NEVER_U)]
    for need, held in claims.powers_of(question, option):
        time_u = question.promised_time(option, held)
        if time_u < found[-1][1] and need <= question.setup.ports[option.port].cap_u:
            found.append((need, time_u))
    return found


def ways_of(question, d, options):
    """Without a berth first; then by port, cable, first session, contract and claim."""
    ways = [Way(d, None, 0, 0, False)]
    for option in sorted(options, key=lambda o: (o.port, o.cable, first_of(o))):
        if question.setup.aim == "best":
            ways.append(Way(d, option, 0, option.hours_u, option.late))
        else:
            ways += [Way(d, option, need, t, question.is_late(option, t)) for need, t in claims_of(question, option)]
    return ways


@dataclass(frozen=True)
class Claimed:
    """What a plan comes to: the seven counted numbers, its longest time, and what that is not below."""

    counted: tuple
    longest_u: int
    least_longest_u: int
    later: "Later | None" = None


@dataclass(frozen=True)
class Later:
    """What comes after the longest time: the times, longest first; later starts, hours, watts (or watt-hours held)."""

    urgent: tuple
    spare: tuple
    swaps: int
    hours: int
    watts: int

    def due(self, tolerance_u):
        """(claim, value) of each, the first time left to the claim of the longest."""
        def within(time_u):
            return time_u if time_u == model.NEVER_U else time_u - tolerance_u

        places = [(f"time-{i}", within(t)) for i, t in enumerate(self.urgent, 1)]
        places += [(f"spare-time-{i}", within(t)) for i, t in enumerate(self.spare, 1)]
        sums = [("swaps", self.swaps), ("hours", self.hours), ("watts", self.watts)]
        return [(name, value) for name, value in places[1:] + sums if value > 0]


def claimed(question, chosen, bound_u):
    """The numbers of a plan whose document says so much of its bound."""
    setup = question.setup
    if setup.aim == "best":
        times = [o.hours_u for o in chosen]
    else:
        grants = [promise.grant_u for promise in question.promises(chosen)]
        times = [
            min(t for need, t in claims_of(question, option) if need <= grant)
            for option, grant in zip(chosen, grants)
        ]
    urgent = [t for o, t in zip(chosen, times) if setup.devices[o.device].priority < 3]
    longest = max(urgent or times, default=0)
    within = longest if longest == model.NEVER_U else longest - setup.tolerance_u
    counted = (*model.unserved(setup, chosen), *question.late(chosen, times))
    return Claimed(counted, max(times, default=0), max(within, bound_u, 0), later(question, chosen, times))


def later(question, chosen, times):
    setup = question.setup
    of = [[], []]
    for option, time_u in zip(chosen, times):
        of[setup.devices[option.device].priority == 3].append(time_u)
    urgent, spare = (tuple(sorted(found, reverse=True)) for found in of)
    sums = [sum(map(value, chosen)) for value in question.sums()]
    return Later(urgent, spare, *([0] * (3 - len(sums)) + sums))


def names(question, told, whole=False):
    """The claims that there must be, in order; with the whole order those that there may be, too."""
    due = [name for name, value in zip(NUMBERS, told.counted) if value > 0]
    agents = any(device.needs_berth() for device in question.setup.devices)
    after = [name for name, _ in told.later.due(question.setup.tolerance_u)] if whole else []
    return ["plan"] * agents + due + ["longest"] * (told.least_longest_u > 0) + after


def of(question, told, name):
    """(number of variables, rows) of a claim."""
    if name == "plan":
        return Formula(question, dict(zip(NUMBERS, told.counted)), told.longest_u, True).written()
    before = NUMBERS[: NUMBERS.index(name) if name in NUMBERS else None]
    most = dict(zip(before, told.counted))
    if name == "longest":
        return Formula(question, most, told.least_longest_u - 1, False).written()
    if name not in NUMBERS:
        return Formula(question, most | after(question, told.later, name), model.NEVER_U, False).written()
    most[name] = told.counted[NUMBERS.index(name)] - 1
    return Formula(question, most, model.NEVER_U, False).written()


def after(question, told, name):
    """What a claim behind the longest time counts beside the seven numbers, and the most of each."""
    value = dict(told.due(question.setup.tolerance_u))[name]
    kind, _, place = name.rpartition("time-")
    place = int(place) - 1 if place.isdigit() else None
    most = {}
    for spare, times in ((False, told.urgent), (True, told.spare)):
        own = place is not None and spare == (kind == "spare-")
        if place is not None and spare and not own:
            break
        for i, time_u in enumerate(times[: place if own else None]):
            if time_u < model.NEVER_U:
                most.setdefault((spare, time_u), i)
        if own:
            # A list may begin with the very time: that row is another then.
            return most | {(spare, value - 1, "less"): place}
    for what, most_of in (("swaps", told.swaps), ("hours", told.hours), ("watts", told.watts)):
        if what == name:
            return most | {what: value - 1}
        most[what] = most_of
    return most


class Formula:
    """A formula in the making."""

    def __init__(self, question, most, time_u, whole):
        self.question, self.setup = question, question.setup
        self.most = most
        self.sums = question.sums()
        if len(self.sums) == 2:
            self.sums = [lambda option: 0, *self.sums]
        self.sessions = len(question.setup.sessions) or 1
        self.rows, self.groups, self.count = [], [], 0
        self.ways = []  # (variable, way)
        for d, options in enumerate(question.options()):
            if self.setup.devices[d].needs_berth():
                ways = [way for way in ways_of(question, d, options) if way.time_u <= time_u]
                ways = ways if whole else self.undominated(ways)
                self.ways += zip(self.group(len(ways)), ways)

    def group(self, size):
        variables = range(self.count + 1, self.count + size + 1)
        self.count += size
        self.groups.append(variables)
        return variables

    def at_least(self, terms, least):
        terms = tuple(sorted((v, n) for v, n in terms if n))
        if terms or least > 0:
            self.rows.append((terms, least))

    def at_most(self, terms, most):
        self.at_least([(v, -n) for v, n in terms], -most)

    def counts(self, name, way):
        device = self.setup.devices[way.device]
        if isinstance(name, tuple):
            return int(way.option is not None and (device.priority == 3) == name[0] and way.time_u > name[1])
        if name in ("swaps", "hours", "watts"):
            return self.sums[("swaps", "hours", "watts").index(name)](way.option) if way.option else 0
        if name == "missing":
            return device.missing_u() if way.option is None else 0
        what, priority = name.split("-")
        counts = way.option is None if what == "unserved" else way.late
        return int(counts and device.priority == int(priority))

    def undominated(self, ways):
        kept = []
        for at, way in enumerate(ways):
            if not any(self.beats(other, way, o < at) for o, other in enumerate(ways) if o != at):
                kept.append(way)
        return kept

    def beats(self, other, way, is_before):
        """Of equal ways the first stays."""
        if way.option is None or other.option is None:
            return False
        a, b = other.option, way.option
        if (a.port, a.cable, first_of(a)) != (b.port, b.cable, first_of(b)):
            return False
        return self.no_more(other, way) and (is_before or not self.no_more(way, other))

    def no_more(self, one, other):
        a, b = one.option, other.option
        setup = self.setup
        values = [(last_of(a), last_of(b)), (one.need_u, other.need_u)]
        if any(a.port in pool.ports for pool in setup.pools):
            values.append((setup.takes_u(a), setup.takes_u(b)))
        if setup.ports[a.port].charger in setup.lines:
            values.append((a.tier_u, b.tier_u))
        values += [(self.counts(name, one), self.counts(name, other)) for name in self.most]
        return all(x <= y for x, y in values)

    def during(self, session, ports=None):
        return [
            (v, way) for v, way in self.ways
            if way.option is not None and first_of(way.option) <= session <= last_of(way.option)
            and (ports is None or way.option.port in ports)
        ]

    def load_u(self, way):
        return self.setup.load_u(way.option) if self.setup.aim == "promise" else 0

    def written(self):
        every = range(self.sessions)
        lines = [
            (s, c, self.group(len(self.setup.lines[c])))
            for s in every for c in sorted(self.setup.lines) if self.during(s, self.ports_of(c))
        ]
        sets = []
        for s in every:
            for c in sorted(self.setup.lines):
                if any(way.need_u for _, way in self.during(s, self.ports_of(c))):
                    closed = closed_sets(self.setup.lines[c])
                    sets.append((s, c, closed, self.group(len(closed))))
        levels = [(s, pool, found) for s in every for pool in self.setup.pools if len(found := self.levels(s, pool)) > 1]
        levels = [(s, pool, found, self.group(len(found))) for s, pool, found in levels]
        for group in self.groups:
            self.at_least([(v, 1) for v in group], 1)
            self.at_most([(v, 1) for v in group], 1)
        for s in every:
            for p in range(len(self.setup.ports)):
                self.at_most([(v, 1) for v, _ in self.during(s, {p})], 1)
        for s in every:
            for pool in self.setup.pools:
                self.at_most([(v, self.setup.takes_u(w.option)) for v, w in self.during(s, pool.ports)], pool.max_u)
        for s in every:
            for c, cable in enumerate(self.setup.cables):
                self.at_most([(v, 1) for v, w in self.during(s) if w.option.cable == c], cable.count)
        for name, most in self.most.items():
            self.at_most([(v, self.counts(name, way)) for v, way in self.ways], most)
        for entry in lines:
            self.rows_of_lines(*entry)
        for entry in sets:
            self.rows_of_sets(*entry)
        for entry in levels:
            self.rows_of_levels(*entry)
        return self.count, self.rows

    def ports_of(self, charger):
        return [p for p, port in enumerate(self.setup.ports) if port.charger == charger]

    def rows_of_lines(self, session, charger, variables):
        lines = self.setup.lines[charger]
        for p in self.ports_of(charger):
            ways = self.during(session, {p})
            most = max(line.watts_u.get(p, 0) for line in lines)
            if ways:
                rest = [(v, most - line.watts_u.get(p, 0)) for v, line in zip(variables, lines)]
                self.at_most([(v, w.option.tier_u) for v, w in ways] + rest, most)
        for v, line in zip(variables, lines):
            for other in lines:
                if set(other.watts_u) < set(line.watts_u):
                    self.beyond(session, v, set(line.watts_u) - set(other.watts_u))

    def beyond(self, session, variable, ports):
        self.at_least([(v, 1) for v, _ in self.during(session, ports)] + [(variable, -1)], 0)

    def rows_of_sets(self, session, charger, closed, variables):
        lines = self.setup.lines[charger]
        given = []  # by set: port to (least, most) of the lines that govern it
        for ports in closed:
            ruling = model.governing(lines, set(ports))
            given.append({p: (min(l.watts_u[p] for l in ruling), max(l.watts_u[p] for l in ruling)) for p in ports})
        for p in self.ports_of(charger):
            ways = self.during(session, {p})
            if not ways:
                continue
            without = [(v, 1) for v, ports in zip(variables, closed) if p not in ports]
            self.at_most([(v, 1) for v, _ in ways] + without, 1)
            if any(way.need_u for _, way in ways):
                least = [of.get(p, (0, 0))[0] for of in given]
                rest = [(v, max(least) - here) for v, here in zip(variables, least)]
                self.at_most([(v, way.need_u) for v, way in ways] + rest, max(least))
        for v, ports in zip(variables, closed):
            for other in closed:
                if set(other) < set(ports):
                    self.beyond(session, v, set(ports) - set(other))
        for pool in self.setup.pools:
            if pool.charger == charger:
                for p in sorted(pool.ports):
                    self.rows_of_shared(session, pool, p, given, variables)

    def rows_of_shared(self, session, pool, p, given, variables):
        floor = model.floor_u(self.setup, p)
        asks = [(v, way.need_u) for v, way in self.during(session, {p}) if way.need_u > floor]
        for z, of in zip(variables, given):
            if not asks or p not in of:
                continue
            loads = [
                (v, way.option.port, min(self.load_u(way), of.get(way.option.port, (0, 0))[1]))
                for v, way in self.during(session, pool.ports - {p})
            ]
            most = sum(max((l for _, port, l in loads if port == other), default=0) for other in pool.ports - {p})
            own = [(v, max(0, most - pool.max_u + need)) for v, need in asks]
            if any(n for _, n in own):
                self.at_most([(v, l) for v, _, l in loads] + own + [(z, most)], 2 * most)

    def level(self, pool, way):
        """What all loads may come to beside a way that asks for a grant, or None."""
        if way.need_u <= model.floor_u(self.setup, way.option.port):
            return None
        return pool.max_u + self.load_u(way) - way.need_u

    def levels(self, session, pool):
        if pool.charger in self.setup.lines:
            return []
        there = self.during(session, pool.ports)
        most = sum(max((self.load_u(w) for _, w in there if w.option.port == p), default=0) for p in pool.ports)
        asked = {self.level(pool, way) for _, way in there} - {None}
        return sorted({level for level in asked if level < most} | {most})

    def rows_of_levels(self, session, pool, levels, variables):
        there, most = self.during(session, pool.ports), levels[-1]
        rest = [(v, most - level) for v, level in zip(variables, levels)]
        self.at_most([(v, self.load_u(way)) for v, way in there] + rest, most)
        for d in range(len(self.setup.devices)):
            own = []
            for v, way in there:
                if way.device == d:
                    level = self.level(pool, way)
                    own.append((v, 0 if level is None else sum(other > level for other in levels)))
            if any(n for _, n in own):
                self.at_most(own + [(v, j) for j, v in enumerate(variables)], len(levels) - 1)


def closed_sets(lines):
    """The sets of ports that are common to some lines, the smallest first, then port by port."""
    known = set()
    for line in lines:
        ports = frozenset(line.watts_u)
        known |= {ports & other for other in known} | {ports}
        if len(known) > MOST_SETS:
            raise TooManySets
    return sorted((tuple(sorted(ports)) for ports in known), key=lambda ports: (len(ports), ports))


def read(text):
    """(number of variables, rows) of a file."""
    first, *lines = text.splitlines()
    count, rows = int(re.match(r"\* #variable= (\d+) #constraint= \d+$", first)[1]), []
    for line in lines:
        if line.startswith("*"):  # a comment
            continue
        left, least = line.removesuffix(" ;").split(">= ")
        terms = tuple((int(v), int(n)) for n, v in re.findall(r"([+-]\d+) x(\d+)", left))
        rows.append((terms, int(least)))
    return count, rows


def differ(ours, theirs):
    """What differs between two formulas, or None."""
    if ours[0] != theirs[0]:
        return f"{theirs[0]} variables, here {ours[0]}"
    one, other = sorted(ours[1]), sorted(theirs[1])
    if one != other:
        only = next(((a, b) for a, b in zip(one, other) if a != b), "one has rows more")
        return f"{len(other)} rows, here {len(one)}; the first that differ: {str(only)[:600]}"
    return None
