#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""test_agreement.py SPOTFIELD ROOT: what sentence, zones, kit, report, JSON and the manual say of the
demo's parts must be what parts.csv says, part by part. All numbers are read from the files of one run.
"""
import csv
import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile

VERDICTS = ('replace', 'check', 'leave')


def rows(path):
    with open(path, encoding='utf-8', newline='') as file:
        return list(csv.DictReader(line for line in file if not line.startswith('#')))


def split_by_verdict(parts):
    return {verdict: {part['ref'] for part in parts if part['verdict'] == verdict}
            for verdict in VERDICTS}


def agree(what, found, expected, faults):
    if found != expected:
        faults.append(f'{what}: {found}, parts.csv has {expected}')


def sentence_faults(said, by_verdict, faults):
    match = re.search(r'Replace (\d+) of (\d+) capacitors, check (\d+), leave (\d+)\.', said)
    counts = [len(by_verdict[verdict]) for verdict in VERDICTS]
    found = [int(number) for number in match.groups()] if match else []
    agree('verdict sentence', found, [counts[0], sum(counts)] + counts[1:], faults)
    causes = re.search(r'Of the (\d+), (\d+) go because hours and grade alone .*?, (\d+) because heat .*?, '
                       r'(\d+) because they are critical .*?, and (\d+) because meter', said)
    agree('causes of replacing', causes and sum(map(int, causes.groups()[1:])), counts[0], faults)


def zone_faults(zones, parts, faults):
    for zone in zones:
        inside = split_by_verdict([part for part in parts if part['zone'] == zone['zone']])
        for verdict in VERDICTS:
            agree(f'zone {zone["zone"]}, {verdict}', int(zone[verdict]), len(inside[verdict]),
                  faults)
        agree(f'zone {zone["zone"]}, parts', int(zone['parts']),
              sum(len(refs) for refs in inside.values()), faults)
    unknown = {part['zone'] for part in parts} - {zone['zone'] for zone in zones}
    agree('zones of parts that zones.csv lacks', unknown, set(), faults)


def kit_faults(kit, by_verdict, faults):
    refs = [ref for line in kit for ref in line['refs'].split()]
    agree('parts of the kit', sorted(refs), sorted(by_verdict['replace']), faults)
    for line in kit:
        agree(f'count of {line["refs"]}', int(line['count']), len(line['refs'].split()), faults)


def report_faults(page, parts, by_verdict, faults):
    table = re.search(r'<table class="part-list">.*?</table>', page, re.S).group()
    found = {}
    for row in re.findall(r'<tr .*?</tr>', table, re.S):
        words = html.unescape(re.sub(r'<[^>]*>', ' ', row)).split()
        found[words[0]] = next(word for word in words if word in VERDICTS)
    agree('table of the report', found, {part['ref']: part['verdict'] for part in parts}, faults)
    for verdict in VERDICTS[:2]:
        names = ' '.join(part['ref'] for part in parts if part['verdict'] == verdict)
        agree(f'report names those to {verdict}', names in page, True, faults)


def manual_faults(manual, parts, faults):
    told = dict(re.findall(r'^\| (C\d+) \| (replace|check|leave) \|', manual, re.M))
    agree('parts that the manual quotes', len(told) > 5, True, faults)
    verdicts = {part['ref']: part['verdict'] for part in parts}
    agree('verdicts in the manual', told, {ref: verdicts.get(ref) for ref in told}, faults)


def main():
    program, root = sys.argv[1], pathlib.Path(sys.argv[2])
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder)
        said = subprocess.run([program, 'map', root / 'demo/desk-supply', '--out', out], check=True,
                              capture_output=True, text=True, encoding='utf-8').stdout
        told = json.loads(subprocess.run([program, 'map', root / 'demo/desk-supply', '--json',
                                          '--out', out], check=True, capture_output=True).stdout)
        parts, page = rows(out / 'parts.csv'), (out / 'report.html').read_text(encoding='utf-8')
        zones, kit = rows(out / 'zones.csv'), rows(out / 'kit.csv')
    by_verdict, faults = split_by_verdict(parts), []
    agree('parts of the job', len(parts), len(rows(root / 'demo/desk-supply/parts.csv')), faults)
    sentence_faults(said, by_verdict, faults)
    sentence_faults(html.unescape(re.sub(r'<[^>]*>', ' ', page)), by_verdict, faults)
    zone_faults(zones, parts, faults)
    kit_faults(kit, by_verdict, faults)
    report_faults(page, parts, by_verdict, faults)
    manual_faults((root / 'docs/manual.md').read_text(encoding='utf-8'), parts, faults)
    agree('JSON', split_by_verdict(told['parts']), by_verdict, faults)
    print('\n'.join(faults) or f'{len(parts)} parts agree')
    return 1 if faults else 0


if __name__ == '__main__':
    sys.exit(main())
