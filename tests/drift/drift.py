"""What is written in two places says the same in both: tables of the documents, of the code and of the build; includes keep to the rooms; what
we promised not to use is not used.

Usage: drift.py SOURCE_ROOT WEFTMATCH"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

ROOT, PROGRAM = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
LIBRARIES = {"jansson": "jansson.h", "libexif": "libexif/", "libseccomp": "seccomp.h", "stb_image": "stb_image.h", "libheif": "libheif/",
             "LittleCMS": "lcms2.h", "libmicrohttpd": "microhttpd.h", "stb_image_write": "stb_image_write.h", "SQLite": "sqlite3.h", "zlib": "zlib.h", "nettle": "nettle/"}
GENERATED = {"version.h", "white_points.h", "style.h", "gallery_script.h"}  # made at build time


def read(path):
    with open(os.path.join(ROOT, path), encoding="utf-8") as f:
        return f.read()


def files(folder, *endings):
    for root, folders, names in os.walk(os.path.join(ROOT, folder)):
        folders[:] = [f for f in folders if f not in ("node_modules", ".git", "__pycache__") and not f.startswith("build")]
        for name in sorted(names):
            if name.endswith(endings):
                yield os.path.relpath(os.path.join(root, name), ROOT)


def equal(got, want, what):
    got, want = set(got), set(want)
    lines = [f"{what}: {x} is missing" for x in sorted(want - got)] + [f"{what}: {x} is too much" for x in sorted(got - want)]
    assert not lines, "\n".join(lines)


def section(text, heading):
    return text.split(f"\n## {heading}\n")[1].split("\n## ")[0]


# --- rooms and modules ---

def developers_table():
    """[(room, module, only user of)] in the order of the table."""
    rows, room = [], None
    for line in section(read("DEVELOPERS.md"), "Rooms and modules").splitlines():
        cells = [c.strip() for c in line.strip("|").split("|")]
        if not line.startswith("|") or cells[0].startswith("---") or cells[0] == "room":
            continue
        room = cells[0].strip("`") or room
        rows += [(room, module, cells[3]) for module in re.findall(r"`(\w+)`", cells[1])]
    return rows


def build_rooms():
    """{room: [modules]} of lib/meson.build, those that exist."""
    text = read("lib/meson.build").split("weftmatch_rooms = {")[1].split("\n}")[0]
    return {room: [m for m in re.findall(r"'(\w+)'", modules) if os.path.exists(os.path.join(ROOT, "lib", room, m + ".c"))]
            for room, modules in re.findall(r"'(\w+)': \[([^\]]*)\]", text)}


def the_modules_are_those_of_the_build_and_of_the_folders():
    table = [(room[4:], module) for room, module, _ in developers_table() if room.startswith("lib/")]
    rooms = build_rooms()
    equal(table, [(room, m) for room, modules in rooms.items() for m in modules], "DEVELOPERS.md against lib/meson.build")
    equal([tuple(p[4:-2].split("/")) for p in files("lib", ".c") if not p.startswith("lib/photo/helper/")], table, "files of lib/ against DEVELOPERS.md")
    order = list(dict.fromkeys(room for room, _ in table))
    assert order == list(rooms), f"rooms stand in another order: {order} and {list(rooms)}"


def the_desk_of_the_table_is_that_of_its_folder():
    equal([p[9:-2] for p in files("cli/desk", ".c")], [module for room, module, _ in developers_table() if room == "cli/desk"], "files of cli/desk")


def includes_go_up_only():
    order = list(build_rooms())
    wrong = []
    for path in files("lib", ".c", ".h"):
        room = path.split("/")[1]
        for name in re.findall(r'^\s*#\s*include "([^"]+)"', read(path), re.M):
            target = name.split("/")[0]
            if name in GENERATED or (name in public_headers() and name != "weftmatch/weftmatch.h"):
                continue  # what the public face declares, nobody declares again
            if target not in order or order.index(target) > order.index(room):
                wrong.append(f"{path} includes {name}")
            elif not os.path.exists(os.path.join(ROOT, "lib", name)):
                wrong.append(f"{path} includes {name}, which is not there")
            elif name.endswith("_internal.h") and target != room:
                wrong.append(f"{path} includes {name} of another room")
            elif (room, target) == ("report", "book"):
                wrong.append(f"{path} includes {name}; a report knows no book")
    assert not wrong, "\n".join(wrong)


def each_library_has_one_user_the_one_named():
    named = {library: f"{room}/{module}.c" for room, module, users in developers_table() for library in re.split(r", ?", users) if library}
    equal(named, LIBRARIES, "libraries named in DEVELOPERS.md")
    for library, header in LIBRARIES.items():
        users = [p for folder in ("lib", "cli") for p in files(folder, ".c", ".h") if re.search(rf"#\s*include <{re.escape(header)}", read(p))]
        equal(users, [named[library]], library)


# --- banned functions ---

NEVER = "strcpy strcat sprintf vsprintf gets strtok atoi atol atof rand srand random tmpnam mktemp alloca setenv putenv system popen".split()
NEVER_IN_LIB = "printf fprintf vprintf vfprintf puts fputs putchar perror exit abort getenv setlocale localtime gmtime ctime asctime".split()
ALLOWED = {("lib/photo/decode.c", "abort"): "ends the helper",
           ("cli/main.c", "setlocale"): "LC_CTYPE only"}


def without_comments_and_texts(code):
    return re.sub(r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\\n])*"', " ", code, flags=re.S)


def calls(path, names):
    code = without_comments_and_texts(read(path))
    return [name for name in names if re.search(rf"(?<![\w.>]){name}\s*\(", code) and (path, name) not in ALLOWED]


def banned_functions_are_absent():
    wrong = [f"{p} calls {name}" for folder in ("lib", "cli") for p in files(folder, ".c", ".h") for name in calls(p, NEVER)]
    wrong += [f"{p} calls {name}" for p in files("lib", ".c", ".h") for name in calls(p, NEVER_IN_LIB)]
    wrong += [f"{p} calls {name}; what is printed goes through say" for p in files("cli", ".c") if p not in ("cli/say.c", "cli/pages.c", "cli/page/bytes.c")
              for name in calls(p, ["printf", "fprintf", "puts", "fputs", "putchar", "perror", "fwrite"])]
    assert not wrong, "\n".join(wrong)


def numbers_are_printed_without_the_locale():
    wrong = [p for p in files("lib", ".c") for text in re.findall(r'wm_buf_format\([^;]*?"((?:\\.|[^"\\])*)"', read(p), re.S)
             if re.search(r"%[-+ 0#]*[\d.*]*l?[fFeEgG]", text)]
    assert not wrong, f"wm_buf_format with a floating-point number in {wrong}; use wm_buf_number"


def pages_are_modules_that_parse():
    if not shutil.which("node"):
        return
    for path in files("cli", ".js"):
        done = subprocess.run(["node", "--input-type=module", "--check"], input=read(path), capture_output=True, text=True)
        assert done.returncode == 0, f"{path}: {done.stderr[:400]}"


# --- verbs and options ---

def run(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True, check=True).stdout


def verbs():
    return [line[2:19].strip() for line in run("--help").split("Verbs:\n")[1].split("\n\n")[0].splitlines() if not line.startswith("     ")]


def option_rows():
    return re.findall(r'^    \{ "([\w-]+)", \'(\\?.)\', ', read("cli/options.c"), re.M)


def documented(text):
    return set(re.findall(r"(?<![\w-])--([a-z][\w-]+)", text))


FOREIGN = {"cflags", "libs", "suite", "benchmark", "table"}  # options of other programs in our documents


def documents_name_only_options_that_exist():
    names = {name for name, _ in option_rows()}
    for page in ("README.md", "DEVELOPERS.md"):
        unknown = documented(read(page)) - names - FOREIGN
        assert not unknown, f"{page} names --{', --'.join(sorted(unknown))}"


def every_option_belongs_to_a_verb_and_letters_are_unique():
    rows = option_rows()
    taken = set()
    for verb in verbs():
        page = run(*verb.split(), "--help").split("Usage:")[1]
        own = re.findall(r"^  (?:-(\w), |    )--([\w-]+)", page, re.M)
        letters = [letter for letter, _ in own if letter]
        assert len(letters) == len(set(letters)), f"{verb}: a letter stands for two options"
        taken |= {name for _, name in own}
    equal(taken, [name for name, _ in rows], "options of all verbs against cli/options.c")


def readme_names_every_verb():
    table = section(read("README.md"), "Verbs")
    rows = [line for line in table.splitlines() if line.startswith("| `")]
    for verb in verbs():
        first, *second = verb.split()
        named = [line for line in rows if f"`{verb}" in line or (second and line.startswith(f"| `{first} ") and re.search(f"`{second[0]}[ `]", line))]
        assert named, f"README's table of verbs has no {verb}"
    for row in rows:
        first = row[3:].split("`")[0].split()[0]
        assert first in [v.split()[0] for v in verbs()], f"README's table of verbs has {first}, which is no verb"


def the_man_page_has_every_verb_and_option(man):
    text = man.replace("\\-", "-")
    equal(re.findall(r"^\.SS ([\w ]+?)(?: [A-Z\[].*)?$", text.replace(" \n", "\n"), re.M), verbs(), "verbs of the man page")
    section_text = text.split(".SH OPTIONS")[1].split(".SH EXIT")[0]
    equal(re.findall(r"^\\fB(?:-\w\\fR, \\fB)?--([\w-]+)", section_text, re.M), [n for n, _ in option_rows()], "options of the man page")


# --- exit codes and warnings ---

def exit_codes_agree():
    table = dict(re.findall(r"^    \{ (\d+), \"([^\"]+)\" \},$", read("cli/options.c"), re.M))
    readme = dict(re.findall(r"^\| (\d+) \| (.+?) \|$", section(read("README.md"), "Verbs"), re.M))
    assert table == readme, f"README {readme}\ntable {table}"
    status = {value for name, value in re.findall(r"^\s+(WM_\w+) = (\d+)", read("lib/weftmatch/status.h"), re.M)} - {"71"}
    equal(set(table) - {"1"}, status, "exit codes against wm_status")


def warnings_of_the_code():
    rows = re.findall(r'\[WM_WARN_\w+\] = \{\s*"(\w+)",\s*"([^"]*)",\s*"([^"]*)",\s*"([^"]*)"\s*\}', read("lib/measure/warnings.c"), re.S)
    assert len(rows) == len(re.findall(r"\[WM_WARN_(?!COUNT)", read("lib/measure/warnings.c"))), "a row of warnings.c is written in another way"
    return [f"| `{code}` | {wrong} | {do} | {cost} |" for code, wrong, do, cost in rows]


def readme_has_the_warnings_of_the_code():
    between = read("README.md").split("<!-- warnings")[1].split("<!-- end of warnings -->")[0]
    got = [line for line in between.splitlines() if line.startswith("| `")]
    want = warnings_of_the_code()
    assert got == want, "README's table of warnings is not that of lib/measure/warnings.c; drift.py --warnings prints it"


def a_language_has_no_words_for_a_warning_that_is_gone():
    codes = {row.split("`")[1] for row in warnings_of_the_code()}
    gone = sorted(set(re.findall(r"'warn\.(\w+)'", read("cli/page/de.js"))) - codes)
    assert not gone, f"cli/page/de.js: no warning is called {', '.join(gone)}"


def keys_of(value):
    children = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
    return set(value if isinstance(value, dict) else ()).union(*map(keys_of, children))


def readme_names_every_key_of_a_match_and_no_other():
    """of a match for a client with a visit before and a row, so that nothing is null"""
    sample = [os.path.join(ROOT, "samples", name) for name in ("client.jpg", "client.zones.json", "swatches.csv")]
    with tempfile.TemporaryDirectory() as folder:
        book = os.path.join(folder, "salon.book")
        match = ["match", sample[0], "--zones", sample[1], "--swatches", sample[2], "--book", book, "--client", "Anna Berg", "--arc", "29", "--natural-length", "35",
                 "--color-line", "4", "--json"]
        run("client", "add", "Anna Berg", "--book", book)
        run(*match)
        keys = keys_of(json.loads(run(*match, "--again")))
    outline = read("README.md").split("**JSON**")[1].split("```")[1]
    told = {line.split()[0] for line in outline.splitlines()[1:] if not line.startswith(" ")}
    told |= {word for line in outline.splitlines()[1:] if not line.strip().startswith("targets ") for word in re.findall(r"[a-z]\w+|\bp\b", line[17:].strip().split("   ")[0])}
    equal(keys | {"text"}, told, "keys of match --json against README")  # this match has no warning with its text


# --- public headers ---

def public_headers():
    return [f"weftmatch/{name}" for name in sorted(os.listdir(f"{ROOT}/lib/weftmatch")) if name.endswith(".h")]


def the_public_face_is_one_folder():
    """weftmatch.h includes the others, they include nothing private, and these are what is installed"""
    headers = public_headers()
    equal(re.findall(r'^#include "([^"]+)"', read("lib/weftmatch/weftmatch.h"), re.M), set(headers) - {"weftmatch/weftmatch.h"}, "weftmatch.h")
    assert len(headers) <= 11, f"{len(headers)} public headers: is the face still small?"
    for header in headers:
        private = set(re.findall(r'^\s*#\s*include "([^"]+)"', read("lib/" + header), re.M)) - set(headers)
        assert not private, f"{header} includes {sorted(private)}, which is not installed"
    installed = re.findall(r"'(weftmatch/\w+\.h)'", read("lib/meson.build").split("install_headers(")[1].split(")")[0])
    equal(installed, headers, "headers in lib/meson.build")


def public_structs():
    return {name for h in public_headers() for name in re.findall(r"^typedef struct (wm_\w+) \{", read("lib/" + h), re.M)}


def only_values_and_options_are_open():
    equal(public_structs(), {"wm_error", "wm_lab", "wm_consult_options"}, "structs open in the public headers")
    options = read("lib/weftmatch/consult.h").split("typedef struct wm_consult_options {")[1]
    assert re.match(r"\s*size_t size;", options), "the options don't begin with their size"


def declarations(text):
    """names of the functions that a header declares"""
    return re.findall(r"^(?!static )\w[\w ]*[ *](wm_\w+)\([^;{]*;", without_comments_and_texts(text), re.M)


def a_declaration_stands_once():
    seen = {}
    for header in files("lib", ".h"):
        for name in declarations(read(header)):
            seen.setdefault(name, []).append(header)
    twice = {name: where for name, where in seen.items() if len(where) > 1}
    assert not twice, "\n".join(f"{name}: {where}" for name, where in sorted(twice.items()))


def called_names(path, text):
    """names of the library in a file, but for those that a header only declares"""
    if path.endswith(".h"):
        text = re.sub(r"^(?!static )\w[^\n;{]*\bwm_\w+\([^;{]*;", " ", text, flags=re.M)
    return set(re.findall(r"\b(wm_\w+)\b", text))


def every_public_function_is_called():
    """by the sample program or by a unit test of the face"""
    callers = "samples/example.c tests/unit/test_objects.c tests/unit/test_consultation.c tests/unit/test_rank.c tests/drift/install.py".split()
    called = set().union(*(re.findall(r"\b(wm_\w+)\(", read(p)) for p in callers))
    declared = {name for h in public_headers() for name in declarations(read("lib/" + h))}
    assert declared, "no declaration was found"
    assert not declared - called, f"nothing calls {sorted(declared - called)}"


def uncalled():
    """functions of private headers that only tests call: to be looked through before a release (drift.py --uncalled)"""
    code = {p: without_comments_and_texts(read(p)) for folder in ("lib", "cli") for p in files(folder, ".c", ".h")}
    called = {p: called_names(p, text) for p, text in code.items()}
    for header in files("lib", ".h"):
        own = header[:-2] + ".c"
        for name in [] if header.startswith("lib/weftmatch/") else declarations(read(header)):
            within = len(re.findall(rf"\b{name}\b", code.get(own, ""))) > 1  # more than its definition
            if not within and not any(name in names for p, names in called.items() if p not in (own, header)):
                yield f"{header}: {name}"


# The command line shows everything that the library knows, which is more than a program needs that wants an answer. It is built from the same
# sources and may include these besides the public face; a name is added here with a reason, not in passing.
CLI_MAY_INCLUDE = set("""core/buf.h core/file.h core/json.h core/plain.h core/status.h photo/photo.h photo/profile_make.h measure/zones_file.h
    match/mixing.h match/shades.h match/stack.h match/swatch_out.h match/views.h plan/calendar.h
    report/html.h report/spoken.h report/html_gallery.h report/html_history.h report/json_out.h report/raster.h report/report.h report/text.h book/book.h
    consult/blend_law.h consult/client_file.h consult/compare.h consult/consult.h consult/hand_over.h consult/held_up.h
    consult/finished.h consult/learning.h consult/trend.h consult/noticed.h consult/on_hand.h consult/orders.h consult/pictures.h consult/recheck.h consult/reserved.h consult/settings.h consult/saved.h consult/settle.h book/stock.h consult/repaint.h consult/swatch_add.h consult/swatch_photos.h consult/swatch_put.h""".split())


def the_command_line_includes_what_it_may():
    used = {name for p in files("cli", ".c", ".h") for name in re.findall(r'^#include "([^"]+)"', read(p), re.M) if os.path.exists(f"{ROOT}/lib/{name}")}
    private = used - set(public_headers()) - CLI_MAY_INCLUDE
    assert not private, f"cli includes {sorted(private)}, which is private and not in CLI_MAY_INCLUDE"


def headers_compile_alone(compiler, *standard):
    strict = ["-Wall", "-Wextra", "-Wpedantic", "-Wshadow", "-Wconversion", "-Wundef", "-Werror", "-fsyntax-only", "-I", os.path.join(ROOT, "lib")]
    faults = []
    for header in public_headers():
        done = subprocess.run([compiler, *standard, *strict, "-"], input=f'#include "{header}"\n', capture_output=True, text=True)
        if done.returncode:
            faults.append(f"{header}: {done.stderr.splitlines()[0:3]}")
    assert not faults, "\n".join(faults)


def public_headers_compile_alone_as_c():
    headers_compile_alone("cc", "-std=c11", "-x", "c", "-Wstrict-prototypes")


def public_headers_compile_alone_as_cplusplus():
    headers_compile_alone("c++", "-std=c++17", "-x", "c++")


# --- the tree ---

def no_file_names_a_machine():
    """paths of somebody's machine, and marks of unfinished work"""
    pattern = re.compile(r"(?<![\w.])/(?:root|home|work|Users)/\w|[A-Z]:\\\\Users|\b(?:TO" r"DO|FIX" r"ME|XX" r"X)\b")
    wrong = []
    for path in files(".", ".c", ".h", ".py", ".md", ".sh", ".build", ".js", ".mjs", ".html", ".css", ".json", ".csv", ".txt", ".awk", ".scene"):
        if os.path.basename(path) == "package-lock.json":
            continue
        wrong += [f"{path}:{n}: {line.strip()[:100]}" for n, line in enumerate(read(path).splitlines(), 1) if pattern.search(line)]
    assert not wrong, "\n".join(wrong)


