# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Cases of hostile input, the one table behind test_hostile.py and tests/cli/hostile-input.md. What a case does to
a sound job stands here, and the exit status it must end with; what was said on the way stands in the document.
All data are invented."""
import csv
import dataclasses
import io
import os
import pathlib
import typing

DONE, USAGE, DATA, MISSING, INTERNAL, UNWRITABLE = 0, 64, 65, 66, 70, 73


@dataclasses.dataclass
class Case:
    section: str
    tried: str
    status: int
    damage: typing.Callable[[pathlib.Path], None]  # is given the folder of the job
    words: tuple = ('check', 'JOB')     # JOB, SECOND and OUT stand for folders
    out_path: str = ''                             # standard output goes there
    limits: tuple = ()                             # of the resource module: (name, value)
    no_root: bool = False                          # the superuser may read and write all: run as somebody else
    model: str = 'starter'                         # the sound job: starter or thermogram

    @property
    def maps(self):
        return self.words[0] in ('map', 'plan', 'compare')


# --- damaging a file of a job ---

def put(name, content):
    """The whole file anew."""
    def damage(job):
        (job / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return damage


def turn(name, change):
    """The bytes of a file through a function."""
    def damage(job):
        (job / name).write_bytes(change((job / name).read_bytes()))
    return damage


def rows_of(sound):
    """The cells of a sound file's bytes, without its comments."""
    lines = [line for line in sound.decode().split('\n') if line and not line.startswith('#')]
    return list(csv.reader(lines))


def table_of(rows):
    words = io.StringIO()
    csv.writer(words, lineterminator='\n').writerows(rows)
    return words.getvalue().encode()


# stands in a cell that is to hold bytes which no table would, until the table is written
STAND_IN = 'A-CELL-THAT-IS-DAMAGED'


def cell(name, column, value, row=1):
    """A cell in the row-th line below the header, by the name of its column or the key of its line; `value` as it is
    to stand in the file, quoted or not."""
    def change(sound):
        rows = rows_of(sound)
        if column in rows[0]:
            rows[row][rows[0].index(column)] = STAND_IN
        else:
            rows = [cells for cells in rows if cells[0] != column] + [[column, STAND_IN, '']]
        return table_of(rows).replace(STAND_IN.encode(), value.encode())
    return turn(name, change)


def add(name, *rows):
    return turn(name, lambda before: before + '\n'.join(rows).encode() + b'\n')


def in_place_of(name, make):
    def damage(job):
        (job / name).unlink(missing_ok=True)
        make(job / name)
    return damage


def together(*damages):
    def damage(job):
        for each in damages:
            each(job)
    return damage


def nothing(job):
    del job


def sparse(path):
    with open(path, 'wb') as file:
        file.truncate(64 * 1024 * 1024 + 1)


def unreadable(path):
    path.write_text('ref\n')
    path.chmod(0)


# --- every file in every form ---

# file, a column of numbers in it, a column it cannot do without
READERS = {'board.csv': ('width', 'key'), 'policy.csv': ('seal_years', 'key'),
           'outline.csv': ('x_mm', 'x_mm'), 'keepout.csv': ('x_mm', 'x_mm'), 'mask.csv': ('x_mm', 'x_mm'),
           'sources.csv': ('power_w', 'width_mm'), 'readings.csv': ('value', 'value'),
           'parts.csv': ('diameter_mm', 'ref'), 'history.csv': ('hours', 'hours'),
           'controls.csv': ('measured_uf', 'measured_uf'), 'marks.csv': ('x_mm', 'x_mm'),
           'thermogram.csv': ('', ''), '../machine.csv': ('service_goal', 'key')}


def without_column(name):
    def change(sound):
        rows = rows_of(sound)
        gone = rows[0].index(name)
        return table_of(row[:gone] + row[gone + 1:] for row in rows)
    return change


def fahrenheit(sound):
    return table_of([f'{32 + 1.8 * float(cell):.1f}' for cell in row] for row in rows_of(sound))


def camera_sheet(sound):
    """The picture as a camera may write it, with words before it and its rows and columns counted."""
    rows = rows_of(sound)
    lines = ['Camera 7', 'Emissivity;0,95', ';'.join(['', *map(str, range(len(rows[0])))])]
    lines += [';'.join([str(i), *row]).replace('.', ',') for i, row in enumerate(rows)]
    return '\n'.join(lines).encode() + b'\n'


