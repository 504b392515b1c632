"""What the tests of the command line share: a scratch folder with a rendered client, runs of weftmatch in it, TAP lines."""
import os
import shutil
import subprocess
import sys
import tempfile

SANITIZER = 86  # exit code of a sanitizer's finding: none that the command line uses


class Bench:
    """A scratch folder and the program under test. Commands are lists of words; every environment starts bare."""

    def __init__(self, program, render, *scene):
        self.program = os.path.abspath(program)
        self.render_program = os.path.abspath(render)
        self.folder = tempfile.mkdtemp(prefix="weftmatch-cli-")
        self.count = self.failures = 0
        self.render(*(scene or ("width=500", "height=400", "swatches=zones", "catalogue_file=swatches.csv", "out=client")))

    def environment(self, **changes):
        env = {"HOME": self.folder, "PATH": os.environ["PATH"], "TERM": "xterm", "LC_ALL": "C.UTF-8", "WEFTMATCH_BOOK": "salon.book",
               "WEFTMATCH_SWATCHES": "swatches.csv", "SOURCE_DATE_EPOCH": "1774958400"}
        for sanitizer in ("ASAN_OPTIONS", "UBSAN_OPTIONS"):
            env[sanitizer] = f"exitcode={SANITIZER}:halt_on_error=1:" + os.environ.get(sanitizer, "")
        for kept in ("LSAN_OPTIONS", "LOCPATH"):
            if kept in os.environ:
                env[kept] = os.environ[kept]
        env.update(changes)
        return {name: value for name, value in env.items() if value is not None}

    def run(self, *words, stdin="", env=None, folder=None, **how):
        how.setdefault("stdout", subprocess.PIPE)
        how.setdefault("stderr", subprocess.PIPE)
        return subprocess.run([self.program, *words], input=stdin.encode(), env=self.environment(**(env or {})), cwd=folder or self.folder,
                              timeout=300, **how)

    def good(self, *words, code=0, **how):
        """The standard output of a run that must end with `code`; tuples stand for any of several."""
        done = self.run(*words, **how)
        codes = code if isinstance(code, tuple) else (code,)
        if done.returncode not in codes:
            raise AssertionError(f"{' '.join(words)}: exit {done.returncode}, not {code}: {done.stderr.decode()}")
        return done.stdout.decode() if done.stdout is not None else ""

    def render(self, *scene):
        subprocess.run([self.render_program, *scene], cwd=self.folder, check=True, stdout=subprocess.DEVNULL)

    def path(self, name):
        return os.path.join(self.folder, name)

    def read(self, name):
        with open(self.path(name), "rb") as f:
            return f.read()

    def write(self, name, content):
        os.makedirs(os.path.dirname(self.path(name)), exist_ok=True)
        with open(self.path(name), "wb") as f:
            f.write(content if isinstance(content, bytes) else content.encode())
        if name.endswith(".book"):
            os.chmod(self.path(name), 0o600)  # as the program leaves it

    def remove(self, name):
        if os.path.lexists(self.path(name)):
            os.remove(self.path(name))

    def state(self):
        """Every file below the folder with its bytes, mode and time: what a refused command must leave as it was."""
        found = {}
        for root, folders, names in os.walk(self.folder):
            for name in folders + names:
                path = os.path.join(root, name)
                info = os.lstat(path)
                found[os.path.relpath(path, self.folder)] = (info.st_mode, info.st_mtime_ns, info.st_size)
        return found

    def report(self, name, fault):
        """One TAP line; fault is None or says what went wrong."""
        self.count += 1
        self.failures += fault is not None
        print(f"{'not ' if fault else ''}ok {self.count} - {name.replace('#', '')}")
        for line in (fault or "").splitlines():
            print(f"#   {line}")
        sys.stdout.flush()

    def check(self, test):
        """Runs a function of the bench; its doc string, or its name, is the case."""
        try:
            test(self)
            fault = None
        except (AssertionError, KeyError, IndexError, ValueError, OSError, subprocess.SubprocessError) as e:
            fault = f"{type(e).__name__}: {e}"
        self.report((test.__doc__ or test.__name__.replace("_", " ")).strip(), fault)

    def end(self):
        print(f"1..{self.count}")
        shutil.rmtree(self.folder)
        sys.exit(1 if self.failures else 0)


def expect(got, want, what=""):
    if got != want:
        raise AssertionError(f"{what}{': ' if what else ''}got {got!r}, want {want!r}")
