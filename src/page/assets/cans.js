// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// On whose can of the side that is looked at a place lies: the nearest whose edge it is within reach of, as the program decides it.
// The reach comes with the map.
import {number} from './dom.js';
import {isBeyond} from './board.js';
import {rowsOf, state} from './store.js';

const awayFrom = (part, point) =>
  Math.hypot(point.x_mm - number(part.x_mm), point.y_mm - number(part.y_mm)) - (number(part.diameter_mm) || 8) / 2;

export const cansByDistance = (point) => rowsOf('parts.csv').filter((part) => !isBeyond(part) && Number.isFinite(awayFrom(part, point)))
  .sort((one, other) => awayFrom(one, point) - awayFrom(other, point));

export function canAt(point) {
  const [nearest] = cansByDistance(point);
  return nearest && awayFrom(nearest, point) <= (state.live?.can_reach_mm ?? 0) ? nearest : null;
}
