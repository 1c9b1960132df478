// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What people type into fields, as the files have it: a decimal comma becomes a point, "4u7" and
// "470/35" the values that they mean, a date as it is written here one by year, month and day.
import {columns, readMarking} from './marking.js';

// All of it, so that 47.3.1 or 4x7 is no 47.
export const isNumber = (words) => /^[+-]?(\d+\.?\d*|\.\d+)$/.test(words);

// The number with a point; as it was typed where it is none; `why` where it may mean two things.
export function readNumber(words) {
  if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(words))
    return {why: `\u201c${words}\u201d: is that comma a thousands separator or a decimal mark? Write ${words.replace(',', '')} or ${words.replace(',', '.')}.`};
  return {value: /^[+-]?\d*,\d+$/.test(words) ? words.replace(',', '.') : words};
}

// Cells of parts.csv that a text in one of them comes to: mostly its own, but "470/35" says two.
export function readCell(column, words) {
  const {value, why} = readNumber(words);
  // what is meant for a number but is none, such as 17.8119.83, is refused with what the column takes
  const isOne = isNumber(value) || /^[\d.,+-]+$/.test(words);
  if (why || !words || isOne || !columns.includes(column)) return {cells: {[column]: value}, why};
  const marking = readMarking(words);
  if (marking.why) return {why: `The marking is not understood: ${marking.why}.`};
  return column in marking.cells ? marking : {why: `\u201c${words}\u201d is not a value for this field.`};
}

// Year, month and day in the order of the browser's language.
const orderHere = () => new Intl.DateTimeFormat(navigator.language).formatToParts(new Date(2001, 1, 3))
  .map(({type}) => type).filter((type) => ['year', 'month', 'day'].includes(type));

export function readDate(words) {
  const pieces = /^(\d{1,4})[./ -]+(\d{1,2})[./ -]+(\d{1,4})\.?$/.exec(words.trim());
  if (!pieces || pieces[1].length > 2) return words;
  const named = Object.fromEntries(orderHere().map((type, at) => [type, pieces[at + 1]]));
  if (named.year.length !== 4) return words;
  return [named.year, named.month.padStart(2, '0'), named.day.padStart(2, '0')].join('-');
}

// As it is read aloud; "" where it is no whole date.
export function sayDate(words) {
  const day = /^\d{4}-\d\d-\d\d$/.test(words) ? new Date(`${words}T12:00`) : null;
  return day && !Number.isNaN(day.getTime()) ? day.toLocaleDateString(navigator.language, {year: 'numeric', month: 'long', day: 'numeric'}) : '';
}
