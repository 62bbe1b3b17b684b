# SPDX-License-Identifier: GPL-3.0-or-later
# Weighted least squares by R's lm. Standard input: problems, each a line "ROWS COLUMNS" and then
# ROWS lines of the design's entries, observed, weight. Standard output: for each problem five lines:
# coefficients; unscaled covariance (as vcov, over sigma squared), row by row; residuals; leverages;
# externally studentised residuals. Then, for each pair "TAIL DOF" after the word "quantiles", one
# line: the upper quantile of Student's t.
show <- function(x) cat(sprintf("%.17g", x), "\n")
input <- file("stdin", "r")
words <- scan(input, what = "", quiet = TRUE)
at <- 1
number <- function(n = 1) {
  got <- as.numeric(words[at:(at + n - 1)])
  at <<- at + n
  got
}
while (at <= length(words) && words[at] != "quantiles") {
  rows <- number()
  columns <- number()
  all <- matrix(number(rows * (columns + 2)), nrow = rows, byrow = TRUE)
  design <- all[, 1:columns, drop = FALSE]
  fit <- lm(all[, columns + 1] ~ 0 + design, weights = all[, columns + 2], tol = 1e-14)
  show(coef(fit))
  show(vcov(fit) / summary(fit)$sigma^2)
  show(residuals(fit))
  show(hatvalues(fit))
  show(rstudent(fit))
}
at <- at + 1
while (at <= length(words)) {
  pair <- number(2)
  show(qt(pair[1], pair[2], lower.tail = FALSE))
}
