"""How the time of each command grows with its input: 1, 10 and 100 times as much, with the release program, and the exponent of the growth.

    python3 benches/growth.py [PROGRAM] [COMMAND…]     all commands where none is named; status 1 where one grows faster than n log n

Processor time (program and system together) above what the command takes on next to nothing, the least of three runs. The exponent is that
between 10 and 100 times; n log n has about 1.15 at these sizes, and what is measured within a few milliseconds is no measure: it counts from
50 ms on. Where work stops at a limit, as the weighing of a thousand codes does, the growth falls below one. Some have a limit in seconds as well.
"""

import math
import os
import resource
import subprocess
import sys
import tempfile

MOST = 1.25   # the exponent of n log n at these sizes, and what a shared machine adds
COUNTS = 0.05  # seconds; below that nothing is judged
RUNS = 3
AT_MOST = {"fmt, clauses of a block": 1.0, "weigh, codes": 3.0, "plan, codes": 3.0}  # seconds for 90 000 clauses and for 10 000 codes

HEAD = """book large "Large"
  edition 1
  version "1"
  reviewed 2026-11-25
  keeper "a bench"
  stray 0.4 %
tool meter "Meter"
"""
SYSTEM = """
symptom symptom-{i} "Symptom {i}"
  ask "Is there symptom {i}?"
  heard "words {i}"
sign sign-{i} "Sign {i}"
  states sound, worn
code P{i:04X} "Code {i}"
cause cause-{i} "Cause {i}"
  prior 1 %
  shows symptom-{i} 60 %
  shows sign-{i} worn 90 %
  shows P{i:04X} 50 %
check check-{i} "Check {i}"
  takes 5 min
  reveals sign-{i}
fix fix-{i} "Fix {i}"
  takes 20 min
  cures cause-{i}
  proof sign-{i} sound
"""


def book(n):
    return HEAD + "".join(SYSTEM.format(i=i) for i in range(n))


def codes(n):
    """A sheet with so many codes that no book knows all of."""
    return "[complaint]\nyes = [\"low-power\"]\n[scan]\ncodes = [" + ", ".join(f'"P{i:04X}"' for i in range(n)) + "]\n"


def notes(n):
    """A sheet with so many answers."""
    entry = '[[journal]]\nat = "2026-11-25T10:00:00+00:00[UTC]"\nbook = "1"\nask = "note"\nanswer = "number {}"\n\n'
    return "[complaint]\nyes = [\"low-power\"]\n\n" + "".join(entry.format(i) for i in range(n))


def words(n):
    return '[complaint]\nwords = "' + "it has no power uphill and whistles " * n + '"\n'


def log(n):
    return "Time (s),Engine RPM (rpm),Manifold pressure (kPa)\n" + "".join(f"{i / 10},{2000 + i % 900},{100 + i % 70}\n" for i in range(n))


def case(i):
    return f'title = "Case {i}"\n[complaint]\nyes = ["symptom-{i % 10}"]\n[expect]\ncauses = ["cause-{i % 10}"]\n'


def write(folder, name, text):
    path = os.path.join(folder, name)
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w") as file:
        file.write(text)
    return path


def ruled(*words_of, small):
    """A command over a book of n systems."""
    return small, lambda folder, n: [*words_of, write(folder, "rules/large.rules", book(n))]


def sheeted(text, *words_of, small):
    """A command over a sheet that grows, and the book that ships."""
    return small, lambda folder, n: [*words_of, write(folder, "job.toml", text(n))]


def small_job(folder):
    return write(folder, "small.toml", '[complaint]\nyes = ["symptom-0"]\n')


def messy(folder, n):
    return ["fmt", write(folder, "long.rules", 'tool a "A"\n' + ' note   "n"\n' * n)]


def over(*words_of):
    """A command on a small job with a book of n systems."""
    return lambda folder, n: [*words_of, small_job(folder), "--rules", write(folder, "rules/large.rules", book(n))]


def cases(folder, n):
    write(folder, "rules/large.rules", book(10))
    for i in range(n):
        write(folder, f"rules/cases/{i}.toml", case(i))
    return ["test", os.path.join(folder, "rules")]


def sheets(folder, n):
    rules = write(folder, "large.rules", book(10))
    for i in range(n):
        write(folder, f"jobs/{i}.toml", f'[complaint]\nyes = ["symptom-{i % 10}"]\n[closed]\nfound = ["cause-{i % 10}"]\n')
    return ["tally", os.path.join(folder, "jobs"), "--rules", rules, "--json"]


