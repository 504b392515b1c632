"""Stock, orders and what the coming visits need. Clients, suppliers and counts are invented.

Usage: stock.py WEFTMATCH WM_RENDER"""
import csv
import io
import json
import re
import sys

from support import Bench, expect

PIECES, WIDTH = 2, 20  # of a pack; cm


def salon(bench, stock=1):
    """A new book and catalogue."""
    for name in ("stock.book", "stock.book-wal", "stock.book-shm"):
        bench.remove(name)
    shades(bench, stock)


def shades(bench, stock):
    """The scene's shades in packs of two pieces of 20 cm, every second from Halm and Sons."""
    rows = list(csv.DictReader(bench.read("swatches.csv").decode().splitlines()))
    for i, row in enumerate(rows):
        row.update(length_cm=50, pieces_per_pack=PIECES, piece_width_cm=WIDTH, pack_price="120.50", stock=stock, supplier="Halm and Sons" if i % 2 else "")
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    bench.write("shades.csv", out.getvalue())


def run(bench, *words, code=0):
    return bench.good(*words, "--book", "stock.book", code=code)


def visit(bench, name, day, *rows):
    bench.run("client", "add", name, "--book", "stock.book")
    run(bench, "match", "client.jpg", "--zones", "client.zones.json", "--again", "--swatches", "shades.csv", "--client", name, "--date", day,
        *(rows or ("--arc", "29")), code=(0, 1))


def orders(bench, day="2026-04-01"):
    return json.loads(run(bench, "orders", "--json", "--date", day, "--swatches", "shades.csv"))


def an_installation_is_ordered_in_time(bench):
    """orders: packs of the plan less those in stock, by the day agreed less order_days; who comes first is served first"""
    salon(bench, stock=0)
    visit(bench, "Anna Berg", "2026-03-31")
    visit(bench, "Bea Falk", "2026-03-31")
    shades(bench, stock=1)
    expect([(v["kind"], v["due"], v["late"]) for v in orders(bench)["visits"]], 2 * [("installation", None, False)])
    run(bench, "client", "coming", "bea", "2026-04-20")
    run(bench, "client", "coming", "anna", "2026-04-11")
    told = orders(bench)
    expect([(v["name"], v["due"], v["agreed"]) for v in told["visits"]], [("Anna Berg", "2026-04-11", True), ("Bea Falk", "2026-04-20", True)])
    first, second = ({w["code"]: (w["packs"], w["order"]) for w in v["wefts"]} for v in told["visits"])
    expect(all(order == packs - 1 for packs, order in first.values()), True, first)  # the one in stock goes to Anna
    expect(all(order == packs for packs, order in second.values()), True, second)
    for line in told["orders"]:
        packs = first[line["code"]][0]
        expect((line["needed"], line["stock"], line["order"], line["late"]), (2 * packs, 1, 2 * packs - 1, packs > 1 and False))
        expect(line["by"], "2026-04-01" if packs > 1 else "2026-04-10")  # ten days before who lacks it first
        expect(line["for"], "Anna Berg, Bea Falk")
    expect(len(told["orders"]), len(first))
    text = run(bench, "orders", "--date", "2026-04-15", "--swatches", "shades.csv")
    expect("that is past: order today" in text, True, text)


def a_move_up_reuses_what_is_not_worn_out(bench):
    """orders: at a move-up the wefts are sewn on again; a client who has not come for 12 weeks is not waited for"""
    salon(bench, stock=0)
    visit(bench, "Anna Berg", "2026-03-31")
    code = orders(bench)["visits"][0]["wefts"][0]["code"]
    run(bench, "visit", "set", "1", "--installed", code, "--swatches", "shades.csv")
    told = orders(bench)
    expect([(v["kind"], v["due"], v["agreed"]) for v in told["visits"]], [("move-up", "2026-05-12", False)])
    expect([(w["code"], w["again"], w["worn"]) for w in told["visits"][0]["wefts"]], [(code, True, 1)])
    expect(told["orders"], [])
    run(bench, "salon", "set", "weft_visits=1")
    told = orders(bench)
    expect([w["again"] for w in told["visits"][0]["wefts"]], [False])
    expect([(line["code"], line["by"]) for line in told["orders"]], [(code, "2026-05-02")])
    told = orders(bench, "2026-09-01")
    expect((told["visits"], told["lapsed"]), ([], 1))
    run(bench, "visit", "set", "1", "--kind", "removal", "--swatches", "shades.csv")
    told = orders(bench)
    expect((told["visits"], told["lapsed"]), ([], 0))


