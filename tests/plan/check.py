"""Holds plan_oracle's output to oracles of other make: `check.py dates|quotes|calendar PROGRAM`.

Dates against datetime, money against decimal (ROUND_HALF_UP on every line), the calendar against the parser of Debian's
python3-icalendar. Exit 77 (skipped) only when that parser is not installed.
"""
import datetime
import decimal
import subprocess
import sys

EXPONENT = {"EUR": 2, "JPY": 0, "KWD": 3}


def output(program, *arguments):
    return subprocess.run([program, *arguments], check=True, stdout=subprocess.PIPE).stdout


def check_dates(program):
    lines = output(program, "dates").decode().splitlines()
    for line in lines:
        _, start, weeks, *moveups = line.split()
        first = datetime.date.fromisoformat(start)
        want = [(first + datetime.timedelta(weeks=int(weeks) * k)).isoformat() for k in (1, 2, 3)]
        assert moveups == want, f"{line}: want {want}"
    return len(lines)


def half_up(value, currency):
    return value.quantize(decimal.Decimal(1).scaleb(-EXPONENT[currency]), rounding=decimal.ROUND_HALF_UP)


def check_quotes(program):
    lines = output(program, "quotes").decode().splitlines()
    for line in lines:
        _, currency, tax, *items, net, tax_minor, total = line.split()
        amounts = []
        for item in items:
            product, minor = item.split("=")
            quantity, milli = product.split("*")
            amounts.append(half_up(int(quantity) * decimal.Decimal(milli) / 1000, currency))
            assert amounts[-1].scaleb(EXPONENT[currency]) == int(minor), f"{line}: want {amounts[-1]}"
        want_tax = half_up(sum(amounts) * decimal.Decimal(tax) / 100000, currency)
        want = [x.scaleb(EXPONENT[currency]) for x in (sum(amounts), want_tax, sum(amounts) + want_tax)]
        assert [int(net), int(tax_minor), int(total)] == want, f"{line}: want {want}"
    return len(lines)


def check_calendar(program):
    try:
        import icalendar
    except ImportError:
        print("skipped: python3-icalendar is not installed")
        sys.exit(77)
    names = ["Ida", "Ana; Luz, \\ \"x\": y", "Zoë Çelik " * 12, "日本語の名前" * 20, "two\nlines", "💇" * 40, "x" * 61, "x" * 62]
    for name in names:
        raw = output(program, "calendar", name)
        assert all(len(part) <= 75 for part in raw.split(b"\r\n")) and raw.count(b"\n") == raw.count(b"\r\n")
        calendar = icalendar.Calendar.from_ical(raw)
        assert calendar["VERSION"] == "2.0" and calendar["PRODID"].startswith("-//weftmatch//")
        events = calendar.walk("VEVENT")
        assert [e["DTSTART"].dt for e in events] == [datetime.date(2024, 2, 29), datetime.date(2024, 4, 11), datetime.date(2024, 5, 23)]
        assert len({e["UID"] for e in events}) == 3 and all(e["UID"].startswith("0123456789abcdef") for e in events)
        for event in events:
            assert event["SEQUENCE"] == int(event["DTSTAMP"].dt.timestamp()) // 60
            (alarm,) = event.walk("VALARM")
            assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", datetime.timedelta(days=-2))
            assert event["SUMMARY"] == "Move-up: " + name, event["SUMMARY"]
            assert event["DTSTAMP"].dt == datetime.datetime(2024, 2, 29, 12, 0, tzinfo=datetime.timezone.utc)
            assert event["DESCRIPTION"] == ("1 row, 25 beads, 3 in reserve. Sewn: walnut; mist, light in front.\n"
                                            "Grown since the row was set: 1.38 to 1.72 cm."), event["DESCRIPTION"]
    return len(names)


if __name__ == "__main__":
    checks = {"dates": check_dates, "quotes": check_quotes, "calendar": check_calendar}
    count = checks[sys.argv[1]](sys.argv[2])
    assert count > 0, "nothing was checked"
    print(f"{sys.argv[1]}: {count} cases agree")
