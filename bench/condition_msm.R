# The reference of bench/condition.sh: msm's likelihood of its cav data at fixed parameters, the compiled code called
# in a loop inside one R process. Prints milliseconds of processor time per call.
suppressPackageStartupMessages(library(msm))
d <- cav
d$sure <- as.numeric(!duplicated(d$PTNUM))
q <- rbind(c(0, 0.148, 0, 0.0171), c(0, 0, 0.202, 0.081), c(0, 0, 0, 0.126), 0)
e <- rbind(c(0, 0.1, 0, 0), c(0.1, 0, 0.1, 0), c(0, 0.1, 0, 0), 0)
m <- msm(state ~ years, subject = PTNUM, data = d, qmatrix = q, ematrix = e, deathexact = 4, obstrue = sure, fixedpars = TRUE)
once <- function() msm:::lik.msm(m$paramdata$allinits, msmdata = m$data, qmodel = m$qmodel, qcmodel = m$qcmodel,
                                 cmodel = m$cmodel, hmodel = m$hmodel, paramdata = m$paramdata)
stopifnot(abs(once() - m$minus2loglik) < 1e-6)
for (k in 1:10) once()
calls <- 200
cat(sprintf("%.4f\n", system.time(for (k in seq_len(calls)) once())[["user.self"]] / calls * 1000))
