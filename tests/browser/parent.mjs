// A family from the first child to the last press, on a phone 390 px wide, in each language, with scripts and without:
// the first child as a stranger, the second as a family that is known, another family in line, the seat that comes free.
// What a hand does is counted: 1.2 seconds a tap, 0.3 seconds a key.

import { questionTo } from './link.mjs';
import { walkUpStories } from './walk_up.mjs';

/** Bars of the counted time: the first child in five minutes, the second in ninety seconds and at most six pages. */
const FIRST_SECONDS = 300;
const SECOND_SECONDS = 90;
const SECOND_PAGES = 6;

const WAYS = [
  { lang: 'en', locale: 'en-US', script: true },
  { lang: 'en', locale: 'en-US', script: false },
  { lang: 'es', locale: 'es-US', script: true },
  { lang: 'es', locale: 'es-US', script: false },
];
const WORDS = {
  en: { held: /A seat is held/, sure: 'Yes, it was me', thanks: 'Your address is confirmed', registered: 'is registered', line: 'is on the waitlist', again: 'Give up the place', over: 'has no place any more', take: 'Take the seat', taken: 'The seat is yours', keep: 'Keep and go on' },
  es: { held: /Hay un lugar apartado/, sure: 'Sí, fui yo', thanks: 'Su dirección está confirmada', registered: 'Inscripción hecha', line: 'En la lista de espera', again: 'Dejar el lugar', over: 'ya no tiene lugar', take: 'Tomar el lugar', taken: 'El lugar es suyo', keep: 'Guardar y seguir' },
};
/** Sessions of two seats, one for each way. */
const sessions = [];

export const stories = [
  { name: 'a coordinator announces four small sessions', tell: plan },
  ...WAYS.map((way, number) => ({
    name: `u18 family_6: first child, second child, line, offer and giving up, in ${way.lang}, ${way.script ? 'with' : 'without'} scripts`,
    tell: (house) => family(house, way, number),
  })),
  ...walkUpStories,
];

async function plan(house) {
  const coordinator = await house.person('coordinator', { role: 'coordinator', width: 1280 });
  const day = new Date(Date.now() + 80 * 86_400_000);
  while (day.getUTCDay() !== 1) day.setUTCDate(day.getUTCDate() + 1);
  for (let number = 0; number < WAYS.length; number += 1) {
    await coordinator.opens('/season/new');
    await coordinator.picks('Course', /ages 10 to 15/);
    await coordinator.picks('Site', /Alder Flat/);
    await coordinator.page.locator('#held_month').selectOption(String(day.getUTCMonth() + 1));
    await coordinator.page.locator('#held_day').fill(String(day.getUTCDate()));
    await coordinator.page.locator('#held_year').fill(String(day.getUTCFullYear()));
    await coordinator.types('Start', '8:30 AM');
    await coordinator.types('Length in minutes', '270');
    await coordinator.picks('Lead', /Rafael Tso/);
    await coordinator.picks(/Marit Solberg/, /first aid/i);
    await coordinator.types('Most seats wanted (optional)', '2');
    await coordinator.presses('Announce this session');
    await coordinator.sees(/2 seats/);
    sessions.push(`/sessions/${new URL(coordinator.page.url()).pathname.split('/').at(-1)}`);
    day.setUTCDate(day.getUTCDate() + 1);
  }
}

/** Somebody's hand on a page: what it does is counted. */
class Hand {
  constructor(person) {
    Object.assign(this, { person, page: person.page, seconds: 0, pages: 0 });
  }

  async types(id, text) {
    await this.page.locator(`#${id}`).fill(text);
    this.seconds += 1.2 + 0.3 * text.length;
  }

  async picks(id, value) {
    await this.page.locator(`#${id}`).selectOption(value);
    this.seconds += 2.4;
  }

  async taps(selector) {
    await this.page.locator(selector).first().click();
    this.seconds += 1.2;
  }

  /** The page's one button, and the page after it. */
  async goesOn() {
    await Promise.all([this.page.waitForNavigation(), this.page.locator('form.form button.main').click()]);
    this.seconds += 1.2;
    this.pages += 1;
  }
}

async function rider(hand, given, isKnown) {
  if (isKnown) await hand.taps('label[for^=known]:last-of-type >> nth=-1');
  await hand.types('given', given);
  await hand.types('family', 'Holt-Núñez');
  await hand.picks('birth_month', '3');
  await hand.types('birth_day', '14');
  await hand.types('birth_year', String(new Date().getFullYear() - 12));
  if (!isKnown) await hand.picks('county', { index: 12 });
  await hand.taps('label[for=ridden]');
}

