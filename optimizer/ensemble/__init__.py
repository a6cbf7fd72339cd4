"""What is not known about a garden, and what trimming makes of a design in it."""
