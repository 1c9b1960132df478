# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What is written for a job is no more readable than its own files: test_modes.py PROGRAM DEMO."""
import http.client
import json
import os
import pathlib
import re
import shutil
import signal
import stat
import subprocess
import sys
import tempfile

EDIT = {'ops': [{'file': 'sources.csv', 'op': 'insert', 'set': {'ref': 'R77', 'x_mm': '31.5', 'y_mm': '17'}}]}
KIT_BEFORE = 'count,spares,capacitance_uf,rated_v\n'  # as an earlier run begins it


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


def edit(program, job):
    run = subprocess.Popen([program, 'page', str(job)], stdout=subprocess.PIPE, text=True)
    host, token = re.search(r'http://([\d.]+:\d+)(/\w+/)', run.stdout.readline()).groups()
    line = http.client.HTTPConnection(host, timeout=60)
    line.request('POST', token + 'edit', json.dumps(EDIT), {'Origin': 'http://' + host})
    assert line.getresponse().status == 200
    line.close()
    run.send_signal(signal.SIGTERM)
    assert run.wait(timeout=60) == 0


def check(program, demo, umask, files, folder, wanted):
    """All of the job has one mode, its folder another; then what the program makes has the wanted one."""
    os.umask(umask)
    with tempfile.TemporaryDirectory() as made:
        job, out = pathlib.Path(made) / 'job', pathlib.Path(made) / 'results'
        job.mkdir()
        for file in pathlib.Path(demo).glob('*.csv'):
            shutil.copyfile(file, job / file.name)
            (job / file.name).chmod(files)
        (job / 'sources.csv').unlink()
        (job / '.spotfield-history.json').write_text('{"spotfield_history": 1, "done": 0, "steps": []}')
        (job / '.spotfield-history.json').chmod(0o666)
        out.mkdir()
        (out / 'kit.csv').write_text(KIT_BEFORE)
        (out / 'kit.csv').chmod(0o604)
        job.chmod(folder)
        for command in ('map', 'plan'):
            subprocess.run([program, command, '--quiet', '--out', str(out), str(job)], check=True)
        edit(program, job)
        written = [name for name in out.iterdir() if name.name != 'kit.csv'] + [job / 'sources.csv']
        assert len(written) > 8
        for name in written:
            assert mode(name) == wanted, f'{name.name}: {mode(name):o} where {wanted:o} is wanted'
        assert mode(out / 'kit.csv') == 0o604, 'what stood there keeps its mode'
        history = mode(job / '.spotfield-history.json')
        withheld = 0o666 & ~wanted
        assert history & withheld & ~umask == 0, f'the history is {history:o}'


def main():
    program, demo = sys.argv[1:]
    check(program, demo, 0o022, 0o644, 0o755, 0o644)
    check(program, demo, 0o022, 0o600, 0o755, 0o600)
    check(program, demo, 0o022, 0o640, 0o755, 0o640)
    check(program, demo, 0o022, 0o644, 0o700, 0o600)
    check(program, demo, 0o022, 0o644, 0o750, 0o640)
    check(program, demo, 0o077, 0o644, 0o755, 0o600)


main()
