"""What the field solver says of itself, without loading it. A change of its figures takes the next number."""

SOLVER_VERSION = "4"
GROUND_TREATMENT = "full half-space (Sommerfeld integrals)"