def stock(bench):
    """The list in parts: {code: (on hand, reserved, free)}, cut lengths [(code, cm, lot)]."""
    text = run(bench, "stock", "list", "--swatches", "shades.csv")
    packs = {w[0]: tuple(w[3:6]) for w in map(str.split, text.split("\n\n")[0].splitlines()[1:])}
    cuts = re.findall(r"^ *\d+  ([^,]+), ([\d.]+) cm wide, 50.0 cm long(?:, lot ([^,]+))?", text, re.M)
    return packs, [(code, float(cm), lot) for code, cm, lot in cuts]


def installed(bench, visit_id, *codes, words=(), code=0):
    return run(bench, "visit", "set", str(visit_id), "--installed", ",".join(codes), "--swatches", "shades.csv", *words, code=code)


def packs_are_taken_and_come_back_as_cut_lengths(bench):
    """visit set --installed: two layers of a 24 cm row take two packs of 2 x 20 cm; the rests lie ready and serve the next client; undo and removal give all back"""
    salon(bench, stock=5)
    visit(bench, "Anna Berg", "2026-03-31")
    code = orders(bench)["visits"][0]["wefts"][0]["code"]
    installed(bench, 1, code, code, words=("--lot", "A1"))  # 48 cm of 20 cm pieces: three pieces, two packs of two
    packs, cuts = stock(bench)
    expect((packs[code], cuts), (("3", "0", "3"), [(code, 12.0, "A1"), (code, 20.0, "A1")]))
    visit(bench, "Bea Falk", "2026-04-02", "--arc", "22")
    installed(bench, 2, code)  # a row of 17 cm: the wider cut length is enough
    packs, cuts = stock(bench)
    expect((packs[code], cuts), (("3", "0", "3"), [(code, 3.0, ""), (code, 12.0, "A1")]))
    run(bench, "book", "undo", "--yes")
    expect(stock(bench)[1], [(code, 12.0, "A1"), (code, 20.0, "A1")])
    run(bench, "visit", "remove", "1")
    expect((stock(bench)[0][code][0], stock(bench)[1]), ("5", []))
    run(bench, "visit", "restore", "1")
    expect((stock(bench)[0][code][0], stock(bench)[1]), ("3", [(code, 12.0, "A1"), (code, 20.0, "A1")]))
    installed(bench, 1, code)  # it was one layer: 24 cm, two pieces, one pack
    expect((stock(bench)[0][code][0], stock(bench)[1]), ("4", [(code, 16.0, "")]))
    shades(bench, stock=9)
    expect(stock(bench)[0][code][0], "9")  # counted anew
    installed(bench, 1, code, code)
    expect(stock(bench)[0][code][0], "9")  # what is put right now was taken before that count
    run(bench, "stock", "add", code, "2", "--swatches", "shades.csv")
    expect(stock(bench)[0][code][0], "11")
    run(bench, "stock", "remove", "1", code=5)
    run(bench, "client", "forget", "anna", "--yes")
    expect(stock(bench)[0][code][0], "11")


def a_plan_reserves_its_packs(bench):
    """stock list: what coming visits need is reserved for them, the rest is free; what is not there is to be ordered"""
    salon(bench, stock=1)
    visit(bench, "Anna Berg", "2026-03-31")
    line = lambda code: next(row.split() for row in run(bench, "stock", "list", "--swatches", "shades.csv").splitlines() if row.startswith(code + " "))
    weft = orders(bench)["visits"][0]["wefts"][0]
    expect(line(weft["code"])[3:], ["1", "1", "0", str(weft["packs"] - 1), "Anna", "Berg"])
    free = next(row["code"] for row in csv.DictReader(bench.read("shades.csv").decode().splitlines())
                if row["kind"] == "hair" and row["code"] not in [w["code"] for w in orders(bench)["visits"][0]["wefts"]])
    expect(line(free)[3:], ["1", "0", "1", "0"])
    run(bench, "stock", "add", weft["code"], "4", "--swatches", "shades.csv")
    expect(line(weft["code"])[3:7], ["5", str(weft["packs"]), str(5 - weft["packs"]), "0"])
    installed(bench, 1, weft["code"])
    expect(line(weft["code"])[4], "0")


