// The roster in one hand: thirty children marked present, a lesson of twelve, the emergency page, undo, and every field page
// measured in light, dark and sun. Told by `run.mjs --stories field`.
//
// What it costs is counted by the program's model (bar U22) from taps, keys and looks that were really made, and printed.
// Real seconds depend on the machine: they stand beside a floor of the same run and fail only beyond twice the bar.

import { deskStories } from './desk.mjs';
import { fieldFaults } from './field_page.mjs';
import { FULL, fullDay, leadOfTheDay } from './full_day.mjs';
import { Hand } from './hand.mjs';

/** Seconds for thirty children marked present, and for one lesson of twelve. */
const PRESENT_S = 60;
const LESSON_S = 30;
const LESSON_RIDERS = 12;
/** Seconds for one child on one machine. */
const FIT_S = 90;
/** How long a hand's last press may take to arrive on a busy machine; the real seconds are judged by the bar. */
const LATEST_MS = 2 * PRESENT_S * 1000;
/** A phone of today is about so many times slower than this machine. */
const SLOWER = 4;

// The day is filled in seconds, which no office and no six families do.
for (const kind of ['PAGE', 'REGISTER', 'SIGN_IN']) {
  for (const number of ['PER_MINUTE', 'BURST']) process.env[`WAYMARK_RATES_${kind}_${number}`] = '1000000';
}

/** What one story leaves for the next. */
const day = {};

const all = [
  { name: 'thirty children are registered for a session of today', tell: fill },
  { name: 'saturday_3 u22: thirty children are marked present within a minute, with one tap each at most and no key', tell: present },
  { name: 'saturday_3 u22: one lesson of twelve children is marked within thirty seconds', tell: lesson },
  { name: 'day_2 one child is tried on one machine within ninety seconds, every criterion seen', tell: fit },
  { name: 'saturday_3 u24: the emergency page of a child is two taps away, with scripts and without', tell: emergency },
  { name: 'saturday_3 u21: undo is offered for ten seconds and takes back what was pressed', tell: undo },
  { name: 'saturday_3 u21: undo works without scripts', tell: undoWithoutScripts },
  { name: 'saturday_3 u22: the screen stays on while a field page is in sight', tell: staysOn },
  { name: 'saturday_3 a wrong head count is loud at once, without a new page', tell: wrongCount },
  ...deskStories(day),
  ...['light', 'dark', 'sun'].map((scheme) => ({
    name: `saturday_3 u19 u03 u04: contrast, focus and targets of every field page, ${scheme}`,
    tell: (house) => measured(house, scheme),
    whole: scheme !== 'light',
  })),
];

// A slowed phone keeps a core busy for as long as it is slowed, so that it is let go when its story is told.
export const stories = all.map((story) => ({ ...story, tell: (house) => story.tell(house).finally(() => letGo(house)) }));

async function letGo(house) {
  for (const { slowed } of house.people) await slowed?.send('Emulation.setCPUThrottlingRate', { rate: 1 }).catch(() => undefined);
}

async function fill(house) {
  day.roster = await fullDay(house);
  const lead = await house.person('lead of the small session', { role: 'instructor' });
  await lead.opens('/my-sessions');
  day.demo = await lead.page.getByRole('link', { name: /Open the roster of Alder Flat/ }).first().getAttribute('href');
}

/** The lead with a slow phone, at the roster of the thirty. */
async function leadAt(house, name, wishes = {}) {
  const lead = await leadOfTheDay(house, name, { touch: true, ...wishes });
  if (wishes.script !== false) {
    lead.slowed = await lead.context.newCDPSession(lead.page);
    await lead.slowed.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  }
  await lead.opens(day.roster);
  return lead;
}

/** The median of twenty plain fetches of a page, in seconds: what this machine needs for nothing else. */
async function floor(person) {
  const times = [];
  for (let n = 0; n < 20; n += 1) {
    const began = performance.now();
    const answer = await person.context.request.get('/help');
    if (answer.status() !== 200) throw new Error(`the floor answered ${answer.status()}`);
    await answer.text();
    times.push((performance.now() - began) / 1000);
  }
  return times.sort((a, b) => a - b)[10];
}

