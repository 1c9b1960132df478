// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Probing: the next place to read, its reading typed in, and a challenge where it does not fit.
import {field, make, millimetres, number, rounded} from './dom.js';
import {changed, edit, insertOp, rowsOf, state, tell} from './store.js';
import {chosenPart} from './place.js';
import {hasMinute, removeOps, rowsOfReading, seriesPart} from './series.js';
import {draw, drawing, thingAt, view} from './board.js';
import {closeUp, folded, inputmode, isUp, keypad} from './keypad.js';
import {canAt, cansByDistance} from './cans.js';
import {isNumber} from './entry.js';
import {walk} from './walk.js';
import {areaAt, areaCloseTo, isAnswered, isContact, isReason, keepoutQuestion, reasonNote} from './keepout.js';

const cautions = [
  'Mains and high voltage can kill, even when the power is off: capacitors hold their charge, and some of it comes back after a first discharge.',
  'Microwave ovens, picture tubes and photoflash units are not for anyone who has not been taught to make them safe.',
  'Before you touch: unplug, wait, and discharge each reservoir through a resistor made for it. Try the meter on a live source, prove the board dead, and try the meter on the live source once more.',
  'While the board runs: an isolating transformer, one hand, insulated probes rated for the voltage, never alone. Tape beads down with the board dead.',
  'Behind an isolating transformer a residual-current device no longer protects you, and an instrument whose case or probe is earthed ends the isolation. A variable autotransformer does not isolate at all.',
  'Cans, heat sinks and the pins on the solder side may be live.',
  'Read no-touch areas by infrared only, from outside.',
  'First power-up after a long rest: reform high-voltage parts slowly, use a lamp in series with the mains, stay out of reach, never alone, with an extinguisher for electrical fires at hand.',
  'After the work, stay with the equipment for its first hours: watch for heat, smell, hum and a current that creeps up.',
  'Local codes come first, and work on mains equipment belongs to those who are licensed for it where the law says so.',
];

// `series` is the warm-up series at hand: the next reading goes into it. `entering` while one is being
// kept, when no place is proposed. `early`: what stands in the field was typed before its place was shown.
let accepted = false, own = null, series = null, skipped = 0, stampOfPlan = '', entering = null, early = false;
const kept = new Set();
// Where the last reading was taken, and the place that a phone shows.
let lastPlace = null, closeTo = '';

const methods = ['thermocouple-K', 'thermocouple-J', 'thermocouple-T', 'infrared'];
const units = [['C', '\u00b0C'], ['F', '\u00b0F'], ['K', 'K']];
const spots = ['board', 'part', 'source'];

// The instrument as it was last chosen: by hand, else by the last reading of the files.
const instrument = {};
// Contact at this place of a no-touch area, by choice; and what was read at this place, if not as elsewhere.
let contactAt = '', here = {};

function usual(key, known) {
  if (key in instrument) return instrument[key];
  const last = rowsOf('readings.csv').at(-1)?.[key];
  return known.includes(last) ? last : null;
}

const chooseInstrument = (key) => (event) => { instrument[key] = event.target.value.trim(); changed('instrument'); };

function planned() {
  const plan = state.plan;
  if (!plan) return null;
  if (plan.stamp !== stampOfPlan) { stampOfPlan = plan.stamp; skipped = 0; }
  // beside the board, with a phone in the hand, the way counts as well
  const points = isUp() ? walk(plan.points, lastPlace) : plan.points;
  return points[skipped % Math.max(points.length, 1)] ?? null;
}

const fresh = () => state.plan && state.plan.stamp === state.live?.stamp && state.live.stamp === state.job.stamp && !state.plan.thinking;

function nextId() {
  const used = rowsOf('readings.csv').map((row) => /^p(\d+)$/.exec(row.id)).filter(Boolean).map((found) => Number(found[1]));
  return `p${Math.max(0, ...used) + 1}`;
}

export function probeAt(point) {
  const thing = thingAt(point);
  if (!accepted || !isAnswered() || thing?.file === 'readings.csv') return false;
  const can = canAt(point), source = thing?.file === 'sources.csv' ? thing.row : null;
  if (can) proposeAt(point, `On the can of ${can.ref}. Choose \u201cboard\u201d where you read the board under it.`, can.ref, 'part');
  else proposeAt(point, source ? `At ${source.ref}. Read the board under or beside it; its body is hotter than the board.` : 'A place of your own choice.', source?.ref);
  changed('own');
  byName('reading')?.focus();
  return true;
}

// The next place, of one's own choice.
export function proposeAt(point, reason, on = '', spot = null) {
  series = null;
  own = {x_mm: number(millimetres(point.x_mm)), y_mm: number(millimetres(point.y_mm)), method: null, spot, reason, on};
  state.probe = null;
}

