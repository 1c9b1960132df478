// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Drawing rings: corners clicked in order, dragged elsewhere, rings taken out; and cold metal of the
// thermogram taken as a mask.
import {field, make, millimetres, number, rounded} from './dom.js';
import {changed, deleteOp, edit, insertOp, rowsOf, setOp, state} from './store.js';
import {drawing, view} from './board.js';
import {coldPatches, kinds, mayMask, reasonOf, ringsOf} from './rings.js';

export const ringTools = () => Object.entries(kinds).filter(([tool]) => tool !== 'mask' || mayMask() || state.tool === tool)
  .map(([tool, {tool: label}]) => [tool, label]);

const kindAtHand = () => kinds[state.tool] ?? null;
const tenth = ({x_mm, y_mm}) => ({x_mm: millimetres(x_mm), y_mm: millimetres(y_mm)});

// --- a new ring ---

function addRing(kind, corners, reason = '') {
  return edit(kind.step(nextRing(kind)), () => {
    const ring = String(nextRing(kind));
    return corners.map((corner, at) => insertOp(kind.file, {ring, ...tenth(corner), ...(kind.reason && at === 0 && reason ? {reason} : {})}));
  });
}

// The first of the outline is the edge, 0.
function nextRing({file}) {
  const rows = rowsOf(file);
  return file === kinds.outline.file && !rows.length ? 0 : Math.max(0, ...rows.map((row) => number(row.ring) || 0)) + 1;
}

export function finishPath() {
  const kind = kindAtHand(), path = drawing.path;
  if (!kind || path.length < 3) return;
  drawing.path = [];
  addRing(kind, path, document.querySelector('[name="reason"]')?.value.trim());
}

// True where the click was used.
export function addCorner(point) {
  if (!kindAtHand()) return false;
  const {x_mm, y_mm} = tenth(point);
  drawing.path.push({x_mm: number(x_mm), y_mm: number(y_mm)});
  changed('path');
  return true;
}

// --- a corner elsewhere ---

// The corner under a place, of a ring of the kind at hand; none where the nearest is further than a
// fingertip, or while a ring is drawn.
export function cornerUnder(point) {
  const kind = kindAtHand();
  if (!kind || drawing.path.length) return null;
  const away = (row) => Math.hypot(number(row.x_mm) - point.x_mm, number(row.y_mm) - point.y_mm) * view.scale;
  const [row] = rowsOf(kind.file).filter((one) => away(one) <= 12).sort((one, other) => away(one) - away(other));
  return row ? {file: kind.file, row, isCorner: true} : null;
}

export const dropCorner = ({file, row}, place) =>
  edit(`move a corner of ${nameOf(kindAtHand(), row.ring)}`, () => [setOp(file, row, place, ['ring'])]);

// --- the panel ---

const nameOf = (kind, ring) => kind.name(number(ring)).toLowerCase();

export function ringPart() {
  const kind = kindAtHand();
  if (!kind) return null;
  return make('div', {'data-key': `ring-${state.tool}`},
    kind.hint ? make('p', {}, kind.hint) : null,
    make('p', {}, `Click the corners in order. ${drawing.path.length} set.`),
    kind.reason ? field(kind.reason[0], 'reason', kind.reason[1], {'data-keep': ''}) : null,
    make('p', {class: 'row'},
      make('button', {class: 'main', id: 'finish', disabled: drawing.path.length < 3, onclick: finishPath}, 'Close the area'),
      make('button', {disabled: !drawing.path.length, onclick: () => { drawing.path.pop(); changed('path'); }}, 'Undo corner')),
    kind === kinds.mask ? patchList() : null,
    ringList(kind));
}

// The rings of a file, each with a way to take it out.
function ringList(kind) {
  const {file} = kind, rings = [...ringsOf(file)];
  if (!rings.length) return null;
  const removeRing = (ring) => edit(`remove ${nameOf(kind, ring)}`, () =>
    rowsOf(file).filter((row) => row.ring === ring).reverse().map((row) => deleteOp(file, row)));
  return make('div', {'data-key': 'rings'}, make('p', {class: 'soft'}, 'Drag a corner to move it.'),
    make('ul', {class: 'rings'}, ...rings.map(([ring, corners]) => {
      const reason = reasonOf(file, ring);
      const name = `${kind.name(number(ring))}${reason ? ': ' + reason : ''}`;
      return make('li', {'data-key': `ring-row-${ring}`}, `${name}, ${corners.length} corners `, make('button', {'data-key': `ring-${ring}`, 'aria-label': `Remove ${name}`, onclick: () => removeRing(ring)}, 'Remove'));
    })));
}

// --- cold metal ---

const spanOf = (corners, axis) => [Math.min, Math.max].map((pick) => Math.round(pick(...corners.map((corner) => corner[axis])))).join(' to ');

// Each with a button that takes it as a mask; null where there is none.
export function patchList() {
  if (!coldPatches().length) return null;
  return make('div', {'data-key': 'cold-patches'},
    make('p', {}, 'The thermogram shows these places colder than a board can be. Bare metal, solder and wires look like that. Mask each once you have seen what it is.'),
    make('ul', {class: 'rings'}, ...coldPatches().map(({corners, below_k}, at) => {
      const where = `x ${spanOf(corners, 'x_mm')}, y ${spanOf(corners, 'y_mm')} mm`;
      return make('li', {'data-key': `cold-${where}`}, `${where}, ${rounded(below_k, 0)} K colder `,
        make('button', {'data-key': `take-cold-${at}`, 'aria-label': `Mask ${where}`, onclick: () => addRing(kinds.mask, corners, 'cold metal')}, 'Mask it'));
    })));
}
