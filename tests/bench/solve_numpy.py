#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What `perpend solve` does for the demo's first sweep, as a short numpy script would: lean by weighted
least squares, its covariance, and a Monte Carlo run to the ridge. For start.py to time."""
import re
import sys

import numpy as np

import ridge_numpy

ARM, STEP, RADIUS, STEPOVER, GOAL = 75.0, 0.05, 11.0, 10.0, 0.02
BEARING = {"back": 0.0, "right": 90.0, "front": 180.0, "left": 270.0}

readings = re.findall(r"at: (\w+), reading: ([0-9.]+)", open(sys.argv[1], encoding="utf-8").read())
beta = np.radians([BEARING[at] for at, _ in readings])
gap = np.array([float(value) for _, value in readings])
design = np.column_stack([np.ones_like(beta), -ARM * np.sin(beta), -ARM * np.cos(beta)])
solution, chi2, _, _ = np.linalg.lstsq(design, gap, rcond=None)
lean = solution[1:]
aim = ARM * (lean[0] * np.cos(beta) - lean[1] * np.sin(beta)) * np.radians(2.0)
weight = 1 / (STEP**2 / 12 + aim**2)
covariance = np.linalg.inv(design.T @ (weight[:, None] * design))[1:, 1:]
covariance = covariance + 0.005**2 * np.outer(lean, lean)

t = np.random.default_rng(1).multivariate_normal(lean, covariance, size=100_000)
along, across = t[:, 0], -t[:, 1]
ridge = np.sort(ridge_numpy.ridge(along, across, RADIUS, STEPOVER))
at = np.argmin(ridge[95_000:] - ridge[:-95_000])
print(f"lean {1e3 * lean} mm/m, u {1e3 * np.sqrt(np.diag(covariance))}, ridge {np.median(ridge):.4f}, "
      f"{ridge[at]:.4f} to {ridge[at + 95_000]:.4f}, chance {np.mean(ridge <= GOAL):.3f}")