const byName = (name) => document.querySelector(`[name="${name}"]`);
const placeKey = (point) => `${millimetres(point.x_mm)} ${millimetres(point.y_mm)}`;

// Infrared in or close to a no-touch area, whatever was read elsewhere; contact there is chosen for
// one place.
function methodAt(point) {
  if (series) return series.method;
  if (areaCloseTo(point) && contactAt !== placeKey(point)) return 'infrared';
  return instrument.method ?? point.method ?? usual('method', methods) ?? methods[0];
}

function chooseMethod({target: {value}}) {
  const point = state.probe, isClose = point && areaCloseTo(point);
  if (!isClose || isContact(value)) instrument.method = value;
  contactAt = isClose && isContact(value) ? placeKey(point) : '';
  changed('instrument');
}

// A click on a can means the can, there alone; and whose it is, the place says, until somebody does.
const chosenHere = (point, key) => (here.place === placeKey(point) ? here[key] : undefined);
const spotAt = (point) => series?.spot ?? chosenHere(point, 'spot') ?? point.spot ?? (instrument.spot || 'board');
const partAt = (point) => series?.part ?? chosenHere(point, 'part') ?? canAt(point)?.ref ?? '';

// From the side that is looked at, or that the plan names.
const sideAt = (point) => series ? series.side ?? '' : drawing.solder || point.side === 'solder side' ? 'solder' : '';

const chooseHere = (key) => ({target: {value}}) => {
  const point = state.probe;
  if (point) here = {...(here.place === placeKey(point) ? here : {}), place: placeKey(point), [key]: value};
  if (key === 'spot' && !point?.spot) instrument.spot = value;
  changed('instrument');
};

// What must be said why before it is kept.
const needsReason = (point) => Boolean(areaAt(point)) && isContact(methodAt(point)) && !isReason(series?.note);

// The row to be; null, with the focus on what is wrong, where it is none.
function typedRow(form, point) {
  const typed = (name) => form[name]?.value.trim() ?? '';
  const value = typed('reading').replace(',', '.'), minute = typed('minute').replace(',', '.'), id = series?.id ?? nextId();
  const wrong = (name, words = '') => { tell(words); form[name].focus(); return null; };
  if (!isNumber(value)) return wrong('reading', value ? `\u201c${value}\u201d is not a number.` : '');
  if ((series || minute) && !isNumber(minute)) return wrong('minute', 'Give the minutes since switch-on.');
  if (minute && hasMinute(id, number(minute))) return wrong('minute', `${id} already has a reading at ${minute} min.`);
  if (form.can_of && !typed('can_of')) return wrong('can_of', 'There is no can at this place: choose which can you read, or say what it was.');
  if (needsReason(point) && !typed('contact_reason')) return wrong('contact_reason', `This place is in ${areaAt(point)}. Read it by infrared, or say why contact is safe there.`);
  const cells = {id, x_mm: millimetres(point.x_mm), y_mm: millimetres(point.y_mm), value, unit: form.unit.value, method: form.method.value, spot: form.spot.value};
  if (series) Object.assign(cells, {x_mm: series.x_mm, y_mm: series.y_mm});
  if (sideAt(point) === 'solder') cells.side = 'solder';
  if (form.can_of) cells.part = typed('can_of');
  if (minute) cells.minute = minute;
  if (cells.method === 'infrared' && typed('emissivity')) cells.emissivity = typed('emissivity').replace(',', '.');
  if (needsReason(point)) cells.note = reasonNote(typed('contact_reason'));
  else if (isReason(series?.note)) cells.note = series.note;
  return cells;
}

async function enter(event) {
  event.preventDefault();
  const form = event.target, point = state.probe, before = {own, series};
  if (!point) { tell('Wait for the place: your reading stays in the field meanwhile.'); return; }
  if (early) {
    early = false;
    tell(`The place came after the number. If ${form.reading.value} was read at x ${millimetres(point.x_mm)} mm, y ${millimetres(point.y_mm)} mm, press Enter again.`);
    return;
  }
  const cells = typedRow(form, point);
  if (!cells) return;
  const typed = ['reading', 'minute', 'contact_reason'].filter((name) => form[name]).map((name) => [name, form[name].value]);
  form.reading.value = form.minute.value = '';
  form.reading.focus({preventScroll: isUp()});
  own = state.probe = null;
  series = cells.minute ? cells : null;
  entering = {stamp: null};
  const label = cells.minute ? `${cells.id} at ${cells.minute} min` : `reading ${cells.id}`;
  const done = await edit(label, () => {
    entering.stamp = state.job.stamp;
    return [insertOp('readings.csv', cells)];
  });
  entering = null;
  if (done) { contactAt = ''; lastPlace = point; return; }
  ({series} = before);
  own = before.own ?? (series ? null : point);
  changed('own');
  if (!form.reading.value) for (const [name, value] of typed) if (form[name]) form[name].value = value;
}

