// Sound from the microphone as a WAV file: 16 bits, one channel, as it was heard.

export async function openMicrophone() {
  const stream = await navigator.mediaDevices.getUserMedia({
    audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 },
  });
  const context = new AudioContext();
  await context.audioWorklet.addModule("/static/recorder-worklet.js");
  const node = new AudioWorkletNode(context, "recorder", { numberOfOutputs: 0 });
  const blocks = [];
  node.port.onmessage = (event) => blocks.push(event.data);
  context.createMediaStreamSource(stream).connect(node);
  return {
    close: async () => {
      stream.getTracks().forEach((track) => track.stop());
      await context.close();
    },
    clear: () => { blocks.length = 0; },
    file: () => wav(blocks, context.sampleRate),
  };
}

function wav(blocks, rate) {
  const samples = blocks.reduce((sum, block) => sum + block.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * samples));
  const text = (at, letters) => [...letters].forEach((letter, i) => view.setUint8(at + i, letter.charCodeAt(0)));
  text(0, "RIFF"); view.setUint32(4, 36 + 2 * samples, true); text(8, "WAVEfmt ");
  view.setUint32(16, 16, true); view.setUint16(20, 1, true); view.setUint16(22, 1, true);
  view.setUint32(24, rate, true); view.setUint32(28, 2 * rate, true);
  view.setUint16(32, 2, true); view.setUint16(34, 16, true);
  text(36, "data"); view.setUint32(40, 2 * samples, true);
  let at = 44;
  for (const block of blocks) {
    for (const sample of block) {
      view.setInt16(at, Math.max(-1, Math.min(1, sample)) * 32767, true);
      at += 2;
    }
  }
  return new Blob([view], { type: "audio/wav" });
}
