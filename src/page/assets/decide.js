// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Deciding: the verdicts as a list, why, what would change in other air or later, and the export.
import {byId, make, patch, rounded} from './dom.js';
import {firstPart} from './first.js';
import {sayTemps} from './temps.js';
import {changed, choose, exportResults, rowsOf, state, tell, whatIf} from './store.js';

const marks = {replace: '\u25cf', check: '\u25d2', leave: '\u25cb'};
const order = {replace: 0, check: 1, leave: 2};
let only = 'all', results = null;

function open(ref) {
  const row = rowsOf('parts.csv').find((part) => part.ref === ref);
  choose(row ? 'parts.csv' : null, row?.row, ref);
  changed('selected');
}

function partRow(part) {
  const isOpen = state.selected?.file === 'parts.csv' && state.selected.ref === part.ref;
  const before = state.live.outcome.parts.find((known) => known.ref === part.ref);
  const turned = state.what && before.verdict !== part.verdict ? ` (now ${before.verdict})` : '';
  return make('li', {class: isOpen ? 'open' : '', 'data-key': `row-${part.ref}`},
    make('button', {class: `part ${part.verdict}`, 'data-key': `part-${part.ref}`, 'aria-expanded': String(isOpen), onclick: () => open(isOpen ? null : part.ref)},
      make('span', {class: 'mark', 'aria-hidden': 'true'}, marks[part.verdict]), make('b', {}, part.ref), make('span', {}, part.verdict + turned),
      make('span', {class: 'number'}, `${rounded(part.temp_c)} \u00b0C`), make('span', {class: 'number'}, part.used === null ? '' : `${Math.round(part.used * 100)} % used`)),
    isOpen ? make('p', {class: 'why'}, sayTemps(part), ' ', part.reason ?? '') : null);
}

// What is asked, as the server takes it; `grade_c` "" asks for no other parts.
const wish = {air_k: 0, hours: 0, fan: false, grade_c: ''};
const isAsked = () => Boolean(wish.air_k || wish.hours || wish.fan || wish.grade_c);

let timer = 0;
function ask() {
  document.getElementById('what-words').textContent = whatWords();
  clearTimeout(timer);
  timer = setTimeout(async () => {
    try {
      const {grade_c, ...asked} = wish;
      state.what = isAsked() ? await whatIf(grade_c ? {...asked, grade_c: Number(grade_c)} : asked) : null;
      changed('what');
    } catch (error) { tell(error.message); }
  }, 60);
}

const slide = ({target}) => { wish[target.name] = Number(target.value); ask(); };

function whatWords() {
  if (!isAsked()) return 'As it is today:';
  const said = [wish.air_k && `air ${Math.abs(wish.air_k)} K ${wish.air_k < 0 ? 'cooler' : 'warmer'} from today on`, wish.fan && 'a fan over the board',
    wish.grade_c && `new parts of ${wish.grade_c} \u00b0C grade`, wish.hours && `after ${wish.hours.toLocaleString('en')} more hours`].filter(Boolean);
  return `With ${said.join(', ')}:`.replace(/^With after/, 'After');
}

function sliders() {
  return make('fieldset', {class: 'what'}, make('legend', {}, 'What if'),
    make('label', {}, 'Air in service', make('input', {type: 'range', name: 'air_k', min: '-20', max: '20', step: '1', value: String(wish.air_k), oninput: slide})),
    make('label', {}, 'Hours to come', make('input', {type: 'range', name: 'hours', min: '0', max: '50000', step: '500', value: String(wish.hours), oninput: slide})),
    make('label', {}, 'A fan blowing on it', make('input', {type: 'checkbox', name: 'fan', checked: wish.fan, onchange: ({target}) => { wish.fan = target.checked; ask(); }})),
    make('label', {}, 'New parts of grade', make('select', {name: 'grade_c', value: wish.grade_c, onchange: ({target}) => { wish.grade_c = target.value; ask(); }},
      ...['', '105', '125'].map((grade) => make('option', {value: grade, 'data-key': `grade-${grade}`}, grade ? `${grade} \u00b0C` : 'none')))),
    make('p', {id: 'what-words', 'aria-live': 'polite'}, whatWords()));
}

async function runExport() {
  try {
    tell('');
    results = await exportResults();
    changed('export');
  } catch (error) { tell(error.message); }
}

function exportPart() {
  return [make('h2', {}, 'Report and kit'),
    make('p', {}, make('button', {class: 'main', id: 'export', onclick: runExport}, 'Write report and kit')),
    results ? make('p', {}, `Written into ${results.folder}:`) : null,
    results ? make('ul', {class: 'results'}, ...results.names.map(({name, description}) => make('li', {}, make('a', {href: `out/${name}`, target: '_blank'}, name), ` ${description}`))) : null].filter(Boolean);
}

function verdicts() {
  const parts = state.what ?? state.live.outcome.parts;
  const counts = Object.fromEntries(Object.keys(order).map((verdict) => [verdict, parts.filter((part) => part.verdict === verdict).length]));
  const sorted = parts.filter((part) => only === 'all' || part.verdict === only)
    .sort((one, other) => order[one.verdict] - order[other.verdict] || (other.past_life ?? 0) - (one.past_life ?? 0) || (other.used ?? 0) - (one.used ?? 0));
  return [
    make('p', {class: 'row filters'}, ...['all', 'replace', 'check', 'leave'].map((verdict) =>
      make('button', {'data-key': `only-${verdict}`, 'aria-pressed': String(only === verdict), onclick: () => { only = verdict; changed('only'); }}, verdict === 'all' ? `all ${parts.length}` : `${marks[verdict]} ${verdict} ${counts[verdict]}`))),
    make('ul', {class: 'parts'}, ...sorted.map(partRow)),
  ];
}

// While a slider is held only the list below it may change.
export function refreshVerdicts() {
  const list = byId('verdicts');
  if (list) patch(list, verdicts());
}

export function decidePanel() {
  if (!state.live?.outcome) return [make('h2', {}, 'Verdicts'), make('p', {}, 'No verdicts before the first reading.')];
  return [
    firstPart(), make('h2', {}, 'Verdicts'), sliders(), make('div', {id: 'verdicts'}, ...verdicts()), ...exportPart(),
    make('p', {class: 'soft'}, 'The estimates guide maintenance. They are not a safety certificate, and a part they leave in place may still fail. Before you replace parts: isolate the supply, discharge the capacitors and prove them dead. Never fit a part the wrong way round, or one of lower voltage or grade. Use a current limiter at the first switch-on, and watch the equipment for its first hours. Local codes and licensed practice come first.'),
  ].filter(Boolean);
}
