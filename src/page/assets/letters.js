// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Why a part may not stay, by the printed map's letter, which comes with the verdict: in its disc where it
// can be read there, else after its name.
import {state} from './store.js';

const LEAST_PX = 9.5;
// Height of the letter and how far up it stands, in radii of the disc: over the filled half of one to check.
const fits = {check: {size: 0.84, up: 0.44, ink: '#101719'}, replace: {size: 1.45, up: 0, ink: '#fff'}};
const sizeIn = (radius, verdict) => Math.min(fits[verdict].size * radius, 28);

export const foundParts = () => state.what ?? state.live?.outcome?.parts ?? [];
export const letterInside = ({letter, verdict} = {}, radius) => Boolean(letter) && sizeIn(radius, verdict) >= LEAST_PX;

export function writeLetter(context, {letter, verdict}, column, line, radius) {
  const {up, ink} = fits[verdict], size = sizeIn(radius, verdict);
  context.font = `700 ${size}px system-ui, "DejaVu Sans", sans-serif`;
  context.textAlign = 'center';
  context.textBaseline = 'alphabetic';
  context.fillStyle = ink;
  context.fillText(letter, column, line - up * radius + 0.365 * size);
}

// Only those that are on the map.
export function lettersTold() {
  const causes = new Map(foundParts().filter(({letter}) => letter).map(({letter, cause}) => [letter, cause]));
  return [...causes].sort().map(([letter, cause]) => `${letter} ${cause}`).join(' \u00b7 ');
}
