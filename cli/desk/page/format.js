// format: dates, money and lengths as the language and the salon write them. No sum is made here: the library made them all.

import { decimal, language, numberStyle } from '../../page/words.js';

const asDate = day => new Date(`${day}T12:00:00`);

export const longDate = day => new Intl.DateTimeFormat(language(), { day: 'numeric', month: 'long', year: 'numeric' }).format(asDate(day));
export const shortDate = day => new Intl.DateTimeFormat(language(), { day: 'numeric', month: 'short', year: 'numeric' }).format(asDate(day));

/** "in 3 days", "yesterday": from one day to another. */
export function fromNow(day, today) {
  const days = Math.round((asDate(day) - asDate(today)) / 86400000), words = new Intl.RelativeTimeFormat(language(), { numeric: 'auto' });
  return Math.abs(days) < 14 ? words.format(days, 'day') : Math.abs(days) < 70 ? words.format(Math.round(days / 7), 'week') : words.format(Math.round(days / 30.44), 'month');
}

/** An amount in the currency's smallest unit. */
export function money(minor, currency) {
  const style = numberStyle({ style: 'currency', currency });
  return style.format(minor / 10 ** style.resolvedOptions().maximumFractionDigits);
}

/** A price in thousandths of the currency's unit. */
export const price = (milli, currency) => numberStyle({ style: 'currency', currency }).format(milli / 1000);

const CM_PER_INCH = 2.54; // exact, by definition of the inch

export const length = (cm, units) => (units === 'in' ? `${decimal(cm / CM_PER_INCH, 1)} in` : `${decimal(cm, cm % 1 ? 1 : 0)} cm`);
export const grams = g => `${decimal(g, 0)} g`;
export const percent = share => numberStyle({ style: 'percent', maximumFractionDigits: 0 }).format(share);

/** What was typed, without a decimal sign that nothing follows. */
export const typed = text => text.trim().replace(/[.,]$/, '');
/** The same, with the decimal sign of either kind, as the library takes it. */
export const typedNumber = text => typed(text).replace(',', '.');
