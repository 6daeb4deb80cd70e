"""Columns and rows by which a berth claims a promised time, and none better than section 6 of model.md gives it.

A place (device, port, cable) has a few promised times: one for each power at which its port may be held, and one for
all that is asked. A claim with a need of h watts holds where

- every governing line of the charger's table gives the port h, and
- h is no more than the port's floor, or in every pool that holds the port the loads of the others leave h.

A longer time may always be claimed. The first rule asks which lines govern: a column for each set of lines that can
hold the ports in use, exactly one of them chosen. The second is, without a table, a column for each level of a pool's
load that some claim needs, exactly one chosen; beside a table, where loads depend on the lines, a row for each port
and pool. Coefficients are whole micro-watts over a million.
"""

import itertools
from dataclasses import dataclass

import numpy as np

import model


class NotMonotone(Exception):
    """More power promises a longer time somewhere: these columns cannot say that."""


@dataclass(frozen=True)
class Claim:
    """A promised time and the watts that the grant must reach for it."""

    need_u: int
    time_u: int


def powers_of(question, option):
    """(need, power at which the port is then held) of each claim that a place may have, by rising need."""
    port = question.setup.ports[option.port]
    powers = {model.micro(w) for w in port.tiers_w} | {model.floor_u(question.setup, option.port)}
    return [*((need, need) for need in sorted(powers) if 0 < need < option.demand_u), (option.demand_u, port.cap_u)]


def every_time(question, option):
    """The promised times of a place, by rising need."""
    return [question.promised_time(option, held) for _, held in powers_of(question, option)]


def claims_of(question, option):
    """By rising need; the first, a time that never comes, needs nothing."""
    found = [Claim(0, model.NEVER_U)]
    for need, held in powers_of(question, option):
        time_u = question.promised_time(option, held)
        if time_u > found[-1].time_u:
            raise NotMonotone
        if time_u < found[-1].time_u:
            found.append(Claim(need, time_u))
    return found


def add(program):
    """Adds all columns and rows; returns (column, device, time, whether it is late) of every claim."""
    groups = {}
    for i, option in enumerate(program.options):
        groups.setdefault(program.question.group(option), []).append(i)
    timed, claimed = [], []  # of each claim: (column, one option of its group, claim)
    for members in groups.values():
        option = program.options[members[0]]
        own = claims_of(program.question, option)
        first = program.column(len(own))
        program.row(0, 0, {i: 1 for i in members} | {first + k: -1 for k in range(len(own))})
        for k, claim in enumerate(own):
            timed.append((first + k, option.device, claim.time_u, program.question.is_late(option, claim.time_u)))
            claimed.append((first + k, option, claim))
    for is_there in program.question.moments():
        _moment(program, is_there, claimed)
    return timed


def _moment(program, is_there, claimed):
    """The rules at one time."""
    setup = program.setup
    here = [entry for entry in claimed if is_there(entry[1])]
    there = [(i, o) for i, o in enumerate(program.options) if is_there(o)]
    tables = {}
    for charger, lines in setup.lines.items():
        ports = sorted({o.port for _, o in there if setup.ports[o.port].charger == charger})
        if ports:
            tables[charger] = Table(program, lines, ports, there)
    for entry in here:
        assert entry[2].need_u <= setup.ports[entry[1].port].cap_u + 1
    for port in {o.port for _, o, _ in here}:
        own = [(column, claim) for column, o, claim in here if o.port == port and claim.need_u > 0]
        table = tables.get(setup.ports[port].charger)
        if table:
            for need in {claim.need_u for _, claim in own}:
                terms = {column: 1 for column, claim in own if claim.need_u >= need}
                program.row(-np.inf, 0, terms | dict.fromkeys(table.giving(port, need), -1))
        if table:
            _pools(program, port, own, there, table)
    for pool in setup.pools:
        if pool.charger not in tables:
            _levels(program, pool, [entry for entry in here if entry[1].port in pool.ports], there)


