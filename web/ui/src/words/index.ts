// Every word on the screen stands in one catalogue, words/<language>/, one file a
// page. Numbers come from the server already rounded; here they only get the
// signs of the language: a digit is never changed.

import type { PrintedNumber } from '../api/client';
import { en } from './en';

export type Words = typeof en;

const catalogues: Record<string, Words> = { en };

export const language = pick(typeof navigator === 'undefined' ? ['en'] : navigator.languages);
export const words: Words = catalogues[language]!;

function pick(wanted: readonly string[]): string {
  for (const tag of wanted) {
    const short = tag.toLowerCase().split('-')[0]!;
    if (short in catalogues) return short;
  }
  return 'en';
}

const locale = typeof navigator === 'undefined' ? 'en' : (navigator.languages.find((t) => t.startsWith(language)) ?? language);

/** Puts values into a phrase: fill('{n} touches', { n: 3 }). */
export function fill(phrase: string, values: Record<string, string | number>): string {
  return phrase.replace(/\{(\w+)\}/g, (whole, name: string) => (name in values ? String(values[name]) : whole));
}

/** The phrase for a count: {one, other} by the plural rule of the language. */
export function count(n: number, forms: { one: string; other: string }): string {
  const rule = new Intl.PluralRules(locale).select(n);
  return fill(rule === 'one' ? forms.one : forms.other, { n: n.toLocaleString(locale) });
}

/** The word that the trade has for a name of the files; the name where it has none. */
export function wordOf(list: readonly { name: string; word: string }[], name: string): string {
  return list.find((w) => w.name === name)?.word ?? name;
}

/** A decimal number from the server in the signs of the language. */
export function digits(decimal: string): string {
  if (!/^-?\d+(\.\d+)?$/.test(decimal)) return decimal;
  const places = decimal.split('.')[1]?.length ?? 0;
  // A string keeps every digit where a number would not.
  return new Intl.NumberFormat(locale, { minimumFractionDigits: places, maximumFractionDigits: places })
    .format(decimal as unknown as number).replace('-', '−');
}

/** Whether a number is known at all: else its text says so in words. */
export function isKnown(n: PrintedNumber): boolean { return /\d/.test(n.text); }

/** A printed number with its doubt and unit: "0.42 ± 0.06 m". */
export function printed(n: PrintedNumber): string {
  if (!/^-?\d/.test(n.value)) return n.text;
  const unit = n.unit ? (n.unit === '°' ? n.unit : `\u00a0${n.unit}`) : '';
  return digits(n.value) + (n.doubt ? `\u00a0±\u00a0${digits(n.doubt)}` : '') + unit;
}

export function time(iso: string): string {
  return new Date(iso).toLocaleString(locale, { dateStyle: 'medium', timeStyle: 'short' });
}
