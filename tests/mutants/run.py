# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Puts plausible mistakes into copies of the source, one at a time, and sees whether the tests of
the room notice: run.py [--check] [--only WORDS]... [--scratch FOLDER] [--resume FILE]. The mistakes are
those of mutants.txt. Ends with `N killed, N survived`; exit status 1 where fewer than 95 % were killed, 2
where the list is at fault. --check only looks whether every mutant still finds its place. --resume keeps
what was killed in FILE, and a run that was ended goes on from there; what survived is tried again."""
import argparse
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
KILLED_LEAST = 0.95
TIMEOUT_LEAST_S = 20
NO_BUILD = 'the compiler'  # which proves nothing of the tests: the mutant is at fault
TESTED_BY = {'survey': ('survey', 'output')}  # where what is found out is told
TIMEOUT_TIMES = 15  # what a test takes by itself; a mistake may make it wait for ever


class Mutant:
    """A line of a file as it is, as it is not, and why somebody might write that."""

    def __init__(self, path, right, wrong, why):
        self.path, self.right, self.wrong, self.why = path, right, wrong, why
        self.room = path.split('/')[1]
        file = ROOT / path
        before, *after = file.read_text(encoding='utf-8').split(right) if file.exists() else ['']
        self.line, self.found = before.count('\n') + 1, len(after)

    def fault(self):
        """What keeps it from being applied, or None."""
        if self.right == self.wrong:
            return 'changes nothing'
        return None if self.found == 1 else f'is found {self.found} times'

    def name(self):
        """What tells it from the others, whatever its line is."""
        return json.dumps([self.path, self.right, self.wrong])

    def __str__(self):
        return f'{self.path}:{self.line}: {self.why}'


def read_list(path):
    """Blocks of a path, `- ` the right code, `+ ` the wrong one, `= ` why; # begins a comment."""
    text = re.sub(r'^#.*\n', '', path.read_text(encoding='utf-8'), flags=re.M)
    for block in filter(str.strip, re.split(r'\n\s*\n', text)):
        shape = re.fullmatch(r'(\S+)\n- (.+)\n\+ ?(.*)\n= (.+)', block.strip('\n'))
        if not shape:
            sys.exit(f'{path.name}: not path, -, + and = in this order:\n{block}')
        yield Mutant(*shape.groups())


def faults_of(mutants):
    faults = [f'{one.path}: "{one.right}" {one.fault()}' for one in mutants if one.fault()]
    names = [one.name() for one in mutants]
    return faults + [f'{name} stands twice in the list' for name in sorted(set(names)) if names.count(name) > 1]


def stops_at_warnings(build):
    options = json.loads((build / 'meson-info' / 'intro-buildoptions.json').read_text(encoding='utf-8'))
    return any(option['name'] == 'werror' and option['value'] for option in options)


