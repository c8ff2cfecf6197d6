// Moves through the table of marks: arrows in four directions, Enter down and then to the next column, a letter sets the
// mark, Escape brings back what stood in the cell. The table is a plain form of lists without this.
const table = document.querySelector('#entry');
const save = document.querySelector('form [type="submit"].main');
const rows = [...(table?.tBodies[0]?.rows ?? [])].map((row) => [...row.querySelectorAll('select')]);
const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], Enter: [1, 0] };
const words = save?.textContent;

/** What the cell showed when the page came: its name ends with it. */
const shown = (cell) => cell.name.split('.').at(-1);
const changed = () => rows.flat().filter((cell) => cell.value !== shown(cell));

function put(cell, value) {
  cell.value = value;
  tell();
}

/** Cells that differ are seen, and the button says how many it saves. */
function tell() {
  const cells = changed();
  for (const cell of rows.flat()) cell.classList.toggle('changed', cells.includes(cell));
  save.textContent = cells.length ? `${words}: ${cells.length} changed` : words;
}

function move(cell, [down, right], isEnter) {
  const row = rows.findIndex((cells) => cells.includes(cell));
  const column = rows[row].indexOf(cell);
  let next = rows[row + down]?.[column + right];
  if (!next && isEnter) next = rows[0][column + 1] ?? save;
  next?.focus();
}

table?.addEventListener('keydown', (event) => {
  const cell = event.target;
  if (event.altKey || event.ctrlKey || event.metaKey || !cell.matches('select')) return;
  const letter = [...cell.options].find((option) => option.text.toLowerCase() === event.key.toLowerCase());
  if (STEPS[event.key]) move(cell, STEPS[event.key], event.key === 'Enter');
  else if (event.key === 'Escape') put(cell, shown(cell));
  else if (letter) put(cell, letter.value);
  else if (['-', 'Delete', 'Backspace'].includes(event.key)) put(cell, cell.options[0].value);
  else return;
  event.preventDefault();
});
table?.addEventListener('change', tell);

// What was typed and not saved is not lost by a slip: the browser asks first.
let isSaving = false;
document.addEventListener('submit', () => (isSaving = true));
addEventListener('pageshow', () => (isSaving = false));
addEventListener('beforeunload', (event) => {
  if (!isSaving && changed().length) event.preventDefault();
});

if (save) tell();
const first = document.querySelector('.errors') ? undefined : rows[0]?.[0];
first?.focus({ preventScroll: true });
