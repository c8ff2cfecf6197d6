// One Saturday in the browser: a coordinator plans, a parent registers, an instructor runs the day and closes it, a
// stranger checks the certificate, and the report counts it. The stories follow each other in one house.

import { questionTo } from './link.mjs';

const GUARDIAN = 'Maren Holt-Núñez';
const EMAIL = 'maren.holt@example.org';
const RIDER = 'Łukasz';

/** What one story leaves for the next. */
const saturday = {};

export const stories = [
  { name: 'a coordinator announces a session and the page names the limit that binds', tell: plan },
  { name: 'a parent without scripts registers a child and gets a receipt, a calendar file and a letter', tell: register },
  { name: 'a parent reads the way to register in Spanish', tell: readInSpanish },
  { name: 'an instructor checks the child in, fits a machine, marks every skill, gives a helmet', tell: ride },
  { name: 'the lead closes the session and the guardian opens the certificate', tell: close },
  { name: 'a stranger checks the certificate by its number and learns no name', tell: check },
  { name: 'the coordinator reads the report and opens the rows behind a figure', tell: report },
  { name: 'a helper sees no health notes and no office', tell: keepOut },
];

async function plan(house) {
  const coordinator = await house.person('coordinator', { role: 'coordinator', width: 1280 });
  await coordinator.looks('coordinator-home');
  await coordinator.opens('/sites/new');
  await coordinator.looks('site-new');
  await coordinator.types('Name', 'Lantern Hollow');
  await coordinator.types('Street and number', '3 Hollow Road');
  await coordinator.types('Town', 'Lantern');
  await coordinator.types('ZIP code', '59085');
  await coordinator.types('County', 'Atlantis');
  await coordinator.types('Most riders at once', '9');
  await coordinator.types('Nearest hospital', 'Lantern Clinic, (406) 555-0191');
  await coordinator.expecting(422, () => coordinator.presses('Add this site'));
  await coordinator.sees(/no county of that name/i);
  await coordinator.looks('site-new-refused');
  await coordinator.types('County', '30063');
  await coordinator.presses('Add this site');
  await coordinator.sees('No session can be held here today.');
  await coordinator.looks('site-bare');
  await addPaper(coordinator, "Owner's permission");
  await addPaper(coordinator, 'Insurance');
  await coordinator.follows('Write the plan');
  await coordinator.looks('site-plan');
  await coordinator.types('Nearest spot with phone signal', 'At the gate post');
  await coordinator.types('Who meets the ambulance, and where', 'The helper of the day, at the county road');
  await coordinator.presses('Save the plan');
  await coordinator.sees('Papers hold today and the emergency plan is written');
  await coordinator.looks('site');
  await coordinator.opens('/season/new');
  await coordinator.looks('season-new');
  await coordinator.picks('Course', /ages 10 to 15/);
  await coordinator.picks('Site', /Lantern Hollow/);
  // A Monday well ahead: no other session of the demonstration is on it.
  const day = new Date(Date.now() + 75 * 86_400_000);
  while (day.getUTCDay() !== 1) day.setUTCDate(day.getUTCDate() + 1);
  await coordinator.page.locator('#held_month').selectOption(String(day.getUTCMonth() + 1));
  await coordinator.page.locator('#held_day').fill(String(day.getUTCDate()));
  await coordinator.page.locator('#held_year').fill(String(day.getUTCFullYear()));
  await coordinator.types('Start', '8:30 AM');
  await coordinator.types('Length in minutes', '270');
  await coordinator.picks('Lead', /Rafael Tso/);
  await coordinator.expecting(422, () => coordinator.presses('Announce this session'));
  await coordinator.looks('season-new-refused');
  await coordinator.picks(/Marit Solberg/, /first aid/i);
  await coordinator.presses('Announce this session');
  await coordinator.sees(/6 seats/);
  await coordinator.sees(/The instructors may teach no more riders/);
  await coordinator.looks('season-one');
  for (const [name, path] of [['season', '/season'], ['sites', '/sites'], ['people', '/people'], ['machines', '/machines'], ['gear', '/gear']]) {
    await coordinator.opens(path);
    await coordinator.looks(name);
  }
  await coordinator.page.getByRole('link', { name: /^K-L/ }).click();
  await coordinator.looks('lot');
  await coordinator.opens('/gear/receive');
  await coordinator.looks('receive');
}

