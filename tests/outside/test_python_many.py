"""Many setups at once from Python: what one call for each gives, in order, and flat memory."""

import io
import json
import queue
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import wattberth
from python_package import BINARY, FIXTURES, small

CANDIDATES = (FIXTURES / "candidates.ndjson").read_text().splitlines()
QUARTET = json.loads((FIXTURES / "quartet.json").read_text())


@pytest.mark.parametrize("threads", [None, 1, 2, 7])
def test_plans_are_those_of_single_calls(threads: int | None) -> None:
    setups: list[Any] = [small(), (QUARTET, CANDIDATES[4]), FIXTURES / "table.txt"]
    setups += [(QUARTET, [json.loads(line) for line in CANDIDATES[3:5]])]
    setups += [["charger 65 W", f"laptop {n} % left"] for n in range(40)]
    single = [
        wattberth.assign(one[0], charger=one[1]) if isinstance(one, tuple) else wattberth.assign(one)
        for one in setups
    ]
    assert wattberth.plan_many(setups, threads) == single
    assert wattberth.plan_many(iter(setups), threads) == single


def test_none_are_none() -> None:
    assert wattberth.plan_many([]) == []
    assert list(wattberth.batch_lines([])) == []
    assert list(wattberth.batch_lines(["", "  \n", b"\n"])) == []


def test_a_fault_stands_in_its_place_or_is_raised() -> None:
    nan = small(session_h=float("nan"))
    setups: list[Any] = [small(), nan, small(), "nonsense", small(), small(devices=[]), nan]
    found = wattberth.plan_many(setups, keep_errors=True)
    plan = wattberth.assign(small())
    for index, one in enumerate(found):
        if index in (0, 2, 4):
            assert one == plan
        else:
            assert isinstance(one, wattberth.InputError)
            assert one.index == index
            with pytest.raises(wattberth.InputError) as single:
                wattberth.assign(setups[index])
            assert single.value.faults == one.faults
    with pytest.raises(wattberth.InputError) as refused:
        wattberth.plan_many(setups)
    assert refused.value.index == 1
    with pytest.raises(TypeError):
        wattberth.plan_many([small(), 5], keep_errors=True)  # type: ignore[list-item]
    with pytest.raises(ZeroDivisionError):
        wattberth.plan_many(small(n=1 // n) for n in (1, 0))


def lines(many: int) -> Iterator[str]:
    for number in range(many):
        charger = {"name": "cube", "ports": [{"name": "C1", "pd_w": 5 + number % 90}]}
        bag = {name: value for name, value in small().items() if name != "chargers"}
        yield json.dumps({"id": number, "setup": bag, "charger": charger})


@pytest.mark.parametrize("threads", [None, 1, 3])
def test_lines_are_answered_as_the_command_answers_them(threads: int | None, tmp_path: Path) -> None:
    hostile = [
        "", "nonsense", "[]", '{"id": 1}', "\ud800", '{"id": "\\u2028", "setup": {}}', " ",
        b"\xff\xfe", '{"setup": 5, "charger": {}, "chargers": []}', "null", '{"id": {"a": [1e400]}}',
    ]
    given = [*lines(300), *hostile, *lines(3)]
    file = tmp_path / "lines.ndjson"
    encoded = [
        line if isinstance(line, bytes) else line.encode("utf-8", "surrogatepass") for line in given
    ]
    file.write_bytes(b"".join(line + b"\n" for line in encoded))
    ran = subprocess.run([BINARY, "batch", file], capture_output=True, check=True)
    said = ran.stdout.decode().splitlines(keepends=True)
    assert list(wattberth.batch_lines(given, threads)) == said
    with file.open("rb") as opened:
        assert list(wattberth.batch_lines(opened, threads)) == said
    assert list(wattberth.batch(given, threads)) == [json.loads(line) for line in said]


def test_options_reach_the_lines() -> None:
    line = json.dumps({"id": 1, "setup": QUARTET})
    (plain,) = wattberth.batch([line])
    (more,) = wattberth.batch([line], reshared=True, because=True)
    assert "reshared_h" not in plain["plan"] and "because" not in plain["plan"]
    assert "reshared_h" in more["plan"] and "because" in more["plan"]
    (short,) = wattberth.batch([line], until="longest")
    assert short["plan"]["status"] == "feasible"


def test_one_thread_answers_before_it_takes_the_next() -> None:
    asked: queue.Queue[str] = queue.Queue()
    answers = wattberth.batch_lines(iter(asked.get, "end"), 1)
    for line in lines(3):
        asked.put(line)
        assert json.loads(next(answers))["plan"]
    asked.put("end")
    assert next(answers, None) is None


def test_lines_are_taken_as_answers_are() -> None:
    taken = 0

    def counted() -> Iterator[str]:
        nonlocal taken
        for line in lines(10_000):
            taken += 1
            yield line

    answers = wattberth.batch_lines(counted())
    assert taken == 0, "nothing was asked for"
    for answered in range(1, 200):
        next(answers)
        assert taken <= answered + 1_024
    answers.close()  # type: ignore[attr-defined]
    assert taken < 2_000


def test_a_stream_that_is_left_ends_its_threads() -> None:
    before = threading.active_count()
    for _ in range(50):
        next(wattberth.batch_lines(lines(100)))
    # Threads of the library are not Python's; those of the system are counted.
    tasks = Path("/proc/self/task")
    if tasks.exists():
        for _ in range(100):
            if len(list(tasks.iterdir())) < 40:
                break
            threading.Event().wait(0.1)
        assert len(list(tasks.iterdir())) < 40
    assert threading.active_count() == before


def test_what_the_lines_raise_comes_out() -> None:
    def broken() -> Iterator[str]:
        yield from lines(2)
        raise OSError("the disk is gone")

    with pytest.raises(OSError, match="gone"):
        list(wattberth.batch_lines(broken()))
    with pytest.raises(TypeError, match="plan_many"):
        list(wattberth.batch_lines([small()]))  # type: ignore[list-item]
    closed = io.StringIO("x")
    closed.close()
    with pytest.raises(ValueError):
        list(wattberth.batch_lines(closed))


MEMORY = """
import resource, sys
import wattberth
from test_python_many import lines
many = int(sys.argv[1])
assert sum(1 for _ in wattberth.batch_lines(lines(many))) == many
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def test_memory_does_not_grow_with_the_lines() -> None:
    def peak(many: int) -> int:
        words = [sys.executable, "-c", MEMORY, str(many)]
        ran = subprocess.run(words, cwd=Path(__file__).parent, capture_output=True, text=True, check=True)
        return int(ran.stdout)

    few, many = peak(2_000), peak(20_000)
    assert many < few + 16_384, f"{few} kB, then {many} kB"
