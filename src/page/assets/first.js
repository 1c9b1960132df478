// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What to look at before the verdicts are acted on: how many, in the head; each with a way to its
// reading, part, source or place.
import {byId, make} from './dom.js';
import {changed, state} from './store.js';
import {pointer, view} from './board.js';
import {focus, goTo, leadToRow, rowCalled} from './lead.js';
import {proposeAt} from './probe.js';
import {patchList} from './ringtool.js';

const findings = () => state.live?.outcome?.look_first ?? [];
const files = {readings: ['readings.csv', 'value'], sources: ['sources.csv', 'power_w'], parts: ['parts.csv', 'measured_uf']};

// Its row among the things placed, with the focus where it is most likely to be mended.
function leadToThing({section, ref}) {
  const [file, column] = files[section], row = rowCalled(file, ref);
  if (row) leadToRow(file, row, column);
  return Boolean(row);
}

// Heat that nobody listed: the cross stands there, and Enter places a source.
function leadToHeat(finding) {
  goTo('place', 'source');
  Object.assign(pointer, {x_mm: finding.x_mm, y_mm: finding.y_mm});
  byId('board').focus();
  pointer.shown = true;
}

function lead(finding) {
  const hasPlace = finding.x_mm !== null;
  if (hasPlace) view.show(finding);
  if (finding.ref && leadToThing(finding)) return;
  if (hasPlace && finding.section === 'sources') leadToHeat(finding);
  else if (hasPlace) { proposeAt(finding, 'There is no reading on this piece of the board.'); goTo('probe'); focus('[name="reading"], #accept'); }
  else { goTo('probe'); focus(finding.section === 'cautions' ? '#draw-area' : '#panel'); }
  changed('selected');
}

export function firstPart() {
  if (!findings().length) return null;
  return make('section', {class: 'challenge first', 'data-key': 'look-first', 'aria-labelledby': 'first-head'},
    make('h3', {id: 'first-head', tabindex: '-1'}, 'Look first'),
    make('ul', {}, ...findings().map((finding, at) => make('li', {},
      make('button', {'data-key': `first-${at}`, onclick: () => lead(finding)}, `${finding.words}${/[.?!]$/.test(finding.words) ? '' : '.'}`)))), patchList());
}

// In the head, whatever panel is open.
export function showFirst() {
  const button = byId('first'), count = findings().length;
  // its room stays, so that nothing moves for it
  button.style.visibility = count ? 'visible' : 'hidden';
  button.textContent = `Look first: ${count}`;
}

byId('first').addEventListener('click', () => { goTo('decide'); focus('#first-head'); });
