// U29 and U30: what a page weighs on the wire, what it asks for, how it is packed and kept, and whether it stays still. Each
// page of the public and of a parent is opened in both languages, at 390 px, by a browser that has kept nothing.
//
//   node tests/browser/weight.mjs --binary target/debug/waymark            weights, requests, hosts, fonts, packing, CLS
//   node tests/browser/weight.mjs --binary target/debug/waymark --whole    also LCP and INP on a slow phone far from a mast
//   ... --only /sessions                                                  the routes with this in their path
//
// Bytes are those that Chromium received for the body as it was sent, packed, with the few that frame its pieces; heads are
// left out, but the heaviest are also told with them. Of each route the longest page that was found is weighed. Before the
// service is asked, planted pages show that each fault is found. LCP and INP depend on the machine: beside them stands a
// floor from the same run, and only twice the bar fails. The last line is `N passed, N failed`, one for each page, one for
// the planted pages, one for the packing of files, and with --whole one more for each page and one for each press.

import { readFile, mkdir, rm } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

import { openHouse } from './browser.mjs';
import { choosePassword, signIn, unhurried } from './demonstration.mjs';
import { Found, registerAsFarAsTheLastStep, routesOf } from './find.mjs';
import { startService } from './service.mjs';
import { BAR, SLACK, count, enter, faultsOf, isFingerprinted, lateness, open, packedOnTheWay, press } from './weight_page.mjs';
import { planted, quickestPress } from './weight_planted.mjs';

const options = { binary: { type: 'string' }, whole: { type: 'boolean' }, only: { type: 'string', default: '' } };
const { binary, whole, only } = parseArgs({ options }).values;
if (!binary) {
  console.error('usage: weight.mjs --binary PATH [--whole] [--only WORD]');
  process.exit(2);
}

const logs = fileURLToPath(new URL('../.made/pictures/weight/', import.meta.url));
await rm(logs, { recursive: true, force: true });
await mkdir(logs, { recursive: true });
unhurried('PAGE', 'SIGN_IN', 'REGISTER');
const house = await openHouse({ pictures: logs });
// The planted pages are looked at while the service comes up.
const starting = startService({ binary, logFile: `${logs}service.log` });
const stop = async () => {
  await house.close();
  await starting.then((service) => service.stop(), () => undefined);
};
for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, () => stop().finally(() => process.exit(1)));

let [passed, failed] = [0, 0];
const tell = (name, faults) => {
  if (faults.length === 0) passed += 1;
  else failed += 1;
  if (faults.length) console.log(`FAILED ${name}`);
  for (const fault of faults) console.log(`       ${fault}`);
};

/** What a page weighs, in words. */
const figures = ({ first, total, requests, shift }) =>
  `${count(first)}, in all ${count(total.bytes)} (with heads ${count(total.bytes + total.heads)}), ` +
  `${requests.length} requests, CLS ${shift?.toFixed(3)}`;

