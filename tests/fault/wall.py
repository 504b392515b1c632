"""The wall round a photo's bytes as the command line shows it: a helper that a photo has taken over, and a system that can't lock the
helper in, each end in exit 4 with one clear line, and the book and every other file stay as they were.

Usage: wall.py WEFTMATCH WM_RENDER HOSTILE NO_FILTER"""
import os
import shutil
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "cli"))
from support import Bench, expect

BROKE_DOWN = "damaged photo: reading it failed; send or copy the photo again"
DECODING = "damaged JPEG: the decoder failed on it; send or copy the photo again"
UNLOCKED = ("this system can't lock the photo decoder in, so nothing was decoded; use a kernel with seccomp filters, or build with "
            "-Dsandbox=disabled to decode without")
ATTEMPTS = {"read_file": BROKE_DOWN, "memory_of_parent": BROKE_DOWN, "network": BROKE_DOWN, "new_process": BROKE_DOWN,
            "much_memory": BROKE_DOWN, "crash": BROKE_DOWN, "huge_picture": BROKE_DOWN, "pixels_elsewhere": DECODING, "table_of_nan": DECODING,
            "no_lock": UNLOCKED}
SAVING = ("--zone", "mid=10,10,5,5", "--client", "anna", "--html", "report.html")


def refused(bench, photo, text, program=(), environment=None):
    before = bench.state()
    for verb in (("measure", photo, "--zone", "mid=10,10,5,5"), ("match", photo, *SAVING), ("mark", photo, "-o", "page.html")):
        words = [*program, bench.program, *verb]
        done = subprocess.run(words, cwd=bench.folder, env=environment or bench.environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        expect((done.returncode, done.stdout, done.stderr.decode()), (4, b"", f"weftmatch: {photo}: {text}\n"), f"{verb[0]} {photo}")
    expect(bench.state(), before, "nothing is left behind")


def with_hostile_helper(bench, hostile):
    """A helper lies beside its program: the program beside the hostile one."""
    folder = bench.path("bin")
    os.mkdir(folder)
    for program, name in ((bench.program, "weftmatch"), (hostile, "weftmatch-photo")):
        shutil.copy2(program, os.path.join(folder, name))
    bench.program = os.path.join(folder, "weftmatch")
    for attempt, text in ATTEMPTS.items():
        bench.write("taken-over.jpg", attempt)

        def test(_bench):
            refused(bench, "taken-over.jpg", text)
        test.__doc__ = f"a helper that tries {attempt.replace('_', ' ')}"
        bench.check(test)


def main():
    program, render, hostile, no_filter = sys.argv[1:]
    bench = Bench(program, render)
    bench.good("client", "add", "Anna Berg")
    bench.good("client", "list")

    def no_kernel(_bench):
        """a kernel that refuses the filter: nothing is decoded"""
        refused(bench, "client.jpg", UNLOCKED, [os.path.abspath(no_filter)])

    def says(_bench):
        """--version says what is there"""
        expect("Photos are read by a program of its own, locked in by seccomp" in bench.good("--version").splitlines(), True)

    bench.check(says)
    bench.check(no_kernel)
    with_hostile_helper(bench, os.path.abspath(hostile))
    bench.end()


if __name__ == "__main__":
    main()
