"""The documents of the library as types, one field a line.

Written by `generate.py` from the JSON Schemas in `fixtures/schemas/`; not to be edited.
Numbers without a point in a document are whole numbers in its dict, so a `float` here may
be an `int`. A field that is `NotRequired` may be absent.
"""

from typing import Literal, NotRequired, TypedDict


# By which of its two readings a plan is chosen.
Aim = Literal["promise", "best"]


_Cable = TypedDict("_Cable", {"from": NotRequired[str]})


class Cable(_Cable):
    """A cable in the bag."""

    # Gauge of the power conductors, AWG.
    awg: NotRequired[float]
    # How many of them; 1 where absent, in a `shop` as many as are wanted.
    count: NotRequired[int]
    # Whether it carries an e-marker; `false` where absent.
    e_marked: NotRequired[bool]
    # Length in metres.
    length_m: NotRequired[float]
    # Rated current in amperes; 1.8 where `to` is micro-B, 1 where mini-B, 3 for any other cable
    # of USB, e-marked or not; no limit for one with an `other:` end.
    max_a: NotRequired[float]
    # Rated voltage in volts; 21 where absent, 50 on an EPR cable.
    max_v: NotRequired[float]
    # Unique among the cables.
    name: str
    # Loop resistance in ohms, where known.
    ohm: NotRequired[float]
    # Price of one, in whatever currency all prices share.
    price: NotRequired[float]
    # The connector at the device; `usb-c` where absent.
    to: NotRequired[str]
    # Watts as printed: 60, 100 or 240.
    watts: NotRequired[Literal[60, 100, 240]]
    # Weight of one in grams, for `pack`.
    weight_g: NotRequired[float]


# Watts by port, for these ports in use together.
Combination = dict[str, float]


# Label text: one string, or several that are read as its lines.
Label = str | list[str]


# "all", or the names of the ports.
PoolPorts = Literal["all"] | list[str]


class Pool(TypedDict):
    """A limit that several ports of one charger share."""

    # The most that they may take together, in watts.
    max_w: float
    # Unique among the pools of its charger.
    name: str
    # The ports that share it.
    ports: PoolPorts


class Lead(TypedDict):
    """The fixed lead of a port: a cable that cannot be taken off."""

    # Gauge of the power conductors, AWG.
    awg: NotRequired[float]
    # Of no effect: a charger need not ask a lead of its own.
    e_marked: NotRequired[bool]
    # Length in metres.
    length_m: NotRequired[float]
    # Rated current in amperes; 1.8 where `to` is micro-B, 1 where mini-B, else 3.
    max_a: NotRequired[float]
    # Rated voltage in volts; 21 where absent.
    max_v: NotRequired[float]
    # Loop resistance in ohms, where known.
    ohm: NotRequired[float]
    # The connector at the device; `usb-c` where absent.
    to: NotRequired[str]
    # Watts as printed: 60, 100 or 240.
    watts: NotRequired[Literal[60, 100, 240]]


class Port(TypedDict):
    """One outlet of a charger."""

    # `usb-c` (where absent), `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    connector: NotRequired[str]
    # The charger's own fixed lead, which alone joins this port.
    lead: NotRequired[Lead]
    # The port's cap in watts; `pd_w`, else the largest offer, where absent.
    max_w: NotRequired[float]
    # Unique among the ports of its charger.
    name: str
    # The offers as printed.
    offers: NotRequired[Label]
    # The port's PD power in watts: shorthand for the fixed offers that the USB PD power rules
    # require of such a source.
    pd_w: NotRequired[float]


# What a berth takes from its charger's pools.
Reserve = Literal["contract", "offer"]


# Which fixed voltages a `usb-c` port keeps when it is held below its cap.
Voltages = Literal["kept", "rules"]


class Charger(TypedDict):
    """A charger: ports with caps, and the limits they share."""

    # The label's lines "these ports in use together: so many watts each".
    combinations: NotRequired[list[Combination]]
    # How many of them a `shop` has; as many as are wanted where absent.
    count: NotRequired[int]
    # What its ports give over what it takes from the socket, from 0.3 to 1; the legal minimum
    # for its rated output where absent.
    efficiency: NotRequired[float]
    # The mains frequency that it runs on, as printed: `50/60Hz`.
    input_hz: NotRequired[str | float]
    # The mains voltage that it runs on, as printed: `100-240V`.
    input_v: NotRequired[str | float]
    # Its whole label as printed: `C1 65W; C2 30W; C1+C2: 45W+20W; Total 65W`.
    label: NotRequired[Label]
    # A limit over all ports, in watts: a pool named `total`.
    max_w: NotRequired[float]
    # Unique among the chargers.
    name: str
    # Its mains plug, for a trip: `C`, `EF`, `G`.
    plug: NotRequired[str]
    # Further shared limits.
    pools: NotRequired[list[Pool]]
    # The ports, in the order in which ties are broken; at least one, or a `label`.
    ports: NotRequired[list[Port]]
    # Price, in whatever currency all candidates share.
    price: NotRequired[float]
    # What a berth takes from the pools; `contract` where absent.
    reserve: NotRequired[Reserve]
    # Power levels between which the ports step when power is shared, in watts.
    tiers_w: NotRequired[list[float]]
    # Which fixed voltages a `usb-c` port keeps when it is held below its cap.
    voltages: NotRequired[Voltages]
    # Weight in grams.
    weight_g: NotRequired[float]


# A number, or [low, high] where it is not known exactly.
Span = float | list[float]


class Device(TypedDict):
    """A device to charge."""

    # What it accepts, as printed.
    accepts: NotRequired[Label]
    # Battery charge in milliampere-hours at `battery_v`.
    battery_mah: NotRequired[float]
    # Cell voltage for `battery_mah`; by kind, else 3.7, where absent (common practice).
    battery_v: NotRequired[float]
    # Battery energy in watt-hours; a pair where it is known only between two values.
    battery_wh: NotRequired[Span]
    # Pins the device to a cable.
    cable: NotRequired[str]
    # How many of them; 1 where absent.
    count: NotRequired[int]
    # The charging curve: points (state of charge in percent, watts at the inlet).
    draw_w: NotRequired[list[list[float]]]
    # Inlet to battery, from 0.3 to 1; 0.88 where absent.
    efficiency: NotRequired[float]
    # It is charged on one of so many nights; on every night where absent.
    every_nights: NotRequired[int]
    # The inlet's connector; by kind, else `usb-c`, where absent.
    inlet: NotRequired[str]
    # What kind of thing it is: `laptop`, `tablet`, `phone`.
    kind: NotRequired[Literal["phone", "smartphone", "mobile", "small phone", "old phone", "tablet", "score tablet", "slate", "laptop", "notebook", "large laptop", "workstation", "earbuds", "earbud case", "earphones", "headphones", "headset", "watch", "smartwatch", "tracker", "game console", "handheld console", "handheld computer", "handheld pc", "e-reader", "reader", "camera", "mirrorless", "reflex camera", "action camera", "compact camera", "camcorder", "drone battery", "toothbrush", "shaver", "trimmer", "speaker", "hotspot", "mobile router", "power bank", "battery pack"]]
    # The most it draws at the port, in watts; `pd_w`, else its largest entry.
    max_w: NotRequired[float]
    # The least power at the port with which it charges at all, in watts; 0 where absent.
    min_w: NotRequired[float]
    # Unique among the devices, counts expanded.
    name: str
    # Shorthand, in watts: accepts the fixed voltages that a source of this power has.
    pd_w: NotRequired[float]
    # Pins the device to a port: `C1`, or `CHARGER/C1`.
    port: NotRequired[str]
    # 1 (must be charged), 2 (where absent), 3 (if there is room).
    priority: NotRequired[int]
    # How far from the charger it lies, in metres; 0 where absent.
    reach_m: NotRequired[float]
    # When it must be full, in hours; the setup's `session_h` where absent.
    ready_by_h: NotRequired[float]
    # Watts at the inlet that the running device uses itself; 0 where absent.
    running_w: NotRequired[float]
    # The names of the sessions in which it is at hand; all where absent, never where empty.
    sessions: NotRequired[list[str]]
    # State of charge at the start, in percent; 0 where absent.
    start_pct: NotRequired[Span]
    # State of charge that counts as full, in percent; 100 where absent.
    target_pct: NotRequired[float]
    # Amperes that it is known to take at 5 V from a `usb-a` port, where it accepts nothing
    # else.
    usb_a_a: NotRequired[float]


class Session(TypedDict):
    """A stretch of time in which nobody moves a plug; at its start somebody may."""

    # How long it lasts, in hours.
    hours: float
    # Unique among the sessions.
    name: str
    # Whether plugs can be swapped at its start; `true` where absent.
    swap: NotRequired[bool]


class Adapter(TypedDict):
    """A plug adapter: another shape, the same voltage."""

    # Its label's lines "these ports in use together: so many watts each".
    combinations: NotRequired[list[Combination]]
    # How many of them; 1 where absent, in a `shop` as many as are wanted.
    count: NotRequired[int]
    # Whether the earth is led through; `false` where absent.
    earthed: NotRequired[bool]
    # Its fuse, in amperes, where it has one.
    fuse_a: NotRequired[float]
    # The mains frequency for them, as printed: `50/60Hz`.
    input_hz: NotRequired[str | float]
    # The mains voltage that its USB ports are supplied from, as printed: `100-240V`.
    input_v: NotRequired[str | float]
    # The plugs that it has for the wall: several where they can be chosen.
    makes: list[str]
    # Rated current in amperes; where absent, that of its plug.
    max_a: NotRequired[float]
    # A limit over its USB ports, in watts.
    max_w: NotRequired[float]
    # Unique among the adapters and the chargers.
    name: str
    # Further limits that its USB ports share.
    pools: NotRequired[list[Pool]]
    # USB ports of its own, as a charger's.
    ports: NotRequired[list[Port]]
    # Price of one, in whatever currency all prices share.
    price: NotRequired[float]
    # The plugs that go into it, one at a time; none where it only has USB ports.
    takes: NotRequired[list[str]]
    # Weight in grams; 0 where absent.
    weight_g: NotRequired[float]


