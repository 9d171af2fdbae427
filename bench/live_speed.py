"""Milliseconds from a reading to the live answer on a vehicle of ten wheels, against a process per reading.

    python bench/live_speed.py [READINGS]

The walk is a simulated five-axle combination with a dragging brake, three rounds. "in the process": what
`thermlog enter` and the server do for one reading: keep it on the disk, judge the whole log, make everything
that is shown. "over loopback": the same through the server as a page asks for it, with its checks. "a process
per reading": `thermlog check LOG -q`, started anew after each. Aim: at most 150 ms over loopback, in the
median. The processor's time beside it does not feel what else the machine does.
"""

from __future__ import annotations

import http.client
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from threading import Thread

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from thermlog.bay.messages import NewWalk, Sync  # noqa: E402
from thermlog.bay.serving import LOOPBACK, Speaking, listening, server_on  # noqa: E402
from thermlog.bay.shelf import Shelf  # noqa: E402
from thermlog.judging.settings import Settings  # noqa: E402
from thermlog.simulation.logtext import LogStyle  # noqa: E402
from thermlog.simulation.onelog import Wanted, simulated_log  # noqa: E402
from thermlog.taking.entries import Entry  # noqa: E402
from thermlog.taking.stopwatch import Clocks  # noqa: E402

AIM_MS = 150.0
WALK = "benchwalk1"


Spent = tuple[float, float]  # wall and processor, of this process and those it started [s]


def now() -> Spent:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return time.perf_counter(), sum(one.ru_utime + one.ru_stime for one in used)


def since(start: Spent) -> Spent:
    wall_s, cpu_s = now()
    return wall_s - start[0], cpu_s - start[1]


def readings() -> list[Entry]:
    """Entries of a simulated walk round ten wheels."""
    wanted = Wanted(vehicle_class="combination5_drum", fault="corner_hot", corner="3R", rounds=3, seed=4)
    rows = [row for row in simulated_log(wanted, style=LogStyle()).log.splitlines() if row[0].isdigit()]
    cells = (row.split(",") for row in rows)
    return [
        Entry(key=f"k{n}", kind="reading", corner=wheel, cell=value, elapsed_s=float(at))
        for n, (at, wheel, value) in enumerate(cells)
    ]


def before() -> list[Entry]:
    return [Entry(key="p", kind="parked"), Entry(key="air", kind="air", cell="15")]


def in_process(folder: Path, entries: list[Entry]) -> list[Spent]:
    shelf = Shelf(folder, Settings(), Clocks.of_this_computer())
    shelf.begin(NewWalk(walk=WALK, axles="5", brakes="drum", weight="heavy"))
    shelf.sync(WALK, Sync(elapsed_s=500.0, entries=before()))
    spent = []
    for entry in entries:
        start = now()
        shelf.sync(WALK, Sync(elapsed_s=500.0, entries=[entry], known=10_000))
        spent.append(since(start))
    shelf.close()
    return spent


def over_loopback(folder: Path, entries: list[Entry]) -> list[Spent]:
    opened = listening(LOOPBACK, 0)
    port = opened.getsockname()[1]
    shelf = Shelf(folder, Settings(), Clocks.of_this_computer())
    quiet = Speaking(first=lambda _: None, show=lambda _: None, log=print)
    server, _ = server_on(shelf, opened, coded=False, speaking=quiet)
    thread = Thread(target=server.run, kwargs={"sockets": [opened]}, daemon=True)
    thread.start()
    link = http.client.HTTPConnection(LOOPBACK, port)
    own = {"Origin": f"http://{LOOPBACK}:{port}"}

    def ask(path: str, said: object) -> Spent:
        start = now()
        link.request("POST", path, json.dumps(said), own)
        answer = link.getresponse()
        answer.read()
        if answer.status != 200:
            raise SystemExit(answer.status)
        return since(start)

    def told(entry: Entry) -> dict[str, object]:
        found = {"key": entry.key, "kind": entry.kind, "elapsed_s": entry.elapsed_s}
        return found | {name: text for name in ("corner", "cell") if (text := getattr(entry, name))}

    ask("/walks", {"walk": WALK, "axles": "5", "brakes": "drum", "weight": "heavy"})
    ask(f"/walks/{WALK}/sync", {"elapsed_s": 500.0, "entries": [told(one) for one in before()]})
    spent = [
        ask(f"/walks/{WALK}/sync", {"elapsed_s": 500.0, "entries": [told(entry)], "known": 10_000})
        for entry in entries
    ]
    server.should_exit = True
    thread.join()
    shelf.close()
    return spent


def process_each(folder: Path, times: int) -> list[Spent]:
    (log,) = folder.glob("*.csv")
    spent = []
    for _ in range(times):
        start = now()
        command = [sys.executable, "-m", "thermlog", "check", str(log), "-q"]
        subprocess.run(command, cwd=ROOT, capture_output=True, check=False)
        spent.append(since(start))
    return spent


def main() -> None:
    entries = readings()[: int(sys.argv[1]) if len(sys.argv) > 1 else 30]
    found = {}
    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        found["in the process"] = in_process(Path(first), entries)
        found["over loopback"] = over_loopback(Path(second), entries)
        found["a process per reading"] = process_each(Path(second), min(len(entries), 10))
    print(f"{len(entries)} readings of ten wheels, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    print(f"{'milliseconds':24} median  worst  processor")
    median = {}
    for name, spent in found.items():
        walls, cpus = zip(*spent, strict=True)
        median[name] = statistics.median(walls)
        print(
            f"  {name:22} {1000 * median[name]:6.0f} {1000 * max(walls):6.0f}"
            f" {1000 * statistics.median(cpus):10.0f}"
        )
    ratio = median["a process per reading"] / median["over loopback"]
    print(f"a process per reading takes {ratio:.1f} times as long as the warm one over loopback")
    met = 1000 * median["over loopback"] <= AIM_MS
    print(f"aim: at most {AIM_MS:.0f} ms over loopback: {'met' if met else 'MISSED'}")


if __name__ == "__main__":
    main()
