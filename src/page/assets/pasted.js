// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Rows from a spreadsheet. Parts and sources without a place wait in a list, and each click on the board
// places the next one; undone, it waits again.
import {field, make, millimetres} from './dom.js';
import {changed, check, columnOf, edit, insertOp, rowsOf, state, tell} from './store.js';
import {drawing} from './board.js';
import {sayKind} from './brush.js';
import {readCell} from './entry.js';
import {say} from './faults.js';
import {readMarking} from './marking.js';

const NAMES_MOST = 5, CHECKED_AT_ONCE = 100;
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
  return make('section', {id: 'waiting', 'data-key': `waiting-${file}`, 'aria-label': 'Waiting for a place'},
    make('h3', {}, `${rows.length} still to place`),
    make('p', {'aria-live': 'polite', id: 'waiting-next'}, `Click where ${sayRow(next)} is.`),
    make('p', {class: 'row'}, ...rows.map(({cells}, at) => make('button', {'data-key': `waits-${cells.ref}`, 'aria-pressed': String(cells.ref === next.cells.ref),
      title: sayRow(rows[at]), onclick: () => { first = cells.ref; changed('waiting'); }}, cells.ref))),
    make('p', {class: 'row'},
      make('button', {id: 'waiting-drop', 'data-key': 'waiting-drop', onclick: () => keep(list().filter((one) => one.cells.ref !== next.cells.ref))}, `Leave ${next.cells.ref} out`),
      make('button', {id: 'waiting-drop-all', 'data-key': 'waiting-drop-all', onclick: () => keep(list().filter((one) => one.file !== file))}, 'Discard the list')));
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

// Cells as the files have them: "47 uF" is 47, "14,5" is 14.5; `wrong` names the columns of what cannot be read.
function cellsOf(columns, texts) {
  const cells = {}, wrong = texts.slice(columns.length).some(Boolean) ? [`${texts.length} cells, expected ${columns.length} as in the line of column names`] : [];
  for (const [at, column] of columns.entries()) {
    const words = texts[at] ?? '';
    if (!words) continue;
    const read = column === MARKING ? readMarking(words) : isNumeric(column) ? readCell(column, words) : {cells: {[column]: words}};
    if (read.why) wrong.push(`${column}: ${read.why.replace(/\.$/, '')}`);
    else Object.assign(cells, read.cells);
  }
  return {cells, wrong};
}

// Tabs part the cells of a spreadsheet, else what the line of names has; a quoted cell may hold it.
function cutter(names) {
  const mark = ['\t', ';'].find((one) => names.includes(one)) ?? ',';
  const cell = new RegExp(`${mark} *("(?:[^"]|"")*" *(?=${mark}|$)|[^${mark}]*)`, 'g');
  return (line) => [...(mark + line).matchAll(cell)].map(([, words]) => words.trim()).map((words) => (/^".*"$/.test(words) ? words.slice(1, -1).replaceAll('""', '"').trim() : words));
}

// `rows` {line, cells, wrong}: lines are counted as they were pasted, that of the names being the first.
function readPasted(file, words) {
  const lines = words.split(/\r?\n/), cut = cutter(lines[0]), names = cut(lines[0]);
  const columns = names.map((name) => columnCalled(file, name)), unknown = names.filter((_, at) => !columns[at]);
  if (unknown.length) return {why: `The first pasted line must name columns of ${file}; unknown: ${unknown.join(', ')}.`};
  const rows = lines.map(cut).map((texts, at) => ({line: at + 1, texts})).slice(1).filter(({texts}) => texts.some(Boolean))
    .map(({line, texts}) => ({line, ...cellsOf(columns, texts)}));
  return rows.length ? {rows} : {why: 'Paste a line of column names and at least one row.'};
}

// What stands against the rows, all of it at once; the program looks at what could be read.
async function faultsOf(file, rows) {
  const told = rows.flatMap(({line, wrong}) => wrong.map((words) => ({line, words})));
  for (let at = 0; at < rows.length; at += CHECKED_AT_ONCE) {
    const ops = rows.slice(at, at + CHECKED_AT_ONCE).map(({line, cells}) => ({file, op: 'check', said: `line ${line}`, set: cells}));
    for (const place of await check('look at pasted rows', ops)) told.push({line: Number(/\d+/.exec(place.column)), words: `${place.column.replace(/^line \d+: /, '')}: ${say(place)}`});
  }
  return told.sort((one, other) => one.line - other.line).map(({line, words}) => `line ${line}, ${words}`);
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

// What was wrong with the rows that were pasted last stays beside them until they are pasted again.
let faults = [];

async function pasteRows() {
  const box = document.querySelector('[name="pasted"]'), file = document.querySelector('[name="paste_into"]').value;
  const read = readPasted(file, box.value.trim());
  if (!read.why) faults = await faultsOf(file, read.rows).catch((error) => [error.message]);
  changed('pasted');
  if (read.why || faults.length) {
    tell(read.why ?? `Nothing was added: ${faults.length === 1 ? '1 problem' : `${faults.length} problems`} in the pasted rows, listed below.`);
    return;
  }
  const {here, wait, twice} = sortOut(file, read.rows.map(({cells}) => cells));
  if (here.length && !await edit(`paste ${here.length} rows into ${file}`, () => here.map((cells) => insertOp(file, cells)))) return;
  box.value = '';
  if (wait.length) {
    state.tool = file === 'parts.csv' ? 'part' : 'source';
    keep([...list().filter((one) => !isTaken(one.cells.ref)), ...wait.map(({x_mm, y_mm, ...cells}) => ({file, cells}))]);
    changed('tool');
  }
  if (twice.length) tell(`Left out, since their references are already on the board or in the list: ${sayRefs(twice)}.`);
}

export function pastePart() {
  return make('details', {}, make('summary', {}, 'Paste rows from a spreadsheet'),
    make('p', {}, 'Copy the cells with their line of column names, such as ref, x_mm, y_mm, capacitance_uf. Commas, semicolons or tabs separate them. Rows without a place wait; each click on the board then places the next one.'),
    field('Into', 'paste_into', 'parts.csv', {options: ['parts.csv', 'sources.csv', 'readings.csv'], 'data-keep': ''}),
    make('label', {class: 'field', 'data-key': 'field-pasted'}, make('span', {}, 'Cells'), make('textarea', {name: 'pasted', rows: 5, 'data-keep': ''})),
    faults.length ? make('ul', {id: 'pasted-faults', 'data-key': 'pasted-faults', class: 'fault'}, ...faults.map((words) => make('li', {}, words))) : null,
    make('p', {}, make('button', {onclick: pasteRows}, 'Add the rows')));
}
