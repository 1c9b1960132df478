// Placing parts, sources, no-touch areas and the outline; their rows as a table; rows pasted in.
import {field, make, millimetres, number} from './dom.js';
import {changed, columnOf, deleteOp, edit, insertOp, rowsOf, setOp, state, tell} from './store.js';
import {drawing} from './board.js';
import {marksPart} from './marks.js';

const tools = [
  ['select', 'Select and move'], ['part', 'Part'], ['source', 'Source'],
  ['keepout', 'No-touch area'], ['outline', 'Outline'],
];

// What a new part or source starts with; kept from one to the next.
const part = {ref: 'C1', diameter_mm: '8', capacitance_uf: '', rated_v: '', rated_c: '85', critical: 'no'};
const source = {ref: 'R1', width_mm: '10', height_mm: '10', power_w: ''};

const voltages = ['', '6.3', '10', '16', '25', '35', '50', '63', '100', '160', '200', '250', '315', '350', '400', '450'];
const values = ['', '1', '2.2', '3.3', '4.7', '10', '22', '33', '47', '100', '220', '330', '470', '1000', '2200', '3300', '4700'];
const grades = ['85', '105', '125'];

// The reference after the highest of its letters: C7 after C6.
export function nextRef(ref, rows) {
  const letters = /^(.*?)(\d*)$/.exec(ref)[1];
  const used = rows.map((row) => /^(.*?)(\d+)$/.exec(row.ref)).filter((found) => found && found[1] === letters).map((found) => Number(found[2]));
  return `${letters}${Math.max(0, ...used) + 1}`;
}

function isTaken(ref) {
  return ['parts.csv', 'sources.csv'].some((file) => rowsOf(file).some((row) => row.ref === ref));
}

const placeOf = (point) => ({x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm)});

function placeNew(file, draft, point) {
  if (!draft.ref || isTaken(draft.ref)) draft.ref = nextRef(draft.ref || 'C', rowsOf(file));
  const ref = draft.ref, cells = {...draft, ...placeOf(point)};
  const done = edit(`place ${ref}`, () => [insertOp(file, cells)]);
  draft.ref = nextRef(ref, [...rowsOf(file), {ref}]);
  return done;
}

// --- rings ---

const ringFile = () => (state.tool === 'outline' ? 'outline.csv' : 'keepout.csv');

export function finishPath() {
  const file = ringFile(), path = drawing.path;
  if (path.length < 3) return;
  const rows = rowsOf(file), outline = file === 'outline.csv';
  const ring = outline && !rows.length ? 0 : Math.max(0, ...rows.map((row) => number(row.ring) || 0)) + 1;
  const reason = document.querySelector('[name="reason"]')?.value ?? '';
  const ops = path.map((point, at) => insertOp(file, {ring: String(ring), ...placeOf(point), ...(outline || at > 0 ? {} : {reason})}));
  drawing.path = [];
  edit(outline ? (ring ? 'cut-out' : 'outline') : 'no-touch area', () => ops);
}

// True where the click was used.
export function placeAt(point) {
  if (state.tool === 'part') placeNew('parts.csv', part, point);
  else if (state.tool === 'source') placeNew('sources.csv', source, point);
  else if (state.tool === 'keepout' || state.tool === 'outline') {
    drawing.path.push({x_mm: number(millimetres(point.x_mm)), y_mm: number(millimetres(point.y_mm))});
    changed('path');
  } else return false;
  return true;
}

// --- the panel ---

function toolBar() {
  return make('fieldset', {class: 'tools'}, make('legend', {}, 'What a click does'),
    ...tools.map(([name, label]) => make('label', {},
      make('input', {type: 'radio', name: 'tool', id: `tool-${name}`, value: name, checked: state.tool === name,
        onchange: () => { state.tool = name; drawing.path = []; changed('tool'); }}), label)));
}

const keep = (draft, key) => (event) => { draft[key] = event.target.value.trim(); };

function list(id, options) {
  return make('datalist', {id}, ...options.map((option) => make('option', {value: option})));
}

// What a can says in one go, "470 35 105": capacitance, voltage, grade; units are passed over. A
// number that is left out leaves its field as it is.
function readMarking(event) {
  const found = event.target.value.match(/\d+(?:[.,]\d+)?/g) ?? [];
  const into = [['capacitance_uf', 'draft_uf'], ['rated_v', 'draft_v'], ['rated_c', 'draft_c']];
  into.forEach(([key, name], at) => {
    const words = found[at]?.replace(',', '.');
    if (words === undefined || (key === 'rated_c' && !grades.includes(words))) return;
    part[key] = words;
    document.querySelector(`[name="${name}"]`).value = words;
  });
}

