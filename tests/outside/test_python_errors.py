"""What the Python package makes of input that is wrong, and of being interrupted."""

import copy
import decimal
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections import UserDict
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import wattberth
from python_package import FIXTURES, hard, small


def faults(setup: Any, **more: Any) -> list[wattberth.Fault]:
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.assign(setup, **more)
    return refused.value.faults


def phone(**more: object) -> dict[str, Any]:
    return small(devices=[{"name": "phone", "pd_w": 18, "battery_wh": 15, **more}])


class Loud(int):
    def __repr__(self) -> str:
        raise AssertionError("nobody asks it for its text")


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (float("nan"), "finite"),
        (float("-inf"), "finite"),
        (10**400, "too large"),
        (-(10**30), "not"),
        (b"18", "decode"),
        (bytearray(b"18"), "decode"),
        (memoryview(b"18"), None),
        (object(), "object"),
        ({1, 2}, "set"),
        (1j, "complex"),
        (None, None),
        ("\ud800", "surrogate"),
        (np.float64("nan"), "finite"),
        (np.array([[1, 2], [3, 4]]), None),
        (pd.NA, None),
        (pd.NaT, None),
        (True, None),
        ([], None),
        ("eighteen", None),
    ],
    ids=lambda value: type(value).__name__ if value is not None else "none",
)
def test_no_number_is_a_fault_at_its_place(value: object, said: str | None) -> None:
    found = faults(phone(pd_w=value))
    assert found[0].path.startswith("devices[0].pd_w"), found
    assert (found[0].line, found[0].column, found[0].file) == (None, None, "")
    assert said is None or said in found[0].message


@pytest.mark.parametrize(
    "value",
    [18.0, np.int64(18), np.float32(18), np.float64(18), decimal.Decimal(18), Loud(18)],
    ids=lambda value: type(value).__name__,
)
def test_numbers_of_every_kind_are_numbers(value: object) -> None:
    assert wattberth.assign(phone(pd_w=value)) == wattberth.assign(phone())


def test_columns_and_mappings_are_lists_and_dicts() -> None:
    plain = wattberth.assign(phone(draw_w=[[0, 18], [100, 2]]))
    assert wattberth.assign(phone(draw_w=np.array([[0, 18], [100, 2]]))) == plain
    setup = phone(draw_w=((0, 18), (100, 2)))
    setup["devices"] = tuple(UserDict(device) for device in setup["devices"])
    assert wattberth.assign(UserDict(setup)) == plain


@pytest.mark.parametrize("key", [1, 1.5, None, True, ("a",), b"name"])
def test_the_name_of_a_field_is_text(key: object) -> None:
    setup = small()
    setup["devices"][0][key] = 1
    found = faults(setup)
    assert found[0].path == "devices[0]"
    assert "text" in found[0].message


def test_all_faults_come_at_once() -> None:
    setup = small(session_h=float("inf"))
    setup["devices"].append({"name": b"x", 5: 5})
    paths = [fault.path for fault in faults(setup)]
    assert paths == ["devices[1].name", "devices[1]", "session_h"]


def test_what_holds_itself_is_a_fault() -> None:
    setup = small()
    setup["devices"][0]["self"] = setup
    setup["twice"] = setup["devices"]
    messages = {fault.message for fault in faults(setup)}
    assert messages == {"this holds itself"}
    endless: list[object] = []
    endless.append(endless)
    assert faults(small(devices=endless))[0].path == "devices[0]"


def test_what_is_very_deep_or_very_large_is_refused_soon() -> None:
    deep: Any = 1
    for _ in range(100_000):
        deep = [deep]
    assert "deep" in faults(small(devices=deep))[0].message
    # Small in memory, and without end as text.
    wide: Any = [1]
    for _ in range(60):
        wide = [wide, wide]
    started = time.monotonic()
    assert "16 MiB" in faults(small(devices=wide))[0].message
    assert time.monotonic() - started < 10
    while isinstance(deep, list):
        deep = deep.pop()


def test_a_dict_that_changes_while_it_is_read_does_no_harm() -> None:
    setup = small()

    class Meddler:
        def __float__(self) -> float:
            setup["devices"].clear()
            setup.clear()
            return 18.0

    setup["devices"][0]["pd_w"] = Meddler()
    try:
        wattberth.assign(setup)
    except wattberth.InputError:
        pass

    class Broken:
        def __float__(self) -> float:
            raise ZeroDivisionError("mine")

    with pytest.raises(ZeroDivisionError, match="mine"):
        wattberth.assign(phone(pd_w=Broken()))


