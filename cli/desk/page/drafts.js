// drafts: the marks of photos that are not saved yet, so that they outlive a desk that was ended: kept in this browser under the photo's
// digest, without the photo and without a name.

const KEY = 'weftmatch.marks', MOST = 12;

function read() {
  try { return JSON.parse(localStorage.getItem(KEY)) ?? []; } catch { return []; } // somebody else's text
}

const others = sha256 => read().filter(draft => draft.sha256 !== sha256);

/** {zones: the text of a zones file, wishes}, or null. */
export const draftOf = sha256 => read().find(draft => draft.sha256 === sha256) ?? null;

export const keepDraft = (sha256, zones, wishes) => localStorage.setItem(KEY, JSON.stringify([{ sha256, zones, wishes }, ...others(sha256)].slice(0, MOST)));

export const dropDraft = sha256 => localStorage.setItem(KEY, JSON.stringify(others(sha256)));
