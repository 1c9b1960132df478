// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Placing parts and sources; their rows as a table; rows pasted in.
import {field, make, millimetres} from './dom.js';
import {changed, choose, deleteOp, edit, insertOp, rowsOf, setOp, state, tell} from './store.js';
import {drawing, pointer} from './board.js';
import {circlesPart, snap} from './circles.js';
import {readCell} from './entry.js';
import {editCell, faultOfCell} from './faults.js';
import {keepoutQuestion} from './keepout.js';
import {columns, grades, readMarking, sayCells} from './marking.js';
import {isAlike, kindOf, kindsPart} from './brush.js';
import {manyPart, toggleAt} from './many.js';
import {marksPart} from './marks.js';
import {mountChoice} from './mounts.js';
import {isTaken, nextRef, nextWaiting, pastePart, placeWaiting, waitingPart} from './pasted.js';
import {addCorner, ringPart, ringTools} from './ringtool.js';
import {sayTemps} from './temps.js';

const tools = [['select', 'Select and move'], ['part', 'Part'], ['source', 'Source'], ['many', 'Select many parts']];

// What a new part or source starts with; kept from one to the next.
const part = {ref: 'C1', type: '', diameter_mm: '8', capacitance_uf: '', rated_v: '', rated_c: '85', height_mm: '', endurance_h: '', esr_limit_ohm: '', mount: '', lead_pitch_mm: '', critical: 'no'};
let marking = {words: '', cells: {}, why: null};
const source = {ref: 'R1', width_mm: '10', height_mm: '10', mount: '', power_w: ''};

const types = ['aluminium', 'bipolar', 'polymer', 'hybrid', 'tantalum', 'film'];
const voltages = ['', '6.3', '10', '16', '25', '35', '50', '63', '100', '160', '200', '250', '315', '350', '400', '450'];
const values = ['', '1', '2.2', '3.3', '4.7', '10', '22', '33', '47', '100', '220', '330', '470', '1000', '2200', '3300', '4700'];

// What the next part gets: the line of its marking counts before the fields.
const marked = () => ({...part, ...marking.cells});

const placeOf = (point) => ({x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm)});

function placePart(point) {
  if (marking.why) { tell(`The marking is not understood: ${marking.why}.`); return; }
  Object.assign(part, marking.cells);
  placeNew('parts.csv', part, snap(point, part));
  part.esr_limit_ohm = ''; // another part, another limit
}

function placeNew(file, draft, point) {
  if (!draft.ref || isTaken(draft.ref)) draft.ref = nextRef(draft.ref || 'C', rowsOf(file));
  const ref = draft.ref, known = Object.entries(draft).filter(([, cell]) => cell !== '');
  const cells = {...Object.fromEntries(known), ...placeOf(point)};
  const done = edit(`place ${ref}`, () => [insertOp(file, cells)]);
  draft.ref = nextRef(ref, [...rowsOf(file), {ref}]);
  lastPlaced = {file, row: rowsOf(file).length, ref, serial: (lastPlaced?.serial ?? 0) + 1};
  done.then(() => { if (matchMedia('(pointer: fine)').matches && !pointer.shown) document.querySelector('[name="printed"]')?.focus(); });
  return done;
}

// The part that a click has just placed: what is printed beside it is typed next, its number alone.
let lastPlaced = null;

function saveNumber(typed) {
  const row = lastPlaced && rowOf(lastPlaced), letters = /^\d+$/.test(typed) ? lastPlaced?.ref.replace(/\d+$/, '') : '';
  if (!row || !typed) return true;
  const done = rename(lastPlaced, row, letters + typed);
  done.then((kept) => { if (kept) draftOf(lastPlaced.file).ref = nextRef(letters + typed, rowsOf(lastPlaced.file)); });
  return done;
}

const draftOf = (file) => (file === 'parts.csv' ? part : source);

const numberField = () => (lastPlaced && rowOf(lastPlaced)
  ? make('div', {class: 'whole', 'data-key': `number-of-${lastPlaced.serial}`}, field(`Number printed beside it, if not that of ${lastPlaced.ref}`, 'printed', '', {inputmode: 'numeric', save: saveNumber})) : null);

const fileOfTool = {part: 'parts.csv', source: 'sources.csv'};

