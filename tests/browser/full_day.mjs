// A session of today with thirty children in it, or with fewer, made through the front door: the office adds machines, a
// site and five instructors with their papers and announces the session, families register five children each. The
// demonstration's own session of today is smaller, and its people are at their own site all day.

import { execFileSync } from 'node:child_process';

import { setsUpSecondStep } from './second_step.mjs';

const RIDERS = [
  'Ana', 'Beckett', 'Zoë', 'Tomás', 'Suri', 'Wyatt', 'Linh', 'Ezekiel', 'Freya', 'Kwame', 'Lucía', 'Rowan', 'Mateo', 'Łukasz', 'Inés',
  'Otis', 'Dakota', 'Elias', 'Maren', 'Hana', 'Amadou', 'Jasper', 'Bodhi', 'Sigrid', 'Theo', 'Leif', 'Cyrus', 'Juniper', 'Yara', 'Paloma',
];
const FAMILIES = ['Nygård', 'O’Dell', 'Asante', 'de la Cruz', 'Haugen', 'Vang'];
const TEAM = [['Vesna', 'Idris'], ['Bram', 'Oyelaran'], ['Keiko', 'Hollis'], ['Anselm', 'Quist'], ['Dorte', 'Maki']];
const PAPERS = ['riding', 'first_aid', 'background', 'child_protection'];

const PASSWORD = 'lantern under seven larches';
const ZONE = 'America/Denver';
const SAME_ORIGIN = { 'sec-fetch-site': 'same-origin' };

/** How many children a full day has. */
export const FULL = RIDERS.length;

/** Makes the session for so many children; gives the path of its roster. */
export async function fullDay(house, children = FULL) {
  const office = await house.person('office', { role: 'coordinator', width: 1280 });
  await machines(office, children);
  await site(office);
  await team(house, office);
  const session = await announce(office, children);
  for (const [place, family] of FAMILIES.entries()) {
    const named = RIDERS.slice(place * 5, Math.min(place * 5 + 5, children));
    if (named.length) await register(house, session, family, named);
  }
  await office.opens(`/season/${session}`);
  return `/roster/${session}`;
}

/** The cookies of the lead's one sign-in: a code of an app serves once, so the stories share it. */
let leadsCookies;

/** Who leads the session, signed in with a password and a second step. */
export async function leadOfTheDay(house, name, wishes = {}) {
  const lead = await house.person(name, wishes);
  if (leadsCookies) {
    await lead.context.addCookies(leadsCookies);
    await lead.opens('/');
    return lead;
  }
  await lead.signsInWith('vesna@example.org', PASSWORD);
  await setsUpSecondStep(lead);
  leadsCookies = await lead.context.cookies();
  return lead;
}

