// Moves the reader to the error summary, or to the word that something was changed meanwhile, where autofocus did not.
// Without it the page still works.
const summary = document.querySelector('[role="alert"][tabindex="-1"]');
if (summary && !location.hash && document.activeElement !== summary) {
  summary.focus({ preventScroll: false });
}
