// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Small helpers that describe elements, and bring the page to what is described: every text goes in
// as text, never as markup.
export const byId = (id) => document.getElementById(id);

// What an element is to be: name, attributes (an event's begin with "on"), children.
export function make(name, attributes = {}, ...children) {
  return {name, attributes, children: children.filter((child) => child !== null && child !== undefined)};
}

// --- in place ---

// An element stays the same one as long as it stands for the same thing: nobody who types in it, or
// has his finger on it, may find another in its place.
const keyOf = (name, {id, 'data-key': key, name: called, type, value}) =>
  [name, id ?? key ?? called ?? '', type === 'radio' ? value : ''].join(' ');
const keyOfNode = (node) => node.key ?? '#text';
const keyOfWanted = (wanted) => (wanted.name ? keyOf(wanted.name, wanted.attributes) : '#text');

function listen(node, type, act) {
  node.acts ??= {};
  if (!node.acts[type]) node.addEventListener(type, (event) => node.acts[type]?.(event));
  node.acts[type] = act;
}

function setAttribute(node, key, value) {
  if (key.startsWith('on')) listen(node, key.slice(2), value);
  else if (key === 'class') node.className = value;
  else if (key in node && typeof value !== 'string') node[key] = value;
  else if (node.getAttribute(key) !== value) node.setAttribute(key, value);
}

function dropAttribute(node, key) {
  if (key.startsWith('on')) delete node.acts[key.slice(2)];
  else if (typeof node[key] === 'boolean') node[key] = false;
  else node.removeAttribute(key);
}

// The value is a field's own affair, see `offer`.
function update(node, wanted) {
  if (!wanted.name) {
    if (node.data !== String(wanted)) node.data = String(wanted);
    return;
  }
  const {value, save, ...attributes} = wanted.attributes;
  for (const key of Object.keys(node.given ?? {})) if (!(key in attributes)) dropAttribute(node, key);
  for (const [key, one] of Object.entries(attributes)) setAttribute(node, key, one);
  node.given = attributes;
  if (save) saves(node, save);
  patch(node, wanted.children);
  if (value === undefined) return;
  if (!isField(node) || ['radio', 'range'].includes(node.type)) setAttribute(node, 'value', value);
  else offer(node, value);
}

const shapes = ['svg', 'path'];

function create(wanted) {
  if (!wanted.name) return document.createTextNode(String(wanted));
  const node = shapes.includes(wanted.name) ? document.createElementNS('http://www.w3.org/2000/svg', wanted.name) : document.createElement(wanted.name);
  node.key = keyOf(wanted.name, wanted.attributes);
  return node;
}

// What holds the focus is never moved, since that would take it away: its neighbours are.
function bring(parent, node, at) {
  const isHeld = node.parentNode === parent && node.contains(document.activeElement);
  while (parent.childNodes[at] !== node) {
    if (isHeld) parent.append(parent.childNodes[at]);
    else parent.insertBefore(node, parent.childNodes[at] ?? null);
  }
}

// Brings the children of an element to what is wanted, with as many as can be of those it has.
export function patch(parent, wanted) {
  const left = new Map();
  for (const node of parent.childNodes) left.set(keyOfNode(node), [...(left.get(keyOfNode(node)) ?? []), node]);
  const nodes = wanted.map((one) => left.get(keyOfWanted(one))?.shift() ?? create(one));
  for (const nodesOfKey of left.values()) for (const node of nodesOfKey) takeOut(node);
  nodes.forEach((node, at) => {
    bring(parent, node, at);
    update(node, wanted[at]);
  });
}

// A field that vanishes must not save itself: Chromium tells it that it loses the focus.
function takeOut(node) {
  const fields = node.querySelectorAll ? [node, ...node.querySelectorAll('input, select, textarea')] : [];
  for (const field of fields) field.save = null;
  node.remove();
}

// --- fields ---

const isField = (node) => ['INPUT', 'SELECT', 'TEXTAREA'].includes(node.tagName);

// `known` is what a field showed or has sent, `model` what the job holds.
const isUnsaved = (field) => Boolean(field.save) && (field.waiting > 0 || field.refused || field.value.trim() !== field.known);

