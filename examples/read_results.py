#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Prints tables from a result of `opisthion assess CASE --out RESULT.h5`, with h5py alone: nothing of ours is needed to read it.

usage: read_results.py RESULT.h5
"""
import math
import os
import sys

import h5py

NAME_COLUMNS = 44
FIGURE_COLUMNS = 15
SHARES = ("percent_of_intact", "percent_of_injured")


def text(value):
    return value.decode() if isinstance(value, bytes) else str(value)


def printable(value):
    return "".join(c if c.isprintable() else "?" for c in text(value))


def one_decimal(value):
    return f"{round(value, 1) + 0.0:.1f}"  # no -0.0


def whole(value):
    return f"{round(value) + 0.0:.0f}"


def two_digits(value):
    """Two significant digits without an exponent: a stiffness of 0.034 is not 0.0."""
    if value == 0 or math.isinf(value):
        return f"{value:.1f}"
    return f"{value:.{max(0, 1 - math.floor(math.log10(abs(value))))}f}"


def figure(value, apart, withheld, words):
    if not math.isnan(value):
        return words(value)
    if not math.isnan(apart):
        return f"({words(apart)})"
    return "beyond" if withheld else "-"


def rows(file):
    """The neck without metal first, where it was assessed; then the constructs in the case's order."""
    for name in ("necks", "constructs"):
        for index in sorted(file.get(name, ()), key=int):
            yield file[name][index]


def approximate_figures(at, dataset, count):
    """Figures of approximate loads stand apart: those of full kinematics, those of small displacement. A group is there where it is needed."""
    out = [math.nan] * count
    for name in ("approximate_figures", "small_displacement"):
        if name in at and dataset in at[name]:
            out = [b if math.isnan(a) else a for a, b in zip(out, at[name][dataset][:])]
    return out


def print_table(file, group, dataset, words, columns):
    """group: "" for the motions, "shear" or "axial" for the forces; columns: the heads of its columns, which all rows share."""
    places = [row[group] if group else row for row in rows(file)]
    holders = [at for at in places if dataset in at]  # shares stand only where a row has some
    if not holders:
        return
    about = holders[0][dataset].attrs
    title = f"{group}: {text(about['what'])}" if group else text(about["what"])
    print(f"\n{title} [{text(about['unit'])}]")
    wide = max([FIGURE_COLUMNS] + [len(c) + 2 for c in columns])
    print(" " * NAME_COLUMNS + "".join(f"{c:>{wide}}" for c in columns))
    for row, at in zip(rows(file), places):
        values = at[dataset][:] if dataset in at else [math.nan] * len(columns)
        if dataset in SHARES and all(math.isnan(value) for value in values):
            continue
        # An approximate answer whose travel lies beyond what its joints allow has no figures at all.
        travel = approximate_figures(at, "travel_mm" if group else "rotation_deg", len(columns))
        withheld = [text(state) == "approximate" and math.isnan(value) and dataset not in SHARES
                    for state, value in zip(at["status"][:], travel)]
        apart = approximate_figures(at, dataset, len(columns))
        figures = [figure(*of_one, words) for of_one in zip(values, apart, withheld)]
        name = printable(row.attrs["name"])[: NAME_COLUMNS - 1]
        print(f"{name:<{NAME_COLUMNS}}" + "".join(f"{f:>{wide}}" for f in figures) + "  " + printable(row.attrs["status"]))


def legend(file):
    """What the signs in the tables mean, as the kinematics of this file have it."""
    kinematics = text(file.attrs["kinematics"])
    brackets = {"small": "( ) small-displacement value of an approximate motion or load, no range of motion",
                "full": "( ) figure of an approximate motion or load in full kinematics: the file says why under reason"}.get(
                    kinematics, "( ) figure of an approximate motion or load: small-displacement value, or of full kinematics as the file says")
    beyond = "" if kinematics == "full" else "; beyond: past what its joints allow, withheld"
    return brackets + beyond + "; - no value"


def main(path):
    with h5py.File(path, "r") as file:
        if "motion" not in file:
            sys.exit(f"{path} holds no assessment (curves have another shape): this script reads results of assess")
        motions = [text(m).replace("_", " ") for m in file["motion"][:]]
        print(f"{printable(file.attrs['case'])}   ({text(file.attrs['program'])} {text(file.attrs['version'])})")
        for dataset, words in (("rotation_deg", one_decimal), ("secant_stiffness_Nm_per_deg", two_digits),
                               ("percent_of_intact", whole), ("percent_of_injured", whole), ("c1_slip_mm", one_decimal),
                               ("cord_room_mm", one_decimal)):
            print_table(file, "", dataset, words, motions)
        for group, datasets in (("shear", ("c1_slip_mm", "cord_room_mm")), ("axial", ("travel_mm",))):
            loads = file["constructs"]["0"][group]
            heads = [printable(name) for name in loads["name"][:]]
            if not heads:
                continue
            for dataset in datasets:
                print_table(file, group, dataset, one_decimal, heads)
            for name, force, line in zip(heads, loads["force_N"][:], loads["line"][:]):
                print(f"  {name}: {force:+.0f} N, {printable(line)}")
        print(f"\n{legend(file)}\n\n{text(file.attrs['caution'])}")
    sys.stdout.flush()


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    try:
        main(sys.argv[1])
    except BrokenPipeError:
        # The reader of the pipe has gone; nothing more can be said there, not even by the interpreter at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit("read_results.py: the output was closed before the tables ended")
    except (OSError, KeyError) as problem:
        sys.exit(f"read_results.py: {printable(sys.argv[1])} is not a result of opisthion that can be read: {printable(' '.join(str(problem).split()))}")
