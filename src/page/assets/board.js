// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Draws the board: photo, map, outline, sources, parts by verdict, readings, and where to read next.
import {number, rounded} from './dom.js';
import {rowsOf, boardKey, state} from './store.js';
import {drawWithin, inGrey} from './grey.js';
import {coldPatches, kinds, reasonOf, ringsOf} from './rings.js';
import {foundParts, letterInside, writeLetter} from './letters.js';
import {View} from './view.js';

export const view = new View();
export const pointer = {x_mm: 0, y_mm: 0, shown: false};
export const drawing = {straight: null, photo: null, layer: 'temp', opacity: 0.6, path: [], marks: null, circles: () => [], solder: false,
  many: new Set(), lasso: [], box: null};

const canvas = document.getElementById('board');
const context = canvas.getContext('2d');
const overlay = document.createElement('canvas');
let range = null;

export function boardSize() {
  const width = number(boardKey('width')), height = number(boardKey('height'));
  const unit = (key) => rowsOf('board.csv').find((row) => row.key.toLowerCase() === key)?.unit?.trim().toLowerCase() || 'mm';
  const factor = {mm: 1, cm: 10, m: 1000, in: 25.4, mil: 0.0254, um: 0.001};
  return {width: width * (factor[unit('width')] ?? 1), height: height * (factor[unit('height')] ?? 1)};
}

// While things are placed the photo is seen as it is.
const isMapShown = () => Boolean(currentGrid() && range) && !(drawing.straight && state.mode === 'place' && state.tool !== 'select');

const style = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

// --- the map as a picture of one pixel a cell ---

export function currentGrid() {
  return state.live?.outcome?.grid ?? (state.live?.whole ? state.plan?.expected : null) ?? null;
}

export function paintOverlay() {
  const grid = currentGrid();
  range = null;
  if (!grid || drawing.layer === 'none') return;
  const values = drawing.layer === 'sd' ? grid.sd_cc : grid.temp_cc;
  let least = Infinity, most = -Infinity;
  for (const value of values)
    if (value !== null) { least = Math.min(least, value); most = Math.max(most, value); }
  if (!(most >= least)) return;
  // a few tenths are not stretched over the whole palette
  most = Math.max(most, least + (drawing.layer === 'sd' ? 100 : 500));
  range = {least: least / 100, most: most / 100};
  overlay.width = grid.columns;
  overlay.height = grid.rows;
  const pixels = new ImageData(grid.columns, grid.rows), whole = new Uint32Array(pixels.data.buffer);
  const shades = new Uint32Array(new Uint8Array(state.job.palette.flatMap((shade) => [...shade, 255])).buffer);
  const steps = (shades.length - 1) / (most - least);
  values.forEach((value, cell) => {
    const row = grid.rows - 1 - Math.floor(cell / grid.columns), column = cell % grid.columns;
    if (value !== null) whole[row * grid.columns + column] = shades[Math.round((value - least) * steps)];
  });
  overlay.getContext('2d').putImageData(pixels, 0, 0);
}

export const mapRange = () => range;

export function temperatureAt(point, values) {
  const grid = currentGrid();
  if (!grid) return null;
  const column = Math.floor(point.x_mm / grid.cell_mm), row = Math.floor(point.y_mm / grid.cell_mm);
  if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return null;
  const value = grid[values][row * grid.columns + column];
  return value === null ? null : value / 100;
}

// --- sides ---

// Places are as seen from the component side; from the solder side the board is seen mirrored.
function turnView() {
  view.flip = drawing.solder && !(drawing.marks && drawing.photo) ? boardSize().width : 0;
}

export function lookFrom(solder) {
  drawing.solder = solder;
  turnView();
}

export const isBeyond = (row) => (row.side?.toLowerCase().startsWith('solder') ?? false) !== drawing.solder;

// A picture of the board from its corner at 0, 0.
function lay(picture, width, height) {
  context.save();
  context.translate(view.x(0), 0);
  if (view.flip) context.scale(-1, 1);
  context.drawImage(picture, 0, view.y(height), width * view.scale, height * view.scale);
  context.restore();
}

// --- things ---

