"""Table of the program's own mesh against mesh-converged truth: run as `python tests/bench/bench_truth.py`.

Errors of the feed impedance as a share of 1 % + 0.5 ohm, gain in dB, efficiency and near fields relative; resonances in per cent.
"""

import platform
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "field"))

from truth import FEEDS, LIMITS, LOW, RESONANCES, feed_errors, resonance_error


def main():
    began = time.perf_counter()
    print(f"{platform.machine()}, Python {platform.python_version()}; limits {LIMITS}, resonances 0.15 % (peaks 0.3 %)")
    print(f"{'case':36s}{'MHz':>6s}{'Z':>8s}{'gain dB':>9s}{'effic.':>9s}{'E':>9s}{'H':>9s}")
    for cases, fine in ((FEEDS, 6.0), (LOW, 16.0)):
        for name, (case, points) in cases.items():
            for mhz, row in zip(case.mhz, feed_errors(case, points, fine=fine)):
                over = "  over" if any(v > limit for v, limit in zip(row, LIMITS)) else ""
                print(f"{name:36s}{mhz:6.2f}{row[0]:8.3f}{row[1]:9.4f}" + "".join(f"{v:9.5f}" for v in row[2:]) + over)
    print(f"{'resonance':36s}{'%':>8s}")
    for name, (*_, peak) in RESONANCES.items():
        error = 100 * resonance_error(name)
        print(f"{name:36s}{error:8.4f}" + ("  over" if abs(error) > (0.3 if peak else 0.15) else ""))
    print(f"{time.perf_counter() - began:.1f} s")


if __name__ == "__main__":
    main()
