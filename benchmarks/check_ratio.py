#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Holds the condensed path against the solve from scratch, by the ratio of medians of the same run; never by wall time.
From scratch counts without SimplicialLDLT's analysis, as if that were kept from one construct to the next.

usage: check_ratio.py BUILD_BENCHMARKS [--baseline]
       --baseline   also writes medians and spread of nine repetitions to baselines/<machine>.csv
"""
import csv
import json
import pathlib
import re
import subprocess
import sys

WANTED = 20.0
# Held: screws with a rod on both sides (lateral mass with pars, pedicle or laminar). The others are printed: a screw without a rod,
# or one side alone, have less metal to condense away.
HELD = ("construct:0/", "construct:1/", "construct:2/")
REPETITIONS = 9

here = pathlib.Path(__file__).resolve().parent


def machine():
    text = subprocess.run(["lscpu"], capture_output=True, text=True, env={"LC_ALL": "C", "PATH": "/usr/bin:/bin"}, check=False).stdout
    found = re.search(r"^Model name:\s*(.+)$", text, re.M)
    return found.group(1).strip() if found else "unknown"


def main(folder, write_baseline):
    program = pathlib.Path(folder) / "bench_construct"
    if not program.exists():
        sys.exit(f"{program} is not built: libbenchmark-dev is in .ci/packages")
    run = subprocess.run([program, f"--benchmark_repetitions={REPETITIONS}", "--benchmark_min_time=0.03", "--benchmark_format=json",
                          "--benchmark_enable_random_interleaving=true"], capture_output=True, text=True, check=False)
    if run.returncode != 0:
        sys.exit(f"bench_construct failed:\n{run.stderr}")
    times, unknowns, labels = {}, {}, {}
    for entry in json.loads(run.stdout)["benchmarks"]:
        if entry["run_type"] != "iteration":
            continue
        times.setdefault(entry["run_name"], []).append(entry["cpu_time"])
        labels[entry["run_name"]] = entry.get("label", "")
        unknowns[entry["run_name"]] = int(entry.get("unknowns", 0))
    median = {name: sorted(values)[len(values) // 2] for name, values in times.items()}
    constructs = [name.removeprefix("condensed/") for name in times if name.startswith("condensed/")]
    if not all(any(name.startswith(held) for name in constructs) for held in HELD):
        sys.exit("bench_construct did not run the constructs that are held")
    failures = 0
    print(f"six motions, one side changed, median of {REPETITIONS} in us (unknowns); at least {WANTED:g} times wanted")
    for name in sorted(constructs):
        slow, fast = f"from_scratch/{name}", f"condensed/{name}"
        kept = median[slow] - median[f"analyse/{name}"]
        ratio = kept / median[fast]
        held = name.startswith(HELD)
        failures += held and ratio < WANTED
        remark = ("held: " + ("enough" if ratio >= WANTED else "TOO LITTLE")) if held else ("" if ratio >= WANTED else "below, not held")
        print(f"  {labels[fast][:48]:48} from scratch {median[slow]:7.1f}, {kept:7.1f} without analysis ({unknowns[slow]})  condensed {median[fast]:7.1f} ({unknowns[fast]})"
              f"  {ratio:5.1f} times  {remark}")
    for name in sorted(n for n in times if n.startswith("part/")):
        print(f"  {name:42} {median[name]:8.1f}")
    if write_baseline:
        commit = subprocess.run(["git", "-C", here, "describe", "--always", "--dirty"], capture_output=True, text=True, check=False)
        name = re.sub(r"[^a-z0-9]+", "_", machine().lower()).strip("_")
        with open(here / "baselines" / f"{name}.csv", "w", newline="", encoding="utf-8") as file:
            out = csv.writer(file, lineterminator="\n")
            out.writerow(["machine", "commit", "benchmark", "unknowns", "median_us", "least_us", "most_us", "repetitions"])
            for bench, values in sorted(times.items()):
                out.writerow([machine(), commit.stdout.strip() or "uncommitted", bench, unknowns[bench], f"{median[bench]:.1f}",
                              f"{min(values):.1f}", f"{max(values):.1f}", len(values)])
        print(f"wrote baselines/{name}.csv")
    return failures


if __name__ == "__main__":
    if len(sys.argv) not in (2, 3) or (len(sys.argv) == 3 and sys.argv[2] != "--baseline"):
        sys.exit(__doc__)
    sys.exit(1 if main(sys.argv[1], len(sys.argv) == 3) else 0)
