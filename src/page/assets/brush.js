// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The kinds of parts that stand on the board, the last one first: one click takes a kind.
import {make} from './dom.js';
import {rowsOf} from './store.js';

const cells = ['type', 'capacitance_uf', 'rated_v', 'rated_c', 'diameter_mm', 'height_mm', 'endurance_h', 'mount', 'lead_pitch_mm', 'critical'];
const KINDS_MOST = 12;

// What parts of one kind have in common.
export const kindOf = (row) => Object.fromEntries(cells.map((cell) => [cell, row[cell] ?? '']));

export const isAlike = (one, other) => keyOf(one) === keyOf(other);
const keyOf = (kind) => cells.map((cell) => kind[cell] || (cell === 'critical' ? 'no' : '')).join('|');

export function sayKind({type, capacitance_uf, rated_v, rated_c, diameter_mm, height_mm, critical}) {
  const body = [diameter_mm, height_mm].filter(Boolean).join('\u00d7');
  return [capacitance_uf && `${capacitance_uf} \u00b5F`, rated_v && `${rated_v} V`, rated_c && `${rated_c} \u00b0C`, body, type, critical === 'yes' && 'critical'].filter(Boolean).join(' ');
}

function kindsOf(rows) {
  const known = new Map();
  for (const row of [...rows].reverse())
    if (!known.has(keyOf(row))) known.set(keyOf(row), kindOf(row));
  return [...known].slice(0, KINDS_MOST);
}

// In the order of their words, so that a kind stays where it was while one places. `isTaken` says which look pressed.
export function kindsPart(label, isTaken, take, rows = rowsOf('parts.csv')) {
  const kinds = kindsOf(rows).map(([key, kind]) => ({key, kind, words: sayKind(kind)})).sort((one, other) => one.words.localeCompare(other.words, 'en', {numeric: true}));
  if (!kinds.length) return null;
  return make('div', {class: 'row', role: 'group', 'aria-label': label, 'data-key': 'kinds', id: 'kinds'},
    ...kinds.map(({key, kind, words}) => make('button', {'data-key': `kind-${key}`, 'aria-pressed': String(isTaken(kind)), onclick: () => take(kind)}, words || 'no marking')));
}
