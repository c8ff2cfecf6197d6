// Offers to choose the county by where the device is. The position is compared here with the positions of the counties
// that came with the page; it is kept nowhere and sent nowhere. Without this, the county is chosen from the list.
const list = document.querySelector('#near');
const offer = document.querySelector('#here');
const LIMITS = { enableHighAccuracy: false, maximumAge: 600_000, timeout: 15_000 };

/** Grows with the distance between two positions in degrees: the haversine of the angle between them. */
function apart([north, east], [otherNorth, otherEast]) {
  const radians = (degrees) => (degrees * Math.PI) / 180;
  const half = (degrees) => Math.sin(radians(degrees) / 2) ** 2;
  return half(otherNorth - north) + Math.cos(radians(north)) * Math.cos(radians(otherNorth)) * half(otherEast - east);
}

/** The county whose middle is nearest. */
function nearest({ latitude, longitude }) {
  const away = (option) => apart([latitude, longitude], option.dataset.at.split(',').map(Number));
  const counties = [...list.querySelectorAll('option[data-at]')];
  return counties.reduce((best, option) => (away(option) < away(best) ? option : best));
}

// A page that came over a bare connection is not told a position, and an empty list has nothing to choose.
if (list?.querySelector('[data-at]') && offer && 'geolocation' in navigator && isSecureContext) {
  const parts = offer.content.cloneNode(true);
  const button = parts.querySelector('button');
  const status = parts.querySelector('[role="status"]');
  const say = (key, county = '') => (status.textContent = status.dataset[key].replace('{}', county));
  let isLooking = false;
  const end = (key, county) => {
    isLooking = false;
    button.removeAttribute('aria-disabled');
    say(key, county);
  };
  button.addEventListener('click', () => {
    if (isLooking) return;
    isLooking = true;
    button.setAttribute('aria-disabled', 'true');
    say('looking');
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        const county = nearest(coords);
        list.value = county.value;
        end('chosen', county.text);
      },
      ({ code, PERMISSION_DENIED }) => end(code === PERMISSION_DENIED ? 'refused' : 'unknown'),
      LIMITS,
    );
  });
  offer.replaceWith(parts);
}
