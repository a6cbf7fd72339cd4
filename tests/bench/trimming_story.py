"""The worked story of optimizer/docs/trimming.md: plan, hidden garden, readings, cuts, final curves. Prints all its numbers.

    OMP_NUM_THREADS=1 python tests/bench/trimming_story.py [hidden garden] [site] [bands] [family]
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "ensemble"))
from bench_ensemble import SITES, first_that_stands
from hidden_gardens import hidden_garden

from optimizer.ensemble.builder import Builder
from optimizer.ensemble.garden import as_planned, garden_of
from optimizer.ensemble.plan import ways
from optimizer.ensemble.spread import PILOTS, prepared, spread_of
from optimizer.ensemble.unknowns import draw
from optimizer.ensemble.yard import Yard
from optimizer.evaluate import FULL, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.elements import Coil
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site
from optimizer.wires.model import Ground


def main(garden="1007", site_name="l_shape.geojson", bands="40m 20m", key="end_fed_loaded_tail"):
    site, family = read_site(SITES / site_name), FAMILIES[key]
    wishes = read_wishes(bands, site)
    rough = first_that_stands(family, site, wishes)
    found = measure(site, wishes, family, place(site, wishes, family, rough.values).design, FULL)
    spread = spread_of(site, wishes, family, found.values)
    ready = prepared(site, wishes, family, found.values, [garden_of(m) for m in draw(site, PILOTS, 1)])[0]
    print(f"PLAN  {ready.drawing.nominal.title}, {site.name}; {spread.way}")
    for load in ready.drawing.nominal.loads:
        if isinstance(load.element, Coil):
            print(f"  coil {load.element.inductance_h * 1e6:.1f} uH, stray {load.element.stray_f * 1e12:.2f} pF, Q {load.element.q:.0f}")
    for p in spread.order:
        print(f"  {p.element}: computed {p.nominal_m:.2f} m, cut {p.cut_m:.2f} m; trim to {p.aim_mhz:.3f} MHz, ends at {p.end_mhz:.3f}; {p.khz_per_cm:.1f} kHz a centimetre")
    print("  orders tried: " + "; ".join(f"{n} {100 * v:.0f} %" for n, v in spread.tried.items()))
    print(f"  on target {100 * spread.on_target:.0f} %, trimmable by cutting {100 * spread.trimmable:.0f} %, {spread.moves:.1f} moves")
    hidden = hidden_garden(site, int(garden))
    start = {p.parameter: p.cut_m for p in spread.order}
    yard = Yard(hidden, ready.drawing.at(start), wishes.bands)
    soil = hidden.ground.soil
    print(f"HIDDEN GARDEN {garden}  soil {soil.relative_permittivity:.1f}, {1e3 * soil.conductivity_s_per_m:.1f} mS/m; {len(yard.about)} conductors, {sum(w.length_m for w in yard.about):.0f} m")
    for load in yard.solution(ready.drawing.at(start), wishes.bands[0].key)[0].loads:
        if isinstance(load.element, Coil):
            print(f"  coil {load.element.inductance_h * 1e6:.1f} uH, stray {load.element.stray_f * 1e12:.2f} pF, Q {load.element.q:.0f}")
    steps = tuple(replace(s, start_m=start[s.step.parameter]) for s in ready.way.steps)
    got = Builder(yard, ready.drawing.at, steps).trimmed()
    print("READINGS")
    for r in got.readings:
        print(f"  {r.element} {r.length_m:.2f} m: {r.band} dips at {r.dip_hz / 1e6:.3f} MHz, wanted {r.aim_hz / 1e6:.3f}")
    print("END  " + ", ".join(f"{n} {m:.2f} m" for n, m in got.lengths_m.items()) + f"; on target {got.on_target}, {got.moves} moves")
    for w in wishes.bands:
        figures = yard.figures(got.design, w.key, wishes.swr_limit)
        for name in ("covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi"):
            low, high = spread.band(w.key, name)
            print(f"  {w.key} {name}: planned {getattr(found.bands[w.key], name):.2f}, stated {low:.2f} to {high:.2f}, came to {getattr(figures, name):.2f}")
        at = np.linspace(0, len(figures.freq_hz) - 1, 9).round().astype(int)
        print(f"  {w.key} curve: " + ", ".join(f"{figures.freq_hz[i] / 1e6:.3f} {figures.swr[i]:.2f}" for i in at))
    _rules(ready, spread, yard, wishes, site)


def _rules(ready, spread, yard, wishes, site):
    """Where rule of thumb and computation differ: the shift by the tail against stray capacitance, on the plan."""
    drawing = ready.drawing
    if len(drawing.nominal.loads) != 1:
        return
    print("SHIFT OF THE UPPER BAND BY THE TAIL, coil as planned but for its stray capacitance")
    upper = drawing.nominal.trims[0].band
    for stray in (0.0, 1e-12, 1.5e-12, 2e-12, 3e-12, 3.5e-12):
        load = drawing.nominal.loads[0]
        design = replace(drawing.nominal, loads=(replace(load, element=replace(load.element, stray_f=stray)),))
        open_field = Yard(as_planned(Ground(kind="soil", soil=site.soil)), design, wishes.bands)
        from optimizer.ensemble.builder import bare_of

        alone, whole = open_field.dip_hz(bare_of(design), upper, True), open_field.dip_hz(design, upper)
        print(f"  {stray * 1e12:.1f} pF: without tail {alone / 1e6:.3f}, with tail {whole / 1e6:.3f} MHz, {100 * (whole / alone - 1):+.1f} %")
    for way in ways(drawing, Yard(as_planned(Ground(kind="soil", soil=site.soil)), drawing.nominal, wishes.bands), ready.found, ready.start):
        print(f"  {way.name}: " + ", ".join(f"{s.step.element} to {s.aim_hz / 1e6:.3f} MHz" for s in way.steps))


if __name__ == "__main__":
    main(*sys.argv[1:])
