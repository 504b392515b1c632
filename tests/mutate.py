#!/usr/bin/python3
"""Which thresholds of the rule book could move by a tenth without any test noticing?

For each constant of reference/rules: moved a tenth up and down (whole numbers by at least one), the library is built in a copy of the tree, and
the tests that cite the constant's rule run. A change that none of them notices survives, and is a finding unless tests/mutate_explained.txt
says why nothing could notice it. A slow run, before a release:

    tests/mutate.py [--page PAGE.md] [--rule C16] [--constant NAME] [--jobs N] [--keep FOLDER]

Exit status 0: nothing survives unexplained, and no explanation is out of date."""
import argparse
import concurrent.futures
import os
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), ".."))
sys.path.insert(0, os.path.join(ROOT, "tests", "support"))
import rulebook  # noqa: E402

EXPLAINED = os.path.join(ROOT, "tests", "mutate_explained.txt")
# long measurements are left to the release run of the suite itself
TOO_LONG = {"ladder", "gray_share", "samples"}
TEST_SECONDS = 240


def explanations():
    """{(constant, "up" | "down"): why}; a line is `NAME up|down|both: why`."""
    out = {}
    if os.path.exists(EXPLAINED):
        for line in rulebook.read(EXPLAINED).splitlines():
            match = re.match(r"(\w+) (up|down|both): (.+)", line)
            if match:
                for way in ("up", "down") if match[2] == "both" else (match[2],):
                    out[match[1], way] = match[3]
    return out


def moved(value, text, sign):
    if re.fullmatch(r"-?\d+", text):
        return str(int(text) + sign * max(1, round(abs(value) / 10)))
    return repr(value * (1 + sign * 0.1)) if value else repr(sign * 0.1)


class Mutation:
    def __init__(self, rule, name, constant, place, sign):
        self.rule, self.name, self.constant, self.place, self.sign = rule, name, constant, place, sign
        self.way = "up" if sign > 0 else "down"
        start, end = constant.spans[place]
        self.text = rulebook.read(constant.path)
        self.was = self.text[start:end]
        self.now = moved(constant.values[place], self.was, sign)
        self.changed = self.text[:start] + self.now + self.text[end:]

    def __str__(self):
        where = f"[{self.place}]" if len(self.constant.values) > 1 else ""
        return f"{self.rule.number} {self.name}{where} {self.was} -> {self.now}"


def mutations(wanted):
    sources = rulebook.library_sources(ROOT)
    out, seen = [], set()
    for rule in rulebook.rules(ROOT):
        if (wanted.page and rule.page != wanted.page) or (wanted.rule and rule.number != wanted.rule):
            continue
        for name, _, _ in rule.thresholds:
            if (wanted.constant and name != wanted.constant) or name in seen:
                continue
            seen.add(name)
            constant = rulebook.definitions(ROOT, name, sources)[0]
            out += [Mutation(rule, name, constant, place, sign) for place in range(len(constant.values)) for sign in (1, -1)]
    return out


def test_names(paths):
    """Names of the meson tests that are made from these files."""
    names = set()
    for path in paths:
        folder, file = os.path.split(os.path.relpath(path, os.path.join(ROOT, "tests")))
        stem = re.sub(r"^(test|bench)_", "", os.path.splitext(file)[0])
        if folder in ("unit", "reference", "photo", "plan", "fault"):
            names.add(stem)
        elif folder == "cli":
            names.add("cli_" + stem)
    return names - TOO_LONG


class Copy:
    """A copy of the tree with a build of its own, in which one mutation at a time is tried."""
    def __init__(self, folder):
        self.source, self.build = os.path.join(folder, "source"), os.path.join(folder, "build")
        shutil.copytree(ROOT, self.source, ignore=shutil.ignore_patterns("build*", ".git", "node_modules"))
        subprocess.run(["meson", "setup", self.build, self.source, "-Dtests=enabled", "-Dc_args=-O1"], check=True, stdout=subprocess.DEVNULL)
        subprocess.run(["ninja", "-C", self.build], check=True, stdout=subprocess.DEVNULL)
        listed = subprocess.run(["meson", "test", "-C", self.build, "--list"], capture_output=True, text=True, check=True).stdout
        self.tests = {line.split(" / ")[-1].strip() for line in listed.splitlines() if " / " in line}

    def passes(self, names):
        """None when it does not build."""
        if subprocess.run(["ninja", "-C", self.build], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode:
            return None
        command = ["meson", "test", "-C", self.build, "--no-rebuild", "--timeout-multiplier", "1", "--maxfail", "1", *names]
        return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=TEST_SECONDS * 4).returncode == 0

    def survives(self, mutation, names):
        path = os.path.join(self.source, os.path.relpath(mutation.constant.path, ROOT))
        with open(path, "w", encoding="utf-8") as f:
            f.write(mutation.changed)
        try:
            return bool(self.passes(names))
        except subprocess.TimeoutExpired:
            return False
        finally:
            with open(path, "w", encoding="utf-8") as f:
                f.write(mutation.text)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for word in ("--page", "--rule", "--constant", "--keep"):
        parser.add_argument(word)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    wanted = parser.parse_args()
    work = mutations(wanted)
    cited = rulebook.citations(ROOT, "tests", ".c", ".py")
    explained, survivors = explanations(), []
    folder = wanted.keep or tempfile.mkdtemp(prefix="mutate-")
    copies = [Copy(os.path.join(folder, str(n))) for n in range(max(1, min(wanted.jobs, len(work))))]
    free = list(copies)

    def try_one(mutation):
        copy = free.pop()
        try:
            names = sorted(test_names(cited.get(mutation.rule.number, ())) & copy.tests)
            return not names or copy.survives(mutation, names)
        finally:
            free.append(copy)

    with concurrent.futures.ThreadPoolExecutor(len(copies)) as pool:
        for mutation, survived in zip(work, pool.map(try_one, work)):
            if survived:
                survivors.append(mutation)
            print(("SURVIVES " if survived else "noticed  ") + str(mutation), flush=True)
    if not wanted.keep:
        shutil.rmtree(folder)
    unexplained = [m for m in survivors if (m.name, m.way) not in explained]
    for mutation in survivors:
        print(f"{mutation}: {explained.get((mutation.name, mutation.way), 'NO TEST NOTICES')}")
    print(f"{len(work)} changes, {len(survivors)} survive, {len(unexplained)} of them unexplained")
    return bool(unexplained)


if __name__ == "__main__":
    sys.exit(main())