# What an appliance does with its power: converters are made for some kinds only.
Load = Literal["heating", "motor", "electronic"]


class Converter(TypedDict):
    """A voltage converter or transformer."""

    # Whether the earth is led through; `false` where absent.
    earthed: NotRequired[bool]
    # The mains voltages that it runs on, as printed: `100-127V`.
    from_v: str | float
    # The kinds of load that it is made for.
    kinds: list[Load]
    # The most that it gives, in watts.
    max_w: float
    # Unique among the converters.
    name: str
    # Its plug.
    plug: str
    # Its price, in whatever currency all prices share.
    price: NotRequired[float]
    # The plugs that go into it.
    takes: list[str]
    # The voltage that it makes of them, in volts.
    to_v: float
    # Weight in grams; 0 where absent.
    weight_g: NotRequired[float]


class Shop(TypedDict):
    """What is for sale."""

    # Plug adapters.
    adapters: NotRequired[list[Adapter]]
    # Cables, by kind.
    cables: NotRequired[list[Cable]]
    # Chargers, each as one of a setup.
    chargers: NotRequired[list[Charger]]
    # Voltage converters, of each of which one is enough.
    converters: NotRequired[list[Converter]]


class Appliance(TypedDict):
    """An appliance that runs straight from the mains."""

    # The mains frequency, as printed: `50/60Hz`.
    input_hz: NotRequired[str | float]
    # The mains voltage, as printed: `220-240V`.
    input_v: str | float
    # What it does with the power.
    kind: Load
    # The most that it draws, in watts.
    max_w: float
    # Unique among the appliances.
    name: str
    # Whether it must have earth (class I); `false` where absent.
    needs_earth: NotRequired[bool]
    # Its plug.
    plug: str


# Where a battery is, as the rules of the air tell them apart.
BatteryKind = Literal["installed", "spare", "power-bank", "bag", "bag-fixed"]


class Battery(TypedDict):
    """A battery that flies."""

    # Rated charge in milliampere-hours at `battery_v`.
    battery_mah: NotRequired[float]
    # The cells' voltage for `battery_mah`, never the output's; 3.7 where absent (common
    # practice).
    battery_v: NotRequired[float]
    # Rated energy in watt-hours, as printed.
    battery_wh: NotRequired[float]
    # How many of them, over all travellers; 1 where absent.
    count: NotRequired[int]
    # Where it is: in a device, loose, in a power bank, or in a bag.
    kind: BatteryKind
    # Grams of lithium in each, where it is lithium metal, which is not charged again: then it
    # needs no watt-hours.
    lithium_g: NotRequired[float]
    # Whether it is of a portable medical device; `false` where absent.
    medical: NotRequired[bool]
    # Unique among the batteries.
    name: str


class Stop(TypedDict):
    """One place on the route."""

    # The country's two letters (ISO 3166-1 alpha-2).
    country: str
    # The frequencies there, in hertz, where known better than by the country.
    frequencies_hz: NotRequired[list[float]]
    # Unique among the stops.
    name: str
    # Nights spent there; 1 where absent.
    nights: NotRequired[int]
    # Outlets that can be used at the same time; where absent, as many as are needed.
    outlets: NotRequired[int]
    # The night's length in hours; the setup's `session_h` where absent.
    session_h: NotRequired[float]
    # The kinds of sockets there, where known better than by the country.
    sockets: NotRequired[list[str]]
    # The nominal voltages there, in volts, where known better than by the country.
    voltages_v: NotRequired[list[float]]


class TripDocument(TypedDict):
    """A route, and what is in the bag beside the setup's chargers, cables and devices."""

    # The plug adapters to choose from.
    adapters: NotRequired[list[Adapter]]
    # What runs straight from the mains.
    appliances: NotRequired[list[Appliance]]
    # The batteries that fly.
    batteries: NotRequired[list[Battery]]
    # The voltage converters to choose from.
    converters: NotRequired[list[Converter]]
    # Plugs of things that are not listed, to which adapters are to be found as well.
    plugs: NotRequired[list[str]]
    # The stops, in the order of the route.
    stops: list[Stop]
    # How many people fly: rules of the air count per person. 1 where absent.
    travellers: NotRequired[int]


_Setup = TypedDict("_Setup", {"$schema": NotRequired[str]})


class Setup(_Setup):
    """One session: the chargers at hand, the cables in the bag, the devices to fill."""

    # By which of its two readings a plan is chosen; `promise` where absent.
    aim: NotRequired[Aim]
    # The cables in the bag.
    cables: NotRequired[list[Cable]]
    # The chargers, in the order in which ties are broken.
    chargers: NotRequired[list[Charger]]
    # The devices to charge.
    devices: NotRequired[list[Device]]
    # A name for people.
    name: NotRequired[str]
    # The nights of its calendar where there is no trip; as many as hold every `every_nights`
    # whole, at most 14, where absent.
    nights: NotRequired[int]
    # Default of every device's `ready_by_h`, in hours.
    session_h: NotRequired[float]
    # The sessions of a rota, one after the other without gaps: plugs can be swapped only where
    # one starts.
    sessions: NotRequired[list[Session]]
    # What is for sale, for `pack`; other questions pass it over.
    shop: NotRequired[Shop]
    # The time of day at which the first session, or the night, begins: `22:30`.
    start: NotRequired[str]
    # By how much each place in the list of times may exceed its own least, in hours; 0.05 where
    # absent.
    tolerance_h: NotRequired[float]
    # Where it all goes, for `trip`; other questions pass it over.
    trip: NotRequired[TripDocument]
    # Version of the document's form; 1 where absent.
    version: NotRequired[int]


# What is assumed: a number, or a connector.
AssumedValue = float | str


class Assumed(TypedDict):
    """What the kind of a device stood in for."""

    # The device, with its number where there are several of it; of what a list leaves open, the
    # thing that its line is of.
    device: str
    # The field of the setup document that was not given; `list` for what a list leaves open,
    # which is told in words.
    field: str
    # The high end of what is usual.
    high: NotRequired[float]
    # The low end of what is usual.
    low: NotRequired[float]
    # Where that comes from.
    source: str
    # What is taken for it; text for a connector.
    value: AssumedValue


# What of a plan a reason is about.
Shortfall = Literal["unserved", "late", "uncertain", "longest", "wish"]


# What kind of limit one is.
LimitKind = Literal["device", "pool", "combinations", "ports", "cables"]


class BindingLimit(TypedDict):
    """One of the limits of a reason."""

    # Of a device: its least time by the aim where no limit is shared, in hours; absent where
    # that is never.
    alone_h: NotRequired[float]
    # Of a pool: what the devices of the reason, each on its most modest place there that is
    # good enough, hold at best or can draw where it is about what is certain, together, in
    # watts.
    asked_w: NotRequired[float]
    # Of a device: the time by which it cannot be full together with the rest, in hours; absent
    # where any time would do.
    by_h: NotRequired[float]
    # Of cables: the names of those that are alike.
    cables: NotRequired[list[str]]
    # Of a pool or a table: the charger.
    charger: NotRequired[str]
    # Of ports: their connector.
    connector: NotRequired[str]
    # Of ports or cables: how many there are.
    count: NotRequired[int]
    # Of a device: its name.
    device: NotRequired[str]
    # Of a device without `by_h`: true where it must be full at some time; absent where a berth
    # is all that is asked for it.
    full: NotRequired[bool]
    # What kind of limit it is; which fields follow depends on it.
    limit: LimitKind
    # Of a pool: its limit, in watts.
    max_w: NotRequired[float]
    # Of a pool: its name.
    pool: NotRequired[str]


class Because(TypedDict):
    """A least reason: limits that together forbid a plan that is better in one thing, while
    without any one of them it could be had."""

    # What it is about.
    about: Shortfall
    # Of what devices of priority 3 are short of in time: the devices that come before them and
    # keep the times that they have.
    beside: NotRequired[list[str]]
    # Whom it is about: those without a berth, late, or not certain; of the longest time those
    # that take it, within the tolerance.
    devices: list[str]
    # Whether each of them is known to be needed.
    least: bool
    # The limits, first the devices among them.
    limits: list[BindingLimit]


# The limit whose removal alone would shorten a berth's time the most.
LimitedBy = Literal["pool", "combination", "port", "cable", "device"]


class Berth(TypedDict):
    """One device's place."""

    # Amperes of the contract.
    amps: float
    # The cable.
    cable: str
    # The charger.
    charger: str
    # The device, with its number where there are several of it.
    device: str
    # Time to full at best, in hours.
    hours: float
    # What arrives at the device, in watts.
    inlet_w: float
    # Whether that is later than it must be.
    late: bool
    # What keeps it from being full sooner.
    limited_by: LimitedBy
    # The port, as the charger names it.
    port: str
    # Volts × amperes.
    port_w: float
    # Time to full that is certain, in hours; absent where it is never.
    promised_h: NotRequired[float]
    # Volts × amperes of the contract that is certain, in watts; absent where none is.
    promised_w: NotRequired[float]
    # The power level at which the port is held, in watts.
    tier_w: float
    # Volts of the contract.
    volts: float


# A level of the plan's order, with the unit in which it is told.
BoundedLevel = Literal[
    "unserved",
    "missing",
    "late",
    "longest",
    "time",
    "moves",
    "swaps",
    "hours",
    "watts",
]


class LevelBound(TypedDict):
    """A level that is open: no answer that is as good in all levels before it has less of it
    than the bound."""

    # Proven: none that is as good before has less.
    bound: float
    # Which level.
    level: BoundedLevel
    # Of a time: its place in its list, from 1, the longest first.
    place: NotRequired[int]
    # Of which priority, where the level goes by it; of a time 3, where it is of the list of
    # those of priority 3.
    priority: NotRequired[int]
    # What the answer has; absent of a time that is never.
    value: NotRequired[float]


