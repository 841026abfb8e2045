// The words of telling a touch, in the language of the page: loaded with that page.

import { tell as en } from './en/tell';
import { language } from './index';

const catalogues: Record<string, typeof en> = { en };
export const tell = catalogues[language]!;
