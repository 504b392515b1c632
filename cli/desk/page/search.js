// search: names found in spite of accents, case, order of words and a slip of the finger.

/** Lower case, without accents; ß and the like as they are written without them. */
export const fold = text => text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().replaceAll('ß', 'ss').replaceAll('ø', 'o').replaceAll('ł', 'l').replaceAll('æ', 'ae').trim();

/** Edits from a to b, at most `most` (Levenshtein 1966, with swapped neighbours as one). */
function edits(a, b, most) {
  let before = [], last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const line = [i];
    for (let j = 1; j <= b.length; j++) {
      line[j] = Math.min(last[j] + 1, line[j - 1] + 1, last[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) line[j] = Math.min(line[j], before[j - 2] + 1);
    }
    if (Math.min(...line) > most) return most + 1;
    [before, last] = [last, line];
  }
  return last[b.length];
}

// How well one typed word fits one word of a name: 0 begins it, 1 inside, 2 with a slip; null not at all.
function fit(typed, word) {
  if (word.startsWith(typed)) return 0;
  if (word.includes(typed)) return 1;
  const most = typed.length < 4 ? 0 : typed.length < 7 ? 1 : 2;
  return most && edits(typed, word.slice(0, typed.length + most), most) <= most || most && edits(typed, word, most) <= most ? 2 : null;
}

/** Items whose name fits every typed word, the best first; all of them when nothing is typed. */
export function find(items, typed, nameOf = item => item.name) {
  const words = fold(typed).split(/\s+/).filter(Boolean);
  const ranked = items.map(item => {
    const own = fold(nameOf(item)).split(/\s+/);
    const fits = words.map(word => Math.min(...own.map(o => fit(word, o) ?? 9)));
    return { item, worst: Math.max(0, ...fits) };
  });
  return ranked.filter(r => r.worst < 9).sort((a, b) => a.worst - b.worst).map(r => r.item);
}

/** The one item that is called so, whatever accents and case. */
export const exact = (items, typed, nameOf = item => item.name) => items.find(item => fold(nameOf(item)) === fold(typed)) ?? null;
