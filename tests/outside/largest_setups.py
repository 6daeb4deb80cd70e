"""The largest legal setups, in several shapes; every size is one of src/limits.rs, and nothing here is random."""

import json

DEVICES = PORTS = CABLES = COMBINATIONS = POOLS = 256
CHARGERS = STOPS = APPLIANCES = TIERS = 64
ADAPTERS, CONVERTERS, SOURCES, SESSIONS = 32, 16, 10, 16
DRAW_POINTS = CANDIDATES = 1000
LABEL_LINES = 1024
WATTS = [15, 20, 30, 45, 60, 65, 100]
ACCEPTS = [
    "5V 3A, 9V 3A",
    "5V 3A, 9V 3A, 15V 3A",
    "5V 3A, 9V 3A, 15V 3A, 20V 3.25A",
    "5V 3A, 9V 2.77A, PPS 3.3-11V 3A",
    "5V 3A, 9V 3A, 20V 5A",
]
LEAD = {"name": "lead", "length_m": 1, "count": 1000, "e_marked": True, "max_a": 5}


def port(number, alike=False):
    """A port unlike every other, unless all are to be alike."""
    watts = WATTS[number % len(WATTS)]
    return (
        {"name": f"P{number}", "pd_w": 30}
        if alike
        else {"name": f"P{number}", "pd_w": watts, "max_w": round(watts - number / 1000, 3)}
    )


def charger(number, ports, share=0.6, pools=True):
    """A charger with its limits at a share of what its ports could give."""
    watts = [each.get("max_w", each["pd_w"]) for each in ports]
    made = {"name": f"charger {number}", "ports": ports, "max_w": round(sum(watts) * share, 2)}
    if pools and len(ports) > 1:
        half = len(ports) // 2
        made["pools"] = [
            {"name": name, "ports": [each["name"] for each in part], "max_w": round(sum(parts) * (share + 0.05), 2)}
            for name, part, parts in (("low", ports[:half], watts[:half]), ("high", ports[half:], watts[half:]))
        ]
    return made