function tracePath(points, close = true) {
  points.forEach((point, at) => {
    if (at === 0) context.moveTo(view.x(point.x_mm), view.y(point.y_mm));
    else context.lineTo(view.x(point.x_mm), view.y(point.y_mm));
  });
  if (close) context.closePath();
}

function outlineRings() {
  const rings = [...ringsOf('outline.csv').values()];
  if (rings.length) return rings;
  const {width, height} = boardSize();
  return [[{x_mm: 0, y_mm: 0}, {x_mm: width, y_mm: 0}, {x_mm: width, y_mm: height}, {x_mm: 0, y_mm: height}]];
}

function drawGround() {
  const {width, height} = boardSize();
  const photo = drawing.straight ?? drawing.photo;
  const picture = photo && isMapShown() ? inGrey(photo) : photo;
  context.fillStyle = style('--wash');
  context.beginPath();
  outlineRings().forEach((ring) => tracePath(ring));
  context.fill('evenodd');
  if (picture && drawing.straight) lay(picture, width, height);
  else if (picture) drawUntied(picture, width, height);
}

function drawSizeless(width, height) {
  placeBeat(null);
  if (drawing.photo) drawWithin(context, drawing.photo, 0, 0, width, height);
  words('Give the board\u2019s size first', width / 2, height / 2, 'center');
  writeWords();
}

// A photo that no marks tie to the board is shown whole, and said to be so.
function drawUntied(picture, width, height) {
  drawWithin(context, picture, Math.min(view.x(0), view.x(width)), view.y(height), width * view.scale, height * view.scale);
  words('Photo not tied to the board yet: mark its corners', view.x(width / 2), view.y(height) + 14, 'center', 600, 13, true);
}

function drawMap() {
  const grid = currentGrid();
  if (!isMapShown()) return;
  context.save();
  context.beginPath();
  outlineRings().forEach((ring) => tracePath(ring));
  context.clip('evenodd');
  context.globalAlpha = drawing.straight ?? drawing.photo ? drawing.opacity : 0.95;
  context.imageSmoothingEnabled = true;
  const width = grid.columns * grid.cell_mm, height = grid.rows * grid.cell_mm;
  lay(overlay, width, height);
  context.restore();
}

// A light rim makes a dark line seen on any colour.
function ink(width = 1.5, colour = '#101719') {
  context.lineWidth = width + 3;
  context.strokeStyle = 'rgba(255,255,255,0.85)';
  context.stroke();
  context.lineWidth = width;
  context.strokeStyle = colour;
  context.stroke();
}

// Words are written last, over all shapes; one that would cover another is left out, important ones first.
// `short` is what is written of a grave one where there is no room for all. `other` is where it may end instead of
// beginning at its place, so that no disc with a letter is hidden.
let pending = [], discs = [];

function words(text, column, row, align = 'left', weight = 600, size = 13, first = false, other = null, short = '') {
  pending.push({text, column, row, align, weight, size, other, first, short});
}

function extentOf({text, column, row, align, weight, size}) {
  context.font = `${weight} ${size}px system-ui, "DejaVu Sans", sans-serif`;
  const width = context.measureText(text).width;
  const left = align === 'center' ? column - width / 2 : align === 'right' ? column - width : column;
  return {left: left - 1, right: left + width + 1, top: row - size / 2, bottom: row + size / 2};
}

function writeWords() {
  const taken = [...discs];
  const isFree = (box) => box.left >= 0 && box.right <= canvas.clientWidth && !taken.some((other) => box.left < other.right && other.left < box.right && box.top < other.bottom && other.top < box.bottom);
  for (const label of [...pending].sort((one, other) => other.first - one.first || Boolean(other.short) - Boolean(one.short))) {
    const sides = [label, ...(label.other === null ? [] : [{...label, column: label.other, align: 'right'}])];
    const places = [...sides, ...(label.short ? sides.map((side) => ({...side, text: label.short})) : [])];
    const at = places.find((place) => isFree(extentOf(place))) ?? (label.first ? label : null);
    if (!at) continue;
    taken.push(extentOf(at));
    writeOne(at.text, at.column, at.row, at.align, at.weight, at.size);
  }
  pending = [];
  discs = [];
}