// Until the files have the reading.
const isEntering = () => Boolean(entering) && (!entering.stamp || entering.stamp === state.job.stamp);

function goOn(row) {
  own = null;
  series = row;
  changed('series');
  byName('reading')?.focus();
}

const placeOfSeries = () => ({x_mm: number(series.x_mm), y_mm: number(series.y_mm), method: series.method, on: '',
  reason: `Reading ${rowsOfReading(series.id).length + 1} of series ${series.id}, at the same place and with the same instrument.`});

function accept() {
  accepted = true;
  changed('accept');
  byName('reading')?.focus({preventScroll: isUp()});
}

function cautionPart() {
  return [
    make('h2', {}, 'Before you probe'), keepoutQuestion(),
    make('ul', {class: 'cautions'}, ...cautions.map((words) => make('li', {}, words))),
    make('p', {}, make('button', {class: 'main', id: 'accept', onclick: accept}, 'I have read this and will follow it')),
  ];
}

// The place stays while a value is being typed for it, whatever becomes of the plan meanwhile; and a
// plan that older readings made is not shown, so that nobody tapes a bead where it is not wanted.
function nextPoint() {
  if (series && !rowsOfReading(series.id).length && !isEntering()) series = null;
  if (isEntering() || !isAnswered()) return null;
  if (series) return placeOfSeries();
  if (byName('reading')?.value.trim() && state.probe) return state.probe;
  return own ?? (fresh() ? planned() : null);
}

function whyNone() {
  if (!isAnswered()) return 'First say where mains and high voltage are.';
  if (isEntering() || (!fresh() && state.live?.whole)) return 'Looking for the best place to read\u2026';
  if (state.plan?.settled) return 'No further reading is expected to change a verdict. Any place can still be read: click it.';
  return 'No place to propose: see the problems in the files. Any place can be read: click it.';
}

function showPlace() {
  view.show(state.probe);
  draw();
}

const whereWords = (point) => [
  make('p', {class: 'where', 'data-key': 'where'}, `x ${millimetres(point.x_mm)} mm, y ${millimetres(point.y_mm)} mm${point.on ? `, ${point.spot === 'part' ? 'on the can of' : 'at'} ${point.on}` : ''}${point.side ? `, ${point.side}` : ''}`),
  make('p', {class: 'why-there', 'data-key': 'why-there'}, point.reason),
];

// Told before a value is typed.
function danger(point) {
  const inside = areaAt(point), close = areaCloseTo(point);
  if (!close) return null;
  const contact = isContact(methodAt(point));
  return make('p', {class: 'danger', id: 'danger', role: 'alert'},
    `${inside ? 'This place is in' : 'This place is close to'} ${close}: voltage there can kill. `,
    contact ? 'A bead goes there only with the board switched off, unplugged, discharged and proved dead.' : 'Read it by infrared, from outside the area.');
}

// All rows of a series are read alike: what was chosen for the first stays.
const choice = (label, name, value, options, onchange, more = {}) =>
  field(label, name, value, {options: series ? options.filter((option) => [option].flat()[0] === value) : options, onchange, ...more});

const methodNow = (point) => (point ? methodAt(point) : series?.method ?? instrument.method ?? usual('method', methods) ?? methods[0]);
const spotNow = (point) => (point ? spotAt(point) : series?.spot || instrument.spot || 'board');

// What folded fields say, and whether one of them wants an answer.
const spotWords = (point) => (spotNow(point) === 'part' ? `on the can${point && partAt(point) ? ` of ${partAt(point)}` : ''}` : `on the ${spotNow(point)}`);
const instrumentWords = (point) => `${methodNow(point)}, ${spotWords(point)}. Change, or type the minute`;
const mustChoose = (point) => Boolean(series || (point && (needsReason(point) || (spotNow(point) === 'part' && !partAt(point)))));

function instrumentFields(point) {
  const method = methodNow(point);
  return [
    choice('Read with', 'method', method, methods, chooseMethod),
    point && needsReason(point) ? make('div', {class: 'whole', 'data-key': 'reason'}, field('Why is contact safe there?', 'contact_reason', '', {'data-keep': ''})) : null,
    choice('On', 'spot', spotNow(point), spots, chooseHere('spot')),
    point && spotAt(point) === 'part' ? choice('Can of', 'can_of', partAt(point), ['', ...cansByDistance(point).map(({ref}) => ref)], chooseHere('part')) : null,
    field('Emissivity, if the instrument is set to 1', 'emissivity', series ? series.emissivity ?? '' : instrument.emissivity ?? lastEmissivity(), {inputmode: inputmode(), disabled: Boolean(series), oninput: chooseInstrument('emissivity')}),
    field(series ? 'Minute since switch-on' : 'Minute, while it warms up', 'minute', '', {inputmode: inputmode(), 'data-keep': ''}),
  ];
}

