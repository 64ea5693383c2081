#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""What models, mesh, core and study may not hold: threads, output, throws, mutable globals (they run in the page, and answers
must not depend on what ran before). And what no source file may: marks of unfinished work, paths of one machine, no licence line.

usage: purity.py ROOT | --self-test
"""
import pathlib
import re
import sys

PURE = ["models", "mesh", "solver/core", "solver/study"]
NATIVE = "models/xml/native/"
IMPURE = [
    (r"\bthrow\b", "throws"),
    (r"\btry\b\s*\{|\bcatch\b\s*\(", "catches"),
    (r"std::(cout|cerr|clog|cin|[io]?f?stream|[io]?stringstream)\b", "streams"),
    (r"(?<![\w])(std::)?(printf|fprintf|puts|fopen|fputs|perror)\s*\(", "prints or opens files"),
    (r"std::(thread|jthread|mutex|atomic|async|lock_guard|scoped_lock|unique_lock|condition_variable)\b|\bthread_local\b", "threads"),
    (r"\b(getenv|setlocale|rand|srand|time)\s*\(", "reads the surroundings"),
    (r"\bsto[df]\s*\(|\batof\s*\(", "parses numbers by locale or with exceptions"),
]
STATIC = re.compile(r"\bstatic\s+(?!const\b|constexpr\b|consteval\b|constinit\s+const\b|inline\s+const)([^;={(]*)([;={(])")
# At the left margin a declaration is at namespace level (clang-format does not indent namespaces).
GLOBAL = re.compile(r"^(?:inline\s+)?(?!inline\b|const\b|constexpr\b|using\b|namespace\b|struct\b|class\b|enum\b|template\b|typedef\b|"
                    r"extern\b|static\b|friend\b|return\b|public|private|case\b|else\b|concept\b|#)"
                    r"(?:[\w:]+(?:<[^;()]*>)?)[&*\s]+(\w+)\s*(=[^=;].*|\{[^;]*\})?;")
# Spelled in pieces, so that this file passes its own test.
UNFINISHED = re.compile(r"\b(TO" r"DO|FIX" r"ME|X" r"XX|st" r"ub|place" r"holder|not im" r"plemented)\b")
MACHINE_PATH = re.compile(r"(?<![\w.])/(wo" r"rk|ro" r"ot|ho" r"me|fa" r"rm)/")
SPLIT_NAME = re.compile(r'^TEST_CASE\("[^"]*;')
OURS = {".hpp", ".cpp", ".py", ".cmake", ".xml", ".xsd", ".md", ".txt", ""}


def bare(text):
    """The text without comments and string contents, line breaks kept."""
    pattern = re.compile(r'R"(\w*)\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'|//[^\n]*|/\*.*?\*/', re.S)
    return pattern.sub(lambda m: ('""' if m.group(0)[0] in 'R"' else "") + "\n" * m.group(0).count("\n"), text)


def impurities(text):
    for number, line in enumerate(bare(text).splitlines(), 1):
        for pattern, why in IMPURE:
            if re.search(pattern, line):
                yield number, why
        for match in STATIC.finditer(line):
            if match.group(2) != "(":
                yield number, "has a mutable static"
        if GLOBAL.match(line):
            yield number, "has a mutable global"


def self_test():
    bad = ["throw 1;", "std::cout << 1;", "static int count = 0;", "static std::vector<int> cache;", "int counter = 0;",
           "std::vector<int> all;", "inline double last = 1.0;", "thread_local int x;", 'printf("x");', "double x = std::stod(s);"]
    good = ["static const int count = 0;", "static constexpr int n = 1;", "static double f(double x) { return x; }",
            "// throw", 'const char* s = "throw";', "inline constexpr int n = 1;", "double f(double x);", "  int local = 0;",
            "using A = int;", "std::string_view name(Status status);", "}  // namespace x", "struct A;", "snprintf(a, b, c);"]
    wrong = [f"should be caught: {t}" for t in bad if not list(impurities(t))]
    wrong += [f"should pass: {t}: {list(impurities(t))}" for t in good if list(impurities(t))]
    print("\n".join(wrong))
    return len(wrong)


def main(root):
    found = []
    for top in ("models", "mesh", "solver", "tests", "benchmarks", "examples", ".ci"):
        for file in sorted((root / top).rglob("*")):
            name = file.relative_to(root).as_posix()
            if not file.is_file() or file.suffix not in OURS or "__pycache__" in name:
                continue
            text = file.read_text(encoding="utf-8", errors="replace")
            if any(name.startswith(p + "/") for p in PURE) and not name.startswith(NATIVE) and file.suffix in {".hpp", ".cpp"}:
                found += [f"{name}:{n}: {why}: {text.splitlines()[n - 1].strip()}" for n, why in impurities(text)]
            for n, line in enumerate(text.splitlines(), 1):
                if UNFINISHED.search(line):
                    found.append(f"{name}:{n}: mark of unfinished work: {line.strip()}")
                if SPLIT_NAME.search(line):
                    found.append(f"{name}:{n}: CTest splits a test's name at a semicolon: {line.strip()}")
                if MACHINE_PATH.search(line):
                    found.append(f"{name}:{n}: path of one machine: {line.strip()}")
            if file.suffix in {".hpp", ".cpp"} and not text.startswith("// SPDX-License-Identifier: MIT\n"):
                found.append(f"{name}:1: first line is not the licence line")
    print("\n".join(found) if found else "clean")
    return len(found)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(1 if (self_test() if sys.argv[1] == "--self-test" else main(pathlib.Path(sys.argv[1]))) else 0)
