// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What the report must do for pointer, keyboard and screen reader. Each export gets a fresh page
// with at least two parts in its table, and a function that notes whether a thing holds.

const rows = (page) => page.locator('.part-list tbody tr');
const shown = (page) => page.locator('.part-list tbody tr:visible');
const lit = (page) => page.evaluate(() =>
  [...new Set([...document.querySelectorAll('.lit')].map((mark) => mark.dataset.part))]);

export async function aRowThatIsPointedAtRingsItsPart(page, expect) {
  const row = rows(page).first();
  const part = await row.getAttribute('data-part');
  await row.hover();
  expect(String(await lit(page)) === part, 'not exactly the part of the row is lit');
  const stroke = await page.locator(`#ring-${part} .ring`).evaluate((ring) => getComputedStyle(ring).stroke);
  expect(stroke !== 'none', 'the ring on the map is not drawn');
}

export async function aPartThatIsPointedAtLightsItsRow(page, expect) {
  const part = await rows(page).last().getAttribute('data-part');
  await page.locator(`#ring-${part} .ring`).dispatchEvent('pointerover');
  expect(String(await lit(page)) === part, 'not exactly the part is lit');
  const read = await page.locator('.readout').textContent();
  expect(read.startsWith((await rows(page).last().locator('th a').textContent()) + ':'),
    'the line under the map does not name the part');
}

export async function escapePutsOutWhatIsLit(page, expect) {
  await rows(page).first().hover();
  await page.keyboard.press('Escape');
  expect((await lit(page)).length === 0, 'a part is still lit');
  expect((await page.locator('.readout').textContent()) === '', 'the line under the map still speaks');
}

export async function escapeShowsAllPartsAgain(page, expect) {
  const all = await rows(page).count();
  await page.locator('.filters input[type="search"]').fill('no such word anywhere');
  expect(await shown(page).count() === 0, 'rows without the word are shown');
  await page.keyboard.press('Escape');
  expect(await shown(page).count() === all, 'not all rows came back');
}

export async function headingsSortBothWaysAndSaySo(page, expect) {
  const heading = page.locator('.part-list th[data-sortable]').nth(2);
  const keys = () => rows(page).evaluateAll((all) =>
    all.map((row) => Number(row.cells[2].dataset.sort)));
  await heading.locator('button').focus();
  for (const [order, sign] of [['descending', -1], ['ascending', 1]]) {
    await page.keyboard.press('Enter');
    expect(await heading.getAttribute('aria-sort') === order, `aria-sort is not ${order}`);
    expect((await keys()).every((key, i, all) => i === 0 || sign * (key - all[i - 1]) >= 0),
      `rows are not ${order}`);
    expect(await page.locator('[aria-sort]').count() === 1, 'more than one column claims the order');
  }
}

export async function filtersHideRowsAndTellTheCount(page, expect) {
  const all = await rows(page).count();
  for (const verdict of ['replace', 'check', 'leave']) {
    const such = await page.locator(`.part-list tr[data-verdict="${verdict}"]`).count();
    const box = page.locator(`.filters input[value="${verdict}"]`);
    await box.focus();
    await page.keyboard.press('Space');
    expect(await shown(page).count() === all - such, `parts to ${verdict} are not hidden`);
    const told = await page.locator('[role="status"]').textContent();
    expect(told === `${all - such} of ${all} parts shown`, `the status says "${told}"`);
    await page.keyboard.press('Space');
  }
}

export async function theTabKeyReachesEverythingAndShowsWhere(page, expect) {
  const wanted = await page.evaluate(() => [...document.querySelectorAll(
    'a[href], button, input, [tabindex="0"]')].filter((one) => one.checkVisibility()).length);
  const seen = new Set();
  for (let i = 0; i < wanted + 5; i++) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(() => {
      const on = document.activeElement;
      if (on === document.body) return null;
      on.dataset.visit ||= String(document.querySelectorAll('[data-visit]').length + 1);
      const ring = on.querySelector('.ring');
      const style = getComputedStyle(ring || on);
      const visible = ring ? style.stroke !== 'none' : style.outlineStyle !== 'none' &&
        parseFloat(style.outlineWidth) >= 2;
      return { visit: on.dataset.visit, visible, what: on.outerHTML.slice(0, 90) };
    });
    if (!at) continue;
    seen.add(at.visit);
    expect(at.visible, `the focus does not show on ${at.what}`);
  }
  expect(seen.size >= wanted, `${seen.size} of ${wanted} controls were reached`);
}

export async function tablesHaveHeadersAndNames(page, expect) {
  const bare = await page.evaluate(() => [...document.querySelectorAll('table')].filter((table) =>
    !table.caption || [...table.tHead.rows[0].cells].some((cell) => cell.scope !== 'col')).length);
  expect(bare === 0, `${bare} tables lack a caption or a scope`);
}

export async function nothingIsFetched(page, expect) {
  const fetched = [];
  page.on('request', (request) => fetched.push(request.url()));
  await page.reload();
  const foreign = fetched.filter((url) => !url.startsWith('file:') && !url.startsWith('data:'));
  expect(foreign.length === 0, `it asks for ${foreign[0]}`);
}
