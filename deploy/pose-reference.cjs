// Runs the pose network with TensorFlow.js on pictures, to compare ours with.
//
// node pose-reference.cjs MODEL.json WEIGHTS.bin PICTURE...
//
// A picture is 256 × 256 px of RGB, a byte each, rows from the top. Prints a line of
// JSON for each: 17 joints as [x, y, score], px from the picture's corner.

const fs = require('fs')
const path = require('path')
const tf = require('@tensorflow/tfjs-core')
const { loadGraphModel } = require('@tensorflow/tfjs-converter')
const { setWasmPaths } = require('@tensorflow/tfjs-backend-wasm')

const side = 256

async function main ([topology, weights, ...pictures]) {
  setWasmPaths(path.dirname(require.resolve('@tensorflow/tfjs-backend-wasm')) + path.sep)
  await tf.setBackend('wasm')
  const graph = JSON.parse(fs.readFileSync(topology))
  const data = fs.readFileSync(weights)
  const model = await loadGraphModel({
    load: async () => ({
      modelTopology: graph.modelTopology,
      weightSpecs: graph.weightsManifest.flatMap(m => m.weights),
      weightData: data.buffer.slice(data.byteOffset, data.byteOffset + data.length),
      signature: graph.signature
    })
  })
  for (const name of pictures) {
    const rgb = fs.readFileSync(name)
    const input = tf.tensor4d(Int32Array.from(rgb), [1, side, side, 3], 'int32')
    const out = model.execute({ input })
    const v = await out.data()
    const joints = []
    for (let i = 0; i < v.length; i += 3) joints.push([side * v[i + 1], side * v[i], v[i + 2]])
    console.log(JSON.stringify(joints))
  }
}

main(process.argv.slice(2)).catch(e => { console.error(e.message); process.exit(1) })
