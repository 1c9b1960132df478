// The board itself: its size and air, its photo, and the marks that tie one to the other.
import {field, make, number, rounded} from './dom.js';
import {boardKey, changed, deleteOp, edit, insertOp, keyOp, rowsOf, sendPhoto, state} from './store.js';
import {boardSize, draw, drawing} from './board.js';

let straightOf = '', photoOf = '';

const keys = [
  ['name', 'Name', ''], ['width', 'Width, mm', 'mm'], ['height', 'Height, mm', 'mm'],
  ['ambient', 'Air at the bench while reading, \u00b0C', 'C'],
  ['service_ambient', 'Air in the cabinet in service, \u00b0C', 'C'],
  ['run_hours', 'Hours run', 'h'], ['made', 'Made, year', ''],
  ['surveyed', 'Surveyed, YYYY-MM-DD', ''], ['hours_per_year', 'Hours run a year', 'h'],
  ['service_goal', 'Hours it is to run on', 'h'],
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
  picture.src = address;
}

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

// --- marking ---

const corners = () => {
  const {width, height} = boardSize();
  return [['lower left', 0, 0], ['lower right', width, 0], ['upper right', width, height], ['upper left', 0, height]];
};

let kind = 'corners';

export function markAt(point) {
  const mark = {column_px: Math.round(point.x_mm * 10) / 10, row_px: Math.round((drawing.photo.naturalHeight - point.y_mm) * 10) / 10};
  const most = kind === 'corners' ? 4 : 2;
  if (drawing.marks.length < most) drawing.marks.push(mark);
  changed('marks');
  document.querySelector('#keep-marks:enabled')?.focus();
}

function placesOfMarks() {
  if (kind === 'corners') return corners().map(([, x, y]) => [x, y]);
  const distance = number(document.querySelector('[name="distance"]')?.value);
  const x = number(document.querySelector('[name="first_x"]')?.value) || 0;
  const y = number(document.querySelector('[name="first_y"]')?.value) || 0;
  return [[x, y], [x + distance, y]];
}

async function keepMarks() {
  const places = placesOfMarks();
  if (places.some((place) => place.some((value) => !Number.isFinite(value)))) return;
  const marks = drawing.marks;
  drawing.marks = null;
  await edit('marks on the photo', () => [
    ...rowsOf('photo-marks.csv').reverse().map((row) => deleteOp('photo-marks.csv', row)),
    ...marks.map((mark, at) => insertOp('photo-marks.csv', {
      mark: String(at + 1), column_px: String(mark.column_px), row_px: String(mark.row_px),
      x_mm: String(places[at][0]), y_mm: String(places[at][1]),
    })),
  ]);
}

function startMarks(which) {
  kind = which;
  drawing.marks = [];
  changed('marks');
  document.getElementById('board').focus();
}

function marking() {
  const most = kind === 'corners' ? 4 : 2, count = drawing.marks.length;
  const next = kind === 'corners' ? corners()[count]?.[0] + ' corner of the board' : ['first point', 'second point, to its right along the board'][count];
  return [
    make('h2', {}, 'Mark the photo'),
    make('p', {}, count < most ? `Click the ${next}.` : 'All marks are set.'),
    kind === 'distance' ? make('div', {class: 'fields'},
      field('Distance between them, mm', 'distance', '', {inputmode: 'decimal', 'data-keep': ''}),
      field('First point, x mm', 'first_x', '0', {inputmode: 'decimal', 'data-keep': ''}),
      field('First point, y mm', 'first_y', '0', {inputmode: 'decimal', 'data-keep': ''})) : null,
    make('p', {class: 'row'},
      make('button', {id: 'keep-marks', class: 'main', disabled: count < most, onclick: keepMarks}, 'Take the perspective out'),
      make('button', {onclick: () => { drawing.marks.pop(); changed('marks'); }, disabled: count === 0}, 'Last mark back'),
      make('button', {onclick: () => { drawing.marks = null; changed('marks'); }}, 'Leave')),
  ].filter(Boolean);
}

// --- the panel ---

function residuals() {
  const photo = state.job.photo;
  if (!photo) return 'No photo yet. A JPEG or PNG of the board from above, all corners in the picture.';
  if (!photo.fits) return `Photo of ${photo.width_px} \u00d7 ${photo.height_px} pixels, not yet tied to the board.`;
  if (photo.residuals_mm.length === 2) return 'Tied by two points: turned and scaled. Perspective is left in; no residual can be told.';
  const most = Math.max(...photo.residuals_mm);
  const told = `Tied by ${photo.residuals_mm.length} marks, perspective taken out. Largest residual ${rounded(most, 2)} mm`;
  return photo.rms_mm === null ? `${told}: four marks always fit, so check a part whose place you know.` : `${told}, root mean square ${rounded(photo.rms_mm, 2)} mm.`;
}

function saveKey(key, unit) {
  return (value) => edit(`${key} of the board`, () => [keyOp('board.csv', key, value, unit)]);
}

function photoPart() {
  const begun = boardSize().width > 0;
  return [
    make('h2', {}, 'Photo'),
    make('p', {}, residuals()),
    make('label', {class: 'field'}, make('span', {}, 'Photo, JPEG or PNG, at most 20 MiB'),
      make('input', {type: 'file', accept: 'image/jpeg,image/png', name: 'photo', onchange: (event) => event.target.files[0] && sendPhoto(event.target.files[0])})),
    state.job.photo ? make('p', {class: 'row'},
      make('button', {id: 'mark-corners', disabled: !begun, onclick: () => startMarks('corners')}, 'Mark the four corners'),
      make('button', {id: 'mark-distance', disabled: !begun, onclick: () => startMarks('distance')}, 'Mark two points')) : null,
  ].filter(Boolean);
}

export function boardPanel() {
  if (drawing.marks && drawing.photo) return marking();
  return [
    make('h2', {}, 'Board'),
    make('div', {class: 'fields'},
      ...keys.map(([key, label, unit]) => field(label, key, boardKey(key), {save: saveKey(key, unit), inputmode: unit ? 'decimal' : 'text'})),
      ...words.map(([key, label, options]) => field(label, key, boardKey(key), {options, save: saveKey(key, '')}))),
    ...photoPart(),
  ];
}
