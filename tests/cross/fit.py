#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The same readings through numpy, scipy and R as through the library: fit.py NUMBERS SOURCE-FOLDER.

The model, its derivatives (by complex steps) and the weights are written down here a second time;
the linear algebra and the distributions are numpy's, scipy's and R's. All agree to 1e-9 relative.
"""
import json
import math
import os
import subprocess
import sys

import numpy
import scipy.stats

NUMBERS, HERE = sys.argv[1], sys.argv[2]
SEED = int(os.environ.get("PERPEND_TEST_SEED", "71"))
TOLERANCE = 1e-9
random = numpy.random.default_rng(SEED)
print(f"# seed {SEED}")


class Tap:
    def __init__(self):
        self.count = self.failed = 0

    def near(self, name, pairs):
        """One check: every (what, got, want, scale) of the pairs within the tolerance of the scale,
        or of each number itself where the scale is None."""
        worst, where = 0.0, ""
        for what, got, want, scale in pairs:
            got, want = numpy.atleast_1d(got).astype(float), numpy.atleast_1d(want).astype(float)
            size = numpy.abs(want) if scale is None else numpy.maximum(numpy.abs(want), scale)
            off = numpy.abs(got - want) / numpy.where(size > 0, size, 1.0)
            most = float(numpy.max(off)) if numpy.all(numpy.isfinite(off)) else math.inf
            if most > worst:
                worst, where = most, what
        self.count += 1
        good = worst <= TOLERANCE
        self.failed += not good
        print(f"{'ok' if good else 'not ok'} {self.count} - {name}")
        print(f"#   off by at most {worst:.1e} ({where})")

    def done(self):
        print(f"1..{self.count}")
        sys.exit(1 if self.failed else 0)


def library(text):
    done = subprocess.run([NUMBERS], input=text, capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def r_says(problems, quantiles):
    """R's answers: for each problem a list of five vectors; then the quantiles."""
    lines = []
    for design, observed, weight in problems:
        lines.append(f"{design.shape[0]} {design.shape[1]}")
        lines += [" ".join(repr(float(v)) for v in (*row, y, w))
                  for row, y, w in zip(design, observed, weight)]
    lines.append("quantiles")
    lines += [f"{float(tail)!r} {dof}" for tail, dof in quantiles]
    done = subprocess.run(["Rscript", "--vanilla", os.path.join(HERE, "least_squares.R")],
                          input="\n".join(lines) + "\n", capture_output=True, text=True, check=True)
    rows = [numpy.array([float(v) for v in line.split()]) for line in done.stdout.splitlines()]
    split = 5 * len(problems)
    return [rows[i:i + 5] for i in range(0, split, 5)], [row[0] for row in rows[split:]]


# -- least squares by itself --------------------------------------------------------------------

def random_problem():
    columns = int(random.integers(1, 9))
    rows = columns + int(random.integers(4, 40))
    design = random.normal(size=(rows, columns)) * 10.0 ** random.uniform(-2, 2, columns)
    truth = random.normal(size=columns)
    return (design, design @ truth + random.normal(size=rows),
            10.0 ** random.uniform(-0.5, 0.5, rows))


def by_numpy(design, observed, weight):
    """Values, covariance, residuals and leverages by lstsq and pinv of the weighted problem."""
    root = numpy.sqrt(weight)
    a, y = design * root[:, None], observed * root
    scale = 1.0 / numpy.linalg.norm(a, axis=0)
    value = numpy.linalg.lstsq(a * scale, y, rcond=None)[0] * scale
    inverse = numpy.linalg.pinv(a * scale) * scale[:, None]
    return value, inverse @ inverse.T, observed - design @ value, numpy.sum(a * inverse.T, axis=1)


def problem_text(design, observed, weight):
    rows = [" ".join(repr(float(v)) for v in (*row, y, w))
            for row, y, w in zip(design, observed, weight)]
    return f"lsq {design.shape[0]} {design.shape[1]}\n" + "\n".join(rows) + "\n"


def against(got, value, covariance, residual, leverage):
    deviation = numpy.sqrt(numpy.diag(covariance))
    largest = numpy.max(numpy.abs(residual))
    return [("value", got["value"], value, deviation * 1e-3),
            ("covariance", numpy.reshape(got["covariance"], covariance.shape), covariance,
             numpy.outer(deviation, deviation)),
            ("residual", got["residual"], residual, largest * 1e-2),
            ("leverage", got["leverage"], leverage, 1e-2)]


