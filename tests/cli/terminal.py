"""Terminals and pipes: chips of colour only where they are wanted, 80 columns, UTF-8 by locale, progress that leaves no trace, quiet ends of
pipes, closed and full outputs.

Usage: terminal.py WEFTMATCH WM_RENDER"""
import fcntl
import os
import pty
import re
import select
import sqlite3
import struct
import subprocess
import sys
import termios
import unicodedata

from support import Bench, expect

LIST = ("swatch", "list")
MATCH = ("match", "client.jpg", "--zones", "client.zones.json", "--arc", "29")
DEEP, INDEXED = "\x1b[48;2;", "\x1b[48;5;"


def in_terminal(bench, *words, env=None, which="stdout", columns=0):
    """Runs with stdout (or stderr) on a pseudo-terminal; what came out of it, and the finished process."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24 if columns else 0, columns, 0, 0))
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, which: slave}
    process = subprocess.Popen([bench.program, *words], stdin=subprocess.DEVNULL, cwd=bench.folder, env=bench.environment(**(env or {})), **streams)
    os.close(slave)
    shown = b""
    while True:
        ready = select.select([master], [], [], 300)[0]
        try:
            piece = os.read(master, 65536) if ready else b""
        except OSError:  # Linux: the other side is closed
            piece = b""
        if not piece:
            break
        shown += piece
    os.close(master)
    out, said = process.communicate(timeout=300)
    return shown.decode().replace("\r\n", "\n"), out, said, process.returncode


def chips(text):
    return DEEP if DEEP in text else INDEXED if INDEXED in text else None


def chips_follow_terminal_variables_and_option(bench):
    for env, option, want in (({"TERM": "xterm"}, (), None), ({"TERM": "xterm-256color"}, (), None), ({"COLORTERM": "truecolor"}, (), DEEP),
                              ({"COLORTERM": "24bit"}, (), DEEP), ({"TERM": "xterm-direct"}, (), DEEP), ({"NO_COLOR": "1"}, (), None),
                              ({"NO_COLOR": "", "COLORTERM": "truecolor"}, (), DEEP), ({"TERM": "dumb"}, (), None), ({"TERM": None}, (), None),
                              ({}, ("--color", "never"), None), ({"NO_COLOR": "1"}, ("--color=always",), INDEXED),
                              ({"TERM": "dumb"}, ("--color=always",), INDEXED), ({"COLORTERM": "truecolor", "NO_COLOR": "1"}, ("--color=auto",), None)):
        text = in_terminal(bench, *LIST, *option, env=env)[0]
        expect(chips(text), want, f"{env} {option}")


def pipes_and_files_get_no_chips_unless_asked(bench):
    expect(chips(bench.good(*LIST)), None)
    expect(chips(bench.good(*LIST, "--color=always")), INDEXED)
    expect(chips(bench.good(*MATCH, "--color=always", env={"COLORTERM": "truecolor"}, code=(0, 1))), DEEP)
    in_terminal(bench, *MATCH, "-o", "out.txt")
    expect(chips(bench.read("out.txt").decode()), None, "-o from a terminal")
    bench.remove("out.txt")


def chips_are_the_colour_and_never_alone(bench):
    """each chip ends its colour, and code, name and numbers stand beside it"""
    plain = bench.good(*LIST).splitlines()
    shown = bench.good(*LIST, "--color=always", env={"COLORTERM": "truecolor"}).splitlines()
    for line, bare in zip(shown[1:], plain[1:]):
        stripped = re.sub(r"\x1b\[[0-9;]*m", "", line)
        if bare not in stripped or not line.count("\x1b[0m") == 1:
            raise AssertionError(repr(line))
    ivory = next(line for line in shown if "ivory" in line)
    r, g, b = map(int, re.search(r"48;2;(\d+);(\d+);(\d+)", ivory).groups())
    if not (r > g > b > 120):
        raise AssertionError(f"ivory is shown as {r},{g},{b}")


def json_has_no_chips(bench):
    expect(chips(bench.good(*MATCH, "--json", "--color=always", code=(0, 1))), None)


def width(line):
    return sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in re.sub(r"\x1b\[[0-9;]*m", "", line))


def text_fits_in_80_columns(bench):
    for color in ("never", "always"):
        for command in (MATCH, ("measure", "client.jpg", "--zones", "client.zones.json"), ("blend", "loam=0.5", "clay=0.5", "--mixed"),
                        ("blend", "--layers", "loam,clay,loam"), ("plan", "--layers", "loam,clay,loam", "--arc", "29", "--natural-length", "35"),
                        LIST, ("salon", "show")):
            text = bench.good(*command, "--color", color, code=(0, 1))
            expect([line for line in text.splitlines() if width(line) > 80], [], " ".join(command))
            expect([line for line in text.splitlines() if line != line.rstrip()], [], "spaces at ends")


def text_fits_in_a_narrow_terminal(bench):
    """$COLUMNS, else what the terminal says of itself; never narrower than 48"""
    for columns, command in (("60", (*MATCH, "--row", "nape=20", "--natural-length", "35", "--full")), ("9", (*MATCH, "--full")),
                             ("60", ("measure", "client.jpg", "--zones", "client.zones.json")),
                             ("50", ("plan", "--layers", "loam,clay,loam", "--arc", "29", "--natural-length", "35"))):
        most = max(int(columns), 48)
        lines = bench.good(*command, "--color", "always", env={"COLUMNS": columns}, code=(0, 1)).splitlines()
        expect([line for line in lines if width(line) > most], [], f"{columns}: {' '.join(command)}")
        expect(max(map(width, lines)) >= most - 8, True, f"{columns} are used: {' '.join(command)}")
    shown = in_terminal(bench, *MATCH, columns=60)[0]
    expect([line for line in shown.splitlines() if width(line) > 60], [], "the terminal's own width")
    expect(bench.good(*MATCH, env={"COLUMNS": "200"}, code=(0, 1)), bench.good(*MATCH, code=(0, 1)), "no wider than 80")


def plain_locales_get_plain_letters(bench):
    text = bench.good(*MATCH, "--full", code=(0, 1))
    if "±" not in text:
        raise AssertionError("no plus-minus in UTF-8")
    for locale in ("C", "POSIX"):
        plain = bench.good(*MATCH, "--full", env={"LC_ALL": locale}, code=(0, 1))
        expect([c for c in plain if ord(c) > 126], [], locale)
        if "+-" not in plain:
            raise AssertionError("no plus-minus in ASCII")


def stderr_in_a_pipe_has_no_control_characters(bench):
    done = bench.run(*MATCH)
    expect([c for c in done.stderr.decode() if ord(c) < 32 and c != "\n"], [])
    for line in done.stderr.decode().splitlines():
        if not line.startswith("weftmatch: "):
            raise AssertionError(line)


def quiet_keeps_warnings_but_no_hints(bench):
    rough = ("match", "client.jpg", "--zone", "mid=300,200,40,40")
    loud, quiet = bench.run(*rough).stderr, bench.run(*rough, "--quiet").stderr
    if b"nothing of known colour" not in quiet:
        raise AssertionError("a warning changes what may be believed and stays")
    expect(quiet, loud)


def a_terminal_shows_progress_only_when_it_lasts(bench):
    shown = in_terminal(bench, *MATCH, which="stderr")[0]
    if "\x1b[K" in shown and not shown.endswith("\x1b[K") and "\r\x1b[K" not in shown:
        raise AssertionError(f"progress is left standing: {shown!r}")
    shown = in_terminal(bench, *MATCH, "--quiet", which="stderr")[0]
    expect("\x1b" in shown, False, "--quiet")


def long_work_shows_the_time_left_and_wipes_the_line(bench):
    bench.good("client", "add", "Anna Berg", "--book", "many.book")
    bench.good("match", "client.jpg", "--zones", "client.zones.json", "--client", "anna", "--book", "many.book", code=(0, 1))
    db = sqlite3.connect(bench.path("many.book"))
    db.execute("INSERT INTO visit (client_id, date, installed) WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300) "
               "SELECT client_id, date, 'loam' FROM visit, n")
    db.execute("INSERT INTO attachment (visit_id, kind, bytes) SELECT visit.id, attachment.kind, bytes FROM visit, attachment "
               "WHERE attachment.kind = 'report' AND visit.id <> attachment.visit_id")
    db.commit()
    db.close()
    shown, out, said, code = in_terminal(bench, "recheck", "--book", "many.book", "--jobs", "1", which="stderr")
    lines = shown.split("\r\x1b[K")
    if len(lines) > 1:  # the machine may be quicker than a second
        if not re.fullmatch(r"visits: \d+ of 301, about \d+ s left", lines[1]):
            raise AssertionError(lines[1])
        expect(lines[-1], "", "the line is wiped")
    print(f"# progress was drawn {len(lines) - 1} times")
    expect(in_terminal(bench, "recheck", "--book", "many.book", "--quiet", which="stderr")[0], "", "--quiet")
    expect(in_terminal(bench, "recheck", "--book", "many.book", env={"TERM": "dumb"}, which="stderr")[0], "", "a dumb terminal")
    expect(bench.run("recheck", "--book", "many.book").stderr, b"", "a pipe")
    bench.remove("many.book")


def a_closed_pipe_ends_quietly(bench):
    for command in (LIST, MATCH, ("--help",)):
        reader, writer = os.pipe()
        os.close(reader)  # before it starts: it may be quicker than we are
        process = subprocess.Popen([bench.program, *command], stdout=writer, stderr=subprocess.PIPE, cwd=bench.folder, env=bench.environment())
        os.close(writer)
        said = process.stderr.read().decode()
        process.stderr.close()
        expect(process.wait(300), -13, " ".join(command))
        expect([line for line in said.splitlines() if not line.startswith("weftmatch: client.jpg")], [])


UNWRITTEN = "weftmatch: the result could not be written to standard output; is the disk full?\n"


def a_full_or_closed_standard_output_is_a_failure(bench):
    for command in (LIST, ("--help",), ("--version",), (), ("salon", "show"), ("match", "--help")):
        with open("/dev/full", "wb") as full:
            done = bench.run(*command, stdout=full)
        expect((done.returncode, done.stderr.decode()), (6, UNWRITTEN), f"{command} > /dev/full")
        done = bench.run(*command, stdout=None, preexec_fn=lambda: os.close(1))
        expect((done.returncode, done.stderr.decode()), (6, UNWRITTEN), f"{command} >&-")


def closed_streams_do_no_harm_to_the_book(bench):
    def close_all():
        for fd in range(3):
            os.close(fd)
    bench.good("client", "add", "Anna Berg")
    done = bench.run("client", "add", "Bea Falk", stdout=None, stderr=None, preexec_fn=close_all)
    expect(done.returncode, 6)
    done = bench.run("match", "client.jpg", "--zones", "client.zones.json", "--client", "Anna", stdout=None, stderr=None, preexec_fn=close_all)
    expect(done.returncode, 6)
    expect([line.split("  ")[-1].strip() for line in bench.good("client", "list").splitlines()], ["Anna Berg", "Bea Falk"])
    bench.good("book", "check")
    bench.remove("salon.book")


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    for name, test in list(globals().items()):
        if callable(test) and getattr(test, "__module__", "") == "__main__" and name not in ("main", "in_terminal", "chips", "width"):
            bench.check(test)
    bench.end()


if __name__ == "__main__":
    main()
