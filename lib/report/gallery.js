// Finds clients by what is typed, puts them in order. Works on what is in the page, asks nobody.
const list = document.querySelector('.gallery'), cards = [...list.children];
const sought = document.querySelector('#sought'), order = document.querySelector('#order'), found = document.querySelector('#found');
const of = document.querySelector('#of').textContent; // in the language of the page

// As the page has it: without case and marks; an umlaut may be typed as ae, oe, ue.
const plain = text => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/\u00df/g, 'ss').replace(/\s+/g, ' ').trim();
const vowels = text => text.replace(/([aou])e/g, '$1');

function find() {
  const words = plain(sought.value).split(' ');
  let count = 0;
  for (const card of cards) {
    const text = card.dataset.sought;
    card.hidden = !words.every(word => text.includes(word) || vowels(text).includes(vowels(word)));
    count += card.hidden ? 0 : 1;
  }
  found.textContent = sought.value.trim() ? `${count} ${of} ${cards.length}` : '';
}

// Days are compared as text; who has none comes last.
function sort() {
  const key = order.value, down = key === 'last' ? -1 : 1;
  const day = card => card.dataset[key] || (down < 0 ? '' : '9999');
  list.append(...(key ? [...cards].sort((a, b) => down * (day(a) < day(b) ? -1 : day(a) > day(b) ? 1 : 0)) : cards));
}

document.querySelector('.search').hidden = false;
document.querySelector('.search').addEventListener('submit', event => event.preventDefault());
sought.addEventListener('input', find);
order.addEventListener('change', sort);
document.addEventListener('keydown', event => {
  if (event.key === '/' && document.activeElement !== sought) { event.preventDefault(); sought.focus(); }
  if (event.key === 'Escape' && sought.value) { sought.value = ''; find(); }
});