function writeOne(text, column, row, align, weight, size) {
  context.font = `${weight} ${size}px system-ui, "DejaVu Sans", sans-serif`;
  context.textAlign = align;
  context.textBaseline = 'middle';
  context.lineJoin = 'round';
  context.lineWidth = 3.5;
  context.strokeStyle = 'rgba(255,255,255,0.92)';
  context.strokeText(text, column, row);
  context.fillStyle = '#101719';
  context.fillText(text, column, row);
}

function drawOutline() {
  context.beginPath();
  outlineRings().forEach((ring) => tracePath(ring));
  ink(2);
}

function drawRing(corners, {dash, colour}, said, first = false) {
  context.save();
  context.beginPath();
  tracePath(corners);
  context.setLineDash(dash);
  ink(2, colour);
  context.restore();
  words(said, Math.min(...corners.map((corner) => view.x(corner.x_mm))) + 4,
    view.y(Math.max(...corners.map((corner) => corner.y_mm))) + 11, 'left', 600, 12, first);
}

function drawRings({file, onBoard, ...look}) {
  for (const [name, corners] of ringsOf(file)) {
    const reason = reasonOf(file, name);
    drawRing(corners, look, `${onBoard}${reason ? ': ' + reason : ''}`);
  }
}

const drawColdPatches = () => coldPatches().forEach(({corners}) => drawRing(corners, kinds.mask, 'cold: metal?', true));

function drawSource(row, chosen) {
  const width = number(row.width_mm), height = number(row.height_mm);
  const angle = (view.flip ? 1 : -1) * (number(row.angle_deg) || 0) * Math.PI / 180;
  context.save();
  context.translate(view.x(number(row.x_mm)), view.y(number(row.y_mm)));
  context.rotate(angle);
  context.beginPath();
  context.rect(-width / 2 * view.scale, -height / 2 * view.scale, width * view.scale, height * view.scale);
  if (isBeyond(row)) context.setLineDash([3, 3]);
  ink(chosen ? 3.5 : 1.5);
  context.restore();
  words(row.ref, view.x(number(row.x_mm)), view.y(number(row.y_mm)) - Math.max(height / 2 * view.scale - 9, 0) , 'center', 700, 12, true);
}

// Verdicts are told by shape and fill as well as colour.
const verdictInk = {replace: '#7d2416', check: '#7a5200', leave: '#1f3347'};

// Heat that the readings ask for and nobody listed, dashed as on the printed map.
function drawFound() {
  for (const found of state.live?.outcome?.sources ?? []) {
    if (found.listed) continue;
    const width = found.width_mm * view.scale, height = found.height_mm * view.scale;
    context.save();
    context.beginPath();
    context.rect(view.x(found.x_mm) - width / 2, view.y(found.y_mm) - height / 2, width, height);
    context.setLineDash([5, 4]);
    ink(2);
    context.restore();
    words(found.ref, view.x(found.x_mm), view.y(found.y_mm), 'center', 600, 12, true);
  }
}

// The signs of the printed map: a filled disc, a disc filled below, an open ring.
function signPart(column, line, radius, verdict) {
  context.fillStyle = verdictInk[verdict];
  context.beginPath();
  if (verdict === 'replace') context.arc(column, line, radius, 0, 2 * Math.PI);
  if (verdict === 'check') context.arc(column, line, radius, 0, Math.PI);
  context.fill();
  if (verdict !== 'check') return;
  context.fillStyle = '#fff';
  context.beginPath();
  context.arc(column, line, radius, Math.PI, 0);
  context.fill();
}

// The tips of notches: a letter that one would lie over follows the name.
function drawPart(row, chosen, isOfMany, tips) {
  const found = foundParts().find((part) => part.ref === row.ref);
  const {verdict, letter} = found ?? {};
  const column = view.x(number(row.x_mm)), line = view.y(number(row.y_mm));
  const radius = Math.max(4, (number(row.diameter_mm) || 8) / 2 * view.scale);
  if (verdict) signPart(column, line, radius, verdict);
  if (letter) discs.push({left: column - radius, right: column + radius, top: line - radius, bottom: line + radius});
  context.save();
  context.beginPath();
  context.arc(column, line, radius, 0, 2 * Math.PI);
  if (isBeyond(row)) context.setLineDash([3, 3]);
  ink(verdict === 'check' ? 2.5 : 1.5, verdictInk[verdict] ?? '#101719');
  context.restore();
  const isCovered = tips.some((tip) => Math.hypot(tip.column - column, tip.line - line) < radius + NOTCH / 2);
  const inside = letterInside(found, radius) && !isCovered;
  if (inside) writeLetter(context, found, column, line, radius);
  if (chosen || isOfMany) ring(column, line, radius + 5, 3);
  if (chosen || view.scale > 3.4 || letter)
    words(letter && !inside ? `${row.ref} (${letter})` : row.ref, column + radius + 4, line, 'left', 600, 12, chosen, column - radius - 4, verdict === 'replace' ? row.ref : '');
}

