# The model of attempts written again from its description: covariances, chances
# of miss, partly and clean, and the posterior integrated with Simpson's rule
# over whitened effects. Reads a job on standard input, writes the chances of a
# clean attempt.
import json
import sys

import numpy as np
from scipy.integrate import simpson
from scipy.special import expit, log_expit

job = json.load(sys.stdin)
F = job["figures"]
side = {"": 0.0, "left": 0.5, "right": -0.5}


def covariance(a, b):
    days = abs(a["day"] - b["day"])
    student, skill = np.exp(-days / F["fade_student"]), np.exp(-days / F["fade_skill"])
    c = F["student"] ** 2 * student
    c += F["own_help"] ** 2 * (a["help"] - F["help_middle"]) * (b["help"] - F["help_middle"])
    c += F["lesson"] ** 2 * (a["lesson"] == b["lesson"]) + F["set_up"] ** 2 * (a["aids"] == b["aids"])
    both = side[a["side"]] * side[b["side"]]
    same = a["skill"] == b["skill"]
    return c + skill * (F["skill"] ** 2 * same + both * (F["side"] ** 2 + F["skill_side"] ** 2 * same))


def offset(a):
    return F["usual"] + F["help"] * (a["help"] - F["help_middle"]) - F["terrain"] * a["rank"] - F["minute"] * a["minute"]


def key(a):
    return tuple(a[k] for k in ("lesson", "day", "skill", "side", "aids", "help"))


nodes, weights = np.polynomial.hermite_e.hermegauss(21)
weights = weights / weights.sum()
out = []
for h in job["histories"]:
    cells = list({key(a): a for a in h["attempts"]}.values())
    keys = [key(c) for c in cells]
    n = len(cells)
    L = np.linalg.cholesky(np.array([[covariance(a, b) for b in cells] for a in cells]) + 1e-10 * np.eye(n))
    w = np.linalg.solve(L, np.array([covariance(h["ask"], c) for c in cells]))
    left = np.sqrt(max(covariance(h["ask"], h["ask"]) - w @ w, 0))
    line = np.linspace(-7, 7, {1: 1201, 2: 201, 3: 61}[n])
    z = np.meshgrid(*([line] * n), indexing="ij")
    lp = -0.5 * sum(x * x for x in z)
    for a in h["attempts"]:
        i = keys.index(key(a))
        eta = offset(a) + sum(L[i, j] * z[j] for j in range(i + 1))
        if a["outcome"] == "clean":
            lp = lp + log_expit(eta)
        elif a["outcome"] == "miss":
            lp = lp + log_expit(-(eta + F["partly"]))
        else:
            lp = lp + np.log(expit(eta + F["partly"]) - expit(eta))
    density = np.exp(lp - lp.max())
    mean = offset(h["ask"]) + sum(w[j] * z[j] for j in range(n))
    clean = density * sum(g * expit(mean + left * x) for g, x in zip(weights, nodes))
    for _ in range(n):
        clean, density = simpson(clean, line), simpson(density, line)
    out.append(float(clean / density))
json.dump(out, sys.stdout)
