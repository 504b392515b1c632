"""Stock, orders and what the coming visits need. Clients, suppliers and counts are invented.

Usage: stock.py WEFTMATCH WM_RENDER"""
import csv
import io
import json
import sys

from support import Bench, expect

PIECES, WIDTH = 2, 20  # of a pack; cm


def salon(bench, stock=1):
    """A new book, and the scene's shades in packs of two pieces of 20 cm, every second from Halm and Sons."""
    for name in ("stock.book", "stock.book-wal", "stock.book-shm"):
        bench.remove(name)
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
    salon(bench)
    visit(bench, "Anna Berg", "2026-03-31")
    visit(bench, "Bea Falk", "2026-03-31")
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
    for test in (an_installation_is_ordered_in_time, a_move_up_reuses_what_is_not_worn_out, a_day_that_is_none):
        bench.check(test)
    bench.end()


if __name__ == "__main__":
    main()
