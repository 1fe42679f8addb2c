// The sounders, by Web Audio: one tone a post, while its controller drives it. At ten
// times the speed a count would be a blur, so it is played again at its own pace.

const PULSE = 0.18, GAP = 0.16;

export class Sound {
  constructor() {
    this.muted = read();
    this.tones = new Map();
    const wake = () => this.wake();
    addEventListener('pointerdown', wake, { once: true });
    addEventListener('keydown', wake, { once: true });
  }

  // wake makes the audio: browsers allow it only once somebody has touched the page.
  wake() {
    if (this.audio || !window.AudioContext) return;
    this.audio = new AudioContext();
    this.out = this.audio.createGain();
    this.out.gain.value = this.muted ? 0 : 0.12;
    this.out.connect(this.audio.destination);
  }

  mute(yes) {
    this.muted = yes;
    try { localStorage.setItem('slatbench.muted', yes ? '1' : ''); } catch { /* a page without storage forgets it */ }
    if (this.out) this.out.gain.setTargetAtTime(yes ? 0 : 0.12, this.audio.currentTime, 0.01);
  }

  // tone sets whether a post sounds now. Every post has a pitch of its own.
  tone(post, pitch, on) {
    if (!this.audio || Boolean(this.tones.get(post)) === on) return;
    if (on) this.tones.set(post, this.start(pitch, this.audio.currentTime));
    else {
      this.stop(this.tones.get(post), this.audio.currentTime);
      this.tones.delete(post);
    }
  }

  // count plays so many pulses.
  count(pulses, pitch) {
    if (!this.audio) return;
    for (let i = 0; i < pulses; i++) {
      const at = this.audio.currentTime + 0.02 + i * (PULSE + GAP);
      this.stop(this.start(pitch, at), at + PULSE);
    }
  }

  silence() {
    for (const [post, tone] of this.tones) {
      this.stop(tone, this.audio.currentTime);
      this.tones.delete(post);
    }
  }

  start(pitch, at) {
    const osc = this.audio.createOscillator(), gain = this.audio.createGain();
    osc.type = 'square';
    osc.frequency.value = pitch;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(0.5, at + 0.008);
    osc.connect(gain).connect(this.out);
    osc.start(at);
    return { osc, gain };
  }

  stop({ osc, gain }, at) {
    gain.gain.setTargetAtTime(0, at, 0.008);
    osc.stop(at + 0.06);
  }
}

function read() {
  try { return localStorage.getItem('slatbench.muted') === '1'; } catch { return false; }
}