def a_wrong_number_is_put_right(bench):
    """stock count: miscounted, lost or sent back; what comes and goes later is added to it, undo takes it back"""
    salon(bench, stock=5)
    run(bench, "client", "add", "Anna Berg")
    code = next(csv.DictReader(bench.read("shades.csv").decode().splitlines()))["code"]
    there = lambda: stock(bench)[0][code][0]
    count = lambda packs: bench.run("stock", "count", code, packs, "--swatches", "shades.csv", "--book", "stock.book").stderr.decode()
    expect(count("3"), f"weftmatch: 3 packs of {code} on hand; it was 5\n")
    expect(there(), "3")
    run(bench, "stock", "add", code, "2", "--swatches", "shades.csv")
    expect(there(), "5")
    expect(count("0"), f"weftmatch: 0 packs of {code} on hand; it was 5\n")
    expect(there(), "0")
    run(bench, "book", "undo", "--yes")
    expect(there(), "5")
    shades(bench, stock="")  # a catalogue that counts nothing
    expect(code in stock(bench)[0], False)
    expect(count("0"), f"weftmatch: 0 packs of {code} on hand; it was not counted\n")
    expect(there(), "0")
    count("4")
    expect(there(), "4")
    shades(bench, stock=7)
    expect(there(), "7")  # counted in the catalogue anew


def packs_of_another_are_not_free(bench):
    """match, plan: packs that are reserved for another client are not in stock, those reserved for herself are; said in words, on both sides of enough"""
    salon(bench, stock=0)
    visit(bench, "Ida Brandt", "2026-03-31")
    need = {w["code"]: w["packs"] for w in orders(bench)["visits"][0]["wefts"]}
    code, hers = max(need.items(), key=lambda item: item[1])
    run(bench, "client", "coming", "ida", "2026-04-20")
    run(bench, "client", "add", "Bea Falk")

    def asked(*words):
        done = bench.run(*words, "--arc", "29", "--date", "2026-04-01", "--swatches", "shades.csv", "--book", "stock.book")
        expect(done.returncode in (0, 1), True, done.stderr.decode())
        return done.stderr.decode().replace("weftmatch: ", "")

    def to_order(*words):
        told = json.loads(bench.good(*words, "--arc", "29", "--date", "2026-04-01", "--swatches", "shades.csv", "--json", "--book", "stock.book", code=(0, 1)))
        return {w["code"]: w["packs_to_order"] for w in told["plan"]["wefts"]}

    match = ("match", "client.jpg", "--zones", "client.zones.json", "--no-save")
    for there, order in ((1, hers), (hers + 1, hers - 1), (2 * hers, 0)):
        words = "the one pack of" if there == 1 else f"{hers} of the {there} packs of"
        run(bench, "stock", "count", code, str(there), "--swatches", "shades.csv")
        expect(to_order("plan", "--visit", "1")[code], max(0, hers - there))  # her own
        expect(to_order(*match, "--client", "ida")[code], max(0, hers - there))
        expect(to_order(*match, "--client", "bea")[code], order, f"{there} packs, {hers} reserved")
        expect(to_order(*match)[code], order)
        told = asked(*match, "--client", "bea")
        expect(f"{code} " in told and "reserved for Ida Brandt, 20 April 2026; " in told and words in told, True, told)
        expect(("order for this row" in told, "reserved for" in asked(*match, "--client", "ida")), (order > 0, False), told)
    for code, packs in need.items():  # all of it hers
        run(bench, "stock", "count", code, str(packs), "--swatches", "shades.csv")
    told = asked(*match, "--client", "bea", "--in-stock")
    expect(all(f" of {code} " in told for code in need) and "so it counts as not in stock" in told, True, told)
    expect("counts as not in stock" in asked(*match, "--client", "ida", "--in-stock"), False)


