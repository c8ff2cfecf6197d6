// Looks at every page of the route table, as people of every role, by machines: axe-core, html-validate, widths, the size
// of what one touches, focus, headings, the console. Pages are found by following links from the table that
// tests/it/access_matrix.txt writes, so that a new route joins by itself; a route that nobody comes to fails.
//
//   node tests/browser/pages.mjs --binary target/debug/waymark            each route once, at 390 px
//   node tests/browser/pages.mjs --binary target/debug/waymark --whole    every role, width, scheme, and print
//   ... --only /roster                                                   the routes with this in their path
//   ... --roles helper,first_aid                                         the pages of these roles
//
// Of each route the longest page that was found is looked at, and the shortest, which is the emptiest. The last line is
// `N passed, N failed`, one for each page.

import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

import { openHouse } from './browser.mjs';
import { choosePassword, signIn, unhurried } from './demonstration.mjs';
import { Found, registerAsFarAsTheLastStep, routesOf } from './find.mjs';
import { measured } from './measure.mjs';
import { startService } from './service.mjs';
import { trap } from './trap.mjs';

const options = { binary: { type: 'string' }, whole: { type: 'boolean' }, only: { type: 'string', default: '' }, roles: { type: 'string' } };
const { binary, whole, only, roles } = parseArgs({ options }).values;
if (!binary) {
  console.error('usage: pages.mjs --binary PATH [--whole] [--only WORD] [--roles LIST]');
  process.exit(2);
}

/** Families read two languages, staff one. */
const TWO_LANGUAGES = ['public', 'guardian'];
const SCHEMES = whole ? ['light', 'dark', 'sun'] : ['light'];
const WIDTHS = whole ? [320, 390, 768, 1280] : [390];
/** Lines whose page comes after much else; the walk and the stories `family` look at it. */
const UNREACHED = [
  '/sessions/{reference}/register', '/registrations/{reference}/calendar.ics', '/links/{token}', '/sign-in/code', '/sign-in/second-step',
  '/account/second-step/remove', '/first-account/{token}', '/answers/{token}', '/answers/done/{what}', '/reminders/{token}', '/season/{session}/riders/{registration}/move',
  '/invitations/{token}', '/invitations/done',
  // The demonstration calls no helmet back, and nobody of it has one of the program's yet: looked at by hand.
  '/gear/recalls/{recall}', '/roster/{reference}/riders/{rider}/receipt/{language}',
  // The stories of walk_up.mjs look at it: everybody of the demonstration has signed.
  '/walk-up/{session}/{registration}/sign/{language}',
  // Whoever reads no concern is led on to the form, and nobody of the demonstration wrote one; the way to teach from leads on
  // to the curriculum that holds; the one report has no photo.
  '/concerns', '/concerns/{concern}', '/teaching', '/incidents/{incident}/photos/{number}',
];

const pictures = fileURLToPath(new URL('../.made/pictures/pages/', import.meta.url));
await rm(pictures, { recursive: true, force: true });
await mkdir(pictures, { recursive: true });
const texts = fileURLToPath(new URL('../.made/texts/', import.meta.url));
await rm(texts, { recursive: true, force: true });
for (const lang of ['en', 'es']) await mkdir(`${texts}${lang}`, { recursive: true });
/** The pages as they were sent, for a checker that reads files. */
const sources = fileURLToPath(new URL('../.made/html/', import.meta.url));
await rm(sources, { recursive: true, force: true });
await mkdir(sources, { recursive: true });
const routes = routesOf(await readFile(new URL('../it/access_matrix.txt', import.meta.url), 'utf8'));
unhurried('PAGE', 'SIGN_IN', 'REGISTER', 'CERTIFICATE_CHECK', 'EXPORT');
const service = await startService({ binary, logFile: `${pictures}service.log` });
let house;
const stop = async () => {
  await house?.close();
  await service.stop();
};
for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, () => stop().finally(() => process.exit(1)));

