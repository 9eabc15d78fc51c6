# The reference of bench/lifetime.sh: survreg of R's survival package, called in a loop inside one R
# process on the 200 lives of BenchmarkEstimate (lifetime/bench_test.go). Prints nanoseconds per
# call and the estimate.
suppressPackageStartupMessages(library(survival))
i <- 0:199
life <- 100 * sqrt(-log(1 - ((i * 37) %% 200 + 0.5) / 200))
end <- 40 + 20 * (i %% 8)
time <- pmin(life, end)
failed <- life <= end
y <- Surv(time, failed)
for (k in 1:20) fit <- survreg(y ~ 1, dist = "weibull") # warm up
calls <- 300
elapsed <- system.time(for (k in seq_len(calls)) fit <- survreg(y ~ 1, dist = "weibull"))[["elapsed"]]
# the bare fitter, without formula handling, for fairness
x <- matrix(1, 200, 1)
bare <- system.time(for (k in seq_len(calls))
  survreg.fit(x, cbind(log(time), failed), NULL, rep(0, 200), init = NULL,
              controlvals = survreg.control(), dist = survreg.distributions$extreme, scale = 0,
              nstrat = 1, strata = 0, parms = NULL))[["elapsed"]]
cat(sprintf("%.0f %.0f %.6f %.6f\n", elapsed / calls * 1e9, bare / calls * 1e9, 1 / fit$scale, exp(coef(fit))))
