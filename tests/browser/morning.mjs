// A morning on a phone: twelve children come in, get a machine, gear and a fit each, are counted, ride, stop for the
// weather and go on, one machine breaks, one thing nearly happens, one happens, and everybody goes home. What the lead
// sees at 390 px is pictured and looked at by axe. Told by `run.mjs --stories morning`.

import { fullDay, leadOfTheDay } from './full_day.mjs';
import { Hand } from './hand.mjs';

const RIDERS = 12;

// The day is filled in seconds, which no office and no families do.
for (const kind of ['PAGE', 'REGISTER', 'SIGN_IN']) {
  for (const number of ['PER_MINUTE', 'BURST']) process.env[`WAYMARK_RATES_${kind}_${number}`] = '1000000';
}

/** What one story leaves for the next. */
const morning = {};

export const stories = [
  { name: 'twelve children are registered for a session of today', tell: fill },
  { name: 'day_7 the lead signs the list, the team comes onto the area, twelve are checked in', tell: open },
  { name: 'day_3 the plan gives each of twelve a machine in one press', tell: assign },
  { name: 'day_4 gear is looked over, one child gets a helmet of the program', tell: dress },
  { name: 'day_2 twelve fit checks, and every machine is looked over', tell: fit },
  { name: 'day_6 two groups, and heads are counted', tell: count },
  { name: 'day_7 wind stops riding and a new number lifts it; only the lead lifts what the lead stopped', tell: weather },
  { name: 'day_6 all ride out, every page says so, and all are counted in again', tell: trail },
  { name: 'day_1 a machine breaks under a rider, who goes on with another', tell: breaks },
  { name: 'day_9 a near miss is kept by three taps', tell: nearly },
  { name: 'day_9 a fall: report, machine and helmet kept as they are', tell: happens },
  { name: 'day_7 thunder stops everybody, and the wait survives a new page', tell: thunder },
  { name: 'day_6 everybody goes home', tell: leave },
];

const lead = () => morning.lead;

/** Opens a page of the session. */
const at = (below = '') => lead().opens(`${morning.roster}${below}`);

/** The links of the children, as the roster has them. */
async function children() {
  await at();
  return lead().page.locator('.roll .rider a').evaluateAll((all) => all.map((one) => ({ name: one.innerText.trim(), href: one.getAttribute('href') })));
}

const given = ({ name }) => name.split(' ')[0];

function must(holds, otherwise) {
  if (!holds) throw new Error(otherwise);
}

async function fill(house) {
  morning.roster = await fullDay(house, RIDERS);
  morning.lead = await leadOfTheDay(house, 'lead', { touch: true });
  await lead().opens('/my-sessions');
  await lead().sees(/Broad Bench/);
  morning.children = await children();
  must(morning.children.length === RIDERS, `${morning.children.length} children`);
  await lead().looks('morning-roster');
}

async function open() {
  await at('/day-list');
  for (const right of await lead().page.locator('label.mark:has(input[value=right])').all()) await right.click();
  await lead().ticks(/I read this plan aloud/);
  await lead().presses('Sign the list and the plan');
  await lead().sees('Signed. Riding may begin');
  await lead().looks('morning-list');
  await at('/area');
  const comes = lead().page.locator('button[name=on][value=yes]');
  while (await comes.count()) {
    await comes.first().click();
    await lead().settles();
  }
  await at('/roll-call');
  await lead().looks('morning-roll-call');
  await lead().presses(`All ${RIDERS} are here`);
  await lead().sees(`${RIDERS} riders checked in`);
}

async function assign() {
  await at('/assignment');
  await lead().sees(`${RIDERS} of ${RIDERS}`);
  await lead().looks('morning-assignment');
  await lead().presses('Take this plan');
  await at('/assignment');
  must((await lead().page.getByRole('button', { name: 'Take this plan' }).count()) === 0, 'the plan still changes something');
}