def a_new_shade_is_worth_having(bench):
    """orders --new-shades: shades of another catalogue that the salon does not have and that would serve most clients, by their latest visits"""
    salon(bench)
    rows = list(csv.DictReader(bench.read("shades.csv").decode().splitlines()))
    visit(bench, "Anna Berg", "2026-03-31")
    best = json.loads(run(bench, "report", "--client", "anna", "--json", code=(0, 1)))["proposals"][0]["shades"][0]["code"]
    with open(bench.path("few.csv"), "w", newline="") as f:
        writer = csv.DictWriter(f, list(rows[0]))
        writer.writeheader()
        writer.writerows(row for row in rows if row["code"] != best)
    far = next(row["code"] for row in rows if row["kind"] == "hair" and row["code"] != best)
    run(bench, "visit", "set", "1", "--installed", far, "--swatches", "few.csv")
    told = json.loads(run(bench, "orders", "--json", "--swatches", "few.csv", "--new-shades", "shades.csv", "--date", "2026-04-01"))
    expect([shade["code"] for shade in told["new_shades"]], [best])
    expect(told["new_shades"][0]["serves"], 1)
    text = run(bench, "orders", "--swatches", "few.csv", "--new-shades", "shades.csv", "--date", "2026-04-01")
    expect(f"New shades that would serve most clients\n  {best}: 1 client\n" in text, True, text)
    expect("No new shade would serve" in run(bench, "orders", "--swatches", "shades.csv", "--new-shades", "shades.csv", "--date", "2026-04-01"), True)
    expect("new_shades" in orders(bench), False)


def wefts_grow_old(bench):
    """visit set: at a move-up the wefts are sewn on again, at the third anew (weft_visits); --new says otherwise; they go with her to another book"""
    salon(bench, stock=5)
    for day in ("2026-01-10", "2026-02-21", "2026-04-04", "2026-05-16"):
        visit(bench, "Anna Berg", day)
    code = orders(bench)["visits"][0]["wefts"][0]["code"]
    worn = []
    for number in (1, 2, 3, 4):
        installed(bench, number, code)
        worn.append(orders(bench, "2026-05-20")["visits"][0]["wefts"][0]["worn"] if number == 4 else int(stock(bench)[0][code][0]))
    expect(worn, [4, 4, 4, 1])
    expect(stock(bench)[0][code][0], "3")  # the first pack, and the fourth visit's
    run(bench, "visit", "set", "3", "--new", code, "--swatches", "shades.csv")
    run(bench, "visit", "set", "4", "--kind", "move-up", "--swatches", "shades.csv")
    expect((stock(bench)[0][code][0], orders(bench, "2026-05-20")["visits"][0]["wefts"][0]["worn"]), ("3", 2))
    run(bench, "client", "export", "anna", "-o", "old.json", "--force")
    bench.remove("other.book")
    bench.good("client", "import", "old.json", "--book", "other.book")
    told = json.loads(bench.good("orders", "--json", "--date", "2026-05-20", "--swatches", "shades.csv", "--book", "other.book"))
    expect(told["visits"][0]["wefts"][0]["worn"], 2)


def in_stock_is_what_is_on_hand(bench):
    """match --in-stock: a shade whose last pack was taken is out of stock"""
    salon(bench, stock=1)
    visit(bench, "Anna Berg", "2026-03-31")
    code = orders(bench)["visits"][0]["wefts"][0]["code"]
    installed(bench, 1, code)
    visit(bench, "Bea Falk", "2026-04-02", "--arc", "29", "--in-stock")
    report = json.loads(run(bench, "report", "--client", "bea", "--json", code=(0, 1)))
    expect(code in [m["code"] for r in report["rankings"] for m in r["swatches"]], False)


