// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// No-touch areas: which one a place lies in, and the question where they are, until it is answered.
import {make} from './dom.js';
import {changed, edit, rowsOf, state} from './store.js';
import {drawing} from './board.js';
import {kinds, reasonOf, ringsOf} from './rings.js';

const FILE = kinds.keepout.file;

// Even and odd crossings, as the job's own reader counts them.
function contains(corners, {x_mm, y_mm}) {
  let inside = false;
  corners.forEach((one, at) => {
    const other = corners.at(at - 1);
    if ((one.y_mm > y_mm) !== (other.y_mm > y_mm) &&
      x_mm < (other.x_mm - one.x_mm) * (y_mm - one.y_mm) / (other.y_mm - one.y_mm) + one.x_mm) inside = !inside;
  });
  return inside;
}

function away({x_mm, y_mm}, one, other) {
  const along = {x: other.x_mm - one.x_mm, y: other.y_mm - one.y_mm};
  const square = along.x ** 2 + along.y ** 2;
  const share = square > 0 ? Math.min(1, Math.max(0, ((x_mm - one.x_mm) * along.x + (y_mm - one.y_mm) * along.y) / square)) : 0;
  return Math.hypot(x_mm - one.x_mm - share * along.x, y_mm - one.y_mm - share * along.y);
}

// So close the plan counts as inside.
const CLOSE_MM = 5;
const isClose = (corners, point) => corners.some((one, at) => away(point, one, corners.at(at - 1)) < CLOSE_MM);

function find(point, lies) {
  const found = [...ringsOf(FILE)].find(([, corners]) => lies(corners, point));
  if (!found) return null;
  const reason = reasonOf(FILE, found[0]);
  return `no-touch area ${found[0]}${reason ? ` (${reason})` : ''}`;
}

// What the area about a place, or close to it, is called; null where there is none.
export const areaAt = (point) => find(point, contains);
export const areaCloseTo = (point) => areaAt(point) ?? find(point, isClose);

export const isContact = (method) => method !== 'infrared';

// A note that the server takes as the reason for contact there.
export const reasonNote = (words) => `no-touch: ${words}`;
export const isReason = (note) => /^no-touch:\s*\S/i.test(note ?? '');

// --- the question ---

// An area that was drawn and taken back is no answer.
let hadAreas = false, none = false;

export function isAnswered() {
  const areas = rowsOf(FILE).length > 0;
  if (areas) { hadAreas = true; none = false; }
  return areas || none || (state.job.keepout_told && !hadAreas);
}

function drawArea() {
  state.mode = 'place';
  state.tool = 'keepout';
  drawing.path = [];
  changed('mode');
}

async function thereAreNone() {
  if (!await edit('no mains and no high voltage', () => [{file: FILE, op: 'begin'}])) return;
  none = true;
  changed('keepout');
}

export function keepoutQuestion() {
  if (isAnswered()) return null;
  return make('section', {class: 'challenge', 'data-key': 'keepout-question', 'aria-labelledby': 'keepout-head'},
    make('h3', {id: 'keepout-head'}, 'Where are mains and high voltage?'),
    make('p', {}, 'Mark every part of the board that mains or high voltage reaches, with some room around it. There you read by infrared only, and no bead is proposed.'),
    make('p', {class: 'row'},
      make('button', {class: 'main', id: 'draw-area', onclick: drawArea}, 'Draw an area'),
      make('button', {id: 'none-here', onclick: thereAreNone}, 'There are none on this board')));
}
