"""Networks and evidence made from a seed, in the plain JSON form that both engines read.

{"causes": [{"prior": q, "brought_by": [[parent, strength], ...]}, ...],
 "findings": [{"stray": [p of state 1, ...], "pushes": [[cause, [p of state 1, ...]], ...]}, ...],
 "seen": [[finding, state], ...]}
"""

import random


def workshop(seed, causes, findings):
    """A workshop's book: a finding has a few causes near each other, a third of the causes are brought about by others."""
    dice = random.Random(f"workshop {seed} {causes} {findings}")
    net = {"causes": [], "findings": []}
    for c in range(causes):
        parents = dice.sample(range(max(0, c - 40), c), min(c, dice.choice([0, 0, 0, 1, 1, 2])))
        brought_by = [[p, round(dice.uniform(0.05, 0.6), 3)] for p in parents]
        net["causes"].append({"prior": round(10 ** dice.uniform(-3, -1), 5), "brought_by": brought_by})
    for _ in range(findings):
        states = 3 if dice.random() < 0.2 else 2
        home = dice.randrange(causes)
        near = [c for c in range(home - 30, home + 30) if 0 <= c < causes]
        pushes = [[c, push(dice, states, 0.2, 0.95)] for c in dice.sample(near, dice.randint(1, 6))]
        net["findings"].append({"stray": push(dice, states, 0.002, 0.03), "pushes": pushes})
    return net


def qmr(seed, causes=570, findings=4000, links=45000):
    """The size of the published QMR-DT network: two layers, every finding binary, some eleven causes a finding.

    Shwe et al. 1991, "Probabilistic diagnosis using a reformulation of the INTERNIST-1/QMR knowledge base", Methods of
    Information in Medicine 30: 570 diseases, 4075 findings, 45470 links. The knowledge base itself is not public; the
    numbers here are drawn at random.
    """
    dice = random.Random(f"qmr {seed}")
    net = {"causes": [{"prior": 10 ** dice.uniform(-3.5, -1.5), "brought_by": []} for _ in range(causes)], "findings": []}
    mean = links / findings
    for _ in range(findings):
        count = min(causes, max(1, round(dice.expovariate(1 / mean))))
        pushes = [[c, push(dice, 2, 0.02, 0.9)] for c in dice.sample(range(causes), count)]
        net["findings"].append({"stray": push(dice, 2, 0.001, 0.02), "pushes": pushes})
    return net


def push(dice, states, low, high):
    total = dice.uniform(low, high)
    cuts = sorted(dice.random() for _ in range(states - 2))
    return [(b - a) * total for a, b in zip([0.0, *cuts], [*cuts, 1.0])]


def draw(net, dice, present):
    """Draws a state for every finding, given which causes are present."""
    drawn = []
    for finding in net["findings"]:
        pushing = [push for cause, push in finding["pushes"] if cause in present]
        drawn.append(max(pick(dice, push) for push in [finding["stray"], *pushing]))
    return drawn


def pick(dice, push):
    at = dice.random()
    for k, p in enumerate(push):
        if at < p:
            return k + 1
        at -= p
    return 0


def case(net, seed, abnormal, normal):
    """Evidence as a car would show it: a few faults, their findings, and normal findings of the same causes."""
    dice = random.Random(f"case {seed} {abnormal} {normal}")
    shown = []
    present = set()
    while len(shown) < abnormal:
        present.add(dice.randrange(len(net["causes"])))
        drawn = draw(net, dice, present)
        shown = [f for f, state in enumerate(drawn) if state > 0]
    shown = dice.sample(shown, abnormal)
    suspects = {cause for f in shown for cause, _ in net["findings"][f]["pushes"]}
    quiet = [f for f, state in enumerate(drawn) if state == 0 and any(c in suspects for c, _ in net["findings"][f]["pushes"])]
    quiet = dice.sample(quiet, min(normal, len(quiet)))
    return [[f, drawn[f]] for f in shown] + [[f, 0] for f in quiet]
