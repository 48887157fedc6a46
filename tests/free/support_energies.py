#!/usr/bin/python3
"""Where overhead supports rest, by SciPy's minimisers (scipy.optimize) on the sum of energies: no
forces, no balance. Reads problems as JSON from standard input, writes the coordinates where the
energy is least, one problem a line.

A limp line between two points hangs as y = a cosh((x - x0) / a) + c; its parameter a comes from its
length by brentq, its energy is the integral of weight x height along it (scipy.integrate.quad).
"""
import json
import sys

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq, minimize, minimize_scalar

G = 9.80665


def energy(start, end, length, mass):
    """N mm, above Z = 0; infinite where the line is too short."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    run, rise = np.hypot(*(end - start)[:2]), end[2] - start[2]
    if length <= np.hypot(run, rise) * (1 + 1e-12):
        return np.inf
    w = mass * G / 1000.0
    run = max(run, 1e-6)
    stretched = np.sqrt(length**2 - rise**2) / run
    u = brentq(lambda u: np.sinh(u) / u - stretched, 1e-9, 50.0, xtol=1e-15, rtol=1e-15)
    a = run / (2 * u)
    x0 = run / 2 - a * np.arctanh(rise / length)
    c = start[2] - a * np.cosh(x0 / a)
    return w * quad(lambda x: (a * np.cosh((x - x0) / a) + c) * np.cosh((x - x0) / a), 0, run,
                    epsabs=0, epsrel=1e-12)[0]


def hung(place, spans):
    return sum(energy(place, s["anchor"], s["length"], s["mass"]) for s in spans)


def least(f, lower, upper):
    """Of a function that may be infinite at the ends: the best of a scan, refined."""
    xs = np.linspace(lower, upper, 201)
    values = np.array([f(x) for x in xs])
    i = int(np.argmin(values))
    return minimize_scalar(f, bounds=(xs[max(i - 1, 0)], xs[min(i + 1, 200)]), method="bounded",
                           options={"xatol": 1e-9}).x


def trolley(p):
    at, along = np.array(p["at"]), np.array(p["along"])
    return [least(lambda q: hung(at + q * along, p["spans"]) + p["mass"] * G * (at + q * along)[2],
                  *p["range"])]


def boom(p):
    at = np.array(p["at"])

    def tip(deg):
        return at + p["arm"] * np.array([np.cos(np.radians(deg)), np.sin(np.radians(deg)), 0.0])

    return [least(lambda deg: hung(tip(deg), p["spans"]), *p["range"])]


def over_pulley(p, beyond):
    """Length of the run: the other side takes the rest. The least one next to the straight run."""
    run = p["spans"][0]

    def total(length):
        return energy(p["at"], run["anchor"], length, run["mass"]) + beyond(length)

    return [least(total, *p["range"])]


def weighted(p):
    w, z = p["spans"][0]["mass"] * G / 1000.0, p["at"][2]

    def beyond(length):
        tail = p["line"] - length
        return p["weight"] * G * (z - tail) + w * tail * (z - tail / 2)

    return over_pulley(p, beyond)


def tied(p):
    return over_pulley(p, lambda length: energy(p["at"], p["tie"], p["line"] - length, p["spans"][0]["mass"]))


def retractor(p):
    w, z = p["spans"][0]["mass"] * G / 1000.0, p["at"][2]
    # Line on the drum counts at the drum's height.
    return over_pulley(p, lambda length: p["pull"] * length + w * (p["line"] - length) * z - w * p["line"] * z)


def cord(p):
    at = np.array(p["at"])

    def total(x):
        stretch = max(0.0, np.linalg.norm(x - at) - p["free"])
        return hung(x, p["spans"]) + 0.5 * p["stiffness"] * stretch**2

    x = np.array(p["guess"])
    for _ in range(4):
        x = minimize(total, x, method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-10, "maxiter": 4000}).x
    return list(x)


def festoon(p):
    """Places of the free trolleys between the fixed end at 0 and the tow; saddles carry the line."""
    n, tow = p["loops"], p["tow"]

    def total(x):
        ends = np.concatenate([[0.0], x, [tow]])
        return sum(energy([0, 0, 0], [b - a - p["saddle"], 0, 0], p["loop"], p["mass"]) for a, b in zip(ends, ends[1:]))

    uneven = tow * np.linspace(0, 1, n + 1)[1:-1] ** 1.3
    return list(minimize(total, uneven, method="Nelder-Mead",
                         options={"xatol": 1e-7, "fatol": 1e-11, "maxiter": 8000}).x)


KINDS = {f.__name__: f for f in (trolley, boom, weighted, tied, retractor, cord, festoon)}

for problem in json.load(sys.stdin):
    print(" ".join(f"{value:.12g}" for value in KINDS[problem["kind"]](problem)))