class Place(TypedDict):
    """A port and a cable."""

    # The cable.
    cable: str
    # The charger.
    charger: str
    # The port, as the charger names it.
    port: str


_Move = TypedDict("_Move", {"from": Place})


class Move(_Move):
    """A device that is on another port, or has another cable, than in the plan at hand."""

    # The device.
    device: str
    # Where it is now; absent where it has no berth any more.
    to: NotRequired[Place]


class PoolUse(TypedDict):
    """What is taken from a pool."""

    # The charger.
    charger: str
    # Watts allowed.
    max_w: float
    # The pool.
    pool: str
    # Watts taken, by the charger's `reserve`.
    used_w: float


class Program(TypedDict):
    """The program that wrote a document."""

    # Its name.
    name: str
    # Its version.
    version: str


# Up to where in the plan's order something is meant.
Level = Literal["longest", "times", "moves", "everything"]


# Whether the search ended with a proof.
Status = Literal["optimal", "feasible"]


class ReasonPinnedImpossible(TypedDict):
    """It is pinned onto a place that can never charge it."""

    # Why it cannot be used.
    because: "Reason"
    kind: Literal["pinned-impossible"]
    # What the pin names.
    pin: str


class ReasonNoCableForInlet(TypedDict):
    """No cable in the bag ends in its inlet."""

    # The inlet's connector.
    inlet: str
    kind: Literal["no-cable-for-inlet"]


class ReasonNoCableReaches(TypedDict):
    """Cables fit its inlet, but none of them is long enough."""

    kind: Literal["no-cable-reaches"]
    # The longest cable that fits it, in metres.
    longest_m: float
    # How far from the charger it lies, in metres.
    reach_m: float


class ReasonNoPortForCable(TypedDict):
    """Cables fit and reach, but no port takes their other end."""

    # The connectors at the charger's end of those cables.
    connectors: list[str]
    kind: Literal["no-port-for-cable"]


class ReasonNoCommonSupply(TypedDict):
    """Joined, but no offer of any port, as far as the cables let it through, meets what it
    accepts."""

    kind: Literal["no-common-supply"]


class ReasonBelowMinimum(TypedDict):
    """It negotiates, but never gets the least it needs."""

    # The most that any port gives it, in watts.
    best_w: float
    kind: Literal["below-minimum"]
    # The least it needs, in watts.
    min_w: float


class ReasonNeverFull(TypedDict):
    """It negotiates, but the battery never reaches its target."""

    # The most that arrives at its inlet, in watts.
    best_w: float
    kind: Literal["never-full"]


class ReasonFewerPorts(TypedDict):
    """Every place that suits it is needed by devices that come before it."""

    # Devices that compete for those places, itself included.
    devices: int
    kind: Literal["fewer-ports"]
    # Ports that suit any of them.
    ports: int


class ReasonFewerCables(TypedDict):
    """Ports are free that suit it, but every cable that would join it is in use."""

    # The cables that would join it.
    cables: list[str]
    kind: Literal["fewer-cables"]


class ReasonPoolTooSmall(TypedDict):
    """A port is free that suits it, but a pool has not enough left."""

    # The charger.
    charger: str
    kind: Literal["pool-too-small"]
    # What is left of it, in watts.
    left_w: float
    # The least that the device would take, in watts.
    needs_w: float
    # The pool.
    pool: str


class ReasonNoCombination(TypedDict):
    """A port is free that suits it, but no line of the charger's table allows it beside those
    in use."""

    # The charger.
    charger: str
    kind: Literal["no-combination"]


class ReasonNeverAtHand(TypedDict):
    """In a rota: it is at hand in no session at whose start plugs can be swapped."""

    kind: Literal["never-at-hand"]


class ReasonSearchStopped(TypedDict):
    """There is a place for it beside the others: a limit of the call stopped the search before
    it was used."""

    kind: Literal["search-stopped"]


class ReasonNoRoom(TypedDict):
    """Places are free that suit it one by one; together with the others none fits."""

    kind: Literal["no-room"]


# Why a device has no berth.
Reason = (
    ReasonPinnedImpossible
    | ReasonNoCableForInlet
    | ReasonNoCableReaches
    | ReasonNoPortForCable
    | ReasonNoCommonSupply
    | ReasonBelowMinimum
    | ReasonNeverFull
    | ReasonFewerPorts
    | ReasonFewerCables
    | ReasonPoolTooSmall
    | ReasonNoCombination
    | ReasonNeverAtHand
    | ReasonSearchStopped
    | ReasonNoRoom
)


class WithoutBerth(TypedDict):
    """A device without a berth."""

    # Why, as data.
    cause: Reason
    # The device.
    device: str
    # Why, in a sentence for people; [`Reason`] has the same as data.
    reason: str


_Plan = TypedDict("_Plan", {"$schema": NotRequired[str]})


class Plan(_Plan):
    """The answer to a setup, as data."""

    # By which of its two readings it was chosen: what is bounded and counted as proven is meant
    # so.
    aim: Aim
    # What the kinds of devices stood in for.
    assumed: list[Assumed]
    # Why it is no better, thing by thing; absent where nobody asked (`why`).
    because: NotRequired[list[Because]]
    # The berths, in the order of the devices.
    berths: list[Berth]
    # A proven bound on the longest time among plans with the shown numbers unserved and late;
    # absent unless these equal their own bounds.
    bound_h: NotRequired[float]
    # Proven least number late; present where `status` is `feasible`.
    bound_late: NotRequired[int]
    # Proven least number unserved; present where `status` is `feasible`.
    bound_unserved: NotRequired[int]
    # What is proven of the levels of the plan's order that a limit left open, in that order;
    # absent where none is, the listed order aside, or none more was wanted.
    bounds: NotRequired[list[LevelBound]]
    # What to keep in mind, each once.
    cautions: list[str]
    # Devices that are full later than they must be, at best.
    late: int
    # The longest time to full at best, in hours; 0 where nothing has a berth.
    longest_h: float
    # Watt-hours missing in devices without a berth.
    missing_wh: float
    # Devices that are elsewhere than in the plan that this one is to stay near, in the order of
    # the devices; absent where nobody asked (`assign_near`).
    moves: NotRequired[list[Move]]
    # Every pool of every charger, with what is taken from it.
    pools: list[PoolUse]
    # The program that wrote it; absent where the plan is a part of another document.
    program: NotRequired[Program]
    # Devices that are not promised to be full in time.
    promised_late: int
    # The longest time to full that is promised whatever rule the chargers follow, in hours;
    # absent where that of some berth is never.
    promised_longest_h: NotRequired[float]
    # The longest time if the chargers renegotiate as devices need less, in hours; absent where
    # nobody asked (`reshared`).
    reshared_h: NotRequired[float]
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside: that of a proof.
    setup_sha256: NotRequired[str]
    # Whether the plan is proven best.
    status: Status
    # Devices that need a berth and have none.
    unserved: int
    # Version of the document's form.
    version: int
    # Devices that need a berth and have none, with the reason.
    without_berth: list[WithoutBerth]


class RotaBerth(TypedDict):
    """One device's place, and the sessions that it takes."""

    # Amperes of the contract.
    amps: float
    # The cable.
    cable: str
    # The charger.
    charger: str
    # The device, with its number where there are several of it.
    device: str
    # When the device is full, or would be if it could stay: hours from the start of the first
    # session.
    finish_h: float
    # Time to full at best, in hours.
    hours: float
    # What arrives at the device, in watts.
    inlet_w: float
    # Whether that is later than it must be.
    late: bool
    # What keeps it from being full sooner.
    limited_by: LimitedBy
    # The port, as the charger names it.
    port: str
    # Volts × amperes.
    port_w: float
    # When it is surely full, in hours from the start of the first session; absent where that is
    # never.
    promised_finish_h: NotRequired[float]
    # Time to full that is certain, in hours; absent where it is never.
    promised_h: NotRequired[float]
    # Volts × amperes of the contract that is certain, in watts; absent where none is.
    promised_w: NotRequired[float]
    # The session with which it starts.
    session: str
    # The power level at which the port is held, in watts.
    tier_w: float
    # The session with whose end it ends; it may be the same.
    until_session: str
    # Volts of the contract.
    volts: float


class RotaPoolUse(TypedDict):
    """What is taken from a pool in one session."""

    # The charger.
    charger: str
    # Watts allowed.
    max_w: float
    # The pool.
    pool: str
    # The session.
    session: str
    # Watts taken, by the charger's `reserve`.
    used_w: float


class RotaSession(TypedDict):
    """A session of a rota."""

    # When it ends, in hours from the start of the first.
    end_h: float
    # As the setup names it.
    name: str
    # When it starts, in hours from the start of the first.
    start_h: float


_Rota = TypedDict("_Rota", {"$schema": NotRequired[str]})


