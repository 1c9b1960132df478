// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The line that says what stands on a can: what is understood, and what is refused in words.
// Expected values from the way capacitors are marked: IEC 60062 for the letter in place of the
// point ("4u7"); the rest common practice, no source.
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';

const source = readFileSync(process.argv[2], 'utf8');
const {readMarking, sayCells} = await import(`data:text/javascript,${encodeURIComponent(source)}`);

const understood = [
  ['470 35 105', '470 \u00b5F, 35 V, 105 \u00b0C'], ['35V 470uF 105C', '470 \u00b5F, 35 V, 105 \u00b0C'],
  ['470uF 35V 105C', '470 \u00b5F, 35 V, 105 \u00b0C'], ['470u 35V 105', '470 \u00b5F, 35 V, 105 \u00b0C'],
  ['105\u00b0C 470 35', '470 \u00b5F, 35 V, 105 \u00b0C'], ['470 uF 35 V 105', '470 \u00b5F, 35 V, 105 \u00b0C'],
  ['470/35', '470 \u00b5F, 35 V'], ['470/35/105', '470 \u00b5F, 35 V, 105 \u00b0C'], ['2200\u00b5/63', '2200 \u00b5F, 63 V'],
  ['2200\u03bcF, 63 V', '2200 \u00b5F, 63 V'], ['4n7 63', '0.0047 \u00b5F, 63 V'], ['4u7', '4.7 \u00b5F'], ['4u7F 50', '4.7 \u00b5F, 50 V'],
  ['6V3 1000u', '1000 \u00b5F, 6.3 V'], ['4,7 50', '4.7 \u00b5F, 50 V'], ['0.047u 400', '0.047 \u00b5F, 400 V'], ['.47/50', '0.47 \u00b5F, 50 V'],
  ['100nF 63', '0.1 \u00b5F, 63 V'], ['4700p', '0.0047 \u00b5F'], ['220 MFD 16WV', '220 \u00b5F, 16 V'], ['47UF 450VDC 105\u00baC', '47 \u00b5F, 450 V, 105 \u00b0C'],
  ['85\u2103 22', '22 \u00b5F, 85 \u00b0C'], ['63V', '63 V'], ['105C', '105 \u00b0C'], ['150 35', '150 \u00b5F, 35 V'], ['100 150 105', '100 \u00b5F, 150 V, 105 \u00b0C'],
  ['470/35/105 10x16 2000h', '470 \u00b5F, 35 V, 105 \u00b0C, 10 mm wide, 16 mm high, 2000 h'], ['6,3x11 4u7 50', '4.7 \u00b5F, 50 V, 6.3 mm wide, 11 mm high'],
  ['10X12.5mm', '10 mm wide, 12.5 mm high'], ['105C 5000 h 18 \u00d7 35 mm', '105 \u00b0C, 18 mm wide, 35 mm high, 5000 h'], ['2000hrs/35V', '35 V, 2000 h'],
  ['', ''], ['   ', ''],
];
for (const [words, said] of understood) {
  const {cells, why} = readMarking(words);
  assert.equal(why, null, `${words}: ${why}`);
  assert.equal(sayCells(cells), said, words);
}

const refused = [
  ['470 105', /V or \u00b0C/], ['35V 105', /\u00b5F or \u00b0C/], ['470 35 2000', /out of range/], ['470 35 106', /not a grade/], ['470 35 105 20', /one value too many/],
  ['470uF 35V 50V', /two values of voltage/], ['470uF 4u7', /two values of capacitance/], ['4m7', /milli/], ['4.7mF', /milli/], ['1F', /not a unit/], ['470 KME 35', /KME/],
  ['10x', /not a unit/], ['10x16x20', /not understood/], ['10x16 8x12', /two values of diameter/], ['10x400', /out of range/], ['50h', /out of range/], ['2000hz', /not a unit/], ['20%', /not understood/], ['-40 105', /not understood/], ['C7', /not understood/], ['1,000uF', /thousands/], ['2.200 63', /thousands/], ['470,35', /space/],
  ['470uF35V', /space/], ['470u35', /space/], ['0 35', /out of range/], ['470 3500', /out of range/], ['1kV', /not a unit/], ['470..35', /not understood/],
];
for (const [words, why] of refused) {
  const read = readMarking(words);
  assert.match(read.why ?? `taken: ${sayCells(read.cells)}`, why, words);
  assert.deepEqual(read.cells, {}, words);
}
console.log(`${understood.length} read, ${refused.length} refused`);
