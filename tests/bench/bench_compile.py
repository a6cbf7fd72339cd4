"""What the first run after installing spends on compiling: processor seconds by function, into an empty cache, in one process a part.

    python tests/bench/bench_compile.py
"""

import os
import platform
import subprocess
import sys
import tempfile
import time
from collections import Counter



def one(part: str) -> None:
    """Compile a part here and print `seconds name` of every outermost and inner function, its own share."""
    from numba.core import event

    class Ear(event.Listener):
        def __init__(self):
            self.open, self.spent = [], Counter()

        def on_start(self, event):
            self.open.append([time.process_time(), 0.0])

        def on_end(self, event):
            began, within = self.open.pop()
            took = time.process_time() - began
            self.spent[event.data["dispatcher"].__name__] += took - within
            if self.open:
                self.open[-1][1] += took

    from optimizer.compiling import exercise

    ear = Ear()
    event.register("numba:compile", ear)
    exercise(part)
    for name, took in ear.spent.most_common():
        print(f"{took:.3f} {name}")


def main() -> None:
    print(platform.machine(), "Python", platform.python_version(), "load", os.getloadavg()[0])
    total, began = 0.0, time.monotonic()
    with tempfile.TemporaryDirectory() as empty:
        for part in ("field", "geometry"):
            told = subprocess.run([sys.executable, __file__, part], env=os.environ | {"NUMBA_CACHE_DIR": empty}, check=True, capture_output=True, text=True)
            spent = [(float(took), name) for took, name in map(str.split, told.stdout.splitlines())]
            total += sum(took for took, _ in spent)
            print(f"{part}: {sum(took for took, _ in spent):.2f} s;", ", ".join(f"{name} {took:.2f}" for took, name in spent[:12]))
    print(f"in all {total:.2f} s of compiling; one after the other with starting Python {time.monotonic() - began:.1f} s")


if __name__ == "__main__":
    one(sys.argv[1]) if len(sys.argv) > 1 else main()