function draftFields() {
  if (state.tool === 'part')
    return make('div', {class: 'fields'},
      make('div', {class: 'whole'}, field('As on the can, such as 470 35 105', 'marking', '', {oninput: readMarking, 'data-keep': ''})),
      field('Reference', 'draft_ref', part.ref, {oninput: keep(part, 'ref')}),
      field('Capacitance, \u00b5F', 'draft_uf', part.capacitance_uf, {list: 'values', inputmode: 'decimal', oninput: keep(part, 'capacitance_uf')}),
      field('Rated, V', 'draft_v', part.rated_v, {list: 'voltages', inputmode: 'decimal', oninput: keep(part, 'rated_v')}),
      field('Grade, \u00b0C', 'draft_c', part.rated_c, {options: grades, onchange: keep(part, 'rated_c')}),
      field('Diameter, mm', 'draft_d', part.diameter_mm, {inputmode: 'decimal', oninput: keep(part, 'diameter_mm')}),
      list('values', values), list('voltages', voltages));
  if (state.tool === 'source')
    return make('div', {class: 'fields'},
      field('Reference', 'draft_ref', source.ref, {oninput: keep(source, 'ref')}),
      field('Width, mm', 'draft_w', source.width_mm, {inputmode: 'decimal', oninput: keep(source, 'width_mm')}),
      field('Height, mm', 'draft_h', source.height_mm, {inputmode: 'decimal', oninput: keep(source, 'height_mm')}),
      field('Power, W, if known', 'draft_p', source.power_w, {inputmode: 'decimal', oninput: keep(source, 'power_w')}));
  return null;
}

function ringPart() {
  if (state.tool !== 'keepout' && state.tool !== 'outline') return null;
  return make('div', {},
    make('p', {}, `Click the corners in order. ${drawing.path.length} set.`),
    state.tool === 'keepout' ? field('Why it must not be touched', 'reason', 'mains', {'data-keep': ''}) : null,
    make('p', {class: 'row'},
      make('button', {class: 'main', id: 'finish', disabled: drawing.path.length < 3, onclick: finishPath}, 'Close the area'),
      make('button', {disabled: !drawing.path.length, onclick: () => { drawing.path.pop(); changed('path'); }}, 'Last corner back')),
    ringList());
}

// The areas of a file, each with a way to take it out.
function ringList() {
  const file = ringFile(), rings = [...new Set(rowsOf(file).map((row) => row.ring))];
  if (!rings.length) return null;
  const removeRing = (ring) => edit(`remove area ${ring}`, () =>
    rowsOf(file).filter((row) => row.ring === ring).reverse().map((row) => deleteOp(file, row)));
  return make('ul', {class: 'rings'}, ...rings.map((ring) => {
    const rows = rowsOf(file).filter((row) => row.ring === ring);
    const name = file === 'outline.csv' ? (number(ring) === 0 ? 'Edge' : `Cut-out ${ring}`) : `Area ${ring}${rows[0].reason ? ': ' + rows[0].reason : ''}`;
    return make('li', {}, `${name}, ${rows.length} corners `, make('button', {'data-key': `ring-${ring}`, 'aria-label': `Remove ${name}`, onclick: () => removeRing(ring)}, 'Remove'));
  }));
}

const hints = {
  select: 'Click a thing to choose it, drag it to move it.',
  part: 'Click the middle of each can, or move the cross with the arrow keys and press Enter.',
  source: 'Click the middle of each heat source.',
};

// --- the chosen thing ---

const labels = {
  'parts.csv': {x_mm: 'x, mm', y_mm: 'y, mm', diameter_mm: 'Diameter, mm', height_mm: 'Height, mm', capacitance_uf: 'Capacitance, \u00b5F', rated_v: 'Rated, V', rated_c: 'Grade, \u00b0C', endurance_h: 'Endurance, h', working_v: 'Working, V', year: 'Year', measured_uf: 'Measured, \u00b5F', measured_esr_ohm: 'ESR, ohm', condition: 'Condition', critical: 'Critical', note: 'Note'},
  'sources.csv': {x_mm: 'x, mm', y_mm: 'y, mm', width_mm: 'Width, mm', height_mm: 'Height, mm', angle_deg: 'Turned, degrees', power_w: 'Power, W', power_u_w: '\u00b1 W'},
  'readings.csv': {x_mm: 'x, mm', y_mm: 'y, mm', value: 'Value', unit: 'Unit', minute: 'Minute', method: 'Method', spot: 'Spot', part: 'Part', emissivity: 'Emissivity', note: 'Note'},
};
const choices = {condition: ['', 'unknown', 'sound', 'bulged', 'leaking'], critical: ['', 'no', 'yes'], unit: ['C', 'F', 'K', 'mV'], method: ['thermocouple-K', 'thermocouple-J', 'thermocouple-T', 'infrared'], spot: ['', 'board', 'part', 'source']};