function judge(what, hand, bar, isHeld, floorS, mostKeys = 0) {
  const { model, real } = hand.cost();
  console.log(`       ${what}: ${hand.told()}; floor, one plain page: ${(floorS * 1000).toFixed(0)} ms${isHeld ? `; bar ${bar} s` : '; shown beside it'}`);
  if (hand.keys > mostKeys) throw new Error(`${what} needs ${hand.keys} keys`);
  if (isHeld && model > bar) throw new Error(`${what}: ${model} s by the model, the bar is ${bar} s`);
  if (isHeld && real > 2 * bar) throw new Error(`${what}: ${real.toFixed(1)} s here, twice the bar is ${2 * bar} s`);
}

async function present(house) {
  const lead = await leadAt(house, 'lead');
  const plain = await floor(lead);
  const { page } = lead;
  const undone = async () => {
    await page.getByRole('button', { name: /^Undo/ }).click();
    await lead.settles(LATEST_MS);
    await lead.sees(`0 of ${FULL}`);
  };
  const called = async (missing) => {
    await lead.opens(day.roster);
    const hand = new Hand(lead);
    await hand.touches(page.locator('.field-bar').getByRole('link', { name: 'Roll call' }));
    await page.waitForURL(/roll-call$/);
    const children = await page.locator('.call').all();
    for (const [place, child] of children.entries()) {
      hand.looks(await child.innerText());
      if (missing.includes(place)) await hand.touches(child.getByText('Not here'));
    }
    return { hand, children };
  };
  for (const missing of [[], [4, 17]]) {
    const { hand } = await called(missing);
    const left = FULL - missing.length;
    const words = missing.length ? `All but ${missing.length} are here: check in ${left}` : `All ${FULL} are here`;
    await hand.touches(page.getByRole('button', { name: words }));
    await lead.settles(LATEST_MS);
    await lead.sees(`${left} riders checked in`);
    judge(`roll call of ${FULL}, ${missing.length} missing, one press for all`, hand, PRESENT_S, true, plain);
    if (hand.taps > left) throw new Error(`${hand.taps} taps for ${left} children`);
    await undone();
  }
  const { hand, children } = await called([]);
  for (const child of children) await hand.touches(child.getByText('Here', { exact: true }));
  await hand.touches(page.getByRole('button', { name: 'Check in who answered' }));
  await lead.settles(LATEST_MS);
  await lead.sees(`${FULL} riders checked in`);
  judge(`roll call of ${FULL}, child by child`, hand, PRESENT_S, false, plain);
  await undone();
  await oneByOne(lead, plain);
}

/** On the roster itself: one tap a child. */
async function oneByOne(lead, plain) {
  await lead.opens(day.roster);
  const hand = new Hand(lead);
  const names = await lead.page.locator('.roll .rider a').allInnerTexts();
  for (const name of names) {
    hand.looks(name);
    await hand.touches(lead.page.getByRole('button', { name: `Check in ${name}`, exact: true }));
  }
  await lead.settles(LATEST_MS);
  await lead.sees(`${FULL} of ${FULL}`);
  judge(`roster of ${FULL}, child by child`, hand, PRESENT_S, false, plain);
  if (hand.taps !== FULL) throw new Error(`${hand.taps} taps for ${FULL} children`);
}

async function lesson(house) {
  const lead = await leadAt(house, 'lead of a lesson');
  const plain = await floor(lead);
  for (const [what, path] of [['one check of a lesson', '/lessons/2'], ['a whole lesson', '/lessons/1?check=all']]) {
    await lead.opens(`${day.roster}${path}`);
    const hand = new Hand(lead);
    const rows = (await lead.page.locator('.marking > li').all()).slice(0, LESSON_RIDERS);
    for (const row of rows) {
      hand.looks(await row.locator('.rider a').innerText());
      await hand.touches(row.getByRole('button', { name: 'Meets' }));
    }
    await lead.settles(LATEST_MS);
    await lead.sees(`${LESSON_RIDERS} of ${FULL} marked`);
    judge(`${what} for ${LESSON_RIDERS}`, hand, LESSON_S, true, plain);
  }
}

