"""Times the belief room beside a general-purpose Bayesian-network library on the same networks, in one run, and prints a table.

    python3 -m venv target/reference && target/reference/bin/pip install -r tests/outside/requirements.txt
    target/reference/bin/python benches/peer/compare.py [CASES OF EACH ROW]

The library is pyAgrum, LazyPropagation, one thread. It gets the easier task: only the causes that the evidence hangs on, normal findings
of two states worked into soft evidence on their causes, the network built beforehand; timed is the inference and the reading of
the marginals of those causes. Ours gets the whole network, and is timed from the evidence to the same marginals; beside that, to those of all
causes, and to those and the predictions of all findings. All times are processor time. A finding of more than six causes is written for the library as a chain of steps ("highest so far"), since its
table would have 2^causes rows. What it does not finish within LIMIT_SECONDS (of processor time, or twice that by the clock) or LIMIT_BYTES is
said to be not finished.
"""

import itertools
import json
import multiprocessing
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time

import networks

LIMIT_SECONDS = 30
LIMIT_BYTES = 6 << 30
ROWS = [
    ("workshop 300/600", lambda s: networks.workshop(s, 300, 600), 6, 10),
    ("workshop 300/600", lambda s: networks.workshop(s, 300, 600), 12, 10),
    ("ten times 3000/6000", lambda s: networks.workshop(s, 3000, 6000), 6, 10),
    ("ten times 3000/6000", lambda s: networks.workshop(s, 3000, 6000), 12, 10),
    ("QMR size 570/4000", networks.qmr, 5, 20),
    ("QMR size 570/4000", networks.qmr, 10, 20),
    ("QMR size 570/4000", networks.qmr, 15, 20),
    ("QMR size 570/4000", networks.qmr, 20, 20),
]


def relevant(net, seen):
    open_causes = [c for f, _ in seen for c, _ in net["findings"][f]["pushes"]]
    found = set()
    while open_causes:
        cause = open_causes.pop()
        if cause not in found:
            found.add(cause)
            open_causes += [p for p, _ in net["causes"][cause]["brought_by"]]
    return sorted(found)


def build(net, seen):
    """The cut network for the library, the evidence to set, and the causes to ask for."""
    import pyagrum as gum

    bn, causes, evidence = gum.BayesNet(), relevant(net, seen), {}
    soft = {c: 1.0 for c in causes}
    for c in causes:
        parents = net["causes"][c]["brought_by"]
        bn.add(gum.LabelizedVariable(f"c{c}", "", 2))
        table(bn, f"c{c}", [(f"c{p}", [s]) for p, s in parents], [net["causes"][c]["prior"]], 2)
    for f, state in seen:
        finding = net["findings"][f]
        pushes = [(f"c{c}", push) for c, push in finding["pushes"]]
        if state == 0:
            for c, push in finding["pushes"]:
                soft[c] *= 1 - sum(push)
            continue
        states, steps = len(finding["stray"]) + 1, [pushes]
        if len(pushes) > 6:
            steps = [[push] for push in sorted(pushes, key=lambda p: int(p[0][1:]))]
        last = []
        for i, step in enumerate(steps):
            name = f"f{f}" if i + 1 == len(steps) else f"f{f}_{i}"
            bn.add(gum.LabelizedVariable(name, "", states))
            table(bn, name, step, finding["stray"] if i == 0 else [0.0] * (states - 1), states, last)
            last = [name]
        evidence[f"f{f}"] = state
    evidence |= {f"c{c}": [1.0, w] for c, w in soft.items() if w < 1}
    return bn, evidence, causes


def table(bn, name, pushes, stray, states, before=()):
    """Fills a noisy-MAX table by its definition; `before` is the step that this one goes on from."""
    for parent in [*before, *(p for p, _ in pushes)]:
        bn.addArc(parent, name)
    for reached in range(states if before else 1):
        for present in itertools.product([0, 1], repeat=len(pushes)):
            active = [stray] + [push for (_, push), here in zip(pushes, present) if here]
            at_most = [float(s >= reached) for s in range(states)]
            for push in active:
                at_most = [p * (1 - sum(push[s:])) for s, p in enumerate(at_most)]
            row = [at_most[0]] + [at_most[s] - at_most[s - 1] for s in range(1, states)]
            given = {p: here for (p, _), here in zip(pushes, present)} | {b: reached for b in before}
            bn.cpt(name)[given] = row


