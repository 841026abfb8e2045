// The words of the timing, in the language of the page: loaded with the timing.

import { timing as en } from './en/timing';
import { language } from './index';

const catalogues: Record<string, typeof en> = { en };
export const timing = catalogues[language]!;
