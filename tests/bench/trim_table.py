"""The tables of optimizer/docs/advice.md from what bench_trim.py printed.

    python tests/bench/bench_trim.py "" 3000 > trim.txt; python tests/bench/trim_table.py trim.txt
"""

import re
import sys
from pathlib import Path

PAGE = Path(__file__).parents[2] / "optimizer" / "docs" / "advice.md"
BEGIN, END = "<!-- table: tests/bench/trim_table.py -->\n", "<!-- end -->"
FAULTS = (
    "\n**One fault planted in each garden**, over the designs that can have it. *Trimmed right all the same*: on target, for instance past a transformer "
    "of the next ratio, which moves no dip:\n\n"
)
KINDS = ("open joint", "wrong turns", "coil value", "missing counterpoise", "wire touching", "wrong end trimmed")
DESIGN = re.compile(r"^(\w+), .+?, ([\dm ]+); (\d+) lengths")
SOUND = re.compile(
    r"sound, (\w+): segments reached (\d+), on target (\d+) of (\d+); cuts mean ([\d.]+), most (\d+); folds (\d+); readings ([\d.]+); "
    r"overshoots (\d+) of (\d+) cuts; let out (\d+); false alarms (\d+); unfinished (\d+)"
)
FAULT = re.compile(r"^  ([a-z ]+): first (\d+), second (\d+), alarms (\d+), trimmed all the same (\d+), missed (\d+) of (\d+)")


def read(lines):
    """[(design, bands, sound rows by user, fault rows by kind)]"""
    found = []
    for line in lines:
        if head := DESIGN.match(line):
            found.append((head[1].replace("_", " "), head[2], {}, {}))
        elif row := SOUND.search(line):
            found[-1][2][row[1]] = row.groups()[1:]
        elif row := FAULT.match(line):
            found[-1][3][row[1]] = tuple(map(int, row.groups()[1:]))
    return found


def sound_table(found, user):
    yield "| design | bands | segments reached | on target | cuts, mean (most) | folds a garden | readings | overshoots | let out | false alarms |\n|---|---|---|---|---|---|---|---|---|---|\n"
    cuts = over = 0
    for design, bands, sound, _ in found:
        if user in sound:
            reached, on, of, mean, most, folds, readings, too_far, made, out, false, _ = sound[user]
            cuts, over = cuts + int(made), over + int(too_far)
            yield f"| {design} | {bands} | {reached} of {of} | {on} of {of} | {mean} ({most}) | {int(folds) / int(of):.1f} | {readings} | {too_far} of {made} | {out} | {false} |\n"
    if cuts:
        yield f"\nOvershoots in all: {over} of {cuts} cuts, {100 * over / cuts:.1f} %; stated: 2 % at most.\n"


def fault_table(found):
    yield "| kind | planted | alarm raised | named first | first or second | trimmed right all the same | missed |\n|---|---|---|---|---|---|---|\n"
    for kind in KINDS:
        rows = [faults[kind] for *_, faults in found if kind in faults]
        first, second, alarms, trimmed, missed, planted = map(sum, zip(*rows))
        yield f"| {kind} | {planted} | {alarms} | {first} | {first + second} | {trimmed} | {missed} |\n"


def main(*paths):
    found = read([line for path in paths for line in Path(path).read_text(encoding="utf-8").splitlines()])
    page = PAGE.read_text(encoding="utf-8")
    head, rest = page.split(BEGIN)
    old, tail = rest.split(END)
    text = "".join((
        "*Segments reached*: every wished segment is covered within a twentieth as well as from the target. *On target*: every lowest SWR within 0.4 % of where it should be.\n\n",
        "**A meter that reads anywhere**, nothing wrong; an overshoot is a cut that leaves a piece shorter than it may be in the end:\n\n", *sound_table(found, "analyser"),
        "\n**Only the radio's SWR**, three readings inside the segment, up to 5; nothing is cut:\n\n", *sound_table(found, "radio"),
        FAULTS, *(fault_table(found) if any(faults for *_, faults in found) else old.split(FAULTS)[1]),
    ))  # fmt: skip
    PAGE.write_text(head + BEGIN + text + END + tail, encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
