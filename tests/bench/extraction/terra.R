# Rscript terra.R raster regions: processor seconds of terra's exact extraction of means, then the means, one a line.
suppressMessages(library(terra))
arguments <- commandArgs(trailingOnly = TRUE)
raster <- rast(arguments[1])
regions <- vect(arguments[2])
took <- sum(system.time(means <- extract(raster, regions, fun = mean, exact = TRUE, na.rm = TRUE))[c("user.self", "sys.self")])
cat(took, "\n")
cat(format(means[[2]], digits = 17), sep = "\n")
