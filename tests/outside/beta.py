"""Writes tests/outside/beta.tsv: quantiles of the beta distribution by a reference library.

Reference: scipy.stats.beta.ppf of SciPy (PyPI, pinned in requirements.txt).
Columns: the book's chance, its weight in jobs, jobs in which it was so, jobs, the 5 % and the 95 % quantile.
"""

import itertools
import os

from scipy.stats import beta

CASES = list(itertools.product([0.0005, 0.02, 0.5, 0.95], [2, 10, 200, 5000], [(0, 0), (0, 7), (3, 7), (7, 7), (40, 1000)]))
CASES += [(0.03, 1e6, (5, 90)), (0.3, 1e6, (70000, 200000)), (0.9, 0.5, (1, 3))]

with open(os.path.join(os.path.dirname(__file__), "beta.tsv"), "w") as out:
    for p, weight, (seen, of) in CASES:
        a, b = p * weight + seen, (1 - p) * weight + of - seen
        out.write(f"{p!r}\t{weight!r}\t{seen}\t{of}\t{beta.ppf(0.05, a, b):.15g}\t{beta.ppf(0.95, a, b):.15g}\n")
