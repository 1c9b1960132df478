// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Many parts at once: a drag goes around them, a click or Enter takes one in or out, a kind takes all that are alike.
// What is then set is set for all of them, as one step.
import {field, make, number} from './dom.js';
import {changed, rowsOf, setOp, state, tell} from './store.js';
import {drawing, isBeyond, pointer, thingAt} from './board.js';
import {isAlike, kindsPart} from './brush.js';
import {editCell} from './faults.js';
import {readCell} from './entry.js';
import {readMarking} from './marking.js';

const NAMES_MOST = 12;
const SEVERAL = '*'; // no word of a file

const {many} = drawing;
export const isMany = () => state.mode === 'place' && state.tool === 'many' && !drawing.marks;
// All of the side that is looked at: what is seen is what is meant.
const partsHere = () => rowsOf('parts.csv').filter((row) => !isBeyond(row));
const chosenRows = () => rowsOf('parts.csv').filter(({ref}) => many.has(ref));

// Another choice has fields of its own: what was typed for the one before stays with it.
let serial = 0;

function take(rows, isIn = true) {
  for (const {ref} of rows) many[isIn ? 'add' : 'delete'](ref);
  serial++;
  changed('many');
}

// False where there was nothing to drop.
export function dropMany() {
  const had = many.size > 0 || Boolean(drawing.box);
  many.clear();
  drawing.box = null;
  take([]);
  return had;
}

// --- choosing on the board ---

export function toggleAt(point) {
  const part = thingAt(point, ['parts.csv']);
  if (part) take([part.row], !many.has(part.row.ref));
}

// Whether a ray from the point to the right leaves the ring: once more than it enters.
function isWithin(point, ring) {
  let within = false;
  ring.forEach((one, at) => {
    const other = ring[(at + 1) % ring.length];
    if ((one.y_mm > point.y_mm) === (other.y_mm > point.y_mm)) return;
    const x_mm = one.x_mm + (point.y_mm - one.y_mm) / (other.y_mm - one.y_mm) * (other.x_mm - one.x_mm);
    if (x_mm > point.x_mm) within = !within;
  });
  return within;
}

// Parts of the side that is looked at whose middle lies within.
export function takeWithin(ring) {
  take(partsHere().filter((row) => isWithin({x_mm: number(row.x_mm), y_mm: number(row.y_mm)}, ring)));
}

// By keyboard: one corner of a box, then the other.
export function setCorner() {
  const ring = drawing.box && drawing.boxTo(pointer);
  drawing.box = ring ? null : {...pointer};
  if (ring) takeWithin(ring);
}

// --- setting ---

const fields = [['type', 'Type'], ['height_mm', 'Height, mm'], ['endurance_h', 'Endurance, h'], ['year', 'Year'], ['side', 'Side'], ['critical', 'Critical']];

// Of all that are chosen now, whatever is chosen when the turn of the change comes.
function setAll(cells, said) {
  const refs = new Set(many);
  return editCell(`${said} of ${refs.size} ${refs.size === 1 ? 'part' : 'parts'}`, () =>
    rowsOf('parts.csv').filter(({ref}) => refs.has(ref)).map((row) => setOp('parts.csv', row, cells, ['ref'])));
}

const saveAll = (column, label, read) => (typed) => {
  if (typed === SEVERAL) return true;
  const {cells, why} = read(column, typed);
  if (why) { tell(why); return {why}; }
  return setAll(cells, label.replace(/,.*/, '').toLowerCase());
};

function saveMarking(typed) {
  const {cells, why} = readMarking(typed);
  if (why) { tell(`The marking is not understood: ${why}.`); return false; }
  return Object.keys(cells).length === 0 || setAll(cells, 'marking');
}

const asTyped = (column, typed) => ({cells: {[column]: typed}});

function fieldOf(rows, column, label, choices) {
  const cells = new Set(rows.map((row) => row[column] ?? '')), isMixed = cells.size > 1, [value] = isMixed ? [choices ? SEVERAL : ''] : cells;
  const options = choices && [...(isMixed ? [[SEVERAL, '(several)']] : []), ...new Set([...choices, ...cells])];
  return field(label, `many_${column}`, value, {options, placeholder: isMixed ? 'several' : '', save: saveAll(column, label, choices ? asTyped : readCell)});
}

// --- the panel ---

function told(rows) {
  if (!rows.length) return 'No part is selected yet.';
  const names = rows.slice(0, NAMES_MOST).map(({ref}) => ref).join(', ');
  return `${rows.length} of ${rowsOf('parts.csv').length} parts ${rows.length === 1 ? 'is' : 'are'} selected: ${names}${rows.length > NAMES_MOST ? ` and ${rows.length - NAMES_MOST} more` : ''}.`;
}

const alike = (kind) => partsHere().filter((row) => isAlike(row, kind));
const areIn = (rows) => rows.every(({ref}) => many.has(ref));

// `choices` are the words of the columns that have some.
export function manyPart(choices) {
  if (!isMany()) return null;
  const rows = chosenRows(), all = partsHere(), isOneSided = all.length === rowsOf('parts.csv').length;
  return make('section', {'data-key': 'many', id: 'many', 'aria-label': 'Many parts'},
    make('p', {id: 'many-told', 'aria-live': 'polite'}, told(rows)),
    make('p', {class: 'row'}, make('button', {id: 'many-all', 'data-key': 'many-all', disabled: areIn(all), onclick: () => take(all)}, isOneSided ? 'All parts' : 'All parts on this side'),
      make('button', {id: 'many-none', 'data-key': 'many-none', disabled: !rows.length, onclick: dropMany}, 'None')),
    rows.length ? make('div', {class: 'fields', 'data-key': `many-fields-${serial}`},
      make('div', {class: 'whole'}, field('As on the can, for all of them', 'many_marking', '', {save: saveMarking, hint: 'Such as 470/35/105 10x16 2000h. Only what the line says is set.'})),
      ...fields.map(([column, label]) => fieldOf(rows, column, label, choices[column]))) : null,
    all.length ? make('p', {class: 'soft'}, isOneSided ? 'All of a kind:' : 'All of a kind on this side:') : null,
    kindsPart('All of a kind', (kind) => areIn(alike(kind)), (kind) => take(alike(kind), !areIn(alike(kind))), all));
}
