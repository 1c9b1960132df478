// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Rings of a job: no-touch areas, masks of the thermogram, outline. One row of a file is a corner.
import {number} from './dom.js';
import {rowsOf, state} from './store.js';

// How each file of rings is called and looks; by the tool that draws it. `reason` is asked for: its
// label, and what it is at first.
export const kinds = {
  keepout: {file: 'keepout.csv', tool: 'No-touch area', onBoard: 'no-touch', dash: [9, 5], colour: '#7d2416',
    step: () => 'no-touch area', name: (ring) => `Area ${ring}`, reason: ['Why it must not be touched', 'mains']},
  mask: {file: 'mask.csv', tool: 'Mask', onBoard: 'masked', dash: [3, 3], colour: '#1f3347',
    step: () => 'mask', name: (ring) => `Mask ${ring}`, reason: ['What it is, if known', ''],
    hint: 'Draw around what is not bare board in the thermogram: wires, solder, shields, lids.'},
  outline: {file: 'outline.csv', tool: 'Outline', step: (ring) => (ring ? 'cut-out' : 'outline'),
    name: (ring) => (ring ? `Cut-out ${ring}` : 'Edge')},
};

// Corners by ring.
export function ringsOf(file) {
  const rings = new Map();
  for (const row of rowsOf(file)) {
    const points = rings.get(row.ring) ?? [];
    points.push({x_mm: number(row.x_mm), y_mm: number(row.y_mm)});
    rings.set(row.ring, points);
  }
  return rings;
}

export const reasonOf = (file, ring) => rowsOf(file).find((row) => row.ring === ring && row.reason)?.reason;

// What the thermogram shows too cold for a board, the largest first.
export const coldPatches = () => state.live?.outcome?.cold_patches ?? [];

// A mask without a thermogram masks nothing.
export const mayMask = () => Boolean(state.live?.outcome?.cold_patches) || rowsOf(kinds.mask.file).length > 0;
