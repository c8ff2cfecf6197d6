// Keeps the screen on while a field page is in sight, so that a gloved hand need not unlock the phone for each child.
// A device that cannot, or that saves its battery, goes dark as always; nothing else depends on it.
let lock;

async function stay() {
  if (document.visibilityState !== 'visible' || (lock && !lock.released)) return;
  try {
    lock = await navigator.wakeLock?.request('screen');
  } catch {
    lock = undefined;
  }
}

// The device takes the lock back when the page is out of sight; it is asked for again when the page returns.
document.addEventListener('visibilitychange', stay);
stay();