// True where the click was used.
export function placeAt(point) {
  const waiting = state.tool in fileOfTool ? nextWaiting(fileOfTool[state.tool]) : null;
  part.side = source.side = drawing.solder ? 'solder' : '';
  if (waiting) placeWaiting(waiting, state.tool === 'part' ? snap(point, waiting.cells) : point);
  else if (state.tool === 'many') toggleAt(point);
  else if (state.tool === 'part') placePart(point);
  else if (state.tool === 'source') placeNew('sources.csv', source, point);
  else return addCorner(point);
  return true;
}

// --- the panel ---

function toolBar() {
  return make('fieldset', {class: 'tools'}, make('legend', {}, 'What a click does'),
    ...[...tools, ...ringTools()].map(([name, label]) => make('label', {},
      make('input', {type: 'radio', name: 'tool', id: `tool-${name}`, value: name, checked: state.tool === name,
        onchange: () => { state.tool = name; drawing.path = []; changed('tool'); }}), label)));
}

const keep = (draft, key) => (event) => { draft[key] = event.target.value.trim(); };

// What is typed into a field counts before what the line said of it.
const keepOver = (key) => (event) => {
  part[key] = event.target.value.trim();
  delete marking.cells[key];
  changed('draft');
};

// Once it is typed: "4u7" becomes 4.7, and "470/35" fills the voltage as well.
const takeEntry = (key) => () => {
  const {cells, why} = readCell(key, part[key]);
  if (why) { tell(why); return; }
  Object.assign(part, cells);
  for (const column of Object.keys(cells)) delete marking.cells[column];
  changed('draft');
};
const entry = (key, act) => ({inputmode: 'decimal', oninput: act, onchange: takeEntry(key)});

function list(id, options) {
  return make('datalist', {id}, ...options.map((option) => make('option', {value: option})));
}

// The brush becomes like a part that stands there.
function takeKind(cells) {
  Object.assign(part, cells);
  marking = {words: '', cells: {}, why: null};
  const line = document.querySelector('[name="marking"]');
  if (line) line.value = '';
  changed('draft');
}

function takeMarking(event) {
  marking = {words: event.target.value, ...readMarking(event.target.value)};
  changed('draft');
}

// What the line came to, and what stays as it was.
function echo() {
  if (!marking.words.trim()) return 'Such as 470 35 105, 35V 470uF 105C, 2200\u00b5/63 or, with size and hours, 470/35/105 10x16 2000h.';
  if (marking.why) return `Not understood: ${marking.why}.`;
  const others = Object.fromEntries(columns.filter((column) => !marking.cells[column]).map((column) => [column, part[column]]));
  return [sayCells(marking.cells) && `Understood: ${sayCells(marking.cells)}.`, sayCells(others) && `As before: ${sayCells(others)}.`].filter(Boolean).join(' ');
}

