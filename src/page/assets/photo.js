// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The board itself: its size and air, and its photo.
import {field, make, rounded} from './dom.js';
import {boardKey, changed, isNewJob, keyOp, rowsOf, sendPhoto, state, tell} from './store.js';
import {boardSize, draw, drawing} from './board.js';
import {readDate, readNumber, sayDate} from './entry.js';
import {editCell, faultOfKey} from './faults.js';
import {marksPart} from './marks.js';
import {addressOf} from './transport.js';

let straightOf = '', photoOf = '';

const keys = [
  ['name', 'Name', ''], ['width', 'Width, mm', 'mm'], ['height', 'Height, mm', 'mm'],
  ['ambient', 'Air at the bench while reading, \u00b0C', 'C'],
  ['service_ambient', 'Air in the cabinet in service, \u00b0C', 'C'],
  ['service_ambient_u', 'Uncertainty of that air, \u00b1 K', 'K'],
  ['run_hours', 'Hours run', 'h'], ['run_hours_u', 'Uncertainty of those hours, \u00b1 %', '%'], ['made', 'Year made', ''],
  ['surveyed', 'Surveyed, date or year', ''], ['hours_per_year', 'Hours run a year', 'h'],
  ['service_goal', 'Hours still to run', 'h'],
];
const words = [
  ['grade', 'Laminate', ['', 'FR-1', 'FR-2', 'CEM-1', 'CEM-3', 'FR-4']],
  ['air', 'Air while reading', ['', 'still', 'enclosed', 'forced']],
  ['copper_layers', 'Copper layers', ['', '1', '2', '4']],
];

// --- pictures ---

function load(address, into) {
  const picture = new Image();
  picture.onload = () => { drawing[into] = picture; changed('picture'); };
  picture.onerror = () => { drawing[into] = null; draw(); };
  addressOf(address).then((found) => { picture.src = found; }, picture.onerror);
}

// Tells a straightened picture from the next; '' where there is none.
export const straightKey = () => straightOf;

// Each picture is fetched again only when what it comes from has changed.
export function loadPhoto() {
  const photo = state.job.photo;
  const photoKey = photo ? `${photo.bytes} ${photo.width_px}` : '';
  const straightKey = photo?.fits ? JSON.stringify([photoKey, rowsOf('photo-marks.csv'), boardSize()]) : '';
  if (photoKey !== photoOf) {
    photoOf = photoKey;
    drawing.photo = null;
    if (photo) load('photo', 'photo');
  }
  if (straightKey !== straightOf) {
    straightOf = straightKey;
    drawing.straight = null;
    if (straightKey && boardSize().width > 0) load('straight', 'straight');
  }
}

// --- the panel ---

function residuals() {
  const photo = state.job.photo;
  if (!photo) return 'No photo yet. Give a JPEG or PNG of the board from above, with all corners in it.';
  if (!photo.fits) return `Photo of ${photo.width_px} \u00d7 ${photo.height_px} pixels, not yet tied to the board: ${photo.why}.`;
  if (photo.residuals_mm.length === 2) return 'Tied by two points: turned and scaled. Perspective is not corrected, and there is no way to tell how far they miss.';
  const most = Math.max(...photo.residuals_mm);
  const told = `Tied by ${photo.residuals_mm.length} marks, perspective corrected. The worst misses by ${rounded(most, 2)} mm`;
  return photo.rms_mm === null ? `${told}: four marks always fit, so check a part whose place you know.` : `${told}, root mean square ${rounded(photo.rms_mm, 2)} mm.`;
}

function saveKey(key, unit) {
  return (typed) => {
    const {value, why} = key === 'surveyed' ? {value: readDate(typed)} : unit ? readNumber(typed) : {value: typed};
    if (why) { tell(why); return {why}; }
    return editCell(`${key} of the board`, () => [keyOp('board.csv', key, value, unit)]);
  };
}

// The same file can be chosen again.
function takePhoto({target}) {
  const [file] = target.files;
  if (file) sendPhoto(file);
  target.value = '';
}

function photoPart() {
  return [
    make('h2', {}, 'Photo'),
    make('p', {}, residuals()),
    make('label', {class: 'field'}, make('span', {}, 'Photo, JPEG or PNG, at most 20 MiB'),
      make('input', {type: 'file', accept: 'image/jpeg,image/png', name: 'photo', onchange: takePhoto})),
    marksPart(),
  ].filter(Boolean);
}

// A folder that holds nothing yet.
const greeting = () => make('section', {class: 'greeting', 'data-key': 'greeting'},
  make('p', {}, `New job in ${state.job.folder}. It begins with the board:`),
  make('ol', {},
    make('li', {}, 'Type its width and height, and the air while you read.'),
    make('li', {}, 'Add a photo of it and mark its corners, or do without.'),
    make('li', {}, 'Place: click the capacitors, and what gets hot.'),
    make('li', {}, 'Probe: read where the page says. Decide: see what to replace.')));

export function boardPanel() {
  return [
    make('h2', {}, 'Board'), isNewJob() ? greeting() : null,
    make('div', {class: 'fields'},
      ...keys.map(([key, label, unit]) => field(label, key, boardKey(key), {save: saveKey(key, unit), fault: faultOfKey(key), inputmode: unit ? 'decimal' : 'text', hint: key === 'surveyed' ? sayDate(boardKey(key)) || null : null})),
      ...words.map(([key, label, options]) => field(label, key, boardKey(key), {options, save: saveKey(key, ''), fault: faultOfKey(key)}))),
    ...photoPart(),
  ].filter(Boolean);
}
