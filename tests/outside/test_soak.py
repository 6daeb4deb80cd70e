"""Checks that soak.py finds what it is there to find, on programs that answer wrongly on purpose.

Run as `python test_soak.py`.
"""

import pathlib
import sys
import tempfile

import soak

LINES = 7000
# Answers like `batch`, but for what the name of a fault does.
PROGRAM = """#!{python}
import json, sys, time
fault, kept, held = {fault!r}, [], None
if sys.argv[1] != "batch":
    sys.exit(fault == "refused")
for number, line in enumerate(sys.stdin.buffer):
    try:
        given = json.loads(line)
        good = not any(word in line for word in (b"-18", b"hw", b'"ports":7', b"[]")) and isinstance(given, dict)
        name = given["id"] if isinstance(given, dict) else None
    except ValueError:
        good, name = False, None
    answer = json.dumps({{"id": name, "plan" if good else "errors": {{"a": 1}} if good else [{{"a": 1}}]}}, separators=(",", ":"))
    if fault == "lost" and number == 5000:
        continue
    if fault == "swapped" and number == 5000:
        held = answer
        continue
    if fault == "planned" and not good:
        answer = answer.replace("errors", "plan")
    if fault == "grows":
        kept.append(bytearray(3000))
    print(answer)
    if held and number == 5001:
        print(held)
sys.exit(3 if fault == "ends" else 0)
"""


def faults_of(fault):
    with tempfile.TemporaryDirectory() as folder:
        program = pathlib.Path(folder) / "program"
        program.write_text(PROGRAM.format(python=sys.executable, fault=fault))
        program.chmod(0o755)
        # Where an answer is missing, it is waited for.
        soak.PATIENCE_S = 5
        run = soak.Soak(str(program), 1, LINES, LINES)
        run.run()
        return list(run.faults(2048))


def main():
    cases = {
        "none": None,
        "lost": "answers to 7000 lines",
        "swapped": "2 answers are none to their lines; the first is to line 5000",
        "planned": "answers are none to their lines; the first is to line 500:",
        "grows": "memory grows",
        "ends": "exit code 3",
        "refused": "is refused",
    }
    for fault, expected in cases.items():
        print(fault, flush=True)
        found = faults_of(fault)
        assert not found if expected is None else any(expected in said for said in found), (fault, found)
    print("all hold")


if __name__ == "__main__":
    sys.exit(main())
