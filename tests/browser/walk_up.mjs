// Staff register a family that walks up, by keyboard alone, and the adult signs on the screen that is turned round.
// What hands do is counted: 0.3 seconds a key.

const KEY_SECONDS = 0.3;
/** Bar of the counted time, from the open page to the code for the gate. */
const DESK_SECONDS = 60;

export const walkUpStories = [
  { name: 'u38: a new family by keyboard, and a signature in Spanish on the turned screen', tell: (house) => byKeyboard(house, true) },
  { name: 'u38: the same without scripts, and what is missing is told without losing a word', tell: (house) => byKeyboard(house, false) },
];

/** Somebody's fingers: every key is counted. */
class Fingers {
  constructor(page) {
    Object.assign(this, { page, keys: 0 });
  }

  async press(...all) {
    for (const key of all) await this.page.keyboard.press(key);
    this.keys += all.length;
  }

  async type(text) {
    await this.page.keyboard.type(text);
    this.keys += text.length;
  }
}

async function byKeyboard(house, script) {
  const coordinator = await house.person(`desk-${script}`, { role: 'coordinator', width: 1280, script });
  const { page } = coordinator;
  await coordinator.opens('/sessions');
  const sessions = await page.locator('a[href^="/sessions/"]').evaluateAll((all) => all.map((one) => one.getAttribute('href')).filter((href) => /^\/sessions\/[a-z0-9]{12,}$/.test(href)));
  const session = sessions.at(script ? -1 : -2).split('/').at(-1);
  await coordinator.opens(`/season/${session}`);
  await coordinator.follows('Register a child');
  await coordinator.looks(`walk-up-${script}`);
  const lead = await page.locator('.lead').innerText();
  const least = await youngest(page);
  const fingers = new Fingers(page);
  const on = async () => fingers.press(script ? 'Enter' : 'Tab');
  const write = async (text) => {
    await fingers.type(text);
    await on();
  };
  /** With scripts a letter chooses; without, the arrows do. */
  const choose = async (letter, steps) => {
    if (script) await fingers.press(letter);
    else await fingers.press('Space', ...Array(steps).fill('ArrowDown'));
    await on();
  };
  const began = Date.now();
  await page.locator('#child_given').focus();
  for (const text of [`Mateo${script ? '' : ' Bare'}`, 'Baeza', '02', '28', String(least)]) await write(text);
  await write('Lewis');
  await choose('n', 0);
  for (const text of ['Rosa', 'Baeza', script ? 'call me' : '406 555 0171', script ? `rosa.${Date.now() % 10_000}@example.org` : '']) await write(text);
  await choose('e', 1);
  for (const text of ['', '', 'Luz Baeza', '406 555 0172', 'Ivan Soto', '406 555 0173']) await write(text);
  for (let question = 0; question < 3; question += 1) {
    await choose('n', 0);
    // Without scripts what does not apply stays in sight, and is passed over.
    if (!script) await fingers.press(...Array([7, 1, 1][question]).fill('Tab'));
  }
  for (let more = 0; more < 7; more += 1) await on();
  if (script) {
    // A telephone that is none comes back with everything else; only it is written again.
    await coordinator.expecting(422, () => Promise.all([page.waitForNavigation(), fingers.press('Enter')]));
    await coordinator.sees(/Write a phone number with its area code.*\(the adult's phone\)/);
    if ((await page.locator('#child_given').inputValue()) !== 'Mateo') throw new Error('a name was lost');
    await coordinator.looks('walk-up-error');
    await page.locator('#phone').focus();
    await fingers.press('Control+a');
    await fingers.type('406 555 0171');
    await page.locator('form[data-enter] button[type=submit]').focus();
  }
  await Promise.all([page.waitForNavigation(), fingers.press('Enter')]);
  await coordinator.sees('is registered');
  const seconds = (Date.now() - began) / 1000 + fingers.keys * KEY_SECONDS;
  console.log(`       u38 at the desk${script ? ', one answer twice' : ', without scripts'}: ${seconds.toFixed(0)} s counted, ${fingers.keys} keys, bar ${DESK_SECONDS} s (${lead})`);
  if (script && seconds > DESK_SECONDS) throw new Error(`${seconds} s at the desk`);
  await coordinator.sees('For the gate');
  await coordinator.looks(`walk-up-registered-${script}`);
  await turned(coordinator, new Fingers(page), script);
}

/** The birth year of a child who is old enough on the day and not too old: the ages stand on the session's page. */
async function youngest(page) {
  const here = page.url();
  const session = new URL(here).pathname.split('/').at(-1);
  const family = await page.context().newPage();
  await family.goto(new URL(`/sessions/${session}`, here).href);
  const [, least] = /ages? (\d+) to \d+/i.exec(await family.locator('main').innerText()) ?? [];
  const [, year] = /(20\d\d)/.exec(await family.locator('main').innerText()) ?? [];
  await family.close();
  if (!least || !year) throw new Error('no ages on the page of the session');
  return Number(year) - Number(least) - 1;
}

/** The adult reads in Spanish, ticks by keyboard and signs; nothing on the page leads into the staff's pages. */
async function turned(coordinator, fingers, script) {
  const { page } = coordinator;
  await coordinator.follows(/Turn the screen to/);
  if (!(await page.locator('html').getAttribute('lang')).startsWith('es')) await coordinator.follows('Leer en español');
  await coordinator.sees(/lea y firme por/);
  const ways = await page.locator('main a, header a').evaluateAll((all) => all.map((one) => one.getAttribute('href')));
  const inside = ways.filter((href) => /^\/(season|roster|families|people|my-sessions)/.test(href));
  if (inside.length) throw new Error(`ways into the office: ${inside}`);
  await coordinator.looks(`walk-up-turned-${script}`);
  const began = Date.now();
  const ticks = await page.locator('input[type=checkbox][name^="ride-"]').all();
  for (const tick of ticks) {
    await tick.focus();
    await fingers.press('Space', 'Tab');
  }
  await page.locator('#signature').focus();
  await fingers.type('Rosa Baeza');
  await Promise.all([page.waitForNavigation(), fingers.press('Enter')]);
  await coordinator.sees('Signed');
  await coordinator.doesNotSee('Not signed.');
  console.log(`       u38 the signature: ${((Date.now() - began) / 1000 + fingers.keys * KEY_SECONDS).toFixed(0)} s counted, ${ticks.length} clauses, reading not counted`);
}
