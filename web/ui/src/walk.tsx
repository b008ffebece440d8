// Follow the water: the way from a fixture to the outlet, unrolled along the foot of the
// sheet; on a phone, a list.
import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { api, Step } from './api'
import { Icon, Say, unitWords } from './parts'
import { narrow, pick, picked, state, tell, walkOf } from './state'

const steps = signal<Step[]>([])

/** inches reads a size for the thickness of the pipe on the strip: 1-1/2 in is 1.5. */
function inches(size: string): number {
  const m = /^(?:(\d+)(?:[- ]|$| ))?(?:(\d+)\/(\d+))?/.exec(size)
  return m ? Number(m[1] ?? 0) + (m[2] ? Number(m[2]) / Number(m[3]) : 0) : 0
}

export function Walk() {
  const s = state.value
  const of = walkOf.value
  useEffect(() => {
    if (!s || of === null) return
    let late = false
    api.walk(s.name, of).then((w) => { if (!late) steps.value = w.steps ?? [] }, (e) => {
      if (!late) { steps.value = []; tell((e as Error).message, true); walkOf.value = null }
    })
    return () => { late = true }
  }, [of, s?.rev])
  if (!s || of === null) return null
  return (
    <section class="walk" aria-label="The way of the water">
      <header>
        <h2>The way of the water</h2>
        <label>from <select value={of} onChange={(e) => { walkOf.value = e.currentTarget.value }}>
          <option value="">the farthest fixture</option>
          {s.result.fixtures.map((f) => <option key={f.run} value={f.run}>{f.run}</option>)}
          {of && !s.result.fixtures.some((f) => f.run === of) && <option value={of}>{of}</option>}
        </select></label>
        <button class="plain" aria-label="Close the way of the water" onClick={() => { walkOf.value = null }}><Icon name="close" /></button>
      </header>
      <ol tabIndex={0} aria-label="Stops, with the water">
        {steps.value.map((t, i) => (
          <li key={i} class={picked.value === t.run ? 'on' : ''}>
            <button onClick={() => pick(t.run, !narrow.value)}>
              <span class="bore" style={{ height: `${4 + 5 * inches(t.size)}px` }} aria-hidden="true" />
              <span class="stop">{t.where}</span>
              <span class="figs"><b class="whole">{t.size || 'no size'}</b> {unitWords(t.units)}{t.waterClosets > 0 && `, ${t.waterClosets} wc`}</span>
              {t.in?.map((x, k) => <span key={k} class="in">+ <Say of={x} /></span>)}
              {t.stepUp && <span class="up">Larger here: <Say of={t.stepUp} /></span>}
              {t.spare && <Slack words={t.spare} />}
            </button>
          </li>
        ))}
        <li class="end"><span>outlet</span></li>
      </ol>
    </section>
  )
}

/** Slack shows how full a pipe is, where the words say so: "17 units left of 20". */
function Slack({ words }: { words: string }) {
  const m = /^([\d.]+) units? left of ([\d.]+)/.exec(words)
  const full = m ? 1 - Number(m[1]) / Number(m[2]) : 0
  return <>{m && <span class="slack" aria-hidden="true"><span class={full > 0.85 ? 'near' : ''} style={{ width: `${Math.round(100 * full)}%` }} /></span>}<span class="soft">{words}</span></>
}
