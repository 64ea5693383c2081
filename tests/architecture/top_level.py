#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""The top level is fixed: three files and six folders, beside dotfiles and what git ignores.

usage: top_level.py ROOT
"""
import pathlib
import subprocess
import sys

AGREED = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "solver", "mesh", "models", "tests", "benchmarks", "examples"}

root = pathlib.Path(sys.argv[1])
listed = subprocess.run(["git", "-C", str(root), "ls-files", "-co", "--exclude-standard"], capture_output=True, text=True, check=False)
if listed.returncode == 0 and listed.stdout:
    names = {line.split("/")[0].strip('"') for line in listed.stdout.splitlines() if (root / line.strip('"')).exists()}
else:  # unpacked without git
    names = {p.name for p in root.iterdir() if not p.name.startswith("build")}
names = {n for n in names if not n.startswith(".")}
for name in sorted(names - AGREED):
    print(f"{name}: does not belong at the top level")
for name in sorted(AGREED - names):
    print(f"{name}: missing at the top level")
sys.exit(names != AGREED)
