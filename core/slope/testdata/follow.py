"""Follows slides with SciPy's solve_ivp, for comparison with core/slope.

Reads one JSON object from standard input and writes one to standard output.
The equations are written down here again; nothing is shared with the Go code.
"""
import json
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp


def piece(p, c, v0, rtol, atol, longest=np.inf):
    """Speed, time, place and whether it stopped, over one straight piece."""
    theta, phi, mu = p["slope_rad"], p["path_rad"], p["friction"]
    n = np.cos(theta)
    if c["edges"]:
        n = np.sqrt(np.cos(theta) ** 2 + np.sin(theta) ** 2 * np.sin(phi) ** 2)
    a = c["gravity_m_s2"] * (np.sin(theta) * np.cos(phi) - mu * n)
    k, wind, length = c["drag_per_m"], c["head_wind_m_s"], p["length_m"]

    def rates(_, y):
        u = y[1] + wind
        return [y[1], a - k * u * abs(u)]

    def there(_, y):
        return y[0] - length

    def rests(_, y):
        return y[1] if y[1] != v0 else 1.0

    there.terminal = rests.terminal = True
    there.direction, rests.direction = 1, -1
    if v0 == 0 and rates(0, [0, 0])[1] <= 0:
        return 0.0, 0.0, 0.0, True
    s = solve_ivp(rates, (0, 1e5), [0.0, v0], method="DOP853", rtol=rtol, atol=atol, max_step=longest, events=[there, rests])
    if s.y[0, -1] > length * (1 + 1e-6) and longest > 0.01:
        # One long step went past the end, turned and came back: the event saw
        # no change of sign. Shorter steps see it.
        return piece(p, c, v0, rtol, atol, 0.05 if longest > 1 else longest / 5)
    stopped = len(s.t_events[1]) > 0
    return (0.0 if stopped else s.y[1, -1]), s.t[-1], s.y[0, -1], stopped


def profile(job, rtol, atol):
    v, out = job["start_m_s"], []
    for p in job["pieces"]:
        v, t, x, stopped = piece(p, job, v, rtol, atol)
        out.append([v, t, x])
        if stopped:
            break
    return out


def turn(job, rtol, atol):
    """An arc on a plane slope, in time, to its end or to a stop."""
    theta, g, k = job["slope_rad"], job["gravity_m_s2"], job["drag_per_m"]
    curve, mu, phi0, end = job["curve_per_m"], job["friction"], job["path_rad"], job["length_m"]

    def rates(_, y):
        phi = phi0 + curve * y[0]
        side = y[1] ** 2 * curve / g + np.sin(theta) * np.sin(phi)
        a = g * (np.sin(theta) * np.cos(phi) - mu * np.hypot(np.cos(theta), side)) - k * y[1] ** 2
        return [y[1], a, y[1] * np.cos(phi), y[1] * np.sin(phi)]

    def there(_, y):
        return y[0] - end

    def rests(_, y):
        return y[1]

    def peaks(t, y):
        return rates(t, y)[1]

    there.terminal = rests.terminal = True
    there.direction, rests.direction, peaks.direction = 1, -1, -1
    s = solve_ivp(rates, (0, 1e4), [0.0, job["start_m_s"], 0.0, 0.0], method="DOP853", rtol=rtol, atol=atol,
                  max_step=0.2, events=[there, rests, peaks])
    speeds = list(s.y[1]) + [y[1] for y in s.y_events[2]]
    return [s.t[-1], s.y[0, -1], s.y[1, -1], s.y[2, -1], s.y[3, -1], max(speeds), float(len(s.t_events[1]) > 0)]


def main():
    job = json.load(sys.stdin)
    out = {"profiles": [profile(j, job["rtol"], job["atol"]) for j in job.get("profiles", [])],
           "turns": [turn(j, job["rtol"], job["atol"]) for j in job.get("turns", [])]}
    timed = job.get("timed", [])
    began = time.process_time()
    out["timed"] = [profile(j, job["timed_rtol"], job["timed_rtol"]) for j in timed]
    out["timed_s"] = time.process_time() - began
    json.dump(out, sys.stdout)


main()
