// Pages with one fault each, served here, so that weight.mjs is seen to find it before it looks at the service; and pages
// just within the bar, in which it must find nothing.

import { randomBytes } from 'node:crypto';
import { createServer } from 'node:http';
import { setTimeout as pause } from 'node:timers/promises';
import { gzipSync } from 'node:zlib';

import { enter, faultsOf, lateness, open, packedOnTheWay, press } from './weight_page.mjs';

const PRINT = '/static/0123456789abcdef';
const YEAR = 'public, max-age=31536000, immutable';
const HEAD = '<!DOCTYPE html><html lang="en"><title>Planted</title><link rel="icon" href="data:,">';
const pictures = (number) => Array.from({ length: number }, (_, at) => `<img src="/picture-${at}.svg" width="9" height="9" alt="">`).join('');
const linked = (name) => `${HEAD}<link rel="stylesheet" href="${PRINT}/${name}"><p>words`;
const pressed = (ms) =>
  `${HEAD}<p>words<button type="button">Press</button><script>document.querySelector('button').onclick = () => {` +
  `for (const end = performance.now() + ${ms}; performance.now() < end; );}</script>`;

/** Text that weighs so many bytes once it is packed: between `begin` and `end` stands what does not pack. */
function packedTo(bytes, begin, end = '') {
  let filler = randomBytes(bytes).toString('hex').slice(0, bytes - begin.length);
  for (let over = 1; over; filler = filler.slice(0, filler.length - over)) over = pack(begin + filler + end).length - bytes;
  return pack(begin + filler + end);
}

const pack = (text) => gzipSync(text, { level: 0 });

/** Each page: its address, its answers by address, and the one fault that must be told, or none. */
const PAGES = [
  { path: '/well', body: linked('well.css') },
  { path: '/bar', packed: packedTo(30_000, `${HEAD}<!--`, '--><p>words') },
  { path: '/heavy', packed: packedTo(31_000, `${HEAD}<!--`, '--><p>words'), fault: /^HTML and blocking CSS: 31,000 bytes, over 30,000$/ },
  { path: '/heavy-css', packed: packedTo(19_001, `${linked('heavy.css')}<!--`), fault: /^HTML and blocking CSS: 30,001 bytes, over 30,000$/ },
  { path: '/print-css', packed: packedTo(19_001, `${linked('heavy.css').replace('rel="stylesheet"', '$& media="print"')}<!--`) },
  { path: '/total', body: `${HEAD}<p>words<script src="/big.js"></script>`, fault: /^in all: 100,\d\d\d bytes, over 100,000$/ },
  { path: '/ten', body: HEAD + pictures(9) },
  { path: '/eleven', body: HEAD + pictures(10), fault: /^11 requests, over 10$/ },
  {
    path: '/font',
    body: `${HEAD}<style>@font-face{font-family:own;src:url(/own.woff2)}p{font-family:own}</style><p>words`,
    fault: /^a web font: 1 declared$/,
  },
  { path: '/bare', body: `${HEAD}<p>words`, bare: true, fault: /^not packed: .*\/bare$/ },
  { path: '/short', body: linked('short.css'), fault: /^not kept for a year: .*short\.css \(public, max-age=3600, immutable\)$/ },
  { path: '/host', body: `${HEAD}<img src="http://elsewhere.invalid/x.png" width="9" height="9" alt="">`, fault: /^another host: http:\/\/elsewhere\.invalid/ },
  { path: '/gone', body: linked('gone.css'), fault: /gone\.css answered 404$/ },
  {
    path: '/shifts',
    body: `${HEAD}<body><p>words<script>setTimeout(() => document.body.insertAdjacentHTML('afterbegin', '<div style="height:400px">'), 60)</script>`,
    fault: /^it shifts: CLS 0\.\d+, over 0\.1$/,
  },
];

