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


def main():
    boards = [board for folder in sys.argv[1:] for board in sorted(pathlib.Path(folder).iterdir())]
    cans = [ratios for ratios in map(can_ratios, boards) if len(ratios) > 4]
    means = [statistics.mean(ratios) for ratios in cans]
    print(f'can over board: {statistics.mean(means):.2f}, from board to board {statistics.pstdev(means):.2f}, '
          f'from can to can {statistics.mean(map(statistics.pstdev, cans)):.2f}')
    shares = {}
    for board in boards:
        for row in rows_of(board / 'truth-sources.csv'):
            shares.setdefault(row['kind'], []).append(float(row['into_board_w']) / float(row['power_w']))
    for kind, found in sorted(shares.items()):
        print(f'{kind}: {statistics.mean(found):.2f} into the board, sd {statistics.pstdev(found):.2f}, '
              f'of {len(found)}')


if __name__ == '__main__':
    main()
