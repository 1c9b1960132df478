# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds maps from pictures with wires, solder, shields, lids and hot bodies against the truth: test_thermograms.py
PROGRAM MAKE_BOARDS SIMULATE_JOB. Three boards of thermograms.py; more by hand."""
import pathlib
import sys
import tempfile
import unittest

import thermograms

PROGRAM, MAKE_BOARDS, SIMULATE_JOB = sys.argv[1:4]
del sys.argv[1:4]
WHICH = (0, 3, 4)  # of the boards of seed 1: without a hot body, and two with one


class Thermograms(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(folder.cleanup)
        work = pathlib.Path(folder.name)
        jobs = thermograms.make_jobs(MAKE_BOARDS, SIMULATE_JOB, work / 'boards', 5, 1)
        cls.maps = {way: [] for way in ('all', '16th', 'all masked')}
        for number in WHICH:
            truth = thermograms.Truth(jobs[number])
            for way, made in cls.maps.items():
                made.append(thermograms.map_one(PROGRAM, jobs[number], way, truth, work))

    def test_every_hot_body_is_found_and_nothing_else(self):
        for way in ('all', 'all masked'):
            self.assertEqual([one.missed for one in self.maps[way]], [0, 0, 0], way)
            self.assertEqual([one.false for one in self.maps[way]], [0, 0, 0], way)
            self.assertEqual(sum(one.true for one in self.maps[way]), 2, way)

    def test_more_pixels_are_no_worse_than_fewer(self):
        for every, some in zip(self.maps['all'], self.maps['16th']):
            self.assertLessEqual(every.rmse_k, some.rmse_k)

    def test_a_mask_takes_nothing_away(self):
        self.assertLessEqual(thermograms.rmse_k(self.maps['all masked']), 1.1 * thermograms.rmse_k(self.maps['all']))

    def test_intervals_hold(self):
        cells = sum(one.cells for one in self.maps['all'])
        self.assertGreaterEqual(sum(one.inside[90] for one in self.maps['all']) / cells, 0.85)

    def test_no_listed_source_cools_and_the_noise_is_as_said(self):
        for one in self.maps['all']:
            self.assertEqual(one.cooled, 0)
            self.assertLess(one.noise, 2)


if __name__ == '__main__':
    unittest.main()
