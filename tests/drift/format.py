#!/usr/bin/python3
"""C sources look as .clang-format says, with the clang-format of Debian 12 (14); other versions differ and are skipped. What clang-format
does not hold: a condition asks a pointer or a status bare."""
import pathlib
import re
import subprocess
import sys

root = sys.argv[1]
print("1..2")
names = sorted(str(p.relative_to(root)) for folder in ("lib", "cli", "samples", "tests") for p in pathlib.Path(root, folder).rglob("*.[ch]")
               if "node_modules" not in p.parts)
compared = re.compile(r"^\s*(?:\} )?(?:else )?(?:if|while) \((?!.*(?: = | \? )).*[!=]= (?:NULL|WM_OK)\b")
spelt = [f"{name}:{n}" for name in names for n, line in enumerate(pathlib.Path(root, name).read_text().splitlines(), 1) if compared.search(line)]
for place in spelt[:20]:
    print(f"# {place}: write `if (pointer)`, `if (!status)`")
print(("not ok" if spelt or not names else "ok") + " 1 - conditions ask pointers and statuses bare")
try:
    version = subprocess.run(["clang-format", "--version"], capture_output=True, text=True).stdout
except FileNotFoundError:
    version = "no clang-format"
if "version 14." not in version:
    print(f"ok 2 - sources are formatted # SKIP needs clang-format 14, this is: {version.strip()}")
    sys.exit(bool(spelt))
wrong = [line for line in subprocess.run(["clang-format", "--dry-run", *names], cwd=root, capture_output=True, text=True).stderr.splitlines()
         if "warning:" in line]
files = sorted({line.split(":")[0] for line in wrong})
for name in files[:20]:
    print(f"# clang-format -i {name}")
print(("not ok" if files or not names else "ok") + " 2 - sources are formatted")
sys.exit(bool(files or spelt or not names))
