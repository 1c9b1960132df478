// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Starts the page: loads the job, joins board and panel, and turns clicks and keys into changes.
import {byId, make, millimetres, number, patch, rounded} from './dom.js';
import {afterFrame, changed, choose, edit, isNewJob, loadJob, onChange, redo, rowsOf, setOp, state, tell, undo, watch} from './store.js';
import {boardSize, draw, drawing, drawNow, lookFrom, paintOverlay, pointer, temperatureAt, thingAt, view} from './board.js';
import {leaveLooking, loadCircles, stopLooking} from './circles.js';
import {boardPanel, loadPhoto} from './photo.js';
import {dragMark, dropMark, markAt, marksPanel, markUnder} from './marks.js';
import {placeAt, placePanel} from './place.js';
import {cornerUnder, dropCorner, finishPath} from './ringtool.js';
import {probeAt, probePanel} from './probe.js';
import {rowsOfReading} from './series.js';
import {dropMany, isMany, setCorner, takeWithin} from './many.js';
import {decidePanel, refreshVerdicts} from './decide.js';
import {faultsPart} from './faults.js';
import {showFirst} from './first.js';
import {showScale} from './scale.js';

const canvas = byId('board'), panel = byId('panel');
const panels = {board: boardPanel, place: placePanel, probe: probePanel, decide: decidePanel};
let fitted = '';

// --- panel ---

// What a panel is to be is brought into the one that is there: fields in use stay as they are.
function showPanel() {
  const isMarking = drawing.marks && drawing.photo;
  if (state.mode === 'place' && state.tool === 'part') loadCircles();
  else leaveLooking();
  const wanted = isMarking ? marksPanel() : panels[state.mode]();
  patch(panel, [make('div', {'data-key': isMarking ? 'marks' : state.mode}, ...wanted)]);
  document.body.classList.toggle('at-keypad', Boolean(panel.querySelector('.keypad')));
}

function showMode() {
  for (const tab of document.querySelectorAll('[data-mode]')) {
    const chosen = tab.dataset.mode === state.mode;
    tab.setAttribute('aria-selected', chosen);
    tab.tabIndex = chosen ? 0 : -1;
    if (chosen) panel.setAttribute('aria-labelledby', tab.id);
  }
}

export function setMode(mode) {
  state.mode = mode;
  drawing.path = [];
  drawing.box = null;
  drawing.marks = null;
  showMode();
  showPanel();
  draw();
}

function showHead() {
  const name = rowsOf('board.csv').find((row) => row.key.toLowerCase() === 'name')?.value;
  byId('name').textContent = name || state.job?.folder || 'Bench page';
  document.title = `${name || 'Bench page'} \u2013 spotfield`;
  byId('sentence').textContent = isNewJob() ? 'A new job: begin with the size of the board.' : state.live?.outcome?.sentence ??
    (state.live && !state.live.whole ? 'No verdicts yet: see the problems in the files.' : 'No reading yet: the map shows what to expect.');
  // where it is longer than its room it is scrolled, by keyboard too
  byId('sentence').tabIndex = byId('sentence').scrollHeight > byId('sentence').clientHeight ? 0 : -1;
  for (const which of ['undo', 'redo']) {
    byId(which).disabled = !state.job?.[which];
    byId(which).title = state.job?.[which] ? `${which === 'undo' ? 'Undo' : 'Redo'}: ${state.job[which]}` : '';
  }
}

const showFaults = () => patch(byId('faults'), faultsPart());

function showReadout(point) {
  const temp = temperatureAt(point, 'temp_cc'), sd = temperatureAt(point, 'sd_cc');
  const thing = thingAt(point);
  const said = [`x ${millimetres(point.x_mm)} mm, y ${millimetres(point.y_mm)} mm`];
  if (temp !== null) said.push(`${rounded(temp)} \u00b1 ${rounded(sd)} \u00b0C in service`);
  if (thing) said.push(thing.row.ref ?? thing.row.id);
  byId('readout').textContent = drawing.marks ? `column ${Math.round(point.x_mm)}, row ${Math.round((drawing.photo?.naturalHeight ?? 0) - point.y_mm)} of the photo` : said.join('  \u00b7  ');
}

// --- the window ---

const sizeNow = () => (drawing.marks && drawing.photo
  ? {width: drawing.photo.naturalWidth, height: drawing.photo.naturalHeight} : boardSize());

function fitWhole() {
  const {width, height} = sizeNow();
  view.resize(canvas.clientWidth, canvas.clientHeight);
  if (width > 0 && height > 0) view.fit(width, height);
  draw();
}

// What is shown of the board and of the photo is kept from one look to the next, until its size is
// another.
const views = new Map();

