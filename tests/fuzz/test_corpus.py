# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds corpus.py against archives that are wrong in one thing each, and against inputs it packs: test_corpus.py."""
import contextlib
import hashlib
import io
import pathlib
import tarfile
import tempfile
import unittest
from unittest import mock

import corpus

WIDE, TALL = b'key,value,unit\nwidth,61,mm\n', b'height,-43,'


def path_of(target, content):
    return f'{target}/{hashlib.sha1(content).hexdigest()}'


def archive_of(path, *members):
    """An archive made without corpus.py's care."""
    with tarfile.open(path, 'w', format=tarfile.USTAR_FORMAT) as archive:
        for name, content in members:
            member = tarfile.TarInfo(name)
            member.size = len(content)
            archive.addfile(member, io.BytesIO(content))


class Corpus(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(self.entered(tempfile.TemporaryDirectory()))
        self.archive = self.folder / 'learned.tar'
        self.corpus = self.folder / 'corpus'
        (self.corpus / 'board').mkdir(parents=True)
        self.entered(mock.patch.object(corpus, 'ARCHIVE', self.archive))
        self.entered(mock.patch.object(corpus, 'CORPUS', self.corpus))
        self.entered(contextlib.redirect_stdout(io.StringIO()))

    def entered(self, context):
        self.addCleanup(context.__exit__, None, None, None)
        return context.__enter__()

    def faults(self):
        return corpus.faults_of(self.archive, self.corpus, ['board'])[0]

    def add(self, target, *contents):
        paths = [self.folder / f'found-{i}' for i in range(len(contents))]
        for path, content in zip(paths, contents):
            path.write_bytes(content)
        corpus.add(target, *paths)

    def test_the_same_inputs_make_the_same_bytes(self):
        self.add('board', WIDE, TALL)
        once = self.archive.read_bytes()
        self.archive.unlink()
        self.add('board', TALL)
        self.add('board', WIDE, TALL)
        self.assertEqual(self.archive.read_bytes(), once)
        self.assertEqual(self.faults(), [])

    def test_what_was_packed_comes_out(self):
        self.add('board', WIDE, TALL)
        out = self.folder / 'out'
        (out / 'stale').mkdir(parents=True)
        corpus.unpack(self.archive, out, 'board', 'parts')
        self.assertEqual({path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob('*') if path.is_file()},
                         {path_of('board', WIDE): WIDE, path_of('board', TALL): TALL})
        self.assertEqual(sorted(path.name for path in out.iterdir()), ['board', 'parts'])

    def test_a_member_that_leads_elsewhere_is_not_written(self):
        archive_of(self.archive, ('board/../../astray', WIDE), ('/astray', TALL))
        corpus.unpack(self.archive, self.folder / 'out', 'board')
        self.assertEqual([path for path in self.folder.rglob('*astray*')], [])

    def test_an_input_that_has_a_name_is_not_learnt(self):
        (self.corpus / 'board/wide').write_bytes(WIDE)
        self.add('board', WIDE, TALL)
        self.assertEqual([name for name, _ in corpus.listed(self.archive)], [path_of('board', TALL)])

    def test_what_the_fuzzer_keeps_is_learnt(self):
        # stands in for libFuzzer: is called with -merge=1, what is known and what was found, keeps what begins with h
        fuzzer = self.folder / 'fuzzer'
        fuzzer.write_text('#!/bin/sh\nset -e\ntest "$1" = -merge=1\ntest -f "$2/wide"\nfor input in "$3"/*; do\n'
                          '    if grep -q ^h "$input"; then cp "$input" "$2/$(sha1sum <"$input" | cut -c1-40)"; fi\n'
                          'done\n', encoding='utf-8')
        fuzzer.chmod(0o755)
        (self.corpus / 'board/wide').write_bytes(WIDE)
        self.add('board', WIDE + TALL)
        (self.folder / 'found').mkdir()
        for name, content in (('a', TALL), ('b', b'another')):
            (self.folder / 'found' / name).write_bytes(content)
        corpus.learn(fuzzer, 'board', self.folder / 'found')
        self.assertEqual(dict(corpus.listed(self.archive)), corpus.named('board', [WIDE + TALL, TALL]))

    def test_what_is_wrong_is_told(self):
        wide = (path_of('board', WIDE), WIDE)
        for members, word in (((wide, wide), 'twice'), (((path_of('borad', WIDE), WIDE),), 'no such target'),
                              (((path_of('board', TALL), WIDE),), 'hash'), ((('board/wide', WIDE),), 'hash')):
            archive_of(self.archive, *members)
            self.assertRegex('\n'.join(self.faults()), word)

    def test_a_time_is_told(self):
        member = tarfile.TarInfo(path_of('board', WIDE))
        member.size, member.mtime = len(WIDE), 1234567890
        with tarfile.open(self.archive, 'w', format=tarfile.USTAR_FORMAT) as archive:
            archive.addfile(member, io.BytesIO(WIDE))
        self.assertRegex('\n'.join(self.faults()), 'not as corpus.py packs it')

    def test_a_file_without_a_name_and_one_that_is_in_both_are_told(self):
        archive_of(self.archive, (path_of('board', WIDE), WIDE))
        (self.corpus / path_of('board', TALL)).write_bytes(TALL)
        (self.corpus / 'board/wide').write_bytes(WIDE)
        self.assertRegex('\n'.join(self.faults()), r'(?s)has no name.*in the archive too')

    def test_too_many_bytes_are_told(self):
        self.add('board', WIDE * 9000)  # 27 bytes each: 243,000
        self.assertEqual(self.faults(), [])
        self.add('board', TALL * 6000)  # and 66,000: 309,000 of 307,200
        self.assertRegex('\n'.join(self.faults()), 'more than 307200')


unittest.main()