def _levels(program, pool, here, there):
    """A column for each level of a pool's load, `max_w` and so much more; each claim is open up to its own.

    A claim on a berth of load l that needs h holds where all loads together are at most `max_w` + l - h.
    """
    setup = program.setup
    loads = {i: setup.load_u(o) for i, o in there if o.port in pool.ports}
    floors = {port: model.floor_u(setup, port) for port in pool.ports}
    bound = [(column, o, setup.load_u(o) - claim.need_u) for column, o, claim in here if claim.need_u > floors[o.port]]
    if not bound:
        return
    most = sum(max((setup.load_u(o) for _, o in there if o.port == port), default=0) for port in pool.ports)
    above = sorted({slack for _, _, slack in bound if pool.max_u + slack < most})
    first = program.column(len(above) + 1)
    steps = [*above, most - pool.max_u]
    program.row(1, 1, {first + k: 1 for k in range(len(steps))})
    terms = {i: load / model.MICRO for i, load in loads.items()}
    levels = {first + k: -step / model.MICRO for k, step in enumerate(steps)}
    program.row(-np.inf, pool.max_u / model.MICRO, terms | levels)
    for port in pool.ports:
        own = [(column, slack) for column, o, slack in bound if o.port == port and slack in above]
        for slack in {slack for _, slack in own}:
            open_to = {first + k: -1 for k, step in enumerate(above) if step <= slack}
            program.row(-np.inf, 0, {column: 1 for column, other in own if other <= slack} | open_to)


def _pools(program, port, own, there, table):
    """Beside a table, where loads depend on its lines: one row for each port and pool."""
    setup, floor = program.setup, model.floor_u(program.setup, port)
    for pool in setup.pools:
        if port not in pool.ports:
            continue
        loads, most = {}, 0
        for other in pool.ports - {port}:
            terms = table.loads(other)
            loads |= terms
            most += max(terms.values(), default=0)
        shares = {column: claim.need_u + most - pool.max_u for column, claim in own if claim.need_u > floor}
        shares = {column: share for column, share in shares.items() if share > 0}
        if shares:
            terms = {column: value / model.MICRO for column, value in (loads | shares).items()}
            program.row(-np.inf, most / model.MICRO, terms)


def _loads(program, there, port):
    return {i: program.setup.load_u(o) for i, o in there if o.port == port}


class Table:
    """Which lines of a table govern at one time: a column for each set of lines that can hold the ports in use."""

    def __init__(self, program, lines, ports, there):
        self.program, self.there = program, there
        self.cases = {}  # set of lines that hold the ports in use: (column, ports that all of them have, governing)
        self.split = {}
        assert len(ports) <= 12, "too many ports for a table here"
        for size in range(1, len(ports) + 1):
            for in_use in itertools.combinations(ports, size):
                holding = frozenset(k for k, line in enumerate(lines) if set(in_use) <= set(line.watts_u))
                if holding and holding not in self.cases:
                    common = set.intersection(*(set(lines[k].watts_u) for k in holding))
                    ruling = model.governing(lines, set(in_use))
                    self.cases[holding] = (program.column(), common, ruling)
        self._rows(lines, ports)

    def _rows(self, lines, ports):
        row = self.program.row
        row(0, 1, {column: 1 for column, _, _ in self.cases.values()})
        for port in ports:
            used = {i: 1 for i, o in self.there if o.port == port}
            row(-np.inf, 0, used | {column: -1 for column, common, _ in self.cases.values() if port in common})
        for holding, (column, _, _) in self.cases.items():
            for k, line in enumerate(lines):
                if k not in holding:
                    beyond = {i: -1 for i, o in self.there if o.port in ports and o.port not in line.watts_u}
                    row(-np.inf, 0, beyond | {column: 1})

    def giving(self, port, need_u):
        """The cases in which every governing line gives the port as much."""
        return [
            column for column, common, ruling in self.cases.values()
            if port in common and min(line.watts_u[port] for line in ruling) >= need_u
        ]

    def loads(self, port):
        """Loads on a port, each at most the most that a governing line gives it: columns split by that."""
        if port not in self.split:
            self.split[port] = self._split(port)
        return self.split[port]

    def _split(self, port):
        program = self.program
        whole = _loads(program, self.there, port)
        limits = {}
        for column, common, ruling in self.cases.values():
            if port in common:
                limits.setdefault(max(line.watts_u[port] for line in ruling), []).append(column)
        if not whole or max(whole.values()) <= min(limits):
            return whole
        parts, by_limit = {}, {limit: {} for limit in limits}
        for load in set(whole.values()):
            # They could be of any value from 0 to 1; with such columns HiGHS 1.16 calls some programs infeasible wrongly.
            first = program.column(len(limits))
            for k, limit in enumerate(limits):
                parts[first + k] = min(load, limit)
                by_limit[limit][first + k] = 1
            own = {i: -1 for i, other in whole.items() if other == load}
            program.row(0, 0, own | {first + k: 1 for k in range(len(limits))})
        for limit, terms in by_limit.items():
            program.row(-np.inf, 0, terms | dict.fromkeys(limits[limit], -1))
        return parts