class Rota(_Rota):
    """The answer to a setup with sessions, as data."""

    # By which of its two readings it was chosen.
    aim: Aim
    # What the kinds of devices stood in for.
    assumed: list[Assumed]
    # Why it is no better, thing by thing; absent where nobody asked.
    because: NotRequired[list[Because]]
    # The berths, in the order of the devices.
    berths: list[RotaBerth]
    # A proven bound on the longest finishing time among rotas with the shown numbers unserved
    # and late; absent unless these equal their own bounds.
    bound_h: NotRequired[float]
    # Proven least number late; present where `status` is `feasible`.
    bound_late: NotRequired[int]
    # Proven least number unserved; present where `status` is `feasible`.
    bound_unserved: NotRequired[int]
    # What is proven of the levels of the order that a limit left open, in that order; absent
    # where none is, the listed order aside, or none more was wanted.
    bounds: NotRequired[list[LevelBound]]
    # What to keep in mind, each once.
    cautions: list[str]
    # Watt-hours held: by berth, the contract's watts for the hours of the sessions taken.
    held_wh: float
    # Devices that are full later than they must be, or whose berth ends before they are full.
    late: int
    # The longest finishing time at best, in hours from the start of the first session; 0 where
    # nothing has a berth.
    longest_h: float
    # Watt-hours missing in devices without a berth.
    missing_wh: float
    # Session by session, every pool of every charger, with what is taken from it.
    pools: list[RotaPoolUse]
    # The program that wrote it; absent where the rota is a part of another document.
    program: NotRequired[Program]
    # Devices that are not promised to be full in time, and before their berth ends.
    promised_late: int
    # The longest finishing time that is promised whatever rule the chargers follow; absent
    # where that of some berth is never.
    promised_longest_h: NotRequired[float]
    # When the last device is full if the chargers renegotiate as devices need less, in hours;
    # absent where nobody asked, or where the plug of some device is pulled before it is full.
    reshared_h: NotRequired[float]
    # The sessions, in order.
    sessions: list[RotaSession]
    # The last level of the order that is proven; present where `status` is `feasible` and there
    # is one.
    settled: NotRequired[Level]
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: NotRequired[str]
    # The time of day at which the first session begins, `22:30`, where the setup says it.
    start: NotRequired[str]
    # Whether the rota is proven best.
    status: Status
    # Berths that start after the first session.
    swaps: int
    # Devices that need a berth and have none.
    unserved: int
    # Version of the document's form.
    version: int
    # Devices that need a berth and have none, with the reason.
    without_berth: list[WithoutBerth]


# A level of the plan's order.
Objective = Literal["unserved", "missing", "late", "times", "hours", "watts"]


class Behind(TypedDict):
    """How far a way is from the best plan, level by level of the plan's order."""

    # Devices late, by priority.
    late_by_priority: list[int]
    # The first level in which it is worse than the best plan; absent where it is not worse.
    level: NotRequired[Objective]
    # Watt-hours missing in them.
    missing_wh: float
    # Hours, at each place of the sorted times, as far as both have one; none, in a document
    # null, where just one of the two is never.
    times_h: list[float | None]
    # Total watts.
    total_w: float
    # Devices without a berth, by priority.
    unserved_by_priority: list[int]
    # Hours at best, weighted by priority.
    weighted_h: float


class ScoredBerth(TypedDict):
    """One device as it is plugged in."""

    # Amperes.
    amps: NotRequired[float]
    # Its time at best in the best plan, in hours; absent where it has no berth there.
    best_h: NotRequired[float]
    # Its time that is certain in the best plan, in hours; absent where it has no berth there,
    # or where it is never.
    best_promised_h: NotRequired[float]
    # The cable: as given, else the best; absent where none joins the two.
    cable: NotRequired[str]
    # The charger.
    charger: str
    # The device.
    device: str
    # Time to full at best, in hours; absent where it never gets full.
    hours: NotRequired[float]
    # What arrives at the device, in watts.
    inlet_w: NotRequired[float]
    # Whether that is later than it must be.
    late: bool
    # The port.
    port: str
    # Volts × amperes.
    port_w: NotRequired[float]
    # Time to full that is certain beside the others, in hours; absent where it is never.
    promised_h: NotRequired[float]
    # The power level at which the port is held, in watts.
    tier_w: NotRequired[float]
    # Volts.
    volts: NotRequired[float]


class Reached(TypedDict):
    """What a plan reached, and whether it is proven that no plan reaches more."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float


class BrokenRuleDeviceTwice(TypedDict):
    """A device has at most one berth."""

    # The same in a sentence for people.
    text: str
    # How many it has.
    berths: int
    # The device.
    device: str
    rule: Literal["device-twice"]


class BrokenRulePortTwice(TypedDict):
    """A port has at most one device."""

    # The same in a sentence for people.
    text: str
    # The charger.
    charger: str
    # The devices on it.
    devices: list[str]
    # The port.
    port: str
    rule: Literal["port-twice"]


class BrokenRuleTooFewCables(TypedDict):
    """A cable is used no more often than there are."""

    # The same in a sentence for people.
    text: str
    # The cable.
    cable: str
    # How many there are.
    count: int
    rule: Literal["too-few-cables"]
    # How often it is used.
    used: int


class BrokenRulePortPin(TypedDict):
    """A device pinned to a port is on it."""

    # The same in a sentence for people.
    text: str
    # The device.
    device: str
    # Its pin, `CHARGER/PORT`.
    pinned: str
    # Where it is.
    port: str
    rule: Literal["port-pin"]


class BrokenRuleCablePin(TypedDict):
    """A device pinned to a cable hangs on it."""

    # The same in a sentence for people.
    text: str
    # What it hangs on.
    cable: str
    # The device.
    device: str
    # Its pin.
    pinned: str
    rule: Literal["cable-pin"]


class BrokenRuleNotJoined(TypedDict):
    """A cable joins a port and a device when its ends are their connectors."""

    # The same in a sentence for people.
    text: str
    # The cable.
    cable: str
    # The device.
    device: str
    # The cable's ends: at the charger, at the device.
    ends: list[str]
    # The port's connector and the device's inlet.
    needed: list[str]
    rule: Literal["not-joined"]


class BrokenRuleTooShort(TypedDict):
    """A cable is at least as long as the device lies away."""

    # The same in a sentence for people.
    text: str
    # The cable.
    cable: str
    # The device.
    device: str
    # How long it is, in metres; 0 where that is not known.
    length_m: float
    # How far the device lies away, in metres.
    reach_m: float
    rule: Literal["too-short"]


class BrokenRuleNoCable(TypedDict):
    """No cable was named, and none in the bag joins the two."""

    # The same in a sentence for people.
    text: str
    # The device.
    device: str
    # The port's connector and the device's inlet.
    needed: list[str]
    rule: Literal["no-cable"]


class BrokenRuleNoSuchContract(TypedDict):
    """A contract is one that port, cable and device agree on."""

    # The same in a sentence for people.
    text: str
    # The amperes given.
    amps: float
    # The device.
    device: str
    rule: Literal["no-such-contract"]
    # Volts and amperes of the contracts that there are.
    there_is: list[list[float]]
    # The volts given.
    volts: float


class BrokenRuleNoCommonSupply(TypedDict):
    """Port, cable and device agree on nothing."""

    # The same in a sentence for people.
    text: str
    # The cable.
    cable: str
    # The charger.
    charger: str
    # The device.
    device: str
    # The port.
    port: str
    rule: Literal["no-common-supply"]


class BrokenRuleBelowMinimum(TypedDict):
    """What arrives is at least what the device needs."""

    # The same in a sentence for people.
    text: str
    # The device.
    device: str
    # The least it needs of a port, in watts.
    min_w: float
    # The most that the port gives it, in watts.
    port_w: float
    rule: Literal["below-minimum"]


class BrokenRuleNeverFull(TypedDict):
    """A device gets full in some time."""

    # The same in a sentence for people.
    text: str
    # The device.
    device: str
    # What arrives, in watts.
    inlet_w: float
    rule: Literal["never-full"]


class BrokenRulePool(TypedDict):
    """What a pool's ports hold is at most its limit."""

    # The same in a sentence for people.
    text: str
    # The charger.
    charger: str
    # Watts allowed.
    max_w: float
    # The pool.
    pool: str
    rule: Literal["pool"]
    # Watts held, by the charger's `reserve`.
    used_w: float


class BrokenRuleNoCombination(TypedDict):
    """Some line of a charger's combinations governs the ports in use."""

    # The same in a sentence for people.
    text: str
    # The charger.
    charger: str
    # The ports in use.
    ports: list[str]
    rule: Literal["no-combination"]


class BrokenRuleAboveCombination(TypedDict):
    """A port in use has a tier of at most the watts of the line that governs; where several
    govern and none is respected, of the one that the fewest ports are above."""

    # The same in a sentence for people.
    text: str
    # The charger.
    charger: str
    # The line: ports and watts.
    line_w: list[list[str | float]]
    # The line's watts for it.
    max_w: float
    # The port.
    port: str
    rule: Literal["above-combination"]
    # Its tier, in watts.
    tier_w: float


# One rule that is broken.
BrokenRule = (
    BrokenRuleDeviceTwice
    | BrokenRulePortTwice
    | BrokenRuleTooFewCables
    | BrokenRulePortPin
    | BrokenRuleCablePin
    | BrokenRuleNotJoined
    | BrokenRuleTooShort
    | BrokenRuleNoCable
    | BrokenRuleNoSuchContract
    | BrokenRuleNoCommonSupply
    | BrokenRuleBelowMinimum
    | BrokenRuleNeverFull
    | BrokenRulePool
    | BrokenRuleNoCombination
    | BrokenRuleAboveCombination
)


class ObjectiveValue(TypedDict):
    """The levels of the plan's order, as numbers: times and what is late are those that are
    promised, or those at best, by the setup's aim."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float


_Score = TypedDict("_Score", {"$schema": NotRequired[str]})


class Score(_Score):
    """A way of plugging in, held against the rules and against the best plan."""

    # Yours less the best, level by level.
    behind: Behind
    # What is plugged in, in the order of the devices.
    berths: list[ScoredBerth]
    # Where the best plan stands, and whether it is proven.
    best: Reached
    # The same of the best plan.
    best_reshared_h: NotRequired[float]
    # The rules that are broken, one by one.
    broken: list[BrokenRule]
    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # Whether no rule is broken.
    legal: bool
    # The program that wrote it.
    program: Program
    # The longest time of this way if the chargers renegotiate as devices need less, in hours;
    # absent where nobody asked or a rule is broken.
    reshared_h: NotRequired[float]
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # Version of the document's form.
    version: int
    # The devices that need a berth and get no charge, in the order of the devices.
    without_berth: list[str]
    # Where this way stands in the plan's order.
    yours: ObjectiveValue


class ImprovementPool(TypedDict):
    """A pool gets another limit."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["pool"]
    # The charger.
    charger: str
    # Its limit now, in watts.
    from_w: float
    # The pool.
    name: str
    # The other limit, in watts; absent: none at all.
    to_w: NotRequired[float]


