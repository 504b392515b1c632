"""The rule book as data: reference/rules/*.md, the constants in lib/ that carry its thresholds, and who cites which rule.

A page is a list of rules, `## M11 Views`, each with paragraphs and, where it has thresholds, a table `| constant | value | what |`. In the code
the same constant stands once, on one line, as #define, static const or enum member."""
import os
import re

CITATION = r"\b[BCGHM][1-9][0-9]?\b"
NUMBER = r"-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?"


def read(path):
    with open(path, encoding="utf-8") as f:
        return f.read()


def files(root, folder, *endings):
    for where, folders, names in os.walk(os.path.join(root, folder)):
        folders[:] = sorted(f for f in folders if f not in ("node_modules", "__pycache__"))
        for name in sorted(names):
            if name.endswith(endings):
                yield os.path.join(where, name)


class Rule:
    def __init__(self, page, number, title, text):
        self.page, self.number, self.title, self.text = page, number, title, text
        self.thresholds = [(name, [float(v) for v in re.findall(NUMBER, value)], what.strip())
                           for name, value, what in re.findall(r"^\| `(\w+)` \| ([^|]+) \| ([^|]*)\|", text, re.M)]


def rules(root):
    """[Rule] in the order of the pages."""
    out = []
    for path in files(root, "reference/rules", ".md"):
        parts = re.split(r"^## ([BCGHM]\d+) (.+)$", read(path), flags=re.M)
        for number, title, text in zip(parts[1::3], parts[2::3], parts[3::3]):
            out.append(Rule(os.path.basename(path), number, title, text))
    return out


class Constant:
    """Where a constant stands, with its values and their places in the file."""
    def __init__(self, path, values, spans, comment):
        self.path, self.values, self.spans, self.comment = path, values, spans, comment


def definitions(root, name, sources):
    """Every line of lib/ that gives `name` a value."""
    found = []
    forms = (rf"#define {name} (?P<value>[^\n]*?)(?P<comment>/\*.*)?$",
             rf"\b{name}(?:\[\w*\])* = (?P<value>[^;,\n]*?|\{{[^;\n]*?\}})\s*(?:;|,|\}};?)\s*(?P<comment>/\*.*)?$")
    for path, text in sources.items():
        for form in forms if name in text else ():
            for match in re.finditer(form, text, re.M):
                start = match.start("value")
                numbers = [m for m in re.finditer(rf"(?<![\w.]){NUMBER}(?![\w.])", match["value"])]
                if numbers:
                    found.append(Constant(path, [float(n[0]) for n in numbers], [(start + n.start(), start + n.end()) for n in numbers],
                                          match["comment"] or ""))
    return found


def library_sources(root):
    return {path: read(path) for path in files(root, "lib", ".c", ".h")}


def tests_of(root):
    """{rule number: {files}} of the tests in C: cited as elsewhere, by a range (M1 to M7), or by the name of a test (m5_ties_...)."""
    out = {}
    for path in files(root, "tests", ".c"):
        text = read(path)
        cited = set(re.findall(CITATION, text)) | {name.upper() for name in re.findall(r"(?<![A-Za-z])[bcghm][1-9][0-9]?(?=_)", text)}
        for letter, first, last in re.findall(r"\b([BCGHM])([1-9][0-9]?) to \1([1-9][0-9]?)\b", text):
            cited |= {f"{letter}{n}" for n in range(int(first), int(last) + 1)}
        for number in cited:
            out.setdefault(number, set()).add(path)
    return out


def citations(root, folder, *endings):
    """{rule number: {files}}"""
    out = {}
    for path in files(root, folder, *endings):
        for number in set(re.findall(CITATION, read(path))):
            out.setdefault(number, set()).add(path)
    return out
