// Registering a first child by ear and by keyboard: every page is read out in both languages, as it is and as it comes
// back, and a mother goes the whole way without a pointer. What was read lies in tests/.made/transcripts.

import { mkdir, rm, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

import { Keys } from './keys.mjs';
import { answers, family, freeSessions, goesOn, registers } from './register.mjs';
import { hears, missed, transcript } from './screen_reader.mjs';

const TRANSCRIPTS = fileURLToPath(new URL('../.made/transcripts/', import.meta.url));
const WORDS = {
  en: { on: 'Keep and go on', register: 'Register Łukasz', held: /A seat is held/ },
  es: { on: 'Guardar y seguir', register: 'Inscribir a Łukasz', held: /Hay un lugar apartado/ },
};
/** The only step that takes no answer for an answer. */
const NEVER_WRONG = 'questions';
/** Words that are names, whatever the language. */
const NAMES = /^(Tamarack Ridge Youth Riding Program|American Academy of Pediatrics, .*)$/;
/**
 * What the pages still fall short of, by what is missed. Each must be missed somewhere, so that nothing stays here that
 * is mended.
 */
const SHORT = [
  /^spoken in English: From .* to the gravel lot\.$/,
];

/** What one story leaves for the next. */
const kept = { en: {}, seen: new Set() };

export const stories = [
  { name: 'a mother looks for sessions with seats', tell: looksForSeats },
  { name: 'u08: every page of registering a first child is read out in English, and as it comes back', tell: (house) => readOut(house, 'en') },
  { name: 'u08: the same in Spanish', tell: (house) => readOut(house, 'es') },
  { name: 'u08: a mother registers her first child by keyboard alone', tell: byKeyboardAlone },
];

async function looksForSeats(house) {
  const mother = await house.person('mother');
  kept.sessions = await freeSessions(mother);
  if (kept.sessions.length < 3) throw new Error(`${kept.sessions.length} sessions have seats`);
  await mother.looks('reader-sessions');
  await rm(TRANSCRIPTS, { recursive: true, force: true });
  await mkdir(TRANSCRIPTS, { recursive: true });
}

async function readOut(house, lang) {
  const session = kept.sessions[0];
  const mother = await house.person(`mother ${lang}`, { locale: `${lang}-US` });
  const reads = (name, wishes) => readsOne(mother, lang, name, wishes);
  await mother.opens(session);
  await reads('session');
  await registers(mother, session, family('Łukasz', { email: `maren.${lang}@example.org` }), async (step) => {
    const button = step === 'check' ? WORDS[lang].register : WORDS[lang].on;
    await reads(step, { button });
    if (step === NEVER_WRONG) return;
    await mother.expecting(422, () => goesOn(mother));
    await reads(`${step}-wrong`, { button, isWrong: true });
    if (step === 'health') await yesWithoutMore(mother, reads, button);
  });
  await mother.seesHeading(WORDS[lang].held);
  await reads('receipt');
  if (lang === 'en') return;
  const mended = SHORT.filter((one) => !kept.seen.has(one));
  if (mended.length) throw new Error(`mended, so take it off the list SHORT: ${mended.join(' ')}`);
}

/** A condition without which one: the group of conditions has an error of its own. */
async function yesWithoutMore(mother, reads, button) {
  const whose = { health: {} };
  await answers(mother, 'health', whose);
  await mother.page.locator('label[for="any-yes"]').click();
  await mother.expecting(422, () => goesOn(mother));
  await reads('health-which', { button, isWrong: true });
}

/** Hears a page, keeps its transcript, and tells what is missed. */
async function readsOne(mother, lang, name, { button, isWrong } = {}) {
  const heard = await hears(mother);
  await writeFile(`${TRANSCRIPTS}${lang}-${name}.txt`, transcript(heard));
  const faults = missed(heard, { lang, button, isWrong });
  if (lang === 'en') kept.en[name] = new Set(heard.lines.map(({ words }) => words));
  else faults.push(...inEnglish(heard.lines, kept.en[name]));
  for (const fault of faults) {
    const short = SHORT.find((one) => one.test(fault));
    if (short) kept.seen.add(short);
    else mother.faults.push(`${lang}-${name} by ear: ${fault}`);
  }
  await mother.looks(`reader-${lang}-${name}`);
}

/** Whole sentences that the Spanish page has word for word as the English one. */
function inEnglish(lines, english) {
  const whole = lines.filter(({ words }) => words.split(' ').length > 4 && english.has(words) && !NAMES.test(words));
  return whole.map(({ words }) => `spoken in English: ${words}`);
}

async function byKeyboardAlone(house) {
  const mother = await house.person('mother at the keys');
  const keys = new Keys(mother);
  await mother.opens(kept.sessions[1]);
  await keys.comesTo('the way to register', (one) => /\/register\/rider$/.test(one.getAttribute('href') ?? ''));
  await keys.pressesAndGoes('Enter');
  await mother.seesHeading('Who is riding?');
  // She presses too early: the summary takes the focus, and its first link leads to the field.
  await keys.comesTo('the button', (one) => one.matches('form.form button.main'));
  await mother.expecting(422, () => keys.pressesAndGoes('Enter'));
  await keys.comesTo('the first error', (one) => one.matches('.errors a'));
  await keys.press('Enter');
  await keys.isAt('given');
  await mother.looks('keys-rider-wrong');
  await keys.type('Łukasz');
  await keys.types({ family: 'Holt-Núñez' });
  await keys.picks('birth_month', '03', '3');
  await keys.types({ birth_day: '14', birth_year: String(new Date().getFullYear() - 12) });
  await keys.picks('county', 'Missoula', '30063');
  await keys.chooses(1, 'ridden');
  await keys.sends();
  await mother.seesHeading('Health');
  for (const question of ['any', 'injector', 'medicine']) await keys.chooses(0, question);
  await keys.sends();
  await mother.seesHeading('Adults and pick-up');
  await keys.types({
    given: 'Maren', family: 'Holt-Núñez', phone: '406 555 0177', email: 'maren.keys@example.org', password: 'nine pines on the ridge',
    first_name: 'Otis Brandt', first_phone: '406 555 0178', second_name: 'Ruth Haugen', second_phone: '406 555 0179',
  });
  await keys.sends();
  await mother.seesHeading('Sizes');
  await keys.types({ height: '4 ft 10', weight: '84', inseam: '27' });
  await keys.ticks('head_unknown');
  await keys.sends();
  await mother.seesHeading('A few questions');
  await keys.chooses(1);
  await keys.sends();
  await mother.seesHeading('Check your answers, then sign');
  if (await mother.page.locator('input[name=proof]').count()) await keys.chooses(1, 'proof');
  for (const clause of await mother.page.locator('input[name^="ride-"]').evaluateAll((all) => all.map(({ id }) => id))) await keys.ticks(clause);
  await keys.types({ signature: 'Maren Holt-Núñez' });
  await mother.looks('keys-check');
  await keys.sends();
  await mother.seesHeading(WORDS.en.held);
  await mother.sees('Łukasz Holt-Núñez');
  await mother.looks('keys-receipt');
  console.log(`       u08 by keyboard alone: ${keys.count} keys`);
}
