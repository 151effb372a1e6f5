// sound.js - each cue has a rhythm of its own, high enough to be heard beside a fan. A browser gives sound only after a
// first touch or key.
//
// Tones in Hz, times in ms (screen/spec: sound).

const cues = {
  ease: [["triangle", 1320, 0, 120], ["triangle", 990, 180, 120]],
  stop: [["square", 1760, 0, 500]],
  ok: [["sine", 880, 0, 90], ["sine", 1320, 90, 160]],
  done: [["sine", 1047, 0, 200], ["sine", 1047, 250, 200], ["sine", 1047, 850, 200], ["sine", 1047, 1100, 200]],
  over: [["sawtooth", 620, 0, 140], ["sawtooth", 620, 220, 140], ["sawtooth", 620, 440, 140]],
  none: [["sine", 660, 0, 600, 495]],
  refused: [["square", 220, 0, 50], ["square", 220, 110, 50]],
  tick: [["square", 1000, 0, 18]],
};

export class Sound {
  constructor(settings) {
    Object.assign(this, { settings, context: null, cue: null, halving: Infinity, nagAt: 0 });
    const wake = () => { this.context ??= new AudioContext(); this.context.resume(); };
    addEventListener("pointerdown", wake, { once: false });
    addEventListener("keydown", wake, { once: false });
  }

  play(name) {
    const volume = this.settings.volume / 9;
    if (!this.context || volume === 0) return;
    for (const [type, hz, after, long, to] of cues[name] ?? []) {
      const at = this.context.currentTime + after / 1000, end = at + long / 1000;
      const tone = new OscillatorNode(this.context, { type, frequency: hz }), gain = new GainNode(this.context, { gain: 0 });
      if (to) tone.frequency.linearRampToValueAtTime(to, end);
      gain.gain.setValueAtTime(volume * 0.5, at);
      gain.gain.setTargetAtTime(0, end - 0.02, 0.008);
      tone.connect(gain).connect(this.context.destination);
      tone.start(at);
      tone.stop(end + 0.05);
    }
  }

  // Told of each weight, screen and refusal.
  hear(what, before, app) {
    if (what === "refused") this.play("refused");
    if (what === "screen" && app.screen.state === "done" && before?.state !== "done") this.play("done");
    if (what === "screen" && app.screen.state === "over" && before?.state !== "over") this.nag("over", 8000);
    if (what === "weight") this.hearWeight(app);
  }

  hearWeight(app) {
    const { weight: w, screen: s } = app;
    const cue = s.state === "pour" ? w.cue : null;
    if (cue !== this.cue && ["ease", "stop", "ok", "over"].includes(cue)) this.play(cue);
    this.cue = cue;
    this.tick(w, s);
  }

  // One tick at each halving of what is left, from 64 tolerances down to 4: even ticks are a pour that brakes well.
  tick(w, s) {
    const t = s.now?.tolerance_g, r = w.to_go_g;
    if (!(t > 0) || !(r > 0)) { this.halving = Infinity; return; }
    const step = Math.floor(Math.log2(r / t));
    if (step < this.halving && step >= 2 && step <= 6) this.play("tick");
    this.halving = step;
  }

  // Again and again until a key.
  nag(name, every_ms) {
    this.quiet();
    this.play(name);
    this.nagging = setInterval(() => this.play(name), every_ms);
  }

  quiet() {
    clearInterval(this.nagging);
  }
}
