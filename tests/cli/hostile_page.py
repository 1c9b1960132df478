# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Hostile photos and marks of photos for the bench page, which alone reads them: a server of its own, one request a
case. The picture is made here; the forms of a file are those of hostile_cases.py."""
import http.client
import json
import os
import pathlib
import re
import shutil
import struct
import subprocess
import tempfile
import zlib

from hostile_cases import PLACES, forms, without_column

PIXELS = 24
MARKS = b'mark,column_px,row_px,x_mm,y_mm\na,1,22,2,3\nb,22,21,115,3\nc,21,2,114,81\nd,2,1,3,80\n'
# of an answer: what the page reads of a file; of a body: what it takes
ANSWER_BYTES_MOST, BODY_BYTES_MOST = 64 * 1024 * 1024, 20 * 1024 * 1024


def chunk(name, content):
    return struct.pack('>I', len(content)) + name + content + struct.pack('>I', zlib.crc32(name + content))


def png(width=PIXELS, height=PIXELS, lines=None):
    """ISO/IEC 15948: signature, IHDR (eight bits, true colour), IDAT, IEND."""
    pixels = b''.join(b'\0' + b'\xb0\x50\x20' * width for _ in range(height)) if lines is None else lines
    return (b'\x89PNG\r\n\x1a\n' + chunk(b'IHDR', struct.pack('>IIBBBBB', width, height, 8, 2, 0, 0, 0)) +
            chunk(b'IDAT', zlib.compress(pixels)) + chunk(b'IEND', b''))


# what is sent as a photo: words, HTTP status, bytes
SENT = [
    ('sound', 200, png()),
    ('empty', 409, b''),
    ('a program in place of a picture', 409, b'\x7fELF' + bytes(range(256)) * 9),
    ('4 KiB of NUL bytes', 409, bytes(4099)),
    ('a drawing with a script (SVG)', 409, b'<svg xmlns="http://www.w3.org/2000/svg"><script>a()</script></svg>'),
    ('a page of HTML', 409, b'<!DOCTYPE html><script>alert(7)</script>'),
    ('cut off after its header', 409, png()[:40]),
    ('cut off amid its pixels', 409, png(300, 300, os.urandom(300 * 901))[:90_000]),
    ('damaged: a checksum does not agree', 409, png()[:-20] + b'\0\0\0\0' + png()[-16:]),
    ('65,000 x 65,000 pixels in 60 bytes', 409, png(65000, 65000, b'')),
    ('no pixel wide', 409, png(0, 24, b'')),
    ('of 2,147,483,648 x 1 pixels', 409, png(1 << 31, 1, b'')),
    ('a JPEG of its first two bytes', 409, b'\xff\xd8'),
    ('a JPEG whose segment has no length', 409, b'\xff\xd8\xff\xe1\0\0' + bytes(99)),
    ('a JPEG whose EXIF points beyond its end', 409,
     b'\xff\xd8\xff\xe1\0\x20Exif\0\0MM\0*\xff\xff\xff\xf0' + bytes(60) + b'\xff\xd9'),
    ('21 MiB of zeros', 413, bytes(21 * 1024 * 1024)),
]


class Page:
    """The server of a job, as long as the `with` lasts."""

    def __init__(self, program, job):
        self.run = subprocess.Popen([program, 'page', job], stdout=subprocess.PIPE, text=True)
        told = re.search(r'http://([\d.]+:\d+)(/\w+/)', self.run.stdout.readline())
        self.host, self.root = told.groups()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.run.terminate()
        self.ended = self.run.wait()

    def ask(self, method, path, body=b''):
        """Status and bytes of the answer. Of a body that is too long only the length is sent."""
        connection = http.client.HTTPConnection(self.host, timeout=60)
        try:
            connection.putrequest(method, self.root + path)
            connection.putheader('Origin', f'http://{self.host}')
            connection.putheader('Content-Length', str(len(body)))
            connection.endheaders(body if len(body) <= BODY_BYTES_MOST else None)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()


def words_of(answered):
    """The first fault of an answer, or what the page knows of the photo, or the words themselves."""
    if answered[:2] in (b'\xff\xd8', b'\x89P'):
        return 'a picture'
    try:
        whole = json.loads(answered)
    except ValueError:
        return answered.decode(errors='replace')
    if whole.get('complaints') and 'why' in whole:
        return whole['complaints'][0]
    photo = whole.get('photo')
    return 'kept' if photo else 'no photo'


def faults_of(status, wanted, answered):
    if status != wanted:
        yield f'answer {status}, wanted {wanted}: {words_of(answered)}'
    if len(answered) > ANSWER_BYTES_MOST:
        yield f'{len(answered)} bytes'
    if re.search(rb'\b(NaN|Infinity)\b', answered[:200_000]):
        yield 'a number that is none'


def send_photos(page):
    for tried, wanted, content in SENT:
        status, answered = page.ask('POST', 'photo', content)
        still, _ = page.ask('GET', 'photo')
        faults = list(faults_of(status, wanted, answered))
        if still != 200:
            faults.append('the earlier photo is gone')
        yield 'Page: a photo that is sent', tried, status, words_of(answered), faults


def lay_photo(job, name, make):
    for photo in ('photo.jpg', 'photo.png'):
        (job / photo).unlink(missing_ok=True)
    make(job / name)


def find_photos(page, job):
    """The same bytes, and what is no file, where the page looks for its photo."""
    found = [(tried, (lambda path, content=content: path.write_bytes(content)),
              200 if tried == 'sound' or tried.startswith(('cut off', 'damaged')) else 404)
             for tried, _, content in SENT if not tried.startswith('a JPEG')]
    found += [(tried, make, 404) for tried, _, make in PLACES]
    for tried, make, wanted in found:
        lay_photo(job, 'photo.png', make)
        status, answered = page.ask('GET', 'photo')
        yield ('Page: a photo that is found', tried, status, words_of(answered),
               list(faults_of(status, wanted, answered)))
        if (job / 'photo.png').is_dir():
            (job / 'photo.png').rmdir()


def marks_made(*rows):
    return lambda path: path.write_bytes(b'\n'.join([MARKS.splitlines()[0], *rows]) + b'\n')


def told_of_marks(seen):
    """The first of what the page leaves to ask about the marks."""
    return next((words for words in json.loads(seen)['complaints'] if words.startswith('photo-marks.csv')), None)


def find_marks(page, job):
    """Answered by the photo made straight, and by what the page tells of the file."""
    lay_photo(job, 'photo.png', lambda path: path.write_bytes(png()))
    sound = MARKS.splitlines()[1:]
    cases = [(tried, (lambda path, change=change: path.write_bytes(change(MARKS))))
             for tried, _, change in forms('') + [('no column `x_mm`', 0, without_column('x_mm'))]]
    cases += [(tried, make) for tried, _, make in PLACES]
    cases += [('sound', marks_made(*sound)), ('a header and no row', marks_made()),
              ('three marks', marks_made(*sound[:3])), ('two marks in one place', marks_made(sound[0], sound[0])),
              ('all marks in one place', marks_made(*[sound[0]] * 4)),
              ('all marks on one line', marks_made(*(b'm,%d,%d,%d,%d' % (i, i, i, i) for i in range(1, 6)))),
              ('marks the wrong way about', marks_made(sound[0], sound[2], sound[1], sound[3])),
              ('a name of HTML', marks_made(b'<script>,1,22,2,3', *sound[1:]))]
    for value in (b'nan', b'inf', b'1e999', b'0x1F', b'1e300', b'12abc'):
        cases.append((f'`x_mm` is `{value.decode()}`', marks_made(b'a,1,22,' + value + b',3', *sound[1:])))
    for tried, make in cases:
        path = job / 'photo-marks.csv'
        path.unlink(missing_ok=True)
        make(path)
        told, seen = page.ask('GET', 'job')
        status, answered = page.ask('GET', 'straight')
        faults = list(faults_of(status, status if status in (200, 404, 409) else 200, answered))
        faults += list(faults_of(told, 200, seen))
        heard, left_to_ask = page.ask('GET', 'live')
        faults += list(faults_of(heard, 200, left_to_ask))
        yield 'Page: marks of the photo', tried, status, told_of_marks(left_to_ask) or words_of(answered), faults
        if path.is_dir():
            path.rmdir()


def run(program, sound):
    """Section, what was tried, HTTP status, what was answered, and what is wrong, of each case."""
    with tempfile.TemporaryDirectory() as scratch:
        job = pathlib.Path(scratch) / 'JOB'
        shutil.copytree(sound, job)
        with Page(program, job) as page:
            rows = [*send_photos(page), *find_photos(page, job), *find_marks(page, job)]
        if page.ended != 0:
            rows.append(('Page: marks of the photo', 'ended', page.ended, '', [f'the server ends with {page.ended}']))
    return rows