async function dress() {
  const [borrower] = morning.children;
  for (const child of morning.children) {
    await lead().opens(child.href);
    await lead().presses(`I have seen ${given(child)}'s proof`);
    await lead().presses('All six pieces are on');
    if (child === borrower) {
      await lead().page.locator('#measures ~ details summary').click();
      await lead().types(/^Head, around/, '54 cm');
      await lead().presses('Save the measures');
      must((await lead().page.getByRole('button', { name: 'Lend for the day' }).count()) === 1, 'one size holds this head');
      await lead().page.getByRole('button', { name: 'Lend for the day' }).first().click();
      await lead().settles();
      await lead().presses(/^The helmet of lot .* is right$/);
      await lead().looks('morning-rider');
    } else {
      await lead().presses(`${given(child)}’s own helmet is right`);
    }
  }
}

async function fit() {
  for (const [place, child] of morning.children.entries()) {
    await lead().opens(`${child.href}/fit`);
    if (place === 0) await lead().looks('morning-fit-choose');
    const planned = lead().page.getByRole('listitem').filter({ hasText: 'Planned.' });
    await planned.getByRole('link', { name: /^Try / }).click();
    for (const met of await lead().page.locator('label.mark:has(input[value=met])').all()) await met.click();
    await lead().presses(`Save ${given(child)}'s fit check`);
    await lead().sees('may start');
    child.machine = new URL(lead().page.url()).pathname.split('/').at(-1);
    if (place === 0) await lead().looks('morning-fit');
  }
  must(new Set(morning.children.map(({ machine }) => machine)).size === RIDERS, 'two children start on one machine');
  for (const child of morning.children) await looksOver(child.machine);
  await at('/machines');
  await lead().looks('morning-machines');
  await at();
  await lead().looks('morning-ready');
}

async function looksOver(machine) {
  await at('/machines');
  await lead().page.getByRole('link', { name: new RegExp(`machine ${machine}$`) }).click();
  await lead().presses('I looked it over');
  await lead().sees('Looked over at');
}

async function count() {
  await at('/groups');
  for (const child of morning.children) {
    const group = lead().page.getByRole('form', { name: `Group of ${child.name}` });
    await group.locator('button').nth(morning.children.indexOf(child) % 2).click();
    await lead().settles();
  }
  await lead().looks('morning-groups');
  await at('/counts');
  for (const heads of await lead().page.getByRole('form', { name: /^Count: / }).all()) {
    if (await heads.locator('input[name=counted][value="0"]').count()) continue;
    await heads.getByRole('button', { name: / here$/ }).click();
    await lead().settles();
  }
  await lead().sees(`${RIDERS} of ${RIDERS}`);
  await lead().looks('morning-counts');
}

/** Whether one child gets a mark of a riding lesson now. */
async function rides(child, does) {
  await at('/lessons/6');
  const form = lead().page.getByRole('form', { name: `Mark for ${child.name}` });
  const press = async () => {
    await form.getByRole('button', { name: 'Meets' }).click();
    await lead().settles();
  };
  if (does) return press();
  await lead().expecting(422, press);
  return lead().sees(/^Nobody rides/);
}

async function weather() {
  const [first] = morning.children;
  // What comes before riding is met first, so that only the weather stands in the way.
  for (const lesson of [1, 2, 3, 4, 5]) {
    await at(`/lessons/${lesson}?check=all`);
    const asks = await lead().page.getByText(`Heads were not counted after lesson ${lesson - 1}.`).count();
    must(Boolean(asks) === lesson > 1, `heads asked for before lesson ${lesson}: ${asks}`);
    if (lesson === 2) await lead().looks('morning-lesson-change');
    for (const meets of await lead().page.locator('.marking').getByRole('button', { name: 'Meets' }).all()) {
      await meets.click();
      await lead().settles();
    }
  }
  await at('/weather');
  await lead().types('Gusts, mph', '45');
  await lead().presses('Save the numbers');
  await lead().sees(/Nobody rides/);
  await lead().looks('morning-wind');
  await rides(first, false);
  await lead().looks('morning-stopped');
  await at('/weather');
  await lead().types('Gusts, mph', '12');
  await lead().presses('Save the numbers');
  await lead().types('Why riding stops', 'Standing water at the gate');
  await lead().presses('Nobody rides for now');
  await lead().sees('Standing water at the gate');
  await rides(first, false);
  await at('/weather');
  await lead().presses('Lift my stop');
  await rides(first, true);
}