def theirs(net, seen, out):
    resource.setrlimit(resource.RLIMIT_AS, (LIMIT_BYTES, LIMIT_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_SECONDS, LIMIT_SECONDS))
    import pyagrum as gum

    gum.setNumberOfThreads(1)
    try:
        bn, evidence, causes = build(net, seen)
        times = []
        while len(times) < 5 and sum(times) < LIMIT_SECONDS * 1e3 / 8:
            engine = gum.LazyPropagation(bn)
            for name, value in evidence.items():
                engine.addEvidence(name, value)
            engine.setTargets({f"c{c}" for c in causes})
            start = time.process_time()
            engine.makeInference()
            posteriors = {c: engine.posterior(f"c{c}")[1] for c in causes}
            times.append((time.process_time() - start) * 1e3)
        out.put((statistics.median(times), posteriors))
    except Exception as error:  # whatever the library raises, it did not finish
        out.put((f"{type(error).__name__}: {error}"[:60], None))


def in_limits(net, seen):
    out = multiprocessing.Queue()
    worker = multiprocessing.Process(target=theirs, args=(net, seen, out))
    worker.start()
    try:
        return out.get(timeout=2 * LIMIT_SECONDS)
    except Exception:  # the queue's own way of saying that nothing came
        return (f"more than {LIMIT_SECONDS} s", None)
    finally:
        worker.kill()
        worker.join()


def ours(documents):
    with tempfile.NamedTemporaryFile("w", suffix=".jsonl", delete=False) as file:
        file.write("\n".join(map(json.dumps, documents)) + "\n")
    built = os.environ.get("FAULTBOOK_BENCH")  # the bench program, where it is built already
    words = [*([built] if built else ["cargo", "bench", "--quiet", "--bench", "peer", "--"]), file.name, "15"]
    lines = subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()
    os.unlink(file.name)
    return [json.loads(line) for line in lines if line.startswith("{")]


def main():
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    kinds = []
    for name, make, abnormal, normal in ROWS:
        for seed in range(cases):
            net = make(seed)
            kinds.append(((name, abnormal, normal), net | {"seen": networks.case(net, seed, abnormal, normal)}))
    answers = ours([document for _, document in kinds])
    rows, worst = {}, 0.0
    for (key, net), answer in zip(kinds, answers):
        print(".", end="", flush=True, file=sys.stderr)
        row = rows.setdefault(key, {"ours": [], "all": [], "theirs": [], "ratio": [], "width": [], "failed": [], "everything": []})
        row["ours"].append(answer["prepare_ms"])
        row["all"].append(answer["marginals_ms"])
        row["everything"].append(answer["everything_ms"])
        row["width"].append(answer["width"])
        # once it has failed on two cases of a row the others are not tried
        took, posteriors = in_limits(net, net["seen"]) if len(row["failed"]) < 2 else ("not tried", None)
        if posteriors is None:
            row["failed"].append(took)
            continue
        row["theirs"].append(took)
        row["ratio"].append(took / answer["prepare_ms"])
        worst = max(worst, max(abs(p - answer["causes"][c]) for c, p in posteriors.items()))
    print_table(rows, cases)
    print(f"\nLargest difference of a marginal: {worst:.2g}")
    sys.exit(0 if worst <= 1e-9 else 1)


def print_table(rows, cases):
    print(f"\n{cases} cases a row; medians, in ms of processor time\n")
    print("| network | abnormal / normal | width | ours | ours, worst | all causes | all findings too | library | ratio | least ratio |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    for (name, abnormal, normal), row in rows.items():
        widths = sorted(row["width"], key=str)
        cells = [name, f"{abnormal} / {normal}", f"{widths[len(widths) // 2]}", f"{statistics.median(row['ours']):.3f}", f"{max(row['ours']):.3f}"]
        cells += [f"{statistics.median(row['all']):.3f}", f"{statistics.median(row['everything']):.1f}"]
        if row["theirs"]:
            cells += [f"{statistics.median(row['theirs']):.2f}", f"{statistics.median(row['ratio']):.0f}", f"{min(row['ratio']):.0f}"]
        else:
            cells += ["not finished", "-", "-"]
        if row["failed"]:
            cells[7] += f" ({len(row['failed'])} of {cases} not: {row['failed'][0]})"
        print("| " + " | ".join(cells) + " |")


if __name__ == "__main__":
    main()
