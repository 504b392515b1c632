"""What is installed works: headers, library and pkg-config compile the sample program, the man page has no warning, the completion completes.

Usage: install.py BUILD_FOLDER SOURCE_ROOT SANITIZERS"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

BUILD, ROOT, SANITIZERS = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), sys.argv[3]
CASES = [  # words typed, the last one unfinished; what must be offered, and no more where an end is given
    ("weftmatch ma", ["mark", "match"]),
    ("weftmatch swatch ", ["add", "list", "check", "convert"]),
    ("weftmatch client hi", ["history"]),
    ("weftmatch match a.jpg --wo", ["--worn"]),
    ("weftmatch match a.jpg --worn ", ["down", "up", "both"]),
    ("weftmatch match a.jpg --worn=", ["down", "up", "both"]),
    ("weftmatch match a.jpg --worn=u", ["up"]),
    ("weftmatch match a.jpg --zone mi", ["mid="]),
    ("weftmatch match a.jpg --zones cl", ["client zones.json", "client.jpg"]),
    ("weftmatch match cl", ["client zones.json", "client.jpg"]),
    ("weftmatch match a.jpg --client ", []),
    ("weftmatch client list --wo", []),
    ("weftmatch report --js", ["--json"]),
    ("weftmatch salon set --b", ["--book"]),
    ("weftmatch --ve", ["--version"]),
]


def call(*words, **how):
    done = subprocess.run(words, capture_output=True, text=True, **how)
    assert done.returncode == 0, f"{' '.join(words)}: {done.stdout[-500:]}{done.stderr[-500:]}"
    return done.stdout


def find(folder, name):
    for root, _, names in os.walk(folder):
        if name in names:
            return os.path.join(root, name)
    raise AssertionError(f"{name} is not installed")


def the_sample_program_compiles_and_runs(stage):
    pc = find(stage, "weftmatch.pc")
    env = dict(os.environ, PKG_CONFIG_PATH=os.path.dirname(pc), PKG_CONFIG_SYSROOT_DIR=stage, LD_LIBRARY_PATH=os.path.dirname(os.path.dirname(pc)))
    flags = call("pkg-config", "--cflags", "--libs", "weftmatch", env=env).split()
    sanitize = [] if SANITIZERS == "none" else [f"-fsanitize={SANITIZERS}"]
    program = os.path.join(stage, "example")
    call("cc", os.path.join(ROOT, "samples/example.c"), "-std=c11", "-Wall", "-Wextra", "-Wpedantic", "-Werror", *sanitize, "-o", program, *flags, env=env)
    lines = call(program, os.path.join(ROOT, "samples/swatches.csv"), "54.96", "5.74", "19.17", env=env).splitlines()
    oat = next(line for line in lines if line.startswith("oat "))
    assert oat.split()[1:3] == ["0.0", "dE00"], oat
    assert os.path.realpath(find(stage, "libweftmatch.so.0")).endswith(".so." + re.search(r"version: '([\d.]+)'", open(f"{ROOT}/meson.build").read()).group(1))


def headers(folder):
    return {os.path.relpath(os.path.join(root, name), folder) for root, _, names in os.walk(folder) for name in names}


def only_promised_names_are_exported(stage):
    library = find(stage, "libweftmatch.so.0")
    symbols = call("nm", "-D", "--defined-only", library).splitlines()
    names = {line.split()[-1].split("@")[0] for line in symbols}
    # what the sanitizers of a test build add is theirs
    foreign = {n for n in names if not n.startswith(("wm_", "WM_")) and not n.startswith(("__asan", "__ubsan", "__odr_asan", "_"))}
    assert not foreign, f"exported besides wm_: {sorted(foreign)[:9]}"
    assert not {n for n in names if n.startswith("wm_") and "__" in n}, "a private function is exported"
    include = os.path.dirname(find(stage, "weftmatch.h"))
    text = "".join(open(os.path.join(include, h)).read() for h in headers(include))
    declared = set(re.findall(r"WM_API[^;{]*?\b(wm_\w+)\(", text))
    missing = declared - names
    assert not missing, f"declared in a public header but not in the library: {sorted(missing)}"


def the_program_is_installed_with_its_pages(stage):
    out = call(find(stage, "weftmatch"), "--version")
    assert out.startswith("weftmatch "), out
    find(stage, "weftmatch.1")


def the_man_page_has_no_warning(stage):
    page = find(stage, "weftmatch.1")
    if not shutil.which("groff"):
        print("# groff is not here: the man page is not set")
        return
    done = subprocess.run(["groff", "-man", "-Tutf8", "-ww", "-z", page], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    text = subprocess.run(["groff", "-man", "-Tascii", "-P-c", "-rLL=78n", page], capture_output=True, text=True).stdout
    wide = [line for line in re.sub(".\b", "", text).splitlines() if len(line) > 90]
    assert not wide, wide


def the_completion_completes(stage):
    script = find(stage, "weftmatch.bash")
    call("bash", "-n", script)
    with tempfile.TemporaryDirectory() as folder:
        for name in ("client.jpg", "client zones.json", "other.txt"):
            open(os.path.join(folder, name), "w").close()
        for typed, want in CASES:
            words = re.findall(r"=|[^\s=]+", typed) + ([""] if typed.endswith(" ") else [])  # as bash splits at COMP_WORDBREAKS
            code = f'. "{script}"; COMP_WORDS=({" ".join(repr(w) for w in words)}); COMP_CWORD={len(words) - 1}; _weftmatch; printf "%s\\n" "${{COMPREPLY[@]}}"'
            got = call("bash", "-c", code, cwd=folder).split("\n")[:-1]
            got = [g for g in got if g]
            assert sorted(got) == sorted(want), f"{typed!r}: {got}, not {want}"


def main():
    tests = [the_sample_program_compiles_and_runs, only_promised_names_are_exported, the_program_is_installed_with_its_pages,
             the_man_page_has_no_warning, the_completion_completes]
    failed = 0
    with tempfile.TemporaryDirectory(prefix="weftmatch-install-") as stage:
        call("meson", "install", "-C", BUILD, "--no-rebuild", "--quiet", "--destdir", stage)
        for n, test in enumerate(tests, 1):
            try:
                test(stage)
                print(f"ok {n} - {test.__name__.replace('_', ' ')}")
            except (AssertionError, StopIteration) as e:
                failed = 1
                print(f"not ok {n} - {test.__name__.replace('_', ' ')}")
                print("\n".join(f"#   {line}" for line in str(e).splitlines()))
    print(f"1..{len(tests)}")
    sys.exit(failed)


if __name__ == "__main__":
    main()