class ImprovementPort(TypedDict):
    """A port supplies what `like` does: its offers, its PD power, its cap."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["port"]
    # The charger.
    charger: str
    # Its cap now, in watts.
    from_w: float
    # The port that it becomes like.
    like: str
    # The port.
    name: str
    # The cap of `like`, in watts.
    to_w: float


class ImprovementPortAdded(TypedDict):
    """A charger gets one more port like `like`, in its pools too, and in combinations wherever
    that one stands, with the same watts."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["port-added"]
    # The charger.
    charger: str
    # The port that it is like.
    like: str
    # The new port's name.
    name: str
    # Its cap, in watts.
    to_w: float


class ImprovementCableAdded(TypedDict):
    """One more cable in the bag: USB-C to USB-C, e-marked, 5 A, 50 V (240 W)."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["cable-added"]
    # Its length, in metres: in an answer as far as the farthest device with a USB-C inlet.
    length_m: float
    # The new cable's name.
    name: str


class ImprovementPin(TypedDict):
    """A device loses a pin, or both where it has two."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    # The cable it is no longer pinned to.
    cable: NotRequired[str]
    change: Literal["pin"]
    # The device, with its number where there are several of it.
    name: str
    # The port it is no longer pinned to, as the setup writes it.
    port: NotRequired[str]


class ImprovementSwap(TypedDict):
    """Somebody swaps plugs once, at half time: a rota of two sessions of equal length,
    everything at hand in both."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    # When, in hours from the start.
    at_h: float
    change: Literal["swap"]


class ImprovementCombinations(TypedDict):
    """A charger has no table of combinations any more; its pools stay."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["combinations"]
    # The charger.
    name: str


class ImprovementDeviceLess(TypedDict):
    """A device stays away; of `wish` alone."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["device-less"]
    # The device, with its number where there are several of it.
    name: str


class ImprovementPriority(TypedDict):
    """Devices get another priority; of `wish` alone."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["priority"]
    # The devices, with their numbers where there are several of one.
    names: list[str]
    # The priority that they get.
    to: int


_ImprovementStart = TypedDict("_ImprovementStart", {"from": str})


class ImprovementStart(_ImprovementStart):
    """Charging begins earlier, and every deadline keeps its time of day, as does a swap; of
    `wish` alone."""

    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float
    change: Literal["start"]
    # How much earlier that is, in hours.
    earlier_h: float
    # The other time of day.
    to: str


# A change that helps, and what is reached with it.
Improvement = (
    ImprovementPool
    | ImprovementPort
    | ImprovementPortAdded
    | ImprovementCableAdded
    | ImprovementPin
    | ImprovementSwap
    | ImprovementCombinations
    | ImprovementDeviceLess
    | ImprovementPriority
    | ImprovementStart
)


class ChangePool(TypedDict):
    """A pool gets another limit."""

    change: Literal["pool"]
    # The charger.
    charger: str
    # Its limit now, in watts.
    from_w: float
    # The pool.
    name: str
    # The other limit, in watts; absent: none at all.
    to_w: NotRequired[float]


class ChangePort(TypedDict):
    """A port supplies what `like` does: its offers, its PD power, its cap."""

    change: Literal["port"]
    # The charger.
    charger: str
    # Its cap now, in watts.
    from_w: float
    # The port that it becomes like.
    like: str
    # The port.
    name: str
    # The cap of `like`, in watts.
    to_w: float


class ChangePortAdded(TypedDict):
    """A charger gets one more port like `like`, in its pools too, and in combinations wherever
    that one stands, with the same watts."""

    change: Literal["port-added"]
    # The charger.
    charger: str
    # The port that it is like.
    like: str
    # The new port's name.
    name: str
    # Its cap, in watts.
    to_w: float


class ChangeCableAdded(TypedDict):
    """One more cable in the bag: USB-C to USB-C, e-marked, 5 A, 50 V (240 W)."""

    change: Literal["cable-added"]
    # Its length, in metres: in an answer as far as the farthest device with a USB-C inlet.
    length_m: float
    # The new cable's name.
    name: str


class ChangePin(TypedDict):
    """A device loses a pin, or both where it has two."""

    # The cable it is no longer pinned to.
    cable: NotRequired[str]
    change: Literal["pin"]
    # The device, with its number where there are several of it.
    name: str
    # The port it is no longer pinned to, as the setup writes it.
    port: NotRequired[str]


class ChangeSwap(TypedDict):
    """Somebody swaps plugs once, at half time: a rota of two sessions of equal length,
    everything at hand in both."""

    # When, in hours from the start.
    at_h: float
    change: Literal["swap"]


class ChangeCombinations(TypedDict):
    """A charger has no table of combinations any more; its pools stay."""

    change: Literal["combinations"]
    # The charger.
    name: str


class ChangeDeviceLess(TypedDict):
    """A device stays away; of `wish` alone."""

    change: Literal["device-less"]
    # The device, with its number where there are several of it.
    name: str


class ChangePriority(TypedDict):
    """Devices get another priority; of `wish` alone."""

    change: Literal["priority"]
    # The devices, with their numbers where there are several of one.
    names: list[str]
    # The priority that they get.
    to: int


_ChangeStart = TypedDict("_ChangeStart", {"from": str})


class ChangeStart(_ChangeStart):
    """Charging begins earlier, and every deadline keeps its time of day, as does a swap; of
    `wish` alone."""

    change: Literal["start"]
    # How much earlier that is, in hours.
    earlier_h: float
    # The other time of day.
    to: str


# One change of a setup. [`Change::applied`] makes it.
Change = (
    ChangePool
    | ChangePort
    | ChangePortAdded
    | ChangeCableAdded
    | ChangePin
    | ChangeSwap
    | ChangeCombinations
    | ChangeDeviceLess
    | ChangePriority
    | ChangeStart
)


_Improvements = TypedDict("_Improvements", {"$schema": NotRequired[str]})


class Improvements(_Improvements):
    """The changes that help, the best first."""

    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # Those that cost nothing first; sorted by the plan's order after the change, then a cable
    # before another charger, each as listed in the setup.
    changes: list[Improvement]
    # What the best plan reaches as it is.
    now: Reached
    # The program that wrote it.
    program: Program
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # What is no gain in a time, in hours: the setup's tolerance.
    tolerance_h: float
    # Changes of which it is not known whether they help: a limit of the call stopped the search
    # before that.
    undecided: int
    # Which changes these are, in the order in which they were tried.
    undecided_changes: list[Change]
    # Version of the document's form.
    version: int


class GuestTimes(TypedDict):
    """When a device is full, in both readings."""

    # At best, in hours.
    hours: float
    # For certain, in hours; absent where it is never.
    promised_h: NotRequired[float]


class GuestCost(TypedDict):
    """What a device that comes late costs another one."""

    # When it is full then; absent where it is unplugged.
    after: NotRequired[GuestTimes]
    # When it is full in the plan at hand.
    before: GuestTimes
    # The other device.
    device: str


class GuestPlan(TypedDict):
    """A plan with the device that comes late."""

    # What it costs each other device whose time is then another one.
    costs: list[GuestCost]
    # The plan, with its moves.
    plan: Plan


class GuestPlace(TypedDict):
    """A place that the device can have without moving anybody."""

    # The cable.
    cable: str
    # The charger.
    charger: str
    # What it costs each other device whose time is then another one.
    costs: list[GuestCost]
    # At best, in hours.
    hours: float
    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The port, as the charger names it.
    port: str
    # For certain, in hours; absent where it is never.
    promised_h: NotRequired[float]
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float


# How many may move for a device that comes late.
Freedom = Literal["one-move", "freely"]


_Guest = TypedDict("_Guest", {"$schema": NotRequired[str]})


class Guest(_Guest):
    """Where a device that comes late may go."""

    # By which times the places are sorted.
    aim: Aim
    # The device.
    device: str
    # The best plan, which moves as few as it can; absent where that gains nothing.
    freely: NotRequired[GuestPlan]
    # The best plan that moves at most one other device; absent where that gains nothing.
    one_move: NotRequired[GuestPlan]
    # Every place that it can have without moving anybody, the best first by the plan's order;
    # ports that are alike once, and so cables.
    places: list[GuestPlace]
    # The program that wrote it.
    program: Program
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # What else was not looked at to the end, for the same reason.
    undecided: list[Freedom]
    # Places of which it is not known whether it can have them: a limit of the call stopped the
    # search before that.
    undecided_places: list[Place]
    # Version of the document's form.
    version: int


class Wished(TypedDict):
    """What a device has in a plan."""

    # Its name.
    device: str
    # When it is full, by the aim, in hours from the start; infinite, in a document null, where
    # that is never.
    full_h: float | None
    # Whether it has a berth, or needs none.
    served: bool


class Later(TypedDict):
    """A device that is full later than it would be without the wish."""

    # Its name.
    device: str
    # When it is full now, in hours.
    from_h: float
    # Whether it was in time and is late then.
    late: bool
    # When it is full then; infinite, in a document null, where that is never.
    to_h: float | None


class Granted(TypedDict):
    """Changes that together grant the wish, and what comes of them."""

    # Whether the best plan holds the wish only where the wished devices get priority 1, as it
    # has them here.
    at_priority_1: bool
    # The changes, in the order in which they are made.
    changes: list[Change]
    # What the wished devices then have.
    devices: list[Wished]
    # Devices that are full later than they must be.
    late: int
    # The same by priority: 1, 2, 3.
    late_by_priority: list[int]
    # The others that are then full later than now, beyond the tolerance, or late.
    later: list[Later]
    # The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    # where never: within the tolerance the plan's own may be longer.
    least_h: NotRequired[list[list[float | None]]]
    # The longest time, in hours; 0 where nothing has a berth.
    longest_h: float | None
    # Watt-hours missing in them.
    missing_wh: float
    # The last level of the plan's order that is proven; present where `status` is `feasible`
    # and there is one.
    settled: NotRequired[Level]
    # Whether the plan is proven best.
    status: Status
    # All times, in hours, the longest first; infinite, in a document null, where never.
    times_h: list[float | None]
    # Those of them that are of priority 3; absent where none is.
    times_of_priority_3_h: NotRequired[list[float | None]]
    # Volts × amps of all berths, in watts.
    total_w: float
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: 1, 2, 3.
    unserved_by_priority: list[int]
    # The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    weighted_h: float


