// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The way to a field: its panel is opened, its thing chosen, and the focus put there.
import {changed, choose, rowsOf, state} from './store.js';

export function goTo(mode, tool) {
  Object.assign(state, {mode, tool: tool ?? state.tool});
  changed('mode');
}

export const focus = (selector) => document.querySelector(selector)?.focus();

const keys = {'parts.csv': 'ref', 'sources.csv': 'ref', 'readings.csv': 'id'};

// A row of the things placed, and one of its cells.
export function leadToRow(file, row, column) {
  choose(file, row.row, row[keys[file]]);
  goTo('place', 'select');
  focus(`[name="chosen_${column}"]`);
}

export const rowCalled = (file, name) => rowsOf(file).find((row) => row[keys[file]] === name);

// Where a complaint can be mended; null where the page has no field for it.
export function wayTo({file, line, column}) {
  if (file === 'board.csv' && column) return () => { goTo('board'); focus(`[name="${column}"]`); };
  const at = file in keys ? state.job?.files[file]?.lines.indexOf(line) ?? -1 : -1;
  return at < 0 ? null : () => leadToRow(file, rowsOf(file)[at], column);
}
