# Fits every data set read from standard input with R's survival package and writes the results to
# standard output, for survreg_test.go to compare with.
# Input rows: set,family,entry,low,high,weight,x   (low empty: left-censored; high empty: right-censored)
suppressPackageStartupMessages(library(survival))
data <- read.csv(file("stdin"), colClasses = c("integer", "character", rep("numeric", 5)))
for (rows in split(data, data$set)) {
  converged <- TRUE
  fit <- withCallingHandlers(
    survreg(Surv(low, high, type = "interval2") ~ x, data = rows, weights = weight,
            dist = rows$family[1], control = survreg.control(maxiter = 200, rel.tolerance = 1e-13)),
    warning = function(w) { converged <<- FALSE; invokeRestart("muffleWarning") })
  cat(sprintf("fit,%d,%d,%.17g,%.17g,%.17g,%.17g\n", rows$set[1], converged,
              fit$coefficients[1], fit$coefficients[2], fit$scale, fit$loglik[2]))
  exact <- rows[is.na(rows$high) | (!is.na(rows$low) & !is.na(rows$high) & rows$low == rows$high), ]
  km <- survfit(Surv(exact$entry, exact$low, !is.na(exact$high)) ~ 1, weights = exact$weight)
  for (i in which(km$n.event > 0))
    cat(sprintf("km,%d,%.17g,%.17g,%.17g\n", rows$set[1], km$time[i], km$surv[i], km$std.err[i] * km$surv[i]))
}
