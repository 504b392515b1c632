#!/usr/bin/python3
"""C sources look as .clang-format says, with the clang-format of Debian 12 (14); other versions differ and are skipped."""
import pathlib
import subprocess
import sys

root = sys.argv[1]
print("1..1")
try:
    version = subprocess.run(["clang-format", "--version"], capture_output=True, text=True).stdout
except FileNotFoundError:
    version = "no clang-format"
if "version 14." not in version:
    print(f"ok 1 - sources are formatted # SKIP needs clang-format 14, this is: {version.strip()}")
    sys.exit()
names = sorted(str(p.relative_to(root)) for folder in ("lib", "cli", "samples", "tests") for p in pathlib.Path(root, folder).rglob("*.[ch]")
               if "node_modules" not in p.parts)
wrong = [line for line in subprocess.run(["clang-format", "--dry-run", *names], cwd=root, capture_output=True, text=True).stderr.splitlines()
         if "warning:" in line]
files = sorted({line.split(":")[0] for line in wrong})
for name in files[:20]:
    print(f"# clang-format -i {name}")
print(("not ok" if files or not names else "ok") + " 1 - sources are formatted")
sys.exit(bool(files or not names))
