# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What the fuzzers have learnt, in one archive: corpus.py COMMAND ...

    corpus.py unpack ARCHIVE FOLDER TARGET...    lays out FOLDER/TARGET/HASH, a folder of each target, also an empty one
    corpus.py check ARCHIVE CORPUS TARGET...     tells what is wrong with the archive and the named inputs in CORPUS
    corpus.py learn FUZZER TARGET FOUND...       adds to learned.tar what FOUND has that brings the fuzzer further
    corpus.py add TARGET FILE...                 adds these files, as they are

An input that was learnt is a member TARGET/HASH, its SHA-1 as libFuzzer names it. The same inputs make the same bytes."""
import hashlib
import io
import pathlib
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
ARCHIVE = HERE / 'learned.tar'
CORPUS = HERE / 'corpus'
BYTES_MAX = 300 * 1024  # of all inputs together: the suite replays them with every change
HASH = re.compile(r'[0-9a-f]{40}')


def named(target, inputs):
    """The inputs of a target, by the name each has in the archive."""
    return {f'{target}/{hashlib.sha1(content).hexdigest()}': content for content in inputs}


def packed(members):
    """The archive: sorted, of nobody, of no time."""
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode='w', format=tarfile.USTAR_FORMAT) as archive:
        for name, content in sorted(members.items()):
            member = tarfile.TarInfo(name)
            member.size = len(content)
            archive.addfile(member, io.BytesIO(content))
    return out.getvalue()


def listed(archive):
    """Name and content of each member, as often as it is there."""
    with tarfile.open(archive) as opened:
        return [(member.name, opened.extractfile(member).read() if member.isfile() else b'') for member in opened]


def files_of(folder):
    return [path for path in sorted(folder.iterdir()) if path.is_file()] if folder.is_dir() else []


def unpack(archive, folder, *targets):
    shutil.rmtree(folder, ignore_errors=True)
    for target in targets:
        pathlib.Path(folder, target).mkdir(parents=True)
    for name, content in listed(archive):
        target, _, digest = name.partition('/')
        if target in targets and HASH.fullmatch(digest):  # nothing else is written, wherever it may lead
            pathlib.Path(folder, name).write_bytes(content)


def faults_of(archive, corpus, targets):
    """What is wrong with an archive, and with the named inputs beside it."""
    members = listed(archive)
    names = [name for name, _ in members]
    inputs = {path: path.read_bytes() for target in targets for path in files_of(pathlib.Path(corpus, target))}
    faults = [f'{name}: is there twice' for name in sorted(set(names)) if names.count(name) > 1]
    for name, content in members:
        target = name.partition('/')[0]
        if target not in targets:
            faults.append(f'{name}: there is no such target')
        elif [name] != list(named(target, [content])):
            faults.append(f'{name}: is not named by target and hash')
    learnt = dict(members)
    for path, content in inputs.items():
        if HASH.fullmatch(path.name):
            faults.append(f'{path}: has no name; corpus.py add {path.parent.name} {path}, and remove the file')
        elif named(path.parent.name, [content]).keys() & learnt.keys():
            faults.append(f'{path}: is in the archive too')
    if not faults and packed(learnt) != pathlib.Path(archive).read_bytes():
        faults.append('the archive is not as corpus.py packs it')
    size = sum(map(len, learnt.values())) + sum(map(len, inputs.values()))
    if size > BYTES_MAX:
        faults.append(f'{size} bytes of inputs, more than {BYTES_MAX}')
    return faults, f'{len(members)} inputs learnt, {len(inputs)} named, {size} bytes'


def add(target, *paths):
    learnt = dict(listed(ARCHIVE)) if ARCHIVE.exists() else {}
    more = named(target, [pathlib.Path(path).read_bytes() for path in paths])
    for known in named(target, [path.read_bytes() for path in files_of(CORPUS / target)
                                if not HASH.fullmatch(path.name)]):
        more.pop(known, None)
    ARCHIVE.write_bytes(packed({**learnt, **more}))
    print(f'{target}: {len(more.keys() - learnt.keys())} more')


def learn(fuzzer, target, *found):
    """libFuzzer adds to the first folder what the others bring beyond it."""
    with tempfile.TemporaryDirectory() as folder:
        unpack(ARCHIVE, folder, target)
        known = pathlib.Path(folder, target)
        for path in files_of(CORPUS / target):
            shutil.copy(path, known)
        subprocess.run([fuzzer, '-merge=1', known, *found], check=True)
        add(target, *[path for path in files_of(known) if HASH.fullmatch(path.name)])


def check(archive, corpus, *targets):
    faults, told = faults_of(archive, corpus, targets)
    print('\n'.join([*faults, told]))
    return bool(faults)


COMMANDS = {'unpack': (unpack, 3), 'check': (check, 3), 'learn': (learn, 3), 'add': (add, 2)}

if __name__ == '__main__':
    command, operands = COMMANDS.get(sys.argv[1] if len(sys.argv) > 1 else '', (None, 0))
    if command is None or len(sys.argv) - 2 < operands:
        print(__doc__, file=sys.stderr)
        sys.exit(64)
    sys.exit(command(*sys.argv[2:]))
