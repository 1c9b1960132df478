// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Marks that tie the photo to the board: as many as are wanted, clicked on the photo, dragged, their
// places typed, taken out. How far each misses is told before they are kept.
import {field, make, millimetres, number, rounded} from './dom.js';
import {changed, deleteOp, edit, insertOp, rowsOf, setOp, state, tell, tryMarks} from './store.js';
import {boardSize, drawing, view} from './board.js';

const FILE = 'photo-marks.csv';

// 'corners': the first four clicks are those of the board. 'distance': two points, their distance
// typed. 'all': the marks of the file. `moving` is the mark that the next click moves, `rows` those
// of the file when marking began.
let kind = 'corners', moving = null, tried = null, asked = 0, rows = [];

const cornersOfBoard = () => {
  const {width, height} = boardSize();
  return [['lower left', 0, 0], ['lower right', width, 0], ['upper right', width, height], ['upper left', 0, height]];
};

export function startMarks(which) {
  kind = which;
  moving = tried = null;
  rows = rowsOf(FILE);
  drawing.marks = which !== 'all' ? [] : rows.map((row) => ({
    row, mark: row.mark, column_px: number(row.column_px), row_px: number(row.row_px), x_mm: row.x_mm, y_mm: row.y_mm, miss: null,
  }));
  changed('marks');
  look();
  document.getElementById('board').focus();
}

export function leaveMarks() {
  drawing.marks = null;
  changed('marks');
}

// --- on the photo ---

const tenth = (value) => Math.round(value * 10) / 10;
const pixelOf = (point) => ({column_px: tenth(point.x_mm), row_px: tenth(drawing.photo.naturalHeight - point.y_mm)});

// The mark under a place of the photo; none where the nearest is further than a fingertip.
export function markUnder(point) {
  const away = (mark) => Math.hypot(mark.column_px - point.x_mm, drawing.photo.naturalHeight - mark.row_px - point.y_mm);
  const near = drawing.marks.filter((mark) => away(mark) * view.scale <= 16).sort((one, other) => away(one) - away(other));
  return near[0] ?? null;
}

export function dragMark(mark, point) {
  Object.assign(mark, pixelOf(point), {miss: null});
}

export const dropMark = () => look();

export async function markAt(point) {
  if (moving) {
    dragMark(moving, point);
    moving = null;
  } else if (!addMark(point)) return;
  changed('marks');
  const next = drawing.marks.findIndex((mark) => !isPlaced(mark));
  document.querySelector(`[name="mark_x_${next}"]`)?.focus();
  await look();
  if (document.activeElement?.id === 'board') document.querySelector('#keep-marks:enabled')?.focus();
}

function addMark(point) {
  const marks = drawing.marks;
  if (kind === 'distance' && marks.length === 2) return false;
  const [, x, y] = (kind === 'corners' && cornersOfBoard()[marks.length]) || [];
  const used = marks.map((mark) => number(mark.mark)).filter(Number.isFinite);
  marks.push({mark: String(Math.max(0, ...used) + 1), ...pixelOf(point),
    x_mm: x === undefined ? '' : millimetres(x), y_mm: y === undefined ? '' : millimetres(y), miss: null});
  return true;
}

// --- how they fit ---

function typedPlace(mark) {
  if (kind !== 'distance') return {x_mm: number(mark.x_mm), y_mm: number(mark.y_mm)};
  const typed = (name) => number(document.querySelector(`[name="${name}"]`)?.value);
  const along = drawing.marks.indexOf(mark) === 1 ? typed('distance') : 0;
  return {x_mm: (typed('first_x') || 0) + along, y_mm: typed('first_y') || 0};
}

const isPlaced = (mark) => Object.values(typedPlace(mark)).every(Number.isFinite);

// Asked anew after every change; an answer that a later question has overtaken is dropped.
async function look() {
  const turn = ++asked, marks = drawing.marks, placed = marks.filter(isPlaced);
  try {
    const answer = await tryMarks(placed.map((mark) => ({column_px: mark.column_px, row_px: mark.row_px, ...typedPlace(mark)})));
    if (turn !== asked || drawing.marks !== marks) return;
    tried = answer;
    marks.forEach((mark) => { mark.miss = null; });
    // as many marks as unknowns miss by nothing, which says nothing
    if (answer.rms_mm !== null) placed.forEach((mark, at) => { mark.miss = answer.residuals_mm[at]; });
  } catch (error) { tell(error.message); }
  changed('marks');
}

// --- keeping them ---

const cellsOf = (mark) => {
  const place = typedPlace(mark);
  return {mark: mark.mark, column_px: String(mark.column_px), row_px: String(mark.row_px), x_mm: String(place.x_mm), y_mm: String(place.y_mm)};
};

// Rows that stay keep their place and their other columns; one that another program has changed
// since marking began is a conflict.
const keepOps = (marks) => [
  ...marks.filter((mark) => mark.row).map((mark) => setOp(FILE, mark.row, cellsOf(mark), [])),
  ...rows.filter((row) => !marks.some((mark) => mark.row === row)).reverse().map((row) => deleteOp(FILE, row)),
  ...marks.filter((mark) => !mark.row).map((mark) => insertOp(FILE, cellsOf(mark))),
];

