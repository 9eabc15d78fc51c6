# The reference of msm_test.go: R's msm package (Jackson 2011; Debian r-cran-msm) on its own data set
# cav. Prints, each line with a word first: the rows with the stage probabilities after each look, the
# log-likelihood at fixed parameters, msm's own fit, and transition probabilities.
suppressPackageStartupMessages(library(msm))
d <- cav[, c("PTNUM", "years", "state")]
d$sure <- as.numeric(!duplicated(d$PTNUM))
q <- rbind(c(0, 0.148, 0, 0.0171), c(0, 0, 0.202, 0.081), c(0, 0, 0, 0.126), 0)
e <- rbind(c(0, 0.1, 0, 0), c(0.1, 0, 0.1, 0), c(0, 0.1, 0, 0), 0)
model <- function(data, ...) msm(state ~ years, subject = subject, data = data, qmatrix = q, ematrix = e,
                                 deathexact = 4, obstrue = sure, ...)
d$subject <- d$PTNUM
fixed <- model(d, fixedpars = TRUE)
cat(sprintf("loglik %.17g\n", -fixed$minus2loglik / 2))

# Every history cut after each of its rows is a subject of its own: its last probabilities then rest
# on what was seen until then.
rows <- split(seq_len(nrow(d)), d$PTNUM)
cut <- unlist(lapply(rows, function(r) lapply(seq_along(r), function(k) r[1:k])), recursive = FALSE)
prefix <- d[unlist(cut), ]
prefix$subject <- rep(seq_along(cut), lengths(cut))
keep <- prefix$subject %in% which(lengths(cut) > 1)
prefix <- prefix[keep, ]
v <- viterbi.msm(model(prefix, fixedpars = TRUE))
last <- v[!duplicated(v$subject, fromLast = TRUE), ]
key <- vapply(cut[lengths(cut) > 1], function(r) r[length(r)], 1)
p <- matrix(NA, nrow(d), 3)
p[key, ] <- last$pstate[, 1:3]
p[d$sure == 1, ] <- rep(c(1, 0, 0), each = sum(d$sure))
cat(sprintf("row %d %.17g %d %.17g %.17g %.17g\n", d$PTNUM, d$years, d$state, p[, 1], p[, 2], p[, 3]), sep = "")

fit <- model(d, method = "BFGS", control = list(reltol = 1e-10, maxit = 1000))
cat(sprintf("fit %.17g\n", -fit$minus2loglik / 2))

for (t in c(0.1, 1, 3.7, 12, 40)) cat(sprintf("pmatrix %.17g %s\n", t,
  paste(sprintf("%.17g", t(matrix(as.numeric(unclass(pmatrix.msm(fixed, t = t))), 4))[1:12]), collapse = " ")))
