#!/usr/bin/env python3
"""Movements fitted by SciPy's curve_fit, to hold Fit against (fit_scipy.json).

The prior stands among the data: one further datum for each parameter, of the value and
the SD of the prior. Derivatives are SciPy's own differences; the covariance is that of
absolute_sigma=True. Parameters: arm, arm time, body, body time, delay, onset, and one
base for each part that has samples (prior SD 10 m).

usage: fit_scipy.py > fit_scipy.json
"""
import json

import numpy as np
import scipy
from scipy.optimize import curve_fit


def m(tau):
    tau = np.clip(tau, 0, 1)
    return tau**3 * (10 + tau * (6 * tau - 15))


def travel(part, t, p):
    arm, arm_time, body, body_time, delay, onset = p[:6]
    s = np.zeros_like(t)
    if part != "body":
        s = s + arm * m((t - onset) / arm_time)
    if part != "arm":
        s = s + body * m((t - onset - delay) / body_time)
    return s


ARM = [(.45, .05), (.23, .04)]
LUNGE = [(.9855, .153), (.6 / .75336, .08 / .75336), (.05, .04)]
CASES = [
    dict(name="extension, its arm at 50 a second", prior=ARM + [(0, 0)] * 3 + [(1.00, .02)], truth=[.41, .27, 0, 1, 0, 1.012],
         parts=["arm"], rate=50, span=(.9, 1.4), sd=.006, seed=1),
    dict(name="lunge, arm and body at 50 a second", prior=ARM + LUNGE + [(1.00, .02)], truth=[.48, .21, 1.10, .70, .08, .99],
         parts=["arm", "body"], rate=50, span=(.85, 1.9), sd=.008, seed=2),
    dict(name="lunge, its point alone at 100 a second", prior=ARM + LUNGE + [(1.00, .02)], truth=[.43, .25, .90, .85, .03, 1.02],
         parts=["point"], rate=100, span=(.85, 1.95), sd=.005, seed=3),
    dict(name="lunge cut off by the hit", prior=ARM + LUNGE + [(1.00, .02)], truth=[.46, .22, 1.05, .75, .05, 1.00],
         parts=["arm", "body"], rate=25, span=(.8, 1.55), sd=.010, seed=4),
]

out = []
for c in CASES:
    rng = np.random.default_rng(c["seed"])
    t = np.arange(c["span"][0], c["span"][1], 1 / c["rate"])
    samples = []
    for i, part in enumerate(c["parts"]):
        y = 3 + i + travel(part, t, c["truth"]) + rng.normal(0, c["sd"], len(t))
        samples += [dict(part=part, at=float(a), travel=round(float(b), 6), sd=c["sd"]) for a, b in zip(t, y)]
    prior = list(c["prior"])
    for part in c["parts"]:
        prior.append((next(s["travel"] for s in samples if s["part"] == part), 10))
    free = [i for i, (_, sd) in enumerate(prior) if sd > 0]
    mean = np.array([p[0] for p in prior], float)
    mean[[i for i in (1, 3) if prior[i][1] == 0]] = 1
    at = np.array([s["at"] for s in samples])
    which = np.array([s["part"] for s in samples])

    def model(_, *p):
        q = mean.copy()
        q[free] = p
        y = np.zeros(len(samples))
        for i, part in enumerate(c["parts"]):
            k = which == part
            y[k] = q[6 + i] + travel(part, at[k], q)
        return np.concatenate([y, p])

    y = np.concatenate([[s["travel"] for s in samples], mean[free]])
    sigma = np.concatenate([[s["sd"] for s in samples], [prior[i][1] for i in free]])
    p, cov = curve_fit(model, np.arange(len(y)), y, p0=mean[free], sigma=sigma, absolute_sigma=True,
                       xtol=1e-14, ftol=1e-14, gtol=1e-14, maxfev=100000)
    full, sd = mean.copy(), np.zeros(len(mean))
    full[free], sd[free] = p, np.sqrt(np.diag(cov))
    out.append(dict(name=c["name"], prior=c["prior"], truth=c["truth"], samples=samples,
                    parameters=[float(v) for v in full[:6]], sd=[float(v) for v in sd[:6]]))
print(json.dumps(dict(by=f"SciPy {scipy.__version__} curve_fit, NumPy {np.__version__}", cases=out), indent=1))
