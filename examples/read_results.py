#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Prints a table from a result of `opisthion assess CASE --out RESULT.h5`, with h5py alone: nothing of ours is needed to read it.

usage: read_results.py RESULT.h5
"""
import math
import sys

import h5py


def text(value):
    return value.decode() if isinstance(value, bytes) else str(value)


def printable(value):
    return "".join(c if c.isprintable() else "?" for c in text(value))


def figure(value, small):
    if not math.isnan(value):
        return f"{value:.1f}"
    return f"({small:.1f})" if not math.isnan(small) else "-"


def rows(file, dataset):
    for index in sorted(file["constructs"], key=int):
        construct = file["constructs"][index]
        values, small = construct[dataset][:], construct["small_displacement"][dataset][:]
        yield printable(construct.attrs["name"]), [figure(a, b) for a, b in zip(values, small)], printable(construct.attrs["status"])


def main(path):
    with h5py.File(path) as file:
        motions = [text(m).replace("_", " ") for m in file["motion"][:]]
        print(f"{printable(file.attrs['case'])}   ({text(file.attrs['program'])} {text(file.attrs['version'])})")
        for dataset in ("rotation_deg", "secant_stiffness_Nm_per_deg", "c1_slip_mm"):
            about = file["constructs"]["0"][dataset].attrs
            print(f"\n{text(about['what'])} [{text(about['unit'])}]")
            print(" " * 44 + "".join(f"{m:>15}" for m in motions))
            for name, figures, status in rows(file, dataset):
                print(f"{name[:43]:<44}" + "".join(f"{f:>15}" for f in figures) + f"  {status}")
        print("\n( ) small-displacement value of an approximate motion; - no value\n\n" + text(file.attrs["caution"]))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(sys.argv[1])
