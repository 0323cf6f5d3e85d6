"""Values of a general library's PCHIP interpolant, for tests/published/curve.rs.

Run with scipy 1.17.1 and numpy 2.4.6:  python pchip.py
Writes pchip_values.csv (interpolant between the points), pchip_scalars.csv (peaks, mean power,
crossings).
"""
import csv
import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, minimize_scalar

KNOTS = {  # invented curves: rpm, N·m
    "long": ([2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000, 6500, 7000, 7500],
             [139, 153, 166, 178.5, 190, 199, 204, 203, 198, 188.5, 174.5]),
    "short": ([2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000, 6500, 7000, 7500],
              [132, 145, 157, 170.5, 184.5, 196.5, 205, 206.5, 202, 192.5, 178]),
    "uneven": ([1800, 2150, 2230, 3000, 3900, 4000, 5100, 6600, 6650],
               [88.0, 101.5, 103.0, 120.0, 120.0, 131.0, 140.5, 122.0, 119.0]),
    "wavy": ([2000, 2500, 3000, 3500, 4000, 4500, 5000],
             [100, 118, 112, 131, 131, 125, 127]),
    "two": ([3000, 6000], [150, 120]),
}

curves = {name: PchipInterpolator(x, y) for name, (x, y) in KNOTS.items()}
with open("pchip_values.csv", "w", newline="") as f:
    out = csv.writer(f, lineterminator="\n")
    out.writerow(["curve", "rpm", "torque"])
    for name, (x, _) in KNOTS.items():
        for rpm in np.linspace(x[0], x[-1], 43):
            out.writerow([name, repr(float(rpm)), repr(float(curves[name](rpm)))])
with open("pchip_scalars.csv", "w", newline="") as f:
    out = csv.writer(f, lineterminator="\n")
    out.writerow(["curve", "what", "value"])
    for name in ["long", "short", "uneven"]:
        c, (x, _) = curves[name], KNOTS[name]
        grid = np.linspace(x[0], x[-1], 20001)
        best = grid[np.argmax(c(grid) * grid)]
        r = minimize_scalar(lambda n: -c(n) * n, bounds=(best - 5, best + 5), method="bounded",
                            options={"xatol": 1e-9})
        out.writerow([name, "peak_power_rpm", repr(float(r.x))])
        out.writerow([name, "peak_power_w", repr(float(-r.fun * 2 * np.pi / 60))])
        lo, hi = 3200.0, 6400.0
        # Mean power over a band: exact for a piecewise quartic with many Gauss points a cell.
        nodes, weights = np.polynomial.legendre.leggauss(8)
        edges = sorted({lo, hi, *[k for k in x if lo < k < hi]})
        total = 0.0
        for a, b in zip(edges, edges[1:]):
            n = 0.5 * (b - a) * nodes + 0.5 * (a + b)
            total += 0.5 * (b - a) * np.sum(weights * c(n) * n * 2 * np.pi / 60)
        out.writerow([name, "mean_power_3200_6400_w", repr(float(total / (hi - lo)))])
    d = lambda n: curves["long"](n) - curves["short"](n)
    out.writerow(["long-short", "crossing_rpm", repr(float(brentq(d, 5000, 5500, xtol=1e-11)))])
    w, u = curves["wavy"], curves["two"]
    g = np.linspace(3000, 5000, 4003)
    s = np.sign(w(g) + 9.3 - u(g))
    for i in np.flatnonzero(s[1:] != s[:-1]):
        root = brentq(lambda n: w(n) + 9.3 - u(n), g[i], g[i + 1], xtol=1e-11)
        out.writerow(["wavy+9.3-two", "crossing_rpm", repr(float(root))])
