#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""The ledger of example results: what `opisthion assess --json` said of each example when it was last agreed on.

usage: ledger.py check PROGRAM    prints every changed number (where, old, new, relative change); fails when the program differs
                                  from the ledger, or the ledger from the base commit without a new line in the changelog
       ledger.py update PROGRAM   rewrites the ledger and prints the changes
       ledger.py --self-test
"""
import json
import math
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[2]
# Two machines agree to ten significant digits; below the floor a number is rounding of zero.
RELATIVE, FLOOR = 1e-9, 1e-9
CHANGELOG = "## Changelog"
NOT_COMPARED = {"program"}  # carries the version


def compare(old, new, path=""):
    """Yields one line for each difference."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in sorted(old.keys() | new.keys()):
            if not path and key in NOT_COMPARED:
                continue
            where = f"{path}.{key}" if path else key
            if key not in new:
                yield f"{where}: gone (was {json.dumps(old[key])[:80]})"
            elif key not in old:
                yield f"{where}: new ({json.dumps(new[key])[:80]})"
            else:
                yield from compare(old[key], new[key], where)
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield f"{path}: {len(old)} entries became {len(new)}"
        for index, (a, b) in enumerate(zip(old, new)):
            label = b.get("name", index) if isinstance(b, dict) else index
            yield from compare(a, b, f"{path}[{label}]")
    elif is_number(old) and is_number(new):
        difference = abs(new - old)
        if not difference <= max(FLOOR, RELATIVE * max(abs(old), abs(new))):
            relative = f"{(new - old) / abs(old):+.2e}" if old else "from zero"
            yield f"{path}: {old:.10g} -> {new:.10g} ({relative})"
    elif old != new:
        yield f"{path}: {json.dumps(old)} -> {json.dumps(new)}"


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def assess(program, example):
    run = subprocess.run([program, "assess", "--json", "--quiet", example.relative_to(ROOT).as_posix()], cwd=ROOT,
                         capture_output=True, text=True, check=False)
    if run.returncode not in (0, 1):  # 1: some construct has no answer, which is an answer here
        sys.exit(f"{example.name}: exit code {run.returncode}\n{run.stderr}")
    return run.stdout, json.loads(run.stdout, parse_constant=lambda word: sys.exit(f"{example.name}: {word} is not JSON"))


def git(*arguments):
    run = subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, check=False)
    return run.stdout if run.returncode == 0 else None


def changelog_lines(text):
    """Lines of the changelog section; none when there is no such section."""
    _, found, section = text.partition(f"\n{CHANGELOG}")
    return [line.strip() for line in section.split("\n## ")[0].splitlines()[1:] if line.strip()] if found else []


def added_lines(old, new):
    before = set(changelog_lines(old))
    return [line for line in changelog_lines(new) if line not in before]


def check(program):
    failures = 0
    examples = {e.stem: e for e in sorted((ROOT / "examples").glob("*.xml"))}
    ledger = {f.stem: f for f in sorted(HERE.glob("*.json"))}
    if not examples:
        sys.exit("no examples")
    for name in sorted(examples.keys() ^ ledger.keys()):
        print(f"{name}: {'has no ledger' if name in examples else 'is in the ledger, but no example'}: run tests/cases/regression/update")
        failures += 1
    for name in sorted(examples.keys() & ledger.keys()):
        lines = list(compare(json.loads(ledger[name].read_text()), assess(program, examples[name])[1]))
        for line in lines:
            print(f"{name}: {line}")
        if lines:
            print(f"{name}: {len(lines)} differences from the ledger: run tests/cases/regression/update and say why in the changelog")
            failures += 1
    failures += check_history(ledger)
    print(f"{len(ledger)} examples in the ledger, {failures} failures")
    return failures


def check_history(ledger):
    base = subprocess.run([ROOT / ".ci" / "base"], capture_output=True, text=True, check=False).stdout.strip()
    if not base:
        print("no earlier commit: nothing to hold the ledger against")
        return 0
    changed = 0
    for name, file in ledger.items():
        before = git("show", f"{base}:{file.relative_to(ROOT).as_posix()}")
        if before is None:
            print(f"{name}: new since {base[:10]}")
            continue
        lines = list(compare(json.loads(before), json.loads(file.read_text())))
        changed += len(lines)
        for line in lines:
            print(f"{name}: since {base[:10]}: {line}")
    if changed and not added_lines(git("show", f"{base}:DEVELOPERS.md") or "", (ROOT / "DEVELOPERS.md").read_text()):
        print(f"{changed} numbers changed since {base[:10]}, and the changelog in DEVELOPERS.md has no new line")
        return 1
    return 0


def update(program):
    examples = sorted((ROOT / "examples").glob("*.xml"))
    for stale in {f for f in HERE.glob("*.json")} - {HERE / f"{e.stem}.json" for e in examples}:
        print(f"{stale.stem}: removed, it is no example any more")
        stale.unlink()
    for example in examples:
        file = HERE / f"{example.stem}.json"
        text, new = assess(program, example)
        lines = list(compare(json.loads(file.read_text()), new)) if file.exists() else ["new in the ledger"]
        for line in lines:
            print(f"{example.stem}: {line}")
        if lines:  # rounding alone does not rewrite a file
            file.write_text(text if text.endswith("\n") else text + "\n")
    return 0


def self_test():
    old = {"a": [{"name": "x", "v": 1.0}], "s": "solved", "n": None, "t": 1e-14}
    expected = [
        (old, 0), ({**old, "t": 5e-14}, 0), ({**old, "a": [{"name": "x", "v": 1.0 + 1e-12}]}, 0),
        ({**old, "a": [{"name": "x", "v": 1.001}]}, 1), ({**old, "s": "mechanism"}, 1), ({**old, "n": 2.0}, 1), ({**old, "t": math.nan}, 1),
        ({**old, "extra": 1}, 1), ({k: v for k, v in old.items() if k != "s"}, 1), ({**old, "a": []}, 1)]
    wrong = [new for new, count in expected if len(list(compare(old, new))) != count]
    before = "# D\n\n## Changelog\n\n- one\n\n## Other\n\n- elsewhere\n"
    if added_lines(before, before.replace("- elsewhere", "- elsewhere, too")) or added_lines(before, before):
        wrong.append("a line outside the changelog counts as one")
    if added_lines(before, before.replace("- one", "- one\n- two")) != ["- two"]:
        wrong.append("a new line in the changelog is not seen")
    for case in wrong:
        print(f"wrong for {case}")
    return len(wrong)


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        sys.exit(1 if self_test() else 0)
    if len(sys.argv) != 3 or sys.argv[1] not in ("check", "update"):
        sys.exit(__doc__)
    verb = check if sys.argv[1] == "check" else update
    sys.exit(1 if verb(str(pathlib.Path(sys.argv[2]).resolve())) else 0)