def the_version_stands_in_one_place():
    version = re.search(r"version: '([\d.]+)'", read("meson.build")).group(1)
    assert run("--version").splitlines()[0] == f"weftmatch {version}"
    again = [p for p in files(".", ".c", ".h", ".md", ".py", ".html") if not p.startswith("tests/") and f"weftmatch {version}" in read(p)]
    assert not again, f"the version is written again in {again}"


def main():
    if "--warnings" in sys.argv:
        print("| code | what is wrong | at the chair | what it costs |\n|---|---|---|---|")
        print("\n".join(warnings_of_the_code()))
        return
    if "--uncalled" in sys.argv:
        print("\n".join(uncalled()))
        return
    man = sys.argv[3] if len(sys.argv) > 3 else None
    tests = [the_modules_are_those_of_the_build_and_of_the_folders, the_desk_of_the_table_is_that_of_its_folder, includes_go_up_only, each_library_has_one_user_the_one_named,
             banned_functions_are_absent, numbers_are_printed_without_the_locale, pages_are_modules_that_parse, documents_name_only_options_that_exist,
             every_option_belongs_to_a_verb_and_letters_are_unique, readme_names_every_verb, exit_codes_agree, readme_has_the_warnings_of_the_code, a_language_has_no_words_for_a_warning_that_is_gone,
             readme_names_every_key_of_a_match_and_no_other,
             the_public_face_is_one_folder, only_values_and_options_are_open, a_declaration_stands_once, every_public_function_is_called,
             the_command_line_includes_what_it_may, public_headers_compile_alone_as_c, public_headers_compile_alone_as_cplusplus,
             no_file_names_a_machine, the_version_stands_in_one_place]
    if man:
        def man_page_agrees():
            with open(man, encoding="utf-8") as f:
                the_man_page_has_every_verb_and_option(f.read())
        tests.append(man_page_agrees)
    failed = 0
    for n, test in enumerate(tests, 1):
        try:
            test()
            print(f"ok {n} - {test.__name__.replace('_', ' ')}")
        except AssertionError as e:
            failed = 1
            print(f"not ok {n} - {test.__name__.replace('_', ' ')}")
            print("\n".join(f"#   {line}" for line in str(e).splitlines()))
    print(f"1..{len(tests)}")
    sys.exit(failed)


if __name__ == "__main__":
    main()