_Wishes = TypedDict("_Wishes", {"$schema": NotRequired[str]})


class Wishes(_Wishes):
    """What grants a wish."""

    # By which of the two readings it is wished, and all times are told.
    aim: Aim
    # Where no set grants it: what is in the way, as it is now.
    because: NotRequired[Because]
    # By when the devices are to be full, in hours from the start; absent where a berth is all
    # that is wished.
    by_h: NotRequired[float]
    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # Who is wished for, and what the best plan gives them now.
    devices: list[Wished]
    # How many sets would leave room for it, while the best plan with them, though the wished
    # devices come first, is better for others.
    for_others: int
    # The least sets of changes that grant it, at most five, the fewest changes first, then
    # those that cost least.
    granted: list[Granted]
    # Whether it is so in the best plan already.
    had: bool
    # What the best plan reaches as it is.
    now: Reached
    # The program that wrote it.
    program: Program
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # How many sets of changes are not known to grant it or not: a limit stopped the search
    # before that.
    undecided: int
    # Version of the document's form.
    version: int


class Tradeoff(TypedDict):
    """A longest time, and the least watts for it."""

    # When the last device is full, in hours.
    longest_h: float
    # The least watts of all contracts together with which that can be.
    total_w: float


class SizedPort(TypedDict):
    """One port to look for."""

    # Amperes of the contract.
    amps: float
    # The cable.
    cable: str
    # The port's connector; absent where it is `usb-c`.
    connector: NotRequired[str]
    # The device, with its number where there are several of it.
    device: str
    # Time to full at best, in hours.
    hours: float
    # Volts × amperes.
    port_w: float
    # Time to full that is certain, in hours; absent where the least is not sought by what is
    # certain.
    promised_h: NotRequired[float]
    # The least power that ports are sold with and that gives the contract, in watts: the PD
    # power (PDP) to look for on the label.
    tier_w: float
    # Volts of the contract.
    volts: float


class TooLate(TypedDict):
    """A device that no port makes full in time."""

    # The device.
    device: str
    # When it is full at the earliest, with the best cable and the largest port, in hours.
    earliest_h: float
    # When it must be full, in hours.
    needed_h: float


_Sizing = TypedDict("_Sizing", {"$schema": NotRequired[str]})


class Sizing(_Sizing):
    """The least charger for the devices of a bag, as data."""

    # When all are to be full, in hours; absent where no time was given: then it is the shortest
    # that any charger can reach.
    by_h: NotRequired[float]
    # What to keep in mind, each once.
    cautions: list[str]
    # Every pair of a longest time and the least watts for it that no other pair beats in both,
    # the shortest time first.
    frontier: list[Tradeoff]
    # Whether these are all such pairs: a limit may have ended the search for them.
    frontier_complete: bool
    # How many times `total_w` that is; absent where there is no port.
    labels_factor: NotRequired[float]
    # The `max_w` of the same devices together, in watts: the most that their labels ask for
    # (where `max_w` is not given, `pd_w` or the largest of the printed entries).
    labels_sum_w: float
    # When the last device is full, in hours; 0 where there is none.
    longest_h: float
    # A port for each device that can be full in time, in the order of the devices.
    ports: list[SizedPort]
    # The program that wrote it.
    program: Program
    # SHA-256 of the bag's document, the setup's without chargers, defaults as they were read,
    # white space aside.
    setup_sha256: str
    # Whether, of several choices with the least watts, this is proven to be the one that the
    # plan's order prefers; that the watts are the least always is.
    status: Status
    # The ports' tiers together, in watts: what a charger needs that keeps the whole tier for a
    # port in use (`reserve` by offer).
    tiers_sum_w: float
    # Devices that are too late with the best cable and the largest port.
    too_late: list[TooLate]
    # The watts of all contracts together (volts × amperes): proven the least.
    total_w: float
    # Devices that no cable of the bag joins to a USB-C port with what they accept, or for which
    # none is left.
    unreached: list[WithoutBerth]
    # Version of the document's form.
    version: int


class LeftOutKit(TypedDict):
    """A kit that cannot be ranked."""

    # The names of its candidates.
    candidate: list[str]
    # Why not.
    reason: str


class DeviceTime(TypedDict):
    """When a device is full."""

    # Its name.
    device: str
    # The time by the bag's aim, in hours; infinite, in a document null, where it is never, and
    # absent where it has no berth.
    hours: NotRequired[float | None]


class Ranked(TypedDict):
    """One kit: a candidate, or several used together."""

    # The candidates of the kit, by name.
    candidate: list[str]
    # Devices that are full later than they must be: as promised, or at best, by the bag's aim.
    late: int
    # The longest time to full by the bag's aim, in hours; infinite, in a document null, where
    # it is never.
    longest_h: float | None
    # The same as indices into the candidates that were given, from 0.
    members: list[int]
    # Its plan, where that was asked for.
    plan: NotRequired[Plan]
    # The price, where every candidate's is known.
    price: NotRequired[float]
    # The same if the chargers renegotiate as devices need less, in hours; absent where nobody
    # asked.
    reshared_h: NotRequired[float]
    # Whether the kit's plan is proven best; where it is not, its numbers are only the best that
    # were found.
    status: Status
    # When each device is full of those whose times were asked for, in the setup's order.
    times: NotRequired[list[DeviceTime]]
    # Whether no other kit is at least as good in all of (unserved by priority, late, longest
    # time, weight, price) and better in one.
    unbeaten: bool
    # Devices that need a berth and have none.
    unserved: int
    # The same by priority: of 1, of 2, of 3.
    unserved_by_priority: list[int]
    # Grams, where every charger's weight is known.
    weight_g: NotRequired[float]


_Ranking = TypedDict("_Ranking", {"$schema": NotRequired[str]})


class Ranking(_Ranking):
    """The kits, the best first."""

    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # The number of kits in all.
    kits: int
    # Kits that make no setup with this bag: a pinned port that they lack, too many ports.
    left_out: int
    # The first 1 000 of these, each with its reason.
    left_out_kits: list[LeftOutKit]
    # Kits that were not planned at all: a limit of the call struck before.
    not_planned: int
    # Kits that were planned.
    planned: int
    # The program that wrote it.
    program: Program
    # The kits that are wanted, by (unserved by priority, late, what is asked for, longest time,
    # weight, price), then as listed; what is unknown stands last.
    ranked: list[Ranked]
    # Kits that did not need to be: a planned one is at least as good in everything and better
    # in something, whatever their plan is, and they are not among the first.
    ruled_out: int
    # SHA-256 of the bag's document, the setup's without chargers, defaults as they were read,
    # white space aside.
    setup_sha256: str
    # Version of the document's form.
    version: int


class Energy(TypedDict):
    """Where the watt-hours from the socket go; they add up to them."""

    # Lost in the cables.
    cable_lost_wh: float
    # Lost in the chargers.
    charger_lost_wh: float
    # Lost between inlets and batteries.
    charging_lost_wh: float
    # What the devices run on.
    running_wh: float
    # Into the batteries.
    stored_wh: float


class EventContract(TypedDict):
    """A contract at an event."""

    # Amperes.
    amps: float
    # The power level at which the port is held, in watts.
    tier_w: float
    # Volts.
    volts: float


# What happens.
Happening = Literal[
    "session-ends",
    "unplugged",
    "plugged-in",
    "taper",
    "unfilled",
    "full",
    "contract",
]


class Event(TypedDict):
    """Something that happens."""

    # Hours from the start of the night.
    at_h: float
    # What is negotiated, where that is what happens.
    contract: NotRequired[EventContract]
    # The device, unless a session ends.
    device: NotRequired[str]
    # The session that ends.
    session: NotRequired[str]
    # Its state of charge.
    soc_pct: NotRequired[float]
    # What it is.
    what: Happening


# How long grants last.
Grants = Literal["held", "handed-on"]


# Where in the order a device should come.
PlugPlace = Literal["first", "last", "first-port"]


# A rule by which a charger divides its watts.
SharingRule = Literal[
    "assured",
    "fair-share",
    "first-come",
    "last-come",
    "one-port-first",
    "by-demand",
    "by-battery",
]


class PlugAdvice(TypedDict):
    """What a person can do about a rule."""

    # The longest time on this charger in the best order; absent where that is never.
    best_h: NotRequired[float]
    # The charger.
    charger: str
    # The device with which it is enough; where it takes more than one, that of the best order.
    device: str
    # How grants are reckoned with in the times: handed on only where it makes no difference
    # while they are held.
    grants: Grants
    # Whether that alone is as good as the best order, within the setup's tolerance.
    is_enough: bool
    # The best order.
    order: list[str]
    # Where it should come.
    place: PlugPlace
    # If the charger follows this rule.
    rule: SharingRule
    # The same in the worst order of those in which the device has its place: so much is certain
    # however the others come, where all orders were tried.
    then_h: NotRequired[float]
    # Whether every order was tried.
    tried_all: bool
    # The same in the worst order.
    worst_h: NotRequired[float]


# What a rule leaves open.
DependsOn = Literal["plugging-order", "first-port", "way-round"]


class RuleBerth(TypedDict):
    """A device under a rule."""

    # The device.
    device: str
    # Time to full, in hours; absent where it is never.
    full_h: NotRequired[float]
    # What its port is granted at the start, in watts.
    granted_w: float
    # Volts × amperes of the contract at the start; absent where there is none.
    port_w: NotRequired[float]


class PlugOrder(TypedDict):
    """The order of plugging in on one charger, or in which demands are met."""

    # The charger.
    charger: str
    # Its devices.
    devices: list[str]