def check_least_squares(tap):
    problems = [random_problem() for _ in range(40)]
    answers = library("".join(problem_text(*p) for p in problems))
    r_answers, _ = r_says(problems, [])
    by_lstsq, by_lm, by_rstudent = [], [], []
    for problem, got, r in zip(problems, answers, r_answers):
        by_lstsq += against(got, *by_numpy(*problem))
        size = problem[0].shape[1]
        by_lm += against(got, r[0], r[1].reshape(size, size), r[2], r[3])
        by_rstudent.append(("rstudent", got["studentised"], r[4], 1e-2))
    tap.near("least squares as numpy's lstsq and pinv, 40 problems", by_lstsq)
    tap.near("least squares as R's lm, vcov and hatvalues", by_lm)
    tap.near("studentised residuals as R's rstudent", by_rstudent)


# -- whole sweeps -------------------------------------------------------------------------------

FACED, ONE_PLACE, LINE, PLANE = range(4)


class Gauge:
    """A random gauge, and how well it reads."""

    def __init__(self, index):
        self.kind = int(random.integers(0, 4))
        self.away = int(random.integers(0, 2))
        self.angle = random.uniform(0.1, 1.0) if self.kind == 3 else 0.0
        self.step = float(random.choice([0.05, 0.01, 0.002]))
        self.noise = float(random.uniform(0.3, 3.0)) * self.step
        self.spread = math.nan if index % 3 == 0 else self.noise
        self.waves = float(random.choice([0.0, 0.02, 0.05]))
        self.factor = (1.0, -1.0, 1.0 if self.away else -1.0,
                       (1.0 if self.away else -1.0) * math.cos(self.angle))[self.kind]

    def scatter(self):
        share, least = ((0.4, 0.02), (0.5, 0.01), (0.5, 0.005), (0.5, 0.005))[self.kind]
        return max(share * self.step, least) if math.isnan(self.spread) else self.spread

    def reading_uncertainty(self):
        return abs(self.factor) * math.hypot(self.step / math.sqrt(12), self.scatter())


