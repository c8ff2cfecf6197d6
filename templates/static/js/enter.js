// For somebody who types one form after the other: Enter leads to the next answer, and sends from the last. A letter
// chooses among a few answers, and questions that do not apply are put away. Without this, Tab and the arrows do it all.
const form = document.querySelector('form[data-enter]');

/** Shows what applies, and puts away what does not. */
function sift() {
  for (const part of form.querySelectorAll('[data-only]')) {
    const [name, value] = part.dataset.only.split('=');
    part.hidden = form.elements[name].value !== value;
  }
}

/** The answers in order; of a group of radio buttons the one that Tab would reach. */
function stops() {
  const all = [...form.querySelectorAll('input:not([type="hidden"]), select, button[type="submit"]')];
  const isStop = (field) => {
    if (field.type !== 'radio') return true;
    const group = [...form.elements[field.name]];
    return field === (group.find((other) => other.checked) ?? group[0]);
  };
  return all.filter((field) => !field.closest('[hidden]') && isStop(field));
}

/** Whether this field stands for the group of another. */
const isAt = (stop, field) => stop === field || (field.type === 'radio' && stop.name === field.name);

function choose(field, letter) {
  const begins = (radio) => radio.labels[0].textContent.trim().toLowerCase().startsWith(letter);
  const found = [...form.elements[field.name]].find(begins);
  if (!found) return;
  found.checked = true;
  found.focus();
  sift();
}

if (form) {
  sift();
  form.addEventListener('change', sift);
  form.addEventListener('keydown', (event) => {
    const field = event.target;
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    if (event.key === 'Enter' && field.type !== 'submit') {
      event.preventDefault();
      const all = stops();
      all[all.findIndex((stop) => isAt(stop, field)) + 1]?.focus();
    } else if (field.type === 'radio' && event.key.length === 1 && event.key !== ' ') {
      choose(field, event.key.toLowerCase());
    }
  });
}