class RuleNight(TypedDict):
    """A night under a rule."""

    # By device that has a berth, in the order of the devices.
    berths: list[RuleBerth]
    # When the last device is full, in hours; absent where one never is.
    longest_h: NotRequired[float]
    # By charger where the order makes a difference, the order; where one port goes first, its
    # device is the first.
    orders: NotRequired[list[PlugOrder]]


class RuleNights(TypedDict):
    """The best and the worst that can come of a rule."""

    # The best, by the sorted times, of what was tried.
    best: RuleNight
    # The worst of what was tried; absent where the rule leaves nothing open.
    worst: NotRequired[RuleNight]


class RuleOutcome(TypedDict):
    """What comes of one rule."""

    # What the rule leaves open.
    depends_on: NotRequired[DependsOn]
    # Grants made anew, by the same rule, whenever a device is full: what it no longer asks for
    # is handed on.
    handed_on: RuleNights
    # Every grant kept as it is at the start.
    held: RuleNights
    # The rule.
    rule: SharingRule
    # Where it is published.
    source: str
    # Orders that were tried, over the chargers with two devices or more.
    tried: int
    # Whether there are no others: only then is the best the best of all.
    tried_all: bool


_SharingRules = TypedDict("_SharingRules", {"$schema": NotRequired[str]})


class SharingRules(_SharingRules):
    """What a plan comes to under each rule by which chargers are known to share."""

    # Where the order of plugging in, or the port that goes first, changes the longest time on a
    # charger by more than the setup's tolerance.
    advice: NotRequired[list[PlugAdvice]]
    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # The longest time to full, in hours, if the chargers share as the plan would have it.
    planned_h: float
    # The longest time that is certain, whatever the rule, and however what labels leave open
    # turns out; absent where one is never certain to be full.
    promised_h: NotRequired[float]
    # Rule by rule, each followed by every charger.
    rules: list[RuleOutcome]
    # Rules that were not looked at, because a limit struck.
    undecided: NotRequired[list[SharingRule]]
    # Version of the document's form.
    version: int


class Series(TypedDict):
    """One device over the night."""

    # Hours from the start of the night, never falling, from 0 to the end.
    at_h: list[float]
    # The charger.
    charger: str
    # The device.
    device: str
    # When it is full, where it is before its plug is pulled.
    full_h: NotRequired[float]
    # The port, as the charger names it.
    port: str
    # State of charge, in percent.
    soc_pct: list[float]
    # What its port gives, in watts: what arrives, and what its cable turns into heat.
    watts: list[float]


# How a charger shares its watts over the night.
Sharing = Literal["held", "reshared"]


class Wall(TypedDict):
    """What all chargers take from the socket, by their efficiency; jumps as in [`Series`]."""

    # Hours from the start of the night.
    at_h: list[float]
    # The most at any time, in watts.
    peak_w: float
    # Watts.
    watts: list[float]


_Timeline = TypedDict("_Timeline", {"$schema": NotRequired[str]})


class Timeline(_Timeline):
    """What happens in a night, and how much of everything there is when."""

    # What to keep in mind, each once: that the setup has sessions, of which this is one.
    cautions: NotRequired[list[str]]
    # Where they go.
    energy: Energy
    # What happens, in order of time.
    events: list[Event]
    # When the last device is full if every contract is kept, in hours: of those that are full
    # before their plug is pulled.
    longest_h: float
    # Devices whose plug is pulled before they are full.
    not_full: int
    # The program that wrote it.
    program: Program
    # The same if the chargers renegotiate, where that was asked for.
    reshared_h: NotRequired[float]
    # `feasible` where the budget struck before every sharing out was proven best; beside
    # `reshared_h`.
    reshared_status: NotRequired[Status]
    # What the plan comes to under each rule by which chargers share, where that was asked for.
    rules: NotRequired[SharingRules]
    # By device that has a berth, in the order of the devices.
    series: list[Series]
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # How the chargers share, for the events, the series and the energy.
    sharing: Sharing
    # When the night begins, as a time of day, where the setup says it.
    start: NotRequired[str]
    # Minutes between the even steps of the series.
    step_min: float
    # Where the series end, in hours: when the last device is full at the latest, or at the end
    # of the last session.
    until_h: float
    # Version of the document's form.
    version: int
    # What all chargers take from the socket together.
    wall: Wall
    # Watt-hours from the socket until `until_h`.
    wall_wh: float


class CalendarDevice(TypedDict):
    """A thing that is not charged every night."""

    # Its name.
    device: str
    # It has one of so many nights.
    every_nights: int
    # The nights on which it is charged, counted from 1.
    nights: list[int]


class CalendarNight(TypedDict):
    """Nights on which the same is charged."""

    # What is charged then beside the things of every night.
    devices: list[str]
    # The nights, counted from 1.
    nights: list[int]
    # The plan; absent where it is a rota.
    plan: NotRequired[Plan]
    # The rota, where the setup has sessions.
    rota: NotRequired[Rota]


_Calendar = TypedDict("_Calendar", {"$schema": NotRequired[str]})


class Calendar(_Calendar):
    """The nights on which things are charged, as data."""

    # The things that are not charged every night.
    devices: list[CalendarDevice]
    # How many nights it is of.
    nights: int
    # The nights, those with one plan together.
    plans: list[CalendarNight]
    # The program that wrote it.
    program: Program
    # Whether it begins anew after the last of them: every thing then has its nights a whole
    # number of times.
    repeats: bool
    # SHA-256 of the setup's document, defaults as they were read, white space aside.
    setup_sha256: str
    # Whether no calendar has a better worst night, nor with the same a better next one.
    status: Status
    # Version of the document's form.
    version: int


_AdapterNeed = TypedDict("_AdapterNeed", {"from": list[str]})


class AdapterNeed(_AdapterNeed):
    """An adapter that things need at a stop."""

    # Whether those are all kinds of sockets there.
    everywhere: bool
    # The adapter of the bag that does it; absent where it is missing.
    have: NotRequired[str]
    # The kinds of sockets of the stop in which they need it.
    sockets: list[str]
    # The stop.
    stop: str
    # What is plugged into it.
    things: list[str]
    # The plug that it has for the wall.
    to: str


# What is asked of a thing.
About = Literal[
    "use",
    "voltage",
    "frequency",
    "plug",
    "earth",
    "current",
    "night",
    "draw",
    "ports-alone",
    "built-in",
    "battery",
    "carry",
    "count",
    "keep",
]


# An answer in one word.
Verdict = Literal[
    "direct",
    "adapter",
    "converter",
    "fine",
    "caution",
    "approval",
    "depends",
    "unknown",
    "no",
]


_Finding = TypedDict("_Finding", {"with": NotRequired[list[str]]})


class Finding(_Finding):
    """One answer, with its reason and the source of what it rests on."""

    # What was asked of it.
    about: About
    # The voltages at which it holds, in volts, where it does not at all that occur there.
    at_v: NotRequired[list[float]]
    # The date of the source, of the oldest where there are several.
    date: str
    # Why, in a sentence.
    reason: str
    # What it rests on.
    source: str
    # What it is about: a charger, an adapter, an appliance, a battery.
    thing: str
    # The answer.
    verdict: Verdict


class PackingCosts(TypedDict):
    """What a thing costs the bag beside itself: the least bag with it against that without."""

    # So many adapters more.
    adapters: int
    # So many converters more.
    converters: int
    # Their grams; below 0 where the bag without it has fewer, but heavier ones.
    weight_g: float


# What a thing of the bag is.
PackingKind = Literal["adapter", "converter", "charger", "cable", "appliance"]


class Packing(TypedDict):
    """One thing of the bag."""

    # Of an appliance: the adapters and converters that are taken for it alone or, where it
    # stays at home, would be.
    costs: NotRequired[PackingCosts]
    # How many of them.
    count: int
    # What it is.
    kind: PackingKind
    # What is to be known of it where no plan uses it: for whom it is taken all the same, or
    # what it lacks.
    note: NotRequired[str]
    # Why.
    reason: str
    # Its name.
    thing: str


class Missing(TypedDict):
    """A thing that cannot be used at a stop."""

    # Why not, and what would do.
    reason: str
    # The stop.
    stop: str
    # The thing.
    thing: str


class PackingList(TypedDict):
    """The bag."""

    # The adapters and converters that are taken, together, in grams.
    adapters_g: float
    # Whether fewer adapters, or lighter ones of as many, are proven not to do.
    least: bool
    # What no stop needs.
    leave: list[Packing]
    # What cannot be used at a stop, and what would help.
    missing: list[Missing]
    # What is used, adapters first.
    take: list[Packing]


class TripCaution(TypedDict):
    """What to keep in mind."""

    # The date of the source.
    date: str
    # Whether it holds wherever something is plugged in, charged or flown; where not, it is
    # something of this trip that brings it up.
    general: bool
    # What to beware of.
    reason: str
    # Where that stands.
    source: str


_SocketWay = TypedDict("_SocketWay", {"with": NotRequired[list[str]]})


class SocketWay(_SocketWay):
    """How a thing goes into one kind of socket."""

    # The thing.
    thing: str
    # `direct`, `adapter`, `converter`, or `no`.
    verdict: Verdict


class SocketWays(TypedDict):
    """What holds for one kind of socket, at a stop where that differs."""

    # The kind of socket.
    socket: str
    # The things whose ways differ between the kinds.
    ways: list[SocketWay]


class TripNight(TypedDict):
    """Nights at a stop on which the same is charged."""

    # What is charged then beside the things of every night.
    devices: list[str]
    # The nights, counted from 1 through the whole route.
    nights: list[int]
    # The plan; absent where it is a rota.
    plan: NotRequired[Plan]
    # The chargers, and adapters with ports, that are plugged in.
    plugged_in: list[str]
    # The rota, where the setup has sessions and the stop no `session_h` of its own.
    rota: NotRequired[Rota]


