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


def text(value):
    return value.decode() if isinstance(value, bytes) else str(value)


def printable(value):
    return "".join(c if c.isprintable() else "?" for c in text(value))


def one_decimal(value):
    return f"{round(value, 1) + 0.0:.1f}"  # no -0.0


def two_digits(value):
    """Two significant digits without an exponent: a stiffness of 0.034 is not 0.0."""
    if value == 0 or math.isinf(value):
        return f"{value:.1f}"
    return f"{value:.{max(0, 1 - math.floor(math.log10(abs(value))))}f}"


def figure(value, small, withheld, words):
    if not math.isnan(value):
        return words(value)
    if not math.isnan(small):
        return f"({words(small)})"
    return "beyond" if withheld else "-"


def print_table(file, group, dataset, words, columns):
    """group: "" for the motions, "shear" or "axial" for the forces; columns: the heads of its columns, which all constructs share."""
    first = file["constructs"]["0"]
    about = (first[group] if group else first)[dataset].attrs
    title = f"{group}: {text(about['what'])}" if group else text(about["what"])
    print(f"\n{title} [{text(about['unit'])}]")
    wide = max([FIGURE_COLUMNS] + [len(c) + 2 for c in columns])
    print(" " * NAME_COLUMNS + "".join(f"{c:>{wide}}" for c in columns))
    for index in sorted(file["constructs"], key=int):
        construct = file["constructs"][index]
        at = construct[group] if group else construct
        # An approximate answer whose travel lies beyond what its joints allow has no figures at all.
        # Of full kinematics the approximate figures stand apart from those of small displacement.
        apart = at["approximate_figures"] if "approximate_figures" in at else at["small_displacement"]
        travel = apart["travel_mm" if group else "rotation_deg"][:]
        withheld = [text(state) == "approximate" and math.isnan(value) for state, value in zip(at["status"][:], travel)]
        figures = [figure(*values, words) for values in zip(at[dataset][:], apart[dataset][:], withheld)]
        name = printable(construct.attrs["name"])[: NAME_COLUMNS - 1]
        print(f"{name:<{NAME_COLUMNS}}" + "".join(f"{f:>{wide}}" for f in figures) + "  " + printable(construct.attrs["status"]))


def main(path):
    with h5py.File(path, "r") as file:
        if "motion" not in file:
            sys.exit(f"{path} holds no assessment (curves have another shape): this script reads results of assess")
        motions = [text(m).replace("_", " ") for m in file["motion"][:]]
        print(f"{printable(file.attrs['case'])}   ({text(file.attrs['program'])} {text(file.attrs['version'])})")
        for dataset, words in (("rotation_deg", one_decimal), ("secant_stiffness_Nm_per_deg", two_digits),
                               ("c1_slip_mm", one_decimal), ("cord_room_mm", one_decimal)):
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
        print("\n( ) small-displacement value of an approximate motion or load; beyond: past what its joints allow, withheld; - no value"
              "\n\n" + text(file.attrs["caution"]))
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