def forms(required):
    """What the bytes of any file may be: words, status, function of the sound bytes."""
    every = [
        ('empty', DATA, lambda sound: b''),
        ('blank lines only', DATA, lambda sound: b'\n\n \n'),
        ('a program in place of a table', DATA, lambda sound: b'\x7fELF\x02\x01\x01' + bytes(range(256)) * 9),
        ('4 KiB of NUL bytes', DATA, lambda sound: bytes(4099)),
        ('a NUL byte inside a cell', DATA, lambda sound: sound.rstrip() + b'\x00\n'),
        ('a line of 10 MB', DATA, lambda sound: sound + b'7' * 10_000_000),
        ('a million columns', DATA,
         lambda sound: b','.join(b'c%d' % i for i in range(1_000_000)) + b'\n'),
        ('a quotation mark never closed', DATA, lambda sound: sound + b'"never closed\n' + sound),
        ('UTF-16', DATA, lambda sound: sound.decode().encode('utf-16')),
        ('Latin-1 text', DATA, lambda sound: sound + b'# r\xe9sum\xe9\nr\xe9sum\xe9\n'),
        ('UTF-8 with a byte order mark', DONE, lambda sound: b'\xef\xbb\xbf' + sound),
        ('lines that end with CR alone', DONE, lambda sound: sound.replace(b'\n', b'\r')),
        ('one CR amid lines that end with LF', DATA, lambda sound: sound.rstrip() + b'\rC,1,2\n'),
    ]
    if not required:
        return every
    return every + [
        ('a header and no row', DONE, lambda sound: table_of(rows_of(sound)[:1])),
        ('a column named twice', DATA,
         lambda sound: table_of([*row, row[0]] for row in rows_of(sound))),
        (f'no column `{required}`', DATA, without_column(required)),
        ('a row of 70 cells', DATA, lambda sound: sound + b','.join(b'7' for _ in range(70)) + b'\n'),
    ]


PLACES = [
    ('a folder in its place', MISSING, lambda path: path.mkdir()),
    ('a named pipe in its place', MISSING, os.mkfifo),
    ('a link to an endless device', MISSING, lambda path: path.symlink_to('/dev/zero')),
    ('a link to itself', MISSING, lambda path: path.symlink_to(path.name)),
    ('more than 64 MiB', DATA, sparse),
]

NUMBERS = ['nan', 'inf', '1e999', '0x1F', '-7', '0', '1e300', '1e-300', '12abc', '7 7', '"1,234.5"']

# where a file takes what others refuse, or the other way round
STATUSES = {(name, 'a header and no row'): DATA for name in ('board.csv', 'outline.csv', 'readings.csv', 'marks.csv')}
STATUSES.update({(name, f'`{column}` is `{value}`'): DONE for name, column, values in (
    ('outline.csv', 'x_mm', ('0', '1e-300')), ('keepout.csv', 'x_mm', ('0', '1e-300')), ('mask.csv', 'x_mm', ('0', '1e-300')),
    ('sources.csv', 'power_w', ('0', '1e-300')), ('readings.csv', 'value', ('-7', '0', '1e-300')),
    ('history.csv', 'hours', ('0', '1e-300')), ('../machine.csv', 'service_goal', ('0', '1e-300')), ('marks.csv', 'x_mm', ('-7', '0', '1e-300')))
    for value in values})
STATUSES.update({('thermogram.csv', f'a pixel is `{value}`'): DONE for value in ('-7', '0', '1e-300', 'nan')})


def reader_cases():
    made = []
    for name, (column, required) in READERS.items():
        model = 'thermogram' if name in ('marks.csv', 'mask.csv', 'thermogram.csv') else 'starter'

        def case(tried, status, damage, name=name, model=model, **more):
            made.append(Case(name, tried, STATUSES.get((name, tried), status), damage, model=model, **more))

        for tried, status, change in forms(required):
            case(tried, status, turn(name, change))
        for tried, status, make in PLACES:
            case(tried, status, in_place_of(name, make))
        case('not allowed to be read', MISSING, in_place_of(name, unreadable), no_root=True)
        for value in NUMBERS:
            if column:
                case(f'`{column}` is `{value.strip(chr(34))}`', DATA, cell(name, column, value))
            else:
                case(f'a pixel is `{value.strip(chr(34))}`', DATA,
                     turn(name, lambda sound, value=value: table_of(
                         [[STAND_IN, *row[1:]] if i == 0 else row for i, row in enumerate(rows_of(sound))]
                     ).replace(STAND_IN.encode(), value.encode())))
    return made



