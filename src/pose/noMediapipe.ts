/** pose-detection imports this name at load; the part of it that would use it is never called. */
export class Pose {}