async function trail() {
  const [alarms, page] = [lead().page.locator('#alarms'), lead().page];
  await at('/counts');
  await lead().presses(`All ${RIDERS} are going out`);
  await at();
  await alarms.getByText(`${RIDERS} riders out on the trail`).waitFor({ state: 'visible' });
  await lead().looks('morning-trail');
  await alarms.getByRole('link', { name: 'Count them in' }).click();
  await page.waitForURL(/counts$/);
  await lead().presses(`All ${RIDERS} are in from the trail`);
  await at();
  must((await alarms.getByText('out on the trail').count()) === 0, 'the group still shows as out');
}

async function breaks() {
  const [, child] = morning.children;
  const old = child.machine;
  await at('/machines');
  await lead().page.getByRole('link', { name: new RegExp(`machine ${old}$`) }).click();
  await lead().types('What is wrong', 'Front brake does not hold');
  await lead().presses('Take it out of use');
  await lead().sees('Front brake does not hold');
  await lead().looks('morning-defect');
  await at();
  await lead().looks('morning-parked');
  await at('/assignment');
  await lead().presses('Take this plan');
  await lead().opens(`${child.href}/fit`);
  await lead().page.getByRole('listitem').filter({ hasText: 'Planned.' }).getByRole('link', { name: /^Try / }).click();
  for (const met of await lead().page.locator('label.mark:has(input[value=met])').all()) await met.click();
  await lead().presses(`Save ${given(child)}'s fit check`);
  await lead().sees('may start');
  child.machine = new URL(lead().page.url()).pathname.split('/').at(-1);
  must(child.machine !== old, 'the child starts on the broken machine');
  await looksOver(child.machine);
}

async function nearly() {
  await at();
  const hand = new Hand(lead());
  await hand.touches(lead().page.getByRole('link', { name: 'Near miss or incident' }));
  await lead().page.waitForURL(/incidents$/);
  await lead().settles();
  const press = lead().page.getByRole('form', { name: 'It nearly happened' }).locator('button').first();
  const words = (await press.innerText()).trim();
  await hand.touches(press);
  await lead().settles();
  await lead().page.locator('.kept').getByText(words).first().waitFor({ state: 'visible' });
  must(hand.taps <= 3, `${hand.taps} taps`);
  await lead().looks('morning-incidents');
}

async function happens() {
  const [child] = morning.children;
  await at('/incidents');
  await lead().expecting(422, () => lead().presses('Open the report'));
  await lead().looks('morning-incident-errors');
  await lead().page.locator('label[for^=kind]').first().click();
  await lead().picks(/^Which rider/, new RegExp(`^${child.name}`));
  await lead().types('What happened', 'The machine tipped to the left in the turn. The rider stepped off and stood.');
  await lead().picks(/^Which machine/, new RegExp(child.machine));
  await lead().ticks('The helmet took a blow');
  await lead().presses('Open the report');
  await lead().sees('being written');
  await lead().looks('morning-incident-kept');
  await lead().follows(/^Report /);
  await lead().looks('morning-report');
  await at('/machines');
  const parked = lead().page.getByRole('listitem').filter({ hasText: `No. ${child.machine},` });
  await parked.getByText(/Out of use/).first().waitFor({ state: 'visible' });
  await lead().opens(child.href);
  await lead().doesNotSee('Helmet checked, right');
}

async function thunder() {
  await at('/weather');
  await lead().presses('I heard thunder or saw a flash');
  await at('/weather');
  await lead().sees(/(29|30) minutes to go/);
  await lead().looks('morning-thunder');
  await rides(morning.children[2], false);
}

async function leave() {
  for (const child of morning.children) {
    await lead().opens(child.href);
    if (child === morning.children[0]) await lead().looks('morning-rider-leaves');
    await lead().page.getByRole('button', { name: / leaves with (?!this)/ }).first().click();
    await lead().settles();
  }
  await at();
  await lead().sees('0 not home');
  await lead().looks('morning-home');
  await at('/close');
  await lead().looks('morning-close');
}