function show(field, value) {
  if (field.value !== value) field.value = value;
  field.known = value.trim();
  field.refused = false;
  forget(field);
}

function forget(field) {
  delete field.parentNode.dataset.holds;
  delete field.parentNode.dataset.why;
  if (!field.given?.['aria-invalid']) field.removeAttribute('aria-invalid');
}

const tellOther = (field) => { field.parentNode.dataset.holds = field.model ? `The file still says ${field.model}` : 'The file still has a blank here'; };

// A text that is typed in, or not saved, is left as it is; where the job meanwhile holds something
// else, that is told beside it.
function offer(field, value) {
  const before = field.model;
  field.model = value;
  if (before === undefined) { show(field, value); return; }
  if ('keep' in field.dataset) return;
  const inUse = field.localName !== 'select' && document.activeElement === field;
  if (!inUse && !isUnsaved(field)) show(field, value);
  else if (value !== before && value !== field.value.trim() && !field.waiting) tellOther(field);
}

// A choice that was refused falls back; a text that was refused stays, to be mended.
function refuse(field, why) {
  if (field.localName === 'select') { show(field, field.model); return; }
  field.refused = true;
  field.setAttribute('aria-invalid', 'true');
  if (why) field.parentNode.dataset.why = `${why.replace(/\.$/, '')}. `;
  if (field.value.trim() !== field.model) tellOther(field);
}

// Saves what was typed, once for each new value; what was refused only when Enter asks for it again.
async function commit(field, isAsked) {
  const now = field.value.trim();
  if (!field.save || (now === field.known && !(isAsked && field.refused))) return;
  field.known = now;
  field.refused = false;
  forget(field);
  field.waiting = (field.waiting ?? 0) + 1;
  const kept = await field.save(now);
  field.waiting--;
  if (kept === false || kept?.why !== undefined) refuse(field, kept.why);
  else if (document.activeElement !== field && !isUnsaved(field)) show(field, field.model);
}

// `save` answers false, or {why}, or the promise of it, where the value was not kept.
function saves(field, save) {
  const isNew = field.save === undefined;
  field.save = save;
  if (!isNew) return;
  field.addEventListener('blur', () => commit(field, false));
  field.addEventListener('change', () => { if (field.localName === 'select') commit(field, false); });
  field.addEventListener('keydown', (event) => { if (event.key === 'Enter') commit(field, true); });
}

// A first click or tap takes the whole of a field, so that what is typed takes its place; the next
// one sets the caret.
let entered = null;
document.addEventListener('pointerdown', ({target}) => {
  const control = target.closest?.('label.field')?.control;
  entered = control?.localName === 'input' && control !== document.activeElement ? control : null;
});
document.addEventListener('click', ({target}) => {
  if (target === entered && target.selectionStart === target.selectionEnd) target.select();
});

// A labelled field; `fault` {words, error} is what is wrong with it; `options` makes it a list, each a word or [word, what is shown]; `save` is called
// with each new value. One with data-keep belongs to the person: the page only gives its first value.
export function field(label, name, value, {options, hint, fault, ...attributes} = {}) {
  const told = fault ? {'aria-invalid': String(fault.error), 'aria-describedby': `fault-of-${name}`} : {};
  const given = {name, value: value ?? '', ...told, ...attributes};
  const control = options
    ? make('select', given, ...options.map((option) => [option].flat()).map(([word, shown]) =>
        make('option', {value: word, 'data-key': `is-${word}`}, (shown ?? word) || '(not known)')))
    : make('input', {autocomplete: 'off', ...given});
  return make('label', {class: 'field', 'data-key': `field-${name}`}, make('span', {}, label), control,
    hint ? make('small', {}, hint) : null,
    fault ? make('small', {class: fault.error ? 'fault' : 'fault doubt', id: `fault-of-${name}`}, fault.words) : null);
}

// Numbers of the files, which may have a decimal comma.
export function number(words) {
  const value = Number.parseFloat(String(words ?? '').replace(',', '.'));
  return Number.isFinite(value) ? value : NaN;
}

export const rounded = (value, digits = 1) =>
  value === null || !Number.isFinite(value) ? '?' : value.toFixed(digits);

// Millimetres as a ruler is read.
export const millimetres = (value) => String(Math.round(value * 10) / 10);
