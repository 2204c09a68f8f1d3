"""Reads back what `graph --format bif` writes with a general-purpose Bayesian-network library, and compares its answers with those of `weigh`.

Reference: pyAgrum (PyPI, pinned in requirements.txt), its BIF reader and exact LazyPropagation. The file says what was seen in lines
`// evidence: VARIABLE = STATE`, since BIF has no place for it. Some jobs are on the book that ships; the generated books have readings near a limit
too, whose evidence is a variable of its own.
"""

import json
import os
import random
import re
import subprocess
import sys
import tempfile

import pyagrum as gum

from belief import PROGRAM, make, text

BOOKS = int(os.environ.get("FAULTBOOK_BOOKS", "60"))
# What the library gets through in seconds: a sheet with twenty findings takes it minutes.
JOBS = [["--code", "P0299"], ["--code", "P0299", "--code", "P2463", "--sign", "charge-hose=oily"], ["--code", "P0171", "--code", "P0300"]]
READING = """
reading r "R"
  unit kPa
  accurate 10 kPa
  band ok 80 to 120
  band low below 80
  band high above 120
  stray low 1 %, high 2 %
cause extra "Extra"
  prior 4 %
  shows r low 60 %, high 10 %
  shows f0 s1 30 %
"""


def run(*words):
    return subprocess.run([PROGRAM, *words], check=True, capture_output=True, text=True).stdout


def posteriors(bif, folder):
    """The library's answers: a function from a variable to the probabilities of its states."""
    path = os.path.join(folder, "job.bif")
    with open(path, "w") as file:
        file.write(bif)
    bn = gum.loadBN(path)
    in_doubles(bn, bif)
    engine = gum.LazyPropagation(bn)
    engine.setEvidence(dict(re.findall(r"^// evidence: (\S+) = (\S+)$", bif, re.MULTILINE)))
    engine.makeInference()
    return lambda name: engine.posterior(name).tolist() if name in bn.names() else None


def in_doubles(bn, bif):
    """Puts the numbers of the file in again: the library's reader keeps seven digits of them. It must have read the same ones."""
    for name, parents, body in re.findall(r"^probability \( (\S+)(?: \| ([^)]+))? \) \{\n(.*?)^\}$", bif, re.MULTILINE | re.DOTALL):
        for states, row in re.findall(r"^  (?:table|\((.+)\)) (.+);$", body, re.MULTILINE):
            given = dict(zip(parents.split(", "), states.split(", "))) if parents else {}
            numbers = [float(p) for p in row.split(", ")]
            read = bn.cpt(name)[given].tolist() if given else bn.cpt(name).tolist()
            assert max(abs(a - b) for a, b in zip(read, numbers, strict=True)) < 1e-6, (name, read, numbers)
            if given:
                bn.cpt(name)[given] = numbers
            else:
                bn.cpt(name).fillWith(numbers)


def compare(words, folder, whole):
    """Largest difference, and how many probabilities were compared."""
    answer = json.loads(run("weigh", "--json", *words))
    theirs = posteriors(run("graph", "--format", "bif", *words, *(["--whole"] if whole else [])), folder)
    pairs = [(p, theirs(name)[1]) for name, p in answer["causes"].items() if theirs(name)]
    for name, states in answer["findings"].items():
        if theirs(name):
            pairs += list(zip(states.values(), theirs(name)))
    return max(abs(a - b) for a, b in pairs), len(pairs)


def main():
    rng = random.Random(20261126)
    results = []
    with tempfile.TemporaryDirectory() as folder:
        for job in JOBS:
            results.append(compare(job, folder, whole=False))
        path = os.path.join(folder, "generated.rules")
        for _ in range(BOOKS):
            book = make(rng)
            with open(path, "w") as file:
                file.write(text(book) + READING)
            words = ["--rules", path, "--reading", f"r={rng.uniform(70, 130):.2f} kPa"]
            for f, k in enumerate(book[1]):
                if rng.random() < 0.6:
                    words += ["--sign", f"f{f}=s{rng.randrange(k)}"]
            results.append(compare(words, folder, whole=True))
    largest, compared = max(r[0] for r in results), sum(r[1] for r in results)
    print(f"{len(results)} networks read back, {compared} probabilities, largest difference {largest:.3g}")
    sys.exit(0 if largest <= 1e-9 else 1)


if __name__ == "__main__":
    main()
