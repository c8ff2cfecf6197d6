// S37: a child whose name means something to HTML, addresses and scripts is registered in full, and every page that then
// holds the name is opened in the browser as the people who see it. Whatever the name does there is a fault: a dialog, a
// broken content policy, a script that fails, a request to another host.

import { Found, registerAsFarAsTheLastStep } from './find.mjs';

/** What stands in the page when the name is written as a name. */
const WRITTEN = /&lt;img src=x onerror=alert\(1\)&gt;|&#60;img src=x onerror=alert\(1\)&#62;/;

/** Registers the child and opens the pages; the faults, and how many pages were opened. */
export async function trap(house, routes, everybody) {
  const family = await house.person('family of the name', { locale: 'en-US' });
  const found = new Found(routes, 'public', family.context.request);
  await found.everything();
  const led = everybody.find(({ role }) => role === 'instructor').found.pages.get('/roster/{reference}') ?? [];
  const isLed = ({ address }) => led.some((roster) => roster.address.split('/')[2] === address.split('/')[2]);
  found.pages.set('/sessions/{reference}', (found.pages.get('/sessions/{reference}') ?? []).filter(isLed));
  const session = (await registerAsFarAsTheLastStep(family.context.request, found)).split('/')[2];
  const receipt = await sign(family.context.request, `/sessions/${session}/register/check`);
  const faults = [];
  let opened = 0;
  const walk = async (role, person, begin, within) => {
    const own = new Found(routes, role, person.context.request);
    own.queue = [...begin];
    await own.everything();
    for (const { address, html } of [...own.pages.values()].flat()) {
      if (!within.some((part) => address.startsWith(part)) || !WRITTEN.test(html)) continue;
      person.faults.length = 0;
      await person.opens(address);
      await person.page.waitForLoadState('networkidle');
      opened += 1;
      const made = await person.page.evaluate(() => document.querySelectorAll('img[onerror], [src="x"]').length);
      if (made) faults.push(`${address}: the name became ${made} elements`);
      faults.push(...person.faults.splice(0));
    }
  };
  await walk('guardian', family, [receipt, '/registrations', '/riders'], ['/regist', '/riders', '/sessions']);
  for (const role of ['instructor', 'coordinator']) {
    const { persons } = everybody.find((one) => one.role === role);
    await walk(role, persons.en, [`/roster/${session}`, `/season/${session}`], [`/roster/${session}`, `/season/${session}`]);
  }
  if (opened < 8) faults.push(`only ${opened} pages hold the name`);
  return { faults, opened };
}

/** Ticks every clause, signs as the adult and sends; the address of the receipt. */
async function sign(request, check) {
  const html = await (await request.get(check)).text();
  const form = [...html.matchAll(/<form[\s\S]*?<\/form>/g)].map(([all]) => all).find((one) => one.includes(`action="${check}"`));
  const answers = { signature: 'Ingrid Lindqvist' };
  for (const [tag] of form.matchAll(/<input[^>]*>/g)) {
    const name = / name="([^"]*)"/.exec(tag)?.[1];
    if (name && !(name in answers) && /type="(hidden|checkbox|radio)"/.test(tag)) answers[name] = / value="([^"]*)"/.exec(tag)?.[1] ?? 'on';
  }
  const answer = await request.post(check, { form: answers, headers: { 'sec-fetch-site': 'same-origin' }, maxRedirects: 0 });
  if (answer.status() !== 303) throw new Error(`not registered: ${answer.status()} ${(await answer.text()).match(/role="alert"[\s\S]*?<\/div>/)?.[0]}`);
  return answer.headers().location;
}
