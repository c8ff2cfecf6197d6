// Lets each posted form leave the page once. The server refuses a repeat by its own key;
// this only spares the reader the wait. Forms that a script answers itself are left alone.
const sent = new WeakSet();

document.addEventListener('submit', (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== 'post') return;
  if (sent.has(form)) {
    event.preventDefault();
    return;
  }
  sent.add(form);
  event.submitter?.setAttribute('aria-disabled', 'true');
});

// Back brings the page as it was, with its forms ready again.
addEventListener('pageshow', (event) => {
  if (!event.persisted) return;
  for (const form of document.forms) sent.delete(form);
  for (const button of document.querySelectorAll('button[aria-disabled="true"]')) button.removeAttribute('aria-disabled');
});
