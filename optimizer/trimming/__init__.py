"""From readings at the wire to the next cut: gardens weighed by what was read, faults among them."""