async function register(house) {
  const parent = await house.person('parent', { script: false });
  await parent.opens('/');
  await parent.looks('home');
  await parent.follows('See all sessions');
  await parent.looks('sessions');
  saturday.session = await parent.page.locator('.entry h3 a').first().getAttribute('href');
  await parent.opens(saturday.session);
  await parent.looks('session');
  await parent.follows('Register a child');
  await parent.looks('register-rider');
  await parent.expecting(422, () => parent.presses('Keep and go on'));
  await parent.looks('register-rider-errors');
  await parent.types('Given name', RIDER);
  await parent.types('Family name (optional)', 'Holt-Núñez');
  await parent.page.getByLabel('Month').selectOption({ label: '03 March' });
  await parent.types('Day', '14');
  await parent.types('Year', String(new Date().getFullYear() - 12));
  await parent.picks('Home county', 'Missoula');
  await parent.ticks('Never');
  await parent.presses('Keep and go on');
  await parent.looks('register-health');
  await parent.ticks('No', /health condition/);
  await parent.ticks('No', /auto-injector/);
  await parent.ticks('No', /take medicine/);
  await parent.presses('Keep and go on');
  await parent.looks('register-adults');
  await parent.types('Your given name', 'Maren');
  await parent.page.locator('#family').fill('Holt-Núñez');
  await parent.types('Your phone', '406 555 0177');
  await parent.types('Your e-mail address', EMAIL);
  await parent.types('Choose a password', 'nine pines on the ridge');
  await parent.types("First person's name", 'Otis Brandt');
  await parent.types("First person's phone", '(406) 555-0178');
  await parent.types("Second person's name", 'Ruth Haugen');
  await parent.types("Second person's phone", '406.555.0179');
  await parent.presses('Keep and go on');
  await parent.looks('register-sizes');
  await parent.types('Height', '4 ft 10');
  await parent.types('Weight', '84 lb');
  await parent.types('Inseam', '27');
  await parent.types('Around the head', '54 cm');
  await parent.presses('Keep and go on');
  await parent.looks('register-questions');
  await parent.ticks('From a neighbor');
  await parent.presses('Keep and go on');
  await parent.looks('register-check');
  await parent.expecting(422, () => parent.presses(`Register ${RIDER}`));
  await parent.looks('register-check-errors');
  for (const clause of await parent.page.locator('.choice:has(input[name^=ride]) label').all()) await clause.click();
  // Only a course that asks for an earlier part has this question.
  const proof = parent.page.locator('label[for^=proof]').last();
  if (await proof.count()) await proof.click();
  await parent.types('Sign by typing your full name', GUARDIAN);
  await parent.presses(`Register ${RIDER}`);
  // Two hours before the start nobody waits for an answer any more.
  await parent.seesHeading(new RegExp(`A seat is held for ${RIDER}|${RIDER} is registered`));
  await parent.looks('receipt-held');
  const isNear = (await parent.page.locator('h1').innerText()).includes('is registered');
  saturday.letters = isNear ? 1 : 2;
  const phone = await house.person('phone', { script: false });
  await phone.opens(await questionTo(house, EMAIL));
  await phone.seesHeading('Is this your address?');
  await phone.looks('question-address');
  await phone.presses('Yes, it was me');
  await phone.seesHeading('Thank you. Your address is confirmed.');
  await phone.looks('question-address-yes');
  await parent.page.reload();
  await parent.seesHeading(`${RIDER} is registered`);
  await parent.looks('receipt');
  saturday.receipt = new URL(parent.page.url()).pathname;
  saturday.guardian = parent;
  const file = await parent.downloads('Put it in my calendar');
  if (!file.bytes.toString().startsWith('BEGIN:VCALENDAR')) throw new Error('the calendar file is none');
  const letter = await house.letterTo(EMAIL, saturday.letters);
  const names = letter.text.match(new RegExp(`${RIDER}[^.,\\n]*`, 'g')) ?? [];
  if (!names.length || names.some((text) => text.includes('Holt'))) throw new Error(`the letter should say the first name only: ${letter.text}`);
  await parent.opens('/registrations');
  await parent.looks('registrations');
  await parent.opens('/riders');
  await parent.looks('riders');
}

async function readInSpanish(house) {
  const madre = await house.person('madre', { locale: 'es-US' });
  await madre.opens(saturday.session);
  await madre.sees('Inscribir a un niño');
  await madre.looks('es-session');
  await madre.follows('Inscribir a un niño');
  await madre.seesHeading('¿Quién maneja?');
  await madre.looks('es-register-rider');
  await madre.opens('/');
  await madre.looks('es-home');
  await madre.opens('/sign-in');
  await madre.looks('es-sign-in');
}