def walked(folder, n):
    """So many answers from a file; the sheet begins anew with each run."""
    write(folder, "answers", "".join(f"n note number {i}\n" for i in range(n)))
    job = write(folder, "job.toml", '[complaint]\nyes = ["low-power"]\n')
    return ["walk", job, "--answers", os.path.join(folder, "answers")]


def compared(folder, n):
    old, new = write(folder, "old/a.rules", book(n)), write(folder, "new/a.rules", book(n).replace("prior 1 %", "prior 2 %"))
    return ["compare", old, new]


def cased(folder, n):
    write(folder, "rules/own.rules", book(1))
    return ["new", "case", write(folder, "job.toml", notes(n)), "--rules", os.path.join(folder, "rules"), "--cause", "cause-0"]


def many_bad(folder, n):
    return ["lint", write(folder, "bad.rules", "".join(f"nonsense {i}\n" for i in range(n))), "--most", "0", "--json"]


# name: how much is 1x, and what is run on so much
BENCHES = {
    "fmt, clauses of a block": (900, messy),
    "fmt, blocks": ruled("fmt", small=30),
    "lint, blocks": ruled("lint", "--fail-on", "never", small=30),
    "lint, lines that say nothing": (300, many_bad),
    "lint --fix, blocks": ruled("lint", "--fix", "--fail-on", "never", small=30),
    "explain, blocks": (30, lambda f, n: ["explain", "cause-0", "--rules", write(f, "rules/large.rules", book(n))]),
    "weigh, blocks": (30, over("weigh")),
    "plan, blocks": (30, over("plan")),
    "report, blocks": (30, over("report")),
    "graph, blocks": (30, lambda f, n: [*over("graph")(f, n), "--whole"]),
    "compare, blocks": (30, compared),
    "test, cases": (10, cases),
    "weigh, codes": sheeted(codes, "weigh", small=100),
    "plan, codes": sheeted(codes, "plan", small=100),
    "report, codes": sheeted(codes, "report", small=100),
    "graph, codes": sheeted(lambda n: codes(n), "graph", small=10),
    "walk, codes": sheeted(codes, "walk", small=100),
    "weigh, answers": sheeted(notes, "weigh", small=100),
    "plan, answers": sheeted(notes, "plan", small=100),
    "report, answers": sheeted(notes, "report", small=100),
    "walk, answers": (10, walked),
    "sheet --strip, answers": sheeted(notes, "sheet", "--strip", small=100),
    "weigh, words of the customer": sheeted(words, "weigh", small=5),
    "tally, sheets": (30, sheets),
    "readings, rows": (10_000, lambda f, n: ["readings", write(f, "log.csv", log(n))]),
    "new case, answers": (100, cased),
}


def seconds(program, arguments, folder):
    """Processor seconds, and the status; what it says goes nowhere."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([program, *arguments], cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, done.returncode, done.stderr[-300:]


def least(program, make, n):
    best, status, said = math.inf, 0, b""
    for _ in range(RUNS):
        with tempfile.TemporaryDirectory() as folder:
            taken, status, said = seconds(program, make(folder, n), folder)
        best = min(best, taken)
        if taken > 20:
            break
    return best, status, said


def main():
    named = sys.argv[1:]
    program = os.path.abspath(named.pop(0) if named and os.path.exists(named[0]) else "target/release/faultbook")
    print(f"{'seconds of the processor above what next to nothing takes':<58} {'':>9} {'1x':>8} {'10x':>8} {'100x':>8}  growth")
    worse = []
    for name, (small, make) in BENCHES.items():
        if named and not any(name.startswith(n) for n in named):
            continue
        base, _, _ = least(program, make, 1)
        taken = []
        for n in (small, 10 * small, 100 * small):
            time, status, said = least(program, make, n)
            taken.append(max(time - base, 1e-4))
        growth = math.log10(taken[2] / taken[1])
        judged = taken[2] >= COUNTS
        note = f"{growth:6.2f}" if judged else "     -"
        if judged and growth > MOST and taken[1] >= COUNTS / 10:
            note += "  faster than n log n"
            worse.append(name)
        if taken[2] + base > AT_MOST.get(name, math.inf):
            note += f"  more than {AT_MOST[name]:g} s"
            worse.append(name)
        if status == 2:
            note += f"  refused: {said.decode(errors='replace').strip().splitlines()[-1] if said.strip() else ''}"[:80]
        print(f"{name:<58} {small:>9} {taken[0]:8.3f} {taken[1]:8.3f} {taken[2]:8.3f} {note}", flush=True)
    sys.exit(1 if worse else 0)


if __name__ == "__main__":
    main()
