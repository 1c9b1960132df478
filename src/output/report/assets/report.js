// The page reads well without this; with it, parts and map point at each other, and the table of
// parts can be sorted and filtered.
'use strict';
(() => {
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  document.documentElement.classList.add('with-script');

  // one small copy of the map stays in sight beside the rows
  const locator = document.querySelector('.locator');
  if (locator) {
    const copy = document.querySelector('.map .plate').cloneNode(true);
    all('a', copy).forEach((ring) => {
      ring.removeAttribute('id');
      ring.removeAttribute('href');
    });
    all('title', copy).forEach((title) => title.remove());
    copy.querySelector('img').alt = '';
    locator.append(copy);
    locator.hidden = false;
  }

  // pointing at, or moving the focus to, anything of a part lights all that belongs to it
  const marks = new Map();
  all('[data-part]').forEach((mark) => {
    const part = mark.dataset.part;
    marks.set(part, [...(marks.get(part) || []), mark]);
  });
  const readout = document.querySelector('.readout');
  let lit = null;

  function light(part, from) {
    if (part !== lit) {
      (marks.get(lit) || []).forEach((mark) => mark.classList.remove('lit'));
      (marks.get(part) || []).forEach((mark) => mark.classList.add('lit'));
      const ring = part && document.getElementById('ring-' + part);
      readout.textContent = ring ? ring.querySelector('title').textContent : '';
      lit = part;
    }
    if (locator) locator.classList.toggle('wanted', Boolean(from && from.closest('tr')));
  }

  function follow(event) {
    const mark = event.target.closest && event.target.closest('[data-part]');
    light(mark ? mark.dataset.part : null, mark);
  }
  document.addEventListener('pointerover', follow);
  document.addEventListener('focusin', follow);
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') light(null, null);
  });

  const table = document.querySelector('.part-list');
  if (!table) return;
  const body = table.tBodies[0];
  const rows = [...body.rows];
  const worst = new Map(rows.map((row, place) => [row, place]));

  // sorting: numbers where a cell carries one, else words as people order them; blanks go last,
  // and what is equal stays worst first
  const words = new Intl.Collator('en', { numeric: true });

  function key(row, column) {
    const cell = row.cells[column];
    if (!('sort' in cell.dataset)) return cell.textContent.trim();
    return cell.dataset.sort === '' ? null : Number(cell.dataset.sort);
  }

  function compare(a, b, sign) {
    if (a === null || b === null) return (a === null) - (b === null);
    return sign * (typeof a === 'number' ? a - b : words.compare(a, b));
  }

  function sort(heading) {
    const falling = heading.getAttribute('aria-sort') === 'descending' ||
      (!heading.hasAttribute('aria-sort') && !heading.matches('.number, .word'));
    const sign = falling ? 1 : -1;
    all('[aria-sort]', table).forEach((other) => other.removeAttribute('aria-sort'));
    heading.setAttribute('aria-sort', falling ? 'ascending' : 'descending');
    rows.sort((a, b) => compare(key(a, heading.cellIndex), key(b, heading.cellIndex), sign) ||
      worst.get(a) - worst.get(b));
    body.append(...rows);
  }

  all('[data-sortable]', table).forEach((heading) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.append(...heading.childNodes);
    button.addEventListener('click', () => sort(heading));
    heading.append(button);
  });

  // filters: by verdict, and by words that all occur in the row
  const filters = document.querySelector('.filters');
  if (!filters) return;
  const boxes = all('input[type="checkbox"]', filters);
  const search = filters.querySelector('input[type="search"]');

  function filter() {
    const verdicts = new Set(boxes.filter((box) => box.checked).map((box) => box.value));
    const sought = search.value.toLowerCase().split(/\s+/);
    let shown = 0;
    rows.forEach((row) => {
      const held = row.textContent.toLowerCase();
      row.hidden = !verdicts.has(row.dataset.verdict) || !sought.every((word) => held.includes(word));
      shown += row.hidden ? 0 : 1;
    });
    const told = filters.querySelector('.shown');
    told.textContent = shown + ' of ' + rows.length + ' parts shown';
    told.classList.toggle('partial', shown < rows.length);
  }

  // a row that is asked for by its address is never hidden
  function reveal() {
    const row = document.getElementById(location.hash.slice(1));
    if (!row || !row.hidden) return;
    boxes.forEach((box) => { box.checked = true; });
    search.value = '';
    filter();
    row.scrollIntoView({ block: 'center' });
  }

  filters.addEventListener('input', filter);
  window.addEventListener('hashchange', reveal);
  filters.hidden = false;
  filter();
})();
