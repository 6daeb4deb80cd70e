"""Checks of the comparing in benches/instructions.py, on numbers made up here.

Run as `python test_instructions.py`.
"""

import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "benches"))

import instructions  # noqa: E402

MADE_BY = {"rustc": "1.95.0 (a)", "profile": "release", "processor": "x86_64", "valgrind": "3.19.0", "libc": "glibc 2.36"}
BEFORE = {"check": 1_000_000, "rota": 2_000_000}


def compared(now, before=BEFORE, **made_by):
    lines, code = instructions.compared(MADE_BY, before, {**MADE_BY, **made_by}, now)
    return "\n".join(lines), code


def the_same():
    text, code = compared(BEFORE)
    assert code == instructions.COMPARED and text.count("1.000") == 2, text


def five_per_cent_more_is_allowed():
    text, code = compared({**BEFORE, "rota": 2_100_000})
    assert code == instructions.COMPARED and "MORE" not in text, text
    text, code = compared({**BEFORE, "rota": 2_100_001})
    assert code == instructions.WORSE, text
    assert "2000000" in text and "2100001" in text and "1.050  MORE" in text, text
    assert text.endswith("more than 5% above what it was: rota"), text


def fewer_is_said_and_no_failure():
    text, code = compared({**BEFORE, "check": 949_999})
    assert code == instructions.COMPARED and "--write" in text and "fewer" in text, text


def fewer_of_one_hides_no_more_of_another():
    text, code = compared({"check": 500_000, "rota": 2_200_000})
    assert code == instructions.WORSE and "above what it was: rota" in text, text


def other_makers_have_a_wider_margin():
    for what, other in ("rustc", "1.96.0 (b)"), ("valgrind", "3.22.0"), ("libc", "glibc 2.41"):
        text, code = compared({**BEFORE, "rota": 2_400_000}, **{what: other})
        assert code == instructions.COMPARED and f"{what} was {MADE_BY[what]} and is {other}: 25%" in text, text
        text, code = compared({**BEFORE, "rota": 2_500_001}, **{what: other})
        assert code == instructions.WORSE and "more than 25% above" in text, text


def another_processor_is_not_compared():
    text, code = compared({**BEFORE, "rota": 9_000_000}, processor="aarch64")
    assert code == instructions.NO_COMPARISON and "x86_64" in text and "aarch64" in text, text


def calls_and_lines_must_match():
    for before, now in ({"check": 1_000_000}, BEFORE), (BEFORE, {"check": 1_000_000}):
        text, code = compared(now, before)
        assert code == instructions.WORSE and "do not match (rota)" in text, text


def the_file_is_read_back():
    assert instructions.read(instructions.written(MADE_BY, BEFORE)) == (MADE_BY, BEFORE)


def the_file_has_every_call():
    made_by, before = instructions.read(instructions.HELD.read_text(encoding="utf-8"))
    assert list(before) == [name for name, *_ in instructions.CALLS], list(before)
    assert set(made_by) == set(MADE_BY), made_by
    # Too few would be the noise of starting a process; too many nobody waits for.
    assert all(10**7 <= count <= 10**9 for count in before.values()), before


CHECKS = (
    the_same, five_per_cent_more_is_allowed, fewer_is_said_and_no_failure, fewer_of_one_hides_no_more_of_another,
    other_makers_have_a_wider_margin, another_processor_is_not_compared, calls_and_lines_must_match,
    the_file_is_read_back, the_file_has_every_call,
)  # fmt: skip


def main():
    for check in CHECKS:
        print(check.__name__, flush=True)
        check()
    print("all hold")


if __name__ == "__main__":
    sys.exit(main())
