"""One table of what speed is measured: each thing, what it is, and what it should be. Ratios survive a change of machine, times do not.

Usage: speed.py COMMAND [-- COMMAND]...: each prints rows of three columns between tabs: what, number, floor."""
import subprocess
import sys

commands, rows, failed = [[]], [], False
for word in sys.argv[1:]:
    if word == "--":
        commands.append([])
    else:
        commands[-1].append(word)
for command in commands:
    done = subprocess.run(command, stdout=subprocess.PIPE, text=True)
    failed |= done.returncode != 0
    rows += [line.split("\t") for line in done.stdout.splitlines() if line.count("\t") == 2]


def short(number, floor):
    if not floor:
        return ""
    wanted = float(floor.split()[-1])
    return "" if (number <= wanted if floor.startswith("at most") else number >= wanted) else "  falls short"


width = max(len(row[0]) for row in rows)
for what, number, floor in rows:
    print(f"{what:<{width}}  {number:>8}  {floor}{short(float(number), floor)}")
sys.exit(1 if failed else 0)
