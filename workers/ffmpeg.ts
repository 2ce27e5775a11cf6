/** The decoder for what the browser can't decode. Started by the frames worker, ended by it. */
import { expose } from 'comlink';
import { FfmpegProgram } from '../src/clip/ffmpeg/program.ts';

expose(new FfmpegProgram());
