# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Writes shell completions from the program's own help, so that they cannot drift from it:
generate.py SPOTFIELD bash|zsh|fish OUTPUT."""
import re
import subprocess
import sys


def help_of(program, *command):
    return subprocess.run([program, *command, '--help'], capture_output=True, text=True,
                          check=True).stdout


def rows(words, heading):
    """The rows under a heading, each as its name and its meaning."""
    part = words.split(f'\n{heading}:\n', 1)[1].split('\n\n', 1)[0] if f'\n{heading}:\n' in words else ''
    return [re.match(r'\s+(\S.*?)\s{2,}(.*)', row).groups() for row in part.splitlines()]


def option(name, meaning):
    letter, long, value = re.fullmatch(r'(?:-(\w), )?--([\w-]+)(?: (\w+))?', name).groups()
    return {'letter': letter, 'long': long, 'value': value, 'meaning': meaning}


def forms(one):
    return ([f'-{one["letter"]}'] if one['letter'] else []) + [f'--{one["long"]}']


def read(program):
    """For each command, "" being the program itself: summary, operand, options, model names."""
    whole = help_of(program)
    listed = [('', '', '')] + [(*name.split(' ', 1), meaning) for name, meaning in rows(whole, 'Commands')]
    commands = {}
    for name, operand, summary in listed:
        words = help_of(program, name) if name else whole
        commands[name] = {'operand': operand, 'summary': summary,
                          'options': [option(*row) for row in rows(words, 'Options')],
                          'models': [model for model, _ in rows(words, 'Models')]}
    return commands


def bash(commands):
    cases = []
    for name, of in commands.items():
        offered = ' '.join(f'--{one["long"]}' for one in of['options'])
        cases.append(f'        {name or chr(34) * 2}) options="{offered}" ;;')
    values = ['        -o | --out) COMPREPLY=($(compgen -d -- "$word")); return ;;']
    models = ' '.join(dict.fromkeys(model for of in commands.values() for model in of['models']))
    values.append(f'        -m | --model) COMPREPLY=($(compgen -W "{models}" -- "$word")); return ;;')
    plain = sorted({form for of in commands.values() for one in of['options']
                    if one['value'] and one['long'] not in ('out', 'model')
                    for form in forms(one)})
    values.append(f'        {" | ".join(plain)}) return ;;')
    names = ' '.join(name for name in commands if name)
    return '\n'.join([
        '_spotfield() {',
        '    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command= options=',
        '    COMPREPLY=()',
        '    [ "$COMP_CWORD" -gt 1 ] && command=${COMP_WORDS[1]}',
        '    case $before in', *values, '    esac',
        '    case $command in', *cases, '    esac',
        '    case $word in',
        '        -*) COMPREPLY=($(compgen -W "$options" -- "$word")) ;;',
        f'        *) if [ -z "$command" ]; then COMPREPLY=($(compgen -W "{names}" -- "$word"))',
        *[f'           elif [ "$command" = {name} ]; then COMPREPLY=($(compgen -f -- "$word"))'
          for name, of in commands.items() if of['operand'].endswith('FILE...')],
        '           else COMPREPLY=($(compgen -d -- "$word")); fi ;;',
        '    esac', '}', 'complete -o filenames -F _spotfield spotfield', ''])


def zsh_words(words):
    return re.sub(r'([\[\]:])', r'\\\1', words).replace("'", "'\\''")


def zsh_option(one, models):
    spelt = forms(one)
    action = {'out': '_files -/', 'model': f'({" ".join(models)})'}.get(one['long'], ' ')
    value = f':{one["value"]}:{action}' if one['value'] else ''
    return [f"'({' '.join(spelt)}){form}[{zsh_words(one['meaning'])}]{value}'" for form in spelt]


def zsh_operand(place, word):
    files = '_files' if word == 'FILE...' else '_files -/'
    return f"'*:{word[:-3]}:{files}'" if word.endswith('...') else f"'{place}:{word}:{files}'"


def zsh(commands):
    lines = ['#compdef spotfield', '_spotfield() {', '    local -a commands',
             '    local curcontext="$curcontext" state line', '    commands=(']
    lines += [f"        '{name}:{zsh_words(of['summary'])}'" for name, of in commands.items() if name]
    program = ' '.join(form for one in commands['']['options'] for form in zsh_option(one, []))
    lines += ['    )', f"    _arguments -C {program} '1: :->command' '*:: :->rest' && return",
              '    [[ $state == command ]] && { _describe command commands; return; }',
              '    case $words[1] in']
    for name, of in commands.items():
        if name:
            offered = ' '.join(form for one in of['options'] for form in zsh_option(one, of['models']))
            operands = ' '.join(zsh_operand(place, word) for place, word in enumerate(of['operand'].split(), 1))
            lines.append(f"        {name}) _arguments {offered} {operands} ;;")
    return '\n'.join(lines + ['    esac', '}', '_spotfield "$@"', ''])


def fish_quoted(words):
    return "'" + words.replace('\\', '\\\\').replace("'", "\\'") + "'"


def fish_option(name, one, models):
    condition = f"'__fish_seen_subcommand_from {name}'" if name else '__fish_use_subcommand'
    line = f'complete -c spotfield -n {condition} -l {one["long"]} -d {fish_quoted(one["meaning"])}'
    if one['letter']:
        line += f' -s {one["letter"]}'
    if one['value']:
        choice = {'out': '(__fish_complete_directories)', 'model': ' '.join(models)}.get(one['long'])
        line += f' -x -a {fish_quoted(choice)}' if choice else ' -x'
    return line


def fish(commands):
    lines = ['complete -c spotfield -f']
    for name, of in commands.items():
        if name:
            lines += [f'complete -c spotfield -n __fish_use_subcommand -a {name} -d {fish_quoted(of["summary"])}',
                      f"complete -c spotfield -n '__fish_seen_subcommand_from {name}' "
                      + ('-F' if of['operand'].endswith('FILE...') else "-a '(__fish_complete_directories)'")]
        lines += [fish_option(name, one, of['models']) for one in of['options']]
    return '\n'.join(lines + [''])


if __name__ == '__main__':
    made = {'bash': bash, 'zsh': zsh, 'fish': fish}[sys.argv[2]](read(sys.argv[1]))
    with open(sys.argv[3], 'w', encoding='utf-8') as output:
        output.write(made)