class Sweep(Gauge):
    """A random machine, its readings, and what the library is told of them."""

    def __init__(self, index):
        super().__init__(index)
        noise = self.noise
        self.form = (FACED, ONE_PLACE, LINE, PLANE)[index % 4]
        self.arm = random.uniform(40.0, 150.0)
        self.relative, self.aim = random.uniform(0.0, 0.01), random.uniform(0.0, 0.06)
        self.turned = random.uniform(0.0, 0.06)
        self.lay_out(index)
        size, toward = random.uniform(0.0, 0.02), random.uniform(0.0, 6.3)
        lean = numpy.array([size * math.sin(toward), size * math.cos(toward)])
        bed = numpy.zeros(2) if self.form == FACED else random.uniform(-0.003, 0.003, 2)
        u = numpy.array([numpy.sin(self.bearing), numpy.cos(self.bearing)])
        tilt = lean @ u
        gap = (random.uniform(-5, 5) - bed @ numpy.array([self.x, self.y])
               - self.arm * (tilt + bed @ u) / numpy.sqrt(1 + tilt ** 2))
        reading = gap / self.factor + noise * random.normal(size=gap.size)
        if index % 5 == 0:  # a misreading
            reading[int(random.integers(0, gap.size))] += 12 * noise
        # rounded, but a little off the step: exact ties of residuals have no largest
        self.reading = self.step * numpy.round(reading / self.step) + 1e-3 * noise * random.normal(
            size=gap.size)

    def lay_out(self, index):
        bearings = int(random.integers(4, 13))
        start = random.uniform(0.0, 6.0) if index % 2 else 0.0
        sweep = start + 2.0 * math.pi * numpy.arange(bearings) / bearings
        if self.form == PLANE:
            places = [(0.0, 0.0), (210.0, 10.0), (-20.0, 160.0)]
        elif self.form == LINE:
            places = [(10.0, 20.0), (110.0, 70.0), (210.0, 120.0)]
        else:
            places = [(30.0, -40.0)]
        repeats = 1 + index // 4 % 3
        place = numpy.repeat(numpy.array(places), bearings * repeats, axis=0)
        self.x, self.y = place[:, 0], place[:, 1]
        apart = numpy.hypot(self.x[:, None] - self.x, self.y[:, None] - self.y)
        self.places = self.x.size ** 2 / numpy.sum(apart < 0.9 * self.arm)
        self.bearing = numpy.tile(sweep, len(places) * repeats)
        self.repeats = repeats

    def text(self):
        head = (self.kind, self.away, self.angle, self.step, self.spread, self.arm, self.relative,
                self.aim, self.turned, self.waves, int(self.form == FACED))
        rows = zip(self.bearing, self.reading, self.x, self.y)
        return (f"fit {self.reading.size} " + " ".join(repr(float(v)) for v in head) + "\n"
                + "".join(" ".join(repr(float(v)) for v in row) + "\n" for row in rows))

    # the model written down again: parameters c, s (, slope along the line | bed)
    def gap(self, p):
        u = numpy.array([numpy.sin(self.bearing), numpy.cos(self.bearing)])
        both, lean = p[1:3] @ u, p[1:3] @ u
        travel = 0.0
        if self.form == LINE:
            along = numpy.array([2.0, 1.0]) / math.sqrt(5.0)
            travel = p[3] * (along[0] * self.x + along[1] * self.y)
        elif self.form == PLANE:
            lean = both - p[3:5] @ u
            travel = p[3] * self.x + p[4] * self.y
        return p[0] - travel - self.arm * both / numpy.sqrt(1.0 + lean ** 2)

    def derivatives(self, p):
        columns = []
        for j in range(p.size):
            moved = p.astype(complex)
            moved[j] += 1e-30j
            columns.append(self.gap(moved).imag / 1e-30)
        return numpy.array(columns).T

    def variance(self, p):
        along = p[1] * numpy.sin(self.bearing) + p[2] * numpy.cos(self.bearing)
        across = p[1] * numpy.cos(self.bearing) - p[2] * numpy.sin(self.bearing)
        aim = (self.arm * across * self.aim) ** 2 + 0.5 * (self.arm * along * self.aim ** 2) ** 2
        return self.reading_uncertainty() ** 2 + self.waves ** 2 + aim

    def solve(self):
        p = numpy.zeros({LINE: 4, PLANE: 5}.get(self.form, 3))
        for _ in range(25):
            weight = 1.0 / self.variance(p)
            off = self.factor * self.reading - self.gap(p)
            p = p + by_numpy(self.derivatives(p), off, weight)[0]
        self.linear = (self.derivatives(p), self.factor * self.reading - self.gap(p), weight)
        _, covariance, residual, _ = by_numpy(*self.linear)
        return self.answer(p, covariance, residual, weight)

    def widened(self, weight, chi2, dof):
        """What the bare covariance is multiplied by, the scale in it, and the t's dof."""
        prior = 4.0 if math.isnan(self.spread) else 50.0
        scale = (prior + chi2) / (prior + dof)
        rounding = self.step / math.pi * math.exp(-2 * (math.pi * self.scatter() / self.step) ** 2)
        stays = self.factor ** 2 * min(self.step ** 2 / 12, rounding ** 2 / 2) + self.waves ** 2
        more = max(weight.size / (4.0 * self.places) - 1.0, 0.0) * stays / numpy.mean(1 / weight)
        return (scale + more) * scipy.stats.t.var(prior + dof), scale, prior + dof

    def answer(self, p, covariance, residual, weight):
        size, count = p.size, residual.size
        dof, chi2 = count - size, float(numpy.sum(weight * residual ** 2))
        chance = scipy.stats.chi2.sf(chi2, dof) if dof else 1.0
        factor, scale, t_dof = self.widened(weight, chi2, dof)
        wide = covariance * factor
        pick = numpy.zeros((2, size))
        pick[0, 1] = pick[1, 2] = 1.0
        bed = numpy.zeros((2, size))
        if self.form == PLANE:
            bed[0, 3] = bed[1, 4] = 1.0
        lean, turned = pick - bed, numpy.array([-p[2], p[1]])
        arm = (self.relative ** 2 * numpy.outer(p[1:3], p[1:3])
               + self.turned ** 2 * numpy.outer(turned, turned))
        return {
            "lean": lean @ p, "bed": bed @ p, "centre": p[0], "lean_of": lean, "arm": arm,
            "lean_covariance": lean @ wide @ lean.T + arm,
            "bed_covariance": bed @ wide @ bed.T,
            "parameters": size, "dof": dof, "chi2": chi2, "p": chance, "scale": scale,
            "t_dof": t_dof, "rms": math.sqrt(numpy.mean((residual / self.factor) ** 2)),
            "reading_uncertainty": self.reading_uncertainty(), "factor": factor,
            "residual": residual / self.factor,
        }


