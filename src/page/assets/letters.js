// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Why a part is to be replaced, by the printed map's letter, which comes with the verdict: in its disc
// where it can be read there, else after its name.
import {state} from './store.js';

const LEAST_PX = 9.5;
const sizeIn = (radius) => Math.min(1.45 * radius, 28);

export const foundParts = () => state.what ?? state.live?.outcome?.parts ?? [];
export const letterInside = (letter, radius) => Boolean(letter) && sizeIn(radius) >= LEAST_PX;

export function writeLetter(context, letter, column, line, radius) {
  context.font = `700 ${sizeIn(radius)}px system-ui, "DejaVu Sans", sans-serif`;
  context.textAlign = 'center';
  context.textBaseline = 'alphabetic';
  context.fillStyle = '#fff';
  context.fillText(letter, column, line + 0.365 * sizeIn(radius));
}

// Only those that are on the map.
export function lettersTold() {
  const causes = new Map(foundParts().filter(({letter}) => letter).map(({letter, cause}) => [letter, cause]));
  return [...causes].sort().map(([letter, cause]) => `${letter} ${cause}`).join(' \u00b7 ');
}
