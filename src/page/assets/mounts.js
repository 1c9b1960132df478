// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// How a heat source or a can stands on the board, chosen by its picture: seen from the side, the board below.
import {make} from './dom.js';

const line = (d) => make('path', {d, fill: 'none', stroke: 'currentColor', 'stroke-width': '1.6', 'stroke-linecap': 'round', 'stroke-linejoin': 'round'});
const solid = (d) => make('path', {d, fill: 'currentColor', 'fill-opacity': '0.25', stroke: 'currentColor', 'stroke-width': '1.6', 'stroke-linejoin': 'round'});
const board = 'M2 29H54M2 33H54M2 29V33M54 29V33';

// The body is filled; what holds it, or is wound about it, is drawn in lines.
const ofSource = [
  ['flat', 'flat', 'lies flat on the board', [solid('M14 19H42V28H14Z'), line('M14 24H9V28M42 24H47V28')]],
  ['standing', 'standing', 'stands on its leads, free of the board', [solid('M17 7H39V16H17Z'), line('M17 11.5H10V33M39 11.5H46V33')]],
  ['heat-sink', 'heat sink', 'is screwed to a heat sink', [solid('M12 10H18V25H12Z'), line('M15 25V33M18 7H23V28H18ZM23 8H43M23 13H43M23 18H43M23 23H43M23 27.5H43')]],
  ['wound', 'wound', 'is a transformer or choke', [solid('M12 8H44V28H12Z'), line('M20 8V28M36 8V28M20 11H36M20 14.5H36M20 18H36M20 21.5H36M20 25H36')]],
  ['', 'not known', 'is not known: the program allows for any of these', [line('M22 13C22 5 34 5 34 12C34 16 28 16 28 21M28 25V25.4')]],
];
const ofPart = [
  ['radial', 'radial', 'stands on two leads', [solid('M20 5H36V24H20Z'), line('M24 24V33M32 24V33')]],
  ['axial', 'axial', 'lies between its leads', [solid('M16 11H40V24H16Z'), line('M16 17.5H9V33M40 17.5H47V33')]],
  ['snap-in', 'snap-in', 'stands on short pins that snap in', [solid('M13 3H43V29H13Z'), line('M20 29V35L23 33M36 29V35L33 33')]],
  ['', 'not known', 'is not known', ofSource.at(-1)[3]],
];

const picture = (shapes) => make('svg', {viewBox: '0 0 56 36', 'aria-hidden': 'true', focusable: 'false'}, line(board), ...shapes);

// One radio a mount; `take` is called with the word that goes into the file.
export function mountChoice(name, value, take, isPart = false) {
  const mounts = isPart ? ofPart : ofSource;
  const now = mounts.some(([word]) => word === value) ? value : '';
  return make('fieldset', {class: 'mounts whole', 'data-key': `mounts-${name}`}, make('legend', {}, 'How is it mounted?'),
    ...mounts.map(([word, label, told, shapes]) => make('label', {'data-key': `mount-${word}`, title: `It ${told}`},
      make('input', {type: 'radio', name, id: `${name}-${word || 'unknown'}`, value: word, checked: now === word, 'aria-label': `${label}: it ${told}`, onchange: () => take(word)}),
      picture(shapes), make('span', {}, label))));
}
