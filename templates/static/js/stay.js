// Says two minutes before a sign-in ends for want of use, and offers to stay; what was typed stays where it is. A page that
// is opened in another tab is use too, so tabs tell each other. Opening any page keeps a sign-in; the lightest does here.
const box = document.querySelector('[data-idle-minutes]');
const MINUTE = 60_000;
const WARNING = 2 * MINUTE;
const tabs = new BroadcastChannel('sign-in-used');
let used = Date.now();

function look() {
  const left = used + Number(box.dataset.idleMinutes) * MINUTE - Date.now();
  const [soon, over] = box.children;
  const isNews = box.hidden && left <= WARNING;
  box.hidden = left > WARNING;
  soon.hidden = left <= 0;
  over.hidden = left > 0;
  // What one is typing in stays in sight above it.
  if (isNews && document.activeElement !== document.body) document.activeElement.scrollIntoView({ block: 'nearest' });
}

function use() {
  used = Date.now();
  look();
}

async function stay() {
  const answer = await fetch('/account', { method: 'HEAD', redirect: 'manual', cache: 'no-store' }).catch(() => undefined);
  if (!answer?.ok) return;
  use();
  tabs.postMessage('used');
}

if (box) {
  box.querySelector('button').addEventListener('click', stay);
  tabs.addEventListener('message', use);
  tabs.postMessage('used');
  // A device that slept finds the truth when it wakes.
  document.addEventListener('visibilitychange', look);
  setInterval(look, 10_000);
  look();
}
