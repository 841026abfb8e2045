// View: where the picture lies on the stage. The one transform between pixels of the
// picture and pixels of the stage; everything that crosses over goes through here.
//
// The centre of the top-left pixel of the picture is its origin, so its edge is at −½.

import { picturePx, stagePx, type PicturePoint, type StagePoint } from '../units';

export interface View {
  /** Stage pixels a picture pixel. */
  readonly scale: number;
  /** Where the outer corner of the top-left pixel stands on the stage. */
  readonly x: number;
  readonly y: number;
}

export interface Size { readonly width: number; readonly height: number }

export const mostScale = 32;

export function toStage(view: View, p: { u: number; v: number }): StagePoint {
  return { x: stagePx((p.u + 0.5) * view.scale + view.x), y: stagePx((p.v + 0.5) * view.scale + view.y) };
}

export function toPicture(view: View, p: { x: number; y: number }): PicturePoint {
  return { u: picturePx((p.x - view.x) / view.scale - 0.5), v: picturePx((p.y - view.y) / view.scale - 0.5) };
}

/** The whole picture, as large as the stage allows, in its middle. */
export function fit(picture: Size, stage: Size): View {
  const scale = Math.min(stage.width / picture.width, stage.height / picture.height) || 1;
  return { scale, x: (stage.width - picture.width * scale) / 2, y: (stage.height - picture.height * scale) / 2 };
}

/** Zooms about a point of the stage: what is under it stays under it. */
export function zoomed(view: View, about: { x: number; y: number }, factor: number, picture: Size, stage: Size): View {
  const least = fit(picture, stage).scale;
  const scale = Math.max(Math.min(least, mostScale), Math.min(mostScale, view.scale * factor));
  const k = scale / view.scale;
  return kept({ scale, x: about.x - (about.x - view.x) * k, y: about.y - (about.y - view.y) * k }, picture, stage);
}

export function panned(view: View, dx: number, dy: number, picture: Size, stage: Size): View {
  return kept({ scale: view.scale, x: view.x + dx, y: view.y + dy }, picture, stage);
}

/** Keeps the picture in sight: in the middle where it is smaller than the stage, no gap at its edges where it is larger. */
function kept(view: View, picture: Size, stage: Size): View {
  const along = (at: number, pic: number, room: number) => {
    const length = pic * view.scale;
    if (length <= room) return (room - length) / 2;
    return Math.max(room - length, Math.min(0, at));
  };
  return { scale: view.scale, x: along(view.x, picture.width, stage.width), y: along(view.y, picture.height, stage.height) };
}

/** Brings a point of the picture into sight, with a margin, and changes nothing where it is. */
export function revealed(view: View, p: { u: number; v: number }, picture: Size, stage: Size, margin = 40): View {
  const s = toStage(view, p);
  const dx = s.x < margin ? margin - s.x : s.x > stage.width - margin ? stage.width - margin - s.x : 0;
  const dy = s.y < margin ? margin - s.y : s.y > stage.height - margin ? stage.height - margin - s.y : 0;
  return dx || dy ? panned(view, dx, dy, picture, stage) : view;
}