const lastEmissivity = () => rowsOf('readings.csv').findLast((row) => row.method === 'infrared')?.emissivity ?? '';

// The form stays where it is from one place to the next: what is typed before the place is known
// stays whole, and is asked about.
function nextPart() {
  const before = state.probe, point = state.probe = nextPoint();
  if (point && !before && byName('reading')?.value.trim()) early = true;
  if (point && isUp() && placeKey(point) !== closeTo) { closeTo = placeKey(point); closeUp(point); }
  const unit = series?.unit ?? usual('unit', units.map(([word]) => word)) ?? 'C';
  return [
    make('div', {class: 'place', 'data-key': 'place'}, ...(point ? whereWords(point) : [make('p', {'data-key': 'none'}, whyNone())])),
    make('form', {onsubmit: enter, class: 'probe'},
      point ? danger(point) : null,
      make('div', {class: 'whole shown', 'data-key': 'shown'},
        field('Reading', 'reading', '', {inputmode: inputmode(), class: 'big', 'data-keep': '', oninput: () => { if (!byName('reading').value.trim()) early = false; }}),
        choice('Unit', 'unit', unit, units.some(([word]) => word === unit) ? units : [...units, unit], chooseInstrument('unit'), {class: 'big'})),
      keypad(),
      ...folded(instrumentWords(point), mustChoose(point), instrumentFields(point)),
      make('p', {class: 'row'},
        isUp() ? null : make('button', {class: 'main', type: 'submit'}, 'Enter'),
        series ? make('button', {type: 'button', id: 'end-series', onclick: () => { series = null; changed('series'); }}, 'End the series')
          : own ? make('button', {type: 'button', id: 'to-plan', onclick: () => { own = null; state.probe = null; changed('own'); }}, 'Back to the plan')
          : make('button', {type: 'button', id: 'skip', disabled: !point, onclick: () => { skipped++; state.probe = null; changed('skip'); }}, 'Cannot reach it'),
        make('button', {type: 'button', id: 'show-place', disabled: !point, onclick: showPlace}, 'Show it'))),
  ];
}

// Why a reading is asked about.
const misfitWords = (reading) => `It says ${rounded(reading.temp_c)} \u00b0C; the other readings predict ${rounded(reading.expected_c)} \u00b1 ${rounded(reading.expected_sd_k)} \u00b0C there. A bead that has lifted, a wrong place, a typing error, or a heat source that is not listed?`;
const aloneWords = (reading) => `It says ${rounded(reading.temp_c)} \u00b0C, and no other reading confirms it: a typing error, a wrong place, or a heat source that is not listed? Read it again before you look for a source.`;

// A reading that the others do not expect is asked about at once. Its rows go together.
function challenge(reading) {
  return make('section', {class: 'challenge', 'data-key': `challenge-${reading.id}`, role: 'alert'},
    make('h3', {}, reading.misfit ? `${reading.id} does not fit` : `Only ${reading.id} says so`),
    make('p', {}, reading.misfit ? misfitWords(reading) : aloneWords(reading)),
    make('p', {class: 'row'},
      make('button', {onclick: () => edit(`remove ${reading.id}`, () => removeOps(reading.id))}, 'Remove, read again'),
      make('button', {onclick: () => { kept.add(`${reading.id} ${reading.temp_c}`); changed('kept'); }}, 'It is right, keep it')));
}

// One bad reading makes its neighbours look bad as well: only the worst is asked about.
function challenges() {
  const readings = state.live?.outcome?.readings ?? [];
  return readings.filter((reading) => reading.doubted && !kept.has(`${reading.id} ${reading.temp_c}`))
    .sort((one, other) => other.doubt - one.doubt).slice(0, 1).map(challenge);
}

export function probePanel() {
  if (!accepted) { state.probe = null; return cautionPart(); }
  return [keepoutQuestion(), make('h2', {}, 'Read next'), ...nextPart(), ...challenges(), ...seriesPart(goOn), chosenPart(),
    make('p', {class: 'soft'}, 'Mains and charged capacitors can kill. Isolate the supply; discharge the capacitors and prove them dead before you move a bead. Local codes and licensed practice come first.')].filter(Boolean);
}
