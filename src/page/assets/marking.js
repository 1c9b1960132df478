// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What a can says in one line, "470 35 105" or "35V 470uF 105C": capacitance, voltage, grade, and with
// "10x16 2000h" its diameter, height and endurance. A unit is obeyed; numbers without one are taken in that
// order; whatever else stands there is refused.
export const grades = ['85', '105', '125', '130', '135', '150'];

const units = {
  '': null, p: 1e-6, pf: 1e-6, n: 1e-3, nf: 1e-3, u: 1, uf: 1, mfd: 1, v: 'rated_v', vdc: 'rated_v', wv: 'rated_v', c: 'rated_c',
};
const least = {capacitance_uf: 0.001, rated_v: 1, rated_c: 40, diameter_mm: 1, height_mm: 1, endurance_h: 100};
const most = {capacitance_uf: 1e7, rated_v: 1000, rated_c: 200, diameter_mm: 200, height_mm: 300, endurance_h: 1e6};
const names = {capacitance_uf: 'capacitance', rated_v: 'voltage', rated_c: 'grade', diameter_mm: 'diameter', height_mm: 'height', endurance_h: 'endurance'};
const shown = {capacitance_uf: '\u00b5F', rated_v: 'V', rated_c: '\u00b0C', diameter_mm: 'mm wide', height_mm: 'mm high', endurance_h: 'h'};
export const columns = ['capacitance_uf', 'rated_v', 'rated_c'];
export const markedColumns = Object.keys(names);

// One letter for each way to write a unit.
const plain = (words) => words.replace(/[\u00b5\u03bc]/g, 'u').replace(/\u2103/g, 'C').replace(/[\u00b0\u00ba]\s*C/gi, 'C');

// A number with the letters after it, at most one blank between, and the digits of "4u7" or "6V3".
const piece = /^(\d+(?:[.,]\d+)?|[.,]\d+)(?: ?([a-z]+))?(\d+[a-z]*)?(?![\d.]|,\d)/i;
const separator = /^(?:[\s/;]+|,(?!\d))/;

// Size and endurance are taken out first: nothing else is written like them.
const size = /^(\d+(?:[.,]\d+)?) ?[x\u00d7] ?(\d+(?:[.,]\d+)?)(?: ?mm)?(?=$|[\s/;,])/i, hours = /^(\d+) ?h(?:rs?|ours)?(?=$|[\s/;,])/i;
const pieceOf = (column, text, digits) => ({column, text, value: Number(digits.replace(',', '.'))});

function cut(words) {
  const pieces = [];
  for (let left = plain(words).trim(); left;) {
    const taken = size.exec(left) ?? hours.exec(left);
    if (taken) {
      pieces.push(...(taken[2] ? [pieceOf('diameter_mm', taken[0], taken[1]), pieceOf('height_mm', taken[0], taken[2])] : [pieceOf('endurance_h', taken[0], taken[1])]));
      left = left.slice(taken[0].length);
      continue;
    }
    const found = piece.exec(left), gap = found ? null : separator.exec(left);
    if (!found && !gap) return {why: `\u201c${left}\u201d is not understood`};
    if (found) pieces.push({text: found[0], digits: found[1], letters: (found[2] ?? '').toLowerCase(), after: (found[3] ?? '').replace(/f$/i, ''), asTyped: found[2] ?? ''});
    left = left.slice((found ?? gap)[0].length);
  }
  return {pieces};
}

// The number and what it counts: a column, or null where no unit stands.
function weigh(cutOut) {
  if (cutOut.column) return cutOut;
  const {text, digits, letters, after, asTyped} = cutOut;
  const refuse = (words) => ({why: `\u201c${text}\u201d: ${words}`});
  if (letters === 'm' || letters === 'mf') return refuse(`some read ${asTyped} as milli, some as micro. Write it in \u00b5F`);
  if (!(letters in units)) return refuse(`${asTyped} is not a unit of \u00b5F, V or \u00b0C`);
  if (/^[1-9]\d{0,2}[.,]\d{3}$/.test(digits)) return refuse('thousands separator or decimal mark? Write it without, or with fewer digits');
  if (/^\d{3,}[.,]/.test(digits) || after.length > 1 || (after && !/^\d\d?$/.test(digits))) return refuse('put a space between the values');
  const unit = units[letters], value = Number(after ? `${digits}.${after}` : digits.replace(',', '.'));
  if (typeof unit !== 'number') return {column: unit, value, text};
  return {column: 'capacitance_uf', value: Number((value * unit).toPrecision(9)), text};
}

// A number without a unit goes to the first place that is free. The last may as well be meant for a
// grade: that is asked about.
function settle(weighed) {
  const found = {}, bare = weighed.filter((one) => !one.column);
  for (const {column, value, text} of [...weighed.filter((one) => one.column), ...bare]) {
    const into = column ?? columns.find((one) => !(one in found));
    if (!into) return {why: `\u201c${text}\u201d is one value too many`};
    if (into in found) return {why: `two values of ${names[into]}: ${found[into]} and ${value} ${shown[into]}`};
    const mayBeGrade = text === bare.at(-1)?.text && grades.includes(text) && weighed.length > 1;
    if (mayBeGrade && into !== 'rated_c' && !('rated_c' in found)) return {why: `\u201c${text}\u201d: ${shown[into]} or \u00b0C? Write the unit`};
    found[into] = value;
  }
  return {found};
}

function rangeFault(found) {
  const wrong = markedColumns.find((column) => column in found && (found[column] < least[column] || found[column] > most[column]));
  if (wrong) return `${found[wrong]} ${shown[wrong]} is out of range: ${least[wrong]} to ${most[wrong].toLocaleString('en')} ${shown[wrong]}`;
  if ('rated_c' in found && !grades.includes(String(found.rated_c))) return `${found.rated_c} is not a grade: ${grades.join(', ')} \u00b0C`;
  return null;
}

// Cells of parts.csv by column, only those that the line names; or `why` it is refused.
export function readMarking(words) {
  const {pieces, why} = cut(words);
  if (why) return {cells: {}, why};
  const weighed = pieces.map(weigh), refused = weighed.find((one) => one.why);
  if (refused) return {cells: {}, why: refused.why};
  const {found, why: unsettled} = settle(weighed);
  const fault = unsettled ?? rangeFault(found);
  if (fault) return {cells: {}, why: fault};
  return {cells: Object.fromEntries(Object.entries(found).map(([column, value]) => [column, String(value)])), why: null};
}

// As it is said back: "470 µF, 35 V, 105 °C".
export const sayCells = (cells) => markedColumns.filter((column) => cells[column]).map((column) => `${cells[column]} ${shown[column]}`).join(', ');