async function keepMarks() {
  const ops = keepOps(drawing.marks);
  if (await edit('marks on the photo', () => ops)) leaveMarks();
}

// --- the panel ---

function hint() {
  const count = drawing.marks.length;
  if (moving) return `Click where mark ${drawing.marks.indexOf(moving) + 1} is.`;
  if (kind === 'distance') return count < 2 ? `Click the ${['first point', 'second point, to its right along the board'][count]}.` : 'Both points are set. Type their distance.';
  if (kind === 'corners' && count < 4) return `Click the ${cornersOfBoard()[count][0]} corner of the board.`;
  return 'Click a point of the photo whose place on the board you know, a hole or a corner of a part, and type that place. Drag a mark to move it, or press its number and click its new place.';
}

function fitWords() {
  const open = drawing.marks.filter((mark) => !isPlaced(mark)).length;
  if (open) return `${open === 1 ? 'One mark' : `${open} marks`} without a place.`;
  if (!tried || tried.why) return drawing.marks.length ? tried?.why ?? '' : '';
  if (drawing.marks.length === 2) return 'Two marks turn and scale the photo. Perspective is not corrected; there is no way to tell how far they miss.';
  if (tried.rms_mm === null) return 'Four marks always fit: a fifth shows how well.';
  return `Root mean square of ${drawing.marks.length} marks: ${rounded(tried.rms_mm, 2)} mm. A mark that misses by far more than the others has slipped, or its place is mistyped.`;
}

function markRow(mark, at) {
  const place = (key, label) => field(label, `mark_${key[0]}_${at}`, mark[key], {inputmode: 'decimal', save: (value) => { mark[key] = value; look(); }});
  const miss = mark.miss === null ? '' : `misses by ${rounded(mark.miss, 2)} mm`;
  return make('li', {'data-key': `mark-row-${mark.mark}`},
    make('button', {'data-key': `mark-${at}`, 'aria-pressed': String(moving === mark), 'aria-label': `Move mark ${at + 1}`,
      onclick: () => { moving = moving === mark ? null : mark; changed('marks'); document.getElementById('board').focus(); }}, String(at + 1)),
    place('x_mm', 'x, mm'), place('y_mm', 'y, mm'),
    make('button', {'data-key': `unmark-${at}`, 'aria-label': `Remove mark ${at + 1}`, onclick: () => remove(mark)}, 'Remove'),
    make('p', {class: 'miss'}, miss));
}

function remove(mark) {
  drawing.marks.splice(drawing.marks.indexOf(mark), 1);
  if (moving === mark) moving = null;
  changed('marks');
  look();
}

const distanceFields = () => make('div', {class: 'fields'},
  field('Distance between them, mm', 'distance', '', {inputmode: 'decimal', 'data-keep': '', onchange: look}),
  field('First point, x mm', 'first_x', '0', {inputmode: 'decimal', 'data-keep': '', onchange: look}),
  field('First point, y mm', 'first_y', '0', {inputmode: 'decimal', 'data-keep': '', onchange: look}));

// Marks that hold no map may be kept only where there are none at all.
function mayKeep() {
  const {marks} = drawing;
  return marks.every(isPlaced) && (marks.length ? tried?.fits && tried.residuals_mm.length === marks.length : rows.length > 0);
}

export function marksPanel() {
  return [
    make('h2', {}, 'Mark the photo'),
    make('p', {}, hint()),
    kind === 'distance' ? distanceFields() : make('ol', {class: 'marks'}, ...drawing.marks.map(markRow)),
    make('p', {id: 'marks-fit', 'aria-live': 'polite'}, fitWords()),
    make('p', {class: 'row'},
      make('button', {id: 'keep-marks', class: 'main', disabled: !mayKeep(), onclick: keepMarks}, kind === 'distance' ? 'Turn and scale' : 'Keep the marks'),
      kind === 'distance' ? make('button', {disabled: !drawing.marks.length, onclick: () => remove(drawing.marks.at(-1))}, 'Undo mark') : null,
      make('button', {id: 'leave-marks', onclick: leaveMarks}, 'Stop marking')),
  ].filter(Boolean);
}

// The ways in, where there is a photo of a board whose size is known. What is no table of marks is
// not marked over.
export function marksPart() {
  if (!state.job.photo) return null;
  if (!state.job.files[FILE]) return make('p', {}, `${FILE} is not a table of marks and is left as it is. What is wrong with it is shown below: correct it, or remove it, and the photo can be marked.`);
  const begun = boardSize().width > 0, count = rowsOf(FILE).length;
  const way = (id, which, words) => make('button', {id, disabled: !begun, onclick: () => startMarks(which)}, words);
  return make('div', {class: 'row marking'},
    way('mark-corners', 'corners', 'Mark the four corners'), way('mark-distance', 'distance', 'Mark two points'),
    count ? way('mark-all', 'all', count === 1 ? 'The one mark' : `The ${count} marks`) : null);
}
