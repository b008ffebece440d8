// The tape keypad: lengths with keys for feet, inches and fractions, large enough for
// gloves. It writes the same text that can be typed: 6' 4-1/2".
import { signal } from '@preact/signals'
import { Dialog, Field, Icon, Input } from './parts'
import { state } from './state'

interface Asked { label: string; value: string; metric: boolean; done: (v: string) => void }
const asked = signal<Asked | null>(null)
const parts = signal({ whole: '', feet: '', part: '', minus: false })
export const metric = () => state.value?.written.top.some((e) => e.name === 'units' && e.text === 'metric') ?? false

/** Length is a field for a length: typed freely, or with the keypad beside it. */
export function Length(props: { label: string; of?: string; value: string; hint?: string; placeholder?: string; live?: boolean; metric?: boolean; onDone: (v: string) => void }) {
  const inMetric = props.metric ?? metric()
  const full = props.of ? `${props.label} (${props.of})` : props.label
  return (
    <Field label={props.label} of={props.of} hint={props.hint}>
      {(id, hint) => (
        <div class="with-key">
          <Input id={id} hint={hint} value={props.value} placeholder={props.placeholder ?? (inMetric ? '1.9 m' : `6' 4"`)} live={props.live} onDone={props.onDone} />
          <button type="button" aria-label={`Keypad for ${full}`} onClick={() => keypad(full, props.value, props.onDone, inMetric)}><Icon name="keypad" /></button>
        </div>
      )}
    </Field>
  )
}

/** read takes a text apart that this pad or a hand wrote; what it cannot read starts empty. */
export function read(text: string, inMetric = false) {
  const mm = inMetric ? /^\s*(-?)\s*(\d+(?:\.\d+)?)\s*(mm|cm|m)\s*$/.exec(text) : null
  if (mm) return { minus: mm[1] === '-', whole: String(Math.round(Number(mm[2]) * { mm: 1, cm: 10, m: 1000 }[mm[3]]!)), feet: '', part: '' }
  const m = /^\s*(-?)\s*(?:(\d+)\s*(?:'|ft))?\s*(?:(\d+)?(?:[- ]?(\d+\/\d+))?\s*(?:"|in))?\s*$/.exec(text)
  if (!m) return { whole: '', feet: '', part: '', minus: false }
  return { minus: m[1] === '-', feet: m[2] ?? '', whole: m[3] ?? '', part: m[4] ?? '' }
}

/** write gives the text of what was keyed, "" for nothing. */
export function write(p: { whole: string; feet: string; part: string; minus: boolean }): string {
  const inches = [p.whole, p.part].filter((x) => x).join('-')
  const said = [p.feet && `${p.feet}'`, inches && `${inches}"`].filter((x) => x).join(' ')
  return said && (p.minus ? '-' : '') + said
}

/** inSteps words a number of steps of the drawing: half inches, or ten millimetres. */
export function inSteps(n: number): string {
  if (metric()) return `${Math.round(n) * 10} mm`
  const half = Math.round(n)
  const feet = Math.floor(half / 24), inches = Math.floor((half % 24) / 2)
  return write({ minus: false, feet: feet ? String(feet) : '', whole: inches ? String(inches) : '', part: half % 2 ? '1/2' : '' }) || '0"'
}

/** keypad asks for a length. */
export function keypad(label: string, value: string, done: (v: string) => void, inMetric = metric()) {
  parts.value = read(value, inMetric)
  asked.value = { label, value, metric: inMetric, done }
}

const fractions = ['1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8', '1/16']

export function Keypad() {
  const a = asked.value
  if (!a) return null
  const p = parts.value
  const set = (change: Partial<typeof p>) => { parts.value = { ...parts.value, ...change } }
  const close = () => { asked.value = null }
  const units = a.metric
  const text = units ? (p.whole ? (p.minus ? '-' : '') + p.whole + ' mm' : '') : write(p)
  const key = (k: string) => set({ whole: (parts.value.whole + k).replace(/^0+(?=\d)/, '').slice(0, 6) })
  const feet = () => set({ feet: parts.value.whole || parts.value.feet, whole: '', part: '' })
  const back = () => {
    const q = parts.value
    if (q.part) set({ part: '' })
    else if (q.whole) set({ whole: q.whole.slice(0, -1) })
    else if (q.feet) set({ whole: q.feet, feet: '' })
    else set({ minus: false })
  }
  const done = () => { if (text) { a.done(text); close() } }
  const keys = (e: KeyboardEvent) => {
    if (/^\d$/.test(e.key)) key(e.key)
    else if (e.key === "'" || e.key === 'f') feet()
    else if (e.key === 'Backspace') back()
    else if (e.key === '-') set({ minus: !parts.value.minus })
    else if (e.key === 'Enter' && !(e.target instanceof HTMLButtonElement)) done()
    else return
    e.preventDefault()
  }
  return (
    <Dialog title={a.label} class="keypad" onClose={close}>
      <div onKeyDown={keys}>
        <output class="tape" aria-live="polite">{text || <span class="soft">{units ? '0 mm' : `0' 0"`}</span>}</output>
        <div class="pad">
          <div class="digits" role="group" aria-label="Digits">
            {['7', '8', '9', '4', '5', '6', '1', '2', '3'].map((k) => <button key={k} onClick={() => key(k)}>{k}</button>)}
            <button onClick={() => set({ minus: !p.minus })} aria-pressed={p.minus} aria-label="Below zero">&minus;</button>
            <button onClick={() => key('0')}>0</button>
            <button onClick={back} aria-label="Take back"><Icon name="back" /></button>
          </div>
          {!units && (
            <div class="marks" role="group" aria-label="Feet and fractions of an inch">
              <button class="feet" onClick={feet}>feet &prime;</button>
              {fractions.map((f) => <button key={f} aria-pressed={p.part === f} onClick={() => set({ part: p.part === f ? '' : f })}>{f}</button>)}
            </div>
          )}
        </div>
        <div class="dialog-foot">
          <button onClick={close}>Leave as it was</button>
          <button class="main" disabled={!text} onClick={done}>Take {text || 'length'}</button>
        </div>
      </div>
    </Dialog>
  )
}
