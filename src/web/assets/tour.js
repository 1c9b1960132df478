// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Five steps through the page, each over the panel it tells of.
const steps = [
  ['board', 'Board', 'Enter the size of the board, the air at the bench and in the cabinet, and the hours it has run. A photo from above helps to place things.'],
  ['place', 'Place', 'Place the heat sources and the capacitors you want to know about. A click, a tap or Enter takes the place under the cross.'],
  ['probe', 'Probe', 'The page says where the next reading is worth most. Read there, type what the instrument shows, and the map follows. The board is live while you read: mains and charged capacitors can kill. Keep to your local code, and leave the work to those licensed for it.'],
  ['decide', 'Decide', 'Each capacitor gets replace, check or leave, with the reason. Try warmer air or more hours, then write the report and kit.'],
  ['decide', 'Save', 'Each entry is saved at once. Save .zip puts the whole job into one file: keep it elsewhere, or open it on another machine. The spotfield program reads the same files.'],
];
let at = 0;

function show() {
  const [mode, title, words] = steps[at];
  document.getElementById(`tab-${mode}`).click();
  document.getElementById('tour-title').textContent = `${at + 1} of ${steps.length}: ${title}`;
  document.getElementById('tour-words').textContent = words;
  document.getElementById('tour-back').disabled = at === 0;
  document.getElementById('tour-next').textContent = at === steps.length - 1 ? 'Done' : 'Next';
}

export function beginTour() {
  at = 0;
  document.getElementById('tour').hidden = false;
  show();
  document.getElementById('tour-next').focus();
}

function end() { document.getElementById('tour').hidden = true; }

document.getElementById('tour-next').addEventListener('click', () => {
  if (++at < steps.length) show();
  else end();
});
document.getElementById('tour-back').addEventListener('click', () => { at--; show(); });
document.getElementById('tour-end').addEventListener('click', end);
