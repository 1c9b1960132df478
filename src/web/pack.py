# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Puts all into one file: pack.py OUT VERSION. OUT has program, page.js and font, and gets spotfield.html
with its hash."""
import base64
import gzip
import hashlib
import json
import os
import re
import sys

WEB = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(WEB))
DEMO = os.path.join(ROOT, 'demo', 'desk-supply')


def read(*path):
    with open(os.path.join(*path), encoding='utf-8') as source:
        return source.read()


def read_bytes(*path):
    with open(os.path.join(*path), 'rb') as source:
        return source.read()


def packed(identity, data):
    """Data as text that a browser unpacks; without the time, so that it is the same tomorrow."""
    words = base64.b64encode(gzip.compress(data, 9, mtime=0)).decode()
    return f'<script type="application/octet-stream" id="{identity}">{words}</script>\n'


def digest(words):
    return "'sha256-" + base64.b64encode(hashlib.sha256(words.encode()).digest()).decode() + "'"


def policy(script, style):
    """Those of the report are let in too: it is shown in a window of its own that inherits the policy."""
    report = ROOT + '/src/output/report/assets'
    report_style = digest(read(report, 'family.css') + read(report, 'report.css'))
    return ("default-src 'none'; script-src 'wasm-unsafe-eval' " + digest(script) + ' ' + digest(read(report, 'report.js')) +
            "; style-src " + digest(style) + ' ' + report_style +
            "; img-src blob: data:; worker-src blob:; base-uri 'none'; form-action 'none'")


def demo():
    names = sorted(name for name in os.listdir(DEMO) if name.endswith('.csv'))
    return json.dumps({name: read(DEMO, name) for name in names}).replace('<', '\\u003c')


def page(out, version):
    script = read(out, 'page.js').replace('</script', '<\\/script')
    style = read(ROOT, 'src/output/report/assets/family.css') + read(ROOT, 'src/page/assets/page.css') + read(WEB, 'assets/web.css')
    worker = read(out, 'spotfield.js') + '\n' + read(WEB, 'assets', 'worker.js')
    if '</script' in worker or '<!--' in worker:
        sys.exit('the worker cannot be told from the page around it')
    made = read(ROOT, 'src/page/assets/index.html')
    made = made.replace('<meta charset="utf-8">', '<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" '
                        f'content="{policy(script, style)}">\n<meta name="version" content="{version}">', 1)
    made = made.replace('<link rel="stylesheet" href="page.css">', f'<style>{style}</style>', 1)
    made, count = re.subn('<script type="module" src="main.js"></script>\n', '', made)
    if count != 1 or '<style>' not in made:
        sys.exit('index.html is not as pack.py knows it')
    # the program comes last: the page is shown, and its first worker begun, while a browser still reads it
    data = packed('code', read_bytes(out, 'spotfield.wasm')) + packed('font', read_bytes(out, 'font.ttf'))
    bar = read(WEB, 'assets', 'bar.html').replace('@VERSION@', version)
    end = (f'{bar}<script type="application/json" id="demo">{demo()}</script>\n<script type="text/plain" id="worker">{worker}</script>\n'
           f'<script>{script}</script>\n{data}</body>')
    return made.replace('</body>', end)


def main():
    out, version = sys.argv[1:3]
    made = page(out, version).encode()
    with open(os.path.join(out, 'spotfield.html'), 'wb') as file:
        file.write(made)
    print(f'spotfield.html: {len(made)} bytes, {len(gzip.compress(made, 9))} packed, sha256 {hashlib.sha256(made).hexdigest()}')


main()