function fitOnce() {
  const isPhoto = Boolean(drawing.marks && drawing.photo), {width, height} = sizeNow();
  const key = `${isPhoto} ${isPhoto ? drawing.photo.src : ''} ${width} ${height}`;
  if (key === fitted) return;
  views.set(fitted, view.kept());
  fitted = key;
  const before = views.get(key);
  if (!before) { fitWhole(); return; }
  view.restore(before);
  draw();
}

// Words never change the picture's place; a window of another size shows the whole again, or what
// was in the middle. It is drawn at once, since the frame that is to come has the new size already.
function fitWindow() {
  if (view.whole) fitWhole();
  else view.resize(canvas.clientWidth, canvas.clientHeight);
  drawNow();
}

// --- pointer ---

let hold = null;
const fingers = new Map();

const placeOf = (event) => {
  const frame = canvas.getBoundingClientRect();
  return {column: event.clientX - frame.left, row: event.clientY - frame.top};
};

canvas.addEventListener('pointerdown', (event) => {
  const at = placeOf(event), point = view.mm(at.column, at.row);
  // a field saves itself before what is clicked takes its place
  if (document.activeElement !== canvas) document.activeElement?.blur();
  canvas.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, at);
  const thing = drawing.marks ? null : thingAt(point);
  hold = {from: at, last: at, moved: false, point, lasso: isMany() && event.button === 0 ? [point] : null,
    mark: drawing.marks && drawing.photo && event.button === 0 ? markUnder(point) : null,
    thing: state.mode === 'place' && event.button === 0 ? (state.tool === 'select' ? thing : cornerUnder(point)) : null};
  Object.assign(pointer, point);
});

canvas.addEventListener('pointermove', (event) => {
  const at = placeOf(event), point = view.mm(at.column, at.row);
  showReadout(point);
  if (!hold || !fingers.has(event.pointerId)) return;
  if (fingers.size === 2) { pinch(event.pointerId, at); return; }
  if (Math.hypot(at.column - hold.from.column, at.row - hold.from.row) > 4) hold.moved = true;
  if (hold.moved && hold.thing) dragThing(point);
  else if (hold.moved && hold.mark) dragMark(hold.mark, point);
  else if (hold.moved && hold.lasso) drawing.lasso = (hold.lasso.push(point), hold.lasso);
  else if (hold.moved) view.pan(at.column - hold.last.column, at.row - hold.last.row);
  hold.last = at;
  fingers.set(event.pointerId, at);
  draw();
});

function pinch(id, at) {
  const [other] = [...fingers].filter(([known]) => known !== id).map(([, place]) => place);
  const before = fingers.get(id);
  const span = (one) => Math.hypot(one.column - other.column, one.row - other.row);
  view.zoom(span(at) / Math.max(span(before), 1), other.column, other.row);
  fingers.set(id, at);
  hold.moved = true;
  hold.thing = hold.mark = hold.lasso = null;
  drawing.lasso = [];
  draw();
}

// The row is moved on the screen only; the file changes when it is let go.
function dragThing(point) {
  const file = state.job.files[hold.thing.file];
  const columns = file.columns.map((column) => column.toLowerCase());
  const cells = file.rows[hold.thing.row.row];
  cells[columns.indexOf('x_mm')] = millimetres(number(hold.thing.row.x_mm) + point.x_mm - hold.point.x_mm);
  cells[columns.indexOf('y_mm')] = millimetres(number(hold.thing.row.y_mm) + point.y_mm - hold.point.y_mm);
}

// The rows of a series move together: they are one place.
function dropThing() {
  const {file, row} = hold.thing, {x_mm, y_mm} = rowsOf(file)[row.row];
  if (hold.thing.isCorner) { dropCorner(hold.thing, {x_mm, y_mm}); return; }
  const key = file === 'readings.csv' ? 'id' : 'ref';
  const others = file === 'readings.csv' && row.id ? rowsOfReading(row.id).filter((other) => other.row !== row.row) : [];
  edit(`move ${row[key]}`, () => [row, ...others].map((moved) => setOp(file, moved, {x_mm, y_mm}, [key])));
}

function letGo(event) {
  fingers.delete(event.pointerId);
  if (!hold || fingers.size) return;
  const {moved, thing, mark, lasso} = hold, at = placeOf(event);
  drawing.lasso = [];
  if (moved && thing) dropThing();
  else if (moved && mark) dropMark();
  else if (moved && lasso && event.type === 'pointerup') takeWithin(lasso);
  else if (!moved && event.type === 'pointerup') take(view.mm(at.column, at.row));
  hold = null;
  draw();
}
canvas.addEventListener('pointerup', letGo);
canvas.addEventListener('pointercancel', letGo);

