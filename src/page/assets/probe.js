// Probing: the next place to read, its reading typed in, and a challenge where it does not fit.
import {field, make, millimetres, number, rounded} from './dom.js';
import {changed, edit, insertOp, rowsOf, state, tell} from './store.js';
import {chosenPart} from './place.js';
import {hasMinute, removeOps, rowsOfReading, seriesPart} from './series.js';
import {thingAt} from './board.js';

const cautions = [
  'Mains and high voltage kill, also when the power is off: capacitors hold their charge, and some of it comes back after a first discharge.',
  'Before touching: unplug, wait, discharge each reservoir through a resistor made for it, and measure that it is dead.',
  'While the board runs: an isolating transformer, one hand, insulated probes rated for the voltage, nobody alone. Tape beads down with the board dead.',
  'No-touch areas are read by infrared alone, from outside.',
  'Local codes come first, and work on mains belongs to those who are licensed for it where the law says so.',
];

// `series` is the warm-up series at hand: the next reading goes into it.
let accepted = false, own = null, series = null, skipped = 0, stampOfPlan = '', wantsFocus = false;
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
  series = null;
  own = {x_mm: number(millimetres(point.x_mm)), y_mm: number(millimetres(point.y_mm)), method: usualMethod(), reason: 'A place of your own choice.', on: ''};
  changed('own');
  document.querySelector('[name="reading"]')?.focus();
  return true;
}

function usualMethod() {
  return rowsOf('readings.csv').at(-1)?.method ?? 'thermocouple-K';
}

// The row to be; null, with the focus on what is wrong, where it is none.
function typedRow(form, point) {
  const typed = (name) => form[name].value.trim().replace(',', '.');
  const value = typed('reading'), minute = typed('minute'), id = series?.id ?? nextId();
  if (!Number.isFinite(number(value))) { form.reading.focus(); return null; }
  if ((series || minute) && !Number.isFinite(number(minute))) { form.minute.focus(); return null; }
  if (minute && hasMinute(id, number(minute))) {
    tell(`${id} has a reading at ${minute} min already.`);
    form.minute.focus();
    return null;
  }
  const cells = {id, x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm), value, unit: form.unit.value, method: form.method.value, spot: form.spot.value};
  if (series) Object.assign(cells, {x_mm: series.x_mm, y_mm: series.y_mm});
  if (minute) cells.minute = minute;
  if (form.method.value === 'infrared' && form.emissivity.value) cells.emissivity = form.emissivity.value;
  return cells;
}

async function enter(event) {
  event.preventDefault();
  const form = event.target, point = state.probe, before = {own, series};
  const cells = typedRow(form, point);
  if (!cells) return;
  form.reading.value = form.minute.value = '';
  own = state.probe = null;
  series = cells.minute ? cells : null;
  wantsFocus = true;
  const label = cells.minute ? `${cells.id} at ${cells.minute} min` : `reading ${cells.id}`;
  if (!await edit(label, () => [insertOp('readings.csv', cells)])) {
    ({series} = before);
    own = before.own ?? (series ? null : point);
    changed('own');
    document.querySelector('[name="reading"]').value = cells.value;
    document.querySelector('[name="minute"]').value = cells.minute ?? '';
    return;
  }
  if (state.probe) focusReading();
}

function goOn(row) {
  own = null;
  series = row;
  wantsFocus = true;
  changed('series');
}

const placeOfSeries = () => ({x_mm: number(series.x_mm), y_mm: number(series.y_mm), method: series.method, on: '',
  reason: `Reading ${rowsOfReading(series.id).length + 1} of series ${series.id}, at the same place and with the same instrument.`});

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
  if (series && !rowsOfReading(series.id).length) series = null;
  if (series) return placeOfSeries();
  const typed = document.querySelector('[name="reading"]')?.value.trim();
  if (typed && state.probe) return state.probe;
  return own ?? (fresh() ? planned() : null);
}

function focusReading() {
  wantsFocus = false;
  queueMicrotask(() => document.querySelector('[name="reading"]')?.focus());
}

// All rows of a series are read alike: what was chosen for the first stays.
const choice = (label, name, value, options) => field(label, name, value, {options: series ? [value] : options});

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
      field(series ? 'Minute since switch-on' : 'Minute since switch-on, while it warms up', 'minute', '', {inputmode: 'decimal', 'data-keep': ''}),
      choice('Unit', 'unit', series?.unit ?? 'C', ['C', 'F', 'K']),
      choice('Read with', 'method', point.method, methods),
      choice('On', 'spot', series?.spot || 'board', ['board', 'part', 'source']),
      field('Emissivity, if the gun is set to 1', 'emissivity', series?.emissivity ?? '', {inputmode: 'decimal', disabled: Boolean(series)}),
      make('p', {class: 'row'},
        make('button', {class: 'main', type: 'submit'}, 'Enter'),
        series ? make('button', {type: 'button', id: 'end-series', onclick: () => { series = null; changed('series'); }}, 'Leave the series')
          : own ? make('button', {type: 'button', onclick: () => { own = null; changed('own'); }}, 'Back to the plan')
          : make('button', {type: 'button', onclick: () => { skipped++; changed('skip'); }}, 'Cannot reach it'))),
  ].filter(Boolean);
}

// A reading that the others do not expect is asked about at once. Its rows go together.
function challenge(reading) {
  return make('section', {class: 'challenge', role: 'alert'},
    make('h3', {}, `${reading.id} does not fit`),
    make('p', {}, `It says ${rounded(reading.temp_c)} \u00b0C; the other readings expect ${rounded(reading.expected_c)} \u00b1 ${rounded(reading.expected_sd_k)} \u00b0C there. A bead that has lifted, a wrong place, a typing error, or a heat source that is not listed?`),
    make('p', {class: 'row'},
      make('button', {onclick: () => edit(`remove ${reading.id}`, () => removeOps(reading.id))}, 'Take it out, read again'),
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
  return [...challenges(), make('h2', {}, 'Read next'), ...nextPart(), ...seriesPart(goOn), chosenPart(),
    make('p', {class: 'soft'}, 'Mains and charged capacitors kill. Discharge and prove dead before a bead is moved.')].filter(Boolean);
}
