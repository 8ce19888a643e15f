// A photo or plan under the drawing: it stays on this device. Two points that are tapped, and what lies between, set its scale.

import { element, fill } from "./plan.js";
import { readLength } from "./state.js";

export class Underlay {
  constructor(place, plan, hand, words) {
    Object.assign(this, { plan, hand, words });
    this.image = null;
    const file = place.querySelector("input[type=file]");
    const length = place.querySelector("input[data-length]");
    const set = place.querySelector("button[data-scale]");
    const away = place.querySelector("button[data-away]");
    const told = place.querySelector("[data-told]");
    file.addEventListener("change", () => {
      const [picture] = file.files;
      if (!picture) return;
      if (this.image) URL.revokeObjectURL(this.image.href);
      const href = URL.createObjectURL(picture);
      const probe = new Image();
      probe.addEventListener("load", () => {
        const width = 12;
        const [x, y] = plan.middle;
        this.image = { href, ratio: probe.naturalHeight / probe.naturalWidth, width, x: x - width / 2, y: y + (width * probe.naturalHeight) / probe.naturalWidth / 2 };
        told.textContent = words.scaleFirst;
        this.draw();
      });
      probe.addEventListener("error", () => (told.textContent = words.noPicture));
      probe.src = href;
    });
    set.addEventListener("click", () => {
      const metres = readLength(length.value);
      if (!this.image) told.textContent = words.noPicture;
      else if (metres === null || metres <= 0) told.textContent = words.noLength;
      else this.measure(metres, told);
    });
    away.addEventListener("click", () => {
      if (this.image) URL.revokeObjectURL(this.image.href);
      this.image = null;
      file.value = "";
      told.textContent = "";
      this.draw();
    });
    plan.svg.addEventListener("drawn", () => this.draw());
  }

  measure(metres, told) {
    told.textContent = this.words.tapOne;
    this.hand.placing = (_grid, first) => {
      told.textContent = this.words.tapTwo;
      this.hand.placing = (_near, second) => {
        const far = Math.hypot(second[0] - first[0], second[1] - first[1]);
        if (far < 1e-3) {
          told.textContent = this.words.noLength;
          return;
        }
        const factor = metres / far;
        const image = this.image;
        // the first point stays where it is
        image.x = first[0] + (image.x - first[0]) * factor;
        image.y = first[1] + (image.y - first[1]) * factor;
        image.width *= factor;
        told.textContent = this.words.scaleSet;
        this.draw();
      };
    };
  }

  draw() {
    const { image, plan } = this;
    if (!image) return fill(plan.layers.underlay, []);
    const [x, y] = plan.screen([image.x, image.y]);
    const width = image.width * plan.scale;
    fill(plan.layers.underlay, [element("image", { href: image.href, x, y, width, height: width * image.ratio, opacity: 0.55, preserveAspectRatio: "none" })]);
  }
}