class Workshop:
    """A copy of the tree, built without mistakes to begin with: from the objects of ROOT/build where those are, since
    a mistake in one file then costs a compilation and the links of a test."""

    def __init__(self, folder, rooms):
        self.tree = folder / 'tree'
        self.build = self.tree / 'build'
        self.log = folder / 'build.log'
        built = (ROOT / 'build' / 'build.ninja').exists()
        if built and stops_at_warnings(ROOT / 'build'):
            sys.exit('build stops at warnings, which many a mistake makes: meson configure build -Dwerror=false')
        # times are kept, and ninja goes by them; names in its files are relative
        shutil.copytree(ROOT, self.tree, symlinks=True, ignore=shutil.ignore_patterns(
            '.git', 'build-*', 'out', 'node_modules', '__pycache__', *([] if built else ['build'])))
        if not built:
            compiler = os.environ.get('CC', 'ccache gcc' if shutil.which('ccache') else 'gcc')
            subprocess.run(['meson', 'setup', self.build, self.tree], check=True,
                           stdout=subprocess.DEVNULL, env=os.environ | {'CC': compiler})
        self.tests = {room: self.sound_tests(room) for room in rooms}

    def ninja(self, targets):
        with open(self.log, 'w', encoding='utf-8') as log:
            return subprocess.run(['ninja', '-C', self.build, *targets], stdout=log,
                                  stderr=subprocess.STDOUT, check=False).returncode == 0

    def sound_tests(self, room):
        """The tests of a room with the time each takes, the fastest first; all must pass."""
        told = json.loads((self.build / 'meson-info' / 'intro-tests.json').read_text(encoding='utf-8'))
        targets = json.loads((self.build / 'meson-info' / 'intro-targets.json').read_text(encoding='utf-8'))
        made = {of['id']: [path.replace(str(ROOT), str(self.tree)) for path in of['filename']] for of in targets}
        timed = []
        for test in told:
            if not {f'spotfield:{suite}' for suite in TESTED_BY.get(room, (room,))} & set(test['suite']):
                continue
            command = [word.replace(str(ROOT), str(self.tree)) for word in test['cmd']]
            needs = [os.path.relpath(path, self.build) for target in test['depends'] for path in made[target]]
            if not self.ninja(needs):
                sys.exit(self.log.read_text(encoding='utf-8'))
            started = time.monotonic()
            if not self.passes(command, None):
                sys.exit(f'{test["name"]} fails without any mutant')
            timed.append((time.monotonic() - started, needs, command, test['name']))
        return sorted(timed)

    def in_order(self, mutant):
        """Tests that are named as its file first, then the fastest."""
        stems = set(pathlib.Path(mutant.path).stem.split('_'))
        return sorted(self.tests[mutant.room], key=lambda test: not stems & set(re.split(r'[_ ]', test[3])))

    def killer(self, mutant):
        """The first test that notices, NO_BUILD, or None."""
        path = self.tree / mutant.path
        right = path.read_text(encoding='utf-8')
        path.write_text(right.replace(mutant.right, mutant.wrong), encoding='utf-8')
        try:
            for took, needs, command, name in self.in_order(mutant):
                if not self.ninja(needs):
                    return NO_BUILD
                if not self.passes(command, max(TIMEOUT_LEAST_S, TIMEOUT_TIMES * took)):
                    return name
            return None
        finally:
            path.write_text(right, encoding='utf-8')

    def passes(self, command, timeout_s):
        """Whether a test ends well, where meson would run it; one that never ends does not."""
        try:
            return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=self.build,
                                  timeout=timeout_s, check=False).returncode == 0
        except subprocess.TimeoutExpired:
            return False


class Noticed:
    """Which mutants were killed, and by what, in this run and the ones it goes on from."""

    def __init__(self, path):
        self.path, self.killers = path, {}
        if path and path.exists():
            self.killers = dict(json.loads(line) for line in path.read_text(encoding='utf-8').splitlines())

    def add(self, mutant, killer):
        self.killers[mutant.name()] = killer
        if self.path:
            with open(self.path, 'a', encoding='utf-8') as file:
                file.write(json.dumps([mutant.name(), killer]) + '\n')


def run(mutants, scratch, noticed):
    broken = []
    left = [one for one in mutants if one.name() not in noticed.killers]
    if len(left) < len(mutants):
        print(f'{len(mutants) - len(left)} of {len(mutants)} were killed before')
    with tempfile.TemporaryDirectory(prefix='spotfield-mutants-', dir=scratch) as folder:
        shop = Workshop(pathlib.Path(folder), sorted({one.room for one in left})) if left else None
        for one in left:
            killer = shop.killer(one)
            print(f'{"killed by " + killer if killer else "SURVIVED"}: {one}', flush=True)
            broken += [one] if killer == NO_BUILD else []
            if killer and killer != NO_BUILD:
                noticed.add(one, killer)
    survivors = [one for one in left if one.name() not in noticed.killers and one not in broken]
    for one in survivors:
        print(f'survived: {one}\n    - {one.right}\n    + {one.wrong}')
    for one in broken:
        print(f'does not build: {one}\n    + {one.wrong}')
    if broken:
        return 2
    print(f'{len(mutants) - len(survivors)} killed, {len(survivors)} survived')
    return 0 if len(survivors) <= (1 - KILLED_LEAST) * len(mutants) else 1


def main():
    options = argparse.ArgumentParser(description=__doc__.split(':')[0])
    options.add_argument('--check', action='store_true', help='only look whether all have a place')
    options.add_argument('--only', action='append', help='mutants whose path or reason has these words')
    options.add_argument('--resume', type=pathlib.Path, help='keeps what was killed, and goes on from there')
    options.add_argument('--scratch', help='folder to work in; the system\'s by default')
    asked = options.parse_args()
    every = list(read_list(HERE / 'mutants.txt'))
    faults = faults_of(every)
    print('\n'.join(faults), end='\n' if faults else '')
    if faults or not every:
        return 2
    if asked.check:
        print(f'{len(every)} mutants have their place')
        return 0
    chosen = [one for one in every if any(words in str(one) for words in asked.only or [''])]
    return run(chosen, asked.scratch, Noticed(asked.resume)) if chosen else 2


sys.exit(main())
