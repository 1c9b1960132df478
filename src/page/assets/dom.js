// Small helpers that make elements: every text goes in as text, never as markup.
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) element.addEventListener(key.slice(2), value);
    else if (key === 'class') element.className = value;
    else if (key in element && typeof value !== 'string') element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

export const byId = (id) => document.getElementById(id);

// True while a panel is made anew: controls that vanish then must not save themselves.
export const making = {anew: false};

// Calls `save` with what was typed, once for each new value: on Enter, and when the focus leaves.
function saves(control, value, save) {
  let saved = String(value ?? '');
  const commit = () => {
    const now = control.value.trim();
    if (making.anew || now === saved) return;
    saved = now;
    save(now);
  };
  control.addEventListener('blur', commit);
  control.addEventListener('change', () => { if (control.localName === 'select') commit(); });
  control.addEventListener('keydown', (event) => { if (event.key === 'Enter') commit(); });
}

// A labelled field; `options` makes it a list; `save` is called with each new value.
export function field(label, name, value, {options, hint, save, ...attributes} = {}) {
  const control = options
    ? make('select', {name, ...attributes}, ...options.map((option) =>
        make('option', {value: option, selected: option === value}, option || '(not known)')))
    : make('input', {name, value: value ?? '', autocomplete: 'off', ...attributes});
  if (save) saves(control, value, save);
  return make('label', {class: 'field'}, make('span', {}, label), control,
    hint ? make('small', {}, hint) : null);
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
