"""Counts the instructions of one query, which a busy machine does not change, and compares them with the figures kept in counts.json.

    python3 benches/instructions/count.py          fails where a query takes over 2 % more than was kept
    python3 benches/instructions/count.py --keep   keeps the new figures

Needs valgrind. A query's count is that of many runs less that of few, so that reading the network does not count. Figures of another compiler
or another kind of processor differ: keep them anew then.
"""

import json
import os
import re
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "peer"))
import networks  # noqa: E402

KEPT = os.path.join(HERE, "counts.json")
ALLOWED = 1.02
CASES = {
    "workshop 300/600, 12 abnormal": (networks.workshop(1, 300, 600), 12, 10),
    "QMR size 570/4000, 10 positive": (networks.qmr(1), 10, 20),
}
QUERIES = ["marginals", "three periods", "everything", "look-ahead"]


def program():
    """The bench program; FAULTBOOK_BENCH names it where it is built already."""
    if built := os.environ.get("FAULTBOOK_BENCH"):
        return built
    words = ["cargo", "bench", "--quiet", "--bench", "instructions", "--no-run", "--message-format=json"]
    lines = subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()
    return next(path for line in reversed(lines) if (path := json.loads(line).get("executable")))


def count(binary, path, times, query):
    words = ["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null", binary, path, str(times), query]
    told = subprocess.run(words, check=True, capture_output=True, text=True).stderr
    return int(re.search(r"I\s+refs:\s+([\d,]+)", told).group(1).replace(",", ""))


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
