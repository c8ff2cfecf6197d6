// Moves through the table of marks: arrows in four directions, Enter down and then to the next column.
// Letters choose a mark by the list itself, and the table is a plain form without this.
const table = document.querySelector('#entry');
const rows = [...(table?.tBodies[0]?.rows ?? [])].map((row) => [...row.querySelectorAll('select')]);
const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], Enter: [1, 0] };

table?.addEventListener('keydown', (event) => {
  const step = STEPS[event.key];
  if (!step || event.altKey || event.ctrlKey || event.metaKey || !event.target.matches('select')) return;
  const row = rows.findIndex((cells) => cells.includes(event.target));
  const column = rows[row].indexOf(event.target);
  let next = rows[row + step[0]]?.[column + step[1]];
  if (!next && event.key === 'Enter') next = rows[0][column + 1] ?? document.querySelector('form [type="submit"].main');
  event.preventDefault();
  next?.focus();
});

rows[0]?.[0]?.focus({ preventScroll: true });
