#!/usr/bin/env python3
"""spread_numpy.py MODEL.json BUILDS REPEATS: the same Monte Carlo as phasewright's, by NumPy on whole arrays.

Prints in one line: seconds (median, least, greatest), mean, standard deviation, and the ends of the 95 % interval.
"""

import json
import statistics
import sys
import time

import numpy


def surface(chain, s, t):
    """Sum of coefficient[i, j] s^i t^j, by Horner's rule."""
    rows = numpy.reshape(chain["coefficient"], (chain["order"], chain["order"]))
    total = numpy.zeros_like(s)
    for row in rows[::-1]:
        of_t = numpy.full_like(t, row[-1])
        for coefficient in row[-2::-1]:
            of_t *= t
            of_t += coefficient
        total *= s
        total += of_t
    return total


def spread(model, builds, random):
    phase = numpy.full(builds, model["nominal_deg"])
    s = random.uniform(-1.0, 1.0, builds)
    for chain in model["chains"]:
        phase += surface(chain, s, random.uniform(-1.0, 1.0, builds))
    for half_deg in model["half_deg"]:
        phase += random.uniform(-half_deg, half_deg, builds)
    percentiles = numpy.percentile(phase, model["levels"])
    shares = numpy.histogram(phase, bins=30)[0] / builds
    within = numpy.count_nonzero(numpy.abs(phase - model["nominal_deg"]) <= 1.0) / builds
    return phase.mean(), phase.std(ddof=1), percentiles, shares, within


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        model = json.load(file)
    builds, repeats = int(sys.argv[2]), int(sys.argv[3])
    random = numpy.random.default_rng(1)
    taken = []
    for _ in range(repeats):
        start = time.perf_counter()
        mean, deviation, percentiles, _, _ = spread(model, builds, random)
        taken.append(time.perf_counter() - start)
    print(statistics.median(taken), min(taken), max(taken), mean, deviation, percentiles[1], percentiles[5])


main()
