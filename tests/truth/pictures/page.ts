/** The page in which pictures are drawn. Driven by make.ts. */
import { PictureStudio, type DrawnPicture } from './picture.ts';
import type { Scene, Shot } from './plans.ts';

let studio: PictureStudio | null = null;
const need = (): PictureStudio => {
  if (!studio) throw new Error('start first');
  return studio;
};

const picturesPage = {
  start: (size: number): void => {
    studio = new PictureStudio(size);
  },
  /** All pictures of one scene. */
  scene: (scene: Scene, shots: readonly Shot[]): DrawnPicture[] => {
    need().enter(scene);
    return shots.map((shot) => need().draw(shot));
  },
  /** The horse of the picture drawn last. */
  silhouette: (): number[] => need().silhouette(),
};

declare global {
  var picturesPage: PicturesPage;
}
export type PicturesPage = typeof picturesPage;
globalThis.picturesPage = picturesPage;
