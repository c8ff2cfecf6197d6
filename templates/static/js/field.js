// Sends the acts of a field page by fetch and brings the page up to date in place, one act after the other.
// Every form works without it: then the same page comes back at the same rider.

const SENDING_MS = 20_000;
const bar = () => document.querySelector('#just-done');
const waiting = new Set();
let chain = Promise.resolve();

document.addEventListener('submit', (event) => {
  const form = event.target;
  const button = event.submitter;
  if (form.method !== 'post' || !form.action.endsWith('/acts')) return;
  event.preventDefault();
  if (waiting.has(form)) return;
  waiting.add(form);
  button?.setAttribute('aria-disabled', 'true');
  const body = new URLSearchParams(new FormData(form, button));
  document.documentElement.dataset.sending = 'yes';
  chain = chain.then(() => send(form, button, body)).then(rest);
});

// A way to another page waits until everything pressed before it was sent.
document.addEventListener('click', (event) => {
  const link = event.target.closest('a[href]');
  if (!waiting.size || !link || event.defaultPrevented || link.hash && link.pathname === location.pathname) return;
  if (event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  event.preventDefault();
  chain.then(() => location.assign(link.href));
});

// Leaving otherwise, with something pressed and not sent, is asked about by the browser.
addEventListener('beforeunload', (event) => {
  if (waiting.size) event.preventDefault();
});

function rest() {
  if (!waiting.size) delete document.documentElement.dataset.sending;
}

async function send(form, button, body) {
  try {
    const answer = await fetch(form.action, { method: 'POST', body, signal: AbortSignal.timeout(SENDING_MS) });
    const isForm = answer.status === 422;
    const text = await answer.text();
    // It was answered, so that nothing holds the page back from being left.
    waiting.delete(form);
    if (!answer.ok && !isForm) return void location.reload();
    const page = new DOMParser().parseFromString(text, 'text/html');
    if (new URL(answer.url).pathname !== location.pathname && !isForm) return location.assign(answer.url);
    if (isForm || !document.querySelector('.roll, .marking, .choose')) whole(page, isForm);
    else renew(page, button);
  } catch {
    // The form keeps its one-time id, so that pressing again is still one act.
    waiting.delete(form);
    button?.removeAttribute('aria-disabled');
    unsent();
  }
}

/** All of the page where it stands; errors get the focus, else the part that was pressed keeps it. */
function whole(page, isForm) {
  const near = document.activeElement?.closest('section')?.getAttribute('aria-labelledby');
  document.title = page.title;
  for (const part of ['#alarms', 'main', '.field-bar']) document.querySelector(part)?.replaceWith(page.querySelector(part) ?? '');
  const heading = near && document.getElementById(near);
  if (isForm) document.querySelector('.errors')?.focus();
  else if (heading) Object.assign(heading, { tabIndex: -1 }).focus({ preventScroll: true });
  counting();
}

/** Puts each part with an id in the place of its older self. Riders whose own act is still on its way keep theirs. */
function renew(page, button) {
  const [row, words] = [button?.closest('[id]')?.id, button?.textContent];
  const open = [...document.querySelectorAll('details[id][open]')].map((one) => one.id);
  for (const fresh of page.querySelectorAll(PARTS)) {
    const old = document.getElementById(fresh.id);
    if (old && ![...waiting].some((form) => old.contains(form)) && !isSame(old, fresh)) old.replaceWith(fresh);
  }
  const bars = [document.querySelector('.bar-row > .button'), page.querySelector('.bar-row > .button')];
  if (bars[0] && bars[1]) bars[0].replaceWith(bars[1]);
  for (const id of open) document.getElementById(id)?.setAttribute('open', '');
  if (document.activeElement === document.body) focusOn(row, words);
  counting();
}

/** The same but for the one-time values of its forms: it stays, so that a finger that is coming down finds what it aimed at. */
const isSame = (old, fresh) => [old, fresh].map((part) => part.outerHTML.replace(/name="(act_id|form_token)" value="[^"]*"/g, '')).every((html, _, [first]) => html === first);

const PARTS = '#alarms, .riders > li[id], #group-sizes, #just-done > form, #just-done, #counts, #ratio, #guard, #uncounted, #marked, #checks, #all, #last-count, #expected, #all-here';

/** The thumb stays where it was: on the same button, else on the rider. */
function focusOn(row, words) {
  const place = row && document.getElementById(row);
  if (!place) return;
  const same = [...place.querySelectorAll('button')].find((button) => button.textContent === words);
  (same ?? place.querySelector('a, button'))?.focus({ preventScroll: true });
}

function unsent() {
  const said = document.createElement('p');
  said.className = 'unsent';
  said.textContent = 'Not sent: no answer from the server. Nothing was entered. Press again.';
  bar()?.replaceChildren(said);
}

/** The undo leaves after its seconds. A reader who stands on it keeps it a little; the server decides then. */
let clock;
function counting() {
  clearInterval(clock);
  const undo = bar()?.querySelector('.undo');
  if (!undo) return;
  const until = Date.now() + Number(undo.dataset.left) * 1000;
  const button = undo.querySelector('.button');
  const left = button && document.createElement('span');
  left?.setAttribute('aria-hidden', 'true');
  button?.firstChild.after(left);
  const tick = () => {
    const seconds = Math.ceil((until - Date.now()) / 1000);
    if (left) left.textContent = seconds > 0 ? `${seconds} s` : '';
    if (seconds > 0 || (undo.contains(document.activeElement) && seconds > -10)) return;
    clearInterval(clock);
    if (undo.contains(document.activeElement)) document.querySelector('.riders a, main a')?.focus({ preventScroll: true });
    bar().replaceChildren(Object.assign(document.createElement('span'), { className: 'vh', textContent: button ? 'Undo is over.' : '' }));
  };
  clock = setInterval(tick, 250);
  tick();
}

/** The counts stand open when the roster is opened first, and fold once they were read. */
function unfold() {
  const fold = document.querySelector('#counts');
  const key = `counts read ${location.pathname.split('/')[2]}`;
  if (!fold || sessionStorage.getItem(key)) return;
  sessionStorage.setItem(key, 'yes');
  fold.open = true;
  const close = () => document.querySelector('#counts')?.removeAttribute('open');
  for (const read of ['scroll', 'submit']) addEventListener(read, close, { once: true });
}

unfold();
counting();
