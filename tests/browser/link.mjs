// Reads the links that come by mail.

import { setTimeout as pause } from 'node:timers/promises';

/** The way of the newest link in a letter to an address, once the service has written it. */
export async function linkTo(house, address) {
  const until = Date.now() + 10_000;
  while (Date.now() < until) {
    const own = (await house.service.letters()).filter(({ to }) => to.includes(address));
    const ways = own.map(({ text }) => /\/links\/[A-Za-z0-9_-]+/.exec(text)?.[0]).filter(Boolean);
    if (ways.length) return ways.at(-1);
    await pause(100);
  }
  throw new Error(`no letter with a link to ${address}`);
}
