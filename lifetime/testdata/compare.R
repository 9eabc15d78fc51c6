# Fits every data set read from standard input with R's survival package and writes the results to
# standard output, for survreg_test.go to compare with.
# Input rows: set,family,low,high,weight,x   (low empty: left-censored; high empty: right-censored)
suppressPackageStartupMessages(library(survival))
data <- read.csv(file("stdin"), colClasses = c("integer", "character", rep("numeric", 4)))
for (rows in split(data, data$set)) {
  converged <- TRUE
  fit <- withCallingHandlers(
    survreg(Surv(low, high, type = "interval2") ~ x, data = rows, weights = weight,
            dist = rows$family[1], control = survreg.control(maxiter = 200, rel.tolerance = 1e-13)),
    warning = function(w) { converged <<- FALSE; invokeRestart("muffleWarning") })
  cat(sprintf("fit,%d,%d,%.17g,%.17g,%.17g,%.17g\n", rows$set[1], converged,
              fit$coefficients[1], fit$coefficients[2], fit$scale, fit$loglik[2]))
}
