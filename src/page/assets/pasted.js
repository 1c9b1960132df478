// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Rows from a spreadsheet. Parts and sources without a place wait in a list, and each click on the board
// places the next one; undone, it waits again.
import {field, make, millimetres} from './dom.js';
import {changed, columnOf, edit, insertOp, rowsOf, state, tell} from './store.js';
import {drawing} from './board.js';
import {sayKind} from './brush.js';
import {readCell} from './entry.js';
import {readMarking} from './marking.js';

const NAMES_MOST = 5;
const placed = ['parts.csv', 'sources.csv'];

export const isTaken = (ref) => placed.some((file) => rowsOf(file).some((row) => row.ref === ref));

// The reference after the highest of its letters: C7 after C6.
export function nextRef(ref, rows) {
  const letters = /^(.*?)(\d*)$/.exec(ref)[1];
  const used = rows.map((row) => /^(.*?)(\d+)$/.exec(row.ref)).filter((found) => found && found[1] === letters).map((found) => Number(found[2]));
  return `${letters}${Math.max(0, ...used) + 1}`;
}

// --- the list ---

// Kept as long as the tab, for the job it was pasted into. `first` is the reference that is placed next.
let waiting = null, first = '';
const sent = new Set();
const keyOfJob = () => `waiting ${location.pathname} ${state.job.folder}`;

function list() {
  try {
    waiting ??= JSON.parse(sessionStorage.getItem(keyOfJob())) ?? [];
  } catch { waiting = []; }
  return waiting;
}

function keep(rows) {
  waiting = rows;
  try { sessionStorage.setItem(keyOfJob(), JSON.stringify(rows)); } catch { /* they wait in this page alone */ }
  changed('waiting');
}

const waitingIn = (file) => list().filter((one) => one.file === file && !sent.has(one.cells.ref) && !isTaken(one.cells.ref));

// The row that a click places; null where none waits.
export function nextWaiting(file) {
  const rows = waitingIn(file);
  return rows.find(({cells}) => cells.ref === first) ?? rows[0] ?? null;
}

export function placeWaiting({file, cells}, point) {
  const side = drawing.solder && !cells.side ? {side: 'solder'} : {}, {ref} = cells;
  const rows = waitingIn(file);
  first = rows[(rows.findIndex((one) => one.cells.ref === ref) + 1) % rows.length].cells.ref;
  sent.add(ref);
  const place = {x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm)};
  return edit(`place ${ref}`, () => [insertOp(file, {...cells, ...side, ...place})]).finally(() => { sent.delete(ref); changed('waiting'); });
}

const sayRow = ({file, cells}) => [cells.ref, file === 'parts.csv' ? sayKind(cells) : [cells.width_mm, cells.height_mm].filter(Boolean).join('\u00d7')].filter(Boolean).join(', ');

export function waitingPart(file) {
  const rows = waitingIn(file), next = nextWaiting(file);
  if (!next) return null;
  return make('section', {id: 'waiting', 'data-key': `waiting-${file}`, 'aria-label': 'Waiting for their place'},
    make('h3', {}, `${rows.length} still to place`),
    make('p', {'aria-live': 'polite', id: 'waiting-next'}, `Click where ${sayRow(next)} is.`),
    make('p', {class: 'row'}, ...rows.map(({cells}, at) => make('button', {'data-key': `waits-${cells.ref}`, 'aria-pressed': String(cells.ref === next.cells.ref),
      title: sayRow(rows[at]), onclick: () => { first = cells.ref; changed('waiting'); }}, cells.ref))),
    make('p', {class: 'row'},
      make('button', {id: 'waiting-drop', 'data-key': 'waiting-drop', onclick: () => keep(list().filter((one) => one.cells.ref !== next.cells.ref))}, `Leave ${next.cells.ref} out`),
      make('button', {id: 'waiting-drop-all', 'data-key': 'waiting-drop-all', onclick: () => keep(list().filter((one) => one.file !== file))}, 'Drop the list')));
}

// --- pasting ---

// Headings of spreadsheets, beside the names of the columns.
const headings = {refdes: 'ref', designator: 'ref', reference: 'ref', x: 'x_mm', y: 'y_mm', diameter: 'diameter_mm', height: 'height_mm', capacitance: 'capacitance_uf', voltage: 'rated_v'};
const isNumeric = (column) => /^(value|year|minute)$|_(mm|uf|v|c|h|w|deg|ohm|ua|k)$/.test(column);
const MARKING = 'marking'; // of a column that says several: "470/35"