async function healthy(hand) {
  for (const question of ['any', 'injector', 'medicine']) await hand.taps(`label[for=${question}]`);
}

async function people(hand, email) {
  for (const [id, text] of [
    ['given', 'Maren'], ['family', 'Holt-Núñez'], ['phone', '406 555 0177'], ['email', email],
    ['password', 'nine pines on the ridge'], ['first_name', 'Otis Brandt'], ['first_phone', '406 555 0178'],
    ['second_name', 'Ruth Haugen'], ['second_phone', '406 555 0179'],
  ]) await hand.types(id, text);
}

async function sized(hand) {
  await hand.taps('label[for=units]');
  for (const [id, text] of [['height', '4 ft 10'], ['weight', '84'], ['inseam', '27']]) await hand.types(id, text);
  await hand.taps('label[for=head_unknown]');
}

async function signs(hand) {
  const clauses = await hand.page.locator('input[name^=ride-]').count();
  for (let number = 0; number < clauses; number += 1) {
    await hand.page.locator('.choice:has(input[name^=ride-]) label').nth(number).click();
    hand.seconds += 1.2;
  }
  const proof = hand.page.locator('label[for^=proof]').last();
  if (await proof.count()) await hand.taps('label[for^=proof] >> nth=-1');
  await hand.types('signature', 'Maren Holt-Núñez');
}

/** A child from the session's page to the receipt. */
async function child(hand, session, given, { email, isKnown = false }, look = () => {}) {
  await hand.person.opens(`${session}/register`);
  await rider(hand, given, isKnown);
  await look('rider');
  await hand.goesOn();
  await healthy(hand);
  await hand.goesOn();
  if (!isKnown) await people(hand, email);
  await look('adults');
  await hand.goesOn();
  await sized(hand);
  await hand.goesOn();
  await look('questions');
  await hand.goesOn();
  await signs(hand);
  await look('check');
  await hand.goesOn();
  return new URL(hand.page.url()).pathname;
}

function within(what, hand, seconds, pages = Infinity) {
  console.log(`       ${what}: ${hand.seconds.toFixed(0)} s of taps and keys (bar ${seconds} s), ${hand.pages} pages`);
  if (hand.seconds > seconds || hand.pages > pages) throw new Error(`${what} took ${hand.seconds} s and ${hand.pages} pages`);
}

async function family(house, { lang, locale, script }, number) {
  const [session, words, key] = [sessions[number], WORDS[lang], `${lang}${script ? '' : '-plain'}`];
  const maren = await house.person(`maren-${key}`, { locale, script });
  const email = `maren.${key}@example.org`;
  const hand = new Hand(maren);
  const first = await child(hand, session, 'Łukasz', { email });
  within('first child', hand, FIRST_SECONDS);
  await maren.seesHeading(words.held);
  await maren.looks(`parent-${key}-held`);
  await maren.opens('/');
  await maren.looks(`parent-${key}-asked`);
  await maren.opens(await questionTo(house, email));
  await maren.looks(`parent-${key}-question`);
  await maren.presses(words.sure);
  await maren.sees(words.thanks);
  await maren.opens(first);
  await maren.sees(words.registered);

  const again = new Hand(maren);
  const second = await child(again, session, 'Ida', { isKnown: true }, async (page) => {
    if (page !== 'check') await maren.looks(`parent-${key}-second-${page}`);
  });
  within('second child', again, SECOND_SECONDS, SECOND_PAGES);
  await maren.opens(second);
  await maren.sees(words.registered);

  const otto = await house.person(`otto-${key}`, { locale, script });
  const mailbox = `otto.${key}@example.org`;
  const waits = await child(new Hand(otto), session, 'Otto', { email: mailbox });
  await otto.sees(words.line);
  await otto.looks(`parent-${key}-line`);
  await otto.opens(await questionTo(house, mailbox));
  await otto.presses(words.sure);
  await otto.opens(waits);

  await maren.opens(first);
  await maren.follows(words.again);
  await maren.looks(`parent-${key}-give-up`);
  await maren.presses(words.again);
  await maren.sees(words.over);
  await maren.looks(`parent-${key}-given-up`);

  await otto.opens(waits);
  await otto.looks(`parent-${key}-offered`);
  const offer = await house.letterTo(mailbox, 3);
  await otto.opens(/\/answers\/[A-Za-z0-9_-]+\?lang=[a-z]+/.exec(offer.text)[0]);
  await otto.looks(`parent-${key}-offer`);
  await otto.presses(words.take);
  await otto.sees(words.taken);
  await otto.looks(`parent-${key}-taken`);
  await otto.opens(waits);
  await otto.sees(words.registered);
  await otto.looks(`parent-${key}-seated`);
}
