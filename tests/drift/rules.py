#!/usr/bin/python3
"""The rule book and the code say the same: every rule that is cited stands in the book, every rule of the book is cited in code and in a test,
every threshold of the book is a constant of the code with that value, which names the rule and stands once.

Usage: rules.py SOURCE_ROOT"""
import os
import sys

ROOT = os.path.abspath(sys.argv[1])
sys.path.insert(0, os.path.join(ROOT, "tests", "support"))
import rulebook  # noqa: E402

BOOK = rulebook.rules(ROOT)
SOURCES = rulebook.library_sources(ROOT)
CODE = {**rulebook.citations(ROOT, "lib", ".c", ".h", ".css")}
TESTS = rulebook.citations(ROOT, "tests", ".c", ".h", ".py", ".mjs", ".txt")


def relative(paths):
    return ", ".join(sorted(os.path.relpath(p, ROOT) for p in paths))


def every_rule_stands_once():
    seen = {}
    for rule in BOOK:
        seen.setdefault(rule.number, []).append(rule.page)
    return [f"{number} stands in {', '.join(pages)}" for number, pages in seen.items() if len(pages) > 1]


def every_citation_is_in_the_book():
    known = {rule.number for rule in BOOK}
    wrong = []
    for cited in (CODE, TESTS, rulebook.citations(ROOT, "cli", ".c", ".h", ".js")):
        wrong += [f"{number} is cited in {relative(paths)} and not in the book" for number, paths in sorted(cited.items()) if number not in known]
    return wrong


def every_rule_is_cited_in_code_and_test():
    wrong = [f"{rule.number} ({rule.title}) is cited nowhere in lib/" for rule in BOOK if rule.number not in CODE]
    return wrong + [f"{rule.number} ({rule.title}) is cited in no test" for rule in BOOK if rule.number not in TESTS]


def every_threshold_is_a_constant():
    wrong = []
    for rule in BOOK:
        for name, values, _ in rule.thresholds:
            found = rulebook.definitions(ROOT, name, SOURCES)
            if len(found) != 1:
                wrong.append(f"{rule.number} {name}: {len(found)} definitions ({relative(f.path for f in found)})")
            elif found[0].values != values:
                wrong.append(f"{rule.number} {name}: the book says {values}, {relative([found[0].path])} says {found[0].values}")
            elif rule.number not in found[0].comment:
                wrong.append(f"{rule.number} {name}: its line in {relative([found[0].path])} does not name the rule")
    return wrong


def the_book_has_thresholds():
    return [] if sum(len(rule.thresholds) for rule in BOOK) > 100 else ["fewer than 100 thresholds: is the book being read?"]


# While the book is being written only what stands in it is held to the code.
PAGES = {"calibration.md", "gray.md", "hair.md", "matching.md", "decision.md", "blending.md", "frames.md"}


def main():
    checks = [every_rule_stands_once, every_threshold_is_a_constant]
    if PAGES <= {rule.page for rule in BOOK}:
        checks += [every_citation_is_in_the_book, every_rule_is_cited_in_code_and_test, the_book_has_thresholds]
    print(f"1..{len(checks)}")
    failed = 0
    for n, check in enumerate(checks, 1):
        wrong = check()
        failed += bool(wrong)
        print(f"{'not ok' if wrong else 'ok'} {n} - {check.__name__.replace('_', ' ')}")
        for line in wrong:
            print(f"# {line}")
    return failed


sys.exit(main())