@pytest.mark.parametrize("setup", [5, 1.5, None, object(), {1}, [{}], [small()], [b"phone"]])
def test_what_is_no_setup_is_a_type_error(setup: Any) -> None:
    with pytest.raises(TypeError):
        wattberth.assign(setup)


def test_a_text_has_lines() -> None:
    fault = faults('{"chargers": [],\n "devices": [{"name": "phone", "batery_wh": 15}]}')[-1]
    assert (fault.line, fault.suggestion) == (2, "battery_wh")
    assert str(fault).startswith("2:")
    fault = faults("charger 65 W\nlaptop 9999 W")[0]
    assert fault.line == 2
    assert "UTF-8" in faults(b"\xff")[0].message
    assert "UTF-8" in faults("phone \udcff")[0].message
    assert faults("")[0].message
    assert faults({})[0].message


def test_a_file_is_named(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    path.write_text('{"devices": 5}')
    fault = faults(path)[0]
    assert fault.file == str(path)
    assert str(fault).startswith(f"{path}:1:")
    with pytest.raises(FileNotFoundError):
        wattberth.assign(tmp_path / "none.json")
    with pytest.raises(IsADirectoryError):
        wattberth.assign(tmp_path)


def test_faults_beside_the_setup_say_where() -> None:
    charger = {"name": "cube", "ports": [{"name": "C1", "pd_w": 650}]}
    assert faults(small(), charger=charger)[0].file == "charger"
    found = faults(small(), charger=[small()["chargers"][0], charger])
    assert (found[-1].file, found[-1].path) == ("charger[1]", "ports[0].pd_w")
    good = {"name": "good", "ports": [{"name": "C1", "pd_w": 65}]}
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.rank(small(), [good, charger, {"name": float("nan")}])
    assert {fault.file for fault in refused.value.faults} == {"candidate[2]"}
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.rank(phone(pd_w=999), [good, charger])
    files = [fault.file for fault in refused.value.faults]
    assert files == ["", "candidate[1]"]
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.verify(small(), {"version": 1})
    assert refused.value.faults[0].file == "plan"


@pytest.mark.parametrize(
    "options",
    [
        {"budget": 0}, {"budget": -1}, {"budget": 2**64}, {"budget": 1.5}, {"budget": "many"},
        {"time_limit": -1}, {"time_limit": float("nan")}, {"time_limit": float("inf")},
        {"time_limit": "soon"}, {"until": "later"}, {"until": 5}, {"aim": "worst"},
    ],
    ids=str,
)
def test_an_option_outside_its_range_is_named(options: dict[str, Any]) -> None:
    with pytest.raises(wattberth.OptionsError, match=next(iter(options))):
        wattberth.assign(small(), **options)


def test_options_of_single_questions_are_refused() -> None:
    bad: Any = "volume"
    with pytest.raises(wattberth.OptionsError):
        wattberth.pack(FIXTURES / "kiosk-bag.json", by=bad)
    with pytest.raises(wattberth.OptionsError):
        wattberth.size(small(), by_h=-1)
    wrong: list[Any] = [{"up_to": -1}, {"top": -1}, {"plans": 2**70}, {"threads": "two"}, {"up_to": 0}]
    for options in wrong:
        with pytest.raises(wattberth.OptionsError):
            wattberth.rank(small(), FIXTURES / "candidates.ndjson", **options)
    for threads in (0, -1, 100_000, 2**70):
        with pytest.raises(wattberth.OptionsError):
            wattberth.plan_many([small()], threads)
        with pytest.raises(wattberth.OptionsError):
            wattberth.batch_lines([], threads)
    with pytest.raises(wattberth.WattberthError):
        wattberth.wish(small(), "world peace")
    with pytest.raises(TypeError):
        wattberth.assign(small(), buget=5)  # type: ignore[call-arg]


def test_errors_are_pickled_and_copied_whole() -> None:
    for setup in (small(devices=[{"name": "phone", "batery_wh": 1}]), '{"devices": 1}'):
        with pytest.raises(wattberth.InputError) as refused:
            wattberth.plan_many([small(), setup])
        error = refused.value
        assert error.index == 1
        for again in (pickle.loads(pickle.dumps(error)), copy.copy(error), copy.deepcopy(error)):
            assert type(again) is wattberth.InputError
            assert str(again) == str(error) != ""
            assert again.faults == error.faults != []
            assert again.index == 1
    error = pickle.loads(pickle.dumps(wattberth.OptionsError("too much")))
    assert (str(error), error.faults, error.index) == ("too much", [], None)
    for kind in (wattberth.InputError, wattberth.OptionsError):
        assert issubclass(kind, (wattberth.WattberthError, ValueError))


def test_progress_is_told_in_the_callers_thread_and_can_end_the_search() -> None:
    told: list[wattberth.Progress] = []
    threads = set()

    def note(now: wattberth.Progress) -> None:
        threads.add(threading.get_ident())
        told.append(now)

    plan = wattberth.assign(hard(), budget=20_000, progress=note)
    assert threads == {threading.get_ident()}
    assert len(told) > 3
    assert told[-1]["longest_h"] >= plan["longest_h"] - 1e-6
    assert all(now["bound"] <= now["value"] + 1e-6 for now in told)
    assert told[0]["settling"] == "unserved"

    stopped: list[wattberth.Progress] = []

    def stop(now: wattberth.Progress) -> bool:
        stopped.append(now)
        return False

    assert wattberth.assign(hard(), progress=stop)["status"] == "feasible"
    assert len(stopped) == 1

    def fail(now: wattberth.Progress) -> None:
        raise ZeroDivisionError(now["settling"])

    with pytest.raises(ZeroDivisionError, match="unserved"):
        wattberth.assign(hard(), progress=fail)


def test_a_ranking_tells_its_kits() -> None:
    told: list[wattberth.RankProgress] = []
    bag, shelf = FIXTURES / "quartet-bag.json", FIXTURES / "candidates.ndjson"
    wattberth.rank(bag, shelf, progress=told.append)
    assert told[-1]["settled"] == told[-1]["kits"] > 5


def interrupted(code: str, after_s: float = 1.0) -> tuple[int, str, float]:
    """Runs a program that says `ready`, sends it SIGINT, and tells how long it went on."""
    here = Path(__file__).parent
    program = subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=here,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        # What a shell starts in the background ignores SIGINT, and so would all that it starts.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    try:
        assert program.stdout is not None
        assert program.stdout.readline().strip() == "ready"
        time.sleep(after_s)
        sent = time.monotonic()
        program.send_signal(signal.SIGINT)
        said, _ = program.communicate(timeout=60)
    finally:
        program.kill()
    return program.returncode, said, time.monotonic() - sent


LONG = "budget=10**15"
HEAD = "import wattberth, itertools\nfrom python_package import hard\nprint('ready', flush=True)\n"


@pytest.mark.parametrize(
    "call",
    [
        f"wattberth.assign(hard(), {LONG})",
        f"wattberth.assign(hard(), {LONG}, progress=lambda now: None)",
        f"wattberth.improve(hard(), {LONG})",
        f"wattberth.plan_many(itertools.repeat(hard()), {LONG})",
        "import json\nline = json.dumps({'id': 1, 'setup': hard()})\n"
        f"list(wattberth.batch_lines(itertools.repeat(line), {LONG}))",
        "shelf = [{**hard()['chargers'][0], 'name': str(n)} for n in range(40)]\n"
        f"wattberth.rank(hard(), shelf, up_to=2, {LONG})",
    ],
    ids=["assign", "with progress", "improve", "plan_many", "batch_lines", "rank"],
)
def test_a_keyboard_interrupt_ends_the_search(call: str) -> None:
    code, said, took = interrupted(HEAD + call)
    assert code == -signal.SIGINT, said
    assert said.rstrip().endswith("KeyboardInterrupt"), said
    assert took < 15, f"it went on for {took:.1f} s"


def test_after_an_interrupt_the_package_goes_on() -> None:
    code = (
        HEAD + f"try:\n    wattberth.assign(hard(), {LONG})\nexcept KeyboardInterrupt:\n"
        "    print(len(wattberth.plan_many([hard()] * 3, budget=100)), 'more')\n"
    )
    ended, said, _ = interrupted(code)
    assert (ended, said.split()[-2:]) == (0, ["3", "more"])


def test_threads_call_at_once() -> None:
    whole = wattberth.assign(hard(), budget=2000)
    answers: list[Any] = []

    def ask() -> None:
        answers.append(wattberth.assign(hard(), budget=2000))
        answers.append(wattberth.plan_many([hard()] * 2, 2, budget=2000)[1])

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    assert answers == [whole] * 16


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
def test_it_works_in_a_forked_process() -> None:
    import multiprocessing

    wattberth.plan_many([small()] * 4)
    with multiprocessing.get_context("fork").Pool(2) as pool:
        plans = pool.map_async(wattberth.assign, [small()] * 6).get(timeout=60)
        assert plans == [wattberth.assign(small())] * 6
        with pytest.raises(wattberth.InputError) as refused:
            pool.apply_async(wattberth.assign, ({},)).get(timeout=60)
        assert refused.value.faults
