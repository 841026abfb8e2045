#!/usr/bin/env python3
"""The race of BenchmarkRace in vectorised NumPy, to compare speeds.

The same model: a lunge at a gap of 0.95 m against an extension to the hand that
reacts to it among two answers; every input uncertain; cut-off normal draws; the
first t at which the gap is closed by Newton's method inside a bracket; the same
counts, summaries and shares. Works in blocks that fit the cache.

usage: race_numpy.py DRAWS
prints the chances and "draws_per_second N", the mean over two seconds after a
warm-up, as the Go benchmark does.
"""
import sys
import time

import numpy as np

BLOCK = 8192
# gap, arm travel, arm time, body travel, body time, body delay, onset: mean, SD
LUNGE = [(.95, .04), (.45, .05), (.23, .04), (1.095 * .9, .17 * .9),
         (.6 / .75336, .08 / .75336), (.05, .04), (0., 0.)]
ARM = [(1.15, .04), (.45, .05), (.23, .04), (0., 0.), (1., 0.), (0., 0.),
       (.2 + .05, np.hypot(.025, .025))]
TIMES = (2, 4)


def draw(rng, mean, sd, low, n):
    if sd == 0:
        return np.full(n, mean)
    v = rng.normal(mean, sd, n)
    while low is not None and (bad := v < low).any():
        v[bad] = rng.normal(mean, sd, int(bad.sum()))
    return v


def inputs(rng, table, n):
    lows = [0., 0., .2 * table[2][0], 0., .2 * table[4][0], None, None]
    if table is ARM:
        lows[6] = 0.
    return [draw(rng, m, s, low, n) for (m, s), low in zip(table, lows)]


def jerk(t, start, inv):
    tau = np.clip((t - start) * inv, 0., 1.)
    sq = tau * tau
    rest = 1. - tau
    return sq * tau * (10. + tau * (6. * tau - 15.)), 30. * sq * rest * rest * inv


def first(gap, terms):
    """First t at which the sum of the movements reaches the gap, NaN if never."""
    most = sum(a for a, _, _ in terms)
    out = np.full(gap.shape, np.nan)
    idx = np.nonzero(most >= gap)[0]
    gap = gap[idx]
    terms = [(a[idx], s[idx], 1. / w[idx]) for a, s, w in terms]
    lo = np.minimum.reduce([s for _, s, _ in terms])
    hi = np.maximum.reduce([s + 1. / i for _, s, i in terms])
    done = 0.
    if (lo < 0).any():
        for a, s, i in terms:
            done = done + a * jerk(0., s, i)[0]
        lo = np.maximum(lo, 0.)
        gap = gap + done
    t = (lo + hi) / 2
    for _ in range(80):
        v = sp = 0.
        for a, s, i in terms:
            x, d = jerk(t, s, i)
            v = v + a * x
            sp = sp + a * d
        off = gap - v
        below = off > 0
        lo = np.where(below, t, lo)
        hi = np.where(below, hi, t)
        with np.errstate(divide="ignore", invalid="ignore"):
            nxt = t + off / sp
        inside = (nxt > lo) & (nxt < hi)
        nxt = np.where(inside, nxt, (lo + hi) / 2)
        settled = (inside & (np.abs(nxt - t) < 1e-6)) | (hi - lo < 1e-12)
        if settled.any():
            out[idx[settled]] = nxt[settled]
            keep = ~settled
            idx, gap, lo, hi, nxt = idx[keep], gap[keep], lo[keep], hi[keep], nxt[keep]
            terms = [(a[keep], s[keep], i[keep]) for a, s, i in terms]
            if idx.size == 0:
                break
        t = nxt
    out[idx] = t[:idx.size]
    return out


def block(rng, n):
    a, b = inputs(rng, LUNGE, n), inputs(rng, ARM, n)
    onset_b = a[6] + b[6]
    ta = first(a[0], [(a[1], a[6], a[2]), (a[3], a[6] + a[5], a[4])])
    tb = first(b[0], [(b[1], onset_b, b[2]), (a[3], a[6] + a[5], a[4]), (a[1], a[6], a[2])])
    window = rng.uniform(.040, .050, n)
    ca, cb = rng.uniform(.002, .010, n), rng.uniform(.002, .010, n)
    return ta, tb, tb + cb - ta - ca, window, a, b


def race(draws, seed):
    rng = np.random.Generator(np.random.PCG64(seed))
    arrivals, margins, xs, count = [[], []], [], [], np.zeros(5)
    left = draws
    while left > 0:
        n = min(BLOCK, left)
        left -= n
        ta, tb, m, w, a, b = block(rng, n)
        ha, hb = ~np.isnan(ta), ~np.isnan(tb)
        two = ha & hb
        count += [(m > w).sum() + (ha & ~hb).sum(), (-m > w).sum() + (hb & ~ha).sum(),
                  (np.abs(m) <= w).sum(), (~ha & ~hb).sum(),
                  (ta < tb).sum() + (ha & ~hb).sum()]
        arrivals[0].append(ta[ha])
        arrivals[1].append(tb[hb])
        margins.append((tb - ta)[two])
        learn = np.nonzero(two)[0][:2048]
        xs.append(np.array([v[learn] for v in a + b] + [(tb - ta)[learn]]))
    m = np.concatenate(margins)
    x = np.concatenate(xs, axis=1)
    x, mc = x[:-1], x[-1] - x[-1].mean()
    spread = x.std(axis=1) > 0
    xc = x[spread] - x[spread].mean(axis=1, keepdims=True)
    shares = (xc @ mc) ** 2 / ((xc * xc).sum(axis=1) * (mc @ mc))
    summary = [(v.mean(), v.std(ddof=1), *np.quantile(v, (.025, .975)))
               for v in (m, np.concatenate(arrivals[0]), np.concatenate(arrivals[1]))]
    return count / draws, summary, shares


def main():
    draws = int(sys.argv[1])
    race(draws, 0)
    runs, start = 0, time.perf_counter()
    while (took := time.perf_counter() - start) < 2:
        runs += 1
        chances, summary, _ = race(draws, runs)
    print("left_only %.4f right_only %.4f both %.4f neither %.4f left_first %.4f" % tuple(chances))
    print("margin_ms %.1f sd %.1f" % (summary[0][0] * 1e3, summary[0][1] * 1e3))
    print("draws_per_second %.0f" % (draws * runs / took))


if __name__ == "__main__":
    main()
