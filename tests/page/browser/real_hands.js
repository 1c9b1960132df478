// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Keys and mouse for Firefox, from the window system. Those of its WebDriver are no hand's: they reach the page
// while the focus is in the toolbar, where Tab has taken it from the last field. Tab then walks on in the page,
// no field hears of a focus, its text is not selected, and what is typed is lost or stands behind the old; a click
// does not bring the focus back, three clicks are no triple one, and a finger does nothing at all.
// Needs Debian's xvfb and xdotool.
import {execFile, spawn} from 'node:child_process';
import {promisify} from 'node:util';

const run = promisify(execFile);
const wide = 1700, high = 1500;

// A screen of its own, larger than any window here; its name.
async function openScreen() {
  const screen = spawn('Xvfb', ['-displayfd', '3', '-screen', '0', `${wide}x${high}x24`, '-nolisten', 'tcp'], {stdio: ['ignore', 'ignore', 'ignore', 'pipe']});
  process.on('exit', () => screen.kill());
  screen.unref();
  const number = await new Promise((done, failed) => {
    screen.on('error', () => failed(new Error('Firefox is given real keys: install xvfb and xdotool')));
    let told = '';
    screen.stdio[3].on('data', (bytes) => { told += bytes; if (told.endsWith('\n')) done(told.trim()); });
  });
  screen.stdio[3].unref();
  return `:${number}`;
}

let display = null;
const screen = async () => ({...process.env, DISPLAY: display ??= await openScreen()});
const tool = async (...words) => run('xdotool', words, {env: await screen()});

// --- keys ---

const names = {Enter: 'Return', ArrowLeft: 'Left', ArrowRight: 'Right', ArrowUp: 'Up', ArrowDown: 'Down', Backspace: 'BackSpace', ' ': 'space',
  Control: 'ctrl', Shift: 'shift', Alt: 'alt'};
const nameOf = (key) => key.split('+').map((one) => names[one] ?? (one.length === 1 ? one.toLowerCase() : one)).join('+');

function watchHands() {
  window.hands_seen = 0;
  for (const type of ['keyup', 'pointermove', 'pointerdown', 'pointerup', 'wheel']) addEventListener(type, () => { window.hands_seen++; }, true);
}

// Until the page has heard of it; of a key that the toolbar gets it never does.
async function felt(page, act, times = 1) {
  const seen = () => page.evaluate(() => window.hands_seen), before = await seen();
  await act();
  for (let i = 0; i < 10 * times && await seen() < before + times; i++) await page.waitForTimeout(15);
}

function giveKeys(page) {
  const press = (key) => felt(page, () => tool('key', nameOf(key)));
  page.keyboard.press = press;
  page.keyboard.type = (words, {delay = 12} = {}) => felt(page, () => tool('type', '--delay', String(delay), '--', words), words.length);
  page.press = async (selector, key) => { await page.focus(selector); await press(key); };
}

// --- mouse ---

function giveMouse(page) {
  const corner = () => page.evaluate(() => [mozInnerScreenX, mozInnerScreenY]);
  let at = [0, 0];
  const move = async (x, y, {steps = 1} = {}) => {
    const [left, top] = await corner(), from = at;
    at = [x, y];
    for (let i = 1; i <= steps; i++) {
      const [column, row] = [0, 1].map((axis) => from[axis] + (at[axis] - from[axis]) * i / steps);
      await felt(page, () => tool('mousemove', String(Math.round(left + column)), String(Math.round(top + row))));
    }
  };
  const button = (what) => () => felt(page, () => tool(what, '1'));
  const click = async (x, y, {clickCount = 1} = {}) => {
    await move(x, y);
    await felt(page, () => tool('click', '--repeat', String(clickCount), '--delay', '40', '1'));
    await page.waitForTimeout(20);
  };
  Object.assign(page.mouse, {move, click, down: button('mousedown'), up: button('mouseup'),
    wheel: (_, down) => felt(page, () => tool('click', '--repeat', String(Math.max(1, Math.round(Math.abs(down) / 100))), down > 0 ? '5' : '4'))});
  // the driver waits for the element, scrolls to it and sees that nothing lies over it; a page that moves meanwhile
  // is looked at again
  page.click = async (selector, {clickCount, position} = {}) => {
    const element = page.locator(selector).first();
    await element.click({trial: true, position});
    const place = async () => {
      const box = await element.boundingBox();
      return [box.x + (position?.x ?? box.width / 2), box.y + (position?.y ?? box.height / 2)];
    };
    for (let now = await place(), to = null; String(now) !== String(to); now = await place()) await move(...(to = now));
    await click(...at, {clickCount});
  };
  page.tap = page.click;
}

async function giveHands(page) {
  await page.addInitScript(watchHands);
  giveKeys(page);
  giveMouse(page);
  return page;
}

// `kind` is a browser that is launched with a window; its pages are used by hand.
export async function launchByHand(kind, options) {
  const browser = await kind.launch({...options, headless: false, args: [`--width=${wide}`, `--height=${high}`], env: await screen()});
  const {newContext, newPage} = browser;
  browser.newPage = async (given) => giveHands(await newPage.call(browser, given));
  browser.newContext = async (given) => {
    const context = await newContext.call(browser, given), {newPage: newTab} = context;
    context.newPage = async () => giveHands(await newTab.call(context));
    return context;
  };
  return browser;
}