/** The other answers: `[kind, body, headers]`. */
const FILES = {
  [`${PRINT}/well.css`]: ['text/css', pack('p { color: black }'), { 'cache-control': YEAR }],
  [`${PRINT}/heavy.css`]: ['text/css', packedTo(11_000, '/*'), { 'cache-control': YEAR }],
  [`${PRINT}/short.css`]: ['text/css', pack('p { color: black }'), { 'cache-control': 'public, max-age=3600, immutable' }],
  [`${PRINT}/pieces.css`]: ['text/css', pack('p { color: black }'), { 'cache-control': YEAR }],
  [`${PRINT}/late.css`]: ['text/css', pack('p { color: black }'), { 'cache-control': YEAR }],
  '/big.js': ['text/javascript', packedTo(100_000, '//'), {}],
  '/own.woff2': ['font/woff2', randomBytes(2_000), {}],
  '/pieces': ['text/html', pack(linked('pieces.css')), {}],
  '/late': ['text/html', pack(linked('late.css')), {}],
  '/press': ['text/html', pack(pressed(0)), {}],
  '/press-slow': ['text/html', pack(pressed(600)), {}],
};

async function answer(request, response) {
  const page = PAGES.find(({ path }) => path === request.url);
  let [kind, body, headers] = FILES[request.url] ?? [];
  if (page) [kind, body, headers] = ['text/html', page.packed ?? (page.bare ? Buffer.from(page.body) : pack(page.body)), {}];
  if (/^\/picture-/.test(request.url)) [kind, body, headers] = ['image/svg+xml', pack('<svg xmlns="http://www.w3.org/2000/svg"/>'), {}];
  if (!body) return void response.writeHead(404).end();
  const encoding = page?.bare || !/^text|svg/.test(kind) ? {} : { 'content-encoding': 'gzip' };
  const length = request.url.endsWith('pieces.css') ? {} : { 'content-length': body.length };
  if (request.url.endsWith('late.css')) await pause(5_000);
  response.writeHead(200, { 'content-type': kind, ...encoding, ...length, ...headers });
  response.end(body);
}

/** What was planted and not found, and what was found where nothing was planted; tells what each page gave. */
export async function planted(browser, whole) {
  return withPlanted(browser, async (pane) => {
    const faults = [];
    const judge = (what, found, awaited) => {
      const isRight = awaited ? found.length === 1 && awaited.test(found[0]) : found.length === 0;
      if (!isRight) faults.push(`planted ${what}: ${found.join('; ') || 'nothing was found'}`);
      else console.log(`planted ${what}: ${found[0] ?? 'nothing, as it should be'}`);
    };
    for (const { path, fault } of PAGES) judge(path, faultsOf(await open(pane, { address: path })), fault);
    await open(pane, { address: '/well' });
    judge('/well again', faultsOf(await open(pane, { address: '/well', kept: true })), /^it had been kept: .*well\.css$/);
    judge('/pieces', packedOnTheWay(await open(pane, { address: '/pieces' })), /^packed while it is sent: .*pieces\.css$/);
    judge('/well', packedOnTheWay(await open(pane, { address: '/well' })));
    if (!whole) return faults;
    judge('/late', lateness(await open(pane, { address: '/late', slow: true })), /^LCP [5-9],\d\d\d ms, over 2 times 2500$/);
    // 0.4 s until the first byte, then 30,000 bytes at 50,000 a second: sooner, and the line would not be slow.
    const { lcp } = await open(pane, { address: '/bar', slow: true });
    judge('/bar on the slow line', lcp < 950 ? [`LCP ${lcp} ms, sooner than the line allows`] : lateness({ lcp }));
    judge('/press', lateness(await timed(pane, '/press')));
    judge('/press-slow', lateness(await timed(pane, '/press-slow')), /^INP [6-9]\d\d ms, over 2 times 200$/);
    return faults;
  });
}

/** The time of a press that does nothing: what the browser itself takes on this machine. */
export const quickestPress = (browser) => withPlanted(browser, async (pane) => (await timed(pane, '/press')).inp);

async function timed(pane, address) {
  const { after: inp, broken } = await open(pane, { address, slow: true, then: (page) => press(page, 'button') });
  return { inp, broken };
}

async function withPlanted(browser, deed) {
  const server = createServer(answer);
  await new Promise((ready) => server.listen(0, '127.0.0.1', ready));
  const pane = await enter(browser, { origin: `http://localhost:${server.address().port}` });
  try {
    return await deed(pane);
  } finally {
    await pane.close();
    server.closeAllConnections();
    await new Promise((closed) => server.close(closed));
  }
}
