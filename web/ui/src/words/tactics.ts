// The words of the thread and of tactics, in the language of the page: loaded with them.

import { tactics as en } from './en/tactics';
import { language } from './index';

const catalogues: Record<string, typeof en> = { en };
export const tactics = catalogues[language]!;
