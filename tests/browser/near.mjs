// A family looks for a session near home: by where the device is, by a device that does not tell, and without scripts; on
// the list and on the map. What each page weighs is counted as it comes over the wire.

/** Bars of a public page: HTML and styles, everything, and how many requests. */
const FIRST_BYTES = 30_000;
const ALL_BYTES = 100_000;
const REQUESTS = 10;

/** A place in the south of Park County, Montana, and what the pages say in each language. */
const HERE = { latitude: 45.03, longitude: -110.7 };
const WORDS = {
  en: { locale: 'en-US', use: 'Use where I am', stays: /never leaves this device/, chosen: /We chose Park County/, refused: /does not tell where you are/, unknown: /could not be found/, show: 'Show sessions', away: /About \d+ miles away/, from: /middle of Park County/, map: 'Map', table: 'By county' },
  es: { locale: 'es-US', use: 'Usar donde estoy', stays: /nunca sale de este aparato/, chosen: /Elegimos el condado de Park/, refused: /no dice dónde está usted/, unknown: /No se pudo saber/, show: 'Mostrar sesiones', away: /A unas \d+ millas/, from: /centro del condado de Park/, map: 'Mapa', table: 'Por condado' },
};

export const stories = [
  ...['en', 'es'].map((lang) => ({ name: `family_1: the device picks the county and nobody hears where it is, in ${lang}`, tell: (house) => told(house, lang) })),
  ...['en', 'es'].map((lang) => ({ name: `family_1: a device that does not tell, or cannot, in ${lang}`, tell: (house) => untold(house, lang) })),
  { name: 'family_1: a county, a reach and the map without scripts', tell: bare },
  { name: 'family_1: the map by keyboard, and its counties on a desk and on a phone', tell: byKeyboard },
  { name: 'u29: list and map come in few bytes and requests', tell: weighed },
];

async function told(house, lang) {
  const words = WORDS[lang];
  const parent = await house.person(`parent-${lang}`, { locale: words.locale });
  await parent.context.grantPermissions(['geolocation'], { origin: house.service.origin });
  await parent.context.setGeolocation(HERE);
  const asked = [];
  parent.page.on('request', (request) => asked.push(`${request.url()} ${request.postData() ?? ''}`));
  await parent.opens('/sessions');
  await parent.sees(words.stays);
  const before = asked.length;
  await parent.presses(words.use);
  await parent.sees(words.chosen);
  if (asked.length !== before) throw new Error(`the press asked for ${asked.slice(before)}`);
  const value = await parent.page.locator('#near').inputValue();
  if (value !== '30067') throw new Error(`${value} was chosen`);
  await parent.looks(`near-chosen-${lang}`);
  await parent.presses(words.show);
  await parent.sees(words.away);
  await parent.sees(words.from);
  // Neither the address nor any request carries the position, whole or in part.
  for (const request of asked) if (/45\.0|110\.7/.test(request)) throw new Error(`the position went out: ${request}`);
  if (!parent.page.url().includes('near=30067')) throw new Error(parent.page.url());
  await parent.looks(`near-list-${lang}`);
  await parent.follows(words.map);
  await parent.sees(words.table);
  await parent.looks(`near-map-${lang}`);
}

async function untold(house, lang) {
  const words = WORDS[lang];
  const parent = await house.person(`quiet-${lang}`, { locale: words.locale });
  await parent.opens('/sessions');
  await parent.page.locator('#near').selectOption('30111');
  await parent.presses(words.use);
  await parent.sees(words.refused);
  if ((await parent.page.locator('#near').inputValue()) !== '30111') throw new Error('the choice was lost');
  await parent.looks(`near-refused-${lang}`);
  // A device that may tell and finds nothing.
  await parent.context.grantPermissions(['geolocation'], { origin: house.service.origin });
  await parent.context.setGeolocation(null);
  await parent.opens('/sessions');
  await parent.presses(words.use);
  await parent.sees(words.unknown);
  if (await parent.page.locator('[aria-disabled]').count()) throw new Error('the button stays pressed');
}

async function bare(house) {
  const parent = await house.person('bare', { script: false });
  await parent.opens('/sessions');
  await parent.doesNotSee('Use where I am');
  if (await parent.page.locator('form.find button').count() !== 1) throw new Error('there is a button that does nothing');
  await parent.picks('Near this county', 'Park');
  await parent.picks('Within', '100 miles');
  await parent.presses('Show sessions');
  await parent.sees(/About \d+ miles away/);
  await parent.follows('Map');
  await parent.seesHeading(/sessions?,/);
  const heading = await parent.reads('heading', /sessions?,/);
  await parent.looks('near-bare-map');
  await parent.follows('List');
  await parent.seesHeading(heading);
}

async function byKeyboard(house) {
  const parent = await house.person('keyboard', { width: 1280 });
  await parent.opens('/sessions?near=30067&view=map');
  const ways = parent.page.locator('.find-map a');
  const count = await ways.count();
  if (count < 2) throw new Error(`${count} counties`);
  await parent.page.getByRole('link', { name: 'Map', exact: true }).focus();
  for (let number = 0; number < count; number += 1) {
    await parent.page.keyboard.press('Tab');
    const [name, wide] = await parent.page.evaluate(() => [document.activeElement.getAttribute('aria-label'), getComputedStyle(document.activeElement.querySelector('path')).strokeWidth]);
    if (name !== (await ways.nth(number).getAttribute('aria-label')) || !/: \d+ sessions?, \d+ seats? free$/.test(name)) throw new Error(`${name} has the focus`);
    if (parseFloat(wide) < 5) throw new Error(`${name} does not show the focus`);
  }
  await parent.page.keyboard.press('Enter');
  await parent.page.waitForURL(/county=\d{5}/);
  // A touch on a county of the map leads to its sessions too.
  await parent.page.setViewportSize({ width: 390, height: 844 });
  await parent.opens('/sessions?view=map');
  const first = parent.page.locator('.find-map a').first();
  await first.scrollIntoViewIfNeeded();
  const [name, box] = [await first.getAttribute('aria-label'), await first.locator('circle').boundingBox()];
  await parent.page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await parent.page.waitForURL(/county=\d{5}/);
  await parent.sees(`${name.split(':')[0]} County`);
}

async function weighed(house) {
  for (const path of ['/sessions', '/sessions?near=30067&sort=distance', '/sessions?view=map', '/sessions?near=30067&view=map']) {
    const parent = await house.person('scales');
    const session = await parent.context.newCDPSession(parent.page);
    await session.send('Network.enable');
    const kinds = new Map();
    const bytes = { first: 0, all: 0 };
    session.on('Network.responseReceived', ({ requestId, type }) => kinds.set(requestId, type));
    session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
      bytes.all += encodedDataLength;
      if (['Document', 'Stylesheet'].includes(kinds.get(requestId))) bytes.first += encodedDataLength;
    });
    await parent.page.goto(path, { waitUntil: 'networkidle' });
    console.log(`       ${path}: ${bytes.first} bytes of HTML and styles, ${bytes.all} in all, ${kinds.size} requests`);
    if (bytes.first > FIRST_BYTES || bytes.all > ALL_BYTES || kinds.size > REQUESTS) throw new Error(`${path} is too heavy`);
  }
}
