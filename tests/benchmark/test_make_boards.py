# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds what make_boards writes: test_make_boards.py MAKE_BOARDS. Its physics is held by test_plate and test_raised."""
import csv
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM = sys.argv.pop(1)


def make(folder, *options):
    return subprocess.run([PROGRAM, folder, '--boards', '1', *options], capture_output=True, text=True, check=False)


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(file))


class MakeBoards(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(folder.cleanup)
        cls.here = pathlib.Path(folder.name)
        make(cls.here / 'raised', '--height', '--mount', '--readings', '10', '--seed', '3')
        cls.raised = cls.here / 'raised' / 'board-001'

    def test_the_same_seed_makes_the_same_board(self):
        make(self.here / 'again', '--height', '--mount', '--readings', '10', '--seed', '3')
        for path in sorted(self.raised.iterdir()):
            self.assertEqual(path.read_bytes(), (self.here / 'again' / 'board-001' / path.name).read_bytes(), path)

    def test_a_plane_board_has_no_height_and_no_mount(self):
        self.assertEqual(make(self.here / 'plane', '--seed', '3').returncode, 0)
        plane = self.here / 'plane' / 'board-001'
        self.assertEqual(list(rows_of(plane / 'truth.csv')[0]), ['ref', 'temp_c', 'used'])
        self.assertNotIn('mount', rows_of(plane / 'sources.csv')[0])
        self.assertNotIn('height_mm', rows_of(plane / 'parts.csv')[0])
        self.assertFalse((plane / 'truth-readings.csv').exists())

    def test_truth_is_in_service_and_used_goes_by_ten_kelvin(self):
        board = {row['key']: row['value'] for row in rows_of(self.raised / 'board.csv')}
        parts = {row['ref']: row for row in rows_of(self.raised / 'parts.csv')}
        truth = rows_of(self.raised / 'truth.csv')
        self.assertEqual([row['ref'] for row in truth], list(parts))
        for row in truth:
            part, temp_c = parts[row['ref']], float(row['temp_c'])
            self.assertAlmostEqual(temp_c - float(row['rise_k']), float(board['service_ambient']), 2)
            # the 10-kelvin rule with a floor of 40 C (common practice, no source)
            life_h = float(part['endurance_h']) * 2 ** ((float(part['rated_c']) - max(temp_c, 40)) / 10)
            self.assertAlmostEqual(float(row['used']) * life_h / float(board['run_hours']), 1, 2)

    def test_readings_err_by_what_their_truth_says(self):
        truth = {row['id']: row for row in rows_of(self.raised / 'truth-readings.csv')}
        readings = rows_of(self.raised / 'readings.csv')
        self.assertEqual(len(readings), 10)
        for row in readings:
            true = truth[row['id']]
            self.assertAlmostEqual(float(row['value']),
                                   float(true['true_surface_c']) + float(true['error_k']), delta=0.011)
            self.assertEqual(true['gross'], 'no')

    def test_mounts_are_those_of_the_kinds_but_for_a_slip(self):
        kinds = {'sink': 'heat-sink', 'block': 'wound', 'resistor': 'standing', 'flatpower': 'flat', 'ic': 'flat'}
        make(self.here / 'more', '--height', '--mount', '--readings', '5', '--seed', '8', '--boards', '2')
        told = right = 0
        for board in (self.here / 'more').iterdir():
            truth = {row['ref']: row for row in rows_of(board / 'truth-sources.csv')}
            for row in rows_of(board / 'sources.csv'):
                self.assertIn(row['mount'], ('', *kinds.values()))
                told += row['mount'] != ''
                right += row['mount'] == kinds[truth[row['ref']]['kind']]
        self.assertGreater(told, 4)
        self.assertGreaterEqual(right, told - 1)

    def test_some_sources_are_kept_from_the_technician(self):
        make(self.here / 'unlisted', '--height', '--seed', '3', '--unlisted')
        board = self.here / 'unlisted' / 'board-001'
        truth = rows_of(board / 'truth-sources.csv')
        listed = [row['ref'] for row in truth if row['listed'] == 'yes']
        self.assertEqual([row['ref'] for row in rows_of(board / 'sources.csv')], listed)
        self.assertEqual(len(truth) - len(listed), round(0.3 * len(truth)))

    def test_options_that_do_not_fit_are_refused(self):
        for options in (('--gross', 'tenth'), ('--mount',), ('--height', '--gross', 'none-such'), ('--height', '--gross')):
            ended = make(self.here / 'refused', *options)
            self.assertEqual((ended.returncode, ended.stderr[:6]), (64, 'usage:'), options)
        self.assertFalse((self.here / 'refused').exists())


unittest.main()