function ring(column, line, radius, width) {
  context.beginPath();
  context.arc(column, line, radius, 0, 2 * Math.PI);
  ink(width);
}

const NOTCH = 14; // px high

// A notch whose tip is the spot: filled by thermocouple, open by infrared, as on the printed map.
function notch(column, line, size, isOpen, colour) {
  context.beginPath();
  context.moveTo(column - size / 3, line - size);
  context.lineTo(column, line);
  context.lineTo(column + size / 3, line - size);
  ink(2, colour);
  context.fillStyle = isOpen ? '#fff' : colour;
  context.fill();
}

function drawReading(row, chosen) {
  const column = view.x(number(row.x_mm)), line = view.y(number(row.y_mm)), size = chosen ? 20 : view.scale < 2 ? 10 : NOTCH;
  const misfit = state.live?.outcome?.readings.find((known) => known.id === row.id)?.misfit;
  context.globalAlpha = row.side && isBeyond(row) ? 0.5 : 1;
  notch(column, line, size, /infrared/i.test(row.method), misfit ? '#7d2416' : '#101719');
  context.globalAlpha = 1;
  if (misfit) ring(column, line, 12, 2.5);
  if (chosen || misfit || view.scale > 4) words(`${row.id} ${row.value}${misfit ? ' does not fit' : ''}`, column, line - size - 9, 'center', 400, 12, misfit);
}

// Of a series its last row stands for all; the one that is chosen comes before it.
function readingsShown() {
  const shown = new Map();
  const chosen = state.selected?.file === 'readings.csv' ? state.selected.row : -1;
  for (const row of rowsOf('readings.csv')) {
    const key = row.id || `row ${row.row}`;
    if (shown.get(key)?.row !== chosen || chosen < 0) shown.set(key, row);
  }
  return [...shown.values()];
}

// The ring that beats is an element of its own, so that the board is not drawn for every beat.
function placeBeat(point) {
  const beat = document.getElementById('beat');
  const column = point ? view.x(point.x_mm) : -1, row = point ? view.y(point.y_mm) : -1;
  beat.hidden = column < 0 || row < 0 || column > canvas.clientWidth || row > canvas.clientHeight;
  beat.style.left = `${column}px`;
  beat.style.top = `${row}px`;
}

function drawNext() {
  const point = state.mode === 'probe' ? state.probe : null;
  placeBeat(point);
  if (!point) return;
  ring(view.x(point.x_mm), view.y(point.y_mm), 4, 3);
  words('read here', view.x(point.x_mm), view.y(point.y_mm) - 30, 'center', 700, 14, true);
}

// Circles of the photo where no part stands yet.
function drawCircles() {
  for (const {x_mm, y_mm, diameter_mm, isNext} of drawing.circles()) {
    context.save();
    context.setLineDash([4, 4]);
    ring(view.x(x_mm), view.y(y_mm), diameter_mm / 2 * view.scale, isNext ? 3.5 : 1.5);
    context.restore();
    if (isNext) words('a can?', view.x(x_mm), view.y(y_mm), 'center', 700, 13, true);
  }
}

function drawPath() {
  if (!drawing.path.length) return;
  context.beginPath();
  tracePath(drawing.path, false);
  ink(2.5);
  drawing.path.forEach((point) => ring(view.x(point.x_mm), view.y(point.y_mm), 4, 2));
}

// The box from the corner that is set to a place.
drawing.boxTo = ({x_mm, y_mm}) => [drawing.box, {x_mm, y_mm: drawing.box.y_mm}, {x_mm, y_mm}, {x_mm: drawing.box.x_mm, y_mm}];

