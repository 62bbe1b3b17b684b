# SPDX-License-Identifier: GPL-3.0-or-later
"""The ridge in closed form, in numpy: docs/method.md, "The floor"."""
import numpy as np


def ridge(along, across, radius, stepover):
    """Of arrays of the lean along the feed and across it (plain slopes); radius, stepover, ridge in mm."""
    m = 1 + along**2
    k = np.sqrt(m + across**2)
    a, b = np.abs(across) / m, np.abs(along) * k / m
    c, rho = np.sqrt(a * a + b * b), radius * np.sqrt(m) / k
    w = stepover * c / (2 * b)
    crossing = c * w * w / (rho + np.sqrt(np.maximum(rho * rho - w * w, 0)))
    sawtooth = c * rho - a * (rho - stepover) - b * np.sqrt(stepover * (2 * rho - stepover))
    return np.where(w * c <= rho * b, crossing, sawtooth)
