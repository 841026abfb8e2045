// Sending a video: XMLHttpRequest, because fetch does not tell how much has gone.

import { api, data } from './client';
import { words } from '../words';
import { Uploads, type Send } from '../state/uploads.svelte';

const send: Send = (file, bout, progress, signal) => new Promise((done, fail) => {
  const x = new XMLHttpRequest();
  x.open('POST', `/api/media?name=${encodeURIComponent(file.name)}&bout=${encodeURIComponent(bout)}`);
  x.responseType = 'json';
  x.upload.onprogress = (e) => { if (e.lengthComputable) progress(e.loaded / e.total); };
  x.onload = () => {
    if (x.status >= 200 && x.status < 300) done(x.response);
    else fail(new Error((x.response as { detail?: string } | null)?.detail ?? x.statusText));
  };
  x.onerror = () => fail(new Error(words.salle.lost));
  x.onabort = () => fail(signal.reason);
  signal.addEventListener('abort', () => x.abort());
  x.send(file);
});

export const uploads = new Uploads(send, async (title) => {
  const paper = await data(api.POST('/api/bouts', { body: { sheet: { bout: { event: title, left: {}, right: {}, weapon: 'epee', touches: 15 }, videos: [] } } }));
  return paper.stamp.id;
});