# --- what only one reader can be given ---

MAP = ('map', '--out', 'OUT', 'JOB')
PLAN = ('plan', '--out', 'OUT', 'JOB')
COMPARE = ('compare', '--out', 'OUT', 'JOB', 'SECOND')


def ring(*corners):
    return 'ring,x_mm,y_mm\n' + ''.join(f'{number},{x},{y}\n' for number, x, y in corners)


def square(number, left, low, right, high):
    return [(number, left, low), (number, right, low), (number, right, high), (number, left, high)]


def spread_over(factor):
    """Every place so many times as far from the origin; the outline is gone."""
    def spread(job):
        for name in ('sources.csv', 'readings.csv', 'parts.csv'):
            rows = rows_of((job / name).read_bytes())
            for row in rows[1:]:
                row[1:3] = (f'{float(place) * factor:.4f}' for place in row[1:3])
                if name == 'parts.csv' and factor < 1:
                    row[3] = '1'
            (job / name).write_bytes(table_of(rows))
    return spread


def board_of(width, height):
    """The starter's board at another size, without its slot and no-touch area."""
    return together(cell('board.csv', 'width', str(width)), cell('board.csv', 'height', str(height)),
                    *(in_place_of(name, lambda path: None) for name in ('outline.csv', 'keepout.csv')))


def board_without(*keys):
    return turn('board.csv', lambda sound: table_of(row for row in rows_of(sound) if row[0] not in keys))


def put_sizes(job):
    """Sources as small as the smallest board wants them."""
    rows = rows_of((job / 'sources.csv').read_bytes())
    for row in rows[1:]:
        row[3:5] = '1.5', '1'
    (job / 'sources.csv').write_bytes(table_of(rows))


def many_parts(count):
    return put('parts.csv', 'ref,x_mm,y_mm,diameter_mm\n' + ''.join(
        f'C{i},{12 + i % 100 * 0.86:.2f},{2 + i // 100 % 100 * 0.76:.2f},1\n' for i in range(count)))


def many_sources(count):
    return put('sources.csv', 'ref,x_mm,y_mm,width_mm,height_mm,power_w\n' + ''.join(
        f'U{i},{12 + i % 40 * 2.1:.1f},{3 + i // 40 * 2.9:.1f},1.5,1.5,0.002\n' for i in range(count)))


def readings(*rows):
    return put('readings.csv', 'id,x_mm,y_mm,value,unit,method,spot,u_k\n' + ''.join(f'{row}\n' for row in rows))


SPREAD = ['r1,20,20,44.1,C,thermocouple-K,board,', 'r2,80,20,38.3,C,thermocouple-K,board,',
          'r3,80,70,41.9,C,thermocouple-K,board,', 'r4,30,66,58.7,C,thermocouple-K,board,']


def ill_named(ref):
    return together(cell('parts.csv', 'ref', ref), cell('sources.csv', 'ref', ref, 2),
                    cell('readings.csv', 'id', ref), cell('board.csv', 'name', ref))


