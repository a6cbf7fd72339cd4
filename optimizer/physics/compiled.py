"""How compiled functions are compiled, and what the compiler is slow at, written leanly.

Everything here serves the first run after installing, which has to compile all of them: Python's own `min` and `max` cost the
compiler several milliseconds a call, arrays made inside a function a tenth of a second a kind, and entry points from Python
a third of a small function, so functions called from compiled code only (`INNER`) have none.
"""

from __future__ import annotations

from numba import njit

JIT = {"cache": True, "error_model": "numpy", "nogil": True, "no_rewrites": True, "no_cfunc_wrapper": True}
INNER = {"error_model": "numpy", "nogil": True, "no_rewrites": True, "no_cfunc_wrapper": True, "no_cpython_wrapper": True}


@njit(**INNER)
def lesser(a, b):
    return a if a < b else b  # noqa: FURB136


@njit(**INNER)
def greater(a, b):
    return a if a > b else b  # noqa: FURB136
