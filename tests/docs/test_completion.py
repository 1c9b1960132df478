# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds the completions against the program's help: test_completion.py SPOTFIELD BASH ZSH FISH."""
import re
import shutil
import subprocess
import sys

program, bash, zsh, fish = sys.argv[1:]
faults = []


def help_of(*words):
    return subprocess.run([program, *words, '--help'], capture_output=True, text=True,
                          check=True).stdout


def options_in(words):
    return set(re.findall(r'^  (?:-\w, |    )(--[\w-]+)', words, re.M))


def offered(*words):
    """What bash offers for the last word."""
    line = ' '.join(f"'{word}'" for word in words)
    script = f'. {bash}; COMP_WORDS=({line}); COMP_CWORD={len(words) - 1}; _spotfield; ' \
             'printf "%s\\n" "${COMPREPLY[@]}"'
    done = subprocess.run(['bash', '-c', script], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def expect_same(what, found, wanted):
    if found != wanted:
        faults.append(f'{what}: {sorted(found)} instead of {sorted(wanted)}')


commands = set(re.findall(r'^  (\w+) [A-Z]+\b', help_of().split('Commands:')[1], re.M))
assert len(commands) >= 4, commands
expect_same('commands', offered('spotfield', ''), commands)
expect_same('options', offered('spotfield', '--'), options_in(help_of()))
for command in sorted(commands):
    expect_same(command, offered('spotfield', command, '--'), options_in(help_of(command)))
    for shell, path, mark in (('zsh', zsh, '--{}['), ('fish', fish, '-l {} ')):
        lines = [line for line in open(path, encoding='utf-8') if re.search(rf'\b{command}\b', line)]
        for name in options_in(help_of(command)):
            if not any(mark.format(name[2:]) in line for line in lines):
                faults.append(f'{shell}: {command} lacks {name}')
models = set(re.findall(r'^  ([\w-]+)  ', help_of('map').split('Models:')[1].split('Results:')[0], re.M))
expect_same('models', offered('spotfield', 'map', '--model', ''), models)
for operand in ("map) .* '*:JOB:_files -/'", "bring) .* '1:JOB:_files -/' '*:FILE:_files'"):
    if not re.search(re.escape(operand).replace(re.escape('.*'), '.*') + ' ;;', open(zsh, encoding='utf-8').read()):
        faults.append(f'zsh: no {operand}')
for shell, path in (('bash', bash), ('zsh', zsh), ('fish', fish)):
    if not shutil.which(shell):
        print(f'skipped: {shell} is not installed, and has not read its completions')
    elif subprocess.run([shell, '-n', path], check=False).returncode != 0:
        faults.append(f'{path} is no {shell}')
print('\n'.join(faults))
sys.exit(bool(faults))
