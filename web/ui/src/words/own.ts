// The words of a fencer's own numbers, in the language of the page.

import { own as en } from './en/own';
import { language } from './index';

const catalogues: Record<string, typeof en> = { en };
export const own = catalogues[language]!;
