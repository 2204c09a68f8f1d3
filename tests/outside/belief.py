"""Weighs the example jobs and generated books with the program and with a general-purpose Bayesian-network library, and compares.

Reference: pyAgrum (PyPI, pinned in requirements.txt), exact LazyPropagation. The rules are written here, so that the whole way is tested: text, book,
evidence, belief, JSON. Noisy-OR nodes are expanded to tables by their definition, written again here.
"""

import itertools
import json
import os
import random
import subprocess
import sys
import tempfile

import pyagrum as gum

PROGRAM = os.path.join(os.path.dirname(__file__), "..", "..", "target", "debug", "faultbook")
BOOKS = int(os.environ.get("FAULTBOOK_BOOKS", "60"))


def make(rng):
    """A random book: causes with chains, findings of two or three states."""
    causes = [{"prior": rng.choice([0.001, 0.01, 0.1, 0.3]), "brings": {}, "shows": {}} for _ in range(rng.randint(3, 8))]
    states = [rng.choice([2, 3]) for _ in range(rng.randint(3, 7))]
    strays = [[round(rng.choice([0.001, 0.01, 0.05]), 4) for _ in range(k - 1)] for k in states]
    for i, cause in enumerate(causes):
        for j in range(i + 1, len(causes)):
            if rng.random() < 0.25:
                cause["brings"][j] = round(rng.uniform(0.1, 0.95), 3)
        for f, k in enumerate(states):
            if rng.random() < 0.5:
                parts = [round(rng.uniform(0.05, 0.95) / (k - 1), 3) for _ in range(k - 1)]
                cause["shows"][f] = parts
    return causes, states, strays


def text(book):
    causes, states, strays = book
    out = ['book generated "Generated"']
    for f, k in enumerate(states):
        out.append(f'sign f{f} "F{f}"\n  states {", ".join(f"s{s}" for s in range(k))}')
        out.append("  stray " + ", ".join(f"s{s + 1} {p * 100:.6g} %" for s, p in enumerate(strays[f])))
    for i, cause in enumerate(causes):
        out.append(f'cause c{i} "C{i}"\n  prior {cause["prior"] * 100:.6g} %')
        for f, parts in cause["shows"].items():
            out.append(f"  shows f{f} " + ", ".join(f"s{s + 1} {p * 100:.6g} %" for s, p in enumerate(parts)))
        for j, p in cause["brings"].items():
            out.append(f"  brings c{j} {p * 100:.6g} %")
    return "\n".join(out) + "\n"


def network(book):
    causes, states, strays = book
    bn = gum.BayesNet()
    for i in range(len(causes)):
        bn.add(gum.LabelizedVariable(f"c{i}", "", 2))
    for f, k in enumerate(states):
        bn.add(gum.LabelizedVariable(f"f{f}", "", k))
    for i, cause in enumerate(causes):
        for j in cause["brings"]:
            bn.addArc(f"c{i}", f"c{j}")
        for f in cause["shows"]:
            bn.addArc(f"c{i}", f"f{f}")
    for j, cause in enumerate(causes):
        parents = [i for i, c in enumerate(causes) if j in c["brings"]]
        for values in itertools.product([0, 1], repeat=len(parents)):
            absent = 1 - cause["prior"]
            for i, v in zip(parents, values):
                absent *= 1 - causes[i]["brings"][j] * v
            bn.cpt(f"c{j}")[{f"c{i}": v for i, v in zip(parents, values)}] = [absent, 1 - absent]
    for f, k in enumerate(states):
        parents = [i for i, c in enumerate(causes) if f in c["shows"]]
        for values in itertools.product([0, 1], repeat=len(parents)):
            pushes = [strays[f]] + [causes[i]["shows"][f] for i, v in zip(parents, values) if v]
            upto = [1.0] * k
            for s in range(k):
                for p in pushes:
                    upto[s] *= 1 - sum(p[s:])
            row = [upto[0]] + [upto[s] - upto[s - 1] for s in range(1, k)]
            bn.cpt(f"f{f}")[{f"c{i}": v for i, v in zip(parents, values)}] = row
    return bn


def main():
    rng = random.Random(20261125)
    largest = 0.0
    compared = 0
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "generated.rules")
        for _ in range(BOOKS):
            book = make(rng)
            with open(path, "w") as file:
                file.write(text(book))
            seen = {f"f{f}": rng.randrange(k) for f, k in enumerate(book[1]) if rng.random() < 0.6}
            words = [PROGRAM, "weigh", "--rules", path, "--json"]
            for name, state in seen.items():
                words += ["--sign", f"{name}=s{state}"]
            answer = json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
            engine = gum.LazyPropagation(network(book))
            engine.setEvidence(seen)
            engine.makeInference()
            for name, p in answer["causes"].items():
                largest = max(largest, abs(p - engine.posterior(name)[1]))
                compared += 1
            for name, states in answer["findings"].items():
                for s, p in enumerate(states.values()):
                    largest = max(largest, abs(p - engine.posterior(name)[s]))
                    compared += 1
    print(f"{BOOKS} books, {compared} probabilities, largest difference {largest:.3g}")
    sys.exit(0 if largest <= 1e-9 else 1)


if __name__ == "__main__":
    main()
