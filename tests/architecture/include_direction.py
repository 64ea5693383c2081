#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Reads every #include and holds it against the folder's row. Prints file:line and the line itself when it is not allowed.

usage: include_direction.py ROOT | --self-test
"""
import pathlib
import re
import sys
import tempfile

STANDARD = r"[a-z_0-9]+"                     # <vector>, <cmath>
EIGEN, SPECTRA, EXPECTED = r"Eigen/.+", r"Spectra/.+", r"tl/expected\.hpp"
POSIX = r"fcntl\.h|unistd\.h|sys/stat\.h"   # files and terminals: above the line where the page goes
PUGIXML, HDF5, JSON, FMT, CLI = r"pugixml\.hpp", r"hdf5(_hl)?\.h|H5\w+\.h", r"nlohmann/.+", r"fmt/.+", r"CLI/.+"

# Longest folder first: the first row whose folder starts the path counts. (folder, our folders, third party)
ROWS = [
    ("models/xml/native", ["models"], [EIGEN, EXPECTED, PUGIXML]),
    ("models", ["models"], [EIGEN, EXPECTED]),
    ("mesh/system", ["mesh/system"], [EIGEN]),
    ("mesh/build", ["mesh", "models"], [EIGEN, EXPECTED]),
    ("solver/core", ["mesh/system", "solver/core"], [EIGEN, SPECTRA]),
    ("solver/study", ["solver/core", "solver/study", "mesh", "models"], [EIGEN, EXPECTED]),
    ("solver/results", ["solver/results", "solver/study", "solver/core", "mesh", "models"], [EIGEN, EXPECTED, HDF5, JSON, FMT, POSIX]),
    ("solver/report", ["solver/report", "solver/results", "solver/study", "solver/core", "mesh", "models"],
     [EIGEN, EXPECTED, JSON, FMT]),
    ("solver/program", ["solver", "mesh", "models"], [EIGEN, EXPECTED, JSON, FMT, CLI, POSIX]),
]
# Below the native reader and the program: what does not exist, or must not be used, where the page goes.
PAGE_CLEAN = ["models", "mesh", "solver/core", "solver/study"]
NOT_PAGE_CLEAN = {"iostream", "fstream", "sstream", "ostream", "istream", "thread", "mutex", "shared_mutex", "atomic", "future",
                  "condition_variable", "filesystem", "format", "ranges", "expected", "source_location", "random", "chrono"}
# Native only: the part of models that reads files through pugixml.
NATIVE = ["models/xml/native"]

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]')


def within(path, folders):
    return any(path == f or path.startswith(f + "/") for f in folders)


def offences(root):
    for file in sorted(p for top in ("models", "mesh", "solver") for p in (root / top).rglob("*") if p.suffix in {".hpp", ".cpp"}):
        name = file.relative_to(root).as_posix()
        row = next((r for r in ROWS if within(name, [r[0]])), None)
        if row is None:
            yield f"{name}:1: lies in no folder that has a row in include_direction.py"
            continue
        folder, ours, third_party = row
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
            match = INCLUDE.match(line)
            if not match:
                continue
            quote, target = match.groups()
            if quote == '"' and re.match(r"(models|mesh|solver|tests)/", target):
                allowed = within(target, ours) and not (within(target, NATIVE) and not within(name, NATIVE + ["solver/program"]))
            elif re.fullmatch("|".join(third_party), target):
                allowed = True
            elif quote == "<" and re.fullmatch(STANDARD, target):
                page_clean = within(name, PAGE_CLEAN) and not within(name, NATIVE)
                allowed = not (page_clean and target in NOT_PAGE_CLEAN)
            else:
                allowed = False
            if not allowed:
                yield f"{name}:{number}: {folder} may not include this: {line.strip()}"


def self_test():
    cases = [("models/a.hpp", '#include "mesh/system/system.hpp"', 1), ("models/a.hpp", "#include <iostream>", 1),
             ("models/a.hpp", '#include "models/b.hpp"', 0), ("solver/core/a.cpp", '#include "models/neck/neck.hpp"', 1),
             ("solver/core/a.cpp", '#include "mesh/build/build.hpp"', 1), ("solver/core/a.cpp", "#include <Spectra/X.h>", 0),
             ("mesh/system/a.hpp", '#include "models/neck/neck.hpp"', 1), ("solver/study/a.cpp", "#include <fmt/core.h>", 1),
             ("solver/study/a.cpp", "#include <thread>", 1), ("models/xml/a.cpp", "#include <pugixml.hpp>", 1),
             ("models/xml/native/a.cpp", "#include <pugixml.hpp>", 0), ("solver/core/a.cpp", "#include <vector>", 0),
             ("solver/core/a.cpp", '#include "neighbour.hpp"', 1), ("solver/report/a.cpp", "#include <hdf5.h>", 1)]
    failures = 0
    for path, line, expected in cases:
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder, path)
            file.parent.mkdir(parents=True)
            file.write_text(line + "\n")
            got = len(list(offences(pathlib.Path(folder))))
            if got != expected:
                failures += 1
                print(f"{path}: {line}: expected {expected} offences, got {got}")
    return failures


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    if sys.argv[1] == "--self-test":
        sys.exit(1 if self_test() else 0)
    found = list(offences(pathlib.Path(sys.argv[1])))
    print("\n".join(found) if found else "every include is allowed")
    sys.exit(1 if found else 0)
