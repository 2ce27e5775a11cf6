/**
 * A tfjs graph model as an ONNX model, node by node. Values keep TensorFlow's order of axes (NHWC): a convolution,
 * which ONNX has in NCHW alone, stands between two Transposes; onnxruntime takes out those that cancel. Weights go
 * over byte by byte, so that reading float16 and turning the kernels is left to the runtime.
 */
import type { io } from '@tensorflow/tfjs-core';
import protobuf from 'protobufjs';
import { root } from '../support/programs.ts';

/** The first operator set whose ReduceMean takes its axes as an input, and the IR version of its time. */
const OPSET = 18;
const IR = 8;
/** TensorProto.DataType */
const TYPE = { float: 1, int32: 6, int64: 7, float16: 10 };

/** TensorFlow's NodeDef in JSON; strings in base64. */
interface TfNode {
  readonly name: string;
  readonly op: string;
  readonly input?: readonly string[];
  readonly attr: Readonly<Record<string, { s?: string; b?: boolean; list?: { i?: string[]; s?: string[] } }>>;
}
type Specs = readonly io.WeightsManifestEntry[];
type Signature = Readonly<Record<string, { tensorShape: { dim: readonly { size: string }[] } }>>;
type Attributes = Readonly<Record<string, number | string | readonly number[]>>;

const text = (base64 = ''): string => Buffer.from(base64, 'base64').toString();

function need(holds: boolean | undefined, what: string): void {
  if (!holds) throw new Error(`Not known: ${what}`);
}

class Graph {
  readonly node: object[] = [];
  readonly initializer: object[] = [];

  /** Adds a node; returns the name of its output. */
  add(op_type: string, input: readonly string[], attributes: Attributes = {}, name?: string): string {
    const output = name ?? `${op_type} ${this.node.length}`;
    const attribute = Object.entries(attributes).map(([key, value]) => {
      if (typeof value === 'number') return { name: key, type: 'INT', i: value };
      if (typeof value === 'string') return { name: key, type: 'STRING', s: Buffer.from(value) };
      return { name: key, type: 'INTS', ints: value };
    });
    this.node.push({ op_type, input, output: [output], attribute });
    return output;
  }

  store(name: string, data_type: number, dims: readonly number[], raw_data: Uint8Array): string {
    this.initializer.push({ name, data_type, dims, raw_data });
    return name;
  }
}

/** Weights stored as float16 become float; whole numbers become long ones, as ONNX wants sizes and axes. */
function addWeights(graph: Graph, specs: Specs, bytes: Uint8Array): void {
  let at = 0;
  for (const { name, shape, dtype, quantization } of specs) {
    const whole = dtype === 'int32';
    need(whole || quantization?.dtype === 'float16', `how ${name} is stored`);
    const raw = bytes.subarray(at, (at += shape.reduce((product, n) => product * n, whole ? 4 : 2)));
    const stored = graph.store(`stored ${name}`, whole ? TYPE.int32 : TYPE.float16, shape, raw);
    graph.add('Cast', [stored], { to: whole ? TYPE.int64 : TYPE.float }, name);
  }
  for (const n of [0, 6]) graph.store(`${n}`, TYPE.float, [], Buffer.from(Float32Array.of(n).buffer));
}

/** TensorFlow's SAME puts the odd pixel of padding behind, as SAME_UPPER does. */
function addConvolution(graph: Graph, { name, op, input = [], attr }: TfNode, channels: number): void {
  const [x = '', kernel = '', ...bias] = input;
  const depthwise = op.includes('epthwise');
  const along = (key: string): number[] => (attr[key]?.list?.i ?? []).slice(1, 3).map(Number);
  const weights = graph.add('Transpose', [kernel], { perm: depthwise ? [2, 3, 0, 1] : [3, 2, 0, 1] });
  let y = graph.add('Conv', [graph.add('Transpose', [x], { perm: [0, 3, 1, 2] }), weights, ...bias], {
    strides: along('strides'),
    dilations: along('dilations'),
    auto_pad: text(attr['padding']?.s) === 'SAME' ? 'SAME_UPPER' : 'VALID',
    group: depthwise ? channels : 1,
  });
  for (const fused of attr['fused_ops']?.list?.s?.map(text) ?? []) {
    need(['BiasAdd', 'Relu', 'Relu6'].includes(fused), `${fused} of ${name}`);
    if (fused === 'Relu') y = graph.add('Relu', [y]);
    if (fused === 'Relu6') y = graph.add('Clip', [y, '0', '6']);
  }
  graph.add('Transpose', [y], { perm: [0, 2, 3, 1] }, name);
}

function addResize(graph: Graph, { name, input: [x = '', size = ''] = [], attr }: TfNode): void {
  need(attr['half_pixel_centers']?.b && !attr['align_corners']?.b, `where the pixels of ${name} lie`);
  const sizeOf = (axis: number): string => graph.add('Shape', [x], { start: axis, end: axis + 1 });
  const sizes = graph.add('Concat', [sizeOf(0), size, sizeOf(3)], { axis: 0 });
  const attributes = { mode: 'linear', coordinate_transformation_mode: 'half_pixel' };
  graph.add('Resize', [x, '', '', sizes], attributes, name);
}

const ALIKE = new Map(
  Object.entries({ AddV2: 'Add', MatMul: 'MatMul', Sigmoid: 'Sigmoid', Softmax: 'Softmax' }),
);

function addNode(graph: Graph, node: TfNode, specs: Specs): void {
  const { name, op, input = [], attr } = node;
  if (op === 'Placeholder' || op === 'Const') return;
  if (/conv/i.test(op)) addConvolution(graph, node, specs.find((w) => w.name === input[1])?.shape[2] ?? 0);
  else if (op === 'ResizeBilinear') addResize(graph, node);
  else if (op === 'Mean') graph.add('ReduceMean', input, { keepdims: Number(attr['keep_dims']?.b) }, name);
  else {
    need(ALIKE.has(op) && !attr['transpose_a']?.b && !attr['transpose_b']?.b, `${op} of ${name}`);
    graph.add(ALIKE.get(op) ?? '', input, {}, name);
  }
}

const valuesOf = (signature: Signature): object[] =>
  Object.entries(signature).map(([name, { tensorShape }]) => {
    const dim = tensorShape.dim.map(({ size }) => ({ dim_value: Number(size) }));
    return { name, type: { tensor_type: { elem_type: TYPE.float, shape: { dim } } } };
  });

/** The ONNX file of a model's JSON and the bytes of its weights. Throws where the model has what isn't known here. */
export function onnxOf(json: io.ModelJSON, bytes: Uint8Array): Uint8Array {
  const graph = new Graph();
  const specs = json.weightsManifest.flatMap(({ weights }) => weights);
  addWeights(graph, specs, bytes);
  for (const node of (json.modelTopology as { node: TfNode[] }).node) addNode(graph, node, specs);
  const { inputs, outputs } = json.signature as Record<'inputs' | 'outputs', Signature>;
  const schema = new protobuf.Root().loadSync(`${root}/tests/pose/onnx.proto`, { keepCase: true });
  const type = schema.lookupType('ModelProto');
  const model = type.fromObject({
    ir_version: IR,
    opset_import: [{ domain: '', version: OPSET }],
    graph: { ...graph, name: 'tfjs', input: valuesOf(inputs), output: valuesOf(outputs) },
  });
  return type.encode(model).finish();
}