def three(matrix):
    return numpy.array([matrix[0, 0], matrix[0, 1], matrix[1, 1]])


def check_sweeps(tap):
    sweeps = [Sweep(i) for i in range(120)]
    answers = library("".join(s.text() for s in sweeps))
    wanted = [s.solve() for s in sweeps]
    tested = [i for i, s in enumerate(sweeps)
              if s.reading.size >= 6 and s.reading.size > wanted[i]["parameters"] + 1]
    tails = [(0.0035 / sweeps[i].reading.size, math.inf) for i in tested]
    r_answers, r_quantiles = r_says([sweeps[i].linear for i in tested], tails)

    answer, covariance, judged, residual = [], [], [], []
    for i, (got, want) in enumerate(zip(answers, wanted)):
        name = f"case {i}"
        u = numpy.sqrt(numpy.diag(want["lean_covariance"]))
        answer += [(f"{name} lean", got["lean"], want["lean"], u * 1e-3),
                   (f"{name} bed", got["bed"], want["bed"], u * 1e-3),
                   (f"{name} centre", got["centre"], want["centre"], None)]
        for key in ("lean_covariance", "bed_covariance"):
            full = want[key]
            covariance.append((f"{name} {key}", got[key], three(full), numpy.trace(full) / 2))
        # a chance of nothing has no relative error worth the name
        judged += [(f"{name} {key}", got[key], want[key], 1e-12 if key == "p" else None)
                   for key in ("parameters", "dof", "chi2", "p", "scale", "t_dof", "rms",
                               "reading_uncertainty")]
        residual.append((f"{name} residual", got["residual"], want["residual"],
                         numpy.max(numpy.abs(want["residual"])) * 1e-1))
    tap.near("lean, bed and centre of 120 sweeps as numpy's", answer)
    tap.near("their covariances", covariance)
    tap.near("their chi-square, chance, scale and degrees of freedom as scipy's", judged)
    tap.near("their residuals", residual)

    largest, limits, coefficients = [], [], []
    for i, r, quantile in zip(tested, r_answers, r_quantiles):
        want = wanted[i]
        # R's knows nothing of what was known before: taken apart, and put together with that
        student = r[4][numpy.argmax(numpy.abs(r[4]))]
        rest = want["dof"] - 1
        own = student ** 2 * want["chi2"] / (rest + student ** 2)
        prior = want["t_dof"] - want["dof"]
        largest.append((f"case {i}", answers[i]["studentised"], math.copysign(
            math.sqrt(own * (prior + rest) / (prior + want["chi2"] - own)), student), None))
        limits.append((f"case {i}", answers[i]["limit"], quantile, None))
        # R's own covariance against the library's, before anything widens it
        size = want["parameters"]
        bare = want["lean_of"] @ r[1].reshape(size, size) @ want["lean_of"].T
        coefficients.append((f"case {i}", (answers[i]["lean_covariance"] - three(want["arm"])) /
                             want["factor"], three(bare), numpy.trace(bare) / 2))
    tap.near("the most suspect reading as R's rstudent", largest)
    tap.near("its limit as R's quantile", limits)
    tap.near("covariance of the lean as R's vcov", coefficients)


# -- a board's survey ---------------------------------------------------------------------------