canvas.addEventListener('wheel', (event) => {
  event.preventDefault();
  const at = placeOf(event);
  view.zoom(Math.exp(-event.deltaY * 0.0015), at.column, at.row);
  draw();
}, {passive: false});

// A place is taken by click, touch or Enter: what that means, the mode says.
function take(point) {
  if (drawing.marks) { markAt(point); return; }
  if (state.mode === 'place' && placeAt(point)) return;
  if (state.mode === 'probe' && probeAt(point)) return;
  const thing = thingAt(point);
  choose(thing?.file, thing?.row.row, thing?.row.ref ?? thing?.row.id);
  changed('selected');
}

// --- keys ---

const steps = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]};

canvas.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey) return;
  const step = steps[event.key];
  const pixels = (event.shiftKey ? 10 : event.altKey ? 0.1 : 1) * (drawing.marks ? 4 : 1);
  if (step) {
    pointer.shown = true;
    pointer.x_mm = Math.round((pointer.x_mm + (view.flip ? -1 : 1) * step[0] * pixels) * 10) / 10;
    pointer.y_mm = Math.round((pointer.y_mm + step[1] * pixels) * 10) / 10;
    view.show(pointer);
    showReadout(pointer);
  } else if (event.key === 'Enter' && event.shiftKey && isMany()) setCorner();
  else if (event.key === 'Enter' || event.key === ' ') take({...pointer});
  else if (event.key === '+' || event.key === '=') view.zoom(1.25);
  else if (event.key === '-') view.zoom(0.8);
  else if (event.key === '0') fitWhole();
  else if (event.key === 'Escape' && isMany() && dropMany()) draw();
  else if (event.key === 'Escape') { drawing.path = []; state.tool = 'select'; changed('tool'); }
  else if (event.key === 'f') finishPath();
  else return;
  event.preventDefault();
  draw();
});
canvas.addEventListener('focus', () => { pointer.shown = canvas.matches(':focus-visible'); draw(); });
canvas.addEventListener('blur', () => draw());

// The first Escape ends the search for cans alone.
document.addEventListener('keydown', (event) => {
  if (event.key !== 'Escape' || !stopLooking()) return;
  event.preventDefault();
  event.stopPropagation();
}, true);

document.addEventListener('keydown', (event) => {
  const typing = event.target.matches('input, textarea, select');
  if (!(event.ctrlKey || event.metaKey) || typing) return;
  const key = event.key.toLowerCase();
  if (key === 'z' && !event.shiftKey) undo();
  else if (key === 'y' || (key === 'z' && event.shiftKey)) redo();
  else return;
  event.preventDefault();
});

byId('notice-close').addEventListener('click', () => tell(''));
byId('undo').addEventListener('click', () => undo());
byId('redo').addEventListener('click', () => redo());
byId('zoom-in').addEventListener('click', () => { view.zoom(1.25); draw(); });
byId('zoom-out').addEventListener('click', () => { view.zoom(0.8); draw(); });
byId('zoom-fit').addEventListener('click', fitWhole);
byId('layer').addEventListener('change', (event) => {
  drawing.layer = event.target.value;
  paintOverlay();
  showScale();
  draw();
});
byId('side').addEventListener('change', (event) => {
  lookFrom(event.target.value === 'solder');
  changed('side');
});
byId('opacity').addEventListener('input', (event) => { drawing.opacity = event.target.value / 100; draw(); });

const tabs = [...document.querySelectorAll('[data-mode]')];
tabs.forEach((tab, at) => {
  tab.addEventListener('click', () => setMode(tab.dataset.mode));
  tab.addEventListener('keydown', (event) => {
    const to = {ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: tabs.length - 1}[event.key];
    if (to === undefined) return;
    event.preventDefault();
    const next = tabs[(to + tabs.length) % tabs.length];
    next.focus();
    setMode(next.dataset.mode);
  });
});

// --- what changes ---

function showWords() {
  showHead();
  showFirst();
  showFaults();
  showScale();
  showPanel();
}

// A new map is shown before the words that go with it: they come with the frame after.
onChange((what) => {
  if (what === 'what') { refreshVerdicts(); draw(); return; }
  if (what === 'live') {
    paintOverlay();
    draw();
    afterFrame(showWords);
    return;
  }
  if (what === 'mode') { setMode(state.mode); return; }
  if (what === 'plan') paintOverlay();
  if (what === 'job') loadPhoto();
  showWords();
  fitOnce();
  draw();
});

new ResizeObserver(fitWindow).observe(canvas);

loadJob().then(() => {
  const begun = boardSize().width > 0;
  setMode(begun ? (rowsOf('parts.csv').length ? 'probe' : 'place') : 'board');
  watch();
}).catch((error) => tell(error.message));
