/** Worker: finds the horse in the pictures of a clip, and its points. */
import { expose } from 'comlink';
import { keypointService, type KeypointService } from '../src/pose/service.ts';

export type KeypointsWorker = KeypointService;

expose(keypointService(() => performance.now()));
