// The one door to the server. Types come from openapi.json through schema.d.ts,
// which "npm run api" writes; nothing here is typed by hand.

import createClient from 'openapi-fetch';
import type { components, paths } from './schema';

export type Schemas = components['schemas'];
export type Touch = Schemas['Touch'];
export type Take = Schemas['Take'];
export type Mark = Schemas['Mark'];
export type Placing = Schemas['Placing'];
export type PlacedPoint = Schemas['PlacedPoint'];
export type Moment = Schemas['Moment'];
export type Action = Schemas['Action'];
export type Bout = Schemas['Bout'];
export type BoutSheet = Schemas['BoutSheet'];
export type Phrase = Schemas['Phrase'];
export type Stamp = Schemas['Stamp'];
export type BoutPaper = Schemas['BoutPaper'];
export type TouchPaper = Schemas['TouchPaper'];
export type Media = Schemas['Media'];
export type Clip = Schemas['Clip'];
export type Job = Schemas['Job'];
export type Salle = Schemas['Salle'];
export type Trade = Schemas['Trade'];
export type Live = Schemas['Live'];
export type Summary = Schemas['Summary'];
export type At = Schemas['At'];
export type Change = Schemas['Change'];
export type TimingAnswer = Schemas['TimingAnswer'];
export type Timing = Schemas['PrintedTiming'];
export type TacticsAnswer = Schemas['TacticsAnswer'];
export type Tactics = Schemas['PrintedTactics'];
export type Piece = Schemas['PrintedPiece'];
export type Own = Schemas['Own'];
export type OwnFigure = Schemas['OwnFigure'];
export type PrintedNumber = Schemas['PrintedNumber'];
export type Breakdown = Schemas['Breakdown'];
export type Side = Mark['who'];

export const api = createClient<paths>({ baseUrl: '' });

/** What the server answered instead of what was asked for. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    /** What happened, what is safe, what to do: one line for the person. */
    message: string,
    readonly body: unknown,
  ) {
    super(message);
  }
}

/** The data of an answer; throws Refused, or the network's own error. */
export async function data<T>(answer: Promise<{ data?: T; error?: unknown; response: Response }>): Promise<T> {
  const { data, error, response } = await answer;
  if (response.ok) return data as T;
  const told = error as { detail?: string; errors?: { message?: string }[] } | undefined;
  const more = told?.errors?.map((e) => e.message).filter(Boolean).join('; ');
  const said = [told?.detail, more].filter(Boolean).join(told?.detail?.endsWith('.') ? ' ' : ': ');
  throw new Refused(response.status, said || response.statusText, error);
}