/** From the roster to the saved check: every criterion looked at and tapped, one of them measured. */
async function fit(house) {
  const lead = await leadAt(house, 'lead beside a machine');
  const plain = await floor(lead);
  const [name] = await lead.page.locator('.roll .rider a').allInnerTexts();
  await lead.page.locator('.roll .rider a').first().click();
  await lead.presses('All six pieces are on');
  await lead.presses(/own helmet is right$/);
  await lead.opens(day.roster);
  const { page } = lead;
  const hand = new Hand(lead);
  hand.looks(name);
  await hand.touches(page.getByRole('link', { name: `Fit of ${name}`, exact: true }));
  await page.waitForURL(/\/fit$/);
  await hand.touches(page.getByRole('link', { name: /^Try / }).first());
  await page.waitForURL(/\/fit\/[^/]+$/);
  for (const criterion of await page.locator('.criteria > li:has(input[value=met])').all()) {
    // A criterion is looked at as long as a child is.
    hand.looks(await criterion.locator('h3').innerText());
    await hand.touches(criterion.locator('label.mark:has(input[value=met])'));
  }
  await hand.touches(page.locator('#k-standing_clearance summary'));
  await hand.touches(page.locator('#length_standing_clearance'));
  const measured = '3 1/2 in';
  await page.keyboard.type(measured);
  hand.keys += measured.length;
  await hand.touches(page.getByRole('button', { name: /^Save .* fit check$/ }));
  await lead.settles(LATEST_MS);
  await lead.sees('may start');
  judge('one child on one machine', hand, FIT_S, true, plain, measured.length);
}

async function emergency(house) {
  for (const script of [true, false]) {
    const lead = await leadAt(house, `lead in need, scripts ${script}`, { script });
    const name = (await lead.page.locator('.roll .rider a').allInnerTexts())[20];
    const ways = {
      roster: [['link', `Emergency page of ${name}`]],
      lesson: [['link', name], ['link', /^Emergency page/]],
    };
    for (const [from, taps] of Object.entries(ways)) {
      await lead.opens(from === 'roster' ? day.roster : `${day.roster}/lessons/1`);
      const hand = new Hand(lead);
      for (const [role, words] of taps) {
        const target = lead.page.getByRole(role, { name: words }).first();
        const before = lead.page.url();
        await hand.touches(target);
        await lead.page.waitForURL((url) => url.href !== before);
      }
      if (hand.taps > 2) throw new Error(`${hand.taps} taps from the ${from}`);
      await lead.seesHeading(`Emergency: ${name}`);
      for (const words of ['Whom to call', 'Nearest hospital', 'Bench Clinic', 'What the guardian answered']) await lead.sees(words);
      const calls = await lead.page.locator('a[href^="tel:"]').evaluateAll((all) => all.map((one) => one.getAttribute('href')));
      if (!calls.includes('tel:911') || calls.filter((href) => href.startsWith('tel:+1')).length < 2) throw new Error(`no phones: ${calls}`);
      console.log(`       emergency from the ${from}, scripts ${script}: ${hand.taps} taps, ${hand.swipes} swipes`);
    }
  }
}

async function undo(house) {
  const lead = await leadAt(house, 'lead with a slip');
  const { page } = lead;
  await lead.opens(`${day.roster}/lessons/2`);
  const row = page.locator('.marking > li').nth(14);
  const meets = row.getByRole('button', { name: 'Meets' });
  // The rows of other children stay what they are while an answer comes, so that no tap falls between two drawings.
  const other = page.locator('.marking > li').nth(16);
  await other.evaluate((one) => (one.isOld = true));
  await meets.click();
  await lead.settles();
  if (!(await other.evaluate((one) => one.isOld))) throw new Error('the row of another child was drawn anew');
  await page.getByRole('button', { name: /^Undo/ }).click();
  await lead.settles();
  await lead.sees(/^Undone\./);
  if ((await meets.getAttribute('aria-pressed')) !== 'false') throw new Error('the mark still stands');
  await meets.click();
  await lead.settles();
  const offered = page.getByRole('button', { name: /^Undo/ });
  await page.waitForTimeout(8_000);
  await offered.waitFor({ state: 'visible', timeout: 500 });
  // Whoever stands on the button keeps it a little; the thumb of this lead has gone on.
  await page.waitForTimeout(3_000);
  if (await offered.count()) throw new Error('undo is still offered after eleven seconds');
}

