"""Counts the single tests in meson's logs, one JSON object a test program: a cmocka program counts
for the tests it reports, any other for one. Prints `N passed, N failed`; exit status 1 where a test
failed, a program did not end well, or there was nothing to count. (Python comes with meson.)"""
import json
import re
import sys

WELL = ("OK", "EXPECTEDFAIL")


def count(program):
    if program["result"] == "SKIP":
        return 0, 0
    words = program.get("stdout", "") + program.get("stderr", "")
    passed = sum(map(int, re.findall(r"^\[  PASSED  \] (\d+) test", words, re.MULTILINE)))
    failed = sum(map(int, re.findall(r"^\[  FAILED  \] (\d+) test", words, re.MULTILINE)))
    if program["result"] in WELL:
        return max(passed, 1), failed
    return passed, max(failed, 1)


def main(logs):
    passed = failed = 0
    for log in logs:
        try:
            with open(log, encoding="utf-8") as lines:
                programs = [json.loads(line) for line in lines]
        except OSError as fault:
            print(fault)
            programs = []
        failed += not programs
        for program in programs:
            good, bad = count(program)
            passed += good
            failed += bad
            if bad:
                print(f"failed: {program['name']} ({program['result']}, {log})")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


sys.exit(main(sys.argv[1:]))