function draftFields() {
  if (state.tool in fileOfTool && nextWaiting(fileOfTool[state.tool])) return null;
  if (state.tool === 'part')
    return make('div', {class: 'fields', 'data-key': 'draft-part'},
      make('div', {class: 'whole'}, field('As on the can', 'marking', marking.words, {oninput: takeMarking, 'data-keep': ''}),
        make('p', {class: marking.why ? 'echo wrong' : 'echo', id: 'marking-echo', 'aria-live': 'polite'}, echo())),
      field('Reference', 'draft_ref', part.ref, {oninput: keep(part, 'ref')}),
      field('Type', 'draft_type', part.type, {options: [['', 'aluminium'], ...types.slice(1)], onchange: keep(part, 'type')}),
      field('Capacitance, \u00b5F', 'draft_uf', marked().capacitance_uf, {list: 'values', ...entry('capacitance_uf', keepOver('capacitance_uf'))}),
      field('Rated, V', 'draft_v', marked().rated_v, {list: 'voltages', ...entry('rated_v', keepOver('rated_v'))}),
      field('Grade, \u00b0C', 'draft_c', marked().rated_c, {options: grades, onchange: keepOver('rated_c')}),
      field('Diameter, mm', 'draft_d', marked().diameter_mm, entry('diameter_mm', keepOver('diameter_mm'))),
      field('Height, mm', 'draft_height', marked().height_mm, entry('height_mm', keepOver('height_mm'))),
      field('Lead pitch, mm', 'draft_pitch', part.lead_pitch_mm, entry('lead_pitch_mm', keep(part, 'lead_pitch_mm'))),
      field('Endurance, h', 'draft_endurance', marked().endurance_h, entry('endurance_h', keepOver('endurance_h'))),
      field('ESR limit, ohm', 'draft_esr', part.esr_limit_ohm, entry('esr_limit_ohm', keep(part, 'esr_limit_ohm'))),
      field('Critical', 'draft_critical', part.critical, {options: ['no', 'yes'], onchange: keep(part, 'critical')}),
      mountChoice('draft_mount', part.mount, (word) => { part.mount = word; changed('draft'); }, true),
      list('values', values), list('voltages', voltages));
  if (state.tool === 'source')
    return make('div', {class: 'fields', 'data-key': 'draft-source'},
      field('Reference', 'draft_ref', source.ref, {oninput: keep(source, 'ref')}),
      field('Width, mm', 'draft_w', source.width_mm, {inputmode: 'decimal', oninput: keep(source, 'width_mm')}),
      field('Height, mm', 'draft_h', source.height_mm, {inputmode: 'decimal', oninput: keep(source, 'height_mm')}),
      field('Power, W, if known', 'draft_p', source.power_w, {inputmode: 'decimal', oninput: keep(source, 'power_w')}),
      mountChoice('draft_mount', source.mount, (word) => { source.mount = word; changed('draft'); }));
  return null;
}

const draftKinds = () => (state.tool === 'part' && !nextWaiting('parts.csv')
  ? kindsPart('Kinds on this board', (kind) => isAlike(kind, marked()), takeKind) : null);

const hints = {
  select: 'Click anything to select it; drag it to move it.',
  many: 'Drag around parts on this side to select them; a click adds or removes one. By keyboard: Enter on a can, or Shift with Enter at two corners of a box. Escape clears the selection.',
  part: 'Click the middle of each can; without circles in the photo, where it meets the board. Or move the cross with the arrow keys and press Enter.',
  source: 'Click the middle of each heat source.',
};

// --- the chosen thing ---

const labels = {
  'parts.csv': {type: 'Type', x_mm: 'x, mm', y_mm: 'y, mm', side: 'Side', diameter_mm: 'Diameter, mm', height_mm: 'Height, mm', lead_pitch_mm: 'Lead pitch, mm', capacitance_uf: 'Capacitance, \u00b5F', rated_v: 'Rated, V', rated_c: 'Grade, \u00b0C', endurance_h: 'Endurance, h', working_v: 'Working, V', year: 'Year', measured_uf: 'Measured, \u00b5F', measured_esr_ohm: 'ESR, ohm', esr_limit_ohm: 'ESR limit, ohm', leakage_ua: 'Leakage, \u00b5A', condition: 'Condition', critical: 'Critical', note: 'Note'},
  'sources.csv': {x_mm: 'x, mm', y_mm: 'y, mm', side: 'Side', width_mm: 'Width, mm', height_mm: 'Height, mm', angle_deg: 'Turned, degrees', power_w: 'Power, W', power_u_w: '\u00b1 W'},
  'readings.csv': {x_mm: 'x, mm', y_mm: 'y, mm', value: 'Value', unit: 'Unit', minute: 'Minute', method: 'Method', spot: 'Spot', side: 'Side', part: 'Part', emissivity: 'Emissivity', note: 'Note'},
};
const choices = {side: ['', 'component', 'solder'], condition: ['', 'unknown', 'sound', 'bulged', 'leaking', 'crusted', 'corroded', 'smells'], type: ['', ...types], critical: ['', 'no', 'yes'], unit: ['C', 'F', 'K', 'mV'], method: ['thermocouple-K', 'thermocouple-J', 'thermocouple-T', 'infrared'], spot: ['', 'board', 'part', 'source']};

const words = ['part', 'note', 'mount', ...Object.keys(choices)];
const choicesOf = (column, row) => {
  const known = column === 'part' ? ['', ...rowsOf('parts.csv').map(({ref}) => ref)] : choices[column];
  return known && [...new Set([...known, row[column] ?? ''])];
};

const keyOf = (file) => (file === 'readings.csv' ? 'id' : 'ref');