def what_stock_refuses(bench):
    """stock add, cut, remove: what is none is refused in one line, and nothing is changed"""
    salon(bench)
    code = bench.read("shades.csv").decode().splitlines()[1].split(",")[0]
    for words, status, said in ((("add", "nothing", "1"), 3, "the catalogue has no shade 'nothing'"), (("add", code, "0"), 2, "'0' is no number of packs"),
                                (("add", code, "1.5"), 2, "'1.5' is no number of packs"), (("add", code, "1", "--length", "70"), 3, "of that length"),
                                (("cut", code, "0"), 2, "0"), (("cut", code, "8", "--lot", "x" * 50), 2, "--lot is one line")):
        done = bench.run("stock", *words, "--swatches", "shades.csv", "--book", "stock.book")
        expect((done.returncode, said in done.stderr.decode()), (status, True), done.stderr.decode())
    run(bench, "stock", "cut", code, "80mm", "--swatches", "shades.csv")
    expect(stock(bench)[1], [(code, 8.0, "")])
    run(bench, "stock", "remove", "1")
    expect(stock(bench)[1], [])
    done = bench.run("stock", "remove", "1", "--book", "stock.book")
    expect((done.returncode, "no cut length 1 lies ready; see weftmatch stock list" in done.stderr.decode()), (5, True))


def the_calendar_follows(bench):
    """orders --ics, plan --ics: read by another library; a day or a plan that changes keeps the entry's UID and raises its SEQUENCE"""
    try:
        import icalendar
    except ImportError:
        return
    salon(bench, stock=0)
    visit(bench, "Anna Berg", "2026-03-31")
    visit(bench, "Bea Falk", "2026-03-31")

    def feed(*words, date="2026-04-01"):
        run(bench, *words, "--ics", "feed.ics", "--force", "--date", date, "--swatches", "shades.csv")
        return {str(e["UID"]): e for e in icalendar.Calendar.from_ical(bench.read("feed.ics")).walk("VEVENT")}
    expect(feed("orders"), {})  # no day is agreed yet
    run(bench, "client", "coming", "anna", "2026-04-20")
    before = feed("orders")
    summaries = sorted(str(e["SUMMARY"]) for e in before.values())
    expect("Installation: Anna Berg" in summaries and any(s.startswith("Order ") for s in summaries), True, summaries)
    ordered = [e for e in before.values() if str(e["SUMMARY"]).startswith("Order ")]
    expect({str(e["DTSTART"].dt) for e in ordered}, {"2026-04-10"})
    expect(all(len(e.walk("VALARM")) == 1 for e in before.values()), True)
    run(bench, "client", "coming", "anna", "2026-04-27")
    after = feed("orders", date="2026-04-02")
    expect(set(after), set(before))
    expect({(str(e["DTSTART"].dt)) for e in after.values()}, {"2026-04-17", "2026-04-27"})
    expect(all(after[uid]["SEQUENCE"] > before[uid]["SEQUENCE"] for uid in after), True)
    first = feed("plan", "--visit", "1", "--arc", "29")
    changed = feed("plan", "--visit", "1", "--arc", "31", date="2026-04-03")
    expect(set(first), set(changed))
    code = orders(bench)["visits"][0]["wefts"][0]["code"]
    installed(bench, 1, code)
    run(bench, "client", "coming", "anna", "")
    expect(set(feed("orders")) & set(first) != set(), True)  # the next move-up is one entry in both


def a_day_that_is_none(bench):
    """client coming: a day, or nothing to clear it; taken back like any change"""
    salon(bench)
    visit(bench, "Anna Berg", "2026-03-31")
    for bad in ("tomorrow", "2026-02-30"):
        done = bench.run("client", "coming", "anna", bad, "--book", "stock.book")
        expect((done.returncode, f"'{bad}' is no day; give one such as 2026-03-31" in done.stderr.decode()), (2, True))
    run(bench, "client", "coming", "anna", "2026-04-11")
    run(bench, "client", "coming", "anna", "")
    expect(orders(bench)["visits"][0]["due"], None)
    run(bench, "book", "undo", "--yes")
    expect(orders(bench)["visits"][0]["due"], "2026-04-11")


def main():
    bench = Bench(sys.argv[1], sys.argv[2])
    for test in (an_installation_is_ordered_in_time, a_move_up_reuses_what_is_not_worn_out, packs_are_taken_and_come_back_as_cut_lengths,
                 a_plan_reserves_its_packs, a_wrong_number_is_put_right, packs_of_another_are_not_free, a_new_shade_is_worth_having, wefts_grow_old,
                 in_stock_is_what_is_on_hand, what_stock_refuses, the_calendar_follows, a_day_that_is_none):
        bench.check(test)
    bench.end()


if __name__ == "__main__":
    main()
