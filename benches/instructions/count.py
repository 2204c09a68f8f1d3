"""Counts the instructions of one query and of whole commands, which a busy machine does not change, and compares them with the figures kept in counts.json.

    python3 benches/instructions/count.py          fails where one takes over 2 % more than was kept
    python3 benches/instructions/count.py --keep   keeps the new figures

Needs valgrind, for the commands also the release program. A query's count is that of many runs less that of few, so that reading the network does not count. Figures of another compiler
or another kind of processor differ, and those of the commands grow with the rules that ship: keep them anew then.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "peer"))
import networks  # noqa: E402

ROOT = os.path.join(HERE, "..", "..")
KEPT = os.path.join(HERE, "counts.json")
ALLOWED = 1.02
CASES = {
    "workshop 300/600, 12 abnormal": (networks.workshop(1, 300, 600), 12, 10),
    "QMR size 570/4000, 10 positive": (networks.qmr(1), 10, 20),
}
JOB = "examples/harbour-garage/jobs/van-no-pull.toml"
COMMANDS = {
    "explain P0299": ["explain", "P0299"],
    "weigh, the book that ships": ["weigh", "--code", "P0299", "--complaint", "no pull on the hill"],
    "weigh, with rules of a workshop": ["weigh", JOB],
    "plan": ["plan", JOB],
    "walk, to the first question": ["walk", JOB],
}
QUERIES = ["marginals", "three periods", "everything", "look-ahead"]


def program():
    """The bench program; FAULTBOOK_BENCH names it where it is built already."""
    if built := os.environ.get("FAULTBOOK_BENCH"):
        return built
    words = ["cargo", "bench", "--quiet", "--bench", "instructions", "--no-run", "--message-format=json"]
    lines = subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()
    return next(path for line in reversed(lines) if (path := json.loads(line).get("executable")))


def instructions(words, folder=None):
    tool = ["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"]
    told = subprocess.run(tool + words, check=True, capture_output=True, text=True, cwd=folder, stdin=subprocess.DEVNULL).stderr
    return int(re.search(r"I\s+refs:\s+([\d,]+)", told).group(1).replace(",", ""))


def count(binary, path, times, query):
    return instructions([binary, path, str(times), query])


def main():
    binary, counts = program(), {}
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "network.json")
        for name, (net, abnormal, normal) in CASES.items():
            with open(path, "w") as file:
                json.dump(net | {"seen": networks.case(net, 1, abnormal, normal)}, file)
            for query in QUERIES:
                few, many = (1, 3) if query == "everything" else (1, 11)
                counts[f"{name}: {query}"] = (count(binary, path, many, query) - count(binary, path, few, query)) // (many - few)
        examples = shutil.copytree(os.path.join(ROOT, "examples"), os.path.join(folder, "examples"))
        for name, words in COMMANDS.items():
            counts[name] = instructions([os.path.join(ROOT, "target", "release", "faultbook")] + words, os.path.dirname(examples))
    kept = json.load(open(KEPT)) if os.path.exists(KEPT) else {}
    slower = [name for name, n in counts.items() if n > kept.get(name, n) * ALLOWED]
    for name, n in counts.items():
        print(f"{name:<45} {n:>14,} instructions  {n / kept.get(name, n):.3f} of the figure kept")
    if "--keep" in sys.argv:
        with open(KEPT, "w") as file:
            json.dump(counts, file, indent=2)
            file.write("\n")
    elif slower:
        sys.exit(f"slower: {', '.join(slower)}")


if __name__ == "__main__":
    main()
