"""Does following the advice work? Hidden gardens of another generator, a meter that errs, faults planted.

    OMP_NUM_THREADS=1 python tests/bench/bench_trim.py [families] [first seed] [gardens] [of them by radio alone] [of them with each fault]

Gardens 2000 to 2049 are for building, 3000 to 3049 for the report in optimizer/docs/advice.md, which trim_table.py writes.
"""

import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[1] / name) for name in ("ensemble", "trimming")]
from following import Hand
from hidden_gardens import hidden_garden
from made import built_for
from planted import planted

from optimizer.trimming.advise import RADIO, Settings
from optimizer.trimming.bank import bank_of
from optimizer.trimming.case import case_of

DESIGNS = {
    "end_fed_half_wave_drooped": ("terrace.geojson", "40m 20m 10m"),
    "end_fed_loaded_tail": ("l_shape.geojson", "40m 20m"),
    "trap_dipole": ("l_shape.geojson", "40m 20m"),
    "linked_dipole": ("l_shape.geojson", "40m 20m 10m"),
    "parallel_dipole": ("l_shape.geojson", "40m 20m 10m"),
    "vertical": ("terrace.geojson", "20m 10m"),
}


def sound(bank, seeds, settings):
    """Healthy gardens."""
    count, cuts, readings = Counter(), [], []
    for seed in seeds:
        hand = Hand(bank, hidden_garden(bank.case.built.site, seed), seed)
        story = hand.follow(settings)
        count["on target"] += hand.on_target(story)
        count["reached"] += hand.reached(story)
        count["false alarm"] += "wrong" in story.verdicts
        count["unfinished"] += story.verdicts[-1] not in ("done", "wrong")
        count["overshoots"] += story.overshoots
        count["unfolds"] += story.unfolds
        count["folds"] += story.folds
        cuts.append(story.cuts)
        readings.append(len(story.log))
    n = len(cuts)
    print(
        f"  sound, {settings.user}: segments reached {count['reached']}, on target {count['on target']} of {n}; cuts mean {np.mean(cuts):.1f}, most {max(cuts)}; folds {count['folds']}; readings {np.mean(readings):.1f}; "
        f"overshoots {count['overshoots']} of {sum(cuts)} cuts; let out {count['unfolds']}; false alarms {count['false alarm']}; unfinished {count['unfinished']}",
        flush=True,
    )


def faulty(bank, seeds, settings):
    """One planted fault of each kind in each garden."""
    site = bank.case.built.site
    for kind in ("open joint", "wrong turns", "coil value", "missing counterpoise", "wire touching", "wrong end trimmed"):
        count, seen = Counter(), Counter()
        for seed in seeds:
            fault = planted(kind, bank.case, seed)
            if fault is None:
                break
            hand = Hand(bank, fault.garden(hidden_garden(site, seed)), seed, change=fault.design, **fault.slip)
            story = hand.follow(settings)
            named = [c.kind for c in story.advice.causes]
            where = named.index(kind) if kind in named and story.verdicts[-1] == "wrong" else None
            count["first"] += where == 0
            count["second"] += where == 1
            count["alarm"] += story.verdicts[-1] == "wrong"
            count["trimmed all the same"] += story.verdicts[-1] == "done" and hand.on_target(story)
            count["missed"] += story.verdicts[-1] != "wrong" and not hand.on_target(story)
            seen[named[0] if named else "-"] += 1
        total = sum(seen.values())
        if total:
            print(f"  {kind}: first {count['first']}, second {count['second']}, alarms {count['alarm']}, trimmed all the same {count['trimmed all the same']}, missed {count['missed']} of {total}; named first: {dict(seen)}", flush=True)
        else:
            print(f"  {kind}: this design cannot have it")


def main(families="", first="2000", gardens="50", radios="50", faults="50"):
    seeds = range(int(first), int(first) + int(gardens))
    for key in families.split() or DESIGNS:
        built = built_for(*DESIGNS[key], key)
        began = time.perf_counter()
        bank = bank_of(case_of(built))
        print(f"{key}, {built.site.name}, {DESIGNS[key][1]}; {len(bank.case.names)} lengths, bank {time.perf_counter() - began:.0f} s; cut {np.expm1(bank.case.start).round(3).tolist()} long", flush=True)
        sound(bank, seeds, Settings())
        faulty(bank, seeds[: int(faults)], Settings())
        if int(radios):
            sound(bank, seeds[: int(radios)], Settings(user=RADIO))


if __name__ == "__main__":
    main(*sys.argv[1:])