/** The hidden fields and what may be ticked, as the page of a form has them. */
async function fieldsOf(request, way) {
  const html = await (await request.get(way)).text();
  const fields = {};
  for (const [tag] of html.matchAll(/<input[^>]*type="hidden"[^>]*>/g)) {
    fields[/ name="([^"]*)"/.exec(tag)[1]] = / value="([^"]*)"/.exec(tag)?.[1] ?? '';
  }
  const ticks = [...html.matchAll(/<input[^>]*type="checkbox"[^>]* name="([^"]+)"/g)].map(([, name]) => name);
  return { fields, ticks };
}

/** Sends a form and gives where it leads; anything but a way on is a fault. */
async function send(request, action, form) {
  const answer = await request.post(action, { form, headers: SAME_ORIGIN, maxRedirects: 0 });
  if (answer.status() === 303) return answer.headers().location;
  const said = (await answer.text()).match(/role="alert"[\s\S]*?<\/div>|<h1>[\s\S]*?<p/)?.[0].replace(/<[^>]*>|\s+/g, ' ');
  throw new Error(`${action} answered ${answer.status()}: ${said}`);
}

async function machines(office, children) {
  const { request } = office.context;
  const { fields } = await fieldsOf(request, '/machines/new');
  const one = { make_model: 'Rowan 90', category: 'Y-10+', built_month: '3', built_day: '1', built_year: '2024', engine_cc: '89' };
  const sizes = { dry_weight: '255', seat_height: '27', seat_to_rest: '17', limiter: '15', label: 'there' };
  for (let number = 101; number <= 100 + children; number += 1) {
    await send(request, '/machines', { form_token: fields.form_token, number: String(number), ...one, ...sizes });
  }
}

async function site(office) {
  const { request } = office.context;
  const { fields } = await fieldsOf(request, '/sites/new');
  const place = { name: 'Broad Bench', street: '9 Bench Road', city: 'Bench', zip: '59085', county: '30063', time_zone: ZONE };
  const more = { most_riders: String(FULL), hospital: 'Bench Clinic, (406) 555-0191' };
  const [made] = (await send(request, '/sites', { form_token: fields.form_token, ...place, ...more })).split('#');
  const year = new Date().getUTCFullYear();
  const days = { from_month: '1', from_day: '1', from_year: String(year - 1), through_month: '12', through_day: '31', through_year: String(year + 1) };
  for (const kind of ['owner_permission', 'insurance']) {
    await send(request, `${made}/papers`, { form_token: fields.form_token, kind, ...days });
  }
  const plan = { signal_spot: 'At the gate post', meets_ambulance: 'The helper of the day, at the county road' };
  const written = await fieldsOf(request, `${made}/plan`);
  await send(request, `${made}/plan`, { ...written.fields, ...plan });
}

/** Five instructors, added at the machine as an operator does, their papers entered by the office. */
async function team(house, office) {
  const { binary, data, database } = house.service;
  const place = ['--data', data, ...(database ? ['--database', database] : [])];
  const { request } = office.context;
  const year = new Date().getUTCFullYear();
  const days = { issued_month: '1', issued_day: '1', issued_year: String(year - 1), through_month: '12', through_day: '31', through_year: String(year + 1) };
  for (const [given, family] of TEAM) {
    const who = ['--given', given, '--family', family, '--email', `${given.toLowerCase()}@example.org`];
    execFileSync(binary, ['staff', 'add', ...place, ...who, '--phone', '4065550177', '--role', 'instructor'], { input: PASSWORD, stdio: ['pipe', 'ignore', 'pipe'] });
    await office.opens('/people');
    const page = await office.page.getByRole('link', { name: `${given} ${family}` }).first().getAttribute('href');
    const { fields } = await fieldsOf(request, page);
    for (const kind of PAPERS) await send(request, `${page}/papers`, { form_token: fields.form_token, kind, ...days });
  }
}

/** Announced for a few minutes from now on the clocks of the site, so that today is its day. */
async function announce(office, children) {
  const start = new Date(Date.now() + 4 * 60_000);
  const part = (options) => new Intl.DateTimeFormat('en-US', { timeZone: ZONE, ...options }).format(start);
  await office.opens('/season/new');
  await office.picks('Course', /ages 10 to 15/);
  await office.picks('Site', /Broad Bench/);
  await office.page.locator('#held_month').selectOption(part({ month: 'numeric' }));
  await office.page.locator('#held_day').fill(part({ day: 'numeric' }));
  await office.page.locator('#held_year').fill(part({ year: 'numeric' }));
  await office.types('Start', part({ hour: 'numeric', minute: '2-digit' }));
  await office.types('Length in minutes', '240');
  const [lead, ...others] = TEAM.map((names) => new RegExp(names.join(' ')));
  await office.picks('Lead', lead);
  for (const name of others) await office.picks(name, /instructor|teach/i);
  await office.presses('Announce this session');
  await office.sees(/\d+ seats/);
  const [, seats] = /(\d+) seats/.exec(await office.page.locator('main').innerText());
  if (Number(seats) < children) throw new Error(`${seats} seats for ${children} children`);
  return new URL(office.page.url()).pathname.split('/').at(-1);
}

/** A family registers its children one after the other, as the steps ask. */
async function register(house, session, family, children) {
  const parent = await house.person(`parent ${family}`);
  const { request } = parent.context;
  const adults = { first_name: 'Chidi Okafor', first_phone: '406.555.0163', second_name: 'Signe Lindqvist', second_phone: '406 555 0164' };
  const self = { given: 'Ruth', family, phone: '(406) 555-0118', email: `ruth.${FAMILIES.indexOf(family)}@example.org`, password: 'lantern under seven larches' };
  for (const [place, given] of children.entries()) {
    const year = String(new Date().getFullYear() - 12);
    const answers = {
      rider: { given, family, birth_month: '3', birth_day: String(place + 1), birth_year: year, county: '30049', ridden: 'few' },
      health: { any: 'no', injector: 'no', medicine: 'no' },
      adults: place === 0 ? { ...self, ...adults } : adults,
      sizes: { units: 'us', height: '4 ft 10', weight: '84', inseam: '27', head: '54 cm' },
      questions: {},
    };
    let way = `/sessions/${session}/register/rider`;
    for (const [step, given] of Object.entries(answers)) {
      const { fields } = await fieldsOf(request, way);
      way = await send(request, `/sessions/${session}/register/${step}`, { ...fields, ...given });
    }
    const { fields, ticks } = await fieldsOf(request, way);
    const signed = Object.fromEntries(ticks.filter((name) => name.startsWith('ride-')).map((name) => [name, 'yes']));
    await send(request, `/sessions/${session}/register/check`, { ...fields, ...signed, proof: 'done', signature: `Ruth ${family}` });
  }
}
