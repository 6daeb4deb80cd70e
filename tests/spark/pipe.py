"""`wattberth batch` under Apache Spark: the same answers as one process, executors lost or not.

Runs the binary by RDD.pipe in local-cluster mode (two executors, each a process of its
own), over several partitions, and kills executors while they are at work, one after the
other. Some lines are broken, and some have a megabyte, and so have their answers.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pyspark

# Spark starts its executors from here, with this interpreter.
os.environ.setdefault("SPARK_HOME", str(Path(pyspark.__file__).parent))
os.environ["PYSPARK_PYTHON"] = sys.executable
os.environ.setdefault("SPARK_LOCAL_IP", "127.0.0.1")

EXECUTORS = 2
PATIENCE_S = 1200
# Every so many lines one is broken: it is answered, too, and in its place.
BROKEN_EVERY = 997
# And every so many lines one has an id of a megabyte, which its answer has, too.
LARGE_EVERY = 499
LARGE = "x" * 1_000_000


def mixed(source, target):
    """Writes the lines with some broken and some made large; how many there are, and how many large."""
    count = large = 0
    with open(source, encoding="utf-8") as lines, open(target, "w", encoding="utf-8") as out:
        for count, line in enumerate(lines, 1):
            if count % BROKEN_EVERY == 0:
                line = line[: len(line) // 2] + "\n"
            elif count % LARGE_EVERY == 0:
                large += 1
                line = json.dumps({**json.loads(line), "id": f"{count} {LARGE}"}) + "\n"
            out.write(line)
    return count, large


def by_one_process(binary, path):
    answers = subprocess.run([binary, "batch", path], stdout=subprocess.PIPE, check=True)
    return answers.stdout.decode("utf-8").splitlines()


def parent_of(pid):
    # The name of the program, in brackets, may hold blanks.
    return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])


def executors_below(ancestor):
    """The processes of this run's own executors."""
    found = []
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            command = (entry / "cmdline").read_bytes().split(b"\0")
            above = int(entry.name)
            while above not in (0, 1, ancestor):
                above = parent_of(above)
        except (OSError, ValueError):
            continue
        # The backend's class is an argument of its own; a wrapper's script is not.
        if above == ancestor and any(b"ExecutorBackend" in word for word in command[1:]):
            if b"java" in command[0]:
                found.append(int(entry.name))
    return found


def at_work(context):
    """Tasks done and tasks running, over all stages at work."""
    tracker = context.statusTracker()
    infos = [tracker.getStageInfo(stage) for stage in tracker.getActiveStageIds()]
    infos = [info for info in infos if info is not None]
    return sum(i.numCompletedTasks for i in infos), sum(i.numActiveTasks for i in infos)


def kill_some(context, partitions, lost, killed):
    """Kills executors, each when a further part of the tasks is done and two are at work."""
    ancestor = context._gateway.proc.pid
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end and len(killed) < lost:
        done, running = at_work(context)
        if done >= partitions * (len(killed) + 1) // (lost + 2) and running >= EXECUTORS:
            executors = executors_below(ancestor)
            # In the place of a lost one another must have begun.
            if len(executors) == EXECUTORS and not {pid for pid, _ in killed} & set(executors):
                os.kill(executors[0], signal.SIGKILL)
                killed.append((executors[0], done))
        time.sleep(0.05)


def failed_tasks(context):
    tracker = context._jsc.statusTracker()
    tries = (tracker.getStageInfo(stage) for stage in range(8))
    return sum(info.numFailedTasks() for info in tries if info is not None)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("binary", type=lambda path: str(Path(path).resolve()))
    parser.add_argument("lines", type=Path, help="lines for batch, all of them good")
    parser.add_argument("--partitions", type=int, default=16)
    parser.add_argument("--lost", type=int, default=2, help="executors to kill (%(default)s)")
    args = parser.parse_args()

    path = str(args.lines.resolve().with_suffix(".mixed.ndjson"))
    count, large = mixed(args.lines, path)
    start = time.monotonic()
    expected = by_one_process(args.binary, path)
    print(f"one process: {len(expected)} answers in {time.monotonic() - start:.0f} s", flush=True)
    if len(expected) != count or not any('"errors"' in answer for answer in expected):
        sys.exit("one process does not answer every line")
    if not large or sum(len(answer) > len(LARGE) for answer in expected) != large:
        sys.exit(f"{large} lines have a megabyte, and not as many answers")

    conf = pyspark.SparkConf().setMaster(f"local-cluster[{EXECUTORS},1,1024]")
    conf.setAppName("wattberth batch").set("spark.ui.enabled", "false")
    conf.set("spark.files", args.binary)
    conf.set("spark.ui.showConsoleProgress", "false").set("spark.executor.memory", "512m")
    with pyspark.SparkContext(conf=conf) as context:
        context.setLogLevel("OFF")
        lines = context.textFile("file://" + path, args.partitions)
        partitions = lines.getNumPartitions()
        # As the README has it: the binary travels with the job, and Spark runs a process
        # for each core it gives us, so that more threads would fight.
        answers = lines.pipe("./wattberth batch --threads 1", checkCode=True)
        killed = []
        killer = threading.Thread(
            target=kill_some, args=(context, partitions, args.lost, killed), daemon=True
        )
        killer.start()
        start = time.monotonic()
        found = answers.collect()
        seconds = time.monotonic() - start
        killer.join(10)
        failed = failed_tasks(context)

    if len(killed) < args.lost:
        sys.exit(f"{len(killed)} executors were killed while two were at work, not {args.lost}: nothing is shown")
    print(
        f"Spark {pyspark.__version__}: {len(found)} answers, {large} of a megabyte, from {partitions} "
        f"partitions in {seconds:.0f} s; "
        + "".join(f"executor {pid} killed after {done} tasks, " for pid, done in killed)
        + f"{failed} tasks begun again"
    )
    if failed < args.lost:
        sys.exit("an executor's loss cost no task: it was not at work")
    if found != expected:
        different = [i for i, pair in enumerate(zip(found, expected)) if pair[0] != pair[1]]
        sys.exit(
            f"{len(found)} answers for {len(expected)}; the first that differs is number "
            f"{different[0] + 1 if different else min(len(found), len(expected)) + 1}"
        )
    print("the same answers as one process, in the same order, nothing lost")


if __name__ == "__main__":
    main()
