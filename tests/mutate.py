#!/usr/bin/python3
"""Which thresholds of the rule book could move by a tenth without any test noticing?

    tests/mutate.py [hair.md | C16 | CONSTANT ...] [--jobs N] [--minutes N] [--survivors] [--again]

Each constant of reference/rules (of the pages, rules and constants named; else all) is moved a tenth up and down, whole numbers by at least one,
in a copy of the tree. The unit and reference tests that cite its rule run against it, the quickest first, until one fails. Most constants are
moved as the program starts (the copy takes their value from the environment), so that nothing is built again for them. A change that no test notices survives, and is a finding unless tests/mutate_explained.txt says why nothing could notice it. Copies, builds and results are kept
in build/mutate: a second run tries what is not known yet, what changed since, and what survived. A slow check, run before a release.

Exit status 0: nothing survives unexplained, and no explanation is out of date."""
import argparse
import collections
import concurrent.futures
import filecmp
import hashlib
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import time

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), ".."))
sys.path.insert(0, os.path.join(ROOT, "tests", "support"))
import rulebook  # noqa: E402

EXPLAINED = os.path.join(ROOT, "tests", "mutate_explained.txt")
FOLDER = os.path.join(ROOT, "build", "mutate")
RESULTS = os.path.join(FOLDER, "results.json")
TEST_SECONDS = 300  # of a processor: a busy machine may take longer


def explanations():
    """{(constant with its place, "up" | "down"): why}; a line is `NAME up|down|both: why`, NAME[2] for one place of an array."""
    out = {}
    for line in rulebook.read(EXPLAINED).splitlines():
        match = re.match(r"(\w+)(\[\d+\])? (up|down|both): (.+)", line)
        if match:
            for way in ("up", "down") if match[3] == "both" else (match[3],):
                out[match[1] + (match[2] or ""), way] = match[4]
    return out


def moved(value, text, sign):
    if re.fullmatch(r"-?\d+", text):
        return str(int(text) + sign * max(1, round(abs(value) / 10)))
    return repr(value * (1 + sign * 0.1)) if value else repr(sign * 0.1)


# Constants that can be moved at the start: their `const` goes, and the end of their file looks into the environment.
AT_START = re.compile(r"^static const (double|wm_lab) (\w+)((?:\[\w*\])*) = ", re.M)
LOOK = """
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
__attribute__((constructor)) static void move_a_constant(void)
{
    char name[100];
    int place;
    double value;
    const char *what = getenv("MUTATE");
    if (!what || sscanf(what, "%%99s %%d %%lf", name, &place, &value) != 3)
        return;
%s}
"""


def open_to_change(text):
    names = [name for _, name, _ in AT_START.findall(text)]
    moves = "".join(f'    if (strcmp(name, "{name}") == 0)\n        ((double *)&{name})[place] = value;\n' for name in names)
    return AT_START.sub(r"static \1 \2\3 = ", text) + LOOK % moves if names else text


class Mutation:
    def __init__(self, rule, name, constant, place, sign):
        self.rule, self.sign, self.way, self.constant, self.place = rule, sign, "up" if sign > 0 else "down", name, place
        self.name = name + (f"[{place}]" if len(constant.values) > 1 else "")
        self.path = os.path.relpath(constant.path, ROOT)
        start, end = constant.spans[place]
        self.text = rulebook.read(constant.path)
        self.was = self.text[start:end]
        self.now = moved(constant.values[place], self.was, sign)
        self.changed = self.text[:start] + self.now + self.text[end:]
        self.key = f"{self.name} {self.was} -> {self.now}"
        self.at_start = self.path.endswith(".c") and name in [found for _, found, _ in AT_START.findall(self.text)]

    def __str__(self):
        return f"{self.rule.page} {self.rule.number} {self.key}"


def mutations(wanted):
    sources, out, seen = rulebook.library_sources(ROOT), [], set()
    for rule in rulebook.rules(ROOT):
        for name, _, _ in rule.thresholds:
            if name in seen or (wanted and not wanted & {rule.page, rule.number, name}):
                continue
            seen.add(name)
            constant = rulebook.definitions(ROOT, name, sources)[0]
            out += [Mutation(rule, name, constant, place, sign) for place in range(len(constant.values)) for sign in (1, -1)]
    return out


