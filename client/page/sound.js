// sound.js - each cue has a rhythm of its own, high enough to be heard beside a fan. A browser gives sound only after a
// first touch or key.
//
// Tones: type, Hz, begin and length in ms, and the Hz that a glide ends at (screen/spec: sound).
import { word } from "./words.js";

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
// How often an alarm comes again, ms: until a key, and after it. 0: not again.
const alarms = { over: [8000, 0], none: [5000, 30000] };
const STILL_RISING_MS = 300; // after a stop: if more still falls, it sounds once more
const HALVINGS = { from: 6, to: 2 }; // 64 tolerances down to 4, as powers of two
const LOUDEST = 9;

export class Sound {
  constructor(settings, speak) {
    Object.assign(this, { settings, speak, context: null, cue: null, halving: Infinity, alarm: null, answered: false, nextAt: 0,
      told: [] });
    this.context = new AudioContext(); // a kiosk lets it sound at once
    const wake = () => this.context.resume();
    addEventListener("pointerdown", wake);
    addEventListener("keydown", wake);
  }

  // No touch or key has come yet, so the browser keeps it silent.
  get asleep() {
    return this.settings.volume > 0 && this.context.state !== "running";
  }

  play(name) {
    this.told = [...this.told.slice(-9), name];
    const volume = this.settings.volume / LOUDEST;
    if (this.context.state !== "running" || volume === 0) return; // what is scheduled meanwhile would all sound at the wake
    for (const [type, hz, after, long, to] of cues[name] ?? []) {
      const at = this.context.currentTime + after / 1000, end = at + long / 1000;
      const tone = new OscillatorNode(this.context, { type, frequency: hz }), gain = new GainNode(this.context, { gain: 0 });
      tone.frequency.setValueAtTime(hz, at);
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
    if (what === "screen" && app.screen.state === "done" && before && before.state !== "done") this.play("done");
    if (what === "weight") this.hearWeight(app);
  }

  hearWeight(app) {
    const { weight: w, screen: s } = app;
    const cue = s.state === "pour" && !s.lifted && (s.now?.toner ?? s.now?.batch) ? w.cue : null;
    if (cue !== this.cue && ["ease", "stop", "ok"].includes(cue)) this.play(cue);
    if (cue === "stop" && cue !== this.cue) this.stopped = { at: performance.now(), in_cup_g: w.in_cup_g };
    this.stillRising(cue, w, s.now?.tolerance_g ?? 0);
    this.cue = cue;
    this.tick(w, s);
  }

  stillRising(cue, w, tolerance) {
    if (cue !== "stop" || !this.stopped || performance.now() - this.stopped.at < STILL_RISING_MS) return;
    if (w.in_cup_g > this.stopped.in_cup_g + tolerance) this.play("stop");
    this.stopped = null;
  }

  // One tick at each halving of what is left: even ticks are a pour that brakes well. Also in words, if asked for.
  tick(w, s) {
    const t = s.now?.tolerance_g, r = w.to_go_g;
    if (!(t > 0) || !(r > 0)) { this.halving = Infinity; return; }
    const step = Math.floor(Math.log2(r / t));
    if (step < this.halving && step >= HALVINGS.to && step <= HALVINGS.from) {
      this.play("tick");
      if (this.settings.spoken) this.speak(word("page.spoken_to_go", { to_go_g: r }));
    }
    this.halving = step;
  }

  // What rings until somebody comes: an overpour, and no weight while something is being mixed. Asked ten times a second.
  watch(app) {
    const { state } = app.screen, over = state === "over" || (state === "pour" && app.fresh && app.weight.cue === "over");
    const alarm = over ? "over" : app.silent && ["cup", "pour"].includes(state) && app.seenAt > 0 ? "none" : null;
    const t = performance.now();
    if (alarm !== this.alarm) Object.assign(this, { alarm, answered: false, nextAt: t });
    if (!alarm || t < this.nextAt) return;
    this.play(alarm);
    const every = alarms[alarm][this.answered ? 1 : 0];
    this.nextAt = every ? t + every : Infinity;
  }

  // A key or a touch.
  quiet() {
    if (!this.alarm || this.answered) return;
    this.answered = true;
    this.nextAt = alarms[this.alarm][1] ? performance.now() + alarms[this.alarm][1] : Infinity;
  }

  // What sounded last, or the cue of now.
  again(app) {
    this.play(this.alarm ?? app.weight?.cue ?? "");
  }
}
