// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What is wrong in the files: as a list with a way to each field, and beside the field itself.
import {make} from './dom.js';
import {edit, isNewJob, state} from './store.js';
import {wayTo} from './lead.js';

const places = () => (isNewJob() ? [] : state.live?.places ?? []);
export const say = ({what, expected}) => `${what}${expected ? `, expected ${expected}` : ''}`;

const fault = (found) => found && {words: say(found), error: found.error};

// Of a cell: the complaints name the line that its row begins on.
export const faultOfCell = (file, row, column) => {
  const line = state.job.files[file]?.lines[row.row];
  return fault(places().find((place) => place.file === file && place.line === line && place.column === column));
};

export const faultOfKey = (key) => fault(places().find((place) => place.file === 'board.csv' && place.column === key));

// A change of one field: true, or why it was refused.
export const editCell = async (label, ops) => await edit(label, ops) || {why: state.refused.map(say).join('; ')};

function counted() {
  const errors = places().filter(({error}) => error).length, warnings = places().length - errors;
  const count = (number, word) => (number ? [`${number} ${word}${number > 1 ? 's' : ''}`] : []);
  return [...count(errors, 'error'), ...count(warnings, 'warning')].join(', ');
}

let open = null; // as somebody chose it; else where there is an error

export function faultsPart() {
  const complaints = state.live?.complaints ?? [];
  if (!complaints.length || isNewJob()) return [];
  const lines = complaints.map((words, at) => {
    const way = places()[at] && wayTo(places()[at]);
    return make('li', {}, way ? make('button', {'data-key': `fault-${at}`, onclick: way}, words) : words);
  });
  return [make('details', {open: open ?? places().some(({error}) => error), ontoggle: ({target}) => { if (target.open !== target.given.open) open = target.open; }},
    make('summary', {}, make('h2', {}, `Problems in the files: ${counted()}`)), make('ul', {}, ...lines))];
}
