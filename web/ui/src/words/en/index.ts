import { bout } from './bout';
import { breakdown } from './breakdown';
import { common } from './common';
import { desk } from './desk';
import { follow } from './follow';
import { guide } from './guide';
import { keys } from './keys';
import { panel } from './panel';
import { phrase } from './phrase';
import { salle } from './salle';
import { stage } from './stage';
import { stave } from './stave';

export const en = { common, salle, bout, desk, stage, panel, follow, guide, stave, phrase, breakdown, keys };
