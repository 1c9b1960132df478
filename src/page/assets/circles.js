// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Circles of the photo that may be cans: a click takes the middle of one, they are grouped by size, and
// those where no part stands yet are shown one by one. Nothing enters the job by itself.
import {field, make, millimetres, number} from './dom.js';
import {askCircles, changed, leaveCircles, rowsOf, state} from './store.js';
import {draw, drawing, view} from './board.js';
import {straightKey} from './photo.js';

const usual = [4, 5, 6.3, 8, 10, 12.5, 16, 18, 20, 22, 25, 30, 35, 40];

// `size` is the group at hand, `next` the circle that is shown; `above` the camera's height as typed.
let found = null, foundOf = '', fault = '', asking = null, size = null, next = null, snaps = true, above = '', ended = false;
const noCans = new Set();

export function loadCircles() {
  const key = straightKey();
  if (key === foundOf) return;
  foundOf = key;
  endSearch();
  found = next = null;
  fault = '';
  ended = false;
  noCans.clear();
  if (key) search();
}

function search() {
  const mine = asking = new AbortController();
  askCircles(mine.signal).then((answer) => { if (asking === mine) found = answer; },
    (error) => { if (asking === mine) fault = error.message; }).finally(() => { if (asking === mine) { asking = null; changed('circles'); } });
}

function endSearch() {
  if (!asking) return false;
  asking.abort();
  asking = null;
  leaveCircles();
  return true;
}

// By a person, who places by eye: false where nothing was being looked for.
export function stopLooking() {
  if (!endSearch()) return false;
  ended = true;
  changed('circles');
  return true;
}

function lookAgain() {
  ended = false;
  search();
  changed('circles');
}

// With another tool nobody waits for circles: they are looked for when this one is taken again.
export function leaveLooking() { if (endSearch()) foundOf = ''; }

// --- how a can leans ---

const heightOf = ({height_mm, diameter_mm}) => number(height_mm) || 1.5 * (number(diameter_mm) || 8);
const share = (height) => Math.min(height / (number(above) || found.camera.above_mm), 0.5);

// Where the foot of a can stands whose top is seen there.
function footOf(circle, height) {
  const {camera} = found, lean = share(height);
  return {x_mm: circle.x_mm - lean * (circle.x_mm - camera.x_mm), y_mm: circle.y_mm - lean * (circle.y_mm - camera.y_mm)};
}

function topOf(part) {
  const {camera} = found, stretch = 1 / (1 - share(heightOf(part)));
  return {x_mm: camera.x_mm + stretch * (number(part.x_mm) - camera.x_mm), y_mm: camera.y_mm + stretch * (number(part.y_mm) - camera.y_mm)};
}

const apart = (one, other) => Math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm);

// The common diameter that is nearest, once the top is as far away as the board.
function sizeOf(circle) {
  const wide = circle.diameter_mm * (1 - share(1.5 * circle.diameter_mm));
  return usual.reduce((best, one) => (Math.abs(Math.log(one / wide)) < Math.abs(Math.log(best / wide)) ? one : best));
}

// --- those without a part ---

function freeCircles() {
  if (!found) return [];
  const tops = rowsOf('parts.csv').flatMap((part) => [topOf(part), {x_mm: number(part.x_mm), y_mm: number(part.y_mm)}]);
  return found.circles.filter((circle) => !noCans.has(circle) && !tops.some((top) => apart(top, circle) < 0.3 * circle.diameter_mm));
}

const ofSize = (circles) => circles.filter((circle) => size === null || sizeOf(circle) === size);

// Row by row from the top, each a centimetre high.
const inOrder = (circles) => [...circles].sort((one, other) =>
  Math.round(other.y_mm / 10) - Math.round(one.y_mm / 10) || one.x_mm - other.x_mm);

drawing.circles = () => (state.mode === 'place' && state.tool === 'part' && !drawing.solder
  ? ofSize(freeCircles()).map((circle) => ({...circle, isNext: circle === next})) : []);

// The place of a click, or the foot of the can whose circle was clicked.
export function snap(point, brush) {
  if (!snaps || drawing.solder) return point;
  const away = (circle) => Math.min(apart(circle, point), apart(footOf(circle, heightOf(brush)), point));
  const [near] = freeCircles().filter((circle) => away(circle) <= circle.diameter_mm / 2).sort((one, other) => away(one) - away(other));
  return near ? footOf(near, number(brush.height_mm) || 1.5 * near.diameter_mm) : point;
}

function showNext() {
  const waiting = inOrder(ofSize(freeCircles()));
  next = waiting[(waiting.indexOf(next) + 1) % waiting.length] ?? null;
  if (!next) return;
  if (next.diameter_mm * view.scale < 60) view.zoom(60 / (next.diameter_mm * view.scale));
  view.pan(view.width / 2 - view.x(next.x_mm), view.height / 2 - view.y(next.y_mm));
  changed('circles');
  draw();
}

function isNone() {
  noCans.add(next);
  showNext();
  changed('circles');
}

// --- the panel ---

function sizeButtons(free, take) {
  const sizes = [...new Set(free.map(sizeOf))].sort((one, other) => one - other);
  return sizes.map((one) => make('button', {'data-key': `size-${one}`, id: `size-${one}`, 'aria-pressed': String(size === one),
    onclick: () => { size = size === one ? null : one; next = null; if (size) take(String(size)); changed('circles'); }},
  `${one} mm: ${free.filter((circle) => sizeOf(circle) === one).length}`));
}

// `take` gives the brush a diameter.
export function circlesPart(take) {
  if (!straightKey()) return null;
  if (!found) return make('p', {class: 'soft', 'data-key': 'circles'}, fault || (ended ? 'Stopped looking for cans in the photo. ' : 'Looking for cans in the photo\u2026 '),
    fault ? null : make('button', {id: 'look-for-cans', 'data-key': 'look-for-cans', onclick: ended ? lookAgain : stopLooking}, ended ? 'Look again' : 'Stop looking'));
  const free = freeCircles(), shown = ofSize(free).includes(next);
  return make('section', {'data-key': 'circles', id: 'circles', 'aria-label': 'Circles in the photo'},
    make('h3', {}, 'Circles in the photo'),
    make('p', {id: 'circles-told'}, free.length ? `${free.length} circles without a part may be cans. Widths, as far as a photo can tell:` : 'Every circle in the photo has a part. Some cans may still be hidden.'),
    make('p', {class: 'row'}, ...sizeButtons(free, take)),
    make('p', {class: 'row'}, free.length ? make('button', {id: 'next-circle', 'data-key': 'next-circle', onclick: showNext}, 'Did I miss one?') : null,
      shown ? make('button', {id: 'no-can', 'data-key': 'no-can', onclick: isNone}, 'This is not a can') : null),
    make('label', {}, make('input', {type: 'checkbox', name: 'snaps', checked: snaps, onchange: (event) => { snaps = event.target.checked; }}),
      ' A click goes to the middle of its circle, corrected for the lean of the can'),
    field('Camera above the board, mm, if you know it', 'camera_above', above, {inputmode: 'decimal', 'data-keep': '',
      hint: `By the marks: ${millimetres(found.camera.above_mm)} mm.`, oninput: (event) => { above = event.target.value.trim(); draw(); }}));
}
