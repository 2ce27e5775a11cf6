/** pose-detection imports this name at load; the part of it that would use it is never called. */
export function Pose(): never {
  throw new Error('The mediapipe runtime is not part of this page');
}
