/** A decoded VideoFrame as I420 planes, whatever layout the decoder gave it. */
import { i420Of, type I420 } from './planes.ts';

interface Layout {
  readonly bits: number;
  /** Chroma samples per luma sample, as a shift. */
  readonly shiftX: 0 | 1;
  readonly shiftY: 0 | 1;
}

function planarLayout(format: string): Layout | null {
  const parts = /^I(420|422|444)A?(?:P(10|12))?$/.exec(format);
  if (!parts) return null;
  return {
    bits: Number(parts[2] ?? 8),
    shiftX: parts[1] === '444' ? 0 : 1,
    shiftY: parts[1] === '420' ? 1 : 0,
  };
}

export interface FrameSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** The visible part of a frame, before the container's rotation. */
export const frameSize = (frame: VideoFrame): FrameSize => ({
  widthPx: frame.visibleRect?.width ?? frame.codedWidth,
  heightPx: frame.visibleRect?.height ?? frame.codedHeight,
});

/**
 * Writes the frame's planes into `bytes`, as many as i420Bytes says. Returns true where the frame came as RGB, so that
 * its luma and chroma are ours: BT.709, limited range.
 * @throws DOMException where the frame can't be copied (closed, or lost with the graphics process).
 */
export async function toI420(frame: VideoFrame, bytes: Uint8Array): Promise<boolean> {
  const { widthPx, heightPx } = frameSize(frame);
  // Wider than lib.dom's list: ten and twelve bits came later.
  const format: string | null = frame.format;
  if (format === 'I420') {
    await frame.copyTo(bytes);
    return false;
  }
  const planes = i420Of(bytes, widthPx, heightPx);
  if (format === 'NV12') {
    const copy = await copied(frame);
    planes.y.set(copy.subarray(0, planes.y.length));
    separate(copy.subarray(planes.y.length), planes);
    return false;
  }
  const layout = format === null ? null : planarLayout(format);
  if (layout) {
    narrow(await copied(frame), layout, planes);
    return false;
  }
  fromRgbx(await copied(frame, { format: 'RGBX', colorSpace: 'srgb' }), planes);
  return true;
}

async function copied(frame: VideoFrame, options?: VideoFrameCopyToOptions): Promise<Uint8Array> {
  const copy = new Uint8Array(frame.allocationSize(options));
  await frame.copyTo(copy, options);
  return copy;
}

/** Interleaved chroma into two planes. */
function separate(uv: Uint8Array, to: I420): void {
  for (let i = 0; i < to.u.length; i++) {
    to.u[i] = uv[2 * i] ?? 0;
    to.v[i] = uv[2 * i + 1] ?? 0;
  }
}

/** Planes of more bits or more chroma brought to eight bits and 4:2:0. */
function narrow(copy: Uint8Array, layout: Layout, to: I420): void {
  const { bits, shiftX, shiftY } = layout;
  const samples = bits > 8 ? new Uint16Array(copy.buffer, 0, copy.length >> 1) : copy;
  const { widthPx, heightPx } = to;
  const chromaWidth = (widthPx + shiftX) >> shiftX;
  const chromaHeight = (heightPx + shiftY) >> shiftY;
  const luma = widthPx * heightPx;
  const chroma = chromaWidth * chromaHeight;
  for (let i = 0; i < luma; i++) to.y[i] = (samples[i] ?? 0) >> (bits - 8);
  const step = { x: 2 >> shiftX, y: 2 >> shiftY };
  average(samples.subarray(luma, luma + chroma), chromaWidth, chromaHeight, step, bits - 8, to.u);
  average(
    samples.subarray(luma + chroma, luma + 2 * chroma),
    chromaWidth,
    chromaHeight,
    step,
    bits - 8,
    to.v,
  );
}

type Samples = Uint8Array | Uint16Array;
interface Step {
  readonly x: number;
  readonly y: number;
}

/** Means of step.x * step.y samples; at an odd edge the last one is taken again. */
function average(
  from: Samples,
  width: number,
  height: number,
  step: Step,
  shift: number,
  to: Uint8Array,
): void {
  const toWidth = Math.ceil(width / step.x);
  const area = step.x * step.y;
  for (let i = 0; i < to.length; i++) {
    const x0 = (i % toWidth) * step.x;
    const y0 = Math.floor(i / toWidth) * step.y;
    let sum = 0;
    for (let dy = 0; dy < step.y; dy++) {
      const row = Math.min(y0 + dy, height - 1) * width;
      for (let dx = 0; dx < step.x; dx++) sum += from[row + Math.min(x0 + dx, width - 1)] ?? 0;
    }
    to[i] = Math.min(255, Math.round(sum / area) >> shift);
  }
}

/** BT.709 luma and chroma (ITU-R BT.709-6, items 3.2 to 3.4) in limited range; chroma of the top left px of four. */
function fromRgbx(rgbx: Uint8Array, to: I420): void {
  const { widthPx, heightPx } = to;
  const chromaWidth = (widthPx + 1) >> 1;
  for (let row = 0; row < heightPx; row++) {
    for (let x = 0; x < widthPx; x++) {
      const at = row * widthPx + x;
      const r = (rgbx[4 * at] ?? 0) / 255;
      const g = (rgbx[4 * at + 1] ?? 0) / 255;
      const b = (rgbx[4 * at + 2] ?? 0) / 255;
      const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
      to.y[at] = Math.round(16 + 219 * luma);
      if ((row | x) & 1) continue;
      const chroma = (row >> 1) * chromaWidth + (x >> 1);
      to.u[chroma] = Math.round(128 + (224 * (b - luma)) / 1.8556);
      to.v[chroma] = Math.round(128 + (224 * (r - luma)) / 1.5748);
    }
  }
}
