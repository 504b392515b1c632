// drafts: the marks of photos that are not saved yet, so that they outlive a desk that was ended: kept in this browser under the photo's
// digest, without the photo and without a name.

const KEY = 'weftmatch.marks', MOST = 12;

function read() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY));
    return Array.isArray(kept) ? kept : [];
  } catch { return []; } // somebody else's text
}

const others = sha256 => read().filter(draft => draft.sha256 !== sha256);

function write(drafts) {
  try { localStorage.setItem(KEY, JSON.stringify(drafts.slice(0, MOST))); } catch { /* full, or not allowed: the marks live as long as the desk */ }
}

/** {zones: the text of a zones file, wishes}, or null. */
export const draftOf = sha256 => read().find(draft => draft.sha256 === sha256) ?? null;

export const keepDraft = (sha256, zones, wishes) => write([{ sha256, zones, wishes }, ...others(sha256)]);

export const dropDraft = sha256 => write(others(sha256));
