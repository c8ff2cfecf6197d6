// Moves the reader to the error summary, where autofocus did not. Without it the page still works.
const summary = document.querySelector('.errors[tabindex="-1"]');
if (summary && !location.hash && document.activeElement !== summary) {
  summary.focus({ preventScroll: false });
}
