// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Warm-up series: rows of one id, each with its minute, shown as the one reading that they are.
import {make, number, rounded} from './dom.js';
import {deleteOp, edit, rowsOf, state} from './store.js';

const FILE = 'readings.csv';
const LEAST = 3;

export const rowsOfReading = (id) => rowsOf(FILE).filter((row) => row.id === id);

// Every row of an id goes at once: what is left of a series would be no reading.
export const removeOps = (id) => rowsOfReading(id).reverse().map((row) => deleteOp(FILE, row));

const isTimed = (row) => Number.isFinite(number(row.minute));

// In the order in which their ids come first in the file.
function allSeries() {
  const byId = new Map();
  for (const row of rowsOf(FILE)) byId.set(row.id, [...(byId.get(row.id) ?? []), row]);
  return [...byId].filter(([id, rows]) => id && (rows.length > 1 || isTimed(rows[0])));
}

// Two rows of one id may not share a minute.
export const hasMinute = (id, minute) => rowsOfReading(id).some((row) => number(row.minute) === minute);

// What the series comes to; else what it lacks, in the words of the files' complaints.
function outcomeOf(id, rows) {
  const reading = state.live?.outcome?.readings.find((known) => known.id === id);
  if (reading && reading.rows > 1)
    return `Steady at ${rounded(reading.temp_c)} \u00b0C, standard error ${rounded(reading.steady_sd_k, 2)} K, from ${reading.rows} readings. Including the uncertainty of the instrument: \u00b1 ${rounded(reading.sd_k)} K.`;
  if (rows.length < LEAST) return `A series needs at least ${LEAST - rows.length === 1 ? 'one more reading, with its minute' : 'two more readings, with their minutes'}.`;
  const told = state.live?.complaints.find((words) => words.includes(`"${id}"`));
  return told ?? 'Waiting for the map\u2026';
}

function rowOf(row, id) {
  return make('tr', {'data-key': `tr-${row.row}`}, make('td', {}, `${row.minute || 'no minute'}${row.minute ? ' min' : ''}`), make('td', {}, `${row.value} ${row.unit}`),
    make('td', {}, make('button', {'data-key': `row-${row.row}`, 'aria-label': `Remove the reading at ${row.minute || 'no'} min of ${id}`,
      onclick: () => edit(`remove ${row.minute} min of ${id}`, () => [deleteOp(FILE, row)])}, 'Remove')));
}

// All series, each with a way to go on with it and one to take it out.
export function seriesPart(goOn) {
  return allSeries().map(([id, rows]) => {
    const sorted = [...rows].sort((one, other) => number(one.minute) - number(other.minute));
    return make('section', {class: 'chosen', 'data-key': `series-${id}`, 'aria-label': `Series ${id}`},
      make('h3', {}, `Series ${id}`),
      make('p', {class: 'series-outcome', 'aria-live': 'polite'}, outcomeOf(id, rows)),
      make('details', {}, make('summary', {}, `${rows.length === 1 ? 'One reading' : `${rows.length} readings`}`),
        make('table', {}, make('tbody', {}, ...sorted.map((row) => rowOf(row, id))))),
      make('p', {class: 'row'},
        make('button', {'data-key': `more-${id}`, onclick: () => goOn(rows.at(-1))}, 'Read it again'),
        make('button', {'data-key': `out-${id}`, onclick: () => edit(`remove ${id}`, () => removeOps(id))}, 'Remove')));
  });
}