export function chosen() {
  const row = state.selected && rowsOf(state.selected.file)[state.selected.row];
  const key = state.selected?.file === 'readings.csv' ? 'id' : 'ref';
  return row && row[key] === state.selected.ref ? {file: state.selected.file, row, key} : null;
}

async function remove({file, row, key}) {
  state.selected = null;
  await edit(`remove ${row[key]}`, () => [deleteOp(file, row)]);
}

async function rename({file, row, key}, ref) {
  if (!ref || (key === 'ref' && isTaken(ref))) { tell('That reference is taken.'); return; }
  state.selected.ref = ref;
  await edit(`rename ${row[key]}`, () => [setOp(file, row, {[key]: ref}, [key])]);
}

export function chosenPart() {
  const thing = chosen();
  if (!thing) return null;
  const {file, row, key} = thing;
  const save = (column) => (value) => edit(`${column} of ${row[key]}`, () => [setOp(file, row, {[column]: value}, [key])]);
  return make('section', {class: 'chosen', 'aria-label': `Chosen: ${row[key]}`},
    make('h3', {}, row[key]),
    make('div', {class: 'fields'},
      field(key === 'id' ? 'Id' : 'Reference', `chosen_${key}`, row[key], {save: (value) => rename(thing, value)}),
      ...Object.entries(labels[file]).map(([column, label]) =>
        field(label, `chosen_${column}`, row[column] ?? '', {options: choices[column] && [...new Set([...choices[column], row[column] ?? ''])], save: save(column)}))),
    make('p', {class: 'row'}, make('button', {id: 'remove', onclick: () => remove(thing)}, `Remove ${row[key]}`)));
}

// --- rows from a spreadsheet ---

function pasteRows() {
  const words = document.querySelector('[name="pasted"]').value.trim();
  const file = document.querySelector('[name="paste_into"]').value;
  const lines = words.split(/\r?\n/).map((line) => line.split(line.includes('\t') ? '\t' : ';').map((cell) => cell.trim()));
  const columns = lines[0].map((name) => name.toLowerCase());
  const unknown = columns.filter((name) => columnOf(state.job.files[file] ?? {columns: []}, name) < 0);
  if (lines.length < 2 || unknown.length) {
    tell(unknown.length ? `The first pasted line must name columns of ${file}; unknown: ${unknown.join(', ')}.` : 'Paste a line of column names and at least one row.');
    return;
  }
  const ops = lines.slice(1).filter((cells) => cells.some(Boolean)).map((cells) =>
    insertOp(file, Object.fromEntries(columns.map((name, at) => [name, cells[at] ?? '']).filter(([, cell]) => cell))));
  edit(`paste ${ops.length} rows into ${file}`, () => ops).then((done) => {
    if (done) document.querySelector('[name="pasted"]').value = '';
  });
}

function pastePart() {
  return make('details', {}, make('summary', {}, 'Paste rows from a spreadsheet'),
    make('p', {}, 'Copy the cells with their line of column names, such as ref, x_mm, y_mm, capacitance_uf.'),
    field('Into', 'paste_into', 'parts.csv', {options: ['parts.csv', 'sources.csv', 'readings.csv']}),
    make('label', {class: 'field'}, make('span', {}, 'Cells'), make('textarea', {name: 'pasted', rows: 5, 'data-keep': ''})),
    make('p', {}, make('button', {onclick: pasteRows}, 'Add the rows')));
}

export function placePanel() {
  return [
    make('h2', {}, 'Place'), toolBar(),
    hints[state.tool] ? make('p', {}, hints[state.tool]) : null,
    draftFields(), ringPart(),
    state.tool === 'select' ? chosenPart() : null,
    make('p', {class: 'soft'}, `Parts: ${rowsOf('parts.csv').length}. Sources: ${rowsOf('sources.csv').length}. Readings: ${rowsOf('readings.csv').length}.`),
    state.job.photo ? make('h3', {}, 'Marks on the photo') : null, marksPart(), pastePart(),
  ].filter(Boolean);
}