def chargers(ports, on_each, alike=False, share=0.6, pools=True):
    each = [port(number, alike) for number in range(ports)]
    return [charger(at // on_each, each[at : at + on_each], share, pools) for at in range(0, ports, on_each)]


def device(number):
    """A device unlike every other."""
    return {
        "name": f"D{number}",
        "accepts": ACCEPTS[number % len(ACCEPTS)],
        "battery_wh": round(11 + number * 37 % 89 + number / 100, 2),
        "start_pct": number * 13 % 70,
        "priority": 1 + number * 7 % 3,
    }


def devices(count, alike=False):
    if alike:
        return [
            {"name": "tablet", "accepts": "5V 3A, 9V 3A, 15V 3A", "battery_wh": 28, "start_pct": 20, "count": count}
        ]
    return [device(number) for number in range(count)]


def setup(ports, on_each, many, alike=False, share=0.6, cables=None, **more):
    return {
        "version": 1,
        "session_h": 8,
        "chargers": chargers(ports, on_each, alike, share),
        "cables": cables or [LEAD],
        "devices": devices(many, alike),
        **more,
    }


def kinds_of_cables(count=CABLES, of_each=1):
    """No two with the same loss and the same limits."""
    return [
        {
            "name": f"K{number}",
            "length_m": round(0.5 + number / 100, 2),
            "ohm": round(0.05 + number / 2000, 5),
            "count": of_each,
            "e_marked": number % 2 == 0,
            "max_a": 5 if number % 2 == 0 else 3,
        }
        for number in range(count)
    ]


def tables(ports, on_each, many, lines=COMBINATIONS):
    """Chargers with a long table: each line names every port, at watts of its own."""
    made = setup(ports, on_each, many)
    for one in made["chargers"]:
        names = [each["name"] for each in one["ports"]]
        one["combinations"] = [
            {name: WATTS[(number * (at + 3) + at + number // 7) % 5] for at, name in enumerate(names)}
            for number in range(lines)
        ]
    return made


def tight(many, on_each):
    """Pools that leave just what the devices need to be full in time, hardly more."""
    made = setup(many, on_each, many, share=0.33)
    for one in made["devices"]:
        one["ready_by_h"] = 6
    return made


def stepped(many):
    """As many tiers as there may be, under sources and devices that can follow each of them."""
    made = setup(many, 16, many)
    for one in made["chargers"]:
        one["tiers_w"] = [round(5 + step * 1.5, 1) for step in range(TIERS)]
        one["reserve"] = "contract"
        for each in one["ports"]:
            each["offers"] = "PPS 3.3-21V 5A"
    for one in made["devices"]:
        one["accepts"] = "5V 3A, 9V 3A, PPS 3.3-21V 5A"
    return made


def curves(many):
    """Charging curves with as many points as they may have, labels with as many lines."""
    made = setup(many, 16, many)
    for number, one in enumerate(made["devices"]):
        one["draw_w"] = [
            [round(at * 100 / (DRAW_POINTS - 1), 4), round(40 - at / 30 - number / 100 + at % 2, 3)]
            for at in range(DRAW_POINTS)
        ]
        one["accepts"] = [f"{5 + line % 16}V 3A" for line in range(LABEL_LINES)] if number < 32 else one["accepts"]
    return made


def pools(many):
    """As many pools on each charger as there may be."""
    made = setup(many, 64, many)
    for one in made["chargers"]:
        names = [each["name"] for each in one["ports"]]
        one["pools"] = [
            {
                "name": f"pool {number}",
                "ports": [name for at, name in enumerate(names) if (at * 5 + number) % 7 < 3],
                "max_w": 700 + number,
            }
            for number in range(POOLS)
        ]
    return made


def pinned(many):
    made = setup(many, 16, many)
    for number, one in enumerate(made["devices"]):
        if number % 4 == 0:
            one["port"] = f"P{(number * 5 + 3) % many}"
    return made


def sessions(ports, on_each, many, alike=False, here=None, count=SESSIONS):
    """A night of as many sessions as there may be; `here` says how many of them each device is at hand."""
    made = setup(
        ports,
        on_each,
        many,
        alike,
        sessions=[{"name": f"S{number}", "hours": 1 + number % 3 / 2} for number in range(count)],
    )
    for number, one in enumerate(made["devices"] if here else []):
        one["sessions"] = [f"S{(number + at) % count}" for at in range(here)]
    return made


def trip(ports_on_each, many, outlets, alike=False):
    """As many stops, chargers, adapters, appliances, converters and batteries as there may be."""
    made = setup(SOURCES * ports_on_each, ports_on_each, many, alike)
    for number, one in enumerate(made["chargers"]):
        one |= {
            "plug": "C" if alike else ["C", "EF", "A", "G"][number % 4],
            "input_v": "100-240V",
            "input_hz": "50/60Hz",
            "weight_g": 100 + number,
        }
    lands = (
        ["DK"]
        if alike
        else ["DK", "GB", "US", "JP", "BR", "CH", "IT", "AU", "ZA", "IN", "IL", "CN", "FR", "DE", "AR", "TH"]
    )
    plugs = ["A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L10", "M", "N10"]
    made["trip"] = {
        "travellers": 4,
        "stops": [
            {
                "name": f"stop {number}",
                "country": lands[number % len(lands)],
                "nights": 1,
                "outlets": outlets if alike else 1 + (number + outlets) % SOURCES,
                "session_h": 8 if alike else round(6 + number / 10, 1),
            }
            for number in range(STOPS)
        ],
        "adapters": [
            {
                "name": f"adapter {number}",
                "takes": ["C", "EF", "A", "G"],
                "makes": [plugs[number % len(plugs)], plugs[(number * 5 + 1) % len(plugs)]],
                "max_a": 6 + number % 10,
                "earthed": number % 3 == 0,
                "weight_g": 20 + number,
            }
            for number in range(ADAPTERS)
        ],
        "appliances": [
            {
                "name": f"appliance {number}",
                "plug": ["EF", "G", "B", "C"][number % 4],
                "input_v": ["230V", "100-240V", "120V", "220-240V"][number % 4],
                "input_hz": "50/60Hz",
                "max_w": 50 + number * 20,
                "kind": ["heating", "motor", "electronic"][number % 3],
                "needs_earth": number % 5 == 0,
            }
            for number in range(APPLIANCES)
        ],
        "converters": [
            {
                "name": f"converter {number}",
                "from_v": ["100-127V", "220-240V"][number % 2],
                "to_v": [230, 120][number % 2],
                "max_w": 100 + number * 100,
                "kinds": ["electronic", "heating", "motor"],
                "plug": ["B", "EF"][number % 2],
                "takes": ["C", "EF", "G", "B"],
                "earthed": True,
                "weight_g": 900 + number,
            }
            for number in range(CONVERTERS)
        ],
        "batteries": [
            {"name": f"battery {number}", "kind": "spare", "battery_wh": 20 + number / 2}
            for number in range(256 if alike else 200)
        ],
    }
    return made


def bag(made):
    return {key: value for key, value in made.items() if key != "chargers"}


def candidates(ports):
    """As many chargers as a ranking by pairs may have, no two alike."""
    found = []
    for number in range(CANDIDATES):
        each = [port(number * ports + at) | {"name": f"C{at}"} for at in range(1 + number % ports)]
        for one in each:
            one["max_w"] = round(one["pd_w"] - number / 1000, 3)
        found.append(
            charger(number, each, 0.55 + number % 5 / 10)
            | {"weight_g": 50 + number * 7 % 900, "price": 10 + number * 13 % 200}
        )
    return found


def ways(made):
    """The short form of who sits where: each device on the port of the same number."""
    names = [each["name"] for one in made["chargers"] for each in one["ports"]]
    people = [one["name"] for one in made["devices"]]
    return dict(zip(people, names))


def faulty(megabytes):
    """A text whose every device is wrong in several fields."""
    one = {"name": "", "accept": "5V", "battery_wh": -1, "start_pct": "20", "priority": 9, "port": "nowhere"}
    count = megabytes * 1_000_000 // (len(json.dumps(one)) + 2)
    return {"version": 1, "chargers": chargers(4, 4), "cables": [LEAD], "devices": [one] * count}
