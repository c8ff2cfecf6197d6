// Keeps the number on the button "All are here" true while answers are pressed. Without it the program asks once more
// before it checks anybody in by another number than the button said.
document.addEventListener('change', (event) => {
  if (!event.target.matches('[name^="answer_"]')) return;
  const button = document.querySelector('#all');
  if (!button) return;
  const missing = document.querySelectorAll('[value="not_here"]:checked').length;
  const left = Number(button.dataset.of) - missing;
  button.value = String(left);
  button.textContent = missing ? `All but ${missing} are here: check in ${left}` : `All ${left} are here`;
});
