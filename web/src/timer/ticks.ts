/** A tick each second by the clock of the sound, which no busy page delays. */
const AHEAD_S = 1.5
const LOOK_EVERY_MS = 400
const PITCH_HZ = 880
const LENGTH_S = 0.04
const LOUDNESS = 0.2

/** Begins to tick; returns the way to silence. */
export function ticking(audio = new AudioContext()): () => void {
  const from = audio.currentTime
  let next = 1

  function plan(): void {
    while (from + next < audio.currentTime + AHEAD_S) {
      tick(audio, from + next)
      next += 1
    }
  }

  plan()
  const planning = setInterval(plan, LOOK_EVERY_MS)
  return () => {
    clearInterval(planning)
    void audio.close()
  }
}

function tick(audio: AudioContext, at: number): void {
  const sound = audio.createOscillator()
  const loudness = audio.createGain()
  sound.frequency.value = PITCH_HZ
  loudness.gain.setValueAtTime(LOUDNESS, at)
  loudness.gain.linearRampToValueAtTime(0, at + LENGTH_S)
  sound.connect(loudness).connect(audio.destination)
  sound.start(at)
  sound.stop(at + LENGTH_S)
}
