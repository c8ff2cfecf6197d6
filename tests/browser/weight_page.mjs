// One page as weight.mjs looks at it: opened by a browser that has kept nothing, weighed, timed, pressed and judged.

import { setTimeout as pause } from 'node:timers/promises';

/** U29. The first bytes are the HTML and the CSS without which nothing is drawn. */
export const BAR = { first: 30_000, total: 100_000, requests: 10, shift: 0.1, lcp: 2_500, inp: 200 };
/** Beyond so many times the bar a figure that depends on the machine fails. */
export const SLACK = 2;
const SLOW = { offline: false, latency: 400, downloadThroughput: 50_000, uploadThroughput: 50_000 };
const FAST = { offline: false, latency: 0, downloadThroughput: -1, uploadThroughput: -1 };
const YEAR_S = 31_536_000;
const TEXT = /^text\/|javascript|json|xml/;
/** Whatever is not on this machine is sent to a port where nobody answers. */
const NOBODY = { server: 'http://127.0.0.1:9', bypass: 'localhost,127.0.0.1' };

/** A number as people read it. */
export const count = (number) => Math.round(number).toLocaleString('en-US');

/** A window for one person, or for nobody, from which no request leaves this machine. */
export async function enter(browser, { origin, person }) {
  const storageState = await person?.context.storageState();
  const locale = person?.name.endsWith('es') ? 'es-US' : 'en-US';
  const viewport = { width: 390, height: 844 };
  const context = await browser.newContext({ baseURL: origin, storageState, locale, viewport, proxy: NOBODY, serviceWorkers: 'block' });
  const page = await context.newPage();
  const cdp = await context.newCDPSession(page);
  const pane = { origin, page, cdp, requests: [], close: () => context.close() };
  await watch(pane);
  return pane;
}

/** Opens a page in a window that has kept nothing but cookies; on a `slow` phone too; `then` acts on it. */
export async function open(pane, { address, slow = false, kept = false, then = () => undefined }) {
  const { origin, page, cdp } = pane;
  try {
    await page.goto('about:blank');
    const requests = (pane.requests = []);
    if (!kept) await forget(cdp);
    await cdp.send('Network.emulateNetworkConditions', slow ? SLOW : FAST);
    await cdp.send('Emulation.setCPUThrottlingRate', { rate: slow ? 4 : 1 });
    await page.goto(address, { waitUntil: 'load', timeout: 30_000 });
    await quiet(page, requests);
    const seen = await page.evaluate(drawn);
    const landed = new URL(page.url());
    const elsewhere = landed.pathname + landed.search === address.split('#')[0] ? '' : landed.pathname;
    const first = requests.filter(({ url, type }, at) => at === 0 || (type === 'Stylesheet' && !seen.unblocking.includes(url)));
    const sum = (some, part) => some.reduce((all, one) => all + one[part], 0);
    const total = { bytes: sum(requests, 'bytes'), heads: sum(requests, 'head') };
    return { origin, requests, elsewhere, first: sum(first, 'bytes'), total, ...seen, after: await then(page) };
  } catch (error) {
    return { origin, requests: [], first: 0, total: { bytes: 0, heads: 0 }, broken: error.message.split('\n')[0] };
  }
}

/** Empties the cache on the disk, and the one in memory, which goes while none is allowed. */
async function forget(cdp) {
  await cdp.send('Network.clearBrowserCache');
  await cdp.send('Network.setCacheDisabled', { cacheDisabled: true });
  await cdp.send('Network.setCacheDisabled', { cacheDisabled: false });
}

/** The requests of a page as they come: what Chromium received of each, its head apart. */
async function watch(pane) {
  const { cdp } = pane;
  const latest = (id) => pane.requests.findLast((one) => one.id === id) ?? {};
  const headed = (one, { status, mimeType, headers, encodedDataLength }) => {
    const named = Object.fromEntries(Object.entries(headers).map(([name, value]) => [name.toLowerCase(), value]));
    Object.assign(one, { status, mime: mimeType, headers: named, head: encodedDataLength });
  };
  cdp.on('Network.requestWillBeSent', ({ requestId, request, type, redirectResponse }) => {
    if (redirectResponse) headed(Object.assign(latest(requestId), { done: true }), redirectResponse);
    if (!/^https?:/.test(request.url)) return;
    pane.requests.push({ id: requestId, url: request.url, type, bytes: 0, head: 0, headers: {}, done: false });
  });
  cdp.on('Network.responseReceived', ({ requestId, response }) => {
    const one = latest(requestId);
    one.stored ||= response.fromDiskCache;
    headed(one, response);
  });
  cdp.on('Network.requestServedFromCache', ({ requestId }) => Object.assign(latest(requestId), { stored: true }));
  cdp.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    const one = latest(requestId);
    Object.assign(one, { bytes: encodedDataLength - one.head, done: true });
  });
  cdp.on('Network.loadingFailed', ({ requestId }) => Object.assign(latest(requestId), { done: true }));
  await cdp.send('Network.enable');
}

/** Waits until the page asks for nothing more; its icon, which comes last, is waited for. */
async function quiet(page, requests) {
  const icon = await page.evaluate(() => document.querySelector('link[rel~=icon]')?.href ?? 'data:');
  for (let calm = 0, tries = 0; calm < 6 && tries < 100; tries += 1) {
    await pause(50);
    const hasIcon = icon.startsWith('data:') || requests.some(({ url }) => url === icon);
    calm = hasIcon && requests.every(({ done }) => done) ? calm + 1 : 0;
  }
}