// The row of a thing as the files are now, where rows before it may have come or gone; while it is
// renamed it goes by either name.
function rowOf(thing) {
  const rows = rowsOf(thing.file), isIt = (row) => Boolean(row) && [thing.ref, thing.was].includes(row[keyOf(thing.file)]);
  const alike = isIt(rows[thing.row]) ? [rows[thing.row]] : rows.filter(isIt);
  if (alike.length !== 1) return null;
  thing.row = alike[0].row;
  return alike[0];
}

export function chosen() {
  const row = state.selected && rowOf(state.selected);
  return row ? {thing: state.selected, row, key: keyOf(state.selected.file)} : null;
}

async function remove({file, ref}, row) {
  choose(null);
  await edit(`remove ${ref}`, () => [deleteOp(file, row)]);
}

async function rename(thing, row, ref) {
  const key = keyOf(thing.file), before = thing.ref;
  if (!ref || (key === 'ref' && isTaken(ref))) { tell(ref ? `${ref} is taken.` : 'Give a reference.'); return false; }
  const done = await edit(`rename ${before}`, () => {
    Object.assign(thing, {ref, was: before});
    return [setOp(thing.file, row, {[key]: ref}, [key])];
  });
  if (!done) thing.ref = before;
  delete thing.was;
  return done;
}

// What is saved is made of the row as it is when its turn comes: a field before may have changed it.
const saveCell = (thing, row, column) => (typed) => {
  const {cells, why} = words.includes(column) ? {cells: {[column]: typed}} : readCell(column, typed);
  if (why) { tell(why); return {why}; }
  return editCell(`${column} of ${thing.ref}`, () => [setOp(thing.file, rowOf(thing) ?? row, cells, [keyOf(thing.file)])]);
};

// What the map says of a part.
function ofMap({file}, {ref}) {
  const part = file === 'parts.csv' && state.live?.outcome?.parts.find((known) => known.ref === ref);
  return part ? make('p', {class: 'of-map'}, sayTemps(part)) : null;
}

export function chosenPart() {
  const found = chosen();
  if (!found) return null;
  const {thing, row, key} = found;
  return make('section', {class: 'chosen', 'data-key': `chosen-${thing.serial}`, 'aria-label': `Selected: ${row[key]}`},
    make('h3', {}, row[key]), ofMap(thing, row),
    make('div', {class: 'fields'},
      field(key === 'id' ? 'Id' : 'Reference', `chosen_${key}`, row[key], {fault: faultOfCell(thing.file, row, key), save: (value) => rename(thing, row, value)}),
      ...Object.entries(labels[thing.file]).map(([column, label]) =>
        field(label, `chosen_${column}`, row[column] ?? '', {options: choicesOf(column, row), fault: faultOfCell(thing.file, row, column), save: saveCell(thing, row, column)})),
      thing.file === 'readings.csv' ? null : mountChoice('chosen_mount', row.mount ?? '', saveCell(thing, row, 'mount'), thing.file === 'parts.csv')),
    make('p', {class: 'row'}, make('button', {id: 'remove', onclick: () => remove(thing, row)}, `Remove ${row[key]}`),
      thing.file === 'parts.csv' ? make('button', {id: 'more-like', onclick: () => { takeKind(kindOf(row)); state.tool = 'part'; changed('tool'); }}, 'Place more like it') : null));
}

export function placePanel() {
  return [
    make('h2', {}, 'Place'), keepoutQuestion(), toolBar(),
    hints[state.tool] ? make('p', {}, hints[state.tool]) : null,
    state.tool in fileOfTool ? waitingPart(fileOfTool[state.tool]) : null, manyPart(choices),
    state.tool === 'part' ? numberField() : null, draftKinds(),
    draftFields(), state.tool === 'part' ? circlesPart((diameter) => { part.diameter_mm = diameter; }) : null, ringPart(),
    state.tool === 'select' ? chosenPart() : null,
    make('p', {class: 'soft'}, `Parts: ${rowsOf('parts.csv').length}. Sources: ${rowsOf('sources.csv').length}. Readings: ${rowsOf('readings.csv').length}.`),
    state.job.photo ? make('h3', {}, 'Marks on the photo') : null, marksPart(), pastePart(),
  ].filter(Boolean);
}
