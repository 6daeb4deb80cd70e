"""Every question of the Python package: the same document as the command's, of the right type."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import typeguard
import wattberth
from python_package import FIXTURES, command, hard, small
from wattberth import documents

QUARTET = FIXTURES / "quartet.json"
NIGHT = FIXTURES / "quartet-night.json"
TOUR = FIXTURES / "tour.txt"
CANDIDATES = FIXTURES / "candidates.ndjson"
# As the command asks for a plan.
FULL = {"reshared": True, "because": True}

Case = tuple[Callable[[], Any], list[object], Any]


def best() -> Any:
    return wattberth.assign(QUARTET, **FULL)


CASES: dict[str, Case] = {
    "assign": (best, ["assign", QUARTET], documents.Plan),
    "assign, a list": (
        lambda: wattberth.assign((FIXTURES / "table.txt").read_text(), **FULL),
        ["assign", FIXTURES / "table.txt"],
        documents.Plan,
    ),
    "assign, another charger": (
        lambda: wattberth.assign(QUARTET, charger=FIXTURES / "desk.json", **FULL),
        ["assign", QUARTET, "--charger", FIXTURES / "desk.json"],
        documents.Plan,
    ),
    "assign, a budget": (
        lambda: wattberth.assign(hard(), budget=3000, **FULL),
        ["assign", "-", "--budget", 3000],
        documents.Plan,
    ),
    "rota": (lambda: wattberth.rota(NIGHT, **FULL), ["rota", NIGHT], documents.Rota),
    "score": (
        lambda: wattberth.score(QUARTET, FIXTURES / "quartet-berths.json", reshared=True),
        ["score", QUARTET, FIXTURES / "quartet-berths.json"],
        documents.Score,
    ),
    "improve": (lambda: wattberth.improve(QUARTET), ["improve", QUARTET], documents.Improvements),
    "wish": (
        lambda: wattberth.wish(QUARTET, "everybody served"),
        ["wish", QUARTET, "everybody served"],
        documents.Wishes,
    ),
    "size": (
        lambda: wattberth.size(FIXTURES / "quartet-bag.json", by_h=7.5),
        ["size", FIXTURES / "quartet-bag.json", "--by", 7.5],
        documents.Sizing,
    ),
    "rank": (
        lambda: wattberth.rank(
            FIXTURES / "quartet-bag.json", CANDIDATES, top=3, plans=1, times=["all"]
        ),
        ["rank", FIXTURES / "quartet-bag.json", CANDIDATES, "--top", 3]
        + ["--plans", 1, "--times", "all"],
        documents.Ranking,
    ),
    "rank, by price": (
        lambda: wattberth.rank(
            FIXTURES / "weekend-bag.txt", CANDIDATES, up_to=2, unbeaten=True, by="price", threads=1
        ),
        ["rank", FIXTURES / "weekend-bag.txt", CANDIDATES, "--up-to", 2, "--unbeaten"]
        + ["--by", "price"],
        documents.Ranking,
    ),
    "timeline": (
        lambda: wattberth.timeline(QUARTET, reshared=True, rules=True, step_min=30),
        ["timeline", QUARTET, "--reshared", "--rules", "--step", 30],
        documents.Timeline,
    ),
    "timeline, a rota": (
        lambda: wattberth.timeline(NIGHT, wattberth.rota(NIGHT)),
        ["timeline", NIGHT, "--rota"],
        documents.Timeline,
    ),
    "calendar": (
        lambda: wattberth.calendar(FIXTURES / "week.txt"),
        ["calendar", FIXTURES / "week.txt"],
        documents.Calendar,
    ),
    "trip": (lambda: wattberth.trip(TOUR), ["trip", TOUR], documents.Trip),
    "pack": (
        lambda: wattberth.pack(FIXTURES / "kiosk-bag.json", by="price"),
        ["pack", FIXTURES / "kiosk-bag.json", "--by", "price"],
        documents.Luggage,
    ),
    "pack, another shop": (
        lambda: wattberth.pack(FIXTURES / "kiosk-bag.json", shop=[FIXTURES / "tour-shop.txt"], alone=True),
        ["pack", FIXTURES / "kiosk-bag.json", "--shop", FIXTURES / "tour-shop.txt", "--alone"],
        documents.Luggage,
    ),
    "read": (
        lambda: wattberth.read(FIXTURES / "table.txt"),
        ["read", FIXTURES / "table.txt"],
        documents.Setup,
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_the_same_document_as_the_commands(name: str) -> None:
    asked, words, kind = CASES[name]
    stdin = json.dumps(hard()) if "-" in words else None
    answer = asked()
    assert answer == command(*words, "--json", stdin=stdin)
    typeguard.check_type(answer, kind, collection_check_strategy=typeguard.CollectionCheckStrategy.ALL_ITEMS)


def test_the_types_refuse_what_is_none() -> None:
    """So that the check above can fail: of a field more, one less, one of another type."""
    plan = best()
    for wrong in (
        {**plan, "extra": 1},
        {name: value for name, value in plan.items() if name != "berths"},
        {**plan, "berths": [{**plan["berths"][0], "hours": "soon"}]},
        {**plan, "status": "perhaps"},
    ):
        with pytest.raises(typeguard.TypeCheckError):
            typeguard.check_type(wrong, documents.Plan)


@pytest.mark.parametrize(
    "path", [path for path in sorted(FIXTURES.glob("*.json")) if "berths" not in path.name]
)
def test_every_setup_of_the_fixtures_has_the_type_of_one(path: Path) -> None:
    typeguard.check_type(
        # A bag has no chargers.
        {"chargers": [], **json.loads(path.read_text())},
        documents.Setup,
        collection_check_strategy=typeguard.CollectionCheckStrategy.ALL_ITEMS,
    )


def test_every_form_of_a_setup_gives_the_same_plan() -> None:
    text = QUARTET.read_text()
    forms = [QUARTET, text, text.encode(), bytearray(text, "utf-8"), json.loads(text), "\ufeff" + text]
    plans = [wattberth.assign(form) for form in forms]
    assert all(plan == plans[0] for plan in plans)
    lines = (FIXTURES / "table.txt").read_text()
    assert wattberth.assign(lines) == wattberth.assign(lines.splitlines())


def test_a_list_that_is_read_is_written_again() -> None:
    text = wattberth.to_list(FIXTURES / "table.txt")
    assert text is not None and "laptop" in text
    assert wattberth.read(text)["devices"] == wattberth.read(FIXTURES / "table.txt")["devices"]
    assert wattberth.to_list(small(devices=[
        {"name": "phone", "battery_wh": 15, "draw_w": [[0, 18], [100, 2]], "pd_w": 18}
    ])) is None


def test_a_plan_is_kept_and_a_guest_is_placed() -> None:
    before = wattberth.assign(FIXTURES / "green-room.txt")
    found = wattberth.guest(FIXTURES / "green-room-guest.txt", before)
    assert found["places"]
    typeguard.check_type(found, documents.Guest)
    kept = wattberth.assign(FIXTURES / "green-room-guest.txt", keep=before)
    assert "moves" in kept
    started = wattberth.assign(FIXTURES / "green-room.txt", start=before)
    assert started == before


def test_a_proof_is_accepted_and_a_changed_one_is_not() -> None:
    plan = best()
    proof = wattberth.prove(QUARTET, plan)
    assert wattberth.verify(QUARTET, plan, proof=proof)["ok"]
    name = next(name for name in proof if name.endswith(".pbp"))
    changed = {**proof, name: proof[name].replace("1", "2", 1)}
    assert not wattberth.verify(QUARTET, plan, proof=changed)["ok"]


def test_a_changed_plan_is_refused() -> None:
    plan = best()
    assert wattberth.verify(QUARTET, plan)["violations"] == []
    plan["berths"][0]["hours"] += 1
    found = wattberth.verify(QUARTET, plan)
    assert not found["ok"]
    assert found["violations"][0]["path"].startswith("berths[0]")
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.timeline(QUARTET, plan)
    assert refused.value.faults[0].file == "plan"


def test_reasons_are_those_of_the_plan() -> None:
    assert wattberth.why(QUARTET) == best()["because"] != []


def test_the_aim_is_the_setups_where_none_is_given() -> None:
    setup = json.loads(QUARTET.read_text())
    other = "promise" if wattberth.assign(setup)["aim"] == "best" else "best"
    plan = wattberth.assign(setup, aim=other)
    said = wattberth.assign({**setup, "aim": other})
    assert plan == said
    assert wattberth.assign((FIXTURES / "table.txt").read_text(), aim="best")["aim"] == "best"
    assert wattberth.size(setup, aim="best") == wattberth.size({**setup, "aim": "best"})


def test_until_leaves_the_rest_open() -> None:
    plan = wattberth.assign(hard(), until="longest", budget=3000)
    assert plan["status"] == "feasible"
    assert wattberth.assign(hard(), time_limit=0)["status"] == "feasible"


def test_check_says_all_at_once() -> None:
    assert wattberth.check(QUARTET) == []
    bag = FIXTURES / "quartet-bag.json"
    assert wattberth.check(bag, bag=True) == []
    assert "chargers" in wattberth.check(bag)[0].message
    broken = small(devices=[{"name": "phone", "pd_w": -1, "batery_wh": 15}])
    assert len(wattberth.check(broken)) >= 2
