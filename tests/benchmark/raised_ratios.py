# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What comes out of the physics of boards with height: raised_ratios.py SET... prints over all boards of the sets
how far a can rises against the face under it, and which share of its watts each kind of source gives to the
board. None of it is written into the generator; parts below 4 K are left out of the first."""
import csv
import pathlib
import statistics
import sys

LEAST_K = 4


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(file))


def can_ratios(board):
    """Rise of each can over that of the board under it."""
    ratios = []
    for row in rows_of(board / 'truth.csv'):
        case_k = float(row['rise_k'])
        face_k = float(row['board_c']) - (float(row['temp_c']) - case_k)
        if face_k > LEAST_K:
            ratios.append(case_k / face_k)
    return ratios


def measure(boards):
    """Means and deviations over boards by their names; a share of each kind of source that stands there."""
    cans = [ratios for ratios in map(can_ratios, boards) if len(ratios) > 4]
    means = [statistics.mean(ratios) for ratios in cans]
    found = {'can': statistics.mean(means), 'from board to board': statistics.pstdev(means),
             'from can to can': statistics.mean(map(statistics.pstdev, cans))}
    shares = {}
    for board in boards:
        for row in rows_of(board / 'truth-sources.csv'):
            shares.setdefault(row['kind'], []).append(float(row['into_board_w']) / float(row['power_w']))
    for kind, told in sorted(shares.items()):
        found |= {kind: statistics.mean(told), f'{kind} sd': statistics.pstdev(told), f'{kind} count': len(told)}
    return found


def main():
    found = measure([board for folder in sys.argv[1:] for board in sorted(pathlib.Path(folder).iterdir())])
    print(f'can over board: {found["can"]:.2f}, from board to board {found["from board to board"]:.2f}, '
          f'from can to can {found["from can to can"]:.2f}')
    for kind in (name.removesuffix(' count') for name in found if name.endswith(' count')):
        print(f'{kind}: {found[kind]:.2f} into the board, sd {found[f"{kind} sd"]:.2f}, of {found[f"{kind} count"]}')


if __name__ == '__main__':
    main()
