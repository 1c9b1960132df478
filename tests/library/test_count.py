# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds tests/count.py against logs whose tests are counted by hand: test_count.py COUNT."""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

COUNT = sys.argv.pop(1)
# what cmocka 1.1.7 printed of two tests of which one is skipped, and of two of which one fails
ONE_SKIPPED = '''[==========] Running 2 test(s).
[ RUN      ] a_sum_is_right
[       OK ] a_sum_is_right
[ RUN      ] a_comma_is_read
[  SKIPPED ] a_comma_is_read
[==========] 2 test(s) run.
[  PASSED  ] 1 test(s).
[  SKIPPED ] 1 test(s), listed below:
[  SKIPPED ] a_comma_is_read

 1 SKIPPED TEST(S)
'''
ONE_FAILED = '''[==========] Running 2 test(s).
[==========] 2 test(s) run.
[  PASSED  ] 1 test(s).
[  FAILED  ] 1 test(s), listed below:
[  FAILED  ] a_sum_is_right

 1 FAILED TEST(S)
'''


def program(name, result='OK', stdout='', stderr=''):
    return {'name': name, 'result': result, 'stdout': stdout, 'stderr': stderr}


class Count(unittest.TestCase):
    def told(self, status, *programs):
        with tempfile.TemporaryDirectory() as folder:
            log = pathlib.Path(folder) / 'testlog.json'
            log.write_text('\n'.join(map(json.dumps, programs)), encoding='utf-8')
            ended = subprocess.run([sys.executable, COUNT, log], capture_output=True, text=True, check=False)
        self.assertEqual(ended.returncode, status, ended.stderr)
        return ended.stdout.replace(f' ({log})', '').replace(f', {log})', ')').splitlines()

    def test_a_test_that_cmocka_skips_is_told(self):
        self.assertEqual(self.told(0, program('rows', stdout=ONE_SKIPPED)),
                         ['skipped: rows: a_comma_is_read', '1 passed, 0 failed, 1 skipped'])

    def test_what_a_script_leaves_out_is_told(self):
        lines = 'skipped: zsh is not installed\n31 options\nskipped: fish is not installed\n'
        self.assertEqual(self.told(0, program('completion', stdout=lines), program('other', stdout=ONE_SKIPPED)),
                         ['skipped: completion: zsh is not installed', 'skipped: completion: fish is not installed',
                          'skipped: other: a_comma_is_read', '2 passed, 0 failed, 3 skipped'])

    def test_tests_that_unittest_skips_are_told(self):
        words = 'Ran 7 tests in 0.319s\n\nOK (skipped=2)\n'
        self.assertEqual(self.told(0, program('measure', stderr=words))[-1], '1 passed, 0 failed, 2 skipped')

    def test_a_program_that_is_skipped_whole_is_told_and_passes_nothing(self):
        self.assertEqual(self.told(1, program('splines', 'SKIP')),
                         ['skipped: splines: all of it', '0 passed, 0 failed, 1 skipped'])

    def test_failures_are_counted(self):
        self.assertEqual(self.told(1, program('sums', 'FAIL', ONE_FAILED), program('script', 'TIMEOUT'),
                                   program('fine')),
                         ['failed: sums (FAIL)', 'failed: script (TIMEOUT)', '2 passed, 2 failed, 0 skipped'])

    def test_no_log_is_a_failure(self):
        ended = subprocess.run([sys.executable, COUNT, '/nowhere/testlog.json'], capture_output=True, text=True,
                               check=False)
        self.assertEqual((ended.returncode, ended.stdout.splitlines()[-1]), (1, '0 passed, 1 failed, 0 skipped'))


unittest.main()
