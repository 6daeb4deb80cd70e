#!/usr/bin/env python3
"""Holds `batch` on a stream that goes on for long: nothing lost, in order, and no memory that grows.

    python3 tests/outside/soak.py target/release/wattberth
    python3 tests/outside/soak.py target/release/wattberth --lines 50000 --threads 2,1

Every line is a setup of its own, of two or three devices. One in a thousand is broken, each time in another way. What
is given stops now and then in the middle of a line, so do the answers' being taken, and the last line of all is cut.
For each number of threads:

- every line has its answer, in its place: a good one a plan under its id, a broken one its faults, under its id where
  that can be read;
- the answers are the same bytes whatever the threads (as far as both runs go);
- a sample of the plans is accepted by `verify`;
- the most memory of the second half of the answers is no more than that of the first and `--margin-kib`. That is VmHWM
  of /proc, which is set back in the middle; where that may not be, the most of VmRSS, read a hundred times in each half.

Lines are made and answers are read one by one; nothing is kept but the sample. Exit code 1 where anything does not hold.
It needs Linux, and Python 3.11 alone.
"""

import argparse
import hashlib
import json
import os
import pathlib
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time

BROKEN_EVERY = 1000
READS = 100
PAUSES, PAUSE_S = 20, 0.05
SAMPLE = 12
# Nothing is answered for so long: something hangs.
PATIENCE_S = 120
CABLES = '"cables":[{"name":"lead","length_m":1},{"name":"braided","length_m":2,"count":2}]'
CUT = b'{"id":"cut","setup":{"cables":[{"na'


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("binary", help="path of the wattberth binary")
    arguments.add_argument("--lines", type=int, default=5_000_000, help="how many (%(default)s)")
    arguments.add_argument("--threads", default="1,2", help="of each run, or THREADS:LINES (%(default)s)")
    arguments.add_argument("--margin-kib", type=int, default=2048, help="that memory may grow by (%(default)s)")
    given = arguments.parse_args()
    if shutil.which(given.binary) is None:
        arguments.error(f"{given.binary} is not a program")
    runs = []
    for run in given.threads.split(","):
        threads, _, lines = run.partition(":")
        runs.append((int(threads), int(lines or given.lines)))
    # Every kind of broken line comes up, and both halves of a run have answers.
    if any(lines < len(BROKEN) * BROKEN_EVERY for _, lines in runs):
        arguments.error(f"at least {len(BROKEN) * BROKEN_EVERY} lines are needed")
    common = min(lines for _, lines in runs)
    faults, digests = [], set()
    for threads, lines in runs:
        soak = Soak(given.binary, threads, lines, common)
        soak.run()
        faults += [f"{threads} threads: {fault}" for fault in soak.faults(given.margin_kib)]
        digests.add(soak.digest)
        print(soak.said(), flush=True)
    if len(digests) > 1:
        faults.append(f"the first {common} answers differ with the threads")
    print("\n".join(faults) if faults else "all holds")
    return 1 if faults else 0


def line(number):
    """A good line; no two are the same."""
    watts = 15 + number * 7 % 50
    devices = [
        f'{{"name":"tablet","pd_w":18,"battery_wh":{10 + number % 1_000_003 / 100_000:.5f}}}',
        f'{{"name":"phone","pd_w":20,"battery_wh":{12 + number * 31 % 9973 / 1000:.3f},"start_pct":{number % 61}}}',
    ]
    if number % 3 == 0:
        devices.append('{"name":"recorder","accepts":"5V 1.5A","battery_wh":11,"priority":1}')
    charger = f'{{"name":"cube","max_w":{watts + 10},"ports":[{{"name":"A","pd_w":20}},{{"name":"B","pd_w":{watts}}}]}}'
    return f'{{"id":{number},"setup":{{{CABLES},"devices":[{",".join(devices)}]}},"charger":{charger}}}'.encode()