try {
  const [proof, service] = await Promise.all([planted(house.browser, whole), starting]);
  tell('each planted fault is found', proof);
  house.service = service;
  const pages = await everyPage();
  const weighed = await inOwnWindows(pages);
  for (const [at, page] of pages.entries()) tell(page.name, faultsOf(weighed[at]));
  const files = new Set(weighed.flatMap(packedOnTheWay));
  if (!weighed.some(({ requests }) => requests.some(isFingerprinted))) files.add('no fingerprinted file was asked for');
  tell('fingerprinted files are packed beforehand', [...files]);
  console.log('the heaviest five by HTML and blocking CSS, in bytes:');
  const heaviest = [...pages.entries()].sort(([a], [b]) => weighed[b].first - weighed[a].first);
  for (const [at, { name }] of heaviest.slice(0, 5)) console.log(`  ${figures(weighed[at])}  ${name}`);
  if (whole) {
    await slowPages(pages);
    await presses(pages);
  }
} finally {
  await stop();
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed || !passed ? 1 : 0;

/** Opens each page as it is, side by side for each person; what they weigh, in the order of the pages. */
async function inOwnWindows(pages) {
  const weighed = new Map();
  const each = async (person) => {
    const pane = await windowOf(person);
    for (const page of pages) if (page.person === person) weighed.set(page, await open(pane, page));
    await pane.close();
  };
  await Promise.all([...new Set(pages.map(({ person }) => person))].map(each));
  return pages.map((page) => weighed.get(page));
}

/** A window with the cookies of a person, who signs in anew: since they arrived, a sign-in may have ended. */
async function windowOf(person) {
  if (person.name.startsWith('guardian')) await signIn(person, 'guardian');
  return enter(house.browser, { origin: house.service.origin, person });
}

/** The longest page of each route that a role comes to, in both languages. */
async function everyPage() {
  const routes = routesOf(await readFile(new URL('../it/access_matrix.txt', import.meta.url), 'utf8'));
  const pages = [];
  const unreached = routes.gets.filter(({ roles }) => roles.includes('public') || roles.includes('guardian')).map(({ path }) => path);
  for (const role of ['public', 'guardian']) {
    const { found, persons } = await arrive(routes, role);
    for (const [path, samples] of found.pages) {
      if (unreached.includes(path)) unreached.splice(unreached.indexOf(path), 1);
      const [longest] = samples.filter(({ html }) => html).sort((a, b) => b.html.length - a.html.length);
      if (!longest || !path.includes(only)) continue;
      for (const [lang, person] of Object.entries(persons)) {
        pages.push({ ...longest, path, lang, person, name: `${path} as ${role}, ${lang} (${longest.address})` });
      }
    }
  }
  // Person by person, since each looks through a window of their own.
  pages.sort((a, b) => a.person.name.localeCompare(b.person.name));
  console.log(`${pages.length} pages; not weighed, since no link leads there: ${unreached.join(' ')}`);
  return pages;
}

/** One person of a role in each language, with all that links lead to. */
async function arrive(routes, role) {
  const persons = {};
  for (const lang of ['en', 'es']) {
    const person = await house.person(`${role} ${lang}`, { locale: lang === 'es' ? 'es-US' : 'en-US' });
    persons[lang] = person;
    if (role === 'guardian') await signIn(person, 'guardian');
    if (role === 'guardian' && lang === 'en') await choosePassword(house, person);
    if (lang === 'es') await person.opens('/?lang=es');
  }
  const found = new Found(routes, role, persons.en.context.request);
  await found.everything();
  if (role === 'public') {
    for (const person of Object.values(persons)) await registerAsFarAsTheLastStep(person.context.request, found);
    await found.everything();
  }
  return { found, persons };
}

/** LCP on the slow phone, one page after another, with the floor of the run before, between and after. */
async function slowPages(pages) {
  const [floors, runs] = [[], []];
  let [pane, whose] = [];
  const floor = async () => floors.push((await open(pane, { address: '/no-such-page', slow: true })).lcp);
  for (const page of pages) {
    if (page.person !== whose) {
      await pane?.close();
      [pane, whose] = [await windowOf(page.person), page.person];
      await floor();
    }
    const run = await open(pane, { ...page, slow: true });
    runs.push({ ...run, name: page.name });
    const missing = run.lcp === undefined && !run.broken ? ['nothing was drawn that LCP counts'] : [];
    const shifts = run.shift > BAR.shift ? [`it shifts while it comes: CLS ${run.shift.toFixed(3)}`] : [];
    tell(`slow: ${page.name}`, [...lateness(run), ...missing, ...shifts]);
  }
  await floor();
  await pane.close();
  const known = runs.filter(({ lcp }) => lcp !== undefined).sort((a, b) => b.lcp - a.lcp);
  const over = known.filter(({ lcp }) => lcp > BAR.lcp && lcp <= SLACK * BAR.lcp).length;
  console.log(`LCP at 400 ms, 400 kbit/s and a quarter of the processor; floor (/no-such-page) ${floors.map(count).join(', ')} ms`);
  const late = `over ${count(BAR.lcp)} ms but within ${SLACK} times: ${over} of ${runs.length}`;
  console.log(`  median ${count(known[known.length >> 1].lcp)} ms; ${late}; the latest five:`);
  for (const { lcp, name, first } of known.slice(0, 5)) console.log(`  ${count(lcp)} ms, ${count(first)} bytes  ${name}`);
}

/** INP of something to press, on up to two routes for each kind. */
async function presses(pages) {
  const kinds = [
    ['summary', /<summary/],
    ['input[type=radio]:not(:checked)', /type="radio"/],
    ['input[type=checkbox]', /type="checkbox"/],
    ['button[type=button]', /<button type="button"/],
  ];
  const floor = await quickestPress(house.browser);
  console.log(`INP on a quarter of the processor; floor (a button that does nothing) ${count(floor)} ms`);
  for (const [selector, pattern] of kinds) {
    const having = pages.filter(({ lang, html }) => lang === 'en' && pattern.test(html.slice(html.indexOf('<main'))));
    const routes = having.filter(({ path }, at) => having.findIndex((other) => other.path === path) === at);
    if (!routes.length) console.log(`  no page has ${selector}`);
    for (const page of routes.slice(0, 2)) {
      const pane = await windowOf(page.person);
      const { after: inp, broken } = await open(pane, { ...page, slow: true, then: (shown) => press(shown, `main ${selector}`) });
      await pane.close();
      tell(`${selector} on ${page.name}`, lateness({ inp, broken }));
      if (!broken) console.log(`  ${count(inp)} ms${inp > BAR.inp ? ', over the bar' : ''}: ${selector} on ${page.name}`);
    }
  }
}

