// Hands on what the microphone hears, in blocks of about a tenth of a second.
class Recorder extends AudioWorkletProcessor {
  constructor() {
    super();
    this.block = new Float32Array(4096);
    this.filled = 0;
  }

  process([input]) {
    const heard = input[0];
    if (!heard) return true;
    if (this.filled + heard.length > this.block.length) {
      this.port.postMessage(this.block.slice(0, this.filled));
      this.filled = 0;
    }
    this.block.set(heard, this.filled);
    this.filled += heard.length;
    return true;
  }
}

registerProcessor("recorder", Recorder);
