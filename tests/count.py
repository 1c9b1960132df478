# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Counts the single tests in meson's logs, one JSON object a test program: a cmocka program counts for the tests
it reports, any other for one. What a program leaves out counts as skipped: the whole of it where it ends with 77,
cmocka's and unittest's skipped tests, and each line `skipped: WHAT` that another prints. Prints what failed and what was skipped,
then `N passed, N failed, N skipped`; exit status 1 where a test failed, a program did not end well, or there was
nothing to count. (Python comes with meson.)"""
import json
import re
import sys

WELL = ("OK", "EXPECTEDFAIL")


def cmocka(word, words):
    """Of how many tests cmocka says so, and which it names."""
    number = sum(map(int, re.findall(rf"^\[ +{word} +\] (\d+) test", words, re.MULTILINE)))
    return number, re.findall(rf"^\[ +{word} +\] ([A-Za-z_]\w*)$", words, re.MULTILINE)


def count(program):
    """How many passed and failed, and what was skipped."""
    words = program.get("stdout", "") + "\n" + program.get("stderr", "")
    if program["result"] == "SKIP":
        return 0, 0, ["all of it"]
    passed, _ = cmocka("PASSED", words)
    failed, _ = cmocka("FAILED", words)
    number, names = cmocka("SKIPPED", words)
    skipped = sorted(set(names)) if len(set(names)) == number else [f"test {i + 1}" for i in range(number)]
    skipped += re.findall(r"^skipped: (.+)", words, re.MULTILINE)
    for left_out in re.findall(r"^OK \(skipped=(\d+)\)$", words, re.MULTILINE):  # of Python's unittest
        skipped += [f"test {i + 1}" for i in range(int(left_out))]
    if program["result"] in WELL:
        return passed if passed or number else 1, failed, skipped
    return passed, max(failed, 1), skipped


def main(logs):
    passed = failed = skipped = 0
    for log in logs:
        try:
            with open(log, encoding="utf-8") as lines:
                programs = [json.loads(line) for line in lines]
        except OSError as fault:
            print(fault)
            programs = []
        failed += not programs
        for program in programs:
            good, bad, left_out = count(program)
            passed += good
            failed += bad
            skipped += len(left_out)
            if bad:
                print(f"failed: {program['name']} ({program['result']}, {log})")
            for what in left_out:
                print(f"skipped: {program['name']}: {what} ({log})")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed or not passed else 0


sys.exit(main(sys.argv[1:]))