class Survey(Gauge):
    """Touches of a random board; its plane by generalised least squares."""

    def __init__(self, index):
        super().__init__(index)
        count = int(random.integers(6, 30))
        self.x, self.y = random.uniform(-200.0, 400.0, (2, count))
        slope = random.uniform(-0.005, 0.005, 2)
        wave = 0.05 * numpy.sin(self.x / random.uniform(20, 90) + self.y / random.uniform(20, 90))
        self.height = slope @ numpy.array([self.x, self.y]) + wave
        self.reading = -(self.height + self.noise * random.normal(size=count)) / self.factor
        self.height = -self.factor * self.reading

    def text(self):
        head = (self.kind, self.away, self.angle, self.step, self.spread, self.waves)
        rows = zip(self.x, self.y, self.reading)
        return (f"survey {self.reading.size} " + " ".join(repr(float(v)) for v in head) + "\n"
                + "".join(" ".join(repr(float(v)) for v in row) + "\n" for row in rows))

    def whitened(self, waves, length):
        """The rows made plain by the roots of K = V D Vᵀ, where the library takes Cholesky's, and
        ln |K|."""
        apart = math.sqrt(3) * numpy.hypot(self.x[:, None] - self.x, self.y[:, None] - self.y) / length
        alike = (1 + apart) * numpy.exp(-apart)
        own = self.reading_uncertainty() ** 2 + 1e-6 * waves
        value, vector = numpy.linalg.eigh(waves * alike + own * numpy.eye(self.x.size))
        root = (vector / numpy.sqrt(value)).T
        plane = numpy.array([numpy.ones(self.x.size), self.x - numpy.mean(self.x),
                             self.y - numpy.mean(self.y)]).T
        return (root @ plane, root @ self.height, numpy.ones(self.x.size)), numpy.sum(numpy.log(value))

    def scale(self, waves, residual):
        reading = self.reading_uncertainty() ** 2
        before = (reading + self.waves ** 2) / (reading + waves)
        return (4 * before + residual @ residual) / (residual.size + 1)

    def likeliest(self):
        """Waves (variance) and their length by search for the fixed point of each length."""
        found = []
        for length in (40.0, 80.0, 160.0, 320.0):
            reading, waves = self.reading_uncertainty() ** 2, self.waves ** 2
            for _ in range(400):
                problem, volume = self.whitened(max(waves, 0.01 * reading), length)
                _, covariance, residual, _ = by_numpy(*problem)
                scale = self.scale(max(waves, 0.01 * reading), residual)
                last, waves = waves, scale * (reading + max(waves, 0.01 * reading)) - reading
                if abs(last - waves) < 1e-12 * reading:
                    break
            waves = max(waves, 0.01 * reading)
            found.append((4 * math.log(reading + waves) + (residual.size + 1) * scale + volume
                          - numpy.linalg.slogdet(covariance)[1], length, waves))
        return min(found)[1:]


def check_surveys(tap):
    surveys = [Survey(i) for i in range(30)]
    answers = library("".join(s.text() for s in surveys))
    problems = [s.whitened(got["waves"] ** 2, got["length"])[0] for s, got in zip(surveys, answers)]
    r_answers, _ = r_says(problems, [])
    waves, planes, by_lm = [], [], []
    for i, (survey, got, problem, r) in enumerate(zip(surveys, answers, problems, r_answers)):
        length_waves = survey.likeliest()
        # its search ends within a millionth
        waves += [(f"case {i} length", got["length"], length_waves[0], None),
                  (f"case {i} waves", got["waves"] ** 2, length_waves[1], 1e4 * length_waves[1])]
        value, covariance, residual, _ = by_numpy(*problem)
        for into, value, covariance, residual in (
                (planes, value, covariance, residual), (by_lm, r[0], r[1].reshape(3, 3), r[2])):
            dof = residual.size + 1
            wide = covariance[1:, 1:] * survey.scale(got["waves"] ** 2, residual) * dof / (dof - 2)
            u = numpy.sqrt(numpy.diag(wide))
            into += [(f"case {i} slope", got["slope"], value[1:], u * 1e-3),
                     (f"case {i} covariance", got["slope_covariance"], three(wide), numpy.trace(wide) / 2)]
    tap.near("waves of 30 surveys and their length by numpy, to 1e-5", waves)
    tap.near("their slope and its covariance by numpy", planes)
    tap.near("the same by R's lm and vcov", by_lm)


def main():
    tap = Tap()
    check_least_squares(tap)
    check_sweeps(tap)
    check_surveys(tap)
    tap.done()


main()
