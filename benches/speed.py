"""What a person waits for: processor time and memory of whole commands, with the release program, from the project's folder.

    python3 benches/speed.py [PROGRAM]      20 runs of each; the median, the least and the most memory of any

Processor time is that of the program and the system together: other work on the machine changes it far less than the time on the clock, but
does change it, so the load is printed as well.
"""

import glob
import os
import shutil
import statistics
import sys
import tempfile

RUNS = 20
JOBS = sorted(glob.glob("examples/harbour-garage/jobs/*.toml"))


def run(words):
    """Seconds of processor time and MiB of memory at most."""
    child = os.fork()
    if child == 0:
        null = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(null, stream)
        os.execv(words[0], words)
    _, status, used = os.wait4(child, 0)
    if os.waitstatus_to_exitcode(status) != 0:
        sys.exit(f"{' '.join(words)} failed")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def row(name, words):
    runs = [run(words) for _ in range(RUNS)]
    seconds = [s for s, _ in runs]
    print(f"{name:<58} {statistics.median(seconds) * 1000:7.1f} ms  {min(seconds) * 1000:7.1f} ms  {max(m for _, m in runs):5.0f} MiB", flush=True)


def main():
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "target/release/faultbook")
    print(f"{'':<58} {'median':>10}  {'least':>10}  {'most':>9}    load {os.getloadavg()[0]:.1f}")
    row("explain P0299", [program, "explain", "P0299"])
    for job in JOBS:
        row(f"weigh {os.path.basename(job)}", [program, "weigh", job])
    with tempfile.TemporaryDirectory() as folder:  # the same jobs without the workshop's own rules
        for part in ("jobs", "logs"):
            shutil.copytree(f"examples/harbour-garage/{part}", f"{folder}/{part}")
        for job in map(os.path.basename, JOBS):
            row(f"weigh {job}, the book that ships alone", [program, "weigh", f"{folder}/jobs/{job}"])
    for job in JOBS:
        row(f"plan {os.path.basename(job)}", [program, "plan", job])
    with tempfile.TemporaryDirectory() as folder:  # with nobody there to answer, the walk asks its first question and keeps the sheet
        garage = shutil.copytree("examples/harbour-garage", f"{folder}/garage")
        for job in map(os.path.basename, JOBS):
            row(f"walk {job}, to the first question", [program, "walk", f"{garage}/jobs/{job}"])


if __name__ == "__main__":
    main()