async function wrongCount(house) {
  const lead = await leadAt(house, 'lead who counts');
  const alarm = lead.page.getByRole('complementary', { name: 'Right now' });
  const before = await alarm.count();
  const count = async (heads) => {
    const fold = lead.page.locator('#another-count');
    if ((await fold.getAttribute('open')) === null) await fold.locator('summary').click();
    await lead.types('Heads you counted', String(heads));
    await lead.presses('Save this count');
  };
  await count(FULL - 1);
  await alarm.getByText(`${FULL - 1} of ${FULL}`).first().waitFor({ state: 'visible' });
  await lead.page.getByRole('button', { name: `All ${FULL} are here` }).first().click();
  await lead.settles();
  if ((await alarm.getByText(`${FULL - 1} of ${FULL}`).count()) || before > 1) throw new Error('the alarm stays after a right count');
}

async function undoWithoutScripts(house) {
  const lead = await leadAt(house, 'lead without scripts', { script: false });
  await lead.opens(`${day.roster}/lessons/2`);
  const row = lead.page.locator('.marking > li').nth(20);
  await row.getByRole('button', { name: 'Meets' }).click();
  await lead.page.waitForLoadState();
  await lead.page.getByRole('button', { name: /^Undo/ }).click();
  await lead.page.waitForLoadState();
  await lead.sees(/^Undone\./);
  if ((await row.getByRole('button', { name: 'Meets' }).getAttribute('aria-pressed')) !== 'false') throw new Error('the mark still stands');
}

/** The device's own lock is asked for and held; a page of the office is not let have one. */
async function staysOn(house) {
  const lead = await leadOfTheDay(house, 'lead whose screen stays on');
  await lead.page.addInitScript(() => {
    if (!window.WakeLock) return;
    const ask = WakeLock.prototype.request;
    window.locks = [];
    WakeLock.prototype.request = async function (kind) {
      const lock = await ask.call(this, kind);
      window.locks.push(lock);
      return lock;
    };
  });
  for (const path of ['', '/lessons/1', '/roll-call', '/counts']) {
    await lead.opens(`${day.roster}${path}`);
    await lead.page.waitForFunction(() => window.locks?.length === 1 && !window.locks[0].released, undefined, { timeout: 5_000 });
  }
  await lead.opens('/sessions');
  const answer = await lead.page.evaluate(() => navigator.wakeLock.request('screen').then(() => 'given', (error) => error.name));
  if (answer !== 'NotAllowedError') throw new Error(`a page that is no field page may keep the screen on: ${answer}`);
  lead.faults.length = 0;
}

/** Every field page that the lead comes to, by links, of the demonstration's session. */
async function fieldPages(lead) {
  const { demo } = day;
  const pages = ['/my-sessions', demo];
  for (const below of ['lessons/1', 'lessons/6', 'lessons/5?check=all', 'day-list', 'area', 'assignment', 'machines', 'groups', 'counts', 'roll-call', 'grid?lesson=1', 'close', 'emergency']) {
    pages.push(`${demo}/${below}`);
  }
  await lead.opens(demo);
  const riders = await lead.page.locator('.roll .rider a').evaluateAll((all) => all.map((one) => one.getAttribute('href')));
  // A child who is here and fitted, and one who has not come.
  const here = await lead.page.locator('.roll > li').filter({ hasText: 'Riding-ready' }).first().locator('.rider a').getAttribute('href');
  const away = riders.find((href) => href !== here);
  pages.push(here, away, `${here}/fit`, `${here}/health`, `${here}/history`);
  await lead.opens(`${here}/fit`);
  pages.push(await lead.page.locator('a[href*="/fit/"]').first().getAttribute('href'));
  return pages;
}

async function measured(house, scheme) {
  const lead = await house.person(`lead in ${scheme}`, { role: 'instructor', touch: true });
  await lead.opens(`/sign-in?scheme=${scheme}`);
  const found = [];
  const pages = await fieldPages(lead);
  for (const path of pages) {
    await lead.opens(path);
    const shown = path.replace(/\/roster\/\w+/, '').replace(/riders\/\w+/, 'rider') || '/';
    // Focus does not change with the colors, but its ring does: every page is tabbed through in the light, a few in the rest.
    const tabs = scheme === 'light' || ['/', '/lessons/6'].includes(shown);
    found.push(...(await fieldFaults(lead, { scheme, tabs })).map((fault) => `${shown}: ${fault}`));
  }
  console.log(`       ${pages.length} pages in ${scheme}`);
  if (found.length) throw Object.assign(new Error(`${found.length} faults`), { stack: found.join('\n       ') });
}
