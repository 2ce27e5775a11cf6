/** Similarity of a point d px from the truth: exp(-d^2 / (2 k^2 area)) with k = 2 sigma (COCO keypoint evaluation). */
export function keypointSimilarity(distancePx: number, sigma: number, areaPx2: number): number {
  const k = 2 * sigma;
  return Math.exp(-(distancePx * distancePx) / (2 * k * k * areaPx2));
}
