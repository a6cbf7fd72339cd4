"""What moves what: standard deviations over the ensemble with one source of scatter at a time, of a design uncut. Writes into optimizer/docs/trimming.md.

    OMP_NUM_THREADS=1 python tests/bench/what_moves.py
"""

from dataclasses import replace

import numpy as np
from bench_ensemble import SITES, first_that_stands
from pages import put

from optimizer.ensemble.garden import as_planned, garden_of
from optimizer.ensemble.unknowns import draw
from optimizer.ensemble.yard import Yard
from optimizer.evaluate import place
from optimizer.families.catalogue import FAMILIES
from optimizer.parts.loads import SAG_SHARE
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site
from optimizer.spread import MEMBERS
from optimizer.wires.model import Ground

CASES = (("end_fed_half_wave_drooped", "terrace.geojson"), ("end_fed_loaded_tail", "l_shape.geojson"))


def main():
    lines = ["| design, lot: dip at 7 MHz / efficiency there | soil | metal and trees | holds | sag | coating | parts | all |", "|---" * 8 + "|"]
    for key, site_name in CASES:
        site, family = read_site(SITES / site_name), FAMILIES[key]
        wishes = read_wishes("40m 20m 10m", site)
        design = place(site, wishes, family, first_that_stands(family, site, wishes).values).design
        cells = []
        for only in zip(*(_parted(m, site) for m in draw(site, MEMBERS, 1))):
            yards = [Yard(garden, design, wishes.bands) for garden in only]
            dips = [yard.dip_hz(design, "40m") for yard in yards]
            shares = [yard.figures(design, "40m", wishes.swr_limit).efficiency for yard in yards]
            cells.append(f"{100 * np.std(dips) / np.mean(dips):.2f} % / {np.std(shares):.3f}")
        lines.append(f"| {key.replace('_', ' ')}, {site.name} | " + " | ".join(cells) + " |")
        print(lines[-1], flush=True)
    put("trimming.md", "moves", lines)


def _parted(member, site):
    """The garden with one source of scatter at a time, and with all."""
    full, plan = garden_of(member), as_planned(Ground(kind="soil", soil=site.soil))
    still = replace(member, shift_m=0.0, fall=(0.0, 0.0), height=1.0, sag=SAG_SHARE, coating_permittivity=1.0, coating_thickness=1.0)
    hangings = (
        replace(still, shift_m=member.shift_m, fall=member.fall, height=member.height), replace(still, sag=member.sag),
        replace(still, coating_permittivity=member.coating_permittivity, coating_thickness=member.coating_thickness),
    )  # fmt: skip
    hung_so = (replace(plan, hung=garden_of(m).hung) for m in hangings)
    return replace(plan, ground=full.ground), replace(plan, about=full.about), *hung_so, replace(plan, made=full.made), full


if __name__ == "__main__":
    main()