let [passed, failed] = [0, 0];
const tell = (name, faults) => {
  if (faults.length === 0) passed += 1;
  else failed += 1;
  if (faults.length) console.log(`FAILED ${name}`);
  for (const fault of faults) console.log(`       ${fault}`);
};

try {
  house = await openHouse({ service, pictures });
  const everybody = await Promise.all(routes.roles.map(arrive));
  tell('every route is reached', unreached(everybody));
  const pages = chosen(everybody);
  for (const [place, page] of pages.entries()) {
    const began = Date.now();
    // Since everybody arrived, a sign-in that was not used may have ended.
    if (page.role !== 'public' && page.role !== pages[place - 1]?.role) await signInAnew(everybody, page.role);
    const faults = await look(page, place);
    tell(page.name, faults);
    if (faults.length === 0 && Date.now() - began > 5_000) console.log(`slow   ${page.name} ${Date.now() - began} ms`);
  }
  if (!only && !roles) {
    const { faults, opened } = await trap(house, routes, everybody);
    tell(`s37: a name that is a program stays a name on ${opened} pages`, faults);
  }
} finally {
  await stop();
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed || !passed ? 1 : 0;

/** One person of a role in each language, with all that links lead to. */
async function arrive(role) {
  const persons = {};
  for (const lang of TWO_LANGUAGES.includes(role) ? ['en', 'es'] : ['en']) {
    persons[lang] = await house.person(`${role} ${lang}`, { locale: lang === 'es' ? 'es-US' : 'en-US' });
    persons[lang].leavesUnsent = true;
    if (role !== 'public') await signIn(persons[lang], role);
    if (role === 'guardian' && lang === 'en') await choosePassword(house, persons.en);
    if (lang === 'es') await persons.es.opens('/?lang=es');
  }
  const found = new Found(routes, role, persons.en.context.request);
  await found.everything();
  if (role === 'public') {
    for (const person of Object.values(persons)) await registerAsFarAsTheLastStep(person.context.request, found);
    await found.everything();
  }
  return { role, persons, found };
}

async function signInAnew(everybody, role) {
  const { persons } = everybody.find((one) => one.role === role);
  for (const person of Object.values(persons)) await signIn(person, role);
}

function unreached(everybody) {
  const reached = (route) => everybody.some(({ found }) => found.pages.has(route.path));
  return routes.gets.filter((route) => !reached(route) && !UNREACHED.includes(route.path)).map((route) => `nobody comes to ${route.path}`);
}

/** What is looked at: route by route, longest and shortest page, then forms that came back, then pages that say no. */
function chosen(everybody) {
  const pages = [];
  const done = new Set();
  const add = (page) => {
    const what = `${page.path ?? page.address} ${page.kind} ${page.lang}`;
    if (roles && !roles.split(',').includes(page.role)) return;
    if (!page.address.includes(only) && !(page.path ?? '').includes(only)) return;
    if (!whole && done.has(what)) return;
    done.add(what);
    pages.push({ ...page, name: `${page.path ?? page.address} (${page.kind}) as ${page.role}, ${page.lang}` });
  };
  // Those who see most of a page come first, since the fast run looks once.
  const order = ['public', 'guardian', 'administrator', 'instructor', 'coordinator', 'first_aid', 'helper', 'grant_manager'];
  const sorted = [...everybody].sort((a, b) => order.indexOf(a.role) - order.indexOf(b.role));
  for (const { role, persons, found } of sorted) {
    for (const [lang, person] of Object.entries(persons)) {
      const whose = { role, lang, person };
      for (const [path, samples] of found.pages) {
        const html = samples.filter((sample) => sample.html).sort((a, b) => b.html.length - a.html.length);
        if (!html.length) continue;
        add({ ...whose, path, address: html[0].address, kind: 'full', status: 200 });
        const last = html.at(-1);
        if (last.html.length < html[0].html.length * 0.7) add({ ...whose, path, address: last.address, kind: 'least', status: 200 });
      }
      for (const form of found.forms.values()) add({ ...whose, path: form.path, address: form.page, kind: `sent empty: ${form.names}`, form });
      add({ ...whose, address: '/no-such-page', kind: 'not found', status: 404 });
      const closed = routes.gets.find((route) => !route.roles.includes(role) && !route.path.includes('{'));
      if (closed && role !== 'public') add({ ...whose, address: closed.path, kind: 'no permission', status: 403 });
    }
  }
  return pages;
}

/** The faults of one page. */
async function look(page, place) {
  const { person, status } = page;
  person.faults.length = 0;
  const faults = [];
  try {
    for (const scheme of SCHEMES) {
      await person.page.setViewportSize({ width: WIDTHS[0], height: 844 });
      if (whole) await person.opens(`/sign-in?scheme=${scheme}`);
      if (status >= 400) await person.expecting(status, () => person.opens(page.address));
      else await person.opens(page.address);
      const landed = new URL(person.page.url()).pathname;
      if (landed === '/sign-in' && !page.address.startsWith(landed)) throw new Error('nobody is signed in any more');
      if (page.form && !(await sendEmpty(person, page.form))) return [];
      if (TWO_LANGUAGES.includes(page.role) && scheme === 'light') await keepWords(person, page);
      if (scheme === 'light') await writeFile(`${sources}${fileName(page)}.html`, await person.body);
      faults.push(...(await measured(person, { widths: WIDTHS, scheme, whole })));
      if (place < 400 && scheme === 'light') {
        const file = `${pictures}${String(place).padStart(3, '0')}-${page.role}-${page.lang}.png`;
        await person.page.screenshot({ path: file, fullPage: true });
        faults.forEach((fault, at) => (faults[at] = `${fault}  [${file.split('/').at(-1)}]`));
      }
    }
  } catch (error) {
    faults.push(error.message.split('\n')[0]);
  }
  return [...faults, ...person.faults.splice(0)];
}

/** Keeps what a family reads, for the check of how hard it is. Staff help is in English alone, whoever opens it. */
async function keepWords(person, { role, lang, kind, path, address }) {
  if (/^\/help\/(field|office)/.test(path ?? '')) return;
  const words = await person.page.evaluate(() => document.querySelector('main').innerText);
  await writeFile(`${texts}${lang}/${fileName({ role, path, address, kind })}.txt`, words);
}

function fileName({ role, lang, path, address, kind }) {
  const name = `${path ?? address} ${kind} ${lang ?? ''}`.replace(/[^a-z0-9]+/gi, '-').replace(/^-|-$/g, '');
  return `${role}-${name.slice(0, 80)}`;
}

/** Sends a form with nothing in it. False where the program takes that. */
async function sendEmpty(person, form) {
  person.expected.push(422, 400, 409, 404);
  const coming = person.page.waitForNavigation({ timeout: 8_000 }).catch(() => undefined);
  const sent = await person.page.evaluate(({ action, names }) => {
    const namesOf = (form) => [...new Set([...form.elements].map((one) => one.name).filter(Boolean))].join(' ');
    const form = [...document.forms].find((one) => one.getAttribute('action') === action && namesOf(one) === names);
    if (!form) return false;
    for (const one of form.elements) {
      if (['radio', 'checkbox'].includes(one.type)) one.checked = false;
      else if (one.type !== 'hidden' && one.tagName !== 'BUTTON') one.value = '';
    }
    // After this call has returned, or it would be cut off by the page that comes. Past the scripts, which would send it
    // themselves and bring no page.
    setTimeout(() => HTMLFormElement.prototype.submit.call(form));
    return true;
  }, form);
  const answer = sent ? await coming : undefined;
  person.expected.length = 0;
  return answer?.status() === 422;
}
