// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The tables of a job, read by Python's csv module.
import {execFileSync} from 'node:child_process';

const reader = 'import csv, json, sys; print(json.dumps(list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8")))))';

// The rows below the header, each a list of texts.
export const rowsOf = (path) => JSON.parse(execFileSync('python3', ['-c', reader, path], {encoding: 'utf8'})).slice(1);

const namer = 'import csv, json, sys; print(json.dumps(list(csv.DictReader(line for line in open(sys.argv[1], newline="", encoding="utf-8") if not line.startswith("#")))))';

// The same, each an object of texts by column; comments are passed over.
export const namedRowsOf = (path) => JSON.parse(execFileSync('python3', ['-c', namer, path], {encoding: 'utf8'}));
