// de: die deutschen Wörter.

export const DE = {
};
