# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The page ends on a signal within a second while it computes a field and a plan and decodes a photo, and lets a second
page know of the first: test_ending.py PROGRAM."""
import os
import pathlib
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time

READINGS = 1000
# the largest photo that is decoded: 49 megapixels, 32 scans
SIDE_PX, SCANS_MOST = 7000, 32
# a second is what is promised; on a machine that does much else, as much longer as a program takes to start and end
STARTS_MOST = 5


def start_and_end_s(program):
    began = time.monotonic()
    subprocess.run([program, '--version'], stdout=subprocess.DEVNULL, check=True)
    return time.monotonic() - began


def lay(folder):
    """1,000 places on a board of 250 x 170 mm, two of them hot: a field of some seconds."""
    (folder / 'board.csv').write_text('key,value,unit\nwidth,250,mm\nheight,170,mm\nambient,21.5,C\n')
    (folder / 'parts.csv').write_text('ref,x_mm,y_mm,rated_c,endurance_h\nC7,47.5,31,105,2000\n')
    rows = ['id,x_mm,y_mm,value,unit,method']
    for i in range(READINGS):
        x, y = 4 + 6 * (i % 40), 4 + 6 * (i // 40)
        near = 2000 / (60 + (x - 71) ** 2 + (y - 43) ** 2) + 3000 / (90 + (x - 181) ** 2 + (y - 97) ** 2)
        rows.append(f'r{i},{x},{y},{25 + near + i * 37 % 11 / 10:.1f},C,infrared')
    (folder / 'readings.csv').write_text('\n'.join(rows) + '\n')


def segment(marker, payload):
    return bytes([0xFF, marker]) + (len(payload) + 2).to_bytes(2, 'big') + payload


def progressive_jpeg(side_px, scans):
    """Grey and flat, of so many scans (ITU-T T.81, annexes B and G): the first holds a bit for each block, each other
    one a few runs of blocks without a coefficient, so that 50 bytes are a walk over the whole picture."""
    blocks = ((side_px + 7) // 8) ** 2
    one_code = bytes([1] + 15 * [0])
    head = b'\xFF\xD8' + segment(0xDB, bytes([0] + 64 * [1]))
    head += segment(0xC2, bytes([8]) + 2 * side_px.to_bytes(2, 'big') + bytes([1, 1, 0x11, 0]))
    head += segment(0xC4, b'\x00' + one_code + b'\x00') + segment(0xC4, b'\x10' + one_code + b'\xE0')
    first = segment(0xDA, bytes([1, 1, 0, 0, 0, 0])) + bytes((blocks + 7) // 8)
    runs = '0' + 14 * '1'  # the code of a run of 16,384 blocks, and 16,383 more
    bits = runs * (blocks // 32767 + 1)
    bits += '0' * (-len(bits) % 8)
    walk = int(bits, 2).to_bytes(len(bits) // 8, 'big').replace(b'\xFF', b'\xFF\x00')
    return head + first + (scans - 1) * (segment(0xDA, bytes([1, 1, 0, 1, 63, 0])) + walk) + b'\xFF\xD9'


def start(program, folder):
    run = subprocess.Popen([program, 'page', str(folder)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    told = re.search(r'http://([\d.]+):(\d+)(/\w+/)', run.stdout.readline())
    return run, told.group(1), int(told.group(2)), told.group(3)


def ask(page, path, body=None):
    """Status of an answer; 0 where the connection was closed without one."""
    _, host, port, token = page
    asked = f'Host: {host}:{port}\r\nOrigin: http://{host}:{port}\r\nConnection: close\r\n'
    with socket.create_connection((host, port), timeout=60) as line:
        if body is None:
            line.sendall(f'GET {token}{path} HTTP/1.1\r\n{asked}\r\n'.encode())
        else:
            line.sendall(f'POST {token}{path} HTTP/1.1\r\n{asked}Content-Length: {len(body)}\r\n\r\n'.encode() + body)
        got = line.makefile('rb').read()
    return int(got.split()[1]) if got else 0


def refuse_many_scans(program, folder):
    """What takes minutes to decode is refused by its size, and holds up nobody."""
    page = start(program, folder)
    photo = progressive_jpeg(SIDE_PX, 4000)
    start_s = start_and_end_s(program)
    began = time.monotonic()
    status = ask(page, 'photo', photo)
    took = time.monotonic() - began
    page[0].send_signal(signal.SIGTERM)
    page[0].wait(timeout=60)
    most = 1 + STARTS_MOST * max(start_s, start_and_end_s(program))
    assert status == 409, status
    assert took < most, f'{took:.2f} s, {most:.2f} at most'
    print(f'a photo of {len(photo) // 1000} kB in 4,000 scans: refused after {took:.3f} s')


def end_amid(program, folder, number):
    start_s = start_and_end_s(program)
    page = start(program, folder)
    field, photo = [], []
    waits = [threading.Thread(target=lambda: field.append(ask(page, 'live'))),
             threading.Thread(target=lambda: photo.append(ask(page, 'photo', progressive_jpeg(SIDE_PX, SCANS_MOST))))]
    for each in waits:
        each.start()
    while ask(page, 'plan') != 200:
        pass
    time.sleep(0.3)
    assert not field, 'the field came before it could be interrupted'
    assert not photo, 'the photo was decoded before it could be interrupted'
    began = time.monotonic()
    assert ask(page, 'stamp') == 200
    answered = time.monotonic() - began
    began = time.monotonic()
    page[0].send_signal(number)
    status = page[0].wait(timeout=60)
    took = time.monotonic() - began
    for each in waits:
        each.join()
    most = 1 + STARTS_MOST * max(start_s, start_and_end_s(program))
    assert status == 0, f'status {status}: {page[0].stderr.read()}'
    assert field != [200], 'the field was waited for'
    assert photo != [200], 'the photo was waited for'
    assert not (folder / 'photo.jpg').exists(), 'the photo was kept while the page ended'
    assert took < most, f'{number.name}: {took:.2f} s, {most:.2f} at most'
    assert answered < most, f'beside the field an answer took {answered:.2f} s'
    assert not (folder / '.spotfield-page.lock').exists(), 'the lock stays'
    print(f'{number.name} amid a field, a plan and a photo: ended after {took:.2f} s, {most:.2f} at most; an answer beside them {answered:.3f} s')


def refuse_second(program, folder):
    page = start(program, folder)
    second = subprocess.run([program, 'page', str(folder)], capture_output=True, text=True, timeout=60)
    page[0].kill()
    page[0].wait()
    assert second.returncode == os.EX_NOINPUT, second
    assert f'process {page[0].pid} at http://127.0.0.1:{page[2]}/' in second.stderr, second.stderr
    assert page[3].strip('/') not in second.stderr, 'the token is told'
    after_kill = start(program, folder)
    after_kill[0].send_signal(signal.SIGTERM)
    assert after_kill[0].wait(timeout=60) == 0


def main():
    signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell starts in the background has it ignored
    with tempfile.TemporaryDirectory() as made:
        folder = pathlib.Path(made)
        lay(folder)
        refuse_many_scans(sys.argv[1], folder)
        for number in (signal.SIGINT, signal.SIGTERM):
            end_amid(sys.argv[1], folder, number)
        refuse_second(sys.argv[1], folder)


main()
