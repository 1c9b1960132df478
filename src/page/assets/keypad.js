// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Reading on a phone beside the board: big digits of our own in place of the system's keyboard, which
// would hide the board, and the board about the place in sight above them.
import {make} from './dom.js';
import {changed} from './store.js';
import {draw, view} from './board.js';

const narrow = matchMedia('(max-width: 40rem) and (pointer: coarse)');
narrow.addEventListener('change', () => changed('keypad'));

export const isUp = () => narrow.matches;

// The system's keyboard stays away while ours is up.
export const inputmode = () => (isUp() ? 'none' : 'decimal');

const shownMm = 80; // of the board, across the strip

// Each new place is seen, and read about, before a number is typed for it.
export function closeUp(point) {
  window.scrollTo(0, 0);
  view.zoom(view.width / shownMm / view.scale);
  view.pan(view.width / 2 - view.x(point.x_mm), view.height / 2 - view.y(point.y_mm));
  draw();
}

const numeric = ['reading', 'minute', 'emissivity'];

// The field that is typed in, else that of the reading.
const fieldOf = (form) => (numeric.includes(document.activeElement?.name) ? document.activeElement : form.reading);

function press(event, key) {
  const field = fieldOf(event.target.form), {selectionStart: from, selectionEnd: to} = field;
  if (key === 'back') field.setRangeText('', from === to ? Math.max(from - 1, 0) : from, to, 'end');
  else field.setRangeText(key, from, to, 'end');
  field.dispatchEvent(new Event('input', {bubbles: true}));
  field.focus({preventScroll: true});
}

const signs = [['7'], ['8'], ['9'], ['back', '\u232b', 'Delete the last digit'], ['4'], ['5'], ['6'], ['-', '\u2212', 'Minus'],
  ['1'], ['2'], ['3'], ['.', '.', 'Decimal point'], ['0']];

// A finger on a key takes no focus from the field.
const stay = (event) => event.preventDefault();

export function keypad() {
  if (!isUp()) return null;
  return make('div', {class: 'keypad', 'data-key': 'keypad', role: 'group', 'aria-label': 'Digits'},
    ...signs.map(([key, shown, name]) => make('button', {type: 'button', id: `key-${key}`, tabindex: '-1', 'aria-label': name ?? key,
      onpointerdown: stay, onclick: (event) => press(event, key)}, shown ?? key)),
    make('button', {class: 'main', type: 'submit', id: 'key-enter', onpointerdown: stay}, 'Enter'));
}

// What is chosen once and stays is folded away: its words are the way to it.
export function folded(words, isOpen, fields) {
  if (!isUp()) return fields;
  return [make('details', {class: 'whole', 'data-key': 'instrument', ...(isOpen ? {open: true} : {})}, make('summary', {}, words), make('div', {class: 'fields'}, ...fields.filter(Boolean)))];
}