/** A paper of the site from the beginning of this year through the end of the next. */
async function addPaper(coordinator, kind) {
  const year = new Date().getUTCFullYear();
  await coordinator.picks('What it shows', kind);
  for (const [name, value] of [['from_month', '1'], ['through_month', '12']]) {
    await coordinator.page.locator(`#${name}`).selectOption(value);
  }
  for (const [name, value] of [['from_day', '1'], ['from_year', year], ['through_day', '31'], ['through_year', year + 1]]) {
    await coordinator.page.locator(`#${name}`).fill(String(value));
  }
  await coordinator.presses('Add this paper');
}

async function ride(house) {
  const lead = await house.person('instructor', { role: 'instructor' });
  saturday.lead = lead;
  await lead.opens('/my-sessions');
  await lead.looks('my-sessions');
  await lead.follows('Open the roster');
  saturday.roster = new URL(lead.page.url()).pathname;
  await lead.looks('roster');
  for (const name of ['day-list', 'groups', 'counts', 'emergency']) {
    await lead.opens(`${saturday.roster}/${name}`);
    await lead.looks(name);
  }
  await signsTheDayList(lead);
  await countsAdultsIn(lead);
  await lead.opens(saturday.roster);
  await lead.follows(new RegExp(`^${RIDER}`));
  saturday.rider = new URL(lead.page.url()).pathname;
  await lead.presses(`Check in ${RIDER}`);
  await lead.opens(saturday.rider);
  await lead.presses(/^I have seen/);
  await lead.opens(saturday.rider);
  await lead.presses('All six pieces are on');
  await lead.presses(`${RIDER}’s own helmet is right`);
  await lead.opens(`${saturday.rider}/helmet`);
  await lead.looks('helmet');
  await lead.opens(saturday.rider);
  await lead.page.getByText(`Measure ${RIDER}`).click();
  await lead.types('Head, around the brows (optional)', '54 cm');
  await lead.presses('Save the measures');
  await lead.opens(`${saturday.rider}/fit`);
  await lead.looks('fit-choose');
  await lead.page.getByRole('link', { name: new RegExp(`Try ${RIDER}`) }).first().click();
  await lead.sees('does not start yet');
  for (const met of await lead.page.locator('label.mark:has(input[value=met])').all()) await met.click();
  await lead.presses(`Save ${RIDER}'s fit check`);
  await lead.sees('may start');
  await lead.looks('fit');
  await looksTheMachineOver(lead);
  await marksEverything(lead);
  await lead.opens(`${saturday.roster}/lessons/6`);
  await lead.looks('lesson');
  await lead.opens(saturday.rider);
  await lead.page.getByRole('button', { name: `Give to ${RIDER}` }).first().click();
  await lead.settles();
  await lead.sees(/from lot K-L/);
  await lead.looks('rider');
  await lead.opens(`${saturday.rider}/receipt/es`);
  await lead.looks('helmet-receipt');
  await lead.ticks('Recibí');
  await lead.presses('Firmar');
  await lead.sees(/signed for it/);
  await lead.opens(`${saturday.rider}/health`);
  await lead.looks('health');
}

/** Looks at each point, then signs. */
async function signsTheDayList(lead) {
  await lead.opens(`${saturday.roster}/day-list`);
  for (const right of await lead.page.locator('label.mark:has(input[value=right])').all()) await right.click();
  await lead.ticks(/I read this plan aloud/);
  await lead.presses('Sign the list and the plan');
  await lead.sees('Signed. Riding may begin');
  await lead.looks('day-list-signed');
}

/** Looks over the machine on which the rider starts; until then no riding mark is taken. */
async function looksTheMachineOver(lead) {
  await lead.opens(`${saturday.roster}/assignment`);
  await lead.looks('assignment');
  await lead.opens(`${saturday.roster}/machines`);
  await lead.looks('machines-today');
  const ridden = lead.page.getByRole('listitem').filter({ hasText: RIDER });
  await ridden.getByRole('link', { name: /^Look over/ }).click();
  await lead.looks('look-over');
  await lead.presses('I looked it over');
  await lead.sees('Looked over at');
}

