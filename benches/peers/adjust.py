"""A proof's adjustment as a scipy user would write it: distances between 200 holes, each hole's own
scatter known, square and pitch not.

Reads from standard input one JSON object {"nominal": [[x, y], ...], "readings": [[i, j, value, u], ...],
"hole": sd}, mm, writes one with the deviations after the best shift and turn, the standard uncertainty
of each coordinate before it, and the seconds the fastest of three adjustments by either method took,
covariance included. scipy stops where its cost no longer falls in sixteen digits, some 1e-8 mm short of the
best; two Gauss-Newton steps more, not timed, take its answer there.
Needs numpy and scipy:

    python3 -m venv SOMEWHERE/outside/the/repository
    SOMEWHERE/outside/the/repository/bin/pip install scipy

Exit code 3 where one of them is absent.
"""

import json
import sys
import time

try:
    import numpy as np
    import scipy
    from scipy.optimize import least_squares
except ImportError:
    print("scipy is not installed", file=sys.stderr)
    sys.exit(3)


def main():
    given = json.load(sys.stdin)
    nominal = np.array(given["nominal"])
    n = len(nominal)
    ends = np.array([[r[0], r[1]] for r in given["readings"]], int)
    value = np.array([r[2] for r in given["readings"]])
    u = np.array([r[3] for r in given["readings"]])
    m = len(value)
    # The scatter prior: what is left of the deviations once square and both pitches are taken out.
    c = (nominal - nominal.mean(axis=0)) / 1000
    fields = np.zeros((2 * n, 3))
    fields[0::2, 0], fields[0::2, 1], fields[1::2, 2] = -c[:, 1], c[:, 0], c[:, 1]
    q, _ = np.linalg.qr(fields)
    prior = (np.eye(2 * n) - q @ q.T) / given["hole"]
    rows = np.arange(m)

    def apart(d):
        p = nominal + d.reshape(n, 2)
        v = p[ends[:, 1]] - p[ends[:, 0]]
        return v, np.hypot(v[:, 0], v[:, 1])

    def residuals(d):
        _, length = apart(d)
        return np.concatenate([(length - value) / u, prior @ d])

    def jacobian(d):
        v, length = apart(d)
        g = v / (length * u)[:, None]
        j = np.zeros((m, 2 * n))
        for k in (0, 1):
            j[rows, 2 * ends[:, 1] + k] = g[:, k]
            j[rows, 2 * ends[:, 0] + k] = -g[:, k]
        return np.vstack([j, prior])

    best, by = float("inf"), None
    for _ in range(3):
        for method in ("trf", "lm"):
            clock = time.perf_counter()
            fit = least_squares(residuals, np.zeros(2 * n), jacobian, method=method, xtol=1e-15, ftol=1e-15, gtol=1e-15)
            covariance = np.linalg.inv(fit.jac.T @ fit.jac)
            taken = time.perf_counter() - clock
            if taken < best:
                best, by = taken, method
    x = fit.x
    for _ in range(2):
        x = x + np.linalg.lstsq(jacobian(x), -residuals(x), rcond=None)[0]
    d = x.reshape(n, 2)
    mid = nominal - nominal.mean(axis=0)
    turn = (mid[:, 0] * d[:, 1] - mid[:, 1] * d[:, 0]).sum() / (mid**2).sum()
    left = d - d.mean(axis=0) - turn * np.stack([-mid[:, 1], mid[:, 0]], axis=1)
    json.dump(
        {"scipy": scipy.__version__, "method": by, "d": left.tolist(), "trace": float(np.trace(covariance)), "wall_s": best},
        sys.stdout,
    )


main()
