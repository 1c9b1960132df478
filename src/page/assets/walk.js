// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The order in which a hand goes from place to place.
const ahead = 5;

const apart = (one, other) => Math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm);

function* orders(points) {
  if (points.length < 2) { yield points; return; }
  for (const [at, first] of points.entries())
    for (const rest of orders(points.filter((_, other) => other !== at))) yield [first, ...rest];
}

// The next few of a plan by the shortest way through all of them, from where the hand is; the rest as
// planned. Without a place to begin at, the first of the plan stays the first.
export function walk(points, from) {
  const start = from ?? points[0], near = points.slice(from ? 0 : 1, ahead);
  let best = near, least = Infinity;
  for (const order of orders(near)) {
    let way = 0, at = start;
    for (const point of order) { way += apart(at, point); at = point; }
    if (way < least - 1e-9) { least = way; best = order; }
  }
  return [...(from ? [] : points.slice(0, 1)), ...best, ...points.slice(ahead)];
}