/** In the page: when its biggest piece was drawn, how far it shifted in its worst five seconds, its fonts, its CSS. */
async function drawn() {
  const entries = (type) =>
    new Promise((resolve) => {
      const all = [];
      const observer = new PerformanceObserver((list) => all.push(...list.getEntries()));
      observer.observe({ type, buffered: true });
      setTimeout(() => resolve([...all, ...observer.takeRecords()]), 50);
    });
  const [paints, shifts] = await Promise.all(['largest-contentful-paint', 'layout-shift'].map(entries));
  let [shift, burst, began, last] = [0, 0, 0, -Infinity];
  for (const { value, startTime, hadRecentInput } of shifts) {
    if (hadRecentInput) continue;
    if (startTime - last > 1_000 || startTime - began > 5_000) [burst, began] = [0, startTime];
    [burst, last] = [burst + value, startTime];
    shift = Math.max(shift, burst);
  }
  const resources = performance.getEntriesByType('resource');
  const unblocking = resources.filter((one) => one.renderBlockingStatus === 'non-blocking').map(({ name }) => name);
  return { lcp: paints.at(-1)?.startTime, shift, fonts: document.fonts.size, unblocking };
}

/** Whether the address of a request changes with the bytes behind it. */
export const isFingerprinted = ({ url }) => /^\/static\/[0-9a-f]{16}\//.test(new URL(url).pathname);

const place = ({ url }) => (url.length > 90 ? `${url.slice(0, 90)}…` : url);

/** What of U29 and U30 a page breaks, but for its times. */
export function faultsOf({ origin, requests, elsewhere, first, total, shift, fonts, broken }) {
  if (broken) return [broken];
  const faults = [];
  if (elsewhere) faults.push(`it led on to ${elsewhere}`);
  if (first > BAR.first) faults.push(`HTML and blocking CSS: ${count(first)} bytes, over ${count(BAR.first)}`);
  if (total.bytes > BAR.total) faults.push(`in all: ${count(total.bytes)} bytes, over ${count(BAR.total)}`);
  if (requests.length > BAR.requests) faults.push(`${requests.length} requests, over ${BAR.requests}`);
  if (shift > BAR.shift) faults.push(`it shifts: CLS ${shift.toFixed(3)}, over ${BAR.shift}`);
  if (fonts || requests.some(({ type }) => type === 'Font')) faults.push(`a web font: ${fonts} declared`);
  for (const one of requests) {
    if (one.status === 200 && !one.stored && !(one.done && one.bytes > 0)) faults.push(`${place(one)} did not come in full`);
    if (one.stored) faults.push(`it had been kept: ${place(one)}`);
    else if (new URL(one.url).origin !== origin) faults.push(`another host: ${place(one)}`);
    else if (one.status !== 200) faults.push(`${place(one)} answered ${one.status}`);
    else if (TEXT.test(one.mime) && !/^(br|gzip)$/.test(one.headers['content-encoding'])) faults.push(`not packed: ${place(one)}`);
    const rule = one.headers['cache-control'] ?? '';
    const isKept = Number(/max-age=(\d+)/.exec(rule)?.[1]) >= YEAR_S && /\bimmutable\b/.test(rule);
    if (one.status === 200 && !one.stored && isFingerprinted(one) && !isKept) faults.push(`not kept for a year: ${place(one)} (${rule})`);
  }
  return faults;
}

/** Fingerprinted files whose packed length was not known when the answer began: they are packed anew for each reader. */
export function packedOnTheWay({ requests }) {
  const files = requests.filter((one) => isFingerprinted(one) && one.headers['content-encoding']);
  return files.filter(({ headers }) => !headers['content-length']).map(({ url }) => `packed while it is sent: ${new URL(url).pathname}`);
}

/** How late a page is, and whether that is beyond what this machine excuses. */
export function lateness({ lcp, inp, broken }) {
  if (broken) return [broken];
  const faults = [];
  for (const [name, ms, bar] of [['LCP', lcp, BAR.lcp], ['INP', inp, BAR.inp]]) {
    if (ms > SLACK * bar) faults.push(`${name} ${count(ms)} ms, over ${SLACK} times ${bar}`);
  }
  return faults;
}

/** Presses the first such thing as a thumb does; the longest time from there to what was drawn next. */
export async function press(page, selector) {
  const one = await page.locator(`${selector}:visible`).first().elementHandle({ timeout: 5_000 });
  const before = page.url();
  const state = () => one.evaluate((it) => [it.checked, it.parentElement.open].join());
  const was = await state();
  await page.evaluate(listen);
  // The label lies over its box, as it does under a thumb.
  const under = (await one.evaluateHandle((it) => it.labels?.[0] ?? it)).asElement();
  await under.click({ timeout: 10_000 });
  await page.waitForFunction(() => window.presses.length > 0, undefined, { timeout: 5_000 }).catch(() => undefined);
  await pause(500);
  if (page.url() !== before) throw new Error(`${selector} led on to ${page.url()}`);
  if (!selector.includes('button') && (await state()) === was) throw new Error(`${selector} was pressed and nothing changed`);
  const [times, noticed] = await page.evaluate(() => [window.presses, performance.interactionCount]);
  // Of a press that took less than 16 ms the browser counts that it was, and tells no time.
  if (!times.length && noticed > 0) return 16;
  if (!times.length) throw new Error(`the browser tells no time of ${selector}`);
  return Math.max(...times);
}

/** In the page: keeps the times of all that is pressed and takes 16 ms or more. */
function listen() {
  window.presses = [];
  const take = (list) => {
    const pressed = list.getEntries().filter(({ interactionId, entryType }) => interactionId || entryType === 'first-input');
    window.presses.push(...pressed.map(({ duration }) => duration));
  };
  new PerformanceObserver(take).observe({ type: 'event', durationThreshold: 16, buffered: true });
  new PerformanceObserver(take).observe({ type: 'first-input', buffered: true });
}
