// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The scale under the board, as on the printed map: first where rated life is used up, then the degrees.
import {byId, rounded} from './dom.js';
import {state} from './store.js';
import {drawing, mapRange} from './board.js';
import {lettersTold} from './letters.js';

const COLOURS = 256;

// Elements of their own: places go in by script, which the page's policy wants.
function element(kind, name, at, ...children) {
  const made = document.createElement(kind);
  made.className = name;
  Object.assign(made.style, at);
  made.append(...children);
  return made;
}

function colourStrip() {
  const strip = Object.assign(document.createElement('canvas'), {width: COLOURS, height: 1}), pencil = strip.getContext('2d');
  const shades = state.job.palette;
  for (let column = 0; column < COLOURS; column++) {
    pencil.fillStyle = `rgb(${shades[Math.floor(column / COLOURS * shades.length)].join(',')})`;
    pencil.fillRect(column, 0, 1, 1);
  }
  return strip;
}

// Temperatures from which rated life is used, the cooler first, as [degrees, words, weight of its rail].
function bounds({least, most}) {
  const life = drawing.layer === 'temp' ? state.live?.outcome?.life : null, found = [];
  if (!life) return found;
  const within = (degrees) => degrees !== null && degrees > least && degrees < most;
  const used = 'rated life used up', degrees = `${rounded(life.used_up_from_c, 0)}\u00a0\u00b0C`;
  if (within(life.share_from_c))
    found.push([life.share_from_c, `${rounded(life.share_from_c, 0)}\u00a0\u00b0C: ${rounded(100 * life.share, 0)}\u00a0% of rated life used`, 'light']);
  if (life.used_up_always) found.push([least, 'Rated life used up at any temperature', 'heavy']);
  else if (within(life.used_up_from_c)) found.push([life.used_up_from_c, `${degrees}: ${used}`, 'heavy']);
  else if (life.used_up_from_c !== null)
    found.push([life.used_up_from_c, `Rated life used up ${life.used_up_from_c < most ? 'everywhere, ' : 'only '}from ${degrees}`, 'heavy']);
  return found;
}

// A flag stands behind its staff, or before it where that is far to the right; no staff runs through words.
function flags(range) {
  const all = bounds(range), percent = (share) => `${100 * share}%`;
  const shares = all.map(([degrees]) => Math.min(1, Math.max(0, (degrees - range.least) / (range.most - range.least))));
  const before = shares.at(-1) > 0.55;
  return all.flatMap(([, words, weight], at) => {
    const isLower = before ? at === 0 && all.length > 1 : at === all.length - 1;
    const name = `flag${isLower ? ' lower' : ''}${before ? ' before' : ''}`;
    return [element('b', name, before ? {right: percent(1 - shares[at])} : {left: percent(shares[at])}, words),
      element('span', `rail ${weight}`, {left: percent(shares[at]), width: percent((shares[at + 1] ?? 1) - shares[at])})];
  });
}

export function showScale() {
  const range = mapRange(), legend = byId('legend');
  legend.replaceChildren();
  if (!range) return;
  const unit = drawing.layer === 'sd' ? 'K' : '\u00b0C';
  const what = drawing.layer === 'sd' ? 'uncertainty (one standard deviation)' : state.live?.outcome ? 'in service' : 'expected in service';
  const ends = [`${rounded(range.least)}\u00a0${unit}`, what, `${rounded(range.most)}\u00a0${unit}`];
  legend.append(element('span', 'flags', {}, ...flags(range)), colourStrip(),
    element('span', 'ends', {}, ...ends.map((words) => element('span', '', {}, words))),
    element('span', 'letters', {}, lettersTold()));
}