class TripStop(TypedDict):
    """One stop of a trip."""

    # By kind of socket, where there are several and a thing goes into one of them and not into
    # another, or otherwise; empty where one way serves them all.
    by_socket: NotRequired[list[SocketWays]]
    # Where not everything is charged every night: every night there, those on which the same is
    # charged together.
    calendar: NotRequired[list[TripNight]]
    # The country's English name, or its code where it is not known.
    country: str
    # What was found of every charger, adapter with ports and appliance.
    findings: list[Finding]
    # The frequencies there, in hertz.
    frequencies_hz: list[float]
    # Its name.
    name: str
    # Nights spent there.
    nights: int
    # The outlets that they take.
    outlets_used: int
    # The night's plan with them; absent where no night is spent, or where it is a rota.
    plan: NotRequired[Plan]
    # The chargers, and adapters with ports, that are plugged in at night.
    plugged_in: list[str]
    # The night's rota with them, where the setup has sessions and the stop no `session_h` of
    # its own.
    rota: NotRequired[Rota]
    # Sets of these, and of others, that were not planned before a limit struck: one of them may
    # be better, or do with fewer.
    sets_untried: int
    # The kinds of sockets there: a letter may stand for several, such as `L10` and `L16`.
    socket_kinds: list[str]
    # The sockets there, by letter.
    sockets: list[str]
    # The nominal voltages there, in volts.
    voltages_v: list[float]


_Trip = TypedDict("_Trip", {"$schema": NotRequired[str]})


class Trip(_Trip):
    """A trip answered, as data."""

    # The adapters that are needed, stop by stop, by letter: those of the bag, and those that
    # are missing.
    adapters: list[AdapterNeed]
    # What the rules of the air say of the batteries.
    air: list[Finding]
    # What to take, and what to leave at home.
    bag: PackingList
    # What to keep in mind, each once.
    cautions: list[TripCaution]
    # The plugs that were asked about by themselves.
    plugs: NotRequired[list[str]]
    # The program that wrote it.
    program: Program
    # SHA-256 of the setup's document, defaults and chargers from other files as they were read,
    # white space aside.
    setup_sha256: str
    # The stops, in the order of the route.
    stops: list[TripStop]
    # Version of the document's form.
    version: int


class BagWorth(TypedDict):
    """What a bag comes to."""

    # The longest time to full of its worst night by the setup's aim, in hours; infinite, in a
    # document null, where it is never.
    longest_h: float | None
    # Chargers, cables, adapters and converters.
    pieces: int
    # The price of what is bought.
    price: float
    # What is in it, by name: `2 × C-C 60 W 1 m`.
    things: list[str]
    # Grams of all chargers, cables, adapters and converters; what nobody weighed counts
    # nothing.
    weight_g: float


class Piece(TypedDict):
    """What is bought, taken or left, alike things together."""

    # How many.
    count: int
    # What it is.
    kind: PackingKind
    # Price of one, where it is bought.
    price: NotRequired[float]
    # Why it stays at home, where that is to be said.
    reason: NotRequired[str]
    # Its name.
    thing: str
    # Grams of one; absent where nobody said it.
    weight_g: NotRequired[float]


# What a bag is to have least of; the other two follow, in the order of this list.
PackBy = Literal["weight", "price", "pieces"]


class ThingCost(TypedDict):
    """What a device or an appliance costs the bag."""

    # What is needed instead.
    instead: list[str]
    # On how many nights of all it can be used, of an appliance.
    nights: NotRequired[list[int]]
    # How many pieces fewer.
    pieces: int
    # What is to be bought for less without it.
    price: float
    # Whether the difference is proven.
    proven: bool
    # What is not needed without it, and what is instead, each `1 × name`.
    spared: list[str]
    # Whether it comes along; else these would be the costs.
    taken: bool
    # Its name; of several that are alike, that of all: `score tablet 1 to 4`.
    thing: str
    # What the bag weighs less without it, in grams.
    weight_g: float


# What a bag charges with.
ChargeWith = Literal["chargers", "adapters"]


_OtherSort = TypedDict("_OtherSort", {"with": ChargeWith})


class OtherSort(_OtherSort):
    """The least bag of one sort."""

    # The least bag that serves as well; absent where none was found.
    bag: NotRequired[BagWorth]
    # Whether that is the least, or where it is absent, whether there is none.
    proven: bool


_Luggage = TypedDict("_Luggage", {"$schema": NotRequired[str]})


class Luggage(_Luggage):
    """What to buy and what to take, as data."""

    # What the bag comes to.
    bag: BagWorth
    # Of what the bag is to have least, the least that any bag has as far as that is proven, in
    # its unit: the bag's own where `status` is optimal.
    bound: float
    # What to buy.
    buy: list[Piece]
    # What the bag has least of.
    by: PackBy
    # The things that are not charged every night, with their nights.
    calendar: list[CalendarDevice]
    # What to keep in mind of the answer.
    cautions: NotRequired[list[str]]
    # What each device and appliance costs the bag, where something would be saved without it or
    # nobody knows; those that are left at home: what they would cost.
    costs: list[ThingCost]
    # The same of devices that are late, as promised.
    late_nights: list[int]
    # What of one's own stays at home.
    leave: list[Piece]
    # Without a trip: the nights, those with one plan together.
    nights: NotRequired[list[CalendarNight]]
    # Where there are both chargers and adapters with ports of their own: the least bag with
    # each of the two alone, but for the one that the bag is.
    other_sorts: list[OtherSort]
    # The program that wrote it.
    program: Program
    # SHA-256 of the setup's document, defaults as they were read, white space aside.
    setup_sha256: str
    # Whether no bag serves better, nor as well for less.
    status: Status
    # What of one's own to take.
    take: list[Piece]
    # The trip with this bag.
    trip: NotRequired[Trip]
    # The bags that no other beats in all of weight, price, pieces and the longest time.
    unbeaten: list[BagWorth]
    # Whether these are all of them.
    unbeaten_complete: bool
    # Nights that a device that is charged then is without a berth, over the whole route, by
    # priority: 1, 2, 3.
    unserved_nights: list[int]
    # Version of the document's form.
    version: int


__all__ = [
    "About",
    "Adapter",
    "AdapterNeed",
    "Aim",
    "Appliance",
    "Assumed",
    "AssumedValue",
    "BagWorth",
    "Battery",
    "BatteryKind",
    "Because",
    "Behind",
    "Berth",
    "BindingLimit",
    "BoundedLevel",
    "BrokenRule",
    "BrokenRuleAboveCombination",
    "BrokenRuleBelowMinimum",
    "BrokenRuleCablePin",
    "BrokenRuleDeviceTwice",
    "BrokenRuleNeverFull",
    "BrokenRuleNoCable",
    "BrokenRuleNoCombination",
    "BrokenRuleNoCommonSupply",
    "BrokenRuleNoSuchContract",
    "BrokenRuleNotJoined",
    "BrokenRulePool",
    "BrokenRulePortPin",
    "BrokenRulePortTwice",
    "BrokenRuleTooFewCables",
    "BrokenRuleTooShort",
    "Cable",
    "Calendar",
    "CalendarDevice",
    "CalendarNight",
    "Change",
    "ChangeCableAdded",
    "ChangeCombinations",
    "ChangeDeviceLess",
    "ChangePin",
    "ChangePool",
    "ChangePort",
    "ChangePortAdded",
    "ChangePriority",
    "ChangeStart",
    "ChangeSwap",
    "ChargeWith",
    "Charger",
    "Combination",
    "Converter",
    "DependsOn",
    "Device",
    "DeviceTime",
    "Energy",
    "Event",
    "EventContract",
    "Finding",
    "Freedom",
    "Granted",
    "Grants",
    "Guest",
    "GuestCost",
    "GuestPlace",
    "GuestPlan",
    "GuestTimes",
    "Happening",
    "Improvement",
    "ImprovementCableAdded",
    "ImprovementCombinations",
    "ImprovementDeviceLess",
    "ImprovementPin",
    "ImprovementPool",
    "ImprovementPort",
    "ImprovementPortAdded",
    "ImprovementPriority",
    "ImprovementStart",
    "ImprovementSwap",
    "Improvements",
    "Label",
    "Later",
    "Lead",
    "LeftOutKit",
    "Level",
    "LevelBound",
    "LimitKind",
    "LimitedBy",
    "Load",
    "Luggage",
    "Missing",
    "Move",
    "Objective",
    "ObjectiveValue",
    "OtherSort",
    "PackBy",
    "Packing",
    "PackingCosts",
    "PackingKind",
    "PackingList",
    "Piece",
    "Place",
    "Plan",
    "PlugAdvice",
    "PlugOrder",
    "PlugPlace",
    "Pool",
    "PoolPorts",
    "PoolUse",
    "Port",
    "Program",
    "Ranked",
    "Ranking",
    "Reached",
    "Reason",
    "ReasonBelowMinimum",
    "ReasonFewerCables",
    "ReasonFewerPorts",
    "ReasonNeverAtHand",
    "ReasonNeverFull",
    "ReasonNoCableForInlet",
    "ReasonNoCableReaches",
    "ReasonNoCombination",
    "ReasonNoCommonSupply",
    "ReasonNoPortForCable",
    "ReasonNoRoom",
    "ReasonPinnedImpossible",
    "ReasonPoolTooSmall",
    "ReasonSearchStopped",
    "Reserve",
    "Rota",
    "RotaBerth",
    "RotaPoolUse",
    "RotaSession",
    "RuleBerth",
    "RuleNight",
    "RuleNights",
    "RuleOutcome",
    "Score",
    "ScoredBerth",
    "Series",
    "Session",
    "Setup",
    "Sharing",
    "SharingRule",
    "SharingRules",
    "Shop",
    "Shortfall",
    "SizedPort",
    "Sizing",
    "SocketWay",
    "SocketWays",
    "Span",
    "Status",
    "Stop",
    "ThingCost",
    "Timeline",
    "TooLate",
    "Tradeoff",
    "Trip",
    "TripCaution",
    "TripDocument",
    "TripNight",
    "TripStop",
    "Verdict",
    "Voltages",
    "Wall",
    "Wished",
    "Wishes",
    "WithoutBerth",
]