def programs(paths):
    """The unit and reference tests among these files: {name of the program: file}."""
    out = {}
    for path in paths:
        folder, file = os.path.split(os.path.relpath(path, os.path.join(ROOT, "tests")))
        if folder in ("unit", "reference") and re.fullmatch(r"test_\w+\.c", file):
            out[file[:-2] if folder == "unit" else "test_reference_" + file[5:-2]] = path
    return out


def write(path, text):
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)


def copy_changed(source, target):
    """Brings a copy of the tree up to date without touching what has not changed. Whether there are new files, which meson does not see."""
    wanted, new = set(), False
    for path in subprocess.run(["git", "ls-files", "-co", "--exclude-standard"], cwd=source, capture_output=True, text=True, check=True).stdout.split("\n"):
        here, there = os.path.join(source, path), os.path.join(target, path)
        if not os.path.isfile(here):
            continue
        wanted.add(there)
        new |= not os.path.exists(there)
        os.makedirs(os.path.dirname(there), exist_ok=True)
        if path.startswith("lib/") and path.endswith(".c"):
            text = open_to_change(rulebook.read(here))
            if not os.path.exists(there) or rulebook.read(there) != text:
                write(there, text)
        elif not os.path.exists(there) or not filecmp.cmp(here, there, shallow=False):
            shutil.copy(here, there)
    for folder, _, names in os.walk(target):
        for name in names:
            if os.path.join(folder, name) not in wanted:
                os.remove(os.path.join(folder, name))
    return new


class Copy:
    """A copy of the tree with a build of its own, in which one mutation at a time is tried."""
    def __init__(self, folder, names):
        self.source, self.build = os.path.join(folder, "source"), os.path.join(folder, "build")
        new = copy_changed(ROOT, self.source)
        again = ["--reconfigure"] if os.path.exists(os.path.join(self.build, "build.ninja")) else []
        if new or not again:
            subprocess.run(["meson", "setup", *again, self.build, self.source, "-Dtests=enabled", "-Dbuildtype=plain", "-Dc_args=-O1"],
                           check=True, stdout=subprocess.DEVNULL)
        if not self.builds(names):
            sys.exit(f"{folder} does not build; see ninja -C {self.build}")
        listed = subprocess.run(["meson", "introspect", "--tests", self.build], capture_output=True, text=True, check=True).stdout
        self.tests = {os.path.basename(test["cmd"][0]): test for test in json.loads(listed)}
        self.sound = set()

    def builds(self, names):
        # the helper is what tests of photos start
        targets = ["cli/weftmatch-photo"] + ["tests/" + name for name in names]
        return subprocess.run(["ninja", "-j2", "-C", self.build, *targets], stdout=subprocess.DEVNULL).returncode == 0

    def passes(self, name, change=""):
        test = self.tests[name]
        try:
            return subprocess.run(test["cmd"], env={**os.environ, **test["env"], "MUTATE": change}, cwd=self.build, timeout=10 * TEST_SECONDS,
                                  preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (TEST_SECONDS, TEST_SECONDS)),
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode == 0
        except subprocess.TimeoutExpired:
            return False

    def is_sound(self, name, seconds):
        """A test that fails with nothing changed proves nothing."""
        start = time.monotonic()
        if name not in self.sound and not (self.builds([name]) and self.passes(name)):
            sys.exit(f"{name} fails with nothing changed")
        if name not in self.sound:
            seconds[name] = time.monotonic() - start
        self.sound.add(name)
        return True

    def noticed_by(self, mutation, names, seconds):
        """The program that notices, "the compiler", or None."""
        if mutation.at_start:
            change = f"{mutation.constant} {mutation.place} {mutation.now}"
            return next((name for name in names if not self.passes(name, change) and self.is_sound(name, seconds)), None)
        path = os.path.join(self.source, mutation.path)
        kept, by = rulebook.read(path), None
        write(path, open_to_change(mutation.changed) if path.endswith(".c") else mutation.changed)
        for name in names:
            by = "the compiler" if not self.builds([name]) else name if not self.passes(name) else None
            if by:
                break
        write(path, kept)
        if by == name:
            self.is_sound(name, seconds)
        return by