def special_cases():
    def case(section, tried, status, damage, words=Case.words, **more):
        return Case(section, tried, status, damage, words, **more)

    return [
        case('board.csv', 'missing', MISSING, in_place_of('board.csv', lambda path: None)),
        case('board.csv', 'the smallest trade: 10 x 10 mm', DONE,
             together(board_of(10, 10), spread_over(0.1), put_sizes), MAP),
        case('board.csv', 'the largest trade: 600 x 500 mm', DONE, board_of(600, 500), MAP),
        case('board.csv', 'the same, and its readings six times as far apart', DONE,
             together(board_of(600, 500), spread_over(6)), MAP),
        case('board.csv', '90,000 mm wide', DATA, cell('board.csv', 'width', '90000')),
        case('board.csv', 'a separator line `sep=|`', DATA, turn('board.csv', lambda sound: b'sep=|\n' + sound)),
        case('board.csv', 'key `width` twice', DATA, add('board.csv', 'width,99,mm')),
        case('policy.csv', 'a key that is not known', DONE, add('policy.csv', 'wear_limit,0,')),
        case('policy.csv', 'checked only where it would be replaced long since', DONE,
             add('policy.csv', 'past_life_check,0.9,', 'past_life_replace,0.1,')),
        case('outline.csv', 'an edge that crosses itself', DATA,
             put('outline.csv', ring((0, 0, 0), (0, 90, 70), (0, 90, 0), (0, 0, 60)))),
        case('outline.csv', 'the same, its two loops alike', DATA,
             put('outline.csv', ring((0, 0, 0), (0, 90, 70), (0, 90, 0), (0, 0, 70)))),
        case('outline.csv', 'two corners', DATA, put('outline.csv', ring((0, 0, 0), (0, 90, 0)))),
        case('outline.csv', 'a board that is a sliver, 0.05 mm wide', DATA,
             put('outline.csv', ring(*square(0, 0, 0, 100, 0.05)))),
        case('outline.csv', 'a sliver of 0.05 x 70 mm that stands off the board', DONE, put('outline.csv', ring(
            (0, 0, 0), (0, 95, 0), (0, 95, 10), (0, 100, 10), (0, 100, 80), (0, 99.95, 80), (0, 99.95, 10.05),
            (0, 95, 10.05), (0, 95, 80), (0, 0, 80))), MAP),
        case('outline.csv', 'all corners on one line', DATA,
             put('outline.csv', ring((0, 0, 0), (0, 50, 40), (0, 100, 80)))),
        case('outline.csv', 'a corner repeated a thousand times', DONE,
             put('outline.csv', ring(*square(0, 0, 0, 100, 80), *[(0, 0, 80)] * 1000))),
        case('outline.csv', 'a cut-out beside the board', DONE,
             put('outline.csv', ring(*square(0, 0, 0, 94, 80), *square(1, 95, 10, 99, 20)))),
        case('outline.csv', 'a cut-out as large as the board', DATA,
             put('outline.csv', ring(*square(0, 0, 0, 100, 80), *square(1, 0, 0, 100, 80)))),
        case('outline.csv', '30,000 corners', DATA, put('outline.csv', ring(
            *[(0, i % 100 + 0.001 * (i // 100), 40) for i in range(30000)]))),
        case('outline.csv', 'two halves and a neck of 0.2 mm', DONE, put('outline.csv', ring(
            (0, 0, 0), (0, 100, 0), (0, 100, 80), (0, 56, 80), (0, 56, 0.2), (0, 55, 0.2), (0, 55, 80), (0, 0, 80))),
            MAP),
        case('keepout.csv', 'an area that crosses itself', DATA,
             put('keepout.csv', ring((1, 0, 0), (1, 90, 70), (1, 90, 0), (1, 0, 60)))),
        case('mask.csv', 'a ring that crosses itself', DATA,
             put('mask.csv', ring((1, 0, 0), (1, 90, 70), (1, 90, 0), (1, 0, 60)))),
        case('mask.csv', 'the whole board', DATA, put('mask.csv', ring(*square(1, 0, 0, 118, 84))),
             model='thermogram'),
        case('mask.csv', 'a ring for no thermogram', DONE, put('mask.csv', ring(*square(1, 5, 5, 9, 9)))),
        case('thermogram.csv', 'in degrees Fahrenheit, without a word', DONE, turn('thermogram.csv', fahrenheit), MAP,
             model='thermogram'),
        case('thermogram.csv', 'upside down', DONE,
             turn('thermogram.csv', lambda sound: table_of(rows_of(sound)[::-1])), MAP, model='thermogram'),
        case('sources.csv', '1,000 sources', DONE, many_sources(1000), MAP),
        case('sources.csv', '1,001 sources', DATA, many_sources(1001)),
        case('sources.csv', 'beside the board', DATA, cell('sources.csv', 'x_mm', '190')),
        case('sources.csv', 'no width, a negative height and power', DATA,
             put('sources.csv', 'ref,x_mm,y_mm,width_mm,height_mm,power_w\nU1,9,9,0,-3,-1e9\n')),
        case('sources.csv', '5,000 W on one of them', DONE, cell('sources.csv', 'power_w', '5000'), MAP),
        case('readings.csv', 'missing', MISSING, in_place_of('readings.csv', lambda path: None)),
        case('readings.csv', 'off the board', DATA, cell('readings.csv', 'x_mm', '131.7')),
        case('readings.csv', 'below absolute zero', DATA, cell('readings.csv', 'value', '-500')),
        case('readings.csv', 'one reading alone', DONE, readings(SPREAD[0]), MAP),
        case('readings.csv', 'of sources alone', DATA, readings('r1,18,60,71,C,thermocouple-K,source,'), MAP),
        case('readings.csv', 'two a micrometre apart, alike', DONE,
             readings(*SPREAD, 'r5,30.001,66,58.6,C,thermocouple-K,board,'), MAP),
        case('readings.csv', 'two a micrometre apart that contradict, each sure to a millikelvin', DONE,
             readings(*SPREAD, 'r5,50,40,40,C,thermocouple-K,board,0.001',
                      'r6,50.001,40,90,C,thermocouple-K,board,0.001'), MAP),
        case('readings.csv', 'all in one place', DONE,
             readings(*(f'r{i},50,40,{44 + 0.3 * i:.1f},C,thermocouple-K,board,' for i in range(6))), MAP),
        case('readings.csv', 'all colder than the air', DONE,
             together(readings(*SPREAD), *(cell('readings.csv', 'value', '11.3', row)
                                           for row in range(1, len(SPREAD) + 1))), MAP),
        case('readings.csv', 'all unsure by 50 K', DONE, readings(*(row + '50' for row in SPREAD)), MAP),
        case('parts.csv', 'missing', MISSING, in_place_of('parts.csv', lambda path: None)),
        case('parts.csv', '10,000 parts', DONE, many_parts(10000), MAP),
        case('parts.csv', 'off the board', DATA, cell('parts.csv', 'y_mm', '-9')),
        case('parts.csv', 'a name twice', DATA, cell('parts.csv', 'ref', 'C2')),
        case('parts.csv', 'a type that is none', DONE, put('parts.csv', 'ref,x_mm,y_mm,type\nC1,3,4,tantal\n'), MAP),
        case('parts.csv', 'a condition that is none', DATA, put('parts.csv', 'ref,x_mm,y_mm,condition\nC1,3,4,fine\n')),
        case('parts.csv', 'measured without anything to judge by', DONE, put(
            'parts.csv', 'ref,x_mm,y_mm,measured_uf,measured_esr_ohm,leakage_ua\nC1,3,4,47,0.3,12\n'), MAP),
        case('parts.csv', 'all limits at the ends of their ranges', DONE, put(
            'parts.csv', 'ref,x_mm,y_mm,type,capacitance_uf,rated_v,esr_hz,measured_esr_ohm,tan_delta,leakage_ua\n'
            'C1,3,4,polymer,0.001,1000,1000000,1e6,0.001,0\nC2,9,4,film,1e7,1,50,0,2,1e6\n'), MAP),
        case('parts.csv', 'semicolons, and decimal commas in comma cells', DATA,
             put('parts.csv', 'ref;x_mm,y_mm\nC1;1,2;3\n')),
        case('parts.csv', 'printf directives and terminal escapes', DATA,
             put('parts.csv', 'ref,x_mm,y_mm\nC1,%n%s%n,\033[2J\n')),
        case('parts.csv', 'overlong UTF-8', DATA, put('parts.csv', b'ref,x_mm,y_mm\nC\xc0\xaf,3,4\n')),
        case('history.csv', 'negative hours, hot air, no number', DATA,
             put('history.csv', 'hours,service_ambient,load\n-1,1e9,nan\n')),
        case('history.csv', 'a million hours, sixty times', DONE,
             put('history.csv', 'hours\n' + '1000000\n' * 60), MAP),
        case('../machine.csv', 'keys of one board', DONE, put('../machine.csv', 'key,value\nwidth,1e9\nambient,-9\n')),
        case('../machine.csv', 'hours of which more are in doubt than there are', DATA,
             together(board_without('run_hours', 'run_hours_u'),
                      put('../machine.csv', 'key,value\nrun_hours,5\nrun_hours_sd,7\n'))),
        case('../machine.csv', 'printf directives and terminal escapes as owner', DONE,
             put('../machine.csv', 'key,value\nowner,%n%s\u2028<script>\ntechnician,=1+1\n'), MAP),
        case('controls.csv', 'nothing measured on a part of nothing', DATA,
             put('controls.csv', 'value_uf,measured_uf\n0,0\n')),
        case('controls.csv', 'a meter that shows a millionth', DONE,
             put('controls.csv', 'value_uf,measured_uf\n1000,0.001\n4700,0.0047\n'), MAP),
        case('marks.csv', 'missing beside a thermogram', DATA,
             in_place_of('marks.csv', lambda path: None), model='thermogram'),
        case('marks.csv', 'three marks', DATA,
             turn('marks.csv', lambda sound: table_of(rows_of(sound)[:4])), model='thermogram'),
        case('marks.csv', 'all marks on one line', DATA, put('marks.csv', 'col,row,x_mm,y_mm\n' + ''.join(
            f'{10 * i},{7 * i},{5 * i},{4 * i}\n' for i in range(1, 6))), model='thermogram'),
        case('marks.csv', 'all marks in one place', DATA,
             put('marks.csv', 'col,row,x_mm,y_mm\n' + '9,9,20,20\n' * 5), model='thermogram'),
        case('marks.csv', 'a mark outside the picture', DATA, cell('marks.csv', 'col', '5000'), model='thermogram'),
        case('thermogram.csv', 'missing beside marks', MISSING,
             in_place_of('thermogram.csv', lambda path: None), model='thermogram'),
        case('thermogram.csv', 'a row shorter than the first', DATA,
             turn('thermogram.csv', lambda sound: sound + b'23.1,23.2\n'), model='thermogram'),
        case('thermogram.csv', 'a million columns of numbers', DATA,
             put('thermogram.csv', '23.1,' * 999_999 + '23.1\n'), model='thermogram'),
        case('thermogram.csv', 'words about the picture, and a row and a column that count', DONE,
             turn('thermogram.csv', camera_sheet), MAP, model='thermogram'),
        case('thermogram.csv', '200 lines of words before the picture', DONE,
             turn('thermogram.csv', lambda sound: b'Camera 7, at 2.5 m\n' * 200 + sound), model='thermogram'),
        case('thermogram.csv', 'two pictures, one after another', DATA,
             turn('thermogram.csv', lambda sound: sound + b'Picture 2\n' + sound), model='thermogram'),
        case('thermogram.csv', 'words alone', DATA,
             put('thermogram.csv', 'Camera 7\nEmissivity,0.95\n' * 50), model='thermogram'),
        case('thermogram.csv', '`NaN`, `---` and `n/a` in place of pixels', DONE,
             turn('thermogram.csv', lambda sound: sound.replace(b',22.91,', b',NaN,').replace(b'23.06,', b'---,', 1)
                  .replace(b',23.02', b',n/a', 1)), model='thermogram'),
        case('thermogram.csv', 'decimal commas between commas', DATA,
             turn('thermogram.csv', lambda sound: sound.replace(b'.', b',')), model='thermogram'),
        case('thermogram.csv', 'decimal commas in quotation marks between commas', DONE,
             turn('thermogram.csv', lambda sound: '\n'.join(
                 ','.join(f'"{cell}"' for cell in row).replace('.', ',') for row in rows_of(sound)).encode()),
             model='thermogram'),
        case('thermogram.csv', 'stood on end, rows for columns', DATA,
             turn('thermogram.csv', lambda sound: table_of(zip(*rows_of(sound)[::-1]))), MAP, model='thermogram'),
        case('thermogram.csv', 'one pixel', DATA, put('thermogram.csv', '23.1\n'), model='thermogram'),
        case('thermogram.csv', 'every pixel blank', DATA,
             put('thermogram.csv', (',' * 159 + '\n') * 120), model='thermogram'),
        case('thermogram.csv', 'every pixel alike', DONE,
             put('thermogram.csv', (','.join(['23.1'] * 160) + '\n') * 120), MAP, model='thermogram'),
    ] + text_cases() + result_cases() + command_line_cases() + job_json_cases()


# --- texts that somebody else would obey ---

def text_cases():
    texts = [('a formula `=cmd|...`', "=cmd|' /C calc'!A0"), ('a formula `+1+C2`', '+1+C2'),
             ('a formula `-1+C2`', '-1+C2'), ('a formula `@SUM(A1)`', '@SUM(A1)'),
             ('a script element', '<script>alert(7)</script>'), ('an end of a script', '</script><img src=x onerror=a()>'),
             ('an attribute', "x' onmouseover='a()"), ('an entity', '&lt;b&gt; &amp;#60;'),
             ('a path `../../../x`', '../../../x'), ('text that turns direction (U+202E)', 'C\u202e1C'),
             ('4,000 letters', 'C' * 4000)]
    named = [Case('Texts', f'{tried} as name of board, part, source and reading', DONE, ill_named(content), MAP)
             for tried, content in texts]
    return named + [
        Case('Texts', 'the same formula on the picture of a plan', DONE, ill_named('=1+C2'), PLAN),
        Case('Texts', 'the same script in a comparison', DONE, ill_named('<script>alert(7)</script>'), COMPARE)]


# --- where results cannot go ---

def out_is(make):
    """Something in the place of the results folder."""
    def damage(job):
        out = job.parent / 'OUT'
        for file in out.iterdir():
            file.unlink()
        out.rmdir()
        make(out)
    return damage


def out_has(make, name='heat.png'):
    return lambda job: make(job.parent / 'OUT' / name)


def shut(folder):
    folder.mkdir()
    folder.chmod(0o555)


def result_cases():
    made = []
    for words, name in ((MAP, 'heat.png'), (PLAN, 'plan.png'), (COMPARE, 'difference.png')):
        def case(tried, damage, words=words, **more):
            made.append(Case('Results folder', f'{words[0]}: {tried}', UNWRITABLE, damage, words, **more))
        case('the folder is a file', out_is(lambda out: out.write_text('a file')))
        case('the folder is a device', out_is(lambda out: out.symlink_to('/dev/null')))
        case('the folder is a link to itself', out_is(lambda out: out.symlink_to('OUT')))
        case('the folder may not be written', out_is(shut), no_root=True)
        case(f'a folder is in the place of {name}', out_has(lambda path: path.mkdir(), name))
        case(f'a named pipe is in the place of {name}', out_has(os.mkfifo, name))
        case(f'{name} is a link to itself', out_has(lambda path: path.symlink_to(path.name), name))
        case('the disk takes no more than 4 KiB a file', nothing, limits=(('RLIMIT_FSIZE', 4096),))
        case('standard output is a full disk', nothing, out_path='/dev/full',
             words=(words[0], '--json') + words[1:])
    made += [
        Case('Results folder', 'check: standard output is a full disk', UNWRITABLE, nothing, ('check', 'JOB'),
             out_path='/dev/full'),
        Case('Results folder', 'new: a file of the job is there', UNWRITABLE, nothing, ('new', 'JOB')),
        Case('Results folder', 'new: below a file', UNWRITABLE, nothing, ('new', 'JOB/board.csv/more')),
        Case('Results folder', 'new: the disk takes no more than 64 bytes a file', UNWRITABLE, nothing,
             ('new', 'FRESH'), limits=(('RLIMIT_FSIZE', 64),)),
        Case('Results folder', 'new: the folder may not be written', UNWRITABLE, out_is(shut), ('new', 'OUT'),
             no_root=True),
        Case('Results folder', 'map: a parts.csv of somebody else is there', UNWRITABLE,
             out_has(lambda path: path.write_text('ref,x_mm,y_mm,diameter_mm\nC1,7,9,8\n'), 'parts.csv'), MAP),
        Case('Results folder', 'map: a picture of somebody else is there', UNWRITABLE,
             out_is(lambda out: (out.mkdir(), (out / 'heat.png').write_text('a picture'))), MAP),
        Case('Results folder', 'plan: the folder is a link to the job', USAGE,
             out_is(lambda out: out.symlink_to('JOB')), PLAN),
        Case('Results folder', 'map: into the job itself', USAGE, nothing, ('map', '--out', 'JOB', 'JOB')),
        Case('Results folder', 'map: a folder without a name', USAGE, nothing, ('map', '--out', '', 'JOB')),
    ]
    return made


# --- a whole job as JSON ---

def job_json_cases():
    def case(tried, status, content):
        return Case('job.json', tried, status, put('in.json', content), ('bring', 'GONE', 'JOB/in.json', '--write'))

    def parts(rows, columns='["ref","x_mm"]'):
        return '{"schema":1,"tables":{"parts.csv":{"columns":%s,"rows":%s}}}' % (columns, rows)

    return [
        case('no byte', DATA, ''),
        case('no JSON', DATA, 'ref,x_mm\n'),
        case('half of it', DATA, parts('[["C1",3]')[:40]),
        case('a list', DATA, '[]'),
        case('another schema', DATA, '{"schema":7,"tables":{"parts.csv":{"columns":["ref"],"rows":[]}}}'),
        case('no table', DATA, '{"schema":1,"tables":{}}'),
        case('a name that leads elsewhere', DATA, '{"schema":1,"tables":{"../parts.csv":{"columns":["ref"],"rows":[]}}}'),
        case('a name of another file', DATA, '{"schema":1,"tables":{"report.html":{"columns":["ref"],"rows":[]}}}'),
        case('a table twice', DATA, '{"schema":1,"tables":{"parts.csv":{},"parts.csv":{}}}'),
        case('a table that is a text', DATA, '{"schema":1,"tables":{"parts.csv":"ref"}}'),
        case('no columns', DATA, parts('[]', '[]')),
        case('sixty-five columns', DATA, parts('[]', str([f'c{i}' for i in range(65)]).replace("'", '"'))),
        case('a column without a name', DATA, parts('[]', '["ref",""]')),
        case('a column named as a separator line', DATA, parts('[]', '["sep=;","ref"]')),
        case('a row that is longer', DATA, parts('[["C1",3,4]]')),
        case('a row of blanks', DATA, parts('[["",null]]')),
        case('a cell that is a list', DATA, parts('[["C1",[3]]]')),
        case('a cell with a byte 0', DATA, parts('[["C1\\u0000",3]]')),
        case('a number beyond all', DATA, parts('[["C1",1e999]]')),
        case('bytes that are no UTF-8', DATA, b'{"schema":1,"tables":{"parts.csv":{"columns":["\xff"],"rows":[]}}}'),
        case('lists in 100,000 lists', DATA, '[' * 100_000),
        Case('job.json', 'a folder that has a job', DATA, put('in.json', parts('[["C1",3]]')),
             ('bring', 'JOB', 'JOB/in.json', '--write')),
        Case('job.json', 'a file that is not there', MISSING, nothing, ('bring', 'GONE', 'gone.json', '--write')),
        Case('job.json', 'a folder that is not there, to be exported', MISSING, nothing, ('check', 'GONE', '--export')),
    ]


# --- the command line ---

def command_line_cases():
    def case(tried, status, *words, damage=nothing):
        return Case('Command line', tried, status, damage, words)

    made = [
        case('nothing', USAGE),
        case('an unknown command', USAGE, 'mpa', 'JOB'),
        case('a command of 100,000 letters', USAGE, 'm' * 100_000, 'JOB'),
        case('a command with terminal escapes', USAGE, '\x1b[2Jmap\x07', 'JOB'),
        case('an empty command', USAGE, ''),
        case('an unknown option', USAGE, 'map', '--cel', '1', '--colour', 'JOB'),
        case('an unknown letter', USAGE, 'map', '-Z', 'JOB'),
        case('an option without its value', USAGE, 'map', 'JOB', '--cell'),
        case('a value for an option that takes none', USAGE, 'map', '--quiet=yes', 'JOB'),
        case('no job', USAGE, 'check'),
        case('two jobs where one is read', USAGE, 'check', 'JOB', 'JOB'),
        case('one job where two are read', USAGE, 'compare', 'JOB'),
        case('a job twice', USAGE, 'map', 'JOB', 'SECOND', 'JOB/'),
        case('four hundred and one jobs', USAGE, 'map', *['JOB'] * 401),
        case('two jobs that are not there', MISSING, 'map', 'GONE', 'LOST'),
        case('jobs without a name for their results', USAGE, 'map', '--out', 'OUT', 'JOB', '/'),
        case('a thousand options', USAGE, 'map', 'JOB', *['--quiet'] * 1000),
        case('a job that is not there', MISSING, 'check', 'GONE'),
        case('a job whose name is empty', MISSING, 'check', ''),
        case('a job that is a file', MISSING, 'check', 'JOB/board.csv'),
        case('a job that is a device', MISSING, 'check', '/dev/zero'),
        case('a job whose name has 5,000 letters', MISSING, 'check', 'j' * 5000),
        case('a job whose name begins with a dash', MISSING, 'check', '--', '--json'),
        case('a job whose name is a printf directive', MISSING, 'check', '%n%s%d'),
        case('a part that is not there', USAGE, 'map', '--explain', 'C999', '--out', 'OUT', 'JOB'),
        case('an unknown model', USAGE, 'map', '--model', 'magic', 'JOB'),
    ]
    for option, values in (('--width', ('nan', '1e999', '0', '-1', '1600.5', '0x640', 'wide', '')),
                           ('--cell', ('nan', 'inf', '0', '-0.5', '0x2', '1e-300', '2mm')),
                           ('--dpi', ('1e9', '49')), ('--if-air', ('1e999', 'nan')), ('--if-grade', ('84.9',)),
                           ('--if-hours', ('-1',))):
        made += [case(f'`map {option} {value}`', USAGE, 'map', option, value, '--out', 'OUT', 'JOB')
                 for value in values]
    made += [case(f'`plan --points {value}`', USAGE, 'plan', '--points', value, '--out', 'OUT', 'JOB')
             for value in ('0', '101', 'nan', '3.5')]
    made += [case(f'`page --port {value}`', USAGE, 'page', '--port', value, 'JOB')
             for value in ('0', '80', '65536', '-1', 'nan', 'http')]
    return made


CASES = reader_cases() + special_cases()