// What a drag, or a box by keyboard, goes around.
function drawLasso() {
  const around = drawing.box ? drawing.boxTo(pointer) : drawing.lasso;
  if (!around.length) return;
  context.save();
  context.beginPath();
  tracePath(around);
  context.setLineDash([6, 4]);
  ink(2, '#0b4f7c');
  context.restore();
}

function drawPointer() {
  if (!pointer.shown || document.activeElement !== canvas) return;
  const column = view.x(pointer.x_mm), line = view.y(pointer.y_mm);
  context.beginPath();
  context.moveTo(column - 16, line);
  context.lineTo(column + 16, line);
  context.moveTo(column, line - 16);
  context.lineTo(column, line + 16);
  ink(1.5, '#0b4f7c');
}

// While it is marked, the photo itself is looked at: pixels stand for millimetres, rows counted upwards.
function drawMarking() {
  const {photo, marks} = drawing;
  context.drawImage(photo, view.x(0), view.y(photo.naturalHeight), photo.naturalWidth * view.scale, photo.naturalHeight * view.scale);
  marks.forEach((mark, at) => {
    const column = view.x(mark.column_px), line = view.y(photo.naturalHeight - mark.row_px);
    ring(column, line, 9, 2.5);
    ring(column, line, 1, 2);
    words(mark.miss === null ? `${at + 1}` : `${at + 1}: ${rounded(mark.miss)} mm`, column + 13, line - 13, 'left', 700, 14, true);
  });
  drawPointer();
  writeWords();
}

let frame = 0;

// However often it is asked for, the board is drawn once a frame.
export function draw() { frame ||= requestAnimationFrame(drawNow); }

export function drawNow() {
  cancelAnimationFrame(frame);
  frame = 0;
  const ratio = window.devicePixelRatio || 1;
  const width = canvas.clientWidth, height = canvas.clientHeight;
  if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
  }
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.fillStyle = style('--paper');
  context.fillRect(0, 0, width, height);
  turnView();
  if (!state.job) return;
  if (drawing.marks && drawing.photo) { placeBeat(null); drawMarking(); return; }
  if (!(boardSize().width > 0)) { drawSizeless(width, height); return; }
  drawGround();
  drawMap();
  drawOutline();
  Object.values(kinds).filter(({onBoard}) => onBoard).forEach(drawRings);
  drawColdPatches();
  const chosen = (file, row) => state.selected?.file === file && state.selected.row === row.row;
  rowsOf('sources.csv').forEach((row) => drawSource(row, chosen('sources.csv', row)));
  drawFound();
  drawCircles();
  const isMany = state.mode === 'place' && state.tool === 'many';
  const readings = readingsShown();
  const tips = readings.map((row) => ({column: view.x(number(row.x_mm)), line: view.y(number(row.y_mm))}));
  rowsOf('parts.csv').forEach((row) => drawPart(row, chosen('parts.csv', row), isMany && drawing.many.has(row.ref), tips));
  readings.forEach((row) => drawReading(row, chosen('readings.csv', row)));
  drawPath();
  drawLasso();
  drawNext();
  drawPointer();
  if (view.flip) words('seen from the solder side, mirrored', width / 2, 12, 'center', 700, 13, true);
  writeWords();
}

// --- what lies under a place ---

const files = ['readings.csv', 'parts.csv', 'sources.csv'];

function distance(file, row, point) {
  const dx = point.x_mm - number(row.x_mm), dy = point.y_mm - number(row.y_mm);
  if (file === 'sources.csv')
    return Math.max(Math.abs(dx) - number(row.width_mm) / 2, Math.abs(dy) - number(row.height_mm) / 2, 0);
  const radius = file === 'parts.csv' ? (number(row.diameter_mm) || 8) / 2 : 0;
  return Math.max(Math.hypot(dx, dy) - radius, 0);
}

export function thingAt(point, among = files) {
  const reach = 9 / view.scale;
  for (const file of among) {
    const near = rowsOf(file).map((row) => ({file, row, away: distance(file, row, point)}))
      .filter((thing) => thing.away <= reach).sort((one, other) => isBeyond(one.row) - isBeyond(other.row) || one.away - other.away);
    if (near.length) return near[0];
  }
  return null;
}
