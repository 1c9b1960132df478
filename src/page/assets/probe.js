// Probing: the next place to read, its reading typed in, and a challenge where it does not fit.
import {field, make, millimetres, number, rounded} from './dom.js';
import {changed, deleteOp, edit, insertOp, rowsOf, state} from './store.js';
import {chosenPart} from './place.js';
import {thingAt} from './board.js';

const cautions = [
  'Mains and high voltage kill, also when the power is off: capacitors hold their charge, and some of it comes back after a first discharge.',
  'Before touching: unplug, wait, discharge each reservoir through a resistor made for it, and measure that it is dead.',
  'While the board runs: an isolating transformer, one hand, insulated probes rated for the voltage, nobody alone. Tape beads down with the board dead.',
  'No-touch areas are read by infrared alone, from outside.',
  'Local codes come first, and work on mains belongs to those who are licensed for it where the law says so.',
];

let accepted = false, own = null, skipped = 0, stampOfPlan = '', wantsFocus = false;
const kept = new Set();

function planned() {
  const plan = state.plan;
  if (!plan) return null;
  if (plan.stamp !== stampOfPlan) { stampOfPlan = plan.stamp; skipped = 0; }
  return plan.points[skipped % Math.max(plan.points.length, 1)] ?? null;
}

const fresh = () => state.plan && state.plan.stamp === state.live?.stamp && state.live.stamp === state.job.stamp && !state.plan.thinking;

function nextId() {
  const used = rowsOf('readings.csv').map((row) => /^p(\d+)$/.exec(row.id)).filter(Boolean).map((found) => Number(found[1]));
  return `p${Math.max(0, ...used) + 1}`;
}

export function probeAt(point) {
  if (!accepted || thingAt(point)) return false;
  own = {x_mm: number(millimetres(point.x_mm)), y_mm: number(millimetres(point.y_mm)), method: usualMethod(), reason: 'A place of your own choice.', on: ''};
  changed('own');
  document.querySelector('[name="reading"]')?.focus();
  return true;
}

function usualMethod() {
  return rowsOf('readings.csv').at(-1)?.method ?? 'thermocouple-K';
}

async function enter(event) {
  event.preventDefault();
  const form = event.target, value = form.reading.value.trim().replace(',', '.');
  if (!Number.isFinite(number(value))) { form.reading.focus(); return; }
  const point = state.probe;
  const cells = {id: nextId(), x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm), value, unit: form.unit.value, method: form.method.value, spot: form.spot.value};
  if (form.method.value === 'infrared' && form.emissivity.value) cells.emissivity = form.emissivity.value;
  form.reading.value = '';
  own = state.probe = null;
  wantsFocus = true;
  if (!await edit(`reading ${cells.id}`, () => [insertOp('readings.csv', cells)])) {
    own = point;
    changed('own');
    document.querySelector('[name="reading"]').value = value;
    return;
  }
  if (state.probe) focusReading();
}

function cautionPart() {
  return [
    make('h2', {}, 'Before you probe'),
    make('ul', {class: 'cautions'}, ...cautions.map((words) => make('li', {}, words))),
    make('p', {}, make('button', {class: 'main', id: 'accept', onclick: () => { accepted = wantsFocus = true; changed('accept'); }}, 'I have read this and work by it')),
  ];
}

// The place stays while a value is being typed for it, whatever becomes of the plan meanwhile; and a
// plan that older readings made is not shown, so that nobody tapes a bead where it is not wanted.
function nextPoint() {
  const typed = document.querySelector('[name="reading"]')?.value.trim();
  if (typed && state.probe) return state.probe;
  return own ?? (fresh() ? planned() : null);
}

function focusReading() {
  wantsFocus = false;
  queueMicrotask(() => document.querySelector('[name="reading"]')?.focus());
}

function nextPart() {
  const point = state.probe = nextPoint();
  if (!point)
    return [make('p', {}, !fresh() && state.live?.whole ? 'Looking for the best place to read\u2026' : state.plan?.settled ? 'No further reading is expected to change a verdict. Any place can still be read: click it.' : 'No place to propose: see what the files leave to ask, below. Any place can be read: click it.')];
  if (wantsFocus) focusReading();
  const methods = ['thermocouple-K', 'thermocouple-J', 'thermocouple-T', 'infrared'];
  return [
    make('p', {class: 'where'}, `x ${millimetres(point.x_mm)} mm, y ${millimetres(point.y_mm)} mm${point.on ? `, at ${point.on}` : ''}`),
    make('p', {}, point.reason),
    make('form', {onsubmit: enter, class: 'probe'},
      field('Reading', 'reading', '', {inputmode: 'decimal', class: 'big', 'data-keep': ''}),
      field('Unit', 'unit', 'C', {options: ['C', 'F', 'K']}),
      field('Read with', 'method', point.method, {options: methods}),
      field('On', 'spot', 'board', {options: ['board', 'part', 'source']}),
      field('Emissivity, if the gun is set to 1', 'emissivity', '', {inputmode: 'decimal'}),
      make('p', {class: 'row'},
        make('button', {class: 'main', type: 'submit'}, 'Enter'),
        own ? make('button', {type: 'button', onclick: () => { own = null; changed('own'); }}, 'Back to the plan')
          : make('button', {type: 'button', onclick: () => { skipped++; changed('skip'); }}, 'Cannot reach it'))),
  ].filter(Boolean);
}

// A reading that the others do not expect is asked about at once.
function challenge(reading) {
  const row = rowsOf('readings.csv').find((known) => known.id === reading.id);
  return make('section', {class: 'challenge', role: 'alert'},
    make('h3', {}, `${reading.id} does not fit`),
    make('p', {}, `It says ${rounded(reading.temp_c)} \u00b0C; the other readings expect ${rounded(reading.expected_c)} \u00b1 ${rounded(reading.expected_sd_k)} \u00b0C there. A bead that has lifted, a wrong place, a typing error, or a heat source that is not listed?`),
    make('p', {class: 'row'},
      make('button', {onclick: () => edit(`remove ${reading.id}`, () => [deleteOp('readings.csv', row)])}, 'Take it out, read again'),
      make('button', {onclick: () => { kept.add(`${reading.id} ${reading.temp_c}`); changed('kept'); }}, 'It is right, keep it')));
}

// One bad reading makes its neighbours look bad as well: only the worst is asked about.
function challenges() {
  const readings = state.live?.outcome?.readings ?? [];
  return readings.filter((reading) => reading.misfit && !kept.has(`${reading.id} ${reading.temp_c}`))
    .sort((one, other) => Math.abs(other.score) - Math.abs(one.score)).slice(0, 1).map(challenge);
}

export function probePanel() {
  if (!accepted) { state.probe = null; return cautionPart(); }
  return [...challenges(), make('h2', {}, 'Read next'), ...nextPart(), chosenPart(),
    make('p', {class: 'soft'}, 'Mains and charged capacitors kill. Discharge and prove dead before a bead is moved.')].filter(Boolean);
}
