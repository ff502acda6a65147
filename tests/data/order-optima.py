#!/usr/bin/env python3
"""Writes order-optima.csv: the least totals of random orders, as an independent solver finds them.

The solver is HiGHS by way of scipy.optimize.milp (pip install scipy; written with scipy 1.17.1). The cases are made
from their seeds by the same small generator that tests/order_optimum.rs has, so the file holds only the optima. Each
answer is rounded to whole packs and checked in whole numbers before it is written.

    python3 order-optima.py COUNT order-optima.csv
"""

import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

MASK = (1 << 64) - 1


class Stream:
    """The SplitMix64 stream (Steele, Lea and Flood, 2014), whole numbers only."""

    def __init__(self, seed):
        self.state = seed

    def below(self, n):
        self.state = (self.state + 0x9E3779B97F4A7C15) & MASK
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return (z ^ (z >> 31)) % n


def case(seed, lines, shops):
    s = Stream(seed)
    terms = []
    for _ in range(shops):
        ship = 350 + s.below(900)
        free = (40 + s.below(120)) * 100 if s.below(10) < 6 else None
        least = (8 + s.below(30)) * 100 if s.below(10) < 3 else None
        terms.append((ship, free, least))
    needs, bases, offers = [], [], []
    for _ in range(lines):
        needs.append([1, 1, 1, 1, 2, 2, 3, 4, 6, 8][s.below(10)])
        bases.append(50 + s.below(60) * s.below(60))
    for d in range(lines):
        found = False
        for k in range(shops):
            if s.below(100) < 50 or (k == shops - 1 and not found):
                found = True
                price = bases[d] * (75 + s.below(55)) // 100 + 1
                offers.append((k, price, [(d, 1)]))
                if s.below(100) < 30:
                    n = [2, 4, 5, 10, 20][s.below(5)]
                    offers.append((k, price * n * (35 + s.below(55)) // 100 + 1, [(d, n)]))
    for _ in range(lines // 6):
        size = min(3 + s.below(6), lines)
        holds = []
        while len(holds) < size:
            d = s.below(lines)
            if d not in holds:
                holds.append(d)
        holds = [(d, 1 + s.below(2)) for d in holds]
        value = sum(bases[d] * q for d, q in holds)
        for k in range(shops):
            if s.below(100) < 40:
                offers.append((k, value * (45 + s.below(50)) // 100 + 1, holds))
    return terms, needs, offers


def solve(terms, needs, offers):
    shops, n = len(terms), 2 * len(terms) + len(offers)
    cost, high = np.zeros(n), np.ones(n)
    rows, low = [], []
    for k, (ship, free, _) in enumerate(terms):
        cost[k], cost[shops + k] = ship, -ship
        if free is None:
            high[shops + k] = 0
    covers, goods = [{} for _ in needs], [{} for _ in terms]
    for i, (k, price, gives) in enumerate(offers):
        j = 2 * shops + i
        ship, free, least = terms[k]
        most = max(-(-needs[d] // q) for d, q in gives)
        most += 0 if free is None else ship // price
        most += 0 if least is None else -(-least // price)
        cost[j], high[j] = price, most
        rows.append({k: most, j: -1})
        low.append(0)
        for d, q in gives:
            covers[d][j] = q
        goods[k][j] = price
    for d, need in enumerate(needs):
        rows.append(covers[d])
        low.append(need)
    for k, (_, free, least) in enumerate(terms):
        if free is not None:
            rows.append({**goods[k], shops + k: -free})
            low.append(0)
            rows.append({k: 1, shops + k: -1})
            low.append(0)
        if least is not None:
            rows.append({**goods[k], k: -least})
            low.append(0)
    matrix = lil_matrix((len(rows), n))
    for r, row in enumerate(rows):
        for j, value in row.items():
            matrix[r, j] = value
    answer = milp(
        cost,
        constraints=LinearConstraint(matrix.tocsr(), np.array(low, float), np.inf),
        integrality=np.ones(n),
        bounds=Bounds(np.zeros(n), high),
        options={"mip_rel_gap": 0, "time_limit": 120},
    )
    if answer.status != 0:
        return None
    packs = [round(x) for x in answer.x[2 * shops :]]
    total = 0
    for k, (ship, free, least) in enumerate(terms):
        value = sum(p * offers[i][1] for i, p in enumerate(packs) if offers[i][0] == k)
        if value:
            assert least is None or value >= least
            total += value + (0 if free is not None and value >= free else ship)
    for d, need in enumerate(needs):
        assert sum(p * q for i, p in enumerate(packs) for e, q in offers[i][2] if e == d) >= need
    assert abs(total - answer.fun) < 0.5
    return total


def main():
    # Into a file of its own: the solver prints on standard output what it pleases.
    with open(sys.argv[2], "w", encoding="utf-8") as file:
        print("# Least totals in hundredths, by HiGHS through scipy; see order-optima.py", file=file)
        print("seed,lines,shops,total", file=file)
        for seed in range(int(sys.argv[1])):
            lines, shops = (60, 8) if seed % 2 else (12 + seed % 30, 2 + seed % 5)
            total = solve(*case(seed, lines, shops))
            if total is not None:
                print(f"{seed},{lines},{shops},{total}", file=file, flush=True)


main()
