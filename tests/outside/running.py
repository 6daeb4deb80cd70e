"""One run of the binary: its time, its memory, and what it left in its folder."""

import dataclasses
import math
import os
import pathlib
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time

# So that a run which takes all memory ends before the machine does.
MOST_BYTES = 4 << 30


@dataclasses.dataclass
class Case:
    """What is run: arguments, the files that it may read, and those that it is asked to write."""

    name: str
    arguments: list
    files: dict
    outputs: dict = dataclasses.field(default_factory=dict)
    stdin: str | None = None
    # What the checks need to know beside: why this run, what it follows from.
    about: dict = dataclasses.field(default_factory=dict)


@dataclasses.dataclass
class Ended:
    """How a run ended; `code` is negative for a signal, and `killed` where it took too long."""

    code: int
    stdout: bytes
    stderr: bytes
    wall_s: float
    cpu_s: float
    peak_mib: float
    killed: bool
    # Every file of the folder afterwards.
    files: dict


class RunFolder:
    """Runs cases one after the other, each in a folder of its own."""

    def __init__(self, binary, folder, wall_s, cpu_s=None):
        self.binary = binary
        self.folder = pathlib.Path(folder)
        self.wall_s = wall_s
        self.cpu_s = cpu_s
        self.count = 0

    def run(self, case):
        self.count += 1
        folder = self.folder / f"run-{self.count}"
        folder.mkdir()
        try:
            for path, data in case.files.items():
                (folder / path).parent.mkdir(parents=True, exist_ok=True)
                (folder / path).write_bytes(data)
            return self.ended(case, folder)
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def ended(self, case, folder):
        streams = [self.folder / "stdout", self.folder / "stderr"]
        stdin = folder / case.stdin if case.stdin else os.devnull
        with open(stdin, "rb") as given, open(streams[0], "wb") as out, open(streams[1], "wb") as err:
            code, usage, wall, killed = measured(
                [self.binary, *case.arguments], self.wall_s, self.cpu_s, stdin=given, stdout=out, stderr=err, cwd=folder
            )
        stdout, stderr = (path.read_bytes() for path in streams)
        left = {
            path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
            for path in folder.rglob("*")
        }
        return Ended(code, stdout, stderr, wall, usage.ru_utime + usage.ru_stime, mib(usage), killed, left)


def measured(command, wall_s, cpu_s=None, **how):
    """(exit code, resource usage, seconds, whether it was killed) of a command that may take so many seconds."""
    began = time.monotonic()
    process = subprocess.Popen(command, **how)
    limit(process.pid, cpu_s)
    killed = threading.Event()

    def kill():
        killed.set()
        os.kill(process.pid, signal.SIGKILL)

    timer = threading.Timer(wall_s, kill)
    timer.start()
    _, status, usage = os.wait4(process.pid, 0)
    timer.cancel()
    wall = time.monotonic() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    return process.returncode, usage, wall, killed.is_set() or process.returncode == -signal.SIGXCPU


def limit(pid, cpu_s):
    """Limits a process that runs already, where the system can do that (Linux)."""
    if not hasattr(resource, "prlimit"):
        return
    try:
        resource.prlimit(pid, resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
        if cpu_s:
            resource.prlimit(pid, resource.RLIMIT_CPU, (math.ceil(cpu_s), math.ceil(cpu_s) + 2))
    except (ProcessLookupError, PermissionError):
        pass  # It has ended already.


def mib(usage):
    """The peak memory; of a very small run it is that of the Python which started it."""
    return usage.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10)
