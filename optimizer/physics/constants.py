"""Constants of nature in SI units (CODATA 2018; the speed of light is exact)."""

import math

C0_M_PER_S = 299_792_458.0
MU0_H_PER_M = 1.256_637_062_12e-6
EPS0_F_PER_M = 1.0 / (MU0_H_PER_M * C0_M_PER_S**2)
ETA0_OHM = MU0_H_PER_M * C0_M_PER_S
COPPER_S_PER_M = 5.80e7
TWO_PI = 2.0 * math.pi
