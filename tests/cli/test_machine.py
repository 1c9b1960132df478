# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The boards of a machine in one run: test_machine.py SPOTFIELD ROOT. What `map JOB JOB` writes and counts must be
what `map JOB` writes for each, one bad board stops no other, and a signal leaves whole folders or none."""
import csv
import os
import pathlib
import pty
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

PROGRAM, ROOT = sys.argv[1], pathlib.Path(sys.argv[2])
USAGE, BAD_DATA, MISSING, INTERNAL, UNWRITABLE = 64, 65, 66, 70, 73  # <sysexits.h>
VERDICTS = ('replace', 'check', 'leave')
SMALL, DEMO, OLD, HISTORY = 'samples/minimal', 'demo/desk-supply', 'samples/old-grade', 'samples/infrared-history'


def run(*words, **more):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True, **more)


def ends(status, said, *words):
    done = run(*words)
    assert done.returncode == status, (words, done)
    assert said in done.stderr, (said, done.stderr)
    return done


def lay(**jobs):
    for name, model in jobs.items():
        shutil.copytree(ROOT / model, name, ignore=shutil.ignore_patterns('out'))


def spoil(job):
    board = pathlib.Path(job, 'board.csv')
    board.write_text(re.sub(r'^width,[^,\n]*', 'width,22o', board.read_text(), flags=re.M))


def contents(folder):
    return {path.name: path.read_bytes() for path in pathlib.Path(folder).iterdir()}


def parts(folder):
    with open(pathlib.Path(folder, 'parts.csv'), encoding='utf-8', newline='') as file:
        return list(csv.DictReader(file))


def row_of(rows):
    """As the table of the boards must count these parts."""
    counts = [sum(part['verdict'] == verdict for part in rows) for verdict in VERDICTS]
    hottest = max(float(part['temp_c']) for part in rows)
    return [len(rows), *counts], hottest


def table(said):
    """Of each row its job, its counts (none: not mapped) and its hottest can."""
    made = []
    for line in said.split('\n\n')[0].splitlines()[1:]:
        found = re.fullmatch(r' *(\d+) +(\d+) +(\d+) +(\d+) +(\d+) C  (.*?)(?:, unchanged)?', line)
        lost = re.fullmatch(r'not mapped: see the message +(.*)', line)
        assert found or lost, line
        made.append((found[6], [int(found[i]) for i in range(1, 5)], float(found[5])) if found else (lost[1], None, None))
    return made


def each_board_is_as_by_itself():
    lay(small=SMALL, demo=DEMO, old=OLD)
    jobs = ('small', 'demo', 'old')
    alone, objects, complaints = {}, '', ''
    for job in jobs:
        done = run('map', job, '--json')
        assert done.returncode == 0, done
        objects, complaints = objects + done.stdout, complaints + done.stderr
        alone[job] = contents(f'{job}/out')
        shutil.rmtree(f'{job}/out')
    together = run('map', *jobs, '--json')
    assert (together.returncode, together.stdout, together.stderr) == (0, objects, complaints), together
    for job in jobs:
        assert contents(f'{job}/out') == alone[job], job
        shutil.rmtree(f'{job}/out')
    ends(0, '', 'map', *jobs, '--out', 'deep/results')
    for job in jobs:
        assert contents(f'deep/results/{job}') == alone[job], job
        assert not pathlib.Path(job, 'out').exists()
    assert run('map', *jobs, '--quiet').stdout == ''


def each_of_many_is_said_once_and_in_order():
    """More than processors, so that some begin when others have been told."""
    jobs = [f'n{i}' for i in range(2 * os.cpu_count() + 3)]
    lay(**{job: SMALL for job in jobs})
    said = run('map', *jobs, '--json').stdout
    assert re.findall(r'^  "job": "(.*)"', said, flags=re.M) == jobs, said


def the_worst_comes_first_and_the_sums_are_those_of_the_boards():
    lay(small=SMALL, demo=DEMO, old=OLD, bad=DEMO)
    spoil('bad')
    done = ends(BAD_DATA, 'bad/board.csv:', 'map', 'small', 'bad', 'demo', 'old')
    assert '\nspotfield map: bad: not mapped\n' in done.stderr, done.stderr
    assert not pathlib.Path('bad/out').exists()
    wanted = {job: row_of(parts(f'{job}/out')) for job in ('small', 'demo', 'old')}
    found = table(done.stdout)
    assert found[0] == ('bad', None, None), found
    order = sorted(wanted, key=lambda job: (-wanted[job][0][1], -wanted[job][0][2], -wanted[job][1]))
    assert [row[0] for row in found[1:]] == order, (found, wanted)
    assert order != ['small', 'demo', 'old'], 'the order given is no proof'
    for job, counts, hottest in found[1:]:
        assert counts == wanted[job][0] and abs(hottest - wanted[job][1]) <= 0.51, (job, counts, wanted[job])
    sums = [sum(counts) for counts in zip(*(row[0] for row in wanted.values()))]
    line = '3 boards, {} capacitors: replace {}, check {}, leave {}. 1 more board was not mapped.\n'.format(*sums)
    assert line in done.stdout, (line, done.stdout)


def one_and_none_are_counted_in_words():
    lay(small=SMALL, bad=SMALL, worse=SMALL)
    for job in ('bad', 'worse'):
        spoil(job)
    count = row_of(parts_of_a_run('small'))[0][0]
    assert f'\n1 board, {count} capacitors: ' in ends(BAD_DATA, '', 'map', 'small', 'bad').stdout
    rows = pathlib.Path('small/parts.csv').read_text().splitlines(keepends=True)
    last = max(i for i, row in enumerate(rows) if row.startswith('C'))
    first = min(i for i, row in enumerate(rows) if row.startswith('C'))
    pathlib.Path('small/parts.csv').write_text(''.join(rows[:first + 1] + rows[last + 1:]))
    said = ends(BAD_DATA, '', 'map', 'bad', 'small', 'worse').stdout
    assert '\n1 board, 1 capacitor: ' in said and ' 2 more boards were not mapped.\n' in said, said


def parts_of_a_run(job):
    ends(0, '', 'map', job)
    return parts(f'{job}/out')


def the_exit_status_is_the_highest():
    lay(small=SMALL, bad=SMALL)
    spoil('bad')
    ends(MISSING, 'gone: not mapped', 'map', 'gone', 'small', 'bad')
    ends(MISSING, 'bad: not mapped', 'map', 'bad', 'gone', 'small', '--json')
    assert pathlib.Path('small/out/parts.csv').exists()


def what_would_write_one_folder_twice_is_refused():
    lay(small=SMALL, demo=DEMO)
    shutil.copytree('small', 'other/small')
    ends(USAGE, 'small/ is given twice', 'map', 'small', 'demo', 'small/')
    ends(USAGE, 'would both go to out/small', 'map', 'small', 'other/small', '--out', 'out')
    ends(USAGE, 'has no name', 'map', 'small', '.', '--out', 'out')
    ends(USAGE, '--out needs the name', 'map', 'small', 'demo', '--out', '')
    ends(USAGE, 'give one JOB', 'map', 'small', 'demo', '--explain', 'C1')
    assert not any(pathlib.Path(made).exists() for made in ('out', 'small/out', 'demo/out'))


def a_private_job_makes_no_other_private():
    os.umask(0o022)
    lay(small=SMALL, open=SMALL)
    for file in pathlib.Path('small').glob('*.csv'):
        file.chmod(0o600)
    ends(0, '', 'map', 'open', 'small')
    told = ['small/out/parts.csv', 'open/out/parts.csv', *SET]
    modes = [pathlib.Path(file).stat().st_mode & 0o777 for file in told]
    assert modes == [0o600, 0o644, *[0o600] * len(SET)], [oct(mode) for mode in modes]
    shutil.rmtree('open/out')
    pathlib.Path('machine.csv').write_text('key,value\nowner,Station\n')
    pathlib.Path('machine.csv').chmod(0o640)
    ends(0, '', 'map', 'open')
    assert pathlib.Path('open/out/report.html').stat().st_mode & 0o777 == 0o640, 'it names the owner'


def many():
    jobs = [f'b{i}' for i in range(12)]
    lay(**{job: DEMO for job in jobs})
    return jobs


def start(jobs, **more):
    return subprocess.Popen([PROGRAM, 'map', *jobs], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                            start_new_session=True, **more)


def wait_for(found):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        here = found()
        if here:
            return here
        time.sleep(0.005)
    raise AssertionError('nothing came within a minute')


def alive_in(group):
    """State and name of what runs in a process group; one that has ended, and waits for init to take note, does not."""
    found = []
    for stat in pathlib.Path('/proc').glob('[0-9]*/stat'):
        try:
            head, rest = stat.read_text().rsplit(')', 1)
        except (FileNotFoundError, ProcessLookupError):
            continue
        state, _, its_group = rest.split()[:3]
        if int(its_group) == group and state not in 'ZX':
            found.append(state + ' ' + head)
    return found


def expect_none_in(group):
    """A map goes on for longer than is waited here; what a leak sanitizer began as its process ended does not."""
    until = time.monotonic() + 0.5
    while alive_in(group):
        assert time.monotonic() < until, f'goes on: {alive_in(group)}'
        time.sleep(0.01)


def a_signal_ends_all_of_it_and_leaves_whole_folders():
    jobs = many()
    whole = set(contents_of_a_run(jobs[0]))
    for number in (signal.SIGINT, signal.SIGTERM):
        under_way = start(jobs[1:])
        wait_for(lambda: [job for job in jobs[1:] if pathlib.Path(job, 'out/report.html').exists()])
        under_way.send_signal(number)
        under_way.communicate(timeout=60)
        assert under_way.returncode == -number, under_way.returncode
        expect_none_in(under_way.pid)
        made = [set(contents(f'{job}/out')) for job in jobs[1:] if pathlib.Path(job, 'out').exists()]
        assert all(names == whole for names in made), made
        assert len(made) < len(jobs) - 1, 'it had ended before the signal'
        for job in jobs[1:]:
            shutil.rmtree(f'{job}/out', ignore_errors=True)


def contents_of_a_run(job):
    ends(0, '', 'map', job)
    return contents(f'{job}/out')


def a_process_that_dies_takes_no_other_along():
    jobs = many()
    under_way = start(jobs)
    children = pathlib.Path(f'/proc/{under_way.pid}/task/{under_way.pid}/children')
    victim = int(wait_for(lambda: children.read_text().split())[0])
    os.kill(victim, signal.SIGKILL)
    said, complained = under_way.communicate(timeout=120)
    assert under_way.returncode == INTERNAL, (under_way.returncode, complained)
    assert len(re.findall(r'b\d+: ended by signal 9: not mapped\n', complained)) == 1, complained
    assert '\n11 boards, ' in said, said


def what_was_ignored_stays_ignored():
    jobs = many()
    under_way = start(jobs, preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN))
    wait_for(lambda: pathlib.Path(jobs[0], 'out').exists() or pathlib.Path(jobs[1], 'out').exists())
    under_way.send_signal(signal.SIGHUP)
    said = under_way.communicate(timeout=120)[0]
    assert under_way.returncode == 0 and '\n12 boards, ' in said, (under_way.returncode, said)


def on_terminal(*words, **surroundings):
    """The run, and what the terminal was told."""
    ours, theirs = pty.openpty()
    done = subprocess.run([PROGRAM, 'map', *words], stdout=subprocess.PIPE, stderr=theirs,
                          env=dict(os.environ, TERM='xterm', **surroundings))
    os.close(theirs)
    told = b''
    try:
        while more := os.read(ours, 4096):
            told += more
    except OSError:  # how a terminal ends that nobody has open
        pass
    return done, told


def messages_keep_their_colour():
    lay(small=SMALL, bad=SMALL)
    spoil('bad')
    error, warning = b'\x1b[1;31mbad/board.csv:', b'\x1b[1;33msmall/keepout.csv\x1b[0m'
    told = on_terminal('small', 'bad')[1]
    assert error in told and warning in told, told
    assert b'\x1b[' not in on_terminal('small', 'bad', NO_COLOR='1')[1]
    assert '\x1b[' not in run('map', 'small', 'bad', env=dict(os.environ, TERM='xterm')).stderr


def only_a_terminal_is_told_how_far_it_is():
    lay(small=SMALL, demo=DEMO)
    assert 'mapping' not in ends(0, '', 'map', 'small', 'demo').stderr
    done, told = on_terminal('small', 'demo')
    assert done.returncode == 0, done
    assert b'mapping: 0 of 2 done' in told and b'mapping' not in done.stdout, told
    assert re.search(rb'\r {40}\r[^m]*$', told), told


# --- the machine as a whole ---

def a_machine_has_one_page_and_one_kit():
    lay(**{'a b': SMALL, 'demo': DEMO, 'old': OLD, 'bad': SMALL})
    spoil('bad')
    pathlib.Path('machine.csv').write_text('key,value\nmachine,Desk <one>\nowner,Station\nservice_goal,9000\n')
    said = ends(BAD_DATA, '', 'map', 'a b', 'demo', 'bad', 'old').stdout
    page, boards = pathlib.Path('index.html').read_text(), csv_rows('boards.csv')
    assert '<h1>Desk &lt;one&gt;</h1>' in page and '<dd>Station</dd>' in page
    assert re.findall(r'<h1>|<a href="([^#"]+)"><img', page)[1:] == [f'{name}/out/report.html' for name in (
        'old', 'demo', 'a%20b')], page
    for link in re.findall(r'(?:href|src)="([^#"]+)"', page):
        assert pathlib.Path(link.replace('%20', ' ')).is_file(), link
    assert [(row['job'], row['state']) for row in boards] == [
        ('bad', 'not mapped'), ('old', 'mapped'), ('demo', 'mapped'), ('a b', 'mapped')], boards
    for row in boards[1:]:
        counts, hottest = row_of(parts(row['results']))
        assert [int(row[name]) for name in ('capacitors', *VERDICTS)] == counts and float(row['hottest_c']) == hottest
    kits = {job: csv_rows(f'{job}/out/kit.csv') for job in ('a b', 'demo', 'old')}
    wanted = {(job, ref) for job, lines in kits.items() for line in lines for ref in line['refs'].split()}
    found = [(job, ref) for line in csv_rows('kit.csv') for board in line['refs'].split('; ')
             for job, refs in [board.split(': ')] for ref in refs.split()]
    assert len(found) == len(set(found)) and set(found) == wanted, (found, wanted)
    for line in csv_rows('kit.csv'):
        assert int(line['spares']) == -(-int(line['count']) // 10), line  # 10 % of it, rounded up
        assert int(line['count']) == len(re.findall(r'C\d+', line['refs'])), line
    assert f"One kit: {len(found)} parts of {len(csv_rows('kit.csv'))} kinds, " in said, said
    assert [row['reference'] for row in csv_rows('order.csv')] == [row['refs'] for row in csv_rows('kit.csv')]


def csv_rows(file):
    with open(file, encoding='utf-8', newline='') as table:
        return list(csv.DictReader(table))


def the_page_is_where_all_boards_are():
    lay(small=SMALL, demo=DEMO)
    os.mkdir('m')
    shutil.copytree('small', 'm/other')
    said = ends(0, '', 'map', 'small', 'm/other').stdout
    assert 'they are in several folders' in said and not any(pathlib.Path('.').glob('**/index.html')), said
    ends(0, '', 'map', 'small', 'm/other', '--out', 'results')
    assert 'src="small/heat.png"' in pathlib.Path('results/index.html').read_text()
    shutil.copytree('small', 'm/small')
    assert 'All boards on one page: m/index.html\n' in ends(0, '', 'map', 'm/small/', 'm/other').stdout
    os.symlink('m/other', 'elsewhere')
    assert 'All boards on one page: m/index.html\n' in ends(0, '', 'map', 'm/small', 'elsewhere').stdout
    pathlib.Path('index.html').write_text('of somebody')
    done = ends(UNWRITABLE, 'index.html: is not a result of an earlier run', 'map', 'small', 'demo')
    assert pathlib.Path('index.html').read_text() == 'of somebody' and '\n2 boards, ' in done.stdout
    assert 'All boards on one page' not in done.stdout and 'One kit' not in done.stdout, done.stdout
    assert not pathlib.Path('boards.csv').exists() and pathlib.Path('demo/out/parts.csv').exists()
    before = pathlib.Path('m/index.html').read_bytes()
    for job in ('m/small', 'm/other'):
        spoil(job)
    ends(BAD_DATA, '', 'map', 'm/small', 'm/other')
    assert pathlib.Path('m/index.html').read_bytes() == before, 'the earlier page stays'


def a_value_of_the_machine_is_told_as_such():
    lay(small=SMALL, demo=DEMO)
    pathlib.Path('machine.csv').write_text('key,value,unit\nowner,Station,\nservice_goal,9000,h\n')
    said = run('check', 'small').stdout
    assert 'service_goal not given: 9000 h taken from machine.csv' in said and 'Owner         Station\n' in said, said
    assert 'taken from machine.csv' in run('check', 'small', '--json').stdout
    assert 'service_goal not given' not in run('check', 'demo').stdout
    ends(0, '', 'map', 'small')
    report = pathlib.Path('small/out/report.html').read_text()
    assert 'taken from machine.csv' in report and '<dt>Owner</dt><dd>Station</dd>' in report
    pathlib.Path('machine.csv').write_text('key,value,unit\nservice_goal,soon,h\n')
    done = ends(BAD_DATA, 'small/../machine.csv:2: service_goal: "soon" is not a number, expected a number', 'map',
                'small', 'demo')
    assert 'page' not in done.stdout and '0 boards' in done.stdout, done


# --- what has not changed ---

SET = ('boards.csv', 'kit.csv', 'order.csv', 'index.html')  # of the machine
RESULTS = ('parts.csv', 'zones.csv', 'kit.csv', 'order.csv', 'readings.csv', 'sources.csv', 'field.csv', 'heat.png',
           'uncertainty.png', 'report.html')


def whole_set(folder):
    return {name: pathlib.Path(folder, name).read_bytes() for name in SET}


def stamps(job):
    """A result that is written anew is another file."""
    return {path.name: (path.stat().st_ino, path.stat().st_mtime_ns) for path in pathlib.Path(job, 'out').iterdir()}


def again(jobs, *options, made=()):
    """Maps them, and holds that just those of `made` were made anew; answers what was said."""
    before = {job: stamps(job) for job in jobs}
    done = ends(0, '', 'map', *jobs, *options)
    for job in jobs:
        anew = job in made
        assert (stamps(job) != before[job]) == anew, (job, options, 'made anew' if not anew else 'kept')
        if done.stdout and '--json' not in options:
            assert (f'{job}, unchanged\n' in done.stdout) != anew, (job, done.stdout)
    return done


def results_that_hold_are_not_made_again():
    lay(small=SMALL, demo=DEMO, old=OLD)
    jobs = ('small', 'demo', 'old')
    first = ends(0, '', 'map', *jobs)
    assert 'unchanged' not in first.stdout
    kept = contents('small/out'), whole_set('.')
    second = again(jobs)
    assert second.stdout.replace(', unchanged', '') == first.stdout, (first.stdout, second.stdout)
    for line in ('small/keepout.csv: warning', 'small/board.csv: warning'):  # of the files as they stand
        assert line in first.stderr and line in second.stderr, (line, second.stderr)
    assert (contents('small/out'), whole_set('.')) == kept
    os.utime('small/parts.csv')
    again(jobs)
    again(jobs, '--again', made=jobs)
    again(jobs, '--json', '--quiet', made=jobs)
    again(jobs, '--width', '500', made=jobs)
    again(jobs, '--width', '500')
    again(jobs, '--width', '500', '--if-air', '-5', made=jobs)
    again(jobs, made=jobs)
    shutil.rmtree('old/out')
    assert 'old, unchanged' not in ends(0, '', 'map', *jobs).stdout
    before = stamps('small')
    ends(0, '', 'map', 'small')
    assert stamps('small') != before, 'one job alone is always mapped'
    again(jobs)


def each_file_that_is_read_counts():
    lay(small=SMALL, old=HISTORY, heat='samples/thermogram')
    for name in ('controls', 'policy'):
        shutil.copy(ROOT / DEMO / f'{name}.csv', 'old')
    ends(0, '', 'map', 'small', 'old', 'heat', '--width', '400')
    files = [*pathlib.Path('old').glob('*.csv'), *(pathlib.Path('heat', f'{name}.csv') for name in ('thermogram', 'marks'))]
    assert len(files) == 10, files
    for file in files:
        with open(file, 'a', encoding='utf-8') as grown:
            grown.write('# seen\n')
        again(('small', file.parent.name), '--width', '400', made=(file.parent.name,))
    jobs = ('small', 'old')
    pathlib.Path('small/history.csv').write_text('hours,load\n1000,1\n')
    again(jobs, '--width', '400', made=('small',))
    pathlib.Path('small/history.csv').unlink()
    again(jobs, '--width', '400', made=('small',))
    pathlib.Path('small/notes.txt').write_text('nobody reads this')
    again(jobs, '--width', '400')
    pathlib.Path('machine.csv').write_text('key,value\nowner,Station\n')
    again(jobs, '--width', '400', made=jobs)


def results_that_are_missing_or_altered_are_made_anew():
    lay(small=SMALL, other=HISTORY)
    jobs = ('small', 'other')
    first = ends(0, '', 'map', *jobs, '--width', '400')
    whole = contents('other/out')
    assert set(whole) == set(RESULTS), set(whole)
    for name in RESULTS:
        file, was = pathlib.Path('other/out', name), whole[name]
        spoilt = [None, was[:-30] + bytes([was[-30] ^ 1]) + was[-29:]]
        if name in ('parts.csv', 'heat.png', 'report.html'):
            spoilt += [was[:-1], was + b'\n']
        for now in spoilt:
            file.unlink() if now is None else file.write_bytes(now)
            again(jobs, '--width', '400', made=('other',))
            assert contents('other/out') == whole, name
    pathlib.Path('other/out/report.html').write_bytes(pathlib.Path('small/out/report.html').read_bytes())
    assert again(jobs, '--width', '400', made=('other',)).stdout.replace('small, unchanged', 'small') == first.stdout


def killed_and_started_again_it_goes_on():
    jobs = [f'b{i}' for i in range(20)]
    lay(**{job: (DEMO, OLD, SMALL, HISTORY)[i % 4] for i, job in enumerate(jobs)})
    ends(0, '', 'map', *jobs)
    whole = {job: contents(f'{job}/out') for job in jobs}
    told = whole_set('.')
    for name in SET:
        pathlib.Path(name).unlink()
    for job in jobs:
        shutil.rmtree(f'{job}/out')
    under_way = start(jobs)
    wait_for(lambda: sum(pathlib.Path(job, 'out/report.html').exists() for job in jobs) >= 6)
    os.killpg(under_way.pid, signal.SIGKILL)
    under_way.communicate(timeout=60)
    done = {job: stamps(job) for job in jobs if pathlib.Path(job, 'out').exists()}
    assert 6 <= len(done) < len(jobs) and not pathlib.Path('index.html').exists(), len(done)
    said = ends(0, '', 'map', *jobs).stdout
    for job in jobs:
        assert (f' {job}, unchanged\n' in said) == (job in done), (job, said)
        assert job not in done or stamps(job) == done[job], job
        assert contents(f'{job}/out') == whole[job], job
    assert whole_set('.') == told


TESTS = (a_machine_has_one_page_and_one_kit, the_page_is_where_all_boards_are, a_value_of_the_machine_is_told_as_such,
         results_that_hold_are_not_made_again, each_file_that_is_read_counts,
         results_that_are_missing_or_altered_are_made_anew, killed_and_started_again_it_goes_on, each_board_is_as_by_itself,
         each_of_many_is_said_once_and_in_order, the_worst_comes_first_and_the_sums_are_those_of_the_boards,
         one_and_none_are_counted_in_words, the_exit_status_is_the_highest,
         what_would_write_one_folder_twice_is_refused, a_private_job_makes_no_other_private,
         a_signal_ends_all_of_it_and_leaves_whole_folders, a_process_that_dies_takes_no_other_along,
         what_was_ignored_stays_ignored, only_a_terminal_is_told_how_far_it_is,
         messages_keep_their_colour)

signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell starts in the background has it ignored
PROGRAM = os.path.abspath(PROGRAM)
ROOT = ROOT.resolve()
for test in TESTS:
    with tempfile.TemporaryDirectory() as place:
        os.chdir(place)
        test()
        os.chdir('/')
