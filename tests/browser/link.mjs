// Reads the links that come by mail.

import { setTimeout as pause } from 'node:timers/promises';

/** The way of the newest link to sign in that a letter to an address carries, once the service has written it. */
export const linkTo = (house, address) => wayIn(house, address, /\/links\/[A-Za-z0-9_-]+/);

/** The way of the newest question that a letter to an address asks. */
export const questionTo = (house, address) => wayIn(house, address, /\/answers\/[A-Za-z0-9_-]+\?lang=[a-z]+/);

async function wayIn(house, address, pattern) {
  const until = Date.now() + 30_000;
  while (Date.now() < until) {
    const own = (await house.service.letters()).filter(({ to }) => to.includes(address));
    const ways = own.map(({ text }) => pattern.exec(text)?.[0]).filter(Boolean);
    if (ways.length) return ways.at(-1);
    await pause(100);
  }
  throw new Error(`no letter with a link to ${address}`);
}