/** The lead, then everybody else of the team, comes onto the riding area. */
async function countsAdultsIn(lead) {
  await lead.opens(`${saturday.roster}/area`);
  await lead.looks('area');
  const comes = lead.page.locator('button[name=on][value=yes]');
  while (await comes.count()) {
    await comes.first().click();
    await lead.settles();
  }
  await lead.looks('area-counted');
}

/** Presses "Meets" for the rider at every check of every lesson, in their order. */
async function marksEverything(lead) {
  await lead.opens(`${saturday.roster}/lessons/1`);
  const lessons = await hrefs(lead, /\/lessons\/\d+$/);
  for (const lesson of lessons) {
    await lead.opens(lesson);
    const checks = await hrefs(lead, /\?check=/);
    const whole = checks.find((href) => href.endsWith('check=all'));
    for (const path of whole ? [whole] : checks) {
      await lead.opens(path);
      const form = lead.page.getByRole('form', { name: new RegExp(`^Mark for ${RIDER}`) });
      await form.getByRole('button', { name: 'Meets' }).click();
      await lead.settles();
    }
  }
}

async function hrefs(person, pattern) {
  const all = await person.page.$$eval('a[href]', (links) => links.map((link) => link.getAttribute('href')));
  return [...new Set(all.filter((href) => pattern.test(href)))];
}

async function close(house) {
  const { lead, guardian } = saturday;
  await lead.opens(`${saturday.roster}/close`);
  await lead.sees('Not all children are checked out.');
  await lead.looks('close-not-home');
  await lead.opens(saturday.roster);
  for (const rider of await hrefs(lead, /\/riders\/[a-z0-9]+$/)) {
    await lead.opens(rider);
    const leaves = lead.page.getByRole('button', { name: / leaves with (?!this)/ });
    if (await leaves.count()) await leaves.first().click();
    await lead.settles();
  }
  await lead.opens(`${saturday.roster}/close`);
  await lead.looks('close');
  await lead.presses('Close session and give certificates');
  await lead.seesHeading('Session closed');
  await lead.looks('closed');
  const letter = await house.letterTo(EMAIL, saturday.letters + 1);
  if (!/\.pdf/.test(letter.raw)) throw new Error('the letter carries no paper');
  await guardian.opens(saturday.receipt);
  await guardian.sees(`${RIDER} met every required skill.`);
  await guardian.looks('receipt-after');
  const paper = await guardian.downloads('Open the certificate (PDF)');
  if (paper.bytes.subarray(0, 5).toString() !== '%PDF-') throw new Error('the paper is no PDF');
  saturday.code = (await hrefs(guardian, /^\/c\//))[0].slice('/c/'.length);
}

async function check(house) {
  const stranger = await house.person('stranger');
  await stranger.opens('/certificates');
  await stranger.looks('certificates');
  await stranger.types('Certificate number', saturday.code.toLowerCase().replace(/(.{4})/g, '$1 '));
  await stranger.presses('Check this number');
  await stranger.sees('This certificate was given by this program and counts today.');
  await stranger.doesNotSee(RIDER);
  await stranger.doesNotSee('Holt');
  await stranger.looks('certificate-valid');
  await stranger.opens('/certificates');
  await stranger.types('Certificate number', '0000 0000 0000 0000 0000 01');
  await stranger.expecting(422, () => stranger.presses('Check this number'));
  await stranger.looks('certificate-mistyped');
  await stranger.expecting(404, () => stranger.opens('/no-such-page'));
  await stranger.looks('not-found');
}

async function report(house) {
  const coordinator = await house.person('coordinator again', { role: 'coordinator', width: 1280 });
  await coordinator.opens('/reports');
  await coordinator.looks('report');
  await coordinator.follows(/\d+ helmets?/);
  await coordinator.seesHeading('Rows behind a figure');
  await coordinator.looks('report-rows');
  await coordinator.opens('/reports');
  const table = await coordinator.downloads('This table as CSV');
  if (!/30063/.test(table.bytes.toString())) throw new Error('the table keeps no county codes');
  await coordinator.expecting(422, () => coordinator.opens('/reports?from=yesterday&to=2026-12-31'));
  await coordinator.looks('report-errors');
}

async function keepOut(house) {
  const helper = await house.person('helper', { role: 'helper' });
  await helper.opens(saturday.roster);
  await helper.doesNotSee(/Asthma/);
  await helper.looks('helper-roster');
  await helper.expecting(404, () => helper.opens(`${saturday.rider}/health`));
  await helper.expecting(403, () => helper.opens('/season'));
  await helper.looks('refused');
}
