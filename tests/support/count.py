"""Adds up a meson test log (JUnit XML) over all suites: "N passed, N failed, N skipped"."""
import sys
import xml.etree.ElementTree as xml

passed = failed = skipped = 0
for case in xml.parse(sys.argv[1]).getroot().iter("testcase"):
    if case.find("failure") is not None or case.find("error") is not None:
        failed += 1
    elif case.find("skipped") is not None:
        skipped += 1
    else:
        passed += 1
print(f"{passed} passed, {failed} failed, {skipped} skipped")
