# The same statistics written from METHODS.md, "Calibration", with dense matrices and lm(). Base R only.
# Rscript panel_reference.R DEVIATIONS.csv PRIOR_SD YEAR_VAR REST_VAR WEIGHT TREND(0/1) BETWEEN_SD; noise of a season in the column noise.
arguments <- commandArgs(TRUE)
d <- read.csv(arguments[1])
prior <- as.numeric(arguments[2])^2; y0 <- as.numeric(arguments[3]); e0 <- as.numeric(arguments[4]); w <- as.numeric(arguments[5])
between0 <- as.numeric(arguments[7])^2
d$r <- factor(d$region); d$y <- factor(d$year); last <- max(d$year)
R <- nlevels(d$r); Y <- nlevels(d$y); n <- nrow(d)
Z <- model.matrix(~ y - 1, d); one <- diag(n)
noise <- tapply(d$noise, d$y, max)

fit <- function(trend) {
  X <- if (trend) cbind(model.matrix(~ r - 1, d), slope = d$year - last) else model.matrix(~ r - 1, d)
  residual <- residuals(lm(d$value ~ X - 1))
  M <- one - X %*% qr.solve(X, one)
  N <- Z %*% diag(noise, Y) %*% t(Z); ZZ <- Z %*% t(Z)
  tr <- function(A) sum(diag(A))
  q <- c(t(residual) %*% ZZ %*% residual - tr(ZZ %*% M %*% N %*% M), sum(residual^2) - tr(M %*% N %*% M))
  A <- rbind(c(tr(ZZ %*% M %*% ZZ %*% M), tr(ZZ %*% M)), c(tr(M %*% ZZ), tr(M)))
  s <- solve(A, q)
  if (s[1] <= 0) s <- c(0, max(q[2] / A[2, 2], 0))
  if (s[2] <= 0) s <- c(max(q[1] / A[1, 1], 0), 0)
  dfy <- Y - 1 - trend; dfe <- n - ncol(X) - dfy
  vy <- (w * y0 + dfy * s[1]) / (w + dfy); ve <- max((w * e0 + dfe * s[2]) / (w + dfe), 1e-8)
  V <- ve * one + Z %*% diag(vy + noise, Y) %*% t(Z)
  C <- solve(t(X) %*% solve(V) %*% X); b <- C %*% t(X) %*% solve(V) %*% d$value
  list(own = b[1:R], C = C[1:R, 1:R, drop = FALSE], vy = vy, ve = ve,
       slope = if (trend) b[R + 1] else 0, slope_se = if (trend) sqrt(C[R + 1, R + 1]) else 0)
}
f <- fit(FALSE); slope <- 0; slope_se <- 0
if (arguments[6] == "1") {
  g <- fit(TRUE); slope <- g$slope; slope_se <- g$slope_se
  if (abs(slope) > 2 * slope_se) f <- g
}
seasons <- as.vector(table(d$r))
A <- solve(f$C); ones <- rep(1, R)
P0 <- A - A %*% ones %*% t(ones) %*% A / sum(A)
tau <- max((as.numeric(t(f$own) %*% P0 %*% f$own) - (R - 1)) / sum(diag(P0)), 0)
tau_se <- sqrt(2 * (R - 1)) / sum(diag(P0))
tau <- (w * between0 + (R - 1) * tau) / (w + R - 1); tau_se <- tau_se * (R - 1) / (w + R - 1)
K <- f$C
for (i in 1:R) if (seasons[i] < 5) K[i, i] <- max(K[i, i], 10 * (tau + prior) / seasons[i])
if (Y < 5) K <- K + 10 * prior / Y
P <- tau * diag(R) + prior
W <- rbind(P %*% solve(P + K), prior * colSums(solve(P + K)))
for (i in 1:R) if (seasons[i] >= 5) {
  away <- abs(sum(W[i, ] * f$own) - f$own[i]); most <- sqrt(f$C[i, i])
  if (away > most) { W[i, ] <- W[i, ] * most / away; W[i, i] <- W[i, i] + 1 - most / away }
}
# Error of W own as an estimate of T (mu, b): variance by the whole covariance of (mu, b, error).
T <- rbind(cbind(1, diag(R)), c(1, rep(0, R)))
S <- rbind(cbind(1, diag(R)))                      # own = S (mu, b) + error
G <- diag(c(prior, rep(tau + tau_se, R)))
E <- (T - W %*% S) %*% G %*% t(T - W %*% S) + W %*% f$C %*% t(W)
result <- c(as.vector(W %*% f$own), sqrt(diag(E)), pmin(pmax(rowSums(W), 0), 1), tau, f$vy, f$ve, slope, slope_se)
cat(sprintf("%.15g", result), sep = "\n")
