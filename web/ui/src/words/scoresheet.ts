// The words of the score sheets, in the language of the page: loaded with their dialog.

import { scoresheet as en } from './en/scoresheet';
import { language } from './index';

const catalogues: Record<string, typeof en> = { en };
export const scoresheet = catalogues[language]!;
