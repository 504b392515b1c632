"""What is installed works: headers, library and pkg-config compile the sample program, the man page has no warning, the completion completes.

Usage: install.py BUILD_FOLDER SOURCE_ROOT SANITIZERS"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

BUILD, ROOT, SANITIZERS = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), sys.argv[3]
FILES = ["client zones.json", "client.jpg", "sealed.book", "other.txt", "salon.book", "shades.csv"]
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
    # what book and catalogue hold; without them nothing, and no book is made
    ("PROGRAM client show --book none.book an", []),
    ("PROGRAM client show --book sealed.book an", []),
    ("PROGRAM client show --book salon.book an", ["Anna Berg", "Anton Falk"]),
    ("PROGRAM client show --book=salon.book zoe", ["Zo\u00eb M\u00fcller"]),
    ('PROGRAM client show --book salon.book "zo', ["Zo\u00eb M\u00fcller"]),
    ("PROGRAM client note --book salon.book anna ", FILES),
    ("PROGRAM client merge --book salon.book anna ant", ["Anton Falk"]),
    ("PROGRAM match client.jpg --book salon.book --client z", ["Zo\u00eb M\u00fcller"]),
    ("PROGRAM visit set 1 --swatches shades.csv --installed moth,fr", ["moth,frost"]),
    ("PROGRAM plan --swatches shades.csv --layers moth/fr", ["moth/frost"]),
    ("PROGRAM stock add --swatches shades.csv ", ["moth", "frost"]),
    ("PROGRAM blend --swatches shades.csv mo", ["moth="]),
    ("PROGRAM salon set row", ["row_fee="]),
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


def flags_of(stage):
    """what pkg-config says, and the environment to compile and run in"""
    pc = find(stage, "weftmatch.pc")
    env = dict(os.environ, PKG_CONFIG_PATH=os.path.dirname(pc), PKG_CONFIG_SYSROOT_DIR=stage, LD_LIBRARY_PATH=os.path.dirname(os.path.dirname(pc)))
    return call("pkg-config", "--cflags", "--libs", "weftmatch", env=env).split(), env


COMPILERS = {"c": ["cc", "-std=c11", "-x", "c"], "c++": ["c++", "-std=c++17", "-x", "c++"]}
SANITIZE = [] if SANITIZERS == "none" else [f"-fsanitize={SANITIZERS}"]


def compiled(stage, language, source, name, *more):
    flags, env = flags_of(stage)
    program = os.path.join(stage, name)
    call(*COMPILERS[language], "-Wall", "-Wextra", "-Wpedantic", "-Wshadow", "-Werror", *SANITIZE, source, *more, "-x", "none", "-o", program, *flags, env=env, cwd=stage)
    return program, env


def the_sample_program_compiles_and_runs(stage):
    """in C and in C++, outside of the tree: photo to report, and every bad input with its own exit code"""
    samples = os.path.join(ROOT, "samples")
    good = [f"{samples}/client.jpg", f"{samples}/client.zones.json", f"{samples}/swatches.csv", "2026-11-26"]
    shutil.copy(os.path.join(samples, "example.c"), stage)
    # the helper lies where the library looks for it: beside the program, as the stage is not where it will be installed
    shutil.copy(find(stage, "weftmatch-photo"), stage)
    reports = []
    for language in COMPILERS:
        program, env = compiled(stage, language, "example.c", "example-" + language.replace("+", "p"))
        done = subprocess.run([program, *good], capture_output=True, text=True, env=env, cwd=stage)
        assert done.returncode in (0, 1), done.stderr
        reports.append(done.stdout)
        assert json.loads(done.stdout)["proposals"] and json.loads(done.stdout)["plan"], "no proposal, no plan"
    assert reports[0] == reports[1], "C and C++ get different reports"
    for at, wrong, code in [(0, "none.jpg", 4), (0, good[2], 4), (1, "none.json", 3), (1, good[2], 3), (2, "none.csv", 3), (2, good[1], 3), (3, "tomorrow", 2)]:
        done = subprocess.run([program, *good[:at], wrong, *good[at + 1:]], capture_output=True, text=True, env=env, cwd=stage)
        assert done.returncode == code, f"{wrong} in place {at}: {done.returncode}, not {code}: {done.stderr}"
        assert done.stdout == "" and len(done.stderr.splitlines()) == 1, done.stderr
    assert subprocess.run([program], capture_output=True, env=env).returncode == 2
    assert os.path.realpath(find(stage, "libweftmatch.so.1")).endswith(".so." + re.search(r"version: '([\d.]+)'", open(f"{ROOT}/meson.build").read()).group(1))


CLIENT = """#include "core/status.h" /* our own */
#include <weftmatch/weftmatch.h>
#include "colour.h"
int main(void) { wm_lab a = { 50, 0, 0 }; return our_status() + our_colour() + (wm_de00(a, a) > 0) + (wm_version()[0] == 0); }
"""


def a_client_keeps_its_own_headers(stage):
    """the installed headers are found under weftmatch/ alone: a program's core/status.h stays its own"""
    own = os.path.join(stage, "client")
    os.makedirs(os.path.join(own, "core"))
    for name, text in {"core/status.h": "static int our_status(void) { return 0; }\n", "colour.h": "static int our_colour(void) { return 0; }\n", "client.c": CLIENT}.items():
        with open(os.path.join(own, name), "w") as f:
            f.write(text)
    for language in COMPILERS:
        for before in (True, False):  # wherever the program's own folder stands in the search
            flags, env = flags_of(stage)
            include = [f"-I{own}"]
            program = os.path.join(own, "client")
            call(*COMPILERS[language], *SANITIZE, "client.c", "-x", "none", "-o", program, *(include + flags if before else flags + include), env=env, cwd=own)
            call(program, env=env)