def mark(mutation, paths):
    """Of what a result depends on, as far as it can be told cheaply."""
    text = "".join([mutation.text] + [rulebook.read(path) for path in paths])
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def table(tried, results, explained):
    rows = collections.defaultdict(lambda: [0, 0, 0, 0])
    for mutation in tried:
        survives = results[mutation.key]["by"] is None
        told = (mutation.name, mutation.way) in explained
        for page in (mutation.rule.page, "all"):
            row = rows[page]
            row[0] += 1
            row[1 if not survives else 2 if told else 3] += 1
    print(f"{'page':<16}{'changes':>8}{'noticed':>9}{'explained':>11}{'survive':>9}")
    for page, row in rows.items():
        print(f"{page:<16}{row[0]:>8}{row[1]:>9}{row[2]:>11}{row[3]:>9}")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("wanted", nargs="*", help="pages (hair.md), rules (C16) or constants; without any, all")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--minutes", type=float, default=1e6, help="begin no further change after this time")
    parser.add_argument("--survivors", action="store_true", help="leave out what was noticed before, even if its test has changed since")
    parser.add_argument("--again", action="store_true", help="forget earlier results")
    options = parser.parse_args()
    work = mutations(set(options.wanted))
    cited = rulebook.tests_of(ROOT)
    tests = {m.rule.number: programs(cited.get(m.rule.number, ())) for m in work}
    results = {}
    if os.path.exists(RESULTS) and not options.again:
        with open(RESULTS, encoding="utf-8") as f:
            results = json.load(f)

    def known(mutation):
        old, programs_now = results.get(mutation.key), tests[mutation.rule.number]
        if not old:
            return False
        if old["by"] and options.survivors:
            return True
        paths = sorted(programs_now.values()) if old["by"] is None else [programs_now.get(old["by"], EXPLAINED)]
        return old["mark"] == mark(mutation, paths if old["by"] != "the compiler" else [])

    # a change that is built leaves its programs behind: those that need none go first
    todo = sorted((m for m in work if not known(m)), key=lambda m: not m.at_start)
    names = sorted({name for m in todo for name in tests[m.rule.number]})
    free = [Copy(os.path.join(FOLDER, str(n)), names) for n in range(min(options.jobs, len(todo)))]
    seconds = results.setdefault("seconds", {})
    end = time.monotonic() + options.minutes * 60

    def try_one(mutation):
        if time.monotonic() > end:
            return mutation, "not tried"
        copy = free.pop()
        try:
            return mutation, copy.noticed_by(mutation, sorted(tests[mutation.rule.number], key=lambda name: seconds.get(name, 1)), seconds)
        finally:
            free.append(copy)

    with concurrent.futures.ThreadPoolExecutor(max(1, len(free))) as pool:
        for done in concurrent.futures.as_completed([pool.submit(try_one, mutation) for mutation in todo]):
            mutation, by = done.result()
            if by == "not tried":
                continue
            programs_now = tests[mutation.rule.number]
            paths = [] if by == "the compiler" else [programs_now[by]] if by else sorted(programs_now.values())
            results[mutation.key] = {"by": by, "mark": mark(mutation, paths)}
            print(f"{'noticed ' if by else 'SURVIVES'} {mutation} {by or ''}", flush=True)
            with open(RESULTS, "w", encoding="utf-8") as f:
                json.dump(results, f, indent=1)
    tried = [m for m in work if known(m)]
    explained = explanations()
    noticed = [m for m in tried if results[m.key]["by"]]
    survivors = [m for m in tried if not results[m.key]["by"]]
    unexplained = [m for m in survivors if (m.name, m.way) not in explained]
    stale = [m for m in noticed if (m.name, m.way) in explained]
    for mutation in unexplained:
        print(f"no test notices {mutation}")
    for mutation in stale:
        print(f"explained, yet {results[mutation.key]['by']} notices {mutation}")
    print(f"{len(work) - len(tried)} of {len(work)} changes not tried yet" if len(tried) < len(work) else "all tried")
    table(tried, results, explained)
    return bool(unexplained or stale or len(tried) < len(work))


if __name__ == "__main__":
    sys.exit(main())