# How a line is broken, and whether its id can still be read.
BROKEN = [
    (lambda good: good[: len(good) // 2], False),
    (lambda good: good.replace(b'"pd_w":18', b'"pd_w":-18'), True),
    (lambda good: good.replace(b'"battery_wh"', b'"battery_hw"'), True),
    (lambda good: b"\xff" + good, False),
    (lambda good: good.replace(b'"ports"', b'"ports":7,"other"'), True),
    (lambda good: b"[" + good + b"]", False),
    (lambda good: good.replace(b'"length_m":2', b'"length_m":[]'), True),
]


def given_line(number):
    """(the line of a number, what its answer begins with)."""
    good = line(number)
    at, remainder = divmod(number, BROKEN_EVERY)
    if remainder != BROKEN_EVERY // 2:
        return good, b'{"id":%d,"plan":{' % number
    breaks, has_id = BROKEN[at % len(BROKEN)]
    return breaks(good), b'{"id":%d,"errors":[{' % number if has_id else b'{"id":null,"errors":[{'


class Soak:
    """One run of `batch`."""

    def __init__(self, binary, threads, lines, common):
        self.binary, self.threads, self.lines, self.common = binary, threads, lines, common
        self.answers = self.broken = self.wrong = self.accepted = 0
        self.first_wrong = None
        self.sample = {}
        self.digest = None
        self.peaks_kib, self.by_rss = [0, 0], False
        self.code = self.seconds = self.cpu_s = None
        self.more = b""

    def run(self):
        began = time.monotonic()
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        with tempfile.TemporaryFile() as said:
            command = [self.binary, "batch", "--threads", str(self.threads)]
            self.process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said, bufsize=1 << 16
            )
            watch = threading.Thread(target=self.end_what_hangs, daemon=True)
            writer = threading.Thread(target=self.write, daemon=True)
            watch.start()
            writer.start()
            self.read()
            self.code = self.process.wait()
            writer.join(PATIENCE_S)
            said.seek(0)
            self.stderr = said.read(2000).decode(errors="replace")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        self.cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        self.seconds = time.monotonic() - began

    def write(self):
        pause_every = self.lines // PAUSES
        to = self.process.stdin
        try:
            for number in range(self.lines):
                text, _ = given_line(number)
                if number % pause_every == pause_every - 1:
                    to.write(text[:20])
                    to.flush()
                    time.sleep(PAUSE_S)
                    text = text[20:]
                to.write(text)
                to.write(b"\n")
            to.write(CUT)
            to.flush()
            # The last answers are looked at while the process still lives; the cut line ends with the stream.
            while self.answers < self.lines and self.process.poll() is None:
                time.sleep(0.01)
            self.look(1)
            to.close()
        except BrokenPipeError:
            pass  # It ended too soon, which its answers tell.

    def read(self):
        look_every = self.lines // (2 * READS)
        pause_every = self.lines // PAUSES
        sample_every = self.lines // SAMPLE
        digest = hashlib.sha256()
        for answer in self.process.stdout:
            number = self.answers
            if number < self.common:
                digest.update(answer)
            if number >= self.lines:
                self.more += answer
                self.answers += 1
                continue
            text, expected = given_line(number)
            if not answer.startswith(expected) or not answer.endswith(b"}\n"):
                self.wrong += 1
                self.first_wrong = self.first_wrong or (number, answer[:300])
            self.broken += b'"errors"' in expected
            if number % sample_every == 1 and b'"plan"' in expected:
                self.sample[number] = (text, answer)
            self.answers += 1
            if number == self.lines // 2:
                self.look(0)
                self.set_back()
            elif number % look_every == 0:
                self.look(int(number > self.lines // 2))
            if number % pause_every == pause_every // 2:
                time.sleep(PAUSE_S)
        self.digest = digest.hexdigest()

    def look(self, half):
        """Takes the memory of now to a half."""
        try:
            status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        except (FileNotFoundError, ProcessLookupError):
            return
        found = re.search(rf"^{'VmRSS' if self.by_rss else 'VmHWM'}:\s*(\d+) kB$", status, re.MULTILINE)
        if found:
            self.peaks_kib[half] = max(self.peaks_kib[half], int(found[1]))

    def set_back(self):
        """The most memory begins anew with what there is now."""
        try:
            pathlib.Path(f"/proc/{self.process.pid}/clear_refs").write_text("5")
        except OSError:
            self.by_rss = True

    def end_what_hangs(self):
        seen, since = -1, time.monotonic()
        while self.process.poll() is None:
            if self.answers != seen:
                seen, since = self.answers, time.monotonic()
            elif time.monotonic() - since > PATIENCE_S:
                self.process.kill()
                return
            time.sleep(1)

    def faults(self, margin_kib):
        """What does not hold."""
        if self.code != 0 or self.stderr:
            yield f"exit code {self.code}: {self.stderr}"
        if self.answers != self.lines + 1:
            yield f"{self.answers} answers to {self.lines} lines and one that is cut"
        elif not self.more.startswith(b'{"id":null,"errors":[{'):
            yield f"the line that is cut is answered by {self.more[:300]}"
        if self.wrong:
            number, answer = self.first_wrong
            yield f"{self.wrong} answers are none to their lines; the first is to line {number}: {answer}"
        if self.broken < self.lines // BROKEN_EVERY:
            yield f"only {self.broken} lines were broken"
        if 0 in self.peaks_kib:
            yield "its memory could not be read"
        elif self.peaks_kib[1] > self.peaks_kib[0] + margin_kib:
            yield f"memory grows: {self.peaks_kib[0]} KiB in the first half, {self.peaks_kib[1]} KiB in the second"
        if len(self.sample) < SAMPLE // 2:
            yield f"a sample of {len(self.sample)} only"
        for number, (text, answer) in self.sample.items():
            if said := self.refused(text, answer):
                yield f"the plan of line {number} is refused: {said}"
            else:
                self.accepted += 1

    def refused(self, text, answer):
        """Why `verify` refuses a plan, if it does."""
        given = json.loads(text)
        setup = {**given["setup"], "chargers": [given["charger"]]}
        with tempfile.TemporaryDirectory() as folder:
            paths = [os.path.join(folder, name) for name in ("setup.json", "plan.json")]
            for path, document in zip(paths, (setup, json.loads(answer)["plan"])):
                pathlib.Path(path).write_text(json.dumps(document), encoding="utf-8")
            ended = subprocess.run([self.binary, "verify", *paths], capture_output=True, text=True, timeout=PATIENCE_S)
        return "" if ended.returncode == 0 else f"exit code {ended.returncode}: {ended.stdout}{ended.stderr}"

    def said(self):
        rate = self.answers / self.seconds
        first, second = (kib / 1024 for kib in self.peaks_kib)
        what = "the most of VmRSS" if self.by_rss else "VmHWM"
        return (
            f"{self.threads} threads: {self.answers} answers, {self.broken + 1} of them faults, in {self.seconds:.0f} s "
            f"({rate:.0f} a second, {self.cpu_s:.0f} s of CPU time); {what} {first:.1f} MiB in the first half, "
            f"{second:.1f} MiB in the second; {self.accepted} of {len(self.sample)} plans accepted by verify"
        )


if __name__ == "__main__":
    sys.exit(main())
