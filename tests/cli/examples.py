"""Every example of README and of --help is run, as it is written, in a folder with the samples. Each must end well (0 or 1) and leave what
it says.

Usage: examples.py WEFTMATCH WM_RENDER [README]"""
import os
import re
import shlex
import shutil
import sys

from support import Bench, expect

SAMPLES = os.environ.get("SAMPLES_DIR", os.path.join(os.path.dirname(__file__), "..", "..", "samples"))
ENVIRONMENT = {"WEFTMATCH_SWATCHES": None}  # examples name their catalogue


def samples_bench():
    bench = Bench(sys.argv[1], sys.argv[2], "width=200", "height=200", "out=unused")
    for name in os.listdir(bench.folder):
        os.remove(bench.path(name))
    for name in os.listdir(SAMPLES):
        if name.endswith((".jpg", ".json", ".csv", ".txt")):
            shutil.copy(os.path.join(SAMPLES, name), bench.folder)
    shutil.copytree(os.path.join(SAMPLES, "photos"), bench.path("photos"))
    return bench


def run_example(bench, command):
    words = shlex.split(command)
    for option, name in zip(words, words[1:]):
        if option in ("--html", "-o", "--ics"):  # left by an earlier example
            bench.remove(name)
    done = bench.run(*words[1:], env=ENVIRONMENT)
    fault = None
    if done.returncode not in (0, 1):
        fault = f"exit {done.returncode}: {done.stderr.decode()}"
    elif b"AddressSanitizer" in done.stderr or b"runtime error" in done.stderr:
        fault = done.stderr.decode()
    bench.report(command, fault)


def help_examples(bench):
    """In the order of the verbs, but the client is added and her visits saved before they are asked for."""
    verbs = []
    for line in bench.good("--help").split("Verbs:\n")[1].split("\n\n")[0].splitlines():
        if not line.startswith("     "):
            verbs.append(line[2:19].strip())
    first = [v for v in ("client add", "match", "match") if v in verbs]  # two visits: what compares them needs both
    last = [v for v in ("client forget",) if v in verbs]
    for verb in first + [v for v in verbs if v not in first + last + ["desk"]] + last:  # the desk runs until it is ended: desk.py
        lines = bench.good(*verb.split(), "--help").replace(" \\\n     ", "").splitlines()
        examples = []
        for line in lines:
            if not line.startswith("  weftmatch "):
                break
            examples.append(line.strip())
        if not examples:
            bench.report(f"{verb} has an example", "none")
        for example in examples:
            run_example(bench, example)


def readme_examples(path):
    with open(path, encoding="utf-8") as f:
        text = f.read()
    for block in re.findall(r"```sh\n(.*?)```", text.replace(" \\\n", " "), re.S):
        for line in block.splitlines():
            if line.startswith("weftmatch ") and line != "weftmatch desk":
                yield line.split("   #")[0].strip()


def main():
    bench = samples_bench()
    help_examples(bench)
    for name in os.listdir(bench.folder):
        if name.startswith("salon.book"):
            os.remove(bench.path(name))
    readme = os.path.join(os.path.dirname(os.path.abspath(SAMPLES)), "README.md")
    examples = list(readme_examples(readme))
    bench.report("README has examples", None if len(examples) > 3 else f"only {len(examples)}")
    for example in examples:
        run_example(bench, example)
    bench.end()


if __name__ == "__main__":
    main()
