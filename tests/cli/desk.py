"""weftmatch desk as a program: who is let in, what is refused, what is left behind. Requests are written by hand, byte for byte.

Usage: desk.py WEFTMATCH WM_RENDER"""
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time

from support import Bench, expect

JSON = "application/json"


class Desk:
    """A desk on a book of its own, asked as its page asks."""

    def __init__(self, bench, *words, opens=None):
        self.bench = bench
        if not opens:
            words = ("--no-open", *words)
        self.process = subprocess.Popen([bench.program, "desk", *words], cwd=bench.folder,
                                        env=bench.environment(SOURCE_DATE_EPOCH=None, **(opens or {})), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.address = self.process.stdout.readline().decode().strip()
        if not self.address:
            raise AssertionError(f"no address: {self.process.stderr.read().decode()}")
        self.port = int(self.address.split(":")[2].split("/")[0])
        self.host = f"127.0.0.1:{self.port}"
        status, headers, _ = self.raw("GET", self.address.split(self.host)[1], {"Host": self.host})
        expect(status, 303, "the token")
        self.cookie = headers["Set-Cookie"].split(";")[0]

    def raw(self, method, path, headers, body=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in headers.items():
            connection.putheader(name, value)
        if body is not None and "Content-Length" not in headers:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, answer.headers, content

    def own(self, **changes):
        headers = {"Host": self.host, "Origin": f"http://{self.host}", "Cookie": self.cookie}
        headers.update({name.replace("_", "-"): value for name, value in changes.items()})
        return {name: value for name, value in headers.items() if value is not None}

    def ask(self, method, path, value=None, expected=200, **headers):
        body = None if value is None else value if isinstance(value, bytes) else json.dumps(value).encode()
        if body is not None:
            headers.setdefault("Content_Type", JSON)
        status, _, content = self.raw(method, path, self.own(**headers), body)
        expect(status, expected, f"{method} {path}: {content[:200]!r}")
        return json.loads(content) if content[:1] in b"{[" else content

    def photo(self, name="client.jpg"):
        return self.ask("POST", f"/photos?name={name}", self.bench.read(name), Content_Type="application/octet-stream")

    def end(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        self.process.wait(300)
        self.said = self.process.stderr.read().decode()
        self.process.stdout.close()
        self.process.stderr.close()
        return self.process.returncode


def question(bench, **more):
    return {"zones": bench.read("client.zones.json").decode(), "wishes": {"arc": ["29"], "natural-length": "35"}, **more}


def refused(desk, status, words, method="GET", path="/clients", body=None, **headers):
    got, _, content = desk.raw(method, path, desk.own(**headers), body)
    expect(got, status, f"{method} {path} {headers}")
    text = json.loads(content)["error"]["text"]
    if words not in text or "\n" in text:
        raise AssertionError(f"{text!r} has no {words!r}")


def only_its_own_page_is_answered(bench):
    """without cookie, with another's, another Host, another Origin, fetched by another site: 403 in one line"""
    desk = Desk(bench)
    refused(desk, 403, "has not been let in", Cookie=None)
    refused(desk, 403, "has not been let in", Cookie=desk.cookie[:-1] + ("0" if desk.cookie[-1] != "0" else "1"))
    refused(desk, 403, "has not been let in", Cookie=desk.cookie + "0")
    refused(desk, 403, "has not been let in", path="/", Cookie=None)
    refused(desk, 403, "has not been let in", path="/desk/page/main.js", Cookie=None)
    refused(desk, 403, "has not been let in", path="/?token=" + "0" * 64, Cookie=None)
    for host in ("salon.example", f"salon.example:{desk.port}", "127.0.0.1", f"127.0.0.1:{desk.port}.salon.example", None):
        refused(desk, 403, "answers to 127.0.0.1", Host=host)
    write = {"method": "POST", "body": b"{}", "Content_Type": JSON}
    for origin in ("http://salon.example", f"https://{desk.host}", "null", f"http://localhost:{desk.port}", None):
        refused(desk, 403, "own page may change", Origin=origin, **write)
    refused(desk, 403, "another site may not read", Sec_Fetch_Site="cross-site")
    refused(desk, 403, "another site may not read", Sec_Fetch_Site="same-site")
    for name in ("localhost", "[::1]"):
        host = f"{name}:{desk.port}"
        expect(desk.raw("GET", "/clients", desk.own(Host=host))[0], 200, host)
    expect(desk.end(), 0)


def the_browser_is_opened_with_a_ticket(bench):
    """what others on the machine can see in the list of processes lets in once; each start makes one of its own, by a clock that nobody sets back"""
    opener = "bin/xdg-open"
    bench.write(opener, '#!/bin/sh\necho "$1" >>opened\n')
    os.chmod(bench.path(opener), 0o755)
    env = {"DISPLAY": ":7", "PATH": bench.path("bin") + ":" + os.environ["PATH"]}

    def opened(n):
        until = time.monotonic() + 60
        while not os.path.exists(bench.path("opened")) or bench.read("opened").count(b"\n") < n:
            expect(time.monotonic() < until, True, "the browser is opened")
            time.sleep(0.02)
        return bench.read("opened").decode().splitlines()[n - 1]
    def made(address):
        return address.split("token=")[1][64:]
    begun = time.monotonic_ns()
    desk = Desk(bench, opens=env)
    second = bench.run("desk", env=env)
    expect((second.returncode, second.stdout.decode().strip()), (0, desk.address))
    tickets = sorted((opened(1), opened(2)), key=lambda address: int(made(address)))
    token = desk.address.split("token=")[1]
    for address in tickets:
        path, host = address.split(desk.host)[1], {"Host": desk.host}
        expect(token in address, False, "the token is not shown")
        expect(begun < int(made(address)) < time.monotonic_ns(), True, "made by the clock that runs since the machine started")
        for wrong in (path[:-1] + ("0" if path[-1] != "0" else "1"), path + "0", path[:-len(made(address))],
                      path.replace(path.split("token=")[1], "0" * 64 + made(address))):
            refused(desk, 403, "has not been let in", path=wrong, Cookie=None)
        expect(desk.raw("GET", path, host)[0], 303, "once")
        expect(desk.raw("GET", path, host)[0], 403, "and not twice")
        expect(desk.raw("GET", path, desk.own())[0], 200, "unless the browser has been let in")
    refused(desk, 403, "has not been let in", path=tickets[0].split(desk.host)[1], Cookie=None)
    expect(desk.raw("GET", desk.address.split(desk.host)[1], {"Host": desk.host})[0], 303, "the token stays")
    bench.remove("opened")
    desk.end()


def every_answer_has_its_headers(bench):
    """nothing may be loaded from elsewhere, framed, sniffed, kept; the cookie is out of reach of scripts"""
    desk = Desk(bench)
    _, first, _ = desk.raw("GET", desk.address.split(desk.host)[1], {"Host": desk.host})
    for flag in ("HttpOnly", "SameSite=Strict", "Path=/"):
        if flag not in first["Set-Cookie"]:
            raise AssertionError(f"{flag} is missing")
    expect(first["Location"], "/")
    for path, own in (("/", {}), ("/clients", {}), ("/clients", {"Cookie": None}), ("/nothing", {})):
        _, headers, _ = desk.raw("GET", path, desk.own(**own))
        for name, words in (("Content-Security-Policy", "default-src 'none'"), ("Content-Security-Policy", "frame-ancestors 'none'"),
                            ("X-Content-Type-Options", "nosniff"), ("Referrer-Policy", "no-referrer"), ("Cache-Control", "no-store")):
            if words not in headers[name]:
                raise AssertionError(f"{path}: {name} is {headers[name]}")
        if "unsafe" in headers["Content-Security-Policy"]:
            raise AssertionError(headers["Content-Security-Policy"])
    desk.end()


def bodies_have_kinds_and_limits(bench):
    """oversized, of another kind, broken: 413, 415, 400; nothing is made"""
    desk = Desk(bench)
    post = {"method": "POST", "path": "/clients"}
    refused(desk, 415, "another kind", body=b"{}", Content_Type="text/plain", **post)
    refused(desk, 415, "another kind", body=b"{}", **post)
    refused(desk, 413, "too large", body=b"", Content_Type=JSON, Content_Length=str(1 << 40), **post)
    refused(desk, 413, "max_file_mib", method="POST", path="/photos", body=b"", Content_Type="application/octet-stream", Content_Length=str(1 << 40))
    for body in (b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"name":1}', b'{"name":"\xff"}', b"[" * 50000):
        status = desk.raw("POST", "/clients", desk.own(Content_Type=JSON), body)[0]
        expect(status, 400, repr(body[:20]))
    refused(desk, 404, "nothing at this address", path="/nothing")
    refused(desk, 404, "nothing at this address", path="/clients/0")
    refused(desk, 404, "nothing at this address", path="/clients/1/")
    refused(desk, 404, "nothing at this address", path="/../../etc/passwd")
    refused(desk, 405, "does not do that", method="DELETE", path="/clients")
    refused(desk, 422, "", method="POST", path="/photos?name=x.jpg", body=b"not a photo", Content_Type="application/octet-stream")
    for given, name in (("..%2F..%2Fetc%2Fpasswd", "passwd"), ("%E2%80%AEgpj.exe", "gpj.exe"), ("%1B%5B2Ja.jpg", "[2Ja.jpg"), ("..", "photo"), ("%E2%80%AE", "photo")):
        status, _, body = desk.raw("POST", f"/photos?name={given}", desk.own(Content_Type="application/octet-stream"), bench.read("client.jpg"))
        expect((status, json.loads(body)["file"]), (200, name))
    if os.path.exists(bench.path("salon.book")):
        raise AssertionError("a refused request made a book")
    desk.end()


def slow_and_broken_senders_hold_up_nobody(bench):
    """half a header, half a body, nothing at all; meanwhile the desk answers"""
    desk = Desk(bench)
    half = (b"", b"GET /clients HTTP/1.1\r\nHost: ", b"GARBAGE\r\n\r\n", b"\x16\x03\x01\x02\x00\x01",
            (f"POST /clients HTTP/1.1\r\nHost: {desk.host}\r\nOrigin: http://{desk.host}\r\nCookie: {desk.cookie}\r\n"
             f"Content-Type: {JSON}\r\nContent-Length: 100\r\n\r\n{{").encode(),
            (f"POST /clients HTTP/1.1\r\nHost: {desk.host}\r\nOrigin: http://{desk.host}\r\nCookie: {desk.cookie}\r\n"
             f"Content-Type: {JSON}\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n").encode(),
            b"GET /" + b"a" * 100000 + b" HTTP/1.1\r\n\r\n")
    held = []
    for start in half:
        s = socket.create_connection(("127.0.0.1", desk.port))
        s.sendall(start)
        held.append(s)
    before = time.monotonic()
    desk.ask("GET", "/clients")
    if time.monotonic() - before > 15:  # their time is 20 s
        raise AssertionError("the desk waited for them")
    chunks = b"".join(b"8000\r\n" + b" " * 0x8000 + b"\r\n" for _ in range(8))
    s = socket.create_connection(("127.0.0.1", desk.port))
    s.sendall(f"POST /clients HTTP/1.1\r\nHost: {desk.host}\r\nOrigin: http://{desk.host}\r\nCookie: {desk.cookie}\r\n"
              f"Content-Type: {JSON}\r\nTransfer-Encoding: chunked\r\n\r\n".encode())
    try:
        s.sendall(chunks)
        s.settimeout(20)
        expect(s.recv(100), b"", "a body without a length, over the limit")
    except (ConnectionResetError, BrokenPipeError):
        pass
    desk.ask("GET", "/clients")
    held += [socket.create_connection(("127.0.0.1", desk.port)) for _ in range(300)]  # more than it has room for
    settled = time.monotonic() + 15
    while True:
        try:
            desk.ask("GET", "/clients")
            break
        except (ConnectionError, http.client.HTTPException):  # while the crowd is sent away
            expect(time.monotonic() < settled, True, "the desk answers in spite of 300 connections")
            time.sleep(0.05)
    for s in held:
        s.close()
    expect(desk.end(), 0)


def from_photo_to_saved_visit(bench):
    """photo, match, client, save, what was done, papers; saved is what was shown"""
    desk = Desk(bench)
    client = desk.ask("POST", "/clients", {"name": "Anna Berg"})["id"]
    photo = desk.photo()["id"]
    answer = desk.ask("POST", f"/photos/{photo}/match", question(bench, client=client))
    later = desk.ask("POST", f"/photos/{photo}/match", question(bench))  # as a second tab may ask before the first has saved
    expect(later["shown"] != answer["shown"], True, "another question")
    saved = desk.ask("POST", "/visits", question(bench, client=client, photo=photo, shown=answer["shown"]))
    visit = desk.ask("GET", f"/visits/{saved['id']}")
    expect(visit["report"], answer["report"], "the report saved and the one shown")
    expect(answer["report"]["context"]["client"], "Anna Berg")
    stale = question(bench, client=client, photo=photo, shown="0" * 64)
    desk.ask("POST", "/visits", stale, expected=409)
    desk.ask("POST", "/visits", question(bench, photo=photo, shown=answer["shown"]), expected=409)
    desk.ask("PATCH", f"/visits/{saved['id']}", {"note": "sat well", "charged": "540"})
    expect(desk.ask("GET", f"/visits/{saved['id']}")["charged_minor"], 54000)
    desk.ask("PATCH", f"/visits/{saved['id']}", {"charged": "a lot"}, expected=400)
    for odd in ("turned \u202e round", "\x1b[2J", "two\nlines", "x" * 5000):
        for key in ("why", "note"):
            desk.ask("PATCH", f"/visits/{saved['id']}", {key: odd}, expected=400)
    if b"<html" not in desk.ask("GET", f"/visits/{saved['id']}/report.html"):
        raise AssertionError("no report")
    if b"<html" not in desk.ask("GET", f"/visits/{saved['id']}/client.html"):
        raise AssertionError("no page for the client")
    if b"BEGIN:VCALENDAR" not in desk.ask("GET", f"/visits/{saved['id']}/plan.ics"):
        raise AssertionError("no calendar")
    expect(desk.ask("GET", f"/visits/{saved['id']}/photo.jpg")[:2], b"\xff\xd8")
    again = bench.good("report", "--visit", str(saved["id"]), "--json", code=(0, 1))
    expect(json.loads(again), answer["report"], "the command line and the desk")
    desk.ask("POST", "/photos/99/match", question(bench), expected=422)
    desk.ask("POST", f"/photos/{photo}/match", {"zones": "{", "wishes": {}}, expected=422)
    desk.ask("POST", f"/photos/{photo}/match", question(bench, wishes={"html": "/tmp/x"}), expected=400)
    desk.ask("POST", f"/photos/{photo}/match", question(bench, wishes={"worn": "sideways"}), expected=400)
    desk.end()


def photo_after_and_measured_anew(bench):
    """a photo after: looked at, kept; a visit measured anew from its photo; wrong ones refused"""
    desk = Desk(bench)
    client = desk.ask("POST", "/clients", {"name": "Anna Berg"})["id"]
    photo = desk.photo()["id"]
    answer = desk.ask("POST", f"/photos/{photo}/match", question(bench, client=client))
    saved = desk.ask("POST", "/visits", question(bench, client=client, photo=photo, shown=answer["shown"]))
    desk.ask("PATCH", f"/visits/{saved['id']}", {"note": "sat well", "charged": "540"})
    after = f"/visits/{saved['id']}/after"
    looked = desk.ask("POST", after, {"photo": photo, "zones": question(bench)["zones"], "worn": "up"})
    expect([z["worn"] for z in looked["finished"]], ["up"] * len(looked["finished"]), "measured as worn up")
    expect(desk.ask("GET", f"/visits/{saved['id']}")["finished"], [], "looking keeps nothing")
    for wrong, status in [({"photo": photo, "worn": "sideways"}, 400), ({"photo": 999, "worn": "up"}, 422), ({"photo": photo, "zones": "[", "worn": "up"}, 422)]:
        desk.ask("POST", after, wrong, expected=status)
    desk.ask("POST", "/visits/999/after", {"photo": photo, "save": True}, expected=409)
    desk.ask("POST", after, {"photo": photo, "save": True})
    expect(desk.ask("GET", f"/visits/{saved['id']}")["after"], True, "without marks the photo alone is kept")
    anew = desk.ask("POST", f"/photos/{photo}/match", {**question(bench), "instead_of": saved["id"]})
    expect([n["code"] for n in anew["noticed"] if n["code"] == "same_photo"], [], "the same photo is no slip here")
    expect(desk.ask("POST", "/visits", {**question(bench), "instead_of": saved["id"], "photo": photo, "shown": anew["shown"]})["id"], saved["id"])
    expect(desk.ask("GET", f"/visits/{saved['id']}")["charged_minor"], 54000, "the price stays")
    desk.ask("POST", f"/photos/{photo}/match", {**question(bench), "instead_of": 999}, expected=409)
    expect(desk.end(), 0)


def what_was_done_can_be_put_right(bench):
    """a client renamed, a visit moved to another file and deleted; each taken back by undo"""
    desk = Desk(bench)
    anna, zoe = (desk.ask("POST", "/clients", {"name": name})["id"] for name in ("Anna Berg", "Zoë Lindqvist"))
    for part, found in (("zoe%20lind", [zoe]), ("N", [anna, zoe]), ("nobody", []), ("", [anna, zoe])):
        expect([c["id"] for c in desk.ask("GET", f"/clients?q={part}")["clients"]], found, part)
    photo = desk.photo()["id"]
    shown = desk.ask("POST", f"/photos/{photo}/match", question(bench, client=anna))["shown"]
    visit = desk.ask("POST", "/visits", question(bench, client=anna, photo=photo, shown=shown))["id"]
    desk.ask("POST", f"/visits/{visit}/move", {"client": zoe})
    expect(len(desk.ask("GET", f"/clients/{zoe}/visits")["visits"]), 1, "moved")
    expect(desk.ask("GET", f"/visits/{visit}")["report"]["context"]["client"], "Zoë Lindqvist")
    desk.ask("DELETE", f"/visits/{visit}")
    expect(len(desk.ask("GET", f"/clients/{zoe}/visits")["visits"]), 0, "deleted")
    desk.ask("POST", "/undo", {})
    expect(len(desk.ask("GET", f"/clients/{zoe}/visits")["visits"]), 1, "deletion taken back")
    desk.ask("POST", "/undo", {})
    expect(len(desk.ask("GET", f"/clients/{anna}/visits")["visits"]), 1, "move taken back")
    desk.ask("PATCH", f"/clients/{anna}", {"name": "Anna Bergmann", "note": "mornings"})
    expect(desk.ask("GET", f"/clients/{anna}")["name"], "Anna Bergmann")
    desk.ask("PATCH", f"/clients/{anna}", {"name": "zoë Lindqvist"}, expected=409)
    exported = desk.ask("GET", f"/clients/{anna}/export.json")
    expect((exported["name"], len(exported["visits"])), ("Anna Bergmann", 1), "her file")
    desk.ask("PATCH", f"/clients/{anna}", {"into": zoe})
    expect(len(desk.ask("GET", f"/clients/{zoe}/visits")["visits"]), 1, "put together")
    desk.ask("POST", "/undo", {})
    expect(len(desk.ask("GET", f"/clients/{anna}/visits")["visits"]), 1, "taken back")
    desk.ask("DELETE", f"/clients/{anna}")
    desk.ask("GET", f"/clients/{anna}", expected=409)
    desk.ask("GET", f"/clients/{anna}/export.json", expected=409)
    desk.end()


def what_is_odd_is_said_before_it_is_kept(bench):
    """the photo is a visit already: said with the whole answer, refused, saved when that is said; the day can be put right"""
    desk = Desk(bench)
    anna = desk.ask("POST", "/clients", {"name": "Anna Berg"})["id"]
    photo = desk.photo()["id"]
    ask = lambda **more: desk.ask("POST", f"/photos/{photo}/match", question(bench, client=anna, **more))
    first = ask()
    expect([n for n in first["noticed"] if n["code"] == "same_photo"], [])
    visit = desk.ask("POST", "/visits", question(bench, client=anna, photo=photo, shown=first["shown"]))["id"]
    expect(ask(live=True)["noticed"], [], "while she marks")
    again = ask()
    expect([n["text"] for n in again["noticed"] if n["code"] == "same_photo"], [f"this photo is visit {visit} of Anna Berg already"])
    save = question(bench, client=anna, photo=photo, shown=again["shown"])
    desk.ask("POST", "/visits", save, expected=409)
    desk.ask("POST", "/visits", {**save, "again": True})
    desk.ask("PATCH", f"/visits/{visit}", {"at": "2026-02-30"}, expected=400)
    desk.ask("PATCH", f"/visits/{visit}", {"at": "2026-02-28"})
    expect(desk.ask("GET", f"/visits/{visit}")["at"], "2026-02-28")
    desk.end()


def what_was_ordered_arrives(bench):
    """packs that came are in stock at once, and are taken back by undo"""
    desk = Desk(bench)
    anna = desk.ask("POST", "/clients", {"name": "Anna Berg"})["id"]
    photo = desk.photo()["id"]
    before = bench.read("swatches.csv")
    bench.write("swatches.csv", re.sub(rb"(?m)^((?:[^,\n]*,){13})\d+,", rb"\g<1>0,", before))
    shown = desk.ask("POST", f"/photos/{photo}/match", question(bench, client=anna))["shown"]
    desk.ask("POST", "/visits", question(bench, client=anna, photo=photo, shown=shown))
    orders = desk.ask("GET", "/orders")["orders"]
    expect(len(orders) > 0 and all(line["for"] == "Anna Berg" for line in orders), True, "something to order")
    in_stock = {"arc": ["29"], "natural-length": "35", "in-stock": True}
    proposed = lambda **who: desk.ask("POST", f"/photos/{photo}/match", question(bench, wishes=in_stock, **who))["report"]["proposals"]
    expect((proposed(), proposed(client=anna)), ([], []), "nothing is in stock")
    for line in orders:
        desk.ask("POST", "/stock", {"code": line["code"], "length_cm": line["length_cm"], "packs": line["order"]})
    expect(desk.ask("GET", "/orders")["orders"], [])
    expect((proposed(), len(proposed(client=anna)) > 0), ([], True), "what came is reserved for her")
    to_order = lambda **more: sum(w["packs_to_order"] for w in desk.ask("POST", f"/photos/{photo}/match", question(bench, **more))["report"]["plan"]["wefts"])
    expect((to_order(live=True), to_order() > 0, to_order(client=anna)), (0, True, 0), "while she marks, whose packs they are is not looked up")
    expect(proposed(live=True), [], "but where shades hang on it")
    for line in orders:
        desk.ask("POST", "/stock", {"code": line["code"], "length_cm": line["length_cm"], "packs": line["order"]})
    expect(len(proposed()) > 0, True, "what came beyond that is in stock for the next client too")
    for _ in orders:
        desk.ask("POST", "/undo", {})
    for _ in orders:
        desk.ask("POST", "/undo", {})
    expect(desk.ask("GET", "/orders")["orders"], orders)
    desk.ask("POST", "/stock", {"code": "none", "packs": 1}, expected=422)
    desk.ask("POST", "/stock", {"code": orders[0]["code"], "packs": 0}, expected=400)
    bench.write("swatches.csv", before)
    desk.end()


def at_a_move_up_she_pays_for_a_move_up(bench):
    """what she wears is known to the desk as it is to match: the same plan and quote; the list says what she wears and when she comes"""
    match = ("match", "client.jpg", "--zones", "client.zones.json", "--arc", "29", "--natural-length", "35", "--client", "Anna Berg", "--again")
    bench.good("client", "add", "Anna Berg")
    bench.good("salon", "set", "row_fee=180", "moveup_fee=90")
    bench.good(*match, "--date", "2026-02-01", code=(0, 1))
    bench.good("visit", "set", "1", "--installed", "loam,clay,loam")
    bench.good(*match, "--date", "2026-02-20", code=(0, 1))
    bench.good("visit", "set", "2", "--kind", "consultation")
    plan = json.loads(bench.good(*match, "--no-save", "--json", code=(0, 1)))["plan"]
    desk = Desk(bench)
    photo = desk.photo()["id"]
    expect(desk.ask("POST", f"/photos/{photo}/match", question(bench, client=1))["report"]["plan"]["quote"]["lines"], plan["quote"]["lines"])
    first = desk.ask("POST", f"/photos/{photo}/match", question(bench))["report"]["plan"]
    expect(first["quote"]["lines"] != plan["quote"]["lines"], True, "an installation costs something else")
    last = desk.ask("GET", "/clients")["clients"][0]["last"]
    expect(last, {"id": 2, "at": "2026-02-20", "installed": "loam,clay,loam", "sewn": ["clay", "loam"], "next": "2026-03-15"})
    expect(desk.ask("GET", "/clients/1")["last"], last)
    desk.end()


def a_live_answer_is_short(bench):
    """while she marks, the beginning of each list; whole, all of it"""
    desk = Desk(bench)
    before = bench.read("swatches.csv")
    head, *rows = before.decode().splitlines()
    bench.write("swatches.csv", "\n".join([head, *rows] + [f"w{i}-{j}{row[row.index(','):]}" for i in range(5) for j, row in enumerate(rows[:20])]).encode() + b"\n")
    photo = desk.photo()["id"]
    sizes = [len(json.dumps(desk.ask("POST", f"/photos/{photo}/match", question(bench, live=live)))) for live in (True, False)]
    bench.write("swatches.csv", before)
    expect(sizes[0] < 0.4 * sizes[1], True, f"{sizes[0]} bytes live, {sizes[1]} whole")
    desk.end()


def the_catalogue_is_not_overwritten_by_an_older_page(bench):
    """two tabs: the second is told; a bad cell is named with its line; nothing is lost"""
    desk = Desk(bench)
    first = desk.ask("GET", "/catalogue")
    before = bench.read("swatches.csv")
    desk.ask("PUT", "/catalogue", {"csv": first["csv"], "base": first["base"]})
    desk.ask("PUT", "/catalogue", {"csv": "code,L,a,b\nx,50,0\n", "base": desk.ask("GET", "/catalogue")["base"]}, expected=422)
    desk.ask("PUT", "/catalogue", {"csv": "code,L,a,b\nx,50,0,0\n", "base": "0" * 64}, expected=409)
    expect(len(bench.read("swatches.csv").splitlines()), len(before.splitlines()))
    desk.end()


def one_desk_a_book(bench):
    """a second start says the address of the first; a crash leaves nothing in the way of the next start, and no photo"""
    desk = Desk(bench)
    second = bench.run("desk", "--no-open")
    expect((second.returncode, second.stdout.decode().strip()), (0, desk.address))
    expect(os.stat(bench.path("salon.book.desk")).st_mode & 0o777, 0o600, "mode of the address")
    before = bench.state()
    desk.photo()
    expect(bench.state(), before, "a photo in work on the disk")
    desk.process.kill()
    desk.end(signal.SIGKILL)
    desk = Desk(bench)
    expect(desk.end(signal.SIGINT), 0)


def a_request_in_flight_ends_first(bench):
    """SIGTERM when a match has been let in: the rest of it is read, it is answered to the last byte, then the desk ends"""
    desk = Desk(bench)
    photo = desk.photo()["id"]
    body = json.dumps(question(bench)).encode()
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=300)
    connection.putrequest("POST", f"/photos/{photo}/match", skip_host=True)
    for name, value in desk.own(Content_Type=JSON, Content_Length=str(len(body)), Expect="100-continue").items():
        connection.putheader(name, value)
    connection.endheaders()
    let_in = b"HTTP/1.1 100 Continue\r\n\r\n"
    expect(connection.sock.recv(len(let_in), socket.MSG_WAITALL), let_in)
    desk.process.send_signal(signal.SIGTERM)
    connection.send(body)
    answer = connection.getresponse()
    expect(answer.status, 200)
    json.loads(answer.read())
    expect(desk.end(), 0)


def a_sender_who_stops_half_way_holds_up_no_end(bench):
    """SIGTERM while half a body has come and no more does"""
    desk = Desk(bench)
    with socket.create_connection(("127.0.0.1", desk.port)) as half:
        half.sendall(f"POST /clients HTTP/1.1\r\nHost: {desk.host}\r\nOrigin: http://{desk.host}\r\nCookie: {desk.cookie}\r\n"
                     f"Content-Type: {JSON}\r\nContent-Length: 100\r\n\r\n{{".encode())
        desk.ask("GET", "/clients")
        before = time.monotonic()
        expect(desk.end(), 0)
        expect(time.monotonic() - before < 15, True, "it waits for two seconds, not for twenty")


def photos_arrive_by_themselves(bench):
    """--photos: a new file is told by an event and opened by its name; no other file is"""
    os.makedirs(bench.path("phone"))
    desk = Desk(bench, "--photos", "phone")
    stream = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=300)
    stream.request("GET", "/events", headers=desk.own())
    answer = stream.getresponse()
    expect(answer.headers["Content-Type"], "text/event-stream")
    bench.write("phone/new.jpg", bench.read("client.jpg"))
    seen = b""
    while b"event: photos" not in seen:
        seen += answer.readline()
    expect([p["name"] for p in desk.ask("GET", "/photos")["photos"]], ["new.jpg"])
    expect(desk.ask("POST", "/photos/folder", {"name": "new.jpg"})["file"], "new.jpg")
    for name in ("../client.jpg", "/etc/passwd", "none.jpg", ".hidden.jpg", ""):
        desk.ask("POST", "/photos/folder", {"name": name}, expected=422)
    expect(desk.end(), 0)
    stream.close()


def bad_starts_are_told(bench):
    """a port that is none or taken, a folder that is none: exit status and one line"""
    taken = socket.socket()
    taken.bind(("127.0.0.1", 0))
    taken.listen()
    for words, code in ((("--port", "0"), 2), (("--port", "99999"), 2), (("--port", str(taken.getsockname()[1])), 6), (("--photos", "nowhere"), 2)):
        done = bench.run("desk", "--no-open", *words)
        expect((done.returncode, done.stderr.count(b"\n")), (code, 1), f"{words} {done.stderr.decode()}")
    bench.write("broken.book", "no book")
    expect(bench.run("desk", "--no-open", "--book", "broken.book").returncode, 5)


def run(bench):
    for test in (only_its_own_page_is_answered, the_browser_is_opened_with_a_ticket, every_answer_has_its_headers, bodies_have_kinds_and_limits, slow_and_broken_senders_hold_up_nobody,
                 from_photo_to_saved_visit, photo_after_and_measured_anew, what_was_done_can_be_put_right, what_is_odd_is_said_before_it_is_kept, what_was_ordered_arrives, at_a_move_up_she_pays_for_a_move_up, a_live_answer_is_short,
                 the_catalogue_is_not_overwritten_by_an_older_page, one_desk_a_book, a_request_in_flight_ends_first,
                 a_sender_who_stops_half_way_holds_up_no_end,
                 photos_arrive_by_themselves, bad_starts_are_told):
        bench.check(test)
    bench.end()


class Fresh(Bench):
    """One rendered client for all tests; each gets a book of its own."""

    def check(self, test):
        for name in os.listdir(self.folder):
            if name.startswith("salon.book") and not os.path.isdir(self.path(name)):
                os.remove(self.path(name))
        super().check(test)


run(Fresh(sys.argv[1], sys.argv[2]))
