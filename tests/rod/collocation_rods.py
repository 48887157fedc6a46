#!/usr/bin/python3
"""Rods solved by collocation (scipy.integrate.solve_bvp): an independent solver for rods in a plane.

Reads one rod a line from standard input: D h L (mm), m (kg/m), EI (N m^2), start and end angle (deg,
"-" for pinned), natural curvature (1/m). Writes for each rod one line a solution found: number of the
rod, energy (N mm), H, V_A (N), M_A, M_B (N mm), lowest y (mm), smallest radius (mm); a solution that
is found twice is written once. Equations, with theta the angle of the tangent:
  EI theta'' = H sin(theta) - V cos(theta),  V = V_A + w s,  x' = cos(theta),  y' = sin(theta).
Starts: clamps' angles joined by a line and bent by two sine waves that bring the ends together; the
stiffness comes down to its value in steps where it is small.
"""
import sys

import numpy as np
from scipy.integrate import solve_bvp
from scipy.optimize import fsolve

G = 9.80665


def solve(e, D, h, start, end, kappa, guess):
    """Scaled rod (lengths by L, forces by w L); guess = (s, y, p) or None; returns a solution or None."""

    def slope(s, y, p):
        H, VA = p
        theta = y[0]
        return np.vstack([y[1], (H * np.sin(theta) - (VA + s) * np.cos(theta)) / e, np.cos(theta), np.sin(theta)])

    def ends(a, b, p):
        return np.array([
            a[0] - start if start is not None else a[1] - kappa,
            b[0] - end if end is not None else b[1] - kappa,
            a[2], a[3], b[2] - D, b[3] - h])

    s, y, p = guess
    result = solve_bvp(slope, ends, s, y, p=p, tol=1e-5, max_nodes=3000)
    return result if result.status == 0 else None


def starts(D, h, start, end):
    """Curves that fit the ends: two sine waves on a line between the clamps' angles."""
    s = np.linspace(0.0, 1.0, 41)
    step = s[1] - s[0]
    chord = np.arctan2(h, D)
    first = start if start is not None else (2.0 * chord - end if end is not None else chord)
    last = end if end is not None else (2.0 * chord - start if start is not None else chord)

    def curve(waves):
        theta = first + (last - first) * s + waves[0] * np.sin(np.pi * s) + waves[1] * np.sin(2 * np.pi * s)
        x = np.concatenate([[0.0], np.cumsum(0.5 * step * (np.cos(theta[1:]) + np.cos(theta[:-1])))])
        z = np.concatenate([[0.0], np.cumsum(0.5 * step * (np.sin(theta[1:]) + np.sin(theta[:-1])))])
        return theta, x, z

    def gap(waves):
        _, x, z = curve(waves)
        return [x[-1] - D, z[-1] - h]

    fitted = []
    for waves in [(0, -1.6), (0, 1.6), (-1.6, 0), (1.6, 0), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]:
        root, _, status, _ = fsolve(gap, waves, full_output=True)
        if status == 1 and np.abs(root).max() < 4.0 and all(np.abs(root - other).max() > 0.05 for other in fitted):
            fitted.append(root)
            theta, x, z = curve(root)
            yield s, np.vstack([theta, np.gradient(theta, s), x, z]), np.array([0.0, -0.5])


def solutions(D, h, start, end, e, kappa):
    found = []
    weight_alone = np.array([0.0, -0.5])
    for guess in starts(D, h, start, end):
        stiff, ratio = max(e, 1.0), 0.2
        result = solve(stiff, D, h, start, end, kappa, guess)
        while result is not None and stiff > e and ratio < 0.95:
            next_stiff = max(e, ratio * stiff)
            # The force of the ends follows the stiffness, down to where weight rules.
            near = solve(next_stiff, D, h, start, end, kappa,
                         (result.x, result.y, weight_alone + (result.p - weight_alone) * next_stiff / stiff))
            if near is None:
                near = solve(next_stiff, D, h, start, end, kappa, (result.x, result.y, result.p))
            if near is None:
                ratio = np.sqrt(ratio)
            else:
                stiff, result = next_stiff, near
        if stiff > e:
            result = None
        if result is None:
            continue
        s = np.linspace(0.0, 1.0, 4001)
        theta, bend, _, y = result.sol(s)
        energy = np.trapz(0.5 * e * (bend - kappa) ** 2 + y, s)
        figures = np.array([energy, *result.p, e * (bend[0] - kappa), e * (bend[-1] - kappa), y.min(), 1.0 / abs(bend).max()])
        if all(np.abs(figures[:6] - other[:6]).max() > 1e-5 for other in found):
            found.append(figures)
    return found


def main():
    for number, line in enumerate(sys.stdin):
        D, h, L, m, EI = map(float, line.split()[:5])
        start, end = (None if a == "-" else np.radians(float(a)) for a in line.split()[5:7])
        kappa = float(line.split()[7])
        w = m * G / 1000.0
        e = EI * 1e6 / (w * L**3)
        for f in solutions(D / L, h / L, start, end, e, kappa * L / 1000.0):
            scale = np.array([w * L * L, w * L, w * L, w * L * L, w * L * L, L, L])
            print(number, *(f"{v:.9g}" for v in f * scale))


main()
