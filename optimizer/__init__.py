"""lotwire: which wire aerial, hung where, from which parts, for a small plot.

The map of the code is DEVELOPERS.md; the spine is `optimizer.evaluate`.
"""

__version__ = "0.1.0"
