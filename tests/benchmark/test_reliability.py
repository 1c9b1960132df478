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
shutil.copy(board / 'told.csv', out / 'parts.csv')
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

    def board(self, name, truth, told, truth_header=('ref', 'temp_c', 'used')):
        folder = self.here / 'set' / name
        folder.mkdir(parents=True)
        table(folder / 'truth.csv', truth_header, truth)
        if told is not None:
            table(folder / 'told.csv', TOLD, told)

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
        self.assertEqual(self.figures(), {
            'set': 'set', 'boards': '2', 'parts': '4', 'rmse_k': '2.709', 'in50': '0.250', 'in80': '0.250',
            'in90': '0.750', 'in95': '0.750', 'right': '0.500', 'missed': '0.2500', 'worn_left': '0.5000'})

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
