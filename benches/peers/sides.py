"""Runs each side as a program of its own, on the same two processors, and gives what it told as a dictionary.

Ours is `cargo bench --bench kernel`, built once and then called directly, so that the most memory it held can be asked
of the system. It prints one line of JSON for a case; see `ours`. This process stays small, and leaves meshes to others,
because a system counts what a process held before it became another program.
"""

import fcntl
import json
import math
import os
import pathlib
import pty
import struct
import subprocess
import sys
import termios
import time

HERE = pathlib.Path(__file__).parent
ROOT = HERE.parent.parent
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")).resolve()
WORK = TARGET / "peers"
CORES = 2
MOST_CELLS = 800
THREADS = ["OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS", "RAYON_NUM_THREADS"]


class Failed(Exception):
    """A program of either side ended with another status than 0."""


def settle():
    """Everything that is started from here on gets the same two processors, where the system can say so."""
    WORK.mkdir(parents=True, exist_ok=True)
    os.environ.update({name: str(CORES) for name in THREADS})
    os.environ["NUMBA_CACHE_DIR"] = str(WORK / "compiled")
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, set(sorted(os.sched_getaffinity(0))[:CORES]))


def told(command, extra=None):
    """Runs a command that prints a line of JSON; adds the most memory that the process held [MB] and its wall clock."""
    began = time.perf_counter()
    child = subprocess.Popen([str(word) for word in command], stdout=subprocess.PIPE, env={**os.environ, **(extra or {})})
    text = child.stdout.read().decode()
    child.stdout.close()
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode != 0:
        raise Failed(f"{' '.join(map(str, command))[:200]} ended with status {child.returncode}\n{text}")
    lines = [json.loads(line) for line in text.splitlines() if line.startswith("{")]
    heard = lines[-1] if lines else {}
    # The system counts in KiB, on a Mac in bytes.
    return heard | {"peak_mb": usage.ru_maxrss / (2**20 if sys.platform == "darwin" else 2**10), "wall": time.perf_counter() - began}


def peer(program, case, cells, repeats, accurate=False, extra=None):
    """`plain` or `expert`, the best of `repeats` (fewer where one takes long)."""
    path = WORK / f"{program}-{case}-{cells}.npz"
    command = [sys.executable, HERE / f"{program}.py", case, cells, repeats]
    heard = told(command + [path] if accurate else command, extra)
    if accurate:
        heard |= accuracy(case, path)
    return heard


def accuracy(case, path):
    """Distances of a saved mesh to the exact surface; the file is removed."""
    # One thread for products of matrices: these are too small to share, and waiting threads would spin.
    heard = told([sys.executable, HERE / "measure.py", case, path], {"OPENBLAS_NUM_THREADS": "1"})
    path.unlink()
    return {key: heard[key] for key in ("p99", "max", "lost")}


def build():
    """The programs of our side: the bench, and `ogee` itself. An own bench can be handed in as PEERS_KERNEL."""
    handed = os.environ.get("PEERS_KERNEL")
    kernel = handed or cargo("kernel", "bench", "--bench", "kernel", "--no-run")
    return kernel, cargo("ogee", "build", "--release", "--bin", "ogee") if not handed else None


def cargo(target, *words):
    """Builds, and gives the path of the program of a target."""
    command = ["cargo", *words, "--quiet", "--message-format=json-render-diagnostics"]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, check=False)
    if done.returncode != 0:
        raise SystemExit(f"`{' '.join(command)}` failed; `--peers-only` times the peers alone")
    told_of = [json.loads(line) for line in done.stdout.splitlines() if line.startswith(b"{")]
    made = [made["executable"] for made in told_of if made.get("executable") and made["target"]["name"] == target]
    return made[-1]


def ours(kernel, case, fine, repeats, accurate=False):
    """`fine` is ("--cells", n) or ("--tolerance", t). The best of `repeats`, each a process of its own.

    The line told: {"case", "seconds", "vertices", "triangles", "stages": {name: seconds}}, and if known "samples", how
    many values of the field were needed. With --save DIR it writes DIR/CASE.ply.
    """
    best, peak = None, 0.0
    for _ in range(repeats):
        heard = told([kernel, "--bench", *fine, "--case", case, "--json"])
        peak = max(peak, heard["peak_mb"])
        if best is None or heard["seconds"] < best["seconds"]:
            best = heard
    best |= {"peak_mb": peak}
    if accurate:
        told([kernel, "--bench", *fine, "--case", case, "--json", "--save", WORK])
        best |= accuracy(case, WORK / f"{case}.ply")
    return best


def as_accurate(kernel, case, wanted, start):
    """Ours with the fewest cells found whose 99th percentile is no more than `wanted`, by a few runs.

    The percentile goes nearly as the square of the cell, which gives the next guess; two sides of the answer, once
    known, are halved between in proportion.
    """
    enough, few = None, None
    cells = start
    for _ in range(7):
        p99 = ours(kernel, case, ("--cells", cells), 1, accurate=True)["p99"]
        if p99 <= wanted:
            enough = min(enough or cells, cells)
        else:
            few = max(few or cells, cells)
        guess = round(cells * min(max((p99 / (0.97 * wanted)) ** 0.5, 0.4), 2.5))
        if enough and few:
            guess = guess if few < guess < enough else round((few * enough) ** 0.5)
        if guess in (cells, few, enough) or guess > MOST_CELLS:
            break
        cells = guess
    if enough is None:
        return None
    return ours(kernel, case, ("--cells", enough), 3, accurate=True) | {"cells": enough}


def first_picture(program, text, repeats=3):
    """Seconds from the start of the program to the whole picture of a pasted formula in a terminal of 100 columns, and
    to one on disk, as it is made when nothing else is said; for ever, if the formula is refused."""
    see = [program, "see", text]
    try:
        in_terminal = min(in_a_terminal(see) for _ in range(repeats))
        on_disk = min(told([*see, "--quiet", "-o", WORK / "first.png"])["wall"] for _ in range(repeats))
    except Failed as failure:
        print(f"no picture: {failure}", file=sys.stderr)
        return {"terminal": math.inf, "disk": math.inf}
    return {"terminal": in_terminal, "disk": on_disk}


def in_a_terminal(command):
    """Seconds that a command takes which writes to a terminal of 100 columns by 50 lines, in 24-bit colour."""
    ours, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 100, 0, 0))
    surroundings = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
    surroundings.pop("NO_COLOR", None)
    began = time.perf_counter()
    child = subprocess.Popen(
        [str(word) for word in command], stdin=subprocess.DEVNULL, stdout=its, stderr=its, env=surroundings
    )
    os.close(its)
    try:
        while os.read(ours, 1 << 16):
            pass
    except OSError:
        # The other end is closed.
        pass
    os.close(ours)
    if child.wait() != 0:
        raise Failed(f"{' '.join(map(str, command))[:200]} ended with status {child.returncode}")
    return time.perf_counter() - began


def speed_of_memory():
    """Bytes a second at which this machine writes a large array, on one core: for the floor under a run."""
    return told([sys.executable, HERE / "memory.py"])["bytes_per_second"]
