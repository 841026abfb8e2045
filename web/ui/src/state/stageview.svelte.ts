// What is seen of the picture on the stage: fitted until the hand comes closer, and
// fitted again when the stage changes its size.

import { fit, panned, revealed, type Size, type View, zoomed } from './view';

export class StageView {
  view = $state.raw<View>({ scale: 1, x: 0, y: 0 });
  stage = $state.raw<Size>({ width: 1, height: 1 });
  picture = $state.raw<Size>({ width: 1280, height: 720 });

  #fitted = true;

  resize(stage: Size) {
    this.stage = stage;
    if (this.#fitted) this.fit();
    else this.pan(0, 0);
  }

  /** The picture has this size; one of another size is fitted anew. */
  show(picture: Size) {
    if (picture.width === this.picture.width && picture.height === this.picture.height) return;
    this.picture = { width: picture.width, height: picture.height };
    this.fit();
  }

  fit() {
    this.#fitted = true;
    this.view = fit(this.picture, this.stage);
  }

  /** Zooms about a place on the stage. */
  zoom(about: { x: number; y: number }, factor: number) {
    this.view = zoomed(this.view, about, factor, this.picture, this.stage);
    this.#fitted = this.view.scale <= fit(this.picture, this.stage).scale * 1.0001;
  }

  /** One pixel of the picture for one of the screen, about the middle of the stage. */
  actual(ratio = 1) {
    this.zoom({ x: this.stage.width / 2, y: this.stage.height / 2 }, 1 / (this.view.scale * ratio));
  }

  pan(dx: number, dy: number) { this.view = panned(this.view, dx, dy, this.picture, this.stage); }

  /** Brings a place of the picture into sight. */
  reveal(p: { u: number; v: number }) { this.view = revealed(this.view, p, this.picture, this.stage); }
}