def headers(folder):
    return {os.path.relpath(os.path.join(root, name), folder) for root, _, names in os.walk(folder) for name in names}


def only_promised_names_are_exported(stage):
    symbols = call("nm", "-D", "--defined-only", find(stage, "libweftmatch.so.1")).splitlines()
    names = {line.split()[-1].split("@")[0] for line in symbols}
    # what the sanitizers of a test build add is theirs
    names = {n for n in names if not n.startswith(("__asan", "__ubsan", "__odr_asan", "_"))}
    include = os.path.dirname(find(stage, "weftmatch.h"))
    text = "".join(open(os.path.join(include, h)).read() for h in headers(include))
    declared = set(re.findall(r"WM_PUBLIC[^;{]*?\b(wm_\w+)\(", text))
    assert names == declared, f"exported and not declared: {sorted(names - declared)[:9]}; declared and not exported: {sorted(declared - names)}"


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
        program = find(stage, "weftmatch")
        for name in ("client.jpg", "client zones.json", "other.txt", "sealed.book"):
            open(os.path.join(folder, name), "w").close()
        os.chmod(os.path.join(folder, "sealed.book"), 0)
        with open(os.path.join(folder, "shades.csv"), "w") as f:
            f.write("code,length_cm,L,a,b\nmoth,40,40,5,12\nmoth,50,40,5,12\nfrost,50,70,1,8\n")
        for name in ("Anna Berg", "Anton Falk", "Zo\u00eb M\u00fcller", "--html=never offered"):
            call(program, "client", "add", "--book", "salon.book", "--", name, cwd=folder)
        for typed, want in CASES:
            typed = typed.replace("PROGRAM", program)
            words = re.findall(r"=|[^\s=]+", typed) + ([""] if typed.endswith(" ") else [])  # as bash splits at COMP_WORDBREAKS
            code = f'. "{script}"; COMP_WORDS=({" ".join(repr(w) for w in words)}); COMP_CWORD={len(words) - 1}; _weftmatch; printf "%s\\n" "${{COMPREPLY[@]}}"'
            got = call("bash", "-c", code, cwd=folder).split("\n")[:-1]
            got = [g for g in got if g]
            assert sorted(got) == sorted(want), f"{typed!r}: {got}, not {want}"


OTHER_CASES = [  # for zsh and fish: words typed, the last one unfinished; what must be offered
    ("weftmatch ma", ["mark", "match"]),
    ("weftmatch swatch ", ["add", "list", "check", "convert"]),
    ("weftmatch client show An", ["Anna Berg", "Anton Falk"]),
    ("weftmatch match a.jpg --worn ", ["down", "up", "both"]),
    ("weftmatch match a.jpg --wo", ["--worn"]),
    ("weftmatch match a.jpg --client Ann", ["Anna Berg"]),
    ("weftmatch stock add mo", ["moth"]),
    ("weftmatch salon set row", ["row_fee="]),
]
# The function of zsh, run on a line of words; what it offers is printed.
ZSH = """compadd() { local a on=0; for a; do if (( on )); then [[ $a == $PREFIX* ]] && print -r -- $a; elif [[ $a == -- ]]; then on=1; fi; done }
_files() { print FILES }; compdef() { : }; source $1
words=("${(@)argv[2,-1]}"); CURRENT=$#words; PREFIX=$words[CURRENT]; _weftmatch"""


def offered_by(shell, script, typed, folder, env):
    run = lambda *words: subprocess.run(words, capture_output=True, text=True, cwd=folder, env=env).stdout
    if shell == "zsh":
        return run("zsh", "-f", "-c", ZSH, "zsh", script, *typed.split(" ")).split("\n")[:-1]
    return [line.split("\t")[0] for line in run("fish", "--no-config", "-c", f"source {script}; complete -C '{typed}'").split("\n")[:-1]]


def the_other_shells_complete_too(stage):
    program = find(stage, "weftmatch")
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "PATH": f"{os.path.dirname(program)}:{os.environ['PATH']}", "WEFTMATCH_BOOK": f"{folder}/salon.book",
               "WEFTMATCH_SWATCHES": f"{folder}/shades.csv"}
        with open(f"{folder}/shades.csv", "w") as f:
            f.write("code,L,a,b\nmoth,40,5,12\nfrost,70,1,8\n")
        for name in ("Anna Berg", "Anton Falk", "Zo\u00eb M\u00fcller"):
            call(program, "client", "add", name, "--book", f"{folder}/salon.book")
        for shell, file in (("zsh", "_weftmatch"), ("fish", "weftmatch.fish")):
            script = find(stage, file)
            assert "client" in open(script).read(), script
            for typed, want in OTHER_CASES if shutil.which(shell) else []:
                got = offered_by(shell, script, typed, folder, env)
                assert sorted(got) == sorted(want), f"{shell}, {typed!r}: {got}, not {want}"


def main():
    tests = [the_sample_program_compiles_and_runs, a_client_keeps_its_own_headers, only_promised_names_are_exported, the_program_is_installed_with_its_pages,
             the_man_page_has_no_warning, the_completion_completes, the_other_shells_complete_too]
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