function columnCalled(file, name) {
  const heading = name.toLowerCase(), column = headings[heading] ?? heading;
  if (columnOf(state.job.files[file] ?? {columns: []}, column) >= 0) return column;
  return heading === 'side' ? heading : file === 'parts.csv' && ['value', MARKING].includes(heading) ? MARKING : null;
}

// Cells as the files have them: "47 uF" is 47, "14,5" is 14.5.
function cellsOf(columns, texts) {
  const cells = {};
  for (const [at, column] of columns.entries()) {
    const words = texts[at] ?? '';
    if (!words) continue;
    const read = column === MARKING ? readMarking(words) : isNumeric(column) ? readCell(column, words) : {cells: {[column]: words}};
    if (read.why) return {why: `${column}: ${read.why}`};
    Object.assign(cells, read.cells);
  }
  return {cells};
}

function readPasted(file, words) {
  const lines = words.split(/\r?\n/).map((line) => line.split(line.includes('\t') ? '\t' : ';').map((cell) => cell.trim()));
  const columns = lines[0].map((name) => columnCalled(file, name)), unknown = lines[0].filter((_, at) => !columns[at]);
  if (unknown.length) return {why: `The first pasted line must name columns of ${file}; unknown: ${unknown.join(', ')}.`};
  const rows = lines.slice(1).filter((texts) => texts.some(Boolean)).map((texts) => cellsOf(columns, texts));
  if (!rows.length) return {why: 'Paste a line of column names and at least one row.'};
  const wrong = rows.find(({why}) => why);
  return wrong ? {why: `Nothing was added. ${wrong.why.replace(/\.$/, '')}.`} : {rows: rows.map(({cells}) => cells)};
}

// Of things that are placed, those whose reference stands on the board or in the list already; a row without one gets the next.
function sortOut(file, rows) {
  if (!placed.includes(file)) return {here: rows, wait: [], twice: []};
  const known = [...placed.flatMap(rowsOf), ...list().map(({cells}) => cells)], here = [], wait = [], twice = [];
  for (const cells of rows) {
    const isTwice = cells.ref && known.some(({ref}) => ref === cells.ref);
    const row = {...cells, ref: cells.ref || nextRef(file === 'parts.csv' ? 'C' : 'R', known)};
    known.push(row);
    (isTwice ? twice : row.x_mm && row.y_mm ? here : wait).push(row);
  }
  return {here, wait, twice};
}

const sayRefs = (rows) => rows.slice(0, NAMES_MOST).map(({ref}) => ref).join(', ') + (rows.length > NAMES_MOST ? ` and ${rows.length - NAMES_MOST} more` : '');

async function pasteRows() {
  const box = document.querySelector('[name="pasted"]'), file = document.querySelector('[name="paste_into"]').value;
  const {rows, why} = readPasted(file, box.value.trim());
  if (why) { tell(why); return; }
  const {here, wait, twice} = sortOut(file, rows);
  if (here.length && !await edit(`paste ${here.length} rows into ${file}`, () => here.map((cells) => insertOp(file, cells)))) return;
  box.value = '';
  if (wait.length) {
    state.tool = file === 'parts.csv' ? 'part' : 'source';
    keep([...list().filter((one) => !isTaken(one.cells.ref)), ...wait.map(({x_mm, y_mm, ...cells}) => ({file, cells}))]);
    changed('tool');
  }
  if (twice.length) tell(`Left out, since their references are on the board or in the list: ${sayRefs(twice)}.`);
}

export function pastePart() {
  return make('details', {}, make('summary', {}, 'Paste rows from a spreadsheet'),
    make('p', {}, 'Copy the cells with their line of column names, such as ref, x_mm, y_mm, capacitance_uf. Rows without a place wait; each click on the board then places the next one.'),
    field('Into', 'paste_into', 'parts.csv', {options: ['parts.csv', 'sources.csv', 'readings.csv'], 'data-keep': ''}),
    make('label', {class: 'field', 'data-key': 'field-pasted'}, make('span', {}, 'Cells'), make('textarea', {name: 'pasted', rows: 5, 'data-keep': ''})),
    make('p', {}, make('button', {onclick: pasteRows}, 'Add the rows')));
}
