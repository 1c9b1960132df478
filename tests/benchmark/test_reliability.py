# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds reliability.py against tables whose figures can be counted by hand: test_reliability.py. A program of a
few lines stands in for the real one and writes what it finds beside the truth."""
import csv
import pathlib
import subprocess
import sys
import tempfile
import unittest

HERE = pathlib.Path(__file__).resolve().parent
STAND_IN = f'''#!{sys.executable}
import pathlib, shutil, sys
board, out = pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[4])
out.mkdir()
model = sys.argv[7] if '--model' in sys.argv else ''
shutil.copy(board / f'told{{model}}.csv', out / 'parts.csv')
if (board / 'told-readings.csv').exists():
    shutil.copy(board / 'told-readings.csv', out / 'readings.csv')
'''
# the columns of a result that come before the verdict may hold commas, quotes and line ends
TOLD = ['ref', 'temp_c', 'temp_sd_k', 'used', 'zone', 'verdict', 'reason']


def table(path, header, rows):
    with open(path, 'w', newline='', encoding='utf-8') as file:
        csv.writer(file).writerows([header, *rows])


class Reliability(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.here = pathlib.Path(folder.name)
        self.program = self.here / 'program'
        self.program.write_text(STAND_IN, encoding='utf-8')
        self.program.chmod(0o755)

    def board(self, name, truth, told, truth_header=('ref', 'temp_c', 'used'), told_header=tuple(TOLD)):
        folder = self.here / 'set' / name
        folder.mkdir(parents=True)
        table(folder / 'truth.csv', truth_header, truth)
        if told is not None:
            table(folder / 'told.csv', told_header, told)
        return folder

    def figures(self, status=0):
        ended = subprocess.run([sys.executable, HERE / 'reliability.py', self.program, self.here / 'set'],
                               capture_output=True, text=True, check=False)
        self.assertEqual(ended.returncode, status, ended.stderr)
        heading, *lines = ended.stdout.splitlines()
        self.assertEqual(len(lines), 1)
        return dict(zip(heading.split(), lines[0].split()))

    def test_figures_are_those_counted_by_hand(self):
        # errors of 3, -4, 0.6 and 2 K: the square root of (9 + 16 + 0.36 + 4) / 4 is 2.709; in deviations they are
        # 1.5, 2, 0.6 and 1.3, and the intervals end at 0.674, 1.282, 1.645 and 1.960 (any table of the normal law)
        self.board('a', [('C1', 60, 1.2), ('C2', 50, 0.3)],
                   [('C1', 63, 2, 0.9, 'Z1', 'leave', 'x'), ('C2', 46, 2, 0.4, 'Z1', 'leave', 'x')])
        self.board('b', [('C1', 70, 1.5), ('C2', 40, 0.2)],
                   [('C2', 40.6, 1, 1.1, '', 'replace', 'x'), ('C1', 72, 1.5385, 1.7, '', 'check', 'x')])
        found = self.figures()
        self.assertEqual({name: found[name] for name in found if found[name] != '-'}, {
            'set': 'set', 'boards': '2', 'parts': '4', 'rmse_k': '2.709', 'bias_k': '0.400', 'in50': '0.250',
            'in80': '0.250', 'in90': '0.750', 'in95': '0.750', 'right': '0.500', 'missed': '0.2500', 'worn': '2',
            'worn_left': '0.5000', 'replaced': '0.5000', 'check': '0.250'})

    def test_case_and_board_are_each_held_against_their_own_truth(self):
        # errors of 2 and -1 K at the case, of 1 and 3 K at the board: roots of 2.5 and 5, biases of 0.5 and 2
        header = ('ref', 'temp_c', 'used', 'board_c')
        told_header = (*TOLD, 'board_c', 'board_sd_k')
        self.board('a', [('C1', 50, 0.3, 54), ('C2', 60, 0.3, 61)],
                   [('C1', 52, 1, 0.3, '', 'leave', 'x', 55, 2), ('C2', 59, 1, 0.3, '', 'leave', 'x', 64, 2)], header,
                   told_header)
        found = self.figures()
        self.assertEqual([found[name] for name in ('rmse_k', 'bias_k', 'in90', 'board_k', 'board_b', 'b50', 'b90')],
                         ['1.581', '0.500', '0.500', '2.236', '2.000', '0.500', '1.000'])

    def test_a_result_that_does_not_know_the_board_is_held_by_its_case(self):
        self.board('a', [('C1', 50, 0.3, 54)], [('C1', 52, 1, 0.3, '', 'leave', 'x')],
                   ('ref', 'temp_c', 'used', 'board_c'))
        found = self.figures()
        self.assertEqual((found['rmse_k'], found['board_k'], found['board_b']), ('2.000', '2.000', '-2.000'))

    def test_a_plane_truth_is_that_of_the_board(self):
        self.board('a', [('C1', 50, 0.3)], [('C1', 45, 1, 0.3, '', 'leave', 'x', 50.5, 2)],
                   told_header=(*TOLD, 'board_c', 'board_sd_k'))
        found = self.figures()
        self.assertEqual((found['rmse_k'], found['board_k']), ('0.500', '-'))

    def test_a_critical_part_may_be_replaced_while_it_is_sound(self):
        folder = self.board('a', [('C1', 50, 0.3), ('C2', 50, 0.7), ('C3', 50, 0.9)],
                            [(ref, 50, 1, 0.3, '', 'replace', 'x') for ref in ('C1', 'C2', 'C3')])
        self.assertEqual(self.figures()['replaced'], '1.0000')
        table(folder / 'parts.csv', ('ref', 'critical'), [('C1', 'yes'), ('C2', 'no'), ('C3', 'no')])
        told = [('C1', 50, 1, 0.3, '', 'replace', 'x'), ('C2', 50, 1, 0.3, '', 'leave', 'x'),
                ('C3', 50, 1, 0.3, '', 'replace', 'x')]
        table(folder / 'told.csv', TOLD, told)
        self.assertEqual(self.figures()['replaced'], '0.0000')

    def test_a_spoiled_reading_is_looked_for_where_the_score_is_highest(self):
        for name, scores in (('a', (-4, 3.5)), ('b', (2.9, -1)), ('c', (2, 5)), ('d', (1, 6))):
            folder = self.board(name, [('C1', 50, 0.3)], [('C1', 50, 1, 0.3, '', 'leave', 'x')])
            table(folder / 'told-readings.csv', ('id', 'score'), zip(('t1', 't2'), scores))
            if name != 'd':
                table(folder / 'truth-readings.csv', ('id', 'gross'), [('t1', 'yes'), ('t2', 'no')])
        found = self.figures()
        self.assertEqual((found['first'], found['named']), ('0.67', '0.33'))

    def test_several_sets_have_a_total(self):
        self.board('a', [('C1', 50, 0.3)], [('C1', 53, 1, 0.3, '', 'leave', 'x')])
        (self.here / 'set').rename(self.here / 'other')
        self.board('a', [('C1', 50, 0.3)], [('C1', 51, 1, 0.3, '', 'leave', 'x')])
        ended = subprocess.run([sys.executable, HERE / 'reliability.py', self.program, self.here / 'set',
                                self.here / 'other'], capture_output=True, text=True, check=True)
        # the square root of (9 + 1) / 2
        self.assertEqual([line.split()[:4] for line in ended.stdout.splitlines()[1:]],
                         [['set', '1', '1', '1.000'], ['other', '1', '1', '3.000'], ['all', '2', '2', '2.236']])

    def test_kriging_is_the_same_board_by_another_model(self):
        folder = self.board('a', [('C1', 50, 0.3)], [('C1', 53, 1, 0.3, '', 'leave', 'x')])
        table(folder / 'toldkriging.csv', TOLD, [('C1', 45, 1, 0.3, '', 'leave', 'x')])
        ended = subprocess.run([sys.executable, HERE / 'reliability.py', '--kriging', self.program, self.here / 'set'],
                               capture_output=True, text=True, check=True)
        self.assertEqual([line.split()[:5] for line in ended.stdout.splitlines()[1:]],
                         [['set', '1', '1', '3.000', '3.000'], ['set', 'kriging', '1', '1', '5.000']])

    def test_a_comma_in_a_cell_moves_no_column(self):
        # read by its commas, C1's line would have the verdict `left, top`, and the worn part told to stay be hidden
        self.board('a', [('C1', 60, 1.2)], [('C1', 61, 2, 0.9, 'left, "top"', 'leave', 'well, it may\nstay')])
        self.assertEqual(self.figures()['worn_left'], '1.0000')

    def test_a_comma_in_a_name_moves_no_column_of_the_truth(self):
        self.board('a', [('C1', 'J4, upper', 40, 60, 1.2)], [('C1', 61, 2, 0.9, '', 'leave', 'x')],
                   ('ref', 'place', 'board_c', 'temp_c', 'used'))
        found = self.figures()
        self.assertEqual((found['rmse_k'], found['missed'], found['worn_left']), ('1.000', '1.0000', '1.0000'))

    def test_a_part_that_is_not_told_of_is_no_result(self):
        self.board('a', [('C1', 60, 1.2), ('C2', 50, 0.3)], [('C1', 61, 2, 0.9, '', 'leave', 'x')])
        self.board('b', [('C1', 60, 1.2)], [('C1', 62, 2, 1.9, '', 'check', 'x')])
        found = self.figures(1)
        self.assertEqual((found['boards'], found['parts'], found['rmse_k']), ('1', '1', '2.000'))

    def test_a_part_told_of_twice_is_no_result(self):
        self.board('a', [('C1', 60, 1.2)], 2 * [('C1', 61, 2, 0.9, '', 'leave', 'x')])
        self.assertEqual(self.figures(1)['boards'], 'no')

    def test_a_board_that_is_not_mapped_is_told(self):
        self.board('a', [('C1', 60, 1.2)], None)
        self.assertEqual(self.figures(1), {'set': 'set', 'boards': 'no', 'parts': 'results'})


unittest.main()
