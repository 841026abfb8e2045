import { bout } from './bout';
import { breakdown } from './breakdown';
import { common } from './common';
import { desk } from './desk';
import { keys } from './keys';
import { salle } from './salle';
import { stave } from './stave';

export const en = { common, salle, bout, desk, stave, breakdown, keys };
