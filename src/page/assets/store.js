// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What the page knows of the job, and the only way to the server.
import {send} from './transport.js';

export const state = {
  job: null, live: null, plan: null, what: null, mode: 'board', selected: null, tool: 'select',
  refused: [], // what was wrong in the cells of the last change
};

let choices = 0;

// `serial` tells one choice from the next, also where a thing gets another reference meanwhile.
export function choose(file, row, ref) {
  const known = state.selected;
  const isSame = known && file === known.file && ref === known.ref && row === known.row;
  if (!isSame) state.selected = file ? {file, row, ref, serial: ++choices} : null;
}

const listeners = [];
export const onChange = (listener) => listeners.push(listener);
export const changed = (what = 'all') => listeners.forEach((listener) => listener(what));

async function ask(path, options) {
  const response = await send(path, options);
  const type = response.headers.get('Content-Type') ?? '';
  const answer = type.includes('json') ? await response.json() : await response.text();
  if (!response.ok) throw Object.assign(new Error(refusal(answer)), {answer});
  return answer;
}

function refusal(answer) {
  if (typeof answer === 'string') return answer;
  if (answer.conflict)
    return `${answer.conflict.file}: ${answer.conflict.why}. ` +
      'The page now shows what it holds; look, and enter the change again if it still fits.';
  return [answer.why, ...answer.complaints].join(': ');
}

const post = (path, body) => ask(path, {method: 'POST', body});

// --- tables ---

export const columnOf = (file, name) => file.columns.findIndex((column) => column.toLowerCase() === name);

// Rows of a file as objects that know their place.
export function rowsOf(name) {
  const file = state.job?.files[name];
  if (!file) return [];
  const columns = file.columns.map((column) => column.toLowerCase());
  return file.rows.map((cells, row) => {
    const made = {row};
    columns.forEach((column, at) => { made[column] = cells[at]; });
    return made;
  });
}

const cellsOf = ({row, ...cells}) => cells;

export const setOp = (file, row, set, keys) => ({
  file, op: 'set', row: row.row, set,
  expect: Object.fromEntries([...keys, ...Object.keys(set)].map((key) => [key, row[key] ?? ''])),
});
export const insertOp = (file, set) => ({file, op: 'insert', set});
export const deleteOp = (file, row) => ({file, op: 'delete', row: row.row, expect: cellsOf(row)});

// A key of board.csv: its row is set, or added.
export function keyOp(file, key, value, unit = '') {
  const row = rowsOf(file).find((known) => known.key.toLowerCase() === key);
  return row ? setOp(file, row, {value}, ['key']) : insertOp(file, {key, value, unit});
}

export const boardKey = (key) =>
  rowsOf('board.csv').find((row) => row.key.toLowerCase() === key)?.value ?? '';

// Nothing has been entered yet: what the files lack is no fault.
export const isNewJob = () => Boolean(state.job) && Object.values(state.job.files).every((file) => file && !file.rows.length);

// --- changes ---

let busy = Promise.resolve();

// One after another: the next change is made on what the one before it left.
function inTurn(work) {
  busy = busy.then(work, work);
  return busy;
}

// The server is at the map while the browser shows the change itself, and the next one.
function take(answer) {
  const live = askLive();
  state.job = answer;
  if (answer.note) tell(answer.note);
  changed('job');
  live.catch((error) => tell(error.message));
}

async function attempt(path, body) {
  try {
    tell('');
    state.refused = [];
    take(await post(path, body));
    return true;
  } catch (error) {
    tell(error.message);
    state.refused = error.answer?.places ?? [];
    // what was dragged or typed on the screen alone is not in the files
    if (error.answer) await loadJob().catch((lost) => tell(lost.message));
    return false;
  }
}

// `ops` is asked for when its turn comes, so that it is made of what the change before it left.
export const edit = (label, ops) => inTurn(() => attempt('edit', JSON.stringify({label, ops: ops()})));
// The same, but nothing is written: what stands against it, as the places of its cells.
export const check = (label, ops) => inTurn(() => post('edit', JSON.stringify({label, ops})).then(() => [],
  (error) => { if (error.answer?.places?.length) return error.answer.places; throw error; }));
export const undo = () => inTurn(() => attempt('undo'));
export const redo = () => inTurn(() => attempt('redo'));
export const sendPhoto = (file) => inTurn(() => attempt('photo', file));
export const exportResults = () => post('export');
export const askCircles = (signal) => ask('circles', {signal});
export const leaveCircles = () => post('leave-circles').catch(() => {}); // it ends by itself, if later
export const tryMarks = (marks) => post('marks', JSON.stringify({marks}));
export const whatIf = (asked) => post('what-if', JSON.stringify(asked));

// A notice lies over the sentence, so that nothing moves for it.
export function tell(words) {
  document.getElementById('notice-words').textContent = words;
  document.getElementById('notice').hidden = words === '';
}

// --- looking ---

let planTimer = 0;

async function loadPlan() {
  clearTimeout(planTimer);
  const plan = await ask('plan');
  state.plan = plan;
  changed('plan');
  if (plan.thinking) planTimer = setTimeout(() => loadPlan().catch((error) => tell(error.message)), 250);
}

// When what was just drawn is on the screen.
export function afterFrame(work) {
  if (document.hidden) work();
  else requestAnimationFrame(() => setTimeout(work));
}

let asking = null;

// No change waits for a map: it is given up for one of newer files.
async function askLive() {
  asking?.abort();
  const mine = asking = new AbortController();
  const live = await ask('live', {signal: mine.signal}).catch((error) => { if (asking === mine) throw error; });
  if (asking !== mine) return;
  asking = null;
  state.live = live;
  state.what = null;
  changed('live');
  // the map comes first: the plan takes longer
  afterFrame(() => loadPlan().catch((error) => tell(error.message)));
}

export async function loadJob() {
  take(await ask('job'));
}

// Another program may change the files at any time.
export function watch() {
  setInterval(() => inTurn(async () => {
    if (document.hidden || !state.job) return;
    try {
      const stamp = await ask('stamp');
      if (stamp === state.job.stamp) return;
      await loadJob();
      tell(['Another program has changed the job\u2019s files. The page shows them as they are now.', state.job.note ?? ''].join(' '));
    } catch (error) {
      tell(error.message);
    }
  }), 1500);
}
